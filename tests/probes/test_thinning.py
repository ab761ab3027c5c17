"""A long series as few points: no spike is lost."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from journal_tools.probes.thinning import MOST_POINTS, thinned

steps = arrays(np.int64, st.integers(1, 400), elements=st.integers(1, 10**13))


@st.composite
def series(draw: st.DrawFn) -> tuple[np.ndarray, np.ndarray]:
    gaps = draw(steps)
    values = arrays(np.float64, gaps.size, elements=st.floats(-1e6, 1e6))
    return np.cumsum(gaps), draw(values)


@given(data=series(), most=st.integers(4, 60))
def test_no_spike_is_lost_and_no_point_is_made_up(
    data: tuple[np.ndarray, np.ndarray], most: int
) -> None:
    times, values = data
    rows = thinned(times, values, most)
    assert rows.size <= max(most, 0) and (np.diff(rows) > 0).all()
    assert rows[0] == 0 and rows[-1] == values.size - 1
    assert values[rows].min() == values.min() and values[rows].max() == values.max()


@given(data=series(), most=st.integers(4, 60))
def test_each_stretch_of_time_keeps_its_lowest_and_highest(
    data: tuple[np.ndarray, np.ndarray], most: int
) -> None:
    """The columns of a plot, worked out by hand: each has the extremes of what lies in it."""
    times, values = data
    kept = set(thinned(times, values, most).tolist())
    stretches = (most - 2) // 2
    if values.size <= most:
        assert kept == set(range(values.size))
        return
    width = float(times[-1] - times[0])
    columns: dict[int, list[int]] = {}
    for row, moment in enumerate(times.tolist()):
        place = min(int((moment - int(times[0])) / width * stretches), stretches - 1)
        columns.setdefault(place, []).append(row)
    for column in columns.values():
        drawn = [values[row] for row in column if row in kept]
        assert min(drawn) == min(values[column]) and max(drawn) == max(values[column])


@pytest.mark.parametrize("rows", [1, 1_000, 1_001, 50_000])
@pytest.mark.parametrize("spike", [0, 0.5, 1])
def test_a_lone_spike_in_a_quiet_week_is_drawn(rows: int, spike: float) -> None:
    values = np.full(rows, 25.0)
    at = int(spike * (rows - 1))
    values[at] = 26.0
    drawn = thinned(np.arange(rows) * 10**9, values)
    assert drawn.size <= MOST_POINTS and at in drawn


def test_fewer_than_four_points_are_refused() -> None:
    with pytest.raises(ValueError, match="4 or more"):
        thinned(np.arange(9), np.zeros(9), 3)
