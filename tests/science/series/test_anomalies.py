from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from journal_tools.science.series.anomalies import NEIGHBOUR_DAYS, find_anomalies, local_lines
from tests.science.synthetic_series import FloatArray

QUIET = [8.0, 8.1, 7.9, 8.0, 8.1, 8.0, 7.9, 8.1, 8.0, 7.9, 8.0, 8.1, 8.0, 7.9]
irregular = st.lists(
    st.tuples(st.integers(1, 20), st.integers(-500, 500)), min_size=6, max_size=25
).map(lambda rows: (np.cumsum([gap for gap, _ in rows]) / 10, np.array([v for _, v in rows]) / 10))


def _by_loop(days: FloatArray, values: FloatArray, i: int, count: int) -> float:
    """Give what scipy's line through the nearest others has at a reading."""
    firsts = range(max(0, i - count), min(i, days.size - count - 1) + 1)
    first = min(firsts, key=lambda s: max(days[i] - days[s], days[s + count] - days[i]))
    others = [j for j in range(first, first + count + 1) if j != i]
    away = days[others] - days[i]
    slope = stats.theilslopes(values[others], away).slope
    return float(np.median(values[others] - slope * away))


@given(irregular)
def test_the_line_agrees_with_scipy_through_each_readings_neighbours(
    series: tuple[FloatArray, FloatArray],
) -> None:
    days, values = series
    count = min(8, days.size - 1)
    expected = [_by_loop(days, values, i, count) for i in range(days.size)]
    assert local_lines(days, values).expected == pytest.approx(np.array(expected), abs=1e-9)


@given(irregular, st.floats(-3.0, 3.0))
def test_a_straight_line_is_its_own_local_line(
    series: tuple[FloatArray, FloatArray], per_day: float
) -> None:
    days, _ = series
    assert local_lines(days, 8.0 + per_day * days).expected == pytest.approx(
        8.0 + per_day * days, abs=1e-6
    )


def test_only_earlier_neighbours() -> None:
    lines = local_lines(range(7), [1.0, 2.0, 3.0, 4.0, 50.0, 60.0, 70.0], only_before=True)
    assert np.isnan(lines.expected[:4]).all()
    assert lines.expected[4] == pytest.approx(5.0)


def test_neighbours_are_near_in_time_and_not_in_number() -> None:
    days = [0, 1, 2, 3, 4, 200, 201, 202, 203, 204]
    values = [8.0, 8.0, 8.0, 8.0, 8.0, 20.0, 20.0, 20.0, 20.0, 20.0]
    lines = local_lines(days, values)
    assert lines.expected == pytest.approx(np.array(values))
    assert np.isnan(local_lines([0, 1, 2, 3, 3 + NEIGHBOUR_DAYS + 1], [8.0] * 5).expected[4])


def test_a_reading_beyond_the_end_may_miss_by_more() -> None:
    stretch = local_lines(range(20), np.zeros(20)).stretch
    assert stretch[-1] > 1.15 * stretch[10] > 1.15
    assert stretch[0] == pytest.approx(stretch[-1])


@pytest.mark.parametrize("place", [0, 5, 13])
def test_one_wild_reading_is_found_wherever_it_is(place: int) -> None:
    values = np.array(QUIET)
    values[place] += 1.5
    found = find_anomalies(range(14), values, floor=0.1)
    assert [one.index for one in found] == [place]
    assert found[0].kind == ("newest" if place == 13 else "single")
    assert found[0].expected == pytest.approx(8.0, abs=0.25)
    assert found[0].value == values[place]
    assert found[0].spreads > 3.5


def test_the_start_of_a_shift_is_no_lone_outlier() -> None:
    values = [*QUIET, 9.5, 9.4, 9.6]
    found = find_anomalies(range(15), values[:15], floor=0.1)
    assert [(one.index, one.kind) for one in found] == [(14, "newest")]
    found = find_anomalies(range(16), values[:16], floor=0.1)
    assert (14, "shift") in [(one.index, one.kind) for one in found]


def test_a_repeated_test_that_agrees_with_the_rest_makes_it_a_single_one() -> None:
    days = [*range(14), 14.0, 14.1]
    found = find_anomalies(days, [*QUIET, 9.5, 8.0], floor=0.1)
    assert [(one.index, one.kind) for one in found] == [(14, "single")]


def test_trap_in_coarse_steps_one_step_is_no_anomaly() -> None:
    values = [8.0] * 8 + [8.5] + [8.0] * 5
    assert find_anomalies(range(14), values, floor=0.5 / math.sqrt(12)) == []
    assert [one.index for one in find_anomalies(range(14), values, floor=0.01)] == [8]


def test_a_steady_drift_is_no_anomaly() -> None:
    assert find_anomalies(range(14), np.array(QUIET) + 0.5 * np.arange(14), floor=0.1) == []


def test_nothing_is_said_of_few_readings_or_of_readings_without_error() -> None:
    assert find_anomalies(range(6), [8.0, 8.0, 8.0, 20.0, 8.0, 8.0], floor=0.1) == []
    assert find_anomalies(range(14), [8.0] * 14) == []
    assert find_anomalies([], []) == []
    with pytest.raises(ValueError, match="limit"):
        find_anomalies(range(14), QUIET, limit=0.0)
    with pytest.raises(ValueError, match="neighbours"):
        local_lines(range(14), QUIET, neighbours=3)


def test_indices_count_what_was_given() -> None:
    values = [math.nan, *QUIET[:6], math.nan, 9.9, *QUIET[6:]]
    assert [one.index for one in find_anomalies(range(17), values, floor=0.1)] == [8]


def test_normal_errors_are_seldom_odd() -> None:
    found = sum(
        len(find_anomalies(7.0 * np.arange(52), rng.normal(8.0, 0.2, 52), floor=0.2))
        for rng in map(np.random.default_rng, range(200))
    )
    assert found / (200 * 52) < 0.002


def test_a_blunder_of_eight_errors_is_found() -> None:
    hits = 0
    for seed in range(100):
        rng = np.random.default_rng(seed)
        values = rng.normal(8.0, 0.2, 40)
        values[int(rng.integers(0, 40))] += 1.6
        hits += len(find_anomalies(7.0 * np.arange(40), values, floor=0.2)) > 0
    assert hits >= 95
