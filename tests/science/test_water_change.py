from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.water_change import (
    after_change,
    change_fraction,
    continuous_to_match_batch,
    remaining_after_batches,
    remaining_after_continuous,
    steady_before_change,
)

from .check_values import Check, Row, assert_agrees, cases

TOPIC = "08 water change"
CHECKS = {
    (TOPIC, "remaining after continuous change of 50 % of volume", ""): Check(
        lambda: remaining_after_continuous(0.5)
    ),
    (TOPIC, "volume for continuous change to match one 50 % batch", ""): Check(
        lambda: continuous_to_match_batch(0.5)
    ),
    ("13 stocking", "steady pre-change NO3", "1.2218 mg/L/d; 10 %/week"): Check(
        lambda: steady_before_change(7 * 1.2218, 0.1)
    ),
}

fractions = st.floats(0.0, 0.99)
levels = st.floats(0.0, 1000.0)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


def test_five_changes_of_ten_percent_are_not_one_of_fifty() -> None:
    assert remaining_after_batches([0.1] * 5) == pytest.approx(0.59049)
    assert remaining_after_batches([0.25] * 4) == pytest.approx(0.3164, abs=5e-5)
    assert remaining_after_batches([]) == 1


def test_the_sump_counts() -> None:
    assert change_fraction(30.0, 240) > change_fraction(30.0, 300)
    with pytest.raises(ValueError, match="water removed 310 L is outside 0 to 300 L"):
        change_fraction(310.0, 300)


@given(st.lists(fractions, max_size=8))
def test_the_order_of_changes_does_not_matter(series: list[float]) -> None:
    assert remaining_after_batches(series) == pytest.approx(remaining_after_batches(series[::-1]))


@given(st.floats(0.0, 3.0), st.integers(1, 3000))
def test_many_small_batches_come_near_a_continuous_change(volumes: float, count: int) -> None:
    batch = min(volumes / count, 1.0)
    left = remaining_after_batches([batch] * count)
    assert left <= remaining_after_continuous(volumes) + 1e-9
    if count > 2000:
        assert left == pytest.approx(remaining_after_continuous(volumes), abs=2e-3)


@given(fractions)
def test_continuous_match_and_back(fraction: float) -> None:
    left = remaining_after_continuous(continuous_to_match_batch(fraction))
    assert left == pytest.approx(1 - fraction)


@given(levels, fractions, levels)
def test_a_change_conserves_mass(before: float, fraction: float, new_water: float) -> None:
    after = after_change(before, fraction, new_water)
    assert after == pytest.approx(before - fraction * before + fraction * new_water)
    assert min(before, new_water) - 1e-9 <= after <= max(before, new_water) + 1e-9


@given(levels, st.floats(0.01, 1.0), levels)
def test_at_the_steady_level_a_change_takes_the_rise(
    rise: float, fraction: float, new_water: float
) -> None:
    before = steady_before_change(rise, fraction, new_water)
    assert before - after_change(before, fraction, new_water) == pytest.approx(rise, abs=1e-6)


def test_nitrate_settles_where_a_simulation_ends() -> None:
    level = 0.0
    for _ in range(400):
        level = after_change(level, 0.1, 0.0) + 8.55
    assert level == pytest.approx(steady_before_change(8.55, 0.1), rel=1e-9)
    assert after_change(level, 0.1) == pytest.approx(76.95)


def test_ranges_and_arrays() -> None:
    with pytest.raises(ValueError, match="change fraction 10 is outside 0 to 1"):
        remaining_after_batches([10])
    with pytest.raises(ValueError, match="change fraction 0 is outside"):
        steady_before_change(1.0, 0)
    found = remaining_after_continuous(np.array([0.0, -1.0, 1.0]))
    assert found == pytest.approx([1, np.nan, math.exp(-1)], nan_ok=True)
