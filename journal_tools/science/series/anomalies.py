"""Readings that do not fit their neighbours, each with the evidence: how far, against what."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from journal_tools.science.series.stability import (
    FEWEST_READINGS,
    as_series,
    scaled_mad,
    trimmed_sd,
)
from journal_tools.science.validity import FloatArray

ANOMALY_LIMIT = 3.5
"""Spreads from the local line beyond which a reading is odd."""

NEIGHBOURS = 8
"""Readings, nearest in time, that the local line is drawn through."""

NEIGHBOUR_DAYS = 60.0
"""Days beyond which a reading is no neighbour. Common practice, no source."""

_FEWEST_NEIGHBOURS = 4

AnomalyKind = Literal["single", "shift", "newest"]


@dataclass(frozen=True, slots=True)
class Anomaly:
    """A reading far from the line through its neighbours.

    Attributes:
        index: Which reading, counted from 0 in what was given.
        day: Its moment.
        value: What was read.
        expected: Value of the line at that moment.
        spread: Usual distance of a reading from such a line there, one standard deviation.
        kind: ``single`` where later readings are back on the line, ``shift`` where they stay
            away on the same side, ``newest`` where there is none yet.
    """

    index: int
    day: float
    value: float
    expected: float
    spread: float
    kind: AnomalyKind

    @property
    def spreads(self) -> float:
        """How many usual distances it is away, without sign."""
        return abs(self.value - self.expected) / self.spread


@dataclass(frozen=True, slots=True)
class LocalLines:
    """For each reading what its neighbours lead to expect.

    Attributes:
        expected: Value there of a robust line through the neighbours, without the reading
            itself; NaN where they are too few.
        stretch: How many times its own error the reading may miss the line: more than 1,
            because the line is uncertain, too, most of all beyond its ends.
    """

    expected: FloatArray
    stretch: FloatArray


def local_lines(
    days: ArrayLike, values: ArrayLike, neighbours: int = NEIGHBOURS, only_before: bool = False
) -> LocalLines:
    """Give for each reading the value that a Theil-Sen line through its neighbours in time has.

    Args:
        days: Moments in days, rising.
        values: Readings without NaN.
        neighbours: Readings nearest in time that count, 4 or more; only those within 60 days do.
        only_before: Whether only earlier readings are neighbours.

    Raises:
        ValueError: If the readings are no series, or ``neighbours`` is below 4.

    Source:
        Theil-Sen line; prediction error of a straight line, 1 + 1/n + (t - mean)^2 / sum of
        squares.

    >>> lines = local_lines([0, 1, 2, 3, 4], [1.0, 2.0, 9.0, 4.0, 5.0])
    >>> float(lines.expected[2])
    3.0
    """
    if neighbours < _FEWEST_NEIGHBOURS:
        raise ValueError(f"{neighbours} neighbours are too few")
    moments, numbers = as_series(days, values)
    if moments.size <= _FEWEST_NEIGHBOURS:
        unknown = np.full(moments.size, np.nan)
        return LocalLines(unknown, unknown.copy())
    which = _nearest(moments, min(neighbours, moments.size - 1), only_before)
    away = moments[which] - moments[:, None]
    rows = np.arange(moments.size)[:, None]
    counts = (np.abs(away) <= NEIGHBOUR_DAYS) & ((which < rows) if only_before else which != rows)
    return _lines(np.where(counts, away, np.nan), np.where(counts, numbers[which], np.nan))


def find_anomalies(
    days: ArrayLike, values: ArrayLike, floor: float = 0.0, limit: float = ANOMALY_LIMIT
) -> list[Anomaly]:
    """Give the readings that lie far from the robust line through their neighbours in time.

    Args:
        days: Moments in days, rising; a year or so is enough.
        values: Readings; fewer than 7 give no finding.
        floor: Least spread of a reading, see ``stability.noise_floor``.
        limit: Usual distances that are too far, > 0.

    Raises:
        ValueError: If the readings are no series, or the limit is not positive.

    Uncertainty:
        For normal errors about 1 reading in 1000 is found by chance; more if they wander.

    Source:
        |residual| > 3.5 max(MAD', floor) (Iglewicz & Hoaglin 1993 for 3.5 with a scaled MAD).

    >>> found = find_anomalies(range(9), [8.0, 8.1, 8.0, 7.9, 8.0, 9.5, 8.1, 8.0, 8.0], floor=0.1)
    >>> [(one.index, one.kind) for one in found]
    [(5, 'single')]
    """
    if not limit > 0:
        raise ValueError(f"limit {limit} is not positive")
    given = np.flatnonzero(~np.isnan(np.asarray(values, dtype=np.float64)))
    moments, numbers = as_series(days, values)
    if moments.size < FEWEST_READINGS:
        return []
    lines = local_lines(moments, numbers)
    misses = (numbers - lines.expected) / lines.stretch
    known = misses[~np.isnan(misses)]
    spread = max(floor, scaled_mad(known), trimmed_sd(known)) if known.size else 0.0
    if spread == 0:
        return []  # All alike and no floor: nothing says how far is far.
    odd = np.flatnonzero(np.abs(misses) > limit * spread)
    if not odd.size:
        return []
    before = local_lines(moments, numbers, only_before=True).expected
    return [
        Anomaly(
            index=int(given[i]),
            day=float(moments[i]),
            value=float(numbers[i]),
            expected=float(lines.expected[i]),
            spread=float(spread * lines.stretch[i]),
            kind=_kind(i, numbers, float(lines.expected[i]), float(before[i])),
        )
        for i in odd.tolist()
    ]


def _nearest(moments: FloatArray, count: int, only_before: bool) -> NDArray[np.intp]:
    """Give for each reading the ones around it that lie nearest in time, itself among them."""
    n = moments.size
    own, back = np.arange(n)[:, None], np.arange(-count, 1)
    if only_before:
        return np.where(own + back >= 0, own + back, own)
    firsts = np.clip(own + back, 0, n - count - 1)
    reach = np.maximum(moments[own] - moments[firsts], moments[firsts + count] - moments[own])
    first = np.take_along_axis(firsts, reach.argmin(axis=1)[:, None], axis=1)
    nearest: NDArray[np.intp] = first + np.arange(count + 1)
    return nearest


def _row_medians(table: FloatArray) -> FloatArray:
    """Give the median of each row without its NaN; NaN where nothing is left."""
    ranked = np.sort(table, axis=1)  # NaN come last.
    counts = np.sum(~np.isnan(table), axis=1)
    rows = np.arange(counts.size)
    middle: FloatArray = ranked[rows, np.maximum(counts - 1, 0) // 2]
    above: FloatArray = ranked[rows, np.minimum(counts // 2, table.shape[1] - 1)]
    return (middle + above) / 2


def _lines(away: FloatArray, numbers: FloatArray) -> LocalLines:
    """Give the value at 0 of a robust line through each row of points, where they are enough."""
    first, last = np.triu_indices(away.shape[1], 1)
    widths = away[:, last] - away[:, first]
    rises = numbers[:, last] - numbers[:, first]
    slopes = _row_medians(np.where(widths > 0, rises, np.nan) / np.where(widths > 0, widths, 1.0))
    slopes = np.where(np.isnan(slopes), 0.0, slopes)
    expected = _row_medians(numbers - slopes[:, None] * away)
    counts = np.sum(~np.isnan(away), axis=1)
    whole = np.maximum(counts, 1)
    mean = np.nansum(away, axis=1) / whole
    squares = np.nansum((away - mean[:, None]) ** 2, axis=1)
    # The median of n normal values scatters by sqrt(pi / 2) sigma / sqrt(n).
    level = math.pi / 2 / whole
    tilt = mean**2 / np.where(squares > 0, squares, np.inf)
    enough = counts >= _FEWEST_NEIGHBOURS
    stretch = np.sqrt(1 + level + tilt)
    return LocalLines(np.where(enough, expected, np.nan), np.where(enough, stretch, np.nan))


def _kind(index: int, numbers: FloatArray, expected: float, before: float) -> AnomalyKind:
    """Tell whether the readings after an odd one stay with it, by what came before it."""
    later = numbers[index + 1 : index + 3]
    if not later.size:
        return "newest"
    base = expected if math.isnan(before) else before
    stayed = float(np.mean(later - base)) / float(numbers[index] - base or math.inf)
    return "shift" if stayed > 0.5 else "single"
