"""How far a new tank has matured, as measured: stages 0 to 5 from ammonia and nitrite readings.

A stage says what was measured and when, never that animals may go in. A reading below the limit
of the test is kept as "below the limit", never as zero.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from journal_tools.science.validity import in_scalar_range

CHALLENGE_DOSE_MG_L = 2.0
"""Ammonia dose of a challenge in mg/L N: common practice, no source."""

CHALLENGE_HOURS = 24.0
"""Hours within which a challenge has to be used up: common practice, no source."""

_DAY_ROUNDING = 1e-6
_WHOLE_DAY = 1.0 - _DAY_ROUNDING
_ONE_OCCASION = 0.5
"""Readings of the two that are at most this many days apart belong together."""

STAGES: Mapping[int, str] = MappingProxyType({
    0: "not enough readings",
    1: "ammonia present, not shown to be used up",
    2: "ammonia falling, nitrite present",
    3: "ammonia below the limit of the test, nitrite not yet shown to be",
    4: "both below the limit on two occasions a day apart",
    5: "two challenge doses used up within the time",
})  # fmt: skip
"""What was measured at each stage."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One test of ammonia (total) or nitrite.

    Attributes:
        day: Time in days, with fractions.
        value_mg_l: What the test shows in mg/L N; ignored if censored.
        censored: Whether the test shows nothing ("below the limit").
        limit_mg_l: Smallest amount that the test can show in mg/L N, above 0.

    Raises:
        ValueError: If a value is not a number, below 0 or above 1000, or the limit is 0.
    """

    day: float
    value_mg_l: float
    censored: bool
    limit_mg_l: float

    def __post_init__(self) -> None:
        in_scalar_range("day", self.day, -1e6, 1e6)
        in_scalar_range("detection limit", self.limit_mg_l, 1e-6, 1000.0, "mg/L")
        if not self.censored:
            in_scalar_range("reading", self.value_mg_l, 0.0, 1000.0, "mg/L")

    @property
    def below(self) -> bool:
        """Whether it is below the limit of the test; a shown 0 is, for no test can show none."""
        return self.censored or self.value_mg_l < self.limit_mg_l

    @property
    def at_most_mg_l(self) -> float:
        """The most that was in the water, in mg/L N."""
        return self.limit_mg_l if self.below else self.value_mg_l


@dataclass(frozen=True, slots=True)
class Dose:
    """Ammonia given on purpose.

    Attributes:
        day: Time in days, with fractions.
        nitrogen_mg_l: What it adds in mg/L N.

    Raises:
        ValueError: If a value is out of range.
    """

    day: float
    nitrogen_mg_l: float

    def __post_init__(self) -> None:
        in_scalar_range("day", self.day, -1e6, 1e6)
        in_scalar_range("dose", self.nitrogen_mg_l, 0.0, 1000.0, "mg/L")


@dataclass(frozen=True, slots=True)
class Challenge:
    """What came of a dose that was large enough to be a challenge.

    Attributes:
        dose: Index of the dose.
        passed: Whether both were below the limit in time, or None if that was not tested.
        ammonia: Index of the ammonia reading that decides, or None.
        nitrite: Index of the nitrite reading that decides, or None.
    """

    dose: int
    passed: bool | None
    ammonia: int | None
    nitrite: int | None


@dataclass(frozen=True, slots=True)
class MaturingStage:
    """A stage and what it rests on.

    Attributes:
        stage: 0 to 5, key of ``STAGES``.
        reason: Why, in plain words.
        ammonia: Indices of the ammonia readings it rests on.
        nitrite: Indices of the nitrite readings it rests on.
        doses: Indices of the doses it rests on.
        as_of_day: Day of the newest reading it rests on; nothing is known of later days.
    """

    stage: int
    reason: str
    ammonia: tuple[int, ...] = ()
    nitrite: tuple[int, ...] = ()
    doses: tuple[int, ...] = ()
    as_of_day: float | None = None


_Indexed = list[tuple[int, Reading]]


def challenges(
    ammonia: Sequence[Reading],
    nitrite: Sequence[Reading],
    doses: Sequence[Dose],
    least_dose_mg_l: float = CHALLENGE_DOSE_MG_L,
    hours: float = CHALLENGE_HOURS,
) -> list[Challenge]:
    """Give what came of each dose that is large enough, oldest first.

    The last readings within the time decide, for the first may be from before the water mixed.
    A reading above the limit before the time is up decides nothing; nor does one after the next
    dose, or a late one below the limit. A late one above the limit shows that it failed.

    Args:
        ammonia: Ammonia readings in mg/L N, in any order.
        nitrite: Nitrite readings in mg/L N, in any order.
        doses: Doses of ammonia, in any order; what is given at one time as one dose.
        least_dose_mg_l: Least dose that counts in mg/L N, 0.1 to 100.
        hours: Time allowed in hours, 1 to 240.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the tests: their limits are part of the readings.

    Source:
        The rule is common practice, no source.

    >>> none = [Reading(0.9, 0.0, True, 0.05)]
    >>> challenges(none, none, [Dose(0.0, 2.0)])[0].passed
    True
    """
    least = in_scalar_range("least dose", least_dose_mg_l, 0.1, 100.0, "mg/L")
    allowed = in_scalar_range("time allowed", hours, 1.0, 240.0, "hours") / 24
    in_order = sorted(enumerate(doses), key=lambda item: item[1].day)
    next_days = [dose.day for _, dose in in_order[1:]] + [float("inf")]
    return [
        _challenge(index, dose.day, allowed, next_day, (ammonia, nitrite))
        for (index, dose), next_day in zip(in_order, next_days, strict=False)
        if dose.nitrogen_mg_l >= least
    ]


def _challenge(
    index: int,
    start: float,
    allowed: float,
    next_dose: float,
    tests: tuple[Sequence[Reading], Sequence[Reading]],
) -> Challenge:
    deciding = [_deciding(kind, start, allowed, next_dose) for kind in tests]
    outcomes = [None if found is None else found[1].below for found in deciding]
    passed = False if False in outcomes else None if None in outcomes else True
    ammonia, nitrite = (None if found is None else found[0] for found in deciding)
    return Challenge(index, passed, ammonia, nitrite)


def _deciding(
    readings: Sequence[Reading], start: float, allowed: float, next_dose: float
) -> tuple[int, Reading] | None:
    """Give the reading that tells whether a dose is used up in time, if there is one."""
    due = start + allowed + _DAY_ROUNDING
    after = [item for item in _by_day(readings) if start < item[1].day < next_dose]
    in_time = [item for item in after if item[1].day <= due]
    if in_time and in_time[-1][1].below:
        return in_time[-1]
    # Present at the very end of the time, or after it: not used up in time.
    too_late = [item for item in after if item[1].day >= start + allowed - _DAY_ROUNDING]
    return next((item for item in too_late if not item[1].below), None)


def maturing_stage(
    ammonia: Sequence[Reading],
    nitrite: Sequence[Reading],
    doses: Sequence[Dose] = (),
    least_dose_mg_l: float = CHALLENGE_DOSE_MG_L,
    hours: float = CHALLENGE_HOURS,
) -> MaturingStage:
    """Give the stage that the readings show, with the reason and the readings it rests on.

    Args:
        ammonia: Total ammonia readings in mg/L N, in any order.
        nitrite: Nitrite readings in mg/L N, in any order.
        doses: Doses of ammonia, in any order.
        least_dose_mg_l: Least dose that counts as a challenge in mg/L N, 0.1 to 100.
        hours: Time in which a challenge has to be used up in hours, 1 to 240.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        It rests on the tests alone: between readings and after the last nothing is known.

    Source:
        Order of the steps of nitrification; the challenge rule is common practice, no source.

    >>> maturing_stage([Reading(1.0, 2.0, False, 0.05)], []).stage
    1
    """
    rows = _by_day(ammonia), _by_day(nitrite)
    tried = challenges(ammonia, nitrite, doses, least_dose_mg_l, hours)
    last_two = [tried_one for tried_one in tried if tried_one.passed is not None][-2:]
    if len(last_two) == 2 and all(challenge.passed for challenge in last_two):
        since = doses[last_two[0].dose].day
        if not _comes_back(rows[0] + rows[1], doses, since, hours / 24):
            return _used_up_twice(last_two, ammonia, nitrite)
    if not rows[0]:
        return MaturingStage(0, "ammonia has not been tested")
    if rows[0][-1][1].below:
        return _without_ammonia(*rows)
    return _with_ammonia(*rows, doses)


def _by_day(readings: Sequence[Reading]) -> _Indexed:
    return sorted(enumerate(readings), key=lambda item: item[1].day)


def _comes_back(found: _Indexed, doses: Sequence[Dose], since: float, allowed: float) -> bool:
    """Tell whether something is present on a day that no recent dose explains."""
    days = [reading.day for _, reading in found if reading.day > since and not reading.below]
    return any(
        not any(dose.day <= day < dose.day + allowed - _DAY_ROUNDING for dose in doses)
        for day in days
    )


def _used_up_twice(
    passed: Sequence[Challenge], ammonia: Sequence[Reading], nitrite: Sequence[Reading]
) -> MaturingStage:
    first = tuple(c.ammonia for c in passed if c.ammonia is not None)
    second = tuple(c.nitrite for c in passed if c.nitrite is not None)
    day = max([ammonia[i].day for i in first] + [nitrite[i].day for i in second])
    reason = f"two challenge doses were used up in time, as measured up to day {day:g}; this"
    reason += " capacity fades while no ammonia comes, and grows only with what is fed"
    return MaturingStage(5, reason, first, second, tuple(c.dose for c in passed), day)


def _with_ammonia(ammonia: _Indexed, nitrite: _Indexed, doses: Sequence[Dose]) -> MaturingStage:
    index, newest = ammonia[-1]
    falling_from = _falling_from(ammonia, doses)
    shown = f"ammonia was {newest.value_mg_l:.3g} mg/L N on day {newest.day:g}"
    if falling_from is None:
        return MaturingStage(1, f"{shown} and is not shown to fall", (index,), as_of_day=newest.day)
    evidence = (falling_from, index)
    if not nitrite or nitrite[-1][1].below:
        reason = f"{shown} and falls, but no nitrite is found: dilution would look the same"
        tested = tuple(i for i, _ in nitrite[-1:])
        return MaturingStage(1, reason, evidence, tested, as_of_day=newest.day)
    tested_index, test = nitrite[-1]
    reason = f"{shown} and falls while nitrite was {test.value_mg_l:.3g} mg/L N"
    return MaturingStage(2, reason, evidence, (tested_index,), as_of_day=max(newest.day, test.day))


def _falling_from(ammonia: _Indexed, doses: Sequence[Dose]) -> int | None:
    """Give the index of the highest reading since the last dose, if the newest is clearly lower."""
    newest = ammonia[-1][1]
    dosed = max((dose.day for dose in doses if dose.day <= newest.day), default=float("-inf"))
    since = [item for item in ammonia if item[1].day >= dosed]
    if len(since) < 2 or newest.value_mg_l > since[-2][1].at_most_mg_l:
        return None
    index, highest = max(since[:-1], key=lambda item: item[1].at_most_mg_l)
    fell = highest.at_most_mg_l - newest.value_mg_l > newest.limit_mg_l
    return index if fell else None


def _without_ammonia(ammonia: _Indexed, nitrite: _Indexed) -> MaturingStage:
    index, newest = ammonia[-1]
    limit = f"ammonia was below {newest.limit_mg_l:.3g} mg/L N on day {newest.day:g}"
    if not nitrite:
        reason = f"{limit}, but nitrite has not been tested"
        return MaturingStage(0, reason, (index,), as_of_day=newest.day)
    tested_index, test = nitrite[-1]
    as_of = max(newest.day, test.day)
    if not test.below:
        reason = f"{limit} while nitrite was {test.value_mg_l:.3g} mg/L N on day {test.day:g}"
        return MaturingStage(3, reason, (index,), (tested_index,), as_of_day=as_of)
    ever = not all(reading.below for _, reading in ammonia + nitrite)
    pairs = _below_together(ammonia, nitrite)
    if len(pairs) < 2:
        missing = "both below the limit on a second occasion, a day or more apart, is missing"
        reason = missing if ever else f"neither has ever been found, and {missing}"
        return MaturingStage(3 if ever else 0, reason, (index,), (tested_index,), as_of_day=as_of)
    reason = "both were below the limit twice, a day or more apart; no challenge dose shows yet"
    reason += " how much is used up in a day"
    if not ever:
        reason += ", and neither was ever found: a tank without any ammonia reads the same"
    first, second = zip(*pairs, strict=True)
    return MaturingStage(4, reason, first, second, as_of_day=as_of)


def _below_together(ammonia: _Indexed, nitrite: _Indexed) -> list[tuple[int, int]]:
    """Give the first and last occasion with both below the limit since something was found.

    It is one occasion, or none, if they are less than a day apart.
    """
    present = [reading.day for _, reading in ammonia + nitrite if not reading.below]
    since = max(present, default=float("-inf"))
    found = [
        (one, other)
        for one in ammonia
        for other in nitrite
        if min(one[1].day, other[1].day) > since and abs(one[1].day - other[1].day) <= _ONE_OCCASION
    ]
    if not found:
        return []
    first, last = found[0], found[-1]
    apart = min(last[kind][1].day - first[kind][1].day for kind in (0, 1))
    chosen = (first, last) if apart >= _WHOLE_DAY else (last,)
    return [(one[0], other[0]) for one, other in chosen]
