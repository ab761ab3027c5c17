from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.life.oxygen_demand import (
    Q10_RANGE,
    feed_oxygen_demand_g,
    fish_oxygen_demand_mg_h,
    nitrification_oxygen_demand_g,
    oxygen_reserve_hours,
    oxygen_use_mg_kg_h,
)
from journal_tools.science.life.stocking import resting_oxygen_use_mg_kg_h

masses = st.floats(1.0, 500.0)
temperatures = st.floats(15.0, 31.0)


def test_the_regression_is_for_15_degrees_and_a_reef_is_warmer() -> None:
    resting = resting_oxygen_use_mg_kg_h(50.0)
    assert oxygen_use_mg_kg_h(50.0, 15.0) == pytest.approx(resting)
    # Q10 of 1.8 to 2.4 over 11 °C: 1.9 to 2.6 times.
    warm = [oxygen_use_mg_kg_h(50.0, 26.0, 1.0, q10) / resting for q10 in Q10_RANGE]
    assert warm == pytest.approx([1.91, 2.62], abs=0.01)


@given(masses, temperatures, st.floats(1.1, 3.0), st.floats(1.0, 4.0))
def test_ten_degrees_more_is_q10(
    mass_g: float, temperature_c: float, q10: float, activity: float
) -> None:
    cool, warm = (
        oxygen_use_mg_kg_h(mass_g, t, activity, q10) for t in (temperature_c - 10, temperature_c)
    )
    assert warm / cool == pytest.approx(q10)
    resting = oxygen_use_mg_kg_h(mass_g, temperature_c, 1.0, q10)
    assert warm == pytest.approx(activity * resting)


@given(st.lists(masses, max_size=6), st.lists(masses, max_size=6), temperatures)
def test_fish_add_up(one: list[float], other: list[float], temperature_c: float) -> None:
    together, first, second = (
        fish_oxygen_demand_mg_h(group, temperature_c) for group in (one + other, one, other)
    )
    for name in ("low", "value", "high"):
        summed = getattr(first, name) + getattr(second, name)
        assert getattr(together, name) == pytest.approx(summed)


def test_one_large_fish_needs_less_than_its_mass_in_small_ones() -> None:
    large, small = fish_oxygen_demand_mg_h([100.0], 26), fish_oxygen_demand_mg_h([10.0] * 10, 26)
    assert small.value / large.value == pytest.approx(10**0.2)


def test_the_demand_does_not_follow_the_summed_length() -> None:
    # Mass goes with L^3 and demand with mass^0.8: length^2.4, so one of 20 cm is no four of 5 cm.
    four, one = (
        fish_oxygen_demand_mg_h([0.02 * length**3] * count, 26).value
        for length, count in ((5, 4), (20, 1))
    )
    assert one / four == pytest.approx(4**2.4 / 4)


def test_feed_and_bacteria() -> None:
    assert feed_oxygen_demand_g(1.0).low == 0.25
    assert feed_oxygen_demand_g(1.0).high == 0.5
    assert nitrification_oxygen_demand_g(1.0) == pytest.approx(4.57, abs=0.005)
    # Oxygen of four atoms for each nitrogen: 2 x 31.9988 / 14.0069.
    assert nitrification_oxygen_demand_g(14.0069) == pytest.approx(63.9976, abs=2e-3)


@given(st.floats(0.0, 8.0), st.floats(10.0, 1000.0), st.floats(1.0, 1000.0))
def test_the_reserve_is_what_is_used_up(drop: float, volume_l: float, demand: float) -> None:
    hours = oxygen_reserve_hours(4 + drop, 4.0, volume_l, demand)
    assert hours * demand == pytest.approx(drop * volume_l, abs=1e-9)


def test_outside_is_refused_or_blank() -> None:
    with pytest.raises(ValueError, match="temperature 78 °C"):
        oxygen_use_mg_kg_h(50.0, 78.0)
    with pytest.raises(ValueError, match="least oxygen 7 mg/L is outside 0 to 6 mg/L"):
        oxygen_reserve_hours(6.0, 7.0, 300.0, 100.0)
    assert np.isnan(oxygen_use_mg_kg_h(np.array([50.0, 0.0]), 26.0)[1])
    assert np.isnan(nitrification_oxygen_demand_g(np.array([-1.0]))[0])
