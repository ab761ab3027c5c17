from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.water.water_change import (
    Change,
    after_change,
    after_continuous_change,
    change_fraction,
    continuous_to_match_batch,
    fraction_for_target,
    level_over_time,
    new_water_for_target,
    remaining_after_batches,
    remaining_after_continuous,
    steady_before_change,
    steady_with_continuous,
    volume_for_target_l,
)
from tests.science.check_values import Check, Row, assert_agrees, cases

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


@given(levels, st.floats(0.0, 1.0), levels)
def test_a_target_and_the_change_that_reaches_it(
    before: float, fraction: float, new_water: float
) -> None:
    target = after_change(before, fraction, new_water)
    needed = fraction_for_target(np.array([before]), target, new_water)[0]
    # The very ends may fall outside by the last bit.
    assert np.isnan(needed) or after_change(before, needed, new_water) == pytest.approx(
        target, abs=1e-6
    )
    assert not np.isnan(needed) or min(abs(target - before), abs(target - new_water)) < 1e-6


def test_a_target_beyond_the_new_water_is_refused() -> None:
    with pytest.raises(ValueError, match=r"share to replace for this target 1\.2"):
        fraction_for_target(40.0, 4.0, 10.0)
    with pytest.raises(ValueError, match=r"share to replace for this target -0\.3"):
        fraction_for_target(40.0, 50.0, 10.0)
    with pytest.raises(ValueError, match="share to replace for this target"):
        fraction_for_target(10.0, 5.0, 10.0)
    assert fraction_for_target(10.0, 10.0, 10.0) == 0
    assert volume_for_target_l(40.0, 20.0, 300.0) == pytest.approx(150)


@given(levels, st.floats(0.01, 1.0), levels)
def test_new_water_that_brings_a_tank_to_a_level(
    before: float, fraction: float, target: float
) -> None:
    needed = new_water_for_target(np.array([before]), target, fraction)[0]
    if np.isnan(needed):
        assert after_change(before, fraction, 0.0) > target - 1e-9
    else:
        # Backwards, as the range of new water ends at 1e6.
        assert (1 - fraction) * before + fraction * needed == pytest.approx(target, abs=1e-6)


@given(levels, st.floats(0.0, 5.0), levels)
def test_a_continuous_change_is_many_small_ones(
    before: float, volumes: float, new_water: float
) -> None:
    level = before
    for _ in range(500):
        level = after_change(level, min(volumes / 500, 1.0), new_water)
    assert after_continuous_change(before, volumes, new_water) == pytest.approx(
        level, rel=0.03, abs=1
    )


def test_continuous_and_batch_settle_at_the_same_mean() -> None:
    # The batch saw-tooth lies between 85.5 before and 77.0 after; continuous stays at its top.
    assert steady_with_continuous(8.55 / 7, 0.1 / 7) == pytest.approx(85.5)
    with pytest.raises(ValueError, match="daily exchange 0"):
        steady_with_continuous(1.0, 0.0)


def test_a_series_over_time_settles_where_the_formula_says() -> None:
    changes = [Change(7.0 * week, 0.1) for week in range(1, 200)]
    just_before = np.array([7.0 * 150 - 1e-9])
    found = level_over_time(5.0, 1.2218, changes, just_before)
    assert found[0] == pytest.approx(steady_before_change(7 * 1.2218, 0.1), rel=1e-5)


@given(
    levels,
    st.floats(0.0, 5.0),
    st.lists(st.builds(Change, st.floats(0.0, 50.0), fractions, levels), max_size=6),
    st.floats(0.0, 60.0),
)
def test_a_series_is_its_steps(
    start: float, rise: float, changes: list[Change], day: float
) -> None:
    level, since = start, 0.0
    for change in sorted(changes, key=lambda change: change.day):
        if change.day <= day:
            level = after_change(level + rise * (change.day - since), change.fraction,
                                 change.new_water)  # fmt: skip
            since = change.day
    found = level_over_time(start, rise, changes, np.array([day, -1.0]))
    assert found == pytest.approx([level + rise * (day - since), np.nan], nan_ok=True)


def test_one_large_change_is_not_many_small_ones_over_time() -> None:
    at_end = np.array([30.0])
    large = level_over_time(40.0, 0.0, [Change(10.0, 0.5)], at_end)[0]
    small = level_over_time(40.0, 0.0, [Change(float(d), 0.1) for d in range(10, 15)], at_end)[0]
    assert (large, small) == pytest.approx((20.0, 23.62), abs=0.005)
