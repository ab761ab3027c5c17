"""A local clock as moments: hours that clock changes skip or repeat."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from journal_tools.probes.faults import Fault, counted

NOT_A_TIME = int(np.iinfo(np.int64).min)
"""Where there is no moment; pandas and numpy use the same number."""

_MOST_RUNS = 1_000
_DAY_NS = 86_400_000_000_000
_HOUR_NS = 3_600_000_000_000


def nanoseconds_of(index: pd.DatetimeIndex) -> NDArray[np.int64]:
    """Give times as nanoseconds, as they stand, without a look at their zone."""
    return np.array(index.as_unit("ns").asi8, dtype=np.int64)


def local_moments(
    read: pd.DatetimeIndex, zone: str
) -> tuple[NDArray[np.int64], list[tuple[int, Fault]]]:
    """Give the moments at which a local clock showed some times.

    Args:
        read: What it showed, without a zone, in the order of the file.
        zone: IANA name of the zone.

    Returns:
        Nanoseconds since 1970 UTC, :data:`NOT_A_TIME` for a time that a clock change skips; and
        what is wrong, each with the first row that it is about.
    """
    wall = nanoseconds_of(read)
    told = wall[wall != NOT_A_TIME]
    if told.size and told[0] > told[-1]:
        # Newest first: the clock must be seen to fall back, not to spring forward.
        ns, faults = local_moments(read[::-1], zone)
        return ns[::-1], [(wall.size - 1 - row, fault) for row, fault in faults]
    ns = _far_from_changes(wall, zone)
    near = np.flatnonzero((ns == NOT_A_TIME) & (wall != NOT_A_TIME))
    local = read[near].tz_localize(zone, ambiguous="NaT", nonexistent="NaT")
    ns[near] = nanoseconds_of(local.tz_convert("UTC"))
    odd = near[ns[near] == NOT_A_TIME]
    if not odd.size:
        return ns, []
    ones = np.ones(odd.size, dtype=bool)
    skipped = np.asarray(read[odd].tz_localize(zone, ambiguous=ones, nonexistent="NaT").isna())
    faults = _skipped_hours(read, odd[skipped])
    twice = odd[~skipped]
    if twice.size:
        ns[twice], unsure = _repeated_hours(read, twice, ns, zone)
        faults += _unsure_hours(read, twice[unsure])
    return ns, faults


def _far_from_changes(wall: NDArray[np.int64], zone: str) -> NDArray[np.int64]:
    """Give the moments of times on days without a clock change, :data:`NOT_A_TIME` for others.

    All times between two changes differ from UTC by as much: a million of them are moved at once,
    which is ten times quicker than to look each one up.
    """
    ns = np.full(wall.size, NOT_A_TIME)
    starts = np.concatenate([[0], np.flatnonzero(wall[1:] < wall[:-1]) + 1])
    if starts.size > _MOST_RUNS or not wall.size or wall.min() == NOT_A_TIME:
        return ns
    edges, offsets = _stretches(int(wall.min()), int(wall.max()), zone)
    for start, end in zip(starts, [*starts[1:], wall.size], strict=True):
        cuts = start + np.searchsorted(wall[start:end], edges)
        for low, high, offset in zip(cuts[:-1], cuts[1:], offsets, strict=True):
            if offset != NOT_A_TIME:
                ns[low:high] = wall[low:high] - offset
    return ns


def _stretches(first: int, last: int, zone: str) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Give the noons, by a local clock, between which its offset from UTC stays the same.

    Returns:
        Noons in ns, one more than there are stretches; and the offset of each stretch in ns,
        :data:`NOT_A_TIME` where it changes within.
    """
    noons = np.arange(first // _DAY_NS * _DAY_NS - _DAY_NS // 2, last + 2 * _DAY_NS, _DAY_NS)
    local = pd.DatetimeIndex(noons.astype("datetime64[ns]")).tz_localize(
        zone, ambiguous="NaT", nonexistent="NaT"
    )
    utc = nanoseconds_of(local.tz_convert("UTC"))
    offsets = np.where(utc == NOT_A_TIME, NOT_A_TIME, noons - utc)
    same = np.where(offsets[1:] == offsets[:-1], offsets[:-1], NOT_A_TIME)
    begins = np.concatenate([[0], np.flatnonzero(np.diff(same)) + 1])
    return np.append(noons[begins], noons[-1]), same[begins]


def _skipped_hours(read: pd.DatetimeIndex, rows: NDArray[np.intp]) -> list[tuple[int, Fault]]:
    if not rows.size:
        return []
    what = (
        f"{counted(rows.size, 'time does', 'times do')} not exist: the clocks went forward "
        f"at {read[rows[0]]:%Y-%m-%d %H:%M}."
    )
    hint = "If the device keeps one time all year, write 'zone: UTC' or its own; rows left out."
    return [(int(rows[0]), Fault("probe-clock-skipped", what, hint))]


def _unsure_hours(read: pd.DatetimeIndex, rows: NDArray[np.intp]) -> list[tuple[int, Fault]]:
    if not rows.size:
        return []
    what = (
        f"{counted(rows.size, 'time occurs', 'times occur')} twice where the clocks went back "
        f"on {read[rows[0]]:%Y-%m-%d}; it cannot be told which is meant."
    )
    hint = "The first is taken. Let the device write UTC, and say 'zone: UTC'."
    return [(int(rows[0]), Fault("probe-clock-twice", what, hint))]


def _repeated_hours(
    read: pd.DatetimeIndex, twice: NDArray[np.intp], ns: NDArray[np.int64], zone: str
) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """Give moments for times that occur twice in a year, and whether they are a guess.

    Where the clock is seen to fall back, what follows is the second hour. Else the choice that
    keeps the usual step between rows is taken, if there is one.
    """
    first, second = (
        nanoseconds_of(
            read[twice].tz_localize(zone, ambiguous=np.full(twice.size, dst)).tz_convert("UTC")
        )
        for dst in (True, False)
    )
    chosen, unsure = first.copy(), np.zeros(twice.size, dtype=bool)
    wall = nanoseconds_of(read)
    step = usual_step_ns(wall[wall != NOT_A_TIME])
    days = wall[twice] // _DAY_NS
    for group in np.split(np.arange(twice.size), np.flatnonzero(np.diff(days)) + 1):
        later = _after_the_fall(wall[twice[group]], step)
        if later is not None:
            chosen[group[later:]] = second[group[later:]]
            continue
        around = _neighbours(ns, twice[group])
        fits = [_keeps_step(around, pick[group], step) for pick in (first, second)]
        if fits[1] and not fits[0]:
            chosen[group] = second[group]
        unsure[group] = fits[0] == fits[1]
    return chosen, unsure


def _after_the_fall(wall: NDArray[np.int64], step: float) -> int | None:
    """Give the row from which a repeated hour is the second one, if the clock is seen to fall."""
    change = np.diff(wall)
    # With a row an hour or less the second hour shows the same time as the first.
    falls = np.flatnonzero(change <= 0 if step >= _HOUR_NS else change < 0)
    return int(falls[0]) + 1 if falls.size else None


def _neighbours(ns: NDArray[np.int64], rows: NDArray[np.intp]) -> tuple[int, int]:
    """Give the moments before and after some rows, :data:`NOT_A_TIME` where there is none."""
    before = int(ns[rows[0] - 1]) if rows[0] else NOT_A_TIME
    after = int(ns[rows[-1] + 1]) if rows[-1] + 1 < ns.size else NOT_A_TIME
    return before, after


def _keeps_step(around: tuple[int, int], moments: NDArray[np.int64], step: float) -> bool:
    """Tell whether rows follow their neighbours at the usual step, to less than half of it."""
    before, after = around
    gaps = [int(moments[0]) - before] if before != NOT_A_TIME else []
    gaps += [after - int(moments[-1])] if after != NOT_A_TIME else []
    return bool(gaps) and all(abs(gap - step) < step / 2 for gap in gaps)


def usual_step_ns(times: NDArray[np.int64]) -> float:
    """Give the median time between two rows, from at most 10,000 of them; 0 for a single row.

    >>> usual_step_ns(np.array([0, 60, 120, 180, 1000]))
    60.0
    """
    if times.size < 2:
        return 0.0
    at = np.linspace(0, times.size - 2, min(times.size - 1, 10_000)).astype(np.intp)
    steps = times[at + 1] - times[at]
    rising = steps[steps > 0]
    return float(np.median(rising)) if rising.size else 0.0
