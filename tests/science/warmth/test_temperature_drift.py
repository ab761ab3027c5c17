from __future__ import annotations

import math

import gsw
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from journal_tools.science.warmth.heat import WarmTank, heat_loss_w, side_panes
from journal_tools.science.warmth.moist_air import RoomAir
from journal_tools.science.warmth.temperature_drift import (
    equilibrium_temperature_c,
    heat_capacity_kj_k,
    hours_to_drift,
    hours_to_reach,
    specific_heat_kj_kg_k,
    warm_up_power_w,
)
from journal_tools.science.water.seawater import GRAMS_PER_KG_PER_PSU

TANK = WarmTank(side_panes(1.2, 0.5, 0.55, 12.0), 0.6)
ROOM = RoomAir(20.0, 50.0)

rooms = st.builds(RoomAir, st.floats(10.0, 30.0), st.floats(10.0, 90.0))


def test_heat_of_seawater_by_the_published_figures() -> None:
    # TEOS-10 through gsw 3.6.23: 4.092 MJ/(m3 K); 300 L by 1 K in an hour take 341 W.
    assert specific_heat_kj_kg_k(35.0, 25.0) == pytest.approx(3.99898, abs=1e-4)
    assert heat_capacity_kj_k(1000.0) == pytest.approx(4092, abs=1)
    assert warm_up_power_w(300.0, 1.0, 1.0) == pytest.approx(341, abs=0.5)
    # Pure water at 25 °C, CRC Handbook: 4.1813 kJ/(kg K), recalled.
    assert specific_heat_kj_kg_k(0.0, 25.0) == pytest.approx(4.1813, abs=5e-4)


@given(st.floats(0.0, 42.0), st.floats(0.0, 40.0))
def test_salt_water_stores_less_heat(salinity: float, temperature_c: float) -> None:
    found = specific_heat_kj_kg_k(salinity, temperature_c)
    oracle = gsw.cp_t_exact(salinity * GRAMS_PER_KG_PER_PSU, temperature_c, 0)
    assert found == pytest.approx(oracle / 1000)
    assert found <= specific_heat_kj_kg_k(0.0, temperature_c)


@given(st.floats(1.0, 2000.0), st.floats(0.1, 10.0), st.floats(0.1, 48.0))
def test_warm_up_stores_what_it_takes(volume_l: float, rise_k: float, hours: float) -> None:
    kj = warm_up_power_w(volume_l, rise_k, hours) * hours * 3.6
    assert kj == pytest.approx(heat_capacity_kj_k(volume_l) * rise_k)


@given(rooms, st.floats(0.0, 180.0))
def test_at_equilibrium_all_heat_is_lost_again(room: RoomAir, heat_w: float) -> None:
    settled = equilibrium_temperature_c(TANK, room, heat_w)
    assert heat_loss_w(TANK, settled, room) == pytest.approx(heat_w, abs=1e-6)


@given(rooms)
def test_without_heat_a_tank_settles_below_its_room(room: RoomAir) -> None:
    settled = equilibrium_temperature_c(TANK, room, 0.0)
    assert settled <= float(room.temperature_c) + 1e-9
    sealed = WarmTank(TANK.panes, TANK.surface_m2, activity_factor=0.0)
    assert equilibrium_temperature_c(sealed, room, 0.0) == pytest.approx(float(room.temperature_c))


def test_a_heater_stuck_on_may_leave_the_range() -> None:
    assert equilibrium_temperature_c(TANK, ROOM, 300.0) > 28
    with pytest.raises(ValueError, match="heat for 0 to 40 °C 5000 W is outside"):
        equilibrium_temperature_c(TANK, ROOM, 5000.0)
    several = equilibrium_temperature_c(TANK, ROOM, np.array([0.0, 300.0, 5000.0]))
    assert list(np.isnan(several)) == [False, False, True]
    assert several[1] == equilibrium_temperature_c(TANK, ROOM, 300.0)


def test_one_heater_over_many_rooms() -> None:
    many = RoomAir(np.array([15.0, 20.0]), np.array([40.0, 50.0]))
    settled = equilibrium_temperature_c(TANK, many, np.array([100.0, 100.0]))
    assert settled[1] == pytest.approx(equilibrium_temperature_c(TANK, ROOM, 100.0))
    assert settled[0] < settled[1]


def test_newtons_law_by_hand() -> None:
    """Half of the way takes ln 2 time constants: 1228 kJ/K over 30 W/K are 11.37 h."""
    hours = hours_to_drift(25.0, 22.0, 19.0, 30.0, 1228.0)
    assert hours == pytest.approx(1228e3 / 30 / 3600 * math.log(2))


@given(st.floats(5.0, 20.0), st.floats(0.1, 0.9), st.floats(0.1, 0.9), st.floats(1.0, 200.0))
def test_two_legs_take_as_long_as_the_way(
    settled_c: float, first: float, second: float, conductance: float
) -> None:
    start = 30.0
    end = settled_c + (start - settled_c) * first
    between = end + (start - end) * second
    legs = [(start, between), (between, end), (start, end)]
    one, two, whole = (hours_to_drift(a, b, settled_c, conductance, 1000.0) for a, b in legs)
    assert one + two == pytest.approx(whole)
    assert whole == pytest.approx(-math.log(first) * 1e6 / conductance / 3600)


