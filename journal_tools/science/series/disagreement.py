"""Whether two instruments of one quantity disagree: probe and kit, or two kits."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from journal_tools.science.series.stability import as_series
from journal_tools.science.validity import FloatArray, in_scalar_range

FEWEST_PAIRS = 3
"""Pairs below which nothing is said of a difference."""


@dataclass(frozen=True, slots=True)
class Disagreement:
    """How much higher the first instrument reads than the second.

    Attributes:
        pairs: Index of the first's and of the second's reading, for each pair, in order.
        differences: First less second, for each pair.
        bias: Mean difference.
        low: Low end of its confidence interval.
        high: High end.
        tolerance: Difference that nobody minds.
    """

    pairs: tuple[tuple[int, int], ...]
    differences: tuple[float, ...]
    bias: float
    low: float
    high: float
    tolerance: float

    @property
    def is_certain(self) -> bool:
        """Whether the whole interval lies beyond the tolerance, on one side."""
        return self.low > self.tolerance or self.high < -self.tolerance


def paired(days_a: ArrayLike, days_b: ArrayLike, within_h: float) -> NDArray[np.intp]:
    """Give the readings of two instruments that were taken at nearly the same time.

    Each reading is in one pair at most: the one nearest in time keeps it.

    Args:
        days_a: Moments of the first instrument in days, rising.
        days_b: Moments of the second.
        within_h: Hours that the two of a pair may lie apart, 0 to 240.

    Returns:
        Rows of two indices, in the order of the first instrument.

    Raises:
        ValueError: If the hours are out of range.

    >>> paired([0.0, 7.0, 14.0], [0.05, 6.0, 14.1], 3.0).tolist()
    [[0, 0], [2, 2]]
    """
    reach = in_scalar_range("hours", within_h, 0.0, 240.0, "h") / 24
    a, b = np.asarray(days_a, dtype=np.float64), np.asarray(days_b, dtype=np.float64)
    if not a.size or not b.size:
        return np.empty((0, 2), dtype=np.intp)
    right = np.clip(np.searchsorted(b, a), 1, max(1, b.size - 1))
    right = np.minimum(right, b.size - 1)
    left = np.maximum(right - 1, 0)
    nearest = np.where(np.abs(b[left] - a) <= np.abs(b[right] - a), left, right)
    apart = np.abs(b[nearest] - a)
    order = np.lexsort((np.arange(a.size), apart, nearest))
    first_of_b = np.concatenate([[True], np.diff(nearest[order]) > 0])
    kept = np.sort(order[first_of_b & (apart[order] <= reach + 1e-9)])
    return np.column_stack([kept, nearest[kept]])


def disagreement(
    first: tuple[ArrayLike, ArrayLike],
    second: tuple[ArrayLike, ArrayLike],
    within_h: float = 2.0,
    tolerance: float = 0.0,
    floor: float = 0.0,
    confidence: float = 0.95,
) -> Disagreement | None:
    """Give the mean difference of two instruments over paired readings, with its interval.

    Args:
        first: Days (rising) and values of one instrument, without NaN.
        second: Days and values of the other, in the same unit.
        within_h: Hours that the two of a pair may lie apart, 0 to 240.
        tolerance: Difference that nobody minds, >= 0.
        floor: Least standard deviation of a difference: the kits' errors, as root of the sum of
            squares.
        confidence: Confidence of the interval, 0.5 to 0.9999.

    Returns:
        The comparison; None where there are fewer than 3 pairs.

    Raises:
        ValueError: If a series or a figure is out of range.

    Uncertainty:
        The interval holds for normal differences. That two agree does not make them right.

    Source:
        Mean of paired differences (Bland & Altman 1986, Lancet 327:307) with Student's interval.

    >>> days = [0.0, 7.0, 14.0, 21.0]
    >>> found = disagreement((days, [8.3, 8.2, 8.3, 8.2]), (days, [8.0, 8.0, 8.0, 8.0]))
    >>> round(found.bias, 2), found.is_certain
    (0.25, True)
    """
    from scipy.special import stdtrit

    in_scalar_range("tolerance", tolerance, 0.0, 1e12)
    level = in_scalar_range("confidence", confidence, 0.5, 0.9999)
    (days_a, values_a), (days_b, values_b) = _whole(first), _whole(second)
    pairs = paired(days_a, days_b, within_h)
    if len(pairs) < FEWEST_PAIRS:
        return None
    differences: FloatArray = values_a[pairs[:, 0]] - values_b[pairs[:, 1]]
    n, bias = differences.size, float(differences.mean())
    quantile = float(stdtrit(n - 1, (1 + level) / 2))
    half = quantile * max(floor, float(differences.std(ddof=1))) / math.sqrt(n)
    return Disagreement(
        pairs=tuple((a, b) for a, b in pairs.tolist()),
        differences=tuple(differences.tolist()),
        bias=bias,
        low=bias - half,
        high=bias + half,
        tolerance=tolerance,
    )


def _whole(series: tuple[ArrayLike, ArrayLike]) -> tuple[FloatArray, FloatArray]:
    """Give a checked series; a NaN would shift the indices of the pairs, so there may be none."""
    days, values = as_series(*series)
    if days.size != np.size(series[0]):
        raise ValueError("readings to compare must not be NaN")
    return days, values
