from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from journal_tools.science.estimate import Estimate
from journal_tools.science.warmth.evaporation import (
    MEASURED_QUIET_RATIO,
    activity_factor_from_log,
    carrier_evaporation_kg_d,
    evaporation_estimate_kg_d,
    evaporation_from_top_off_l_d,
    evaporation_kg_d,
    latent_power_w,
    shah_evaporation_kg_d,
)
from journal_tools.science.warmth.moist_air import RoomAir
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "11 heat-evaporation"
ROOM = RoomAir(22.0, 50.0)
_CALLS = {
    ("evaporation Carrier/ASHRAE, activity factor 1",
     "A=0.5 m2; water 25; air 22 RH50; v=0.1 m/s"):
        lambda: carrier_evaporation_kg_d(25.0, 0.5, ROOM, activity_factor=1.0),
    ("measured/Carrier for undisturbed pools", ""):
        lambda: carrier_evaporation_kg_d(25.0, 0.5, ROOM, activity_factor=MEASURED_QUIET_RATIO)
        / carrier_evaporation_kg_d(25.0, 0.5, ROOM, activity_factor=1.0),
    ("latent power of 1 kg/day", "25 degC"): lambda: latent_power_w(1.0),
}  # fmt: skip
CHECKS = {(TOPIC, *key): Check(call) for key, call in _CALLS.items()}

water = st.floats(15.0, 35.0)
surfaces = st.floats(0.01, 10.0)
rooms = st.builds(RoomAir, st.floats(10.0, 35.0), st.floats(10.0, 90.0), st.floats(0.0, 1.0))


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


def test_the_worked_example_by_three_ways() -> None:
    """0.5 m2 at 25 °C in a room of 22 °C and 50 %: the figures of a calculation by hand."""
    whole = carrier_evaporation_kg_d(25.0, 0.5, ROOM, activity_factor=1.0)
    assert whole == pytest.approx(3.06, abs=0.01)
    assert carrier_evaporation_kg_d(25.0, 0.5, ROOM) == pytest.approx(1.53, abs=0.005)
    assert shah_evaporation_kg_d(25.0, 0.5, ROOM) == pytest.approx(1.74, rel=0.02)


# In kg/(m2 h): a table for fresh water that is found in public code with the formula of Shah for
# occupied pools and is taken to be of his papers; all of it has the factor 35.
@pytest.mark.parametrize(
    ("water_c", "air_c", "kg_m2_h"),
    [
        (28, 28, 0.1360), (28, 29, 0.1171), (28, 30, 0.0968),
        (29, 28, 0.1651), (29, 29, 0.1463), (29, 30, 0.1268),
        (30, 28, 0.1959), (30, 29, 0.1771), (30, 30, 0.1575),
    ],
)  # fmt: skip
def test_shah_agrees_with_a_table(water_c: float, air_c: float, kg_m2_h: float) -> None:
    found = shah_evaporation_kg_d(float(water_c), 1.0, RoomAir(float(air_c), 50.0), salinity=0.0)
    assert found / 24 == pytest.approx(kg_m2_h, rel=0.005)


def test_carrier_agrees_with_the_equation_in_its_first_units() -> None:
    """W = (95 + 0.425 v)(pw - pa)/Y in lb/(h ft2), ft/min, inHg, Btu/lb (Smith, Löf & Jones)."""
    kpa_per_inhg, kj_kg_per_btu_lb = 3.386389, 2.326
    difference_inhg = (3.1692165 - 0.5 * 2.6447532) / kpa_per_inhg
    lb_h_ft2 = (95 + 0.425 * 20) * difference_inhg / (2441.7 / kj_kg_per_btu_lb)
    kg_d = lb_h_ft2 * 0.45359237 * 24 / 0.09290304
    room = RoomAir(22.0, 50.0, speed_m_s=20 * 0.3048 / 60)
    found = carrier_evaporation_kg_d(25.0, 1.0, room, salinity=0.0, activity_factor=1.0)
    # 95 is 0.0885 in SI; the handbook prints 0.089.
    assert found == pytest.approx(kg_d, rel=0.01)


@given(water, surfaces, rooms, st.floats(1.1, 3.0))
def test_evaporation_is_in_proportion_to_the_surface(
    water_c: float, surface_m2: float, room: RoomAir, scale: float
) -> None:
    for formula in (carrier_evaporation_kg_d, shah_evaporation_kg_d):
        one = formula(water_c, surface_m2, room)
        assert formula(water_c, surface_m2 * scale, room) == pytest.approx(one * scale)


@given(water, rooms, st.floats(0.5, 5.0))
def test_warmer_water_evaporates_more(water_c: float, room: RoomAir, rise_k: float) -> None:
    for formula in (carrier_evaporation_kg_d, shah_evaporation_kg_d):
        before, after = formula(water_c, 1.0, room), formula(water_c + rise_k, 1.0, room)
        assert after > before or after == before == 0


@given(water, st.floats(10.0, 35.0), st.floats(2.0, 90.0), st.floats(1.0, 10.0))
def test_damper_air_takes_less(water_c: float, air_c: float, percent: float, damper: float) -> None:
    for formula in (carrier_evaporation_kg_d, shah_evaporation_kg_d):
        dry = formula(water_c, 1.0, RoomAir(air_c, percent))
        damp = formula(water_c, 1.0, RoomAir(air_c, percent + damper))
        assert damp < dry or damp == dry == 0


@given(water)
def test_nothing_leaves_into_saturated_air_of_the_same_temperature(water_c: float) -> None:
    for formula in (carrier_evaporation_kg_d, shah_evaporation_kg_d):
        assert formula(water_c, 1.0, RoomAir(water_c, 100.0)) == 0
        assert formula(water_c, 1.0, RoomAir(35.0, 100.0)) == 0


