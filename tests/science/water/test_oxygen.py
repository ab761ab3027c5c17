from __future__ import annotations

from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.water.air_pressure import standard_pressure_hpa
from journal_tools.science.water.oxygen import (
    MG_PER_ML_STP,
    oxygen_mg_from_ml_stp,
    oxygen_mg_l,
    oxygen_saturation_percent,
    oxygen_solubility_mg_l,
    oxygen_solubility_umol_kg,
    oxygen_solubility_weiss_ml_l,
    oxygen_with_true_salinity_mg_l,
    pressure_factor,
)
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "05 oxygen"
IPTS68 = 1 / 1.00024
_KG, _L = "O2 solubility", "O2 solubility per volume"
_CALLS = {
    ("O2 solubility (Benson & Krause coefficients)", "S=35; t=10 IPTS-68; 1 atm moist air"):
        lambda: oxygen_solubility_umol_kg(35.0, 10 * IPTS68),
    (f"{_KG} freshwater", "t=25; 1 atm"): lambda: oxygen_solubility_mg_l(0.0, 25.0),
    (f"{_KG} Weiss 1970", "S=35; t90=20"): lambda: oxygen_solubility_weiss_ml_l(35.0, 20.0),
    ("mL(STP) O2 to mg", ""): lambda: oxygen_mg_from_ml_stp(1.0),
    ("saturation of 6.2 mg/L", "t=26; S=35; 1 atm"):
        lambda: oxygen_saturation_percent(6.2, 35.0, 26.0),
}  # fmt: skip
CHECKS = (
    {(TOPIC, *key): Check(call) for key, call in _CALLS.items()}
    | {
        (TOPIC, _KG, f"S={s}; t90={t}; 1 atm"): Check(
            partial(oxygen_solubility_umol_kg, float(s), float(t))
        )
        for s, t in ((35, 10), (35, 26), (35, 20), (33, 25), (0, 25), (0, 20))
    }
    | {
        (TOPIC, _L, f"S=35; t90={t}; 1 atm"): Check(partial(oxygen_solubility_mg_l, 35.0, float(t)))
        for t in (10, 25, 26, 20)
    }
)

salinities = st.floats(0.0, 42.0)
temperatures = st.floats(0.0, 38.0)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


# Coefficients of Garcia & Gordon 1992 after Benson & Krause, table 1, from memory.
@given(salinities, temperatures)
def test_the_equation_of_garcia_and_gordon(salinity: float, temperature_c: float) -> None:
    t68 = temperature_c * 1.00024
    ts = np.log((298.15 - t68) / (273.15 + t68))
    fresh = np.polyval([3.80369, -9.86643e-2, 5.10006, 4.17887, 3.20291, 5.80871], ts)
    salting = np.polyval([-9.51519e-3, -1.13864e-2, -7.70028e-3, -7.01577e-3], ts)
    own = np.exp(fresh + salinity * (salting - 2.75915e-7 * salinity))
    assert oxygen_solubility_umol_kg(salinity, temperature_c) == pytest.approx(own, rel=1e-9)


# Weiss 1970 as printed in the documentation of python-seawater 3.3.5 (satO2), on IPTS-68.
@pytest.mark.parametrize(
    ("salinity", "t68", "ml_l"),
    [(20, -1, 9.162056), (40, -1, 7.98404249), (20, 10, 6.95007741), (40, 10, 6.12101928),
     (20, 20, 5.64401453), (40, 20, 5.01531004), (20, 40, 4.0495115), (40, 40, 3.65575811)],
)  # fmt: skip
def test_weiss_against_a_library(salinity: int, t68: int, ml_l: float) -> None:
    found = oxygen_solubility_weiss_ml_l(float(salinity), t68 * IPTS68)
    assert found == pytest.approx(ml_l, rel=1e-8)


def test_the_printed_check_value_is_on_the_1968_scale() -> None:
    assert oxygen_solubility_umol_kg(35.0, 10 * IPTS68) == pytest.approx(274.610, abs=1e-3)
    assert abs(oxygen_solubility_umol_kg(35.0, 10.0) - 274.610) > 0.01


@given(st.floats(30.0, 40.0), st.floats(15.0, 32.0))
def test_weiss_is_slightly_lower_in_a_reef(salinity: float, temperature_c: float) -> None:
    weiss = oxygen_mg_from_ml_stp(oxygen_solubility_weiss_ml_l(salinity, temperature_c))
    ratio = weiss / oxygen_solubility_mg_l(salinity, temperature_c)
    assert 0.995 < ratio < 1.0