def test_what_is_not_on_the_way_is_never_reached() -> None:
    for start, end in ((25.0, 19.0), (25.0, 18.0), (25.0, 26.0), (19.0, 20.0)):
        assert hours_to_drift(start, end, 19.0, 30.0, 1228.0) == math.inf
    assert hours_to_drift(25.0, 25.0, 19.0, 30.0, 1228.0) == 0
    ends = hours_to_drift(
        np.array([25.0, 25.0, 99.0]), np.array([22.0, 18.0, 22.0]), 19.0, 30, 1228
    )
    assert list(ends) == pytest.approx([7.8814, math.inf, math.nan], abs=1e-3, nan_ok=True)
    assert hours_to_reach(TANK, 1228.0, 25.0, 18.0, ROOM) == math.inf
    assert hours_to_reach(TANK, 1228.0, 25.0, 26.0, ROOM) == math.inf
    assert hours_to_reach(TANK, 1228.0, 25.0, 26.0, ROOM, heat_w=100.0) == math.inf


@settings(deadline=None)
@given(rooms, st.floats(0.2, 0.95), st.sampled_from([0.0, 60.0, 900.0]))
def test_the_exponential_agrees_with_integration(
    room: RoomAir, share: float, heat_w: float
) -> None:
    """The loss with its evaporation, curved as it is; the losses themselves are known to 25 %."""
    start = 25.0
    target = 30.0 if heat_w > 500 else equilibrium_temperature_c(TANK, room, heat_w)
    end = target + (start - target) * share
    found = hours_to_reach(TANK, 1228.0, start, end, room, heat_w)
    kj_h_w = 1228.0 / 3.6
    exact, _ = quad(lambda c: kj_h_w / (heat_w - heat_loss_w(TANK, float(c), room)), start, end)
    assert found == pytest.approx(exact, rel=0.05, abs=1e-3)


@given(st.floats(21.0, 24.9), st.floats(0.05, 0.9), st.floats(1.0, 3.0))
def test_a_larger_tank_drifts_slower(end_c: float, further_k: float, scale: float) -> None:
    hours = hours_to_reach(TANK, 1000.0, 25.0, end_c, ROOM)
    assert hours_to_reach(TANK, 1000.0 * scale, 25.0, end_c, ROOM) == pytest.approx(hours * scale)
    assert hours_to_reach(TANK, 1000.0, 25.0, end_c - further_k, ROOM) > hours


def test_evaporation_goes_on_in_a_power_cut() -> None:
    sealed = WarmTank(TANK.panes, TANK.surface_m2, activity_factor=0.0)
    open_h, sealed_h = (hours_to_reach(tank, 1228.0, 25.0, 22.0, ROOM) for tank in (TANK, sealed))
    assert open_h < 0.75 * sealed_h
    # In a room as warm as the water a sealed tank stays; an open one cools.
    assert hours_to_reach(sealed, 1228.0, 25.0, 24.0, RoomAir(25.0, 50.0)) == math.inf
    assert hours_to_reach(TANK, 1228.0, 25.0, 24.0, RoomAir(25.0, 50.0)) < 24


def test_losses_lengthen_a_warm_up() -> None:
    free_h = 1228.0 * 3 / 500 / 3.6
    assert hours_to_reach(TANK, 1228.0, 22.0, 25.0, ROOM, heat_w=500.0) > 1.15 * free_h


@given(st.lists(st.floats(19.0, 24.5), min_size=1, max_size=6))
def test_an_array_is_a_loop_over_numbers(ends_c: list[float]) -> None:
    record = hours_to_reach(TANK, 1228.0, np.full(len(ends_c), 25.0), np.array(ends_c), ROOM)
    single = [hours_to_reach(TANK, 1228.0, 25.0, end, ROOM) for end in ends_c]
    assert list(record) == pytest.approx(single)


@pytest.mark.parametrize(
    "call",
    [
        lambda: specific_heat_kj_kg_k(350.0, 25.0),
        lambda: heat_capacity_kj_k(-1.0),
        lambda: warm_up_power_w(300.0, 1.0, 0.0),
        lambda: hours_to_drift(78.0, 22.0, 19.0, 30.0, 1228.0),
        lambda: hours_to_drift(25.0, 22.0, 19.0, 0.0, 1228.0),
        lambda: hours_to_reach(TANK, 0.0, 25.0, 22.0, ROOM),
        lambda: hours_to_reach(TANK, 1228.0, 78.0, 72.0, ROOM),
        lambda: hours_to_reach(TANK, 1228.0, 25.0, 22.0, ROOM, heat_w=-1.0),
    ],
)
def test_outside_the_range_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match="is outside"):
        call()
