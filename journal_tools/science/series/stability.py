"""How steady a quantity was: time-weighted mean, spread, swing, rate of change.

Readings come as days (since any fixed day) and values; a value that is NaN is left out.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from journal_tools.science.validity import FloatArray, in_scalar_range

SIGMA_PER_MAD = 1.482602218505602
"""Standard deviation over median absolute deviation of the normal law: 1 / 0.6744897501960817."""

FEWEST_READINGS = 7
"""Readings below which no reading is called odd and no level or trend a change."""

_KEPT = 0.85
# Variance of the normal law within the central 85 %: 1 - 2 q phi(q) / 0.85 with q = 1.43953.
_KEPT_VARIANCE = 0.5205

LONGEST_GAP_DAYS = 14.0
"""Days between tests beyond which the time between is unknown. Common practice, no source."""


def as_series(days: ArrayLike, values: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Give checked days and values, without the readings whose value is NaN.

    Args:
        days: Moments in days, in rising order; equal ones are allowed.
        values: Readings, as many.

    Raises:
        ValueError: If lengths differ, days fall or are not finite, or a value is infinite.

    >>> as_series([0, 1, 2], [8.0, float("nan"), 8.2])
    (array([0., 2.]), array([8. , 8.2]))
    """
    moments = np.asarray(days, dtype=np.float64)
    numbers = np.asarray(values, dtype=np.float64)
    if moments.ndim != 1 or moments.shape != numbers.shape:
        raise ValueError(f"days {moments.shape} and values {numbers.shape} are not two equal rows")
    if not np.isfinite(moments).all() or (np.diff(moments) < 0).any():
        raise ValueError("days must be finite and in rising order")
    if np.isinf(numbers).any():
        raise ValueError("a value is infinite")
    there = ~np.isnan(numbers)
    return moments[there], numbers[there]


def time_weighted_mean(
    days: ArrayLike, values: ArrayLike, max_gap_days: float = LONGEST_GAP_DAYS
) -> float:
    """Give the mean over time by straight lines between readings, in the unit of the values.

    Unlike the plain mean it is not bent by testing more often when things go wrong.

    Args:
        days: Moments in days, rising.
        values: Readings.
        max_gap_days: Days between readings beyond which the time between does not count, > 0.

    Raises:
        ValueError: If no two readings are near enough to know any time between them.

    Uncertainty:
        That of the readings over the root of their number, plus what happened between them.

    Source:
        Trapezoidal rule.

    >>> round(time_weighted_mean([0, 1, 3, 7, 8], [8.0, 8.2, 7.6, 8.4, 8.4]), 4)
    8.0375
    """
    moments, numbers = as_series(days, values)
    widths = _known_widths(moments, max_gap_days)
    if not widths.sum() > 0:
        raise ValueError(f"no two readings within {max_gap_days:g} days of each other")
    return float(np.average((numbers[1:] + numbers[:-1]) / 2, weights=widths))


def noise_floor(resolution: float = 0.0, kit_sd: float = 0.0) -> float:
    """Give the least spread that a reading can have, in its own unit.

    Args:
        resolution: Step between two results that a test can tell apart, >= 0.
        kit_sd: Standard deviation of repeated tests of the same water, >= 0.

    Raises:
        ValueError: If one is negative.

    Source:
        Standard deviation of a rectangle of width r is r / sqrt(12).

    >>> round(noise_floor(resolution=0.5), 4)
    0.1443
    """
    step = in_scalar_range("resolution", resolution, 0.0, 1e12)
    return max(step / math.sqrt(12), in_scalar_range("kit sd", kit_sd, 0.0, 1e12))


def scaled_mad(values: ArrayLike) -> float:
    """Give the median absolute deviation, scaled to the standard deviation of the normal law.

    Args:
        values: At least one reading; NaN is left out.

    Raises:
        ValueError: If there is none.

    Uncertainty:
        About 1.17 / sqrt(n) of itself, one standard deviation, for normal values.

    Source:
        Median of |y - median|, over 0.6745.

    >>> round(scaled_mad([8.0, 8.2, 7.6, 8.4, 8.4]), 5)
    0.29652
    """
    numbers = _some(values, 1)
    return SIGMA_PER_MAD * float(np.median(np.abs(numbers - np.median(numbers))))


