"""Whether a quantity drifts, and how fast."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike

from journal_tools.science.series.stability import as_series, scaled_mad
from journal_tools.science.validity import FloatArray, in_scalar_range


@dataclass(frozen=True, slots=True)
class Slope:
    """A robust line through readings.

    Attributes:
        per_day: Change per day.
        low: Low end of its confidence interval.
        high: High end.
        intercept: Value of the line at day 0.
        count: Readings used.
        centre_day: Median day, through which the line is best known.
    """

    per_day: float
    low: float
    high: float
    intercept: float
    count: int
    centre_day: float

    @property
    def is_certain(self) -> bool:
        """Whether the interval leaves 0 out."""
        return self.low > 0 or self.high < 0

    def at(self, day: float) -> float:
        """Give the value of the line on a day."""
        return self.intercept + self.per_day * day

    def day_at(self, value: float) -> float:
        """Give the day on which the line reaches a value.

        Raises:
            ValueError: If the line is level.
        """
        if self.per_day == 0:
            raise ValueError("a level line reaches nothing")
        return (value - self.intercept) / self.per_day


def theil_sen(days: ArrayLike, values: ArrayLike, confidence: float = 0.90) -> Slope:
    """Give the median of the slopes of all pairs of readings, per day, with its interval.

    Dates come first here and count as they are. The work grows with the square of the number
    of readings: give the window of interest.

    Args:
        days: Moments in days, rising.
        values: Readings, at least two at different moments.
        confidence: Confidence of the interval, 0.5 to 0.9999.

    Raises:
        ValueError: If no two moments differ, or the confidence is out of range.

    Uncertainty:
        The interval holds for independent errors; below six readings it spans all slopes.

    Source:
        Theil 1950; Sen 1968 (J. Am. Stat. Assoc. 63:1379), equation 2.6 for the interval.

    >>> slope = theil_sen([0, 2, 5, 9, 14, 20], [8.5, 8.4, 8.2, 8.1, 9.5, 7.4])
    >>> round(slope.per_day, 9), round(slope.low, 5), round(slope.high, 5)
    (-0.05, -0.06364, 0.09167)
    >>> round(slope.day_at(7.0), 6)
    33.0
    """
    z = _z(confidence)
    moments, numbers = as_series(days, values)
    slopes = _pair_slopes(moments, numbers)
    if not slopes.size:
        raise ValueError("a slope needs readings at two different moments")
    slopes.sort()
    margin = z * math.sqrt(max(0.0, _sen_variance(moments, numbers)))
    first = max(round((slopes.size - margin) / 2) - 1, 0)
    last = min(round((slopes.size + margin) / 2), slopes.size - 1)
    middle, centre = float(np.median(slopes)), float(np.median(moments))
    intercept = float(np.median(numbers)) - middle * centre
    return Slope(middle, float(slopes[first]), float(slopes[last]), intercept, moments.size, centre)


def trend(
    days: ArrayLike, values: ArrayLike, spread: float = 0.0, confidence: float = 0.95
) -> Slope:
    """Give the Theil-Sen slope, per day, with an interval that a few lucky readings cannot shrink.

    It is the wider of Sen's interval and that of a straight line through readings with the
    given spread (or their own, if larger), wider again where the readings follow one another.

    Args:
        days: Moments in days, rising.
        values: Readings, at least three, at two different moments or more.
        spread: Known standard deviation of a reading, such as ``short_term_spread``, >= 0.
        confidence: Confidence of the interval, 0.5 to 0.9999.

    Raises:
        ValueError: If there are fewer than three readings, or no two moments differ.

    Uncertainty:
        The interval itself; it errs on the wide side.

    Source:
        Theil-Sen as above; standard error of a line's slope, spread / sqrt(sum of squares of
        the days about their mean); for lag-1 correlation r, variance times (1 + r) / (1 - r).

    >>> trend([0, 7, 14], [8.0, 8.1, 8.2], spread=0.2).is_certain
    False
    >>> trend([0, 7, 14], [8.0, 9.0, 10.0], spread=0.2).is_certain
    True
    """
    moments, numbers = as_series(days, values)
    if moments.size < 3:
        raise ValueError(f"{moments.size} readings are too few for a trend")
    return _widened(theil_sen(moments, numbers, confidence), moments, numbers, (spread, confidence))


def least_squares_slope(days: ArrayLike, values: ArrayLike) -> float:
    """Give the slope of the straight line of least squares, per day, to compare with.

    One outlier bends it: judge by ``theil_sen`` or ``trend``.

    Args:
        days: Moments in days, rising.
        values: Readings, at least two at different moments.

    Raises:
        ValueError: If no two moments differ.

    Source:
        Least squares.

    >>> round(least_squares_slope([0, 1, 2], [8.0, 8.1, 8.2]), 9)
    0.1
    """
    moments, numbers = as_series(days, values)
    around = moments - (moments.mean() if moments.size else 0.0)
    if not around.any():
        raise ValueError("a slope needs readings at two different moments")
    return float(around @ numbers) / float(around @ around)


@dataclass(frozen=True, slots=True)
class MannKendall:
    """Whether later readings tend to be higher (or lower).

    Attributes:
        s: Pairs that rise less pairs that fall.
        variance: Variance of ``s`` where there is no trend.
        z: ``s`` in standard deviations, less one step for continuity.
        p: Chance of so large a ``z`` of either sign where there is no trend.
    """

    s: int
    variance: float
    z: float
    p: float


def mann_kendall(days: ArrayLike, values: ArrayLike) -> MannKendall:
    """Give the test for a trend of any form, with ties in value and in time.

    Args:
        days: Moments in days, rising; two readings of one moment are no pair.
        values: Readings, at least three.

    Raises:
        ValueError: If there are fewer than three readings.

    Uncertainty:
        The normal law is rough below 8 readings. Readings that follow one another make ``p`` too
        small: see ``lag_one_correlation``.

    Source:
        Mann 1945; Kendall 1975, with his variance for ties in both.

    >>> round(mann_kendall([0, 2, 5, 9, 14, 20], [8.5, 8.4, 8.2, 8.1, 9.5, 7.4]).p, 3)
    0.26
    """
    moments, numbers = as_series(days, values)
    if moments.size < 3:
        raise ValueError(f"{moments.size} readings are too few for a trend")
    first, last = np.triu_indices(moments.size, 1)
    steps = np.sign(moments[last] - moments[first]) * np.sign(numbers[last] - numbers[first])
    s, variance = int(steps.sum()), _kendall_variance(moments, numbers)
    z = (s - math.copysign(1, s)) / math.sqrt(variance) if s and variance > 0 else 0.0
    return MannKendall(s, variance, z, 2 * NormalDist().cdf(-abs(z)))


def lag_one_correlation(residuals: ArrayLike) -> float:
    """Give how much each residual repeats the one before it, -1 to 1.

    Args:
        residuals: What a line leaves, in the order of time, at least three.

    Raises:
        ValueError: If there are fewer than three.

    Uncertainty:
        About 1 / sqrt(n), and some 1 / n too low.

    Source:
        Lag-1 autocorrelation.

    >>> lag_one_correlation([1.0, -1.0, 1.0, -1.0])
    -0.75
    """
    rest = np.asarray(residuals, dtype=np.float64)
    if rest.size < 3:
        raise ValueError(f"{rest.size} residuals are too few")
    squares = float(rest @ rest)
    return float(rest[1:] @ rest[:-1]) / squares if squares > 0 else 0.0


def _z(confidence: float) -> float:
    level = in_scalar_range("confidence", confidence, 0.5, 0.9999)
    return NormalDist().inv_cdf((1 + level) / 2)


def _pair_slopes(moments: FloatArray, numbers: FloatArray) -> FloatArray:
    first, last = np.triu_indices(moments.size, 1)
    widths = moments[last] - moments[first]
    apart = widths > 0
    rises: FloatArray = (numbers[last] - numbers[first])[apart]
    return rises / widths[apart]


def _ties(numbers: FloatArray) -> FloatArray:
    """Give how often each value that is there more than once is there."""
    counts = np.unique(numbers, return_counts=True)[1].astype(np.float64)
    return counts[counts > 1]


def _sen_variance(moments: FloatArray, numbers: FloatArray) -> float:
    n = moments.size
    ties = np.concatenate([_ties(moments), _ties(numbers)])
    return float(n * (n - 1) * (2 * n + 5) - np.sum(ties * (ties - 1) * (2 * ties + 5))) / 18


def _kendall_variance(moments: FloatArray, numbers: FloatArray) -> float:
    n, t, u = moments.size, _ties(moments), _ties(numbers)
    pairs = np.sum(t * (t - 1)) * np.sum(u * (u - 1)) / (2 * n * (n - 1))
    triples = np.sum(t * (t - 1) * (t - 2)) * np.sum(u * (u - 1) * (u - 2))
    rest = pairs + triples / (9 * n * (n - 1) * (n - 2))
    return _sen_variance(moments, numbers) + float(rest)


def _caution(residuals: FloatArray) -> float:
    """Give by how much an error grows because readings follow one another, 1 or more."""
    if residuals.size < 8:
        return 1.0  # Too few to tell; the spread from a longer record has to do.
    r = lag_one_correlation(residuals) + 1 / residuals.size
    r = min(r, 0.8) if r > 1.645 / math.sqrt(residuals.size) else 0.0
    return math.sqrt((1 + r) / (1 - r))


def _widened(
    slope: Slope, moments: FloatArray, numbers: FloatArray, error: tuple[float, float]
) -> Slope:
    """Give a slope with an interval no narrower than the errors of single readings allow."""
    spread, confidence = error
    rest = numbers - slope.intercept - slope.per_day * moments
    around = moments - moments.mean()
    half = _z(confidence) * max(spread, scaled_mad(rest)) * _caution(rest)
    half /= math.sqrt(float(around @ around))
    low, high = min(slope.low, slope.per_day - half), max(slope.high, slope.per_day + half)
    return Slope(slope.per_day, low, high, slope.intercept, slope.count, slope.centre_day)
