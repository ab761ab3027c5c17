"""What changes a concentration between tests, and the transition that it makes.

Doses are instants or run over an interval (plan, reactor, limewater in the top-off). Water changes
mix. What was dosed in unknown strength breaks the balance at that place and nowhere else.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from journal_tools.science.validity import FloatArray

VOLUME = "net volume"
"""Name of the systematic part that comes from the net volume."""

# Wet walls, rock and pipes hold back a little of any change, so none is taken as all the water.
_LARGEST_SHARE = 0.99


@dataclass(frozen=True, slots=True)
class Dose:
    """A dose in one go.

    Attributes:
        day: When, in days from any fixed moment.
        rise: Rise of the concentration in the tank; NaN if the strength is not known.
        product: Doses of one product share its error of potency.
    """

    day: float
    rise: float
    product: str = ""


@dataclass(frozen=True, slots=True)
class Feed:
    """A supply that runs evenly: a plan over the day, a reactor, limewater since the last top-off.

    Attributes:
        start_day: First moment, in days.
        end_day: Last moment, in days.
        rise_per_day: Rise of the concentration a day; NaN if not known.
        product: As in :class:`Dose`.
    """

    start_day: float
    end_day: float
    rise_per_day: float
    product: str = ""


def feeds_since_last(
    days: Sequence[float], rises: Sequence[float], product: str, longest_days: float = 7.0
) -> tuple[Feed, ...]:
    """Give top-offs with limewater as feeds: each ran in since the one before.

    Args:
        days: Moments at which the container was filled up again or the volume read, in order.
        rises: Rise that each brought.
        product: As in :class:`Dose`.
        longest_days: Most time that one is spread over; the first one of all counts one day.

    >>> feeds_since_last([1.0, 3.0], [0.5, 0.8], "limewater")[1].rise_per_day
    0.4
    """
    feeds, before = [], None
    for day, rise in zip(days, rises, strict=True):
        start = day - 1.0 if before is None else max(before, day - longest_days)
        if start < day:
            feeds.append(Feed(start, day, rise / (day - start), product))
            before = day
        else:
            # Two at one moment are one.
            last = feeds.pop()
            more = rise / (last.end_day - last.start_day)
            feeds.append(Feed(last.start_day, day, last.rise_per_day + more, product))
    return tuple(feeds)


@dataclass(frozen=True, slots=True)
class Change:
    """A water change.

    Attributes:
        day: When, in days.
        share: Part of the net volume that was replaced, 0 to 1.
        fresh: Concentration of the new water; NaN if nothing is known of it. A guess with a wide
            error in ``Supply.fresh_sd`` is better where one can be given.
        source: Changes with water of one kind share its error.
    """

    day: float
    share: float
    fresh: float
    source: str = "new water"


@dataclass(frozen=True, slots=True)
class Unknown:
    """A time in which something of unknown strength went in, or nothing was logged.

    Attributes:
        start_day: First moment, in days.
        end_day: Last moment, in days; the first one for an instant.
    """

    start_day: float
    end_day: float


@dataclass(frozen=True)
class Supply:
    """All that went into the tank, and how well it is known.

    Of a test and an event at one moment the test counts as first; of a dose and a change the
    change.

    Attributes:
        doses: Doses in one go, in any order.
        feeds: Supply that runs evenly.
        changes: Water changes.
        unknown: Times over which no balance can be drawn.
        potency_sd: Relative error (1 sd) of the potency by product.
        fresh_sd: Error (1 sd, in the unit of the readings) of the new water by its source.
        volume_sd: Relative error (1 sd) of the net volume.
    """

    doses: tuple[Dose, ...] = ()
    feeds: tuple[Feed, ...] = ()
    changes: tuple[Change, ...] = ()
    unknown: tuple[Unknown, ...] = ()
    potency_sd: Mapping[str, float] = field(default_factory=dict)
    fresh_sd: Mapping[str, float] = field(default_factory=dict)
    volume_sd: float = 0.0


@dataclass(frozen=True)
class Transitions:
    """From each test to the next: ``C1 = a C0 + b u + d``, and how a wandering ``u`` spreads.

    Attributes:
        a: Share of the old concentration that is left.
        b: Effect of an uptake of one a day; negative.
        d: What supply and changes add up to.
        spread_level: Variance of C1 for a random walk of ``u`` with unit variance a day.
        spread_both: Covariance of C1 and u1, likewise.
        days: Length, which is also the variance of u1.
        known: Whether the balance holds; elsewhere C1 tells nothing of C0.
    """

    a: FloatArray
    b: FloatArray
    d: FloatArray
    spread_level: FloatArray
    spread_both: FloatArray
    days: FloatArray
    known: NDArray[np.bool_]

    def since_breaks(self, stretch: NDArray[np.int64]) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Give ``a``, ``b`` and ``d`` of each test from the first one of its stretch.

        Args:
            stretch: Number of the stretch of each test; it grows wherever the balance breaks.
        """
        level, reach, known = np.ones(len(stretch)), np.zeros(len(stretch)), np.zeros(len(stretch))
        for i in range(1, len(stretch)):
            if stretch[i] == stretch[i - 1]:
                a = self.a[i - 1]
                level[i] = a * level[i - 1]
                reach[i] = a * reach[i - 1] + self.b[i - 1]
                known[i] = a * known[i - 1] + self.d[i - 1]
        return level, reach, known