def robust_spread(values: ArrayLike, resolution: float = 0.0, kit_sd: float = 0.0) -> float:
    """Give the spread as a standard deviation that single outliers do not move.

    Never less than the kit can tell: in coarse steps more than half the readings are often
    the same, the MAD is 0, and every deviation would seem infinite.

    Args:
        values: At least one reading; NaN is left out.
        resolution: Step between two results of the test, >= 0.
        kit_sd: Standard deviation of repeated tests of the same water, >= 0.

    Raises:
        ValueError: If there is no reading, or a negative floor.

    Uncertainty:
        As for ``scaled_mad``.

    Source:
        Scaled MAD; floor as for ``noise_floor``.

    >>> round(robust_spread([8.0, 8.0, 8.0, 8.5], resolution=0.5), 4)
    0.1443
    """
    return max(scaled_mad(values), noise_floor(resolution, kit_sd))


def trimmed_sd(values: ArrayLike) -> float:
    """Give the standard deviation about the median from all but the 15 % farthest readings.

    Unlike the MAD it does not jump by whole steps where results are coarse.

    Args:
        values: At least one reading; NaN is left out.

    Raises:
        ValueError: If there is none.

    Uncertainty:
        About 0.9 / sqrt(n) of itself, one standard deviation, for normal values.

    Source:
        Root mean square of the nearest 85 %, scaled for the normal law.

    >>> round(trimmed_sd([1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 90.0]), 2)
    2.47
    """
    numbers = _some(values, 1)
    deviations = np.sort(np.abs(numbers - np.median(numbers)))
    kept = deviations[: math.ceil(_KEPT * deviations.size)]
    return math.sqrt(float(kept @ kept) / kept.size / _KEPT_VARIANCE)


