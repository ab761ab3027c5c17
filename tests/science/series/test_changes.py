from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import ruptures  # type: ignore[import-untyped]
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.series.changes import best_cuts, find_change_points
from tests.science.synthetic_series import FloatArray

short = st.lists(st.integers(-30, 30), min_size=2, max_size=9).map(lambda v: np.array(v) / 10)
QUIET = [8.0, 8.1, 7.9, 8.0, 8.1, 8.0, 7.9, 8.1, 8.0, 7.9]


def _cost(values: FloatArray, cuts: tuple[int, ...] | list[int], penalty: float) -> float:
    pieces = np.split(values, cuts)
    return float(sum(np.sum((one - one.mean()) ** 2) for one in pieces)) + penalty * len(cuts)


@given(short, st.floats(0.1, 5.0), st.integers(1, 3))
def test_no_other_cuts_are_better(values: FloatArray, penalty: float, fewest: int) -> None:
    if values.size < fewest:
        return
    every = (
        cuts
        for count in range(values.size)
        for cuts in itertools.combinations(range(1, values.size), count)
        if min(np.diff([0, *cuts, values.size])) >= fewest
    )
    least = min(_cost(values, cuts, penalty) for cuts in every)
    found = best_cuts(values, penalty, fewest)
    assert min(np.diff([0, *found, values.size])) >= fewest
    assert _cost(values, found, penalty) == pytest.approx(least, abs=1e-9)


@pytest.mark.parametrize("seed", range(8))
def test_cuts_agree_with_ruptures(seed: int) -> None:
    rng = np.random.default_rng(seed)
    levels = np.repeat(rng.normal(0.0, 4.0, 5), rng.integers(3, 30, 5))
    values = levels + rng.normal(size=levels.size)
    oracle = ruptures.Pelt(model="l2", min_size=2, jump=1).fit(values).predict(pen=12.0)
    assert best_cuts(values, 12.0, 2) == oracle[:-1]


def test_trap_every_reading_may_be_the_first_of_a_new_level() -> None:
    values = np.array([0.0] * 9 + [10.0] * 11)
    assert best_cuts(values, 10.0, 2) == [9]
    assert ruptures.Pelt(model="l2", min_size=2).fit(values).predict(pen=10.0)[0] == 10


def test_a_shift_carries_its_evidence() -> None:
    values = [*QUIET, 9.0, 9.1, 8.9, 9.0]
    days = [0, 6, 15, 20, 29, 33, 40, 50, 55, 63, 71, 76, 85, 90]
    (found,) = find_change_points(days, values, floor=0.1)
    assert (found.index, found.day, found.last_day_before) == (10, 71.0, 63.0)
    assert (found.count_before, found.count_after) == (10, 4)
    assert (found.before, found.after, found.step) == pytest.approx((8.0, 9.0, 1.0))
    assert found.score == pytest.approx(1.0 / (found.spread * math.sqrt(1 / 10 + 1 / 4)))
    assert not found.is_drift


def test_one_wild_reading_is_no_new_level() -> None:
    for place in range(21):
        values = [*QUIET, *QUIET]
        values.insert(place, 12.0)
        assert find_change_points(range(21), values, floor=0.1) == []


def test_up_and_down_again_are_two_changes() -> None:
    values = [*QUIET, *(np.array(QUIET) + 1.5), *QUIET]
    found = find_change_points(range(30), values, floor=0.1)
    assert [(one.index, round(one.step, 1)) for one in found] == [(10, 1.5), (20, -1.5)]


def test_a_steady_drift_is_called_one() -> None:
    values = np.array(QUIET * 2) + 0.1 * np.arange(20)
    found = find_change_points(range(20), values, floor=0.1)
    assert found
    assert all(one.is_drift for one in found)


def test_steps_as_small_as_the_error_are_no_changes() -> None:
    values = [8.0] * 10 + [8.5] * 3
    assert find_change_points(range(13), values, floor=0.3) == []
    assert [one.index for one in find_change_points(range(13), values, floor=0.05)] == [10]


@given(st.floats(0.1, 10.0), st.floats(-50.0, 50.0))
def test_the_unit_does_not_matter(scale: float, offset: float) -> None:
    values = np.array([*QUIET, 9.0, 9.1, 8.9, 9.0])
    plain = find_change_points(range(14), values, floor=0.1)
    other = find_change_points(range(14), offset + scale * values, floor=0.1 * scale)
    assert [one.index for one in other] == [one.index for one in plain] == [10]
    assert other[0].score == pytest.approx(plain[0].score, rel=1e-6)


def test_indices_count_what_was_given() -> None:
    values = [math.nan, *QUIET, math.nan, 9.0, 9.1, 8.9, 9.0]
    assert [one.index for one in find_change_points(range(16), values, floor=0.1)] == [12]


def test_nothing_is_said_of_little() -> None:
    assert find_change_points([], []) == []
    assert find_change_points(range(6), [8.0, 8.0, 8.0, 9.0, 9.0, 9.0], floor=0.1) == []
    assert find_change_points(range(9), [8.0] * 9) == []
    for penalty, fewest in ((0.0, 2), (19.0, 0)):
        with pytest.raises(ValueError, match="out of range"):
            find_change_points(range(10), QUIET, 0.1, penalty, fewest)