class Timeline:
    """A supply in arrays, in order of time.

    Args:
        supply: What went in.

    Raises:
        ValueError: If a change is not a share from 0 to 1, or a feed ends before it starts.

    Source:
        Mass balance of a stirred tank; batch dilution as in any chemical engineering text.

    >>> timeline = Timeline(Supply(changes=(Change(1.0, 0.1, 9.0),)))
    >>> between = timeline.transitions(np.array([0.0, 2.0]))
    >>> round(float(between.a[0]), 6), round(float(between.b[0]), 6), round(float(between.d[0]), 6)
    (0.9, -1.9, 0.9)
    """

    def __init__(self, supply: Supply) -> None:
        self._supply = supply
        doses, feeds = supply.doses, supply.feeds
        changes = sorted(supply.changes, key=lambda change: change.day)
        self._dose_day = _array(dose.day for dose in doses)
        self._rise = _array(dose.rise for dose in doses)
        self._dose_product = np.array([dose.product for dose in doses], dtype=object)
        self._start = _array(feed.start_day for feed in feeds)
        self._end = _array(feed.end_day for feed in feeds)
        self._rate = _array(feed.rise_per_day for feed in feeds)
        self._feed_product = np.array([feed.product for feed in feeds], dtype=object)
        self._change_day = _array(change.day for change in changes)
        self._share = _array(change.share for change in changes)
        self._fresh = _array(change.fresh for change in changes)
        self._source = np.array([change.source for change in changes], dtype=object)
        if np.any(~((self._share >= 0) & (self._share <= 1))):
            raise ValueError("a water change is a share from 0 to 1 of the net volume")
        if np.any(self._end < self._start):
            raise ValueError("a feed ends before it starts")

    def sources_of_error(self) -> Iterator[tuple[str, float]]:
        """Give each shared error by name with its size (1 sd): volume, potencies, new water."""
        if self._supply.volume_sd:
            yield VOLUME, self._supply.volume_sd
        products = {*self._dose_product, *self._feed_product}
        yield from ((p, sd) for p, sd in self._supply.potency_sd.items() if sd and p in products)
        used = set(self._source)
        yield from ((s, sd) for s, sd in self._supply.fresh_sd.items() if sd and s in used)

    def event_days(self) -> FloatArray:
        """Give the moments of doses and changes in order, in days."""
        return np.sort(np.concatenate([self._dose_day, self._change_day]))

    def transitions(self, days: FloatArray, shifted: str = "", by: float = 0.0) -> Transitions:
        """Give the transitions between moments.

        Args:
            days: Moments of the tests in days, in order; two may be the same.
            shifted: Name from :meth:`sources_of_error` whose value is taken as wrong.
            by: By how much: relative for volume and potency, else in the unit of the readings.

        Raises:
            ValueError: If the moments are not in order.
        """
        if np.any(np.diff(days) < 0):
            raise ValueError("moments are not in order of time")
        water = 1 / (1 + by) if shifted == VOLUME else 1.0
        share = np.minimum(self._share * water, _LARGEST_SHARE)
        fresh = self._fresh + by * (self._source == shifted)
        rise = self._rise * water * (1 + by * (self._dose_product == shifted))
        rate = self._rate * water * (1 + by * (self._feed_product == shifted))
        return self._between(days, share, np.nan_to_num(fresh), np.nan_to_num(rise), rate)

    def _between(
        self,
        days: FloatArray,
        share: FloatArray,
        fresh: FloatArray,
        rise: FloatArray,
        rate: FloatArray,
    ) -> Transitions:
        kept_log = np.append(0.0, np.cumsum(np.log1p(-share)))
        at_test = kept_log[np.searchsorted(self._change_day, days, "left")]
        start, length, place = self._pieces(days)
        after = kept_log[np.searchsorted(self._change_day, start, "right")]
        # What is left of each piece at the next test, and how long it counts there.
        kept = np.exp(at_test[place] - after)
        counted = kept * length
        fed = counted * self._running(start + length / 2, rate)
        level, both = _spreads(kept, length, place)

        def each(parts: FloatArray) -> FloatArray:
            return np.bincount(place, parts, len(days))[1:].astype(np.float64)

        return Transitions(
            np.exp(np.diff(at_test)),
            -each(counted),
            each(fed) + self._instants(days, at_test, kept_log, share * fresh, rise)[1:],
            each(level),
            -each(both),
            np.diff(days),
            ~self._unknown(days)[1:],
        )

    def _pieces(self, days: FloatArray) -> tuple[FloatArray, FloatArray, NDArray[np.int64]]:
        """Cut the time from first to last test wherever something starts, ends or happens."""
        cuts = np.concatenate([days, self._change_day, self._start, self._end])
        cuts = np.unique(cuts[(cuts >= days[0]) & (cuts <= days[-1])])
        return cuts[:-1], np.diff(cuts), np.searchsorted(days, cuts[:-1], "right")

    def _running(self, moments: FloatArray, rate: FloatArray) -> FloatArray:
        """Give the sum of the feeds that run at moments which are no starts or ends."""
        known = np.nan_to_num(rate)
        begun, ended = np.argsort(self._start), np.argsort(self._end)
        sums = (np.concatenate([[0.0], np.cumsum(known[order])]) for order in (begun, ended))
        up, down = sums
        return np.asarray(
            up[np.searchsorted(self._start[begun], moments)]
            - down[np.searchsorted(self._end[ended], moments)]
        )

    def _instants(
        self,
        days: FloatArray,
        at_test: FloatArray,
        kept_log: FloatArray,
        mixed: FloatArray,
        rise: FloatArray,
    ) -> FloatArray:
        """Give what doses and changes bring, as it is left at the next test."""
        dose_log = kept_log[np.searchsorted(self._change_day, self._dose_day, "right")]
        moments = np.concatenate([self._dose_day, self._change_day])
        brought = np.concatenate([rise, mixed])
        logs = np.concatenate([dose_log, kept_log[1:]])
        place = np.searchsorted(days, moments, "right")
        inside = (place > 0) & (place < len(days))
        place = place[inside]
        left = brought[inside] * np.exp(at_test[place] - logs[inside])
        return np.asarray(np.bincount(place, left, len(days)))

    def _unknown(self, days: FloatArray) -> NDArray[np.bool_]:
        """Give for each test whether the time since the one before is no balance."""
        broken = np.zeros(len(days) + 1, dtype=bool)
        spans = [(time.start_day, time.end_day) for time in self._supply.unknown]
        spans += [(day, day) for day in self._dose_day[np.isnan(self._rise)]]
        spans += [(day, day) for day in self._change_day[np.isnan(self._fresh)]]
        lost = np.isnan(self._rate)
        spans += list(zip(self._start[lost], self._end[lost], strict=True))
        for start, end in spans:
            first = int(np.searchsorted(days, start, "right"))
            last = max(first, int(np.searchsorted(days, end, "left")))
            broken[first : last + 1] = True
        return broken[:-1]


def _spreads(
    kept: FloatArray, length: FloatArray, place: NDArray[np.int64]
) -> tuple[FloatArray, FloatArray]:
    """Give what each piece adds to the variance of the level and to its covariance with the rate.

    A change of the rate at a moment counts for the rest of its piece and all later ones.
    """
    counted = kept * length
    ahead = np.cumsum(counted[::-1])[::-1] - counted
    last = np.searchsorted(place, place, "right") - 1
    later = ahead - ahead[last]
    level = later**2 * length + later * kept * length**2 + kept**2 * length**3 / 3
    return level, later * length + kept * length**2 / 2


def _array(values: Iterator[float]) -> FloatArray:
    return np.fromiter(values, dtype=np.float64)