def short_term_spread(values: ArrayLike, floor: float = 0.0, lags: int = 6) -> float:
    """Give the spread of readings about their slow course, as a standard deviation.

    A steady drift or a shift hardly widens it, but wandering over a few tests does.

    Args:
        values: Readings in the order of time, at least two; NaN is left out.
        floor: Least spread possible, see ``noise_floor``.
        lags: Differences to the next reading, ... to this one, >= 1; fewer in a short record.

    Raises:
        ValueError: If there are fewer than two readings.

    Uncertainty:
        About 1 / sqrt(n) of itself, one standard deviation.

    Source:
        Robust variogram: root mean square over the lags of ``trimmed_sd`` of the differences,
        over sqrt(2).

    >>> short_term_spread([8.0, 8.1, 8.2, 8.3, 8.4], floor=0.05)
    0.05
    """
    numbers = _some(values, 2)
    # A shift is in as many differences as lie across it: they must be few among all.
    spans = range(1, max(1, min(lags, numbers.size // 12)) + 1)
    variances = [trimmed_sd(numbers[span:] - numbers[:-span]) ** 2 / 2 for span in spans]
    return max(floor, math.sqrt(math.fsum(variances) / len(variances)))


def swing(values: ArrayLike) -> float:
    """Give the highest less the lowest reading.

    It grows with the number of tests: compare months by ``comparable_swing``.

    Args:
        values: At least one reading; NaN is left out.

    Raises:
        ValueError: If there is none.

    >>> round(swing([8.0, 8.2, 7.6, 8.4, 8.4]), 9)
    0.8
    """
    return float(np.ptp(_some(values, 1)))


def comparable_swing(
    days: ArrayLike, values: ArrayLike, start_day: float, end_day: float, tests: int = 4
) -> float | None:
    """Give the swing that a few evenly spread tests would have shown, on average.

    The time is cut into as many equal parts as ``tests``; the swing is the mean of max - min over
    every way to pick one reading from each part. So a month with 30 tests can be compared with
    one with 4, whether the quantity scatters, drifts or both.

    Args:
        days: Moments in days, rising.
        values: Readings.
        start_day: First moment that counts.
        end_day: Moment from which nothing counts, after the start.
        tests: Number of parts, 2 or more.

    Returns:
        The swing in the unit of the values; None where a part has no reading.

    Raises:
        ValueError: If the end is not after the start, or ``tests`` is below 2.

    Uncertainty:
        With one reading a part, that of a plain swing: about 40 % of itself for pure scatter.

    Source:
        Mean over all picks, by the parts' distributions. Own method.

    >>> comparable_swing([0, 8, 16, 24], [8.0, 8.2, 7.6, 8.4], 0, 30) == swing([7.6, 8.4])
    True
    """
    if not end_day > start_day or tests < 2:
        raise ValueError(f"no {tests} parts between day {start_day} and day {end_day}")
    moments, numbers = as_series(days, values)
    within = (moments >= start_day) & (moments < end_day)
    moments, numbers = moments[within], numbers[within]
    share = (moments - start_day) / (end_day - start_day)
    parts = np.minimum((share * tests).astype(np.intp), tests - 1)
    if np.unique(parts).size < tests:
        return None
    order = np.argsort(numbers)
    ranked, picked = numbers[order], np.arange(tests)[:, None] == parts[order]
    at_most = np.cumsum(picked, axis=1) / picked.sum(axis=1, keepdims=True)
    # Between two neighbours in rank: the chance that the lowest is left of it, the highest right.
    wide = 1 - at_most.prod(axis=0) - (1 - at_most).prod(axis=0)
    return float(np.sum(np.diff(ranked) * wide[:-1]))


def max_rate_per_day(days: ArrayLike, values: ArrayLike, min_gap_days: float = 0.0) -> float:
    """Give the fastest change between a reading and the next, without sign, per day.

    Args:
        days: Moments in days, rising.
        values: Readings, at least two at different moments.
        min_gap_days: Days that two readings must lie apart to be compared, >= 0: the error of
            two tests within minutes is no rate.

    Raises:
        ValueError: If no two readings lie so far apart.

    Uncertainty:
        Error of a reading times sqrt(2), over the days between the two.

    >>> round(max_rate_per_day([0, 1, 3, 7, 8], [8.0, 8.2, 7.6, 8.4, 8.4]), 9)
    0.3
    """
    moments, numbers = as_series(days, values)
    later = np.searchsorted(moments, moments + min_gap_days, "left" if min_gap_days else "right")
    first = np.flatnonzero(later < moments.size)
    if not first.size:
        raise ValueError(f"no two readings {min_gap_days:g} days apart")
    last = later[first]
    return float(np.max(np.abs(numbers[last] - numbers[first]) / (moments[last] - moments[first])))


def largest_daily_step(
    days: ArrayLike, values: ArrayLike, max_gap_days: float = LONGEST_GAP_DAYS
) -> float:
    """Give the largest change within 24 hours, without sign, by straight lines between readings.

    Args:
        days: Moments in days, rising.
        values: Readings.
        max_gap_days: Days between readings beyond which the time between is unknown, > 0.

    Raises:
        ValueError: If nowhere a whole day is known.

    Uncertainty:
        A lower bound: between rare tests a step may hide.

    Source:
        Largest |y(t + 1 day) - y(t)| of the linear interpolant, which is at one of its bends.

    >>> round(largest_daily_step([0, 1, 3, 7, 8], [8.0, 8.2, 7.6, 8.4, 8.4]), 9)
    0.3
    """
    moments, numbers = as_series(days, values)
    # Of several tests at one moment their mean counts, or the line would jump.
    moments, which = np.unique(moments, return_inverse=True)
    numbers = np.bincount(which, numbers) / np.bincount(which)
    stretch = np.concatenate([[0], np.cumsum(np.diff(moments) > max_gap_days)])
    starts = np.concatenate([moments, moments - 1.0])
    first = np.searchsorted(moments, starts, "right") - 1
    last = np.searchsorted(moments, starts + 1.0, "left")
    held = (first >= 0) & (last < moments.size)
    held[held] = stretch[first[held]] == stretch[last[held]]
    if not held.any():
        raise ValueError("nowhere is a whole day known")
    left = starts[held]
    ends = np.interp(left + 1.0, moments, numbers)
    return float(np.max(np.abs(ends - np.interp(left, moments, numbers))))


def _some(values: ArrayLike, least: int) -> FloatArray:
    numbers = np.asarray(values, dtype=np.float64).ravel()
    numbers = numbers[~np.isnan(numbers)]
    if numbers.size < least:
        raise ValueError(f"{numbers.size} readings are too few: {least} or more are needed")
    return numbers


def _known_widths(moments: FloatArray, max_gap_days: float) -> FloatArray:
    widths = np.diff(moments)
    return np.where(widths <= max_gap_days, widths, 0.0)
