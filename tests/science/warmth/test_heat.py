from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.estimate import Estimate
from journal_tools.science.warmth.evaporation import carrier_evaporation_kg_d, latent_power_w
from journal_tools.science.warmth.heat import (
    CONDUCTIVITY_W_MK,
    Pane,
    WarmTank,
    heat_balance,
    heat_loss_w,
    side_panes,
    u_value_w_m2k,
)
from journal_tools.science.warmth.moist_air import RoomAir
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "11 heat-evaporation"
# The worked example: 1.2 x 0.5 x 0.55 m of 12 mm glass, 25 °C in a room of 20 °C and 50 %.
TANK = WarmTank(side_panes(1.2, 0.5, 0.55, 12.0), 0.6)
ROOM = RoomAir(20.0, 50.0)
_CALLS = {
    ("U of 12 mm glass in still room", "hi=200; k=1.0; ho=8"): lambda: u_value_w_m2k(12.0),
    ("glass+free surface+evaporation loss",
     "1.2x0.5x0.55 m; water 25, room 20 RH50; top h=9.5; evap factor 0.5"):
        lambda: heat_loss_w(TANK, 25.0, ROOM),
}  # fmt: skip
CHECKS = {(TOPIC, *key): Check(call) for key, call in _CALLS.items()}

measures = st.floats(0.1, 3.0)
tanks = st.builds(
    lambda length, width, height, mm, factor: WarmTank(
        side_panes(length, width, height, mm), length * width, activity_factor=factor
    ),
    measures,
    measures,
    st.floats(0.1, 1.0),
    st.floats(4.0, 25.0),
    st.floats(0.0, 1.5),
)
rooms = st.builds(RoomAir, st.floats(10.0, 35.0), st.floats(10.0, 90.0))
water = st.floats(18.0, 32.0)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


def test_the_worked_example_by_its_parts() -> None:
    balance = heat_balance(TANK, 25.0, ROOM)
    assert balance.glass_w == pytest.approx(66, abs=0.5)
    assert balance.surface_w == pytest.approx(29, abs=0.6)
    assert balance.evaporation_w.value == pytest.approx(56, abs=0.5)
    assert balance.loss_w.value == pytest.approx(151, abs=0.5)
    assert balance.evaporation_from == "formula"


def test_the_thickness_of_glass_hardly_matters() -> None:
    assert u_value_w_m2k(19.0) > 0.9 * u_value_w_m2k(8.0)
    # With the film of ISO 6946, 1/0.13, by hand: 1 / (0.005 + 0.012 + 0.13).
    assert u_value_w_m2k(12.0, outer_film_w_m2k=1 / 0.13) == pytest.approx(6.803, abs=0.001)


@given(st.floats(0.0, 50.0), st.floats(0.5, 50.0), st.sampled_from(sorted(CONDUCTIVITY_W_MK)))
def test_a_thicker_pane_passes_less(thin_mm: float, more_mm: float, material: str) -> None:
    thin, thick = Pane(1.0, thin_mm, material), Pane(1.0, thin_mm + more_mm, material)
    assert thick.conductance_w_k() < thin.conductance_w_k() < 1 / (1 / 200 + 1 / 8) + 1e-9


@given(st.floats(1.0, 50.0), st.floats(0.01, 5.0))
def test_resistances_add(thickness_mm: float, added: float) -> None:
    bare, lagged = (u_value_w_m2k(thickness_mm, added_resistance_m2k_w=r) for r in (0.0, added))
    assert 1 / lagged == pytest.approx(1 / bare + added)


@given(tanks, water, rooms)
def test_the_balance_is_the_loss(tank: WarmTank, water_c: float, room: RoomAir) -> None:
    balance = heat_balance(tank, water_c, room, gains_w=30.0)
    loss = heat_loss_w(tank, water_c, room)
    assert balance.loss_w.value == pytest.approx(loss, abs=1e-9)
    assert balance.net_w.value == pytest.approx(loss - 30.0, abs=1e-9)
    assert balance.net_w.low <= balance.net_w.value <= balance.net_w.high


