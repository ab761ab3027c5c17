from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.water.evaporation_salinity import (
    concentration_after_evaporation,
    rise_from_top_off_per_day,
    salinity_after_dry_reservoir,
    salinity_after_evaporation,
    salinity_after_evaporation_by_mass,
    salinity_after_overfill,
    salinity_at_full_level,
    salinity_drift_per_day,
    salt_change_kg,
    seawater_lost_l_day,
    top_off_reserve_days,
)
from journal_tools.science.water.seawater import salt_in_seawater_kg
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "16 evaporation-salinity"
_CALLS = {
    ("S after 12 L evaporated from 300 L with no top-off", "S0=35; volume basis"):
        lambda: salinity_after_evaporation(35.0, 300.0, 12.0),
    ("dS/dt without top-off", "S=35; 4 L/d; 300 L"):
        lambda: salinity_drift_per_day(35.0, 4.0, 300.0),
    ("alkalinity rise by concentration only", "8 dKH; 2 % evaporated"):
        lambda: concentration_after_evaporation(8.0, 100.0, 2.0) - 8,
}  # fmt: skip
CHECKS = {(TOPIC, *key): Check(call) for key, call in _CALLS.items()}

salinities = st.floats(1.0, 30.0)
volumes = st.floats(10.0, 5000.0)
shares = st.floats(0.0, 0.2)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


def test_the_mass_basis_differs_little() -> None:
    # Worked by hand with EOS-80 densities: 307.00 kg less 11.96 kg of water.
    by_mass = salinity_after_evaporation_by_mass(35.0, 300.0, 12.0)
    assert by_mass == pytest.approx(36.42, abs=0.005)
    assert salinity_after_evaporation(35.0, 300.0, 12.0) - by_mass == pytest.approx(0.04, abs=0.005)


@given(salinities, volumes, shares)
def test_evaporation_leaves_the_salt(salinity: float, volume_l: float, share: float) -> None:
    after = salinity_after_evaporation(salinity, volume_l, share * volume_l)
    assert after * (1 - share) == pytest.approx(salinity)
    refilled = salinity_at_full_level(after, volume_l * (1 - share), volume_l)
    assert refilled == pytest.approx(salinity)


@given(salinities, volumes, shares, shares)
def test_by_mass_it_does_not_matter_in_how_many_steps(
    salinity: float, volume_l: float, one: float, other: float
) -> None:
    first, second = one * volume_l, other * volume_l
    at_once = salinity_after_evaporation(salinity, volume_l, first + second)
    halfway = salinity_after_evaporation(salinity, volume_l, first)
    assert salinity_after_evaporation(halfway, volume_l - first, second) == pytest.approx(at_once)


@given(salinities, volumes, st.floats(0.01, 0.03))
def test_the_drift_is_the_slope_at_the_start(salinity: float, volume_l: float, part: float) -> None:
    daily_l = part * volume_l
    moment = 1e-4
    rise = salinity_after_evaporation(salinity, volume_l, daily_l * moment) - salinity
    assert rise / moment == pytest.approx(
        salinity_drift_per_day(salinity, daily_l, volume_l), rel=1e-4
    )


def test_a_top_off_that_fails_in_either_direction() -> None:
    # Worked by hand: 20 L last 5 days at 4 L a day, then 12 L are missing on day 8.
    assert top_off_reserve_days(20.0, 4.0) == 5
    assert salinity_after_dry_reservoir(35.0, 300, 4.0, 5.0, 20) == pytest.approx(35)
    dry = salinity_after_dry_reservoir(35.0, 300, 4.0, 8.0, 20)
    assert dry == pytest.approx(35 * 300 / 288)
    assert salinity_after_overfill(35.0, 300, 20) == pytest.approx(35 * 300 / 320)


@given(salinities, volumes, st.floats(0.0, 100.0))
def test_an_overfill_with_tank_water_changes_nothing(
    salinity: float, volume_l: float, added_l: float
) -> None:
    assert salinity_after_overfill(salinity, volume_l, added_l, salinity) == pytest.approx(salinity)
    rounding = 1 + 1e-12
    assert salinity_after_overfill(salinity, volume_l, added_l) <= salinity * rounding


def test_slow_drift_is_lost_salt_and_not_evaporation() -> None:
    # 1 psu lost from 300 L is 0.32 kg of salt, as the two masses of salt differ.
    lost = salt_change_kg(35.0, 34.0, 300.0)
    held = [salt_in_seawater_kg(300.0, salinity) for salinity in (35.0, 34.0)]
    assert lost == pytest.approx(held[1] - held[0])
    assert lost == pytest.approx(-0.32, abs=0.005)
    # Skimmate of a third of a litre a day, topped off fresh, is 1 psu in a month.
    assert seawater_lost_l_day(1 / 30, 35.0, 300.0) == pytest.approx(0.286, abs=5e-4)


@given(salinities, salinities, volumes)
def test_salt_gained_is_salt_lost_backwards(one: float, other: float, volume_l: float) -> None:
    assert salt_change_kg(one, other, volume_l) == pytest.approx(
        -salt_change_kg(other, one, volume_l), abs=1e-12
    )


def test_top_off_with_tap_water_adds_what_it_holds() -> None:
    # 25 mg/L nitrate in 4 L a day: 10 mg/L a month in 300 L.
    assert 30 * rise_from_top_off_per_day(25.0, 4.0, 300.0) == pytest.approx(10)
    assert rise_from_top_off_per_day(0.0, 4.0, 300.0) == 0


def test_a_salinity_must_be_taken_at_the_usual_level() -> None:
    assert salinity_at_full_level(36.46, 288.0, 300.0) == pytest.approx(35.0, abs=0.01)
    with pytest.raises(ValueError, match="volume at the reading 20 L is outside 150 to 450 L"):
        salinity_at_full_level(36.46, 20.0, 300.0)


def test_outside_is_refused_or_blank() -> None:
    with pytest.raises(ValueError, match="water evaporated 300 L is outside 0 to 270 L"):
        salinity_after_evaporation(35.0, 300.0, 300.0)
    with pytest.raises(ValueError, match="evaporation 0 L/day"):
        top_off_reserve_days(20.0, 0.0)
    days = salinity_after_dry_reservoir(35.0, 300.0, 4.0, np.array([0.0, 3.0, -1.0]))
    assert days == pytest.approx([35, 35 * 300 / 288, np.nan], nan_ok=True)
    assert np.isnan(salinity_after_evaporation_by_mass(np.array([35.0, 99.0]), 300.0, 12.0)[1])