def test_a_probe_set_to_fresh_water_reads_22_percent_too_high_while_its_percentage_is_right() -> (
    None
):
    in_air_balance = oxygen_solubility_mg_l(35.0, 25.0)
    shown = oxygen_solubility_mg_l(0.0, 25.0)
    assert shown / in_air_balance == pytest.approx(1.22, abs=0.005)
    assert oxygen_saturation_percent(shown, 0.0, 25.0) == pytest.approx(100)
    right = oxygen_with_true_salinity_mg_l(shown, 0.0, 35.0, 25.0)
    assert right == pytest.approx(in_air_balance)
    assert oxygen_saturation_percent(right, 35.0, 25.0) == pytest.approx(100)


@given(st.floats(0.0, 15.0), salinities, salinities, temperatures)
def test_setting_a_salinity_wrong_and_back(
    reading: float, one: float, other: float, temperature_c: float
) -> None:
    there = oxygen_with_true_salinity_mg_l(reading, one, other, temperature_c)
    back = oxygen_with_true_salinity_mg_l(there, other, one, temperature_c)
    assert back == pytest.approx(reading)
    assert there == pytest.approx(reading) or (there < reading) == (other > one)


def test_thin_air_leaves_less_oxygen() -> None:
    # Worked with the vapour pressure of Weiss & Price 1980: 0.95 atm at 26 °C leaves 0.948.
    assert pressure_factor(0.95 * 1013.25, 35.0, 26.0) == pytest.approx(0.948, abs=5e-4)
    high_up = oxygen_solubility_mg_l(35.0, 25.0, standard_pressure_hpa(2000.0))
    assert high_up / oxygen_solubility_mg_l(35.0, 25.0) == pytest.approx(0.778, abs=0.002)
    # Healthy water in the mountains looks starved if the pressure is left out.
    assert oxygen_saturation_percent(high_up, 35.0, 25.0) < 80
    full = oxygen_saturation_percent(high_up, 35.0, 25.0, standard_pressure_hpa(2000.0))
    assert full == pytest.approx(100)


@given(salinities, temperatures, st.floats(600.0, 1080.0))
def test_less_with_salt_and_warmth_and_more_with_pressure(
    salinity: float, temperature_c: float, pressure_hpa: float
) -> None:
    at = oxygen_solubility_mg_l(salinity, temperature_c, pressure_hpa)
    assert oxygen_solubility_mg_l(salinity, temperature_c + 1, pressure_hpa) < at
    assert oxygen_solubility_mg_l(salinity, temperature_c, pressure_hpa + 10) > at
    if salinity < 41:
        assert oxygen_solubility_mg_l(salinity + 1, temperature_c, pressure_hpa) < at


@given(salinities, temperatures)
def test_at_one_atmosphere_the_pressure_changes_nothing(
    salinity: float, temperature_c: float
) -> None:
    assert pressure_factor(1013.25, salinity, temperature_c) == pytest.approx(1, abs=1e-12)
    full = oxygen_solubility_umol_kg(salinity, temperature_c)
    in_mg = oxygen_mg_l(full, salinity, temperature_c)
    assert in_mg == pytest.approx(oxygen_solubility_mg_l(salinity, temperature_c))
    assert oxygen_saturation_percent(in_mg, salinity, temperature_c) == pytest.approx(100)


def test_the_molar_volume_is_that_of_the_real_gas() -> None:
    # An ideal gas would have 22.4140 L/mol and 1.4276 mg/ml.
    assert pytest.approx(1.42903, abs=1e-4) == MG_PER_ML_STP


@given(st.lists(st.tuples(salinities, temperatures), min_size=1, max_size=5))
def test_an_array_is_a_loop(points: list[tuple[float, float]]) -> None:
    salinity, temperature_c = (np.array(column) for column in zip(*points, strict=True))
    together = oxygen_solubility_mg_l(salinity, temperature_c)
    assert together == pytest.approx([oxygen_solubility_mg_l(*point) for point in points])


def test_outside_is_refused_or_blank() -> None:
    with pytest.raises(ValueError, match=r"air pressure 0\.95 hPa is outside 200 to 1200 hPa"):
        oxygen_solubility_mg_l(35.0, 25.0, 0.95)
    with pytest.raises(ValueError, match="oxygen 93 mg/L is outside"):
        oxygen_saturation_percent(93.0, 35.0, 25.0)
    found = oxygen_solubility_umol_kg(np.array([35.0, -1.0]), 25.0)
    assert list(np.isnan(found)) == [False, True]
