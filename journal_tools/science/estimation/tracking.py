"""Uptake that changes with time, by a Kalman filter and smoother over irregular tests.

The state is the concentration and the uptake; the uptake is a random walk. How fast it wanders is
found from the tests by maximum likelihood, and since a few tests hardly tell it, all values of it
count by their likelihood in the result. Wherever the balance breaks, the concentration starts
anew and the uptake goes on, less well known.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from journal_tools.science.estimation.candidates import candidates
from journal_tools.science.estimation.kalman import Model, likelihood, smoothed
from journal_tools.science.estimation.measured import (
    IntArray,
    Readings,
    at_mean_salinity,
    one_a_moment,
)
from journal_tools.science.estimation.regression import OUTLIER_SD, Z90, Mask, student_95
from journal_tools.science.estimation.supply import Supply, Timeline, Transitions
from journal_tools.science.estimation.uptake import (
    LARGEST_SALINITY_SHIFT,
    LONGEST_GAP_DAYS,
    NotEstimable,
)
from journal_tools.science.validity import FloatArray

_COARSE, _FINE = 25, 16
_WORTH = 8.0  # log-likelihood below the best that still counts

_LARGEST_WANDER = 0.1
"""Share by which the uptake may change over a day, if few tests say less. No source."""


@dataclass(frozen=True)
class Track:
    """Uptake and level at each reading and now, in the unit of the readings (and per day).

    Attributes:
        tests: Readings as used, from the first figure on: those of one moment as their mean.
        day: Moments in days: those of ``tests``, and as the last one now.
        rate: Uptake a day by all tests before and after; NaN if ``reason`` is set.
        sd: Its error by the tests alone (1 sd).
        systematic: Errors (1 sd) by source at each moment that more tests do not make smaller.
        low: Lower end of the 90 % interval of both together.
        high: Upper end.
        level: Concentration; NaN for now if something unknown happened since the last reading.
        level_sd: Its error by the tests alone (1 sd).
        wander: Most likely wandering of the rate (1 sd over one day; over n days √n times that).
        set_aside: Whether the reading of each moment was left out as an outlier.
        used: Number of readings that count.
        reason: Why there is no rate, or None.
    """

    tests: Readings
    day: FloatArray
    rate: FloatArray
    sd: FloatArray
    systematic: Mapping[str, FloatArray]
    low: FloatArray
    high: FloatArray
    level: FloatArray
    level_sd: FloatArray
    wander: float
    set_aside: Mask
    used: int
    reason: NotEstimable | None = None

    @property
    def systematic_sd(self) -> FloatArray:
        """All systematic parts together at each moment (1 sd)."""
        squares = [part**2 for part in self.systematic.values()]
        return np.sqrt(sum(squares, np.zeros_like(self.rate)))


def track_uptake(
    tests: Readings,
    supply: Supply,
    now_day: float | None = None,
    by_salinity: bool = False,
    longest_gap_days: float = LONGEST_GAP_DAYS,
) -> Track:
    """Give the uptake over time, up to now, with its errors.

    Args:
        tests: Readings in any unit of concentration, of any length of time.
        supply: What went in, in that unit.
        now_day: Moment to reckon to, not before the last reading; by default the last reading.
        by_salinity: Whether to bring the readings to their mean salinity first.
        longest_gap_days: Beyond it between two tests no balance is drawn.

    Raises:
        ValueError: If now is before the last reading.

    Uncertainty:
        90 % interval. For the last day it is too wide (98 to 100 %) where the uptake is constant,
        rises evenly or jumped a while ago, since a few tests cannot rule out that it wanders. A
        sudden step is smeared over the tests around it: there the interval covers about 87 %.

    Source:
        Kalman 1960; Rauch, Tung & Striebel 1965; maximum likelihood as in Durbin & Koopman 2012,
        Time Series Analysis by State Space Methods, ch. 7. From memory.

    >>> from journal_tools.science.estimation.measured import readings
    >>> days = np.arange(0.0, 30.0, 3.0)
    >>> found = track_uptake(readings(days, 8 - 0.1 * days, sd=0.1), Supply(), now_day=30.0)
    >>> round(float(found.rate[-1]), 2), round(float(found.level[-1]), 1)
    (0.1, 5.0)
    """
    timeline = Timeline(supply)
    tests = one_a_moment(tests, timeline.event_days())
    tests = at_mean_salinity(tests) if by_salinity else tests
    figures = np.flatnonzero(tests.censored == 0)
    tests = tests.where(np.arange(figures[0] if len(figures) else 0, len(tests)))
    if (tests.censored == 0).sum() < 3:
        enough = len(tests) >= 3
        return _nothing(tests, NotEstimable.LIMITS_ONLY if enough else NotEstimable.TOO_FEW)
    now = float(tests.day[-1]) if now_day is None else now_day
    if now < tests.day[-1]:
        raise ValueError("now is before the last reading")
    return _tracked(_Record(tests, timeline, now, longest_gap_days))


class _Record:
    """Readings, now as a moment without a reading, and the transitions between them."""

    def __init__(
        self, tests: Readings, timeline: Timeline, now: float, longest_gap_days: float
    ) -> None:
        self.timeline, self.longest_gap_days = timeline, longest_gap_days
        self.tests = tests
        self.day = np.append(tests.day, now)
        self.value = np.append(tests.value, np.nan)
        self.censored = np.append(tests.censored, 0)
        variance = tests.variance()
        self.sd_known = bool(np.isfinite(variance).all())
        variance = variance if self.sd_known else 1.0 / tests.count
        self.variance = np.append(variance, np.nan)
        rounding = 1e-12 * float(np.abs(tests.value).max())
        self.least_scale = max(float(tests.step.max()) ** 2 / 12, rounding**2, 1e-300)
        self.other_kit = np.append(_other_kit(tests.kit), True)
        self.between = self.transitions()

    def transitions(self, shifted: str = "", by: float = 0.0) -> Transitions:
        """Give the transitions; other kits, long gaps and jumps of salinity break, too."""
        found = self.timeline.transitions(self.day, shifted, by)
        kit = self.tests.kit.copy()
        for i in np.flatnonzero(self.other_kit[:-1]):
            kit[i] = kit[i - 1]
        broken = found.days > self.longest_gap_days
        broken[:-1] |= (np.diff(kit) != 0) | _salinity_jumps(self.tests.salinity)
        return replace(found, known=found.known & ~broken)

    def freedom(self, aside: Mask) -> int:
        """Give the number of figures to spare after each level and the rate took one."""
        stretch = np.append(0, np.cumsum(~self.between.known))
        figures = ~(aside | self.other_kit) & (self.censored == 0)
        return int(figures.sum()) - len(np.unique(stretch[figures])) - 1

    def usual_rate(self) -> float:
        """Give the size of the uptake by the middle one of all pairs of tests in a row."""
        between, value = self.between, self.value
        told = between.known[:-1] & (between.days[:-1] > 0) & (self.censored[1:-1] == 0)
        risen = between.a[:-1] * value[:-2] + between.d[:-1] - value[1:-1]
        rates = risen[told] / -between.b[:-1][told]
        return float(abs(np.median(rates))) if told.any() else 0.0

    def model(self, wander: FloatArray, columns: list[Transitions], aside: Mask) -> Model:
        """Give the model with one column for each variance of the walk and its transitions."""
        observed = ~(aside | self.other_kit)
        return Model(self.value, self.variance, self.censored, observed, wander, columns,
                     self.sd_known, self.least_scale)  # fmt: skip


def _other_kit(kit: IntArray) -> Mask:
    """Give which readings are a single one by another kit in between; they are not used."""
    single = np.zeros(len(kit), dtype=bool)
    single[1:-1] = (kit[1:-1] != kit[:-2]) & (kit[:-2] == kit[2:])
    # Of kits in turns the first goes on.
    single[1:] &= ~(single[:-1] & single[1:])
    return single


def _salinity_jumps(salinity: FloatArray) -> Mask:
    """Give between which readings the salinity jumped; unknown ones count as the last known."""
    jumps = np.zeros(len(salinity) - 1, dtype=bool)
    known = np.flatnonzero(np.isfinite(salinity))
    far = np.abs(np.diff(salinity[known])) > LARGEST_SALINITY_SHIFT
    jumps[known[1:][far] - 1] = True
    return jumps


def _tracked(record: _Record) -> Track:
    none = np.zeros(len(record.day), dtype=bool)
    if record.tests.day[-1] == record.tests.day[0]:
        return _nothing(record.tests, NotEstimable.NOTHING_SEEN)
    if record.freedom(none) < 1:
        return _nothing(record.tests, _broken_by(record))
    aside = np.append(candidates(record.tests, record.between, record.other_kit[:-1]), False)
    aside = aside if record.freedom(aside) > 0 else none
    mixture = _Mixture(record, aside)
    if not record.sd_known and mixture.scatterless():
        return _nothing(record.tests, NotEstimable.NO_SCATTER)
    back = aside & ~mixture.odd()
    if back.any():
        mixture = _Mixture(record, aside & ~back)
    return mixture.track()


def _broken_by(record: _Record) -> NotEstimable:
    if not record.timeline.transitions(record.day).known[:-1].all():
        return NotEstimable.UNKNOWN_SUPPLY
    if (record.between.days[:-1] > record.longest_gap_days).any():
        return NotEstimable.GAP
    if _salinity_jumps(record.tests.salinity).any():
        return NotEstimable.SALINITY_SHIFT
    return NotEstimable.KIT_CHANGE


def _walks(record: _Record, aside: Mask) -> tuple[FloatArray, float]:
    """Give variances of the walk per day, even by logarithm, around what is likely, and that."""
    days = record.day[:-1]
    gaps = np.diff(days)
    span, usual = float(days[-1] - days[0]), float(np.median(gaps[gaps > 0]))
    noise = float(np.median(record.variance[:-1]))
    # From "unseen in the whole record" to "anew from test to test", if tests are frequent.
    low = 0.1 * noise / span**3 / len(days)
    high = 10 * noise / usual**3
    if record.sd_known:
        high = max(high, (_LARGEST_WANDER * record.usual_rate()) ** 2)
    coarse = np.geomspace(low, max(high, 10 * low), _COARSE)
    found = likelihood(record.model(coarse, [record.between] * _COARSE, aside))
    likely = np.flatnonzero(found > found.max() - _WORTH)
    first, last = max(likely[0] - 1, 0), min(likely[-1] + 1, _COARSE - 1)
    return np.geomspace(coarse[first], coarse[last], _FINE), float(coarse[int(np.argmax(found))])


class _Mixture:
    """The record smoothed with every likely walk, and what all of them say together."""

    def __init__(self, record: _Record, aside: Mask) -> None:
        self.record, self.aside = record, aside
        self.walk, likely = _walks(record, aside)
        self.size = len(self.walk)
        # The shared errors in turn, each with one likely walk; before them that walk without any.
        self.sources = list(record.timeline.sources_of_error())
        columns = [record.between] * (self.size + 1)
        columns += [record.transitions(name, sd) for name, sd in self.sources]
        every = np.append(self.walk, np.full(1 + len(self.sources), likely))
        self.path = smoothed(record.model(every, columns, aside))
        self.best = int(np.argmax(self.path.likelihood[: self.size]))
        # The walks are even in their logarithm; they count evenly by their standard deviation,
        # since a few tests never rule out a small one (Gelman 2006, Bayesian Anal. 1:515).
        chance = self.path.likelihood[: self.size] + 0.5 * np.log(self.walk)
        weight = np.exp(chance - chance.max())
        self.weight = weight / weight.sum()

    def mixed(self, mean: FloatArray, variance: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Give mean and variance over all walks."""
        middle = mean[:, : self.size] @ self.weight
        apart = (mean[:, : self.size] - middle[:, None]) ** 2
        return middle, (variance[:, : self.size] + apart) @ self.weight

    def scatterless(self) -> bool:
        """Tell whether the readings agree to the last digit, which tells nothing of their error."""
        steps = float(self.record.tests.step.max())
        return steps == 0 and float(self.path.scale[self.best]) <= self.record.least_scale

    def odd(self) -> Mask:
        """Give what is far from what all others say, with the walk allowing for a step."""
        level, variance = self.mixed(self.path.level, self.path.level_variance)
        noise = self.record.variance * float(self.path.scale[: self.size] @ self.weight)
        return np.abs(self.record.value - level) > OUTLIER_SD * np.sqrt(variance + noise)

    def track(self) -> Track:
        """Give the result."""
        path, record = self.path, self.record
        rate, variance = self.mixed(path.rate, path.rate_variance)
        level, level_variance = self.mixed(path.level, path.level_variance)
        if not record.between.known[-1]:
            level[-1] = level_variance[-1] = np.nan
        base = path.rate[:, self.size]
        systematic = {
            name: np.abs(path.rate[:, self.size + 1 + i] - base)
            for i, (name, _) in enumerate(self.sources)
        }
        shared = np.sqrt(sum((part**2 for part in systematic.values()), np.zeros(len(rate))))
        wide = Z90 if record.sd_known else student_95(record.freedom(self.aside))
        half = np.hypot(wide * np.sqrt(variance), Z90 * shared)
        wander = np.sqrt(self.walk[self.best] * path.scale[self.best])
        used = int((~(self.aside | record.other_kit)).sum())
        return Track(record.tests, record.day, rate, np.sqrt(variance), systematic, rate - half,
                     rate + half, level, np.sqrt(level_variance), float(wander), self.aside,
                     used)  # fmt: skip


def _nothing(tests: Readings, reason: NotEstimable) -> Track:
    none = np.full(len(tests), np.nan)
    return Track(tests, tests.day, none, none, {}, none, none, none, none, float("nan"),
                 np.zeros(len(tests), dtype=bool), 0, reason)  # fmt: skip
