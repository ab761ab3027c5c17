from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.warmth.electricity import (
    Load,
    energy_cost,
    energy_kwh,
    mean_power_w,
    running,
    thermostat_duty_share,
)
from tests.science.check_values import Check, Row, assert_agrees, cases

CHECKS = {
    ("11 heat-evaporation", "energy cost", "150 W mean, 30 d, 0.30/kWh"): Check(
        lambda: energy_cost(energy_kwh(150.0, 30.0), 0.30)
    )
}

powers = st.floats(0.0, 2000.0)
hours = st.floats(0.0, 24.0)
shares = st.floats(0.0, 1.0)
prices = st.floats(0.0, 100.0)
loads = st.builds(Load, powers, hours, shares)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


def test_a_day_by_hand() -> None:
    """40 W all day, 120 W for 10 h, 300 W for a quarter of the time: 0.96 + 1.2 + 1.8 kWh."""
    day = running([Load(40.0), Load(120.0, 10.0), Load(300.0, duty_share=0.25)], 0.30)
    assert day.kwh_per_day == pytest.approx(3.96)
    assert day.mean_power_w == pytest.approx(165)
    assert day.cost_per_day == pytest.approx(1.188)
    assert day.kwh_per_year == pytest.approx(1446.39)
    assert day.kwh_per_month == pytest.approx(120.5325)
    assert day.cost_per_month == pytest.approx(36.15975)


@given(st.lists(loads, max_size=8), st.lists(loads, max_size=8), prices)
def test_loads_add(some: list[Load], others: list[Load], price: float) -> None:
    together = running([*some, *others], price)
    apart = [running(group, price) for group in (some, others)]
    assert together.kwh_per_day == pytest.approx(sum(one.kwh_per_day for one in apart), abs=1e-9)
    assert together.cost_per_year == pytest.approx(
        sum(one.cost_per_year for one in apart), abs=1e-6
    )


@given(st.lists(loads, max_size=8), prices)
def test_twelve_months_are_a_year(equipment: list[Load], price: float) -> None:
    day = running(equipment, price)
    assert 12 * day.kwh_per_month == pytest.approx(day.kwh_per_year)
    assert 12 * day.cost_per_month == pytest.approx(day.cost_per_year)
    assert energy_kwh(day.mean_power_w, 365.25) == pytest.approx(day.kwh_per_year)


@given(powers, hours, shares)
def test_a_duty_cycle_never_takes_more_than_its_power(
    power_w: float, hours_per_day: float, share: float
) -> None:
    assert 0 <= mean_power_w(power_w, hours_per_day, share) <= power_w * (1 + 1e-12)
    assert mean_power_w(power_w) == pytest.approx(power_w)


@given(st.floats(1.0, 2000.0), shares)
def test_a_thermostat_brings_just_what_is_needed(power_w: float, share: float) -> None:
    found = thermostat_duty_share(share * power_w, power_w)
    assert mean_power_w(power_w, duty_share=min(found, 1.0)) == pytest.approx(share * power_w)


def test_a_heater_does_not_run_all_the_time() -> None:
    """Its name plate times 24 h is not its energy."""
    share = thermostat_duty_share(75.0, 300.0)
    day = running([Load(300.0, duty_share=share)], 0.30)
    assert day.kwh_per_day == pytest.approx(1.8)  # not 7.2
    with pytest.raises(ValueError, match="heat needed 400 W is outside 0 to 300 W"):
        thermostat_duty_share(400.0, 300.0)


def test_the_price_has_no_currency() -> None:
    assert energy_cost(108.0, 0.30) / energy_cost(108.0, 0.15) == pytest.approx(2)
    assert energy_cost(108.0, 0.0) == 0


def test_arrays_pass_through_with_blanks() -> None:
    kwh = energy_kwh(np.array([150.0, -1.0, 0.0]), 30.0)
    assert kwh == pytest.approx([108.0, np.nan, 0.0], nan_ok=True)
    assert energy_cost(kwh, 0.30) == pytest.approx([32.4, np.nan, 0.0], nan_ok=True)


@pytest.mark.parametrize(
    "call",
    [
        lambda: Load(-1.0),
        lambda: Load(10.0, 25.0),
        lambda: Load(10.0, 24.0, 25.0),
        lambda: energy_kwh(150.0, -1.0),
        lambda: energy_cost(1.0, -0.30),
        lambda: running([], float("nan")),
    ],
)
def test_outside_the_range_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match="is outside"):
        call()
