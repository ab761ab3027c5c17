"""Uptake at a constant rate over a window of tests, by weighted least squares.

Between supply and changes the tank takes up (or makes) a substance at a rate ``u``, so each test
reads ``C = a C0 + b u + d``. Wherever the balance breaks (unknown supply, another kit, a long gap)
a new level ``C0`` begins, while the rate stays common: the estimate widens and is not biased.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from journal_tools.science.estimation.measured import (
    IntArray,
    Readings,
    at_mean_salinity,
    one_a_moment,
    salinity_range,
)
from journal_tools.science.estimation.regression import (
    Z90,
    Fit,
    Mask,
    Rows,
    chi_square_95,
    robust_fit,
    student_95,
)
from journal_tools.science.estimation.supply import Supply, Timeline, Transitions
from journal_tools.science.validity import FloatArray, in_scalar_range

LONGEST_GAP_DAYS = 45.0
"""Beyond it a log is not trusted to be complete. Common practice, no source."""

LARGEST_SALINITY_SHIFT = 1.0
"""Beyond it (psu) everything dissolved has moved with the salt. Common practice, no source."""

KIT_OFFSET = "kit offset"
"""Name of the systematic part that comes from an error which all tests of a kit share."""

_LEAST_FREEDOM = 3  # with limits, to find the error of a test from the scatter


class NotEstimable(StrEnum):
    """Why there is no rate."""

    TOO_FEW = "fewer than three tests"
    GAP = "the tests lie on both sides of a long gap, with too few on one side"
    UNKNOWN_SUPPLY = "something of unknown strength went in between the tests"
    KIT_CHANGE = "the kit changed, with too few tests by either"
    SALINITY_SHIFT = "the salinity moved by more than 1 psu"
    LIMITS_ONLY = "too few tests gave a figure, not a limit"
    NOTHING_SEEN = "the tests tell nothing of the rate"
    NO_SCATTER = "the tests do not scatter at all, so that their error is not known"


@dataclass(frozen=True)
class Uptake:
    """A constant rate of uptake, in the unit of the readings per day; negative where it is made.

    Attributes:
        rate: Uptake a day; NaN if ``reason`` is set.
        sd: Its error by the scatter of tests alone (1 sd).
        systematic: Errors (1 sd) that no number of tests makes smaller, by source. They grow with
            the dose, not with the uptake.
        low: Lower end of the 90 % interval of both together.
        high: Upper end.
        tests: Readings as used: those of one moment as their mean.
        weight: Weight of each of ``tests``: 1 used, 0 set aside or without anything to say.
        set_aside: Whether each of ``tests`` was left out as an outlier.
        residual: Reading less balance, in the unit of the readings; a limit counts as the value
            that is expected beyond it.
        misfit: Chi-square of the residuals by its degrees of freedom; near 1 if all is well. NaN
            where the error of a test had to be estimated from the scatter.
        strained: Whether the misfit is beyond chance (1 in 20): the errors were enlarged.
        two_tests: Rate and its error (1 sd) from the first and last of two tests, which is all
            that they give; else None.
        reason: Why there is no rate, or None.
    """

    rate: float
    sd: float
    systematic: Mapping[str, float]
    low: float
    high: float
    tests: Readings
    weight: FloatArray
    set_aside: Mask
    residual: FloatArray
    misfit: float
    strained: bool = False
    two_tests: tuple[float, float] | None = None
    reason: NotEstimable | None = None

    @property
    def used(self) -> int:
        """The number of readings that the rate rests on."""
        return int((self.weight > 0).sum())

    @property
    def systematic_sd(self) -> float:
        """All systematic parts together (1 sd)."""
        return float(np.sqrt(sum(part**2 for part in self.systematic.values())))

    @property
    def total_sd(self) -> float:
        """Statistical and systematic parts together (1 sd)."""
        return float(np.hypot(self.sd, self.systematic_sd))


def uptake(
    tests: Readings,
    supply: Supply,
    kit_offset_sd: float = 0.0,
    by_salinity: bool = False,
    longest_gap_days: float = LONGEST_GAP_DAYS,
) -> Uptake:
    """Give the constant uptake over the readings, per day, with its errors.

    Args:
        tests: Readings of the window, in any unit of concentration.
        supply: What went in, in that unit.
        kit_offset_sd: Error (1 sd) that all tests of a kit share, in that unit, 0 or more. It
            matters where new water of known concentration comes in.
        by_salinity: Whether to bring the readings to their mean salinity first.
        longest_gap_days: Beyond it between two tests no balance is drawn.

    Raises:
        ValueError: If ``kit_offset_sd`` is negative.

    Uncertainty:
        90 % interval from the tests (normal, or Student's t where their error is not known) and
        the systematic parts. A step much wider than the error of a test makes it too wide: 96 %.

    Source:
        Weighted least squares (Bevington & Robinson 2003, ch. 6); limits by the likelihood of
        Tobin 1958, Econometrica 26:24; errors kept apart as in JCGM 100:2008. From memory.

    >>> from journal_tools.science.estimation.measured import readings
    >>> from journal_tools.science.estimation.supply import Feed
    >>> steady = readings([0.0, 5.0, 10.0], [8.0, 8.0, 8.0], sd=0.1)
    >>> found = uptake(steady, Supply(feeds=(Feed(0.0, 10.0, 0.9, "soda"),),
    ...                               potency_sd={"soda": 0.1}))
    >>> round(found.rate, 3), round(found.sd, 4), round(found.systematic["soda"], 4)
    (0.9, 0.0141, 0.09)
    """
    in_scalar_range("kit offset", kit_offset_sd, 0.0, np.inf)
    timeline = Timeline(supply)
    tests = one_a_moment(tests, timeline.event_days())
    if not by_salinity and salinity_range(tests) > LARGEST_SALINITY_SHIFT:
        return _not_estimable(tests, NotEstimable.SALINITY_SHIFT)
    tests = at_mean_salinity(tests) if by_salinity else tests
    if len(tests) < 3:
        return _not_estimable(tests, NotEstimable.TOO_FEW, _two_tests(tests, timeline))
    balance = _Balance(tests, timeline, longest_gap_days)
    reason = balance.reason()
    if reason is not None:
        return _not_estimable(tests, reason)
    fit = robust_fit(balance.equations())
    if not balance.equations().sd_known and fit.covariance[-1, -1] <= 1e-20 * fit.unknowns[0] ** 2:
        return _not_estimable(tests, NotEstimable.NO_SCATTER)
    return _estimated(balance, fit, kit_offset_sd)


def two_test_rate(
    before: float, after: float, days: float, dosed: float = 0.0, sd: float = 0.0
) -> tuple[float, float]:
    """Give uptake per day and its error (1 sd) from two tests without a change between.

    Args:
        before: First result.
        after: Second result.
        days: Time between in days, more than 0.
        dosed: Rise by all doses between.
        sd: Error of one test (1 sd), 0 or more.

    Raises:
        ValueError: If there is no time between, or the error is negative.

    Uncertainty:
        Two errors by the days between: 0.14 dKH a day for tests of 0.2 dKH two days apart.

    Source:
        Propagation of independent errors (JCGM 100:2008, 5.1.2).

    >>> rate, error = two_test_rate(8.4, 8.0, 2.0, dosed=1.0, sd=0.2)
    >>> round(rate, 3), round(error, 4)
    (0.7, 0.1414)
    """
    length = in_scalar_range("days between tests", days, 1e-9, np.inf)
    error = in_scalar_range("error of a test", sd, 0.0, np.inf)
    return (before + dosed - after) / length, float(error * np.sqrt(2) / length)


class _Balance:
    """The rows ``C = a C0 + b u + d`` of a window: columns are the levels, then the rate."""

    def __init__(self, tests: Readings, timeline: Timeline, longest_gap_days: float) -> None:
        self.tests, self.timeline = tests, timeline
        self.between = timeline.transitions(tests.day)
        self.gap = self.between.days > longest_gap_days
        self.stretch: IntArray = np.append(0, np.cumsum(~self.between.known | self.gap))
        labels = np.stack([self.stretch, tests.kit], axis=1)
        _, level, size = np.unique(labels, axis=0, return_inverse=True, return_counts=True)
        # A level with a single test is spent on that test.
        self.telling: Mask = size[level] > 1
        _, self.level = np.unique(level[self.telling], return_inverse=True)
        self.design, self.known = self.rows(self.between)

    def rows(self, between: Transitions) -> tuple[FloatArray, FloatArray]:
        """Give design and known part of the readings that tell something."""
        kept, reach, known = between.since_breaks(self.stretch)
        levels = int(self.level.max()) + 1 if len(self.level) else 0
        design = np.zeros((len(self.level), levels + 1))
        design[np.arange(len(self.level)), self.level] = kept[self.telling]
        design[:, -1] = reach[self.telling]
        return design, known[self.telling]

    def equations(self) -> Rows:
        """Give what is to be solved."""
        tests = self.tests.where(self.telling)
        variance = tests.variance()
        sd_known = bool(np.isfinite(variance).all())
        variance = variance if sd_known else 1.0 / tests.count
        target, least = tests.value - self.known, float(tests.step.max(initial=0.0)) ** 2 / 12
        return Rows(self.design, target, variance, tests.censored, sd_known, least)

    def reason(self) -> NotEstimable | None:
        """Say what forbids a fit, or None."""
        if (self.tests.censored == 0).sum() < 3:
            return NotEstimable.LIMITS_ONLY
        rows = self.equations()
        figures = rows.censored == 0
        spare = int(figures.sum()) - self.design.shape[1]
        if spare >= (1 if rows.sd_known or figures.all() else _LEAST_FREEDOM):
            return None if rows.determined_by(figures) else NotEstimable.NOTHING_SEEN
        if not self.between.known.all():
            return NotEstimable.UNKNOWN_SUPPLY
        if self.gap.any():
            return NotEstimable.GAP
        kits = len(np.unique(self.tests.kit))
        return NotEstimable.KIT_CHANGE if kits > 1 else NotEstimable.LIMITS_ONLY


def _estimated(balance: _Balance, fit: Fit, kit_offset_sd: float) -> Uptake:
    rate, sd = float(fit.unknowns[-1]), float(np.sqrt(fit.covariance[-1, -1]))
    sd_known = balance.equations().sd_known
    strained = sd_known and fit.chi2 > chi_square_95(fit.freedom)
    # Errors as scattered are never shrunk below those stated (Birge 1932, Phys. Rev. 40:207).
    sd *= max(fit.misfit, 1.0) ** 0.5 if sd_known else 1.0
    systematic = _systematic(balance, fit, kit_offset_sd)
    wide = student_95(fit.freedom) if strained or not sd_known else Z90
    half = float(np.hypot(wide * sd, Z90 * sum(part**2 for part in systematic.values()) ** 0.5))
    size, telling = len(balance.tests), balance.telling
    weight, residual, aside = np.zeros(size), np.full(size, np.nan), np.zeros(size, dtype=bool)
    weight[telling], residual[telling], aside[telling] = fit.used, fit.residual, ~fit.used
    misfit = fit.misfit if sd_known else np.nan
    return Uptake(rate, sd, systematic, rate - half, rate + half, balance.tests, weight, aside,
                  residual, misfit, strained)  # fmt: skip


def _systematic(balance: _Balance, fit: Fit, kit_offset_sd: float) -> dict[str, float]:
    """Give how far the rate moves if each shared error is one standard deviation off."""
    rate, parts = float(fit.unknowns[-1]), {}
    for name, sd in balance.timeline.sources_of_error():
        between = balance.timeline.transitions(balance.tests.day, name, sd)
        design, known = balance.rows(between)
        parts[name] = abs(float(fit.moved_by(design, known - balance.known)[-1]) - rate)
    if kit_offset_sd:
        offset = np.full(len(fit.working), kit_offset_sd)
        parts[KIT_OFFSET] = abs(float(fit.moved_by(balance.design, offset)[-1]) - rate)
    return parts


def _two_tests(tests: Readings, timeline: Timeline) -> tuple[float, float] | None:
    if len(tests) < 2 or tests.censored.any() or tests.kit[0] != tests.kit[1]:
        return None
    between = timeline.transitions(tests.day)
    if not between.known[0]:
        return None
    a, b, d = float(between.a[0]), float(between.b[0]), float(between.d[0])
    first, last = tests.variance()
    rate = (a * tests.value[0] + d - tests.value[1]) / -b
    return float(rate), float(np.sqrt(a**2 * first + last) / -b)


def _not_estimable(
    tests: Readings, reason: NotEstimable, two_tests: tuple[float, float] | None = None
) -> Uptake:
    size, nan = len(tests), float("nan")
    return Uptake(nan, nan, {}, nan, nan, tests, np.zeros(size), np.zeros(size, dtype=bool),
                  np.full(size, nan), nan, False, two_tests, reason)  # fmt: skip
