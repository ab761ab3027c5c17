from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.warmth.moist_air import (
    RoomAir,
    dry_air_density_kg_m3,
    humidity_ratio,
    latent_heat_kj_kg,
    saturation_vapour_pressure_kpa,
    seawater_latent_heat_kj_kg,
    seawater_vapour_pressure_kpa,
    seawater_vapour_pressure_ratio,
    vapour_pressure_kpa,
)
from journal_tools.science.water.seawater import GRAMS_PER_KG_PER_PSU
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "11 heat-evaporation"
_CALLS = {
    ("saturation vapour pressure", "25 degC"): lambda: saturation_vapour_pressure_kpa(25.0),
    ("latent heat", "25 degC"): lambda: latent_heat_kj_kg(25.0),
    ("latent heat of evaporation of seawater", "SA=35.165; 25"):
        lambda: seawater_latent_heat_kj_kg(35.0, 25.0),
    ("vapour pressure ratio seawater/pure", "S=35"): lambda: seawater_vapour_pressure_ratio(35.0),
}  # fmt: skip
CHECKS = {(TOPIC, *key): Check(call) for key, call in _CALLS.items()}

salinities = st.floats(0.0, 42.0)
water_temperatures = st.floats(0.0, 40.0)
room_temperatures = st.floats(-40.0, 60.0)
humidities = st.floats(2.0, 100.0)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


# PsychroLib 2.5.0, GetSatVapPres: ice up to 0 °C, then water.
@pytest.mark.parametrize(
    ("temperature_c", "kpa"),
    [
        (-20, 0.1032604), (-5, 0.4017641), (0, 0.6111536), (5, 0.8724867), (10, 1.2279953),
        (20, 2.3388037), (22, 2.6447532), (30, 4.2460302), (40, 7.38346), (100, 101.4187168),
    ],
)  # fmt: skip
def test_saturation_agrees_with_psychrolib(temperature_c: float, kpa: float) -> None:
    assert saturation_vapour_pressure_kpa(float(temperature_c)) == pytest.approx(kpa, rel=1e-6)


# IAPWS-95 through CoolProp 8.0.0.
@pytest.mark.parametrize(
    ("temperature_c", "kj_kg"),
    [(5, 2489.04), (20, 2453.52), (30, 2429.81), (40, 2405.98), (60, 2357.65), (100, 2256.40)],
)
def test_latent_heat_agrees_with_iapws95(temperature_c: float, kj_kg: float) -> None:
    assert latent_heat_kj_kg(float(temperature_c)) == pytest.approx(kj_kg, abs=0.3)


# Examples of the TEOS-10 manual for gsw_latentheat_evap_t: absolute salinity, °C, J/kg.
@pytest.mark.parametrize(
    ("absolute_salinity", "temperature_c", "j_kg"),
    [
        (34.7118, 28.7856, 2.429882982734836e6),
        (35.0256, 22.8103, 2.444217294049004e6),
        (34.7324, 4.4036, 2.488054617630297e6),
    ],
)
def test_seawater_latent_heat_agrees_with_the_manual(
    absolute_salinity: float, temperature_c: float, j_kg: float
) -> None:
    salinity = absolute_salinity / GRAMS_PER_KG_PER_PSU
    found = seawater_latent_heat_kj_kg(salinity, temperature_c)
    assert found == pytest.approx(j_kg / 1000, rel=1e-9)


@given(st.floats(20.0, 40.0), water_temperatures)
def test_vapour_pressure_agrees_with_the_whole_equation_of_weiss_and_price(
    salinity: float, temperature_c: float
) -> None:
    kelvin = temperature_c + 273.15
    atm = math.exp(
        24.4543 - 67.4509 * 100 / kelvin - 4.8489 * math.log(kelvin / 100) - 0.000544 * salinity
    )
    found = seawater_vapour_pressure_kpa(salinity, temperature_c)
    assert found == pytest.approx(atm * 101.325, rel=0.002)


# PsychroLib 2.5.0, GetHumRatioFromRelHum and GetMoistAirDensity less its vapour.
@pytest.mark.parametrize(
    ("temperature_c", "percent", "kpa", "ratio", "dry_kg_m3"),
    [
        (25.0, 50.0, 101.325, 0.0098810437, 1.1654424),
        (20.0, 60.0, 101.325, 0.0087344811, 1.1874752),
        (30.0, 80.0, 95.0, 0.0230629321, 1.0527070),
    ],
)
def test_moist_air_agrees_with_psychrolib(
    temperature_c: float, percent: float, kpa: float, ratio: float, dry_kg_m3: float
) -> None:
    vapour = vapour_pressure_kpa(temperature_c, percent)
    assert humidity_ratio(vapour, kpa) == pytest.approx(ratio, rel=1e-6)
    found = dry_air_density_kg_m3(temperature_c, vapour, kpa)
    assert found == pytest.approx(dry_kg_m3, rel=1e-5)