@given(st.lists(st.tuples(water, st.floats(10.0, 35.0), st.floats(10.0, 90.0)), min_size=1))
def test_a_record_over_time_is_a_loop_over_hours(hours: list[tuple[float, float, float]]) -> None:
    water_c, air_c, percent = (np.array(column) for column in zip(*hours, strict=True))
    for formula in (carrier_evaporation_kg_d, shah_evaporation_kg_d):
        record = formula(water_c, 0.5, RoomAir(air_c, percent))
        single = [formula(one, 0.5, RoomAir(air, damp)) for one, air, damp in hours]
        assert list(record) == pytest.approx(single, rel=1e-9)


def test_a_record_keeps_what_is_in_range() -> None:
    room = RoomAir(np.array([22.0, 22.0, 99.0]), np.array([50.0, 0.5, 50.0]))
    for formula in (carrier_evaporation_kg_d, shah_evaporation_kg_d):
        kg_d = formula(np.array([25.0, 25.0, 25.0]), 0.5, room)
        assert list(np.isnan(kg_d)) == [False, True, True]


@given(water, surfaces, rooms)
def test_a_formula_leaves_40_percent_open(water_c: float, surface_m2: float, room: RoomAir) -> None:
    estimate = evaporation_estimate_kg_d(water_c, surface_m2, room)
    assert estimate.value == carrier_evaporation_kg_d(water_c, surface_m2, room)
    assert estimate.low == pytest.approx(0.6 * estimate.value)
    assert estimate.high == pytest.approx(1.4 * estimate.value)


@given(st.lists(st.floats(0.5, 5.0), min_size=1, max_size=20), st.floats(0.1, 20.0))
def test_a_steady_evaporation_is_found_from_uneven_top_offs(
    gaps_d: list[float], rate_l_d: float
) -> None:
    days = np.cumsum([0.0, *gaps_d])
    litres = np.array([123.0, *(rate_l_d * gap for gap in gaps_d)])
    found = evaporation_from_top_off_l_d(days, litres)
    assert found.value == pytest.approx(rate_l_d)
    assert found.low == pytest.approx(0.9 * rate_l_d)
    assert found.high == pytest.approx(1.1 * rate_l_d)


def test_the_first_top_off_only_starts_the_clock() -> None:
    days, litres = np.array([0.0, 1.0, 2.0]), np.array([4.0, 4.0, 4.0])
    assert evaporation_from_top_off_l_d(days, litres).value == 4.0  # not 12 L in 2 days


@pytest.mark.parametrize(
    ("days", "litres", "message"),
    [
        ([0.0], [4.0], "two or more top-offs"),
        ([0.0, 1.0], [4.0], "two or more top-offs"),
        ([0.0, 0.0], [4.0, 4.0], "do not rise"),
        ([1.0, 0.0], [4.0, 4.0], "do not rise"),
        ([0.0, float("nan")], [4.0, 4.0], "do not rise"),
        ([0.0, 1.0], [4.0, -4.0], "top-off -4 L is outside"),
    ],
)
def test_a_log_that_tells_nothing_is_refused(
    days: list[float], litres: list[float], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        evaporation_from_top_off_l_d(np.array(days), np.array(litres))


@given(water, surfaces, rooms, st.floats(0.05, 2.9))
def test_a_log_gives_its_activity_factor_back(
    water_c: float, surface_m2: float, room: RoomAir, factor: float
) -> None:
    logged = carrier_evaporation_kg_d(water_c, surface_m2, room, activity_factor=factor)
    assume(logged > 1e-6)
    found = activity_factor_from_log(logged, water_c, surface_m2, room)
    assert found == pytest.approx(factor)


def test_no_factor_fits_a_room_that_takes_nothing() -> None:
    with pytest.raises(ValueError, match="nothing evaporates"):
        activity_factor_from_log(1.0, 20.0, 0.5, RoomAir(30.0, 100.0))
    with pytest.raises(ValueError, match="activity factor"):
        activity_factor_from_log(1000.0, 25.0, 0.5, ROOM)


def test_a_litre_of_top_off_is_not_quite_a_kilogram() -> None:
    assert evaporation_kg_d(1.0, 25.0) == pytest.approx(0.99705, abs=1e-5)  # CRC Handbook density
    assert latent_power_w(evaporation_kg_d(4.0)) == pytest.approx(113, abs=0.5)


@given(st.floats(0.0, 100.0), st.floats(5.0, 35.0))
def test_latent_power_is_in_proportion(kg_d: float, water_c: float) -> None:
    assert latent_power_w(kg_d, water_c) == pytest.approx(kg_d * latent_power_w(1.0, water_c))
    assert latent_power_w(1.0, water_c) == pytest.approx(28.3, rel=0.02)


@pytest.mark.parametrize(
    "call",
    [
        lambda: carrier_evaporation_kg_d(78.0, 0.5, ROOM),
        lambda: carrier_evaporation_kg_d(25.0, 6000.0, ROOM),
        lambda: carrier_evaporation_kg_d(25.0, 0.5, ROOM, activity_factor=-1.0),
        lambda: carrier_evaporation_kg_d(25.0, 0.5, ROOM, salinity=350.0),
        lambda: shah_evaporation_kg_d(25.0, -0.5, ROOM),
        lambda: latent_power_w(-1.0),
        lambda: evaporation_kg_d(1.0, 78.0),
    ],
)
def test_outside_the_range_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match="is outside"):
        call()


def test_an_estimate_holds_the_other_formula() -> None:
    estimate = evaporation_estimate_kg_d(25.0, 0.5, ROOM)
    assert isinstance(estimate, Estimate)
    assert estimate.low < shah_evaporation_kg_d(25.0, 0.5, ROOM) < estimate.high
