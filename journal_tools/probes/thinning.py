"""A long series as few points that draw the same picture: no spike is lost."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from journal_tools.science.validity import FloatArray

MOST_POINTS = 1_000


def thinned(ns: NDArray[np.int64], values: FloatArray, most: int = MOST_POINTS) -> NDArray[np.intp]:
    """Give the rows that draw a series: of each stretch of time the lowest and the highest.

    Args:
        ns: Moments, rising.
        values: Values without NaN.
        most: Most rows wanted, 4 or more.

    Returns:
        Rows in order, the first and the last among them; all rows where there are few enough.

    Source:
        Jugel et al. (2014), M4: a visualization-oriented time series data aggregation,
        PVLDB 7(10); only minimum and maximum of each stretch, and the ends of the series.

    >>> thinned(np.arange(6), np.array([0.0, 5.0, 1.0, 1.0, -3.0, 1.0]), 4).tolist()
    [0, 1, 4, 5]
    """
    if most < 4:
        raise ValueError(f"most must be 4 or more, not {most}")
    if values.size <= most:
        return np.arange(values.size)
    stretches = (most - 2) // 2
    # In floats, since a span of years in ns times the number of stretches overflows.
    share = (ns - ns[0]) / float(ns[-1] - ns[0])
    stretch = np.minimum((share * stretches).astype(np.intp), stretches - 1)
    starts = np.flatnonzero(np.diff(stretch, prepend=-1))
    ends = np.append(starts[1:], values.size)
    extremes = [
        start + int(where(values[start:end]))
        for start, end in zip(starts.tolist(), ends.tolist(), strict=True)
        for where in (np.argmin, np.argmax)
    ]
    return np.unique(np.array([0, *extremes, values.size - 1], dtype=np.intp))