@given(st.floats(-39.0, 99.0))
def test_saturation_rises_with_temperature(temperature_c: float) -> None:
    # 4 to 11 % for each K over this range.
    warmer = saturation_vapour_pressure_kpa(temperature_c + 1)
    assert 1.03 < warmer / saturation_vapour_pressure_kpa(temperature_c) < 1.13


@given(st.floats(1.0, 60.0))
def test_latent_heat_and_the_slope_of_the_pressure_obey_clapeyron(temperature_c: float) -> None:
    """The latent heat comes from another pressure equation than the saturation function."""
    kelvin, step = temperature_c + 273.15, 0.5
    low, middle, high = (
        saturation_vapour_pressure_kpa(temperature_c + offset) for offset in (-step, 0, step)
    )
    gas_constant_kj_kg_k = 0.461526
    # Ideal vapour: real steam is up to 1 % denser at 60 °C.
    expected = gas_constant_kj_kg_k * kelvin**2 * (high - low) / (2 * step * middle)
    assert latent_heat_kj_kg(temperature_c) == pytest.approx(expected, rel=0.01)


@given(water_temperatures, salinities)
def test_salt_holds_water_back(temperature_c: float, salinity: float) -> None:
    fresh = seawater_vapour_pressure_kpa(0.0, temperature_c)
    assert fresh == pytest.approx(saturation_vapour_pressure_kpa(temperature_c), rel=1e-12)
    salty = seawater_vapour_pressure_kpa(salinity, temperature_c)
    assert 0.97 * fresh < salty <= fresh
    # 0.0544 % for each psu.
    assert 1 - salty / fresh == pytest.approx(0.000544 * salinity, rel=0.012, abs=1e-12)


@given(room_temperatures, humidities)
def test_vapour_is_in_proportion_to_humidity(temperature_c: float, percent: float) -> None:
    full = vapour_pressure_kpa(temperature_c, 100.0)
    found = vapour_pressure_kpa(temperature_c, percent)
    assert found == pytest.approx(full * percent / 100)
    assert humidity_ratio(found) >= 0


@given(st.lists(water_temperatures, min_size=1, max_size=6))
def test_an_array_is_a_loop_over_numbers(temperatures: list[float]) -> None:
    array = np.array(temperatures)
    for function in (saturation_vapour_pressure_kpa, latent_heat_kj_kg):
        assert list(function(array)) == pytest.approx([function(one) for one in temperatures])
    salty = seawater_latent_heat_kj_kg(np.full(array.shape, 35.0), array)
    assert list(salty) == [seawater_latent_heat_kj_kg(35.0, one) for one in temperatures]


@pytest.mark.parametrize("share", [0.5, 1.0, 0.05, 101.0])
def test_a_humidity_as_a_share_is_refused(share: float) -> None:
    with pytest.raises(ValueError, match=r"^relative humidity .* % is outside 2 to 100 %$"):
        vapour_pressure_kpa(22.0, share)
    with pytest.raises(ValueError, match="relative humidity"):
        RoomAir(22.0, share)


@pytest.mark.parametrize(
    "call",
    [
        lambda: saturation_vapour_pressure_kpa(101.0),
        lambda: latent_heat_kj_kg(-1.0),
        lambda: seawater_vapour_pressure_kpa(35.0, 78.0),
        lambda: seawater_vapour_pressure_ratio(43.0),
        lambda: humidity_ratio(3.0, 1013.25),
        lambda: dry_air_density_kg_m3(20.0, -1.0),
        lambda: RoomAir(72.0, 50.0),
        lambda: RoomAir(22.0, 50.0, speed_m_s=30.0),
        lambda: RoomAir(22.0, 50.0, pressure_kpa=1013.25),
    ],
)
def test_outside_the_range_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match="is outside"):
        call()


def test_an_array_keeps_what_is_in_range() -> None:
    kpa = saturation_vapour_pressure_kpa(np.array([25.0, 500.0]))
    assert kpa == pytest.approx([3.1692165, np.nan], rel=1e-6, nan_ok=True)
