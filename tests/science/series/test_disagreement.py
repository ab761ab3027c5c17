from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from journal_tools.science.series.disagreement import disagreement, paired

moments = st.lists(st.integers(0, 400), max_size=20).map(lambda hours: np.sort(hours) / 24.0)
WEEKS = 7.0 * np.arange(8)


@given(moments, moments, st.floats(0.0, 48.0))
def test_pairs_are_near_and_each_reading_is_in_one_at_most(
    a: np.ndarray, b: np.ndarray, within_h: float
) -> None:
    pairs = paired(a, b, within_h)
    assert (np.abs(a[pairs[:, 0]] - b[pairs[:, 1]]) * 24 <= within_h + 1e-6).all()
    for side in (0, 1):
        assert np.unique(pairs[:, side]).size == len(pairs)
    for i, j in pairs.tolist():
        assert abs(a[i] - b[j]) == pytest.approx(np.abs(b - a[i]).min(), abs=1e-9)


def test_the_reading_nearest_in_time_keeps_its_partner() -> None:
    assert paired([1.0, 1.05], [1.06], 3.0).tolist() == [[1, 0]]
    assert paired([1.0], [0.9, 1.01, 1.2], 3.0).tolist() == [[0, 1]]
    assert paired([], [1.0], 3.0).tolist() == paired([1.0], [], 3.0).tolist() == []


def test_the_interval_is_that_of_students_paired_test() -> None:
    rng = np.random.default_rng(4)
    kit, probe = rng.normal(8.0, 0.1, 8), rng.normal(8.2, 0.1, 8)
    found = disagreement((WEEKS + 0.05, probe), (WEEKS, kit))
    assert found is not None
    oracle = stats.ttest_rel(probe, kit).confidence_interval(0.95)
    assert (found.low, found.high) == pytest.approx((oracle.low, oracle.high))
    assert found.bias == pytest.approx(np.mean(probe - kit))
    assert found.pairs == tuple((i, i) for i in range(8))
    assert found.differences == pytest.approx(tuple(probe - kit))


@pytest.mark.parametrize(
    ("offset", "tolerance", "certain"),
    [(0.0, 0.0, False), (0.3, 0.1, True), (-0.3, 0.1, True), (0.3, 0.3, False)],
)
def test_only_a_difference_beyond_the_tolerance_is_flagged(
    offset: float, tolerance: float, certain: bool
) -> None:
    scatter = np.array([0.02, -0.02, 0.01, -0.01, 0.02, -0.02, 0.01, -0.01])
    found = disagreement((WEEKS, 8.0 + offset + scatter), (WEEKS, [8.0] * 8), 2.0, tolerance)
    assert found is not None
    assert found.is_certain is certain


def test_a_kit_in_coarse_steps_does_not_make_a_difference_certain() -> None:
    probe, kit = [8.2] * 3, [8.0] * 3
    bare = disagreement((WEEKS[:3], probe), (WEEKS[:3], kit))
    floored = disagreement((WEEKS[:3], probe), (WEEKS[:3], kit), floor=0.5 / math.sqrt(12))
    assert bare is not None and bare.is_certain
    assert floored is not None and not floored.is_certain


def test_a_dense_probe_is_read_at_the_time_of_the_test() -> None:
    hours = np.arange(0, 50, 1 / 24)
    found = disagreement((hours, 25 + hours / 10), (WEEKS, 25 + WEEKS / 10))
    assert found is not None
    assert found.bias == pytest.approx(0.0, abs=1e-9)
    assert len(found.pairs) == 8


def test_swapped_instruments_differ_the_other_way() -> None:
    one, other = (WEEKS, [8.3] * 7 + [8.1]), (WEEKS + 0.01, [8.0] * 8)
    ahead, behind = disagreement(one, other), disagreement(other, one)
    assert ahead is not None and behind is not None
    assert (behind.low, behind.high) == pytest.approx((-ahead.high, -ahead.low))


def test_too_few_pairs_and_missing_values() -> None:
    assert disagreement((WEEKS[:2], [8.0, 8.1]), (WEEKS[:2], [8.0, 8.1])) is None
    assert disagreement((WEEKS, [8.0] * 8), (WEEKS + 1.0, [8.0] * 8)) is None
    with pytest.raises(ValueError, match="NaN"):
        disagreement((WEEKS, [math.nan] * 8), (WEEKS, [8.0] * 8))
    with pytest.raises(ValueError, match="hours"):
        paired([0.0], [0.0], -1.0)
