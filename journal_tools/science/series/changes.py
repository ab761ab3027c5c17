"""Levels that changed, each with the evidence: when, by how much, against what spread."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from journal_tools.science.series.stability import FEWEST_READINGS, as_series, short_term_spread
from journal_tools.science.validity import FloatArray

CHANGE_PENALTY = 18.0
"""Squared spreads that a further level must explain: a step of 4.2 standard errors."""

FEWEST_OF_A_LEVEL = 2
"""Readings that make a level; one alone is an anomaly."""

_LONE_OUTLIER = 3.5


@dataclass(frozen=True, slots=True)
class ChangePoint:
    """A reading from which the level is another.

    Attributes:
        index: First reading of the new level, counted from 0 in what was given.
        day: Its moment.
        last_day_before: Moment of the reading before: the change came between the two.
        before: Mean of the level before, lone outliers left out.
        after: Mean of the level after.
        count_before: Readings at the level before.
        count_after: Readings at the level after.
        spread: Standard deviation of a reading about its level.
        is_drift: Whether one straight line explains both levels as well: no sudden change.
    """

    index: int
    day: float
    last_day_before: float
    before: float
    after: float
    count_before: int
    count_after: int
    spread: float
    is_drift: bool

    @property
    def step(self) -> float:
        """Level after less level before."""
        return self.after - self.before

    @property
    def score(self) -> float:
        """Size of the step in its own standard errors."""
        return (
            abs(self.step) / self.spread / math.sqrt(1 / self.count_before + 1 / self.count_after)
        )


def find_change_points(
    days: ArrayLike,
    values: ArrayLike,
    floor: float = 0.0,
    penalty: float = CHANGE_PENALTY,
    fewest: int = FEWEST_OF_A_LEVEL,
) -> list[ChangePoint]:
    """Give the readings at which the level changed, by the best cut of the record into levels.

    Args:
        days: Moments in days, rising; only their order matters, so tests need not be regular.
        values: Readings; fewer than 7 give no finding.
        floor: Least spread of a reading, see ``stability.noise_floor``.
        penalty: Squared spreads that each further level must explain, > 0.
        fewest: Readings that make a level, >= 1.

    Raises:
        ValueError: If the readings are no series, or penalty or ``fewest`` are out of range.

    Uncertainty:
        A step of 3 spreads is placed within one reading 9 times in 10.

    Source:
        Sum of squares about the means over the squared spread, plus a penalty for each level,
        least over all cuts at every reading (Jackson et al. 2005, IEEE Signal Process. Lett.
        12:105, from memory). Spread by ``short_term_spread``.

    >>> found = find_change_points(range(8), [8.0, 8.1, 7.9, 8.0, 9.0, 9.1, 8.9, 9.0], floor=0.1)
    >>> [(change.index, round(change.step, 2)) for change in found]
    [(4, 1.0)]
    """
    if not penalty > 0 or fewest < 1:
        raise ValueError(f"penalty {penalty} or fewest {fewest} is out of range")
    given = np.flatnonzero(~np.isnan(np.asarray(values, dtype=np.float64)))
    moments, numbers = as_series(days, values)
    if numbers.size < max(2 * fewest, FEWEST_READINGS):
        return []
    spread = short_term_spread(numbers, floor)
    if spread == 0:
        return []
    numbers = _without_lone_outliers(numbers, spread)
    cuts = best_cuts((numbers - np.median(numbers)) / spread, penalty, fewest)
    edges = [0, *cuts, numbers.size]
    return [
        _change(moments, numbers, (start, cut, end), spread, int(given[cut]))
        for start, cut, end in zip(edges, cuts, edges[2:], strict=False)
    ]


def best_cuts(values: FloatArray, penalty: float, fewest: int = 1) -> list[int]:
    """Give where to cut a record so that squares about the means plus penalties are least.

    Args:
        values: Readings in units of their spread.
        penalty: Cost of each cut, in squared spreads.
        fewest: Least readings of a level.

    Returns:
        Index of the first reading after each cut.

    Source:
        Optimal partitioning, Jackson et al. 2005 (from memory): the cuts that PELT (Killick,
        Fearnhead & Eckley 2012) finds, too.

    >>> best_cuts(np.array([0.0, 0.1, 0.0, 5.0, 5.1, 5.0]), 3.0)
    [3]
    """
    n = values.size
    sums = np.concatenate([[0.0], np.cumsum(values)])
    shares = 1.0 / np.maximum(np.arange(n + 1), 1)
    # Least cost of the first i readings, without their squares, which no cut can change.
    least = np.full(n + 1, np.inf)
    least[0] = -penalty
    start_of_last = np.zeros(n + 1, dtype=np.intp)
    for end in range(fewest, n + 1):
        starts = end + 1 - fewest
        rise = sums[end] - sums[:starts]
        costs = least[:starts] - rise * rise * shares[end : fewest - 1 : -1]
        start_of_last[end] = best = int(costs.argmin())
        least[end] = costs[best] + penalty
    cuts, end = [], n
    while start_of_last[end] > 0:
        end = int(start_of_last[end])
        cuts.append(end)
    return cuts[::-1]


def _without_lone_outliers(numbers: FloatArray, spread: float) -> FloatArray:
    """Give the readings, each that stands out against both neighbours moved to their median.

    Else a wild one would draw a neighbour into a level of two.
    """
    first = np.clip(np.arange(numbers.size) - 1, 0, numbers.size - 3)
    middle: FloatArray = np.median(numbers[first[:, None] + np.arange(3)], axis=1)
    return np.where(np.abs(numbers - middle) > _LONE_OUTLIER * spread, middle, numbers)


def _change(
    moments: FloatArray,
    numbers: FloatArray,
    edges: tuple[int, int, int],
    spread: float,
    given_index: int,
) -> ChangePoint:
    start, cut, end = edges
    left, right = numbers[start:cut], numbers[cut:end]
    both, around = numbers[start:end], moments[start:end] - moments[start:end].mean()
    step, total = right.mean() - left.mean(), both - both.mean()
    by_levels = step**2 * left.size * right.size / both.size
    by_line = float(around @ total) ** 2 / float(around @ around or math.inf)
    return ChangePoint(
        index=given_index,
        day=float(moments[cut]),
        last_day_before=float(moments[cut - 1]),
        before=float(left.mean()),
        after=float(right.mean()),
        count_before=left.size,
        count_after=right.size,
        spread=spread,
        is_drift=bool(by_line >= by_levels),
    )