@given(tanks, water, rooms, st.floats(0.1, 5.0))
def test_warmer_water_loses_more(
    tank: WarmTank, water_c: float, room: RoomAir, rise_k: float
) -> None:
    dry_w_k = tank.panes_w_k() + tank.surface_w_k()
    rise_w = heat_loss_w(tank, water_c + rise_k, room) - heat_loss_w(tank, water_c, room)
    assert rise_w >= dry_w_k * rise_k * (1 - 1e-9)


@given(tanks, rooms, st.floats(1.1, 4.0))
def test_the_loss_is_in_proportion_to_the_tank(tank: WarmTank, room: RoomAir, scale: float) -> None:
    panes = [Pane(pane.area_m2 * scale, pane.thickness_mm) for pane in tank.panes]
    larger = WarmTank(panes, tank.surface_m2 * scale, activity_factor=tank.activity_factor)
    one = heat_loss_w(tank, 25.0, room)
    assert heat_loss_w(larger, 25.0, room) == pytest.approx(one * scale, abs=1e-9)


@given(tanks, water, st.floats(10.0, 80.0))
def test_at_zero_difference_evaporation_still_takes_heat(
    tank: WarmTank, water_c: float, percent: float
) -> None:
    room = RoomAir(water_c, percent)
    balance = heat_balance(tank, water_c, room)
    assert balance.glass_w == balance.surface_w == 0
    kg_d = carrier_evaporation_kg_d(
        water_c, tank.surface_m2, room, activity_factor=tank.activity_factor
    )
    assert balance.loss_w.value == pytest.approx(latent_power_w(kg_d, water_c))
    assert balance.loss_w.value > 0 or tank.activity_factor == 0 or kg_d < 1e-9


def test_a_tank_in_a_warm_dry_room_still_needs_heat() -> None:
    assert heat_loss_w(TANK, 25.0, RoomAir(25.0, 40.0)) > 40


def test_a_top_off_log_wins_over_the_formula() -> None:
    logged = Estimate(4.0, 3.6, 4.4)
    balance = heat_balance(TANK, 25.0, ROOM, logged_evaporation_l_d=logged)
    assert balance.evaporation_from == "top-off log"
    assert balance.evaporation_w.value == pytest.approx(4 * 0.9982 * 28.263, abs=0.05)
    assert balance.evaporation_w.high == pytest.approx(1.1 * balance.evaporation_w.value)
    formula = heat_balance(TANK, 25.0, ROOM)
    assert balance.glass_w == formula.glass_w
    assert balance.evaporation_w.value > 1.9 * formula.evaporation_w.value


def test_errors_of_dry_and_wet_part_join_as_squares() -> None:
    balance = heat_balance(TANK, 25.0, ROOM)
    dry, wet = 0.15 * (balance.glass_w + balance.surface_w), 0.4 * balance.evaporation_w.value
    loss = balance.loss_w
    assert loss.high - loss.value == pytest.approx(math.hypot(dry, wet))
    assert loss.value - loss.low == pytest.approx(math.hypot(dry, wet))


@given(tanks, st.lists(st.tuples(water, st.floats(10.0, 35.0)), min_size=1, max_size=5))
def test_a_record_over_time_is_a_loop_over_hours(
    tank: WarmTank, hours: list[tuple[float, float]]
) -> None:
    water_c, air_c = (np.array(column) for column in zip(*hours, strict=True))
    record = heat_loss_w(tank, water_c, RoomAir(air_c, 50.0))
    single = [heat_loss_w(tank, one, RoomAir(air, 50.0)) for one, air in hours]
    assert list(record) == pytest.approx(single, abs=1e-9)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: Pane(1.0, 12.0, "steel"), "material 'steel' is not one of glass, acrylic"),
        (lambda: Pane(-1.0, 12.0), "pane area"),
        (lambda: Pane(1.0, 1200.0), "thickness"),
        (lambda: side_panes(120.0, 50.0, 55.0, 12.0), "length 120 m is outside"),
        (lambda: u_value_w_m2k(12.0, outer_film_w_m2k=0.0), "outer film"),
        (lambda: heat_loss_w(TANK, 78.0, ROOM), "water temperature"),
        (lambda: heat_balance(TANK, 25.0, ROOM, gains_w=-1.0), "gains"),
        (lambda: WarmTank((), -1.0), "water surface"),
        (lambda: WarmTank((), 1.0, activity_factor=9.0), "activity factor"),
    ],
)
def test_what_cannot_be_is_refused(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=message):
        call()
