from __future__ import annotations

import math

import numpy as np
import PyCO2SYS
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from journal_tools.science.carbonates.carbonate_constants import (
    aragonite_solubility_product,
    calcite_solubility_product,
    carbonate_constants,
    element_umol_kg,
    fugacity_coefficient,
    total_boron_umol_kg,
    total_calcium_umol_kg,
)
from journal_tools.science.carbonates.ph_scales import bisulfate_constant, fluoride_constant
from journal_tools.science.water.seawater import density_kg_m3
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "03 carbonate"


def log10(number: float | np.ndarray) -> float:
    return math.log10(float(number))


def ln(number: float | np.ndarray) -> float:
    return math.log(float(number))


_AT = "S=35; t=25"
_CALLS = {
    ("ln K0", _AT): lambda: ln(carbonate_constants(35.0, 25.0).k0),
    ("log10 K1 (total)", _AT): lambda: log10(carbonate_constants(35.0, 25.0).k1),
    ("log10 K2 (total)", _AT): lambda: log10(carbonate_constants(35.0, 25.0).k2),
    ("ln KB (total)", _AT): lambda: ln(carbonate_constants(35.0, 25.0).kb),
    ("ln KW (total)", _AT): lambda: ln(carbonate_constants(35.0, 25.0).kw),
    ("log10 Ksp aragonite", "S=35; t=25; p=0"):
        lambda: log10(aragonite_solubility_product(35.0, 25.0)),
    ("log10 Ksp calcite", "S=35; t=25; p=0"):
        lambda: log10(calcite_solubility_product(35.0, 25.0)),
    ("total boron Uppstrom 1974", "S=35"): lambda: total_boron_umol_kg(35.0, "uppstrom1974"),
    ("total boron Lee 2010", "S=35"): lambda: total_boron_umol_kg(35.0),
}  # fmt: skip
CHECKS = {(TOPIC, *key): Check(call) for key, call in _CALLS.items()}

waters = st.tuples(
    arrays(float, 80, elements=st.floats(19.0, 43.0)),
    arrays(float, 80, elements=st.floats(2.0, 35.0)),
)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


@settings(max_examples=15, deadline=None)
@given(waters)
def test_constants_agree_with_pyco2sys(water: tuple[np.ndarray, np.ndarray]) -> None:
    salinity, celsius = water
    oracle = PyCO2SYS.sys(2300.0, 8.0, 1, 3, salinity=salinity, temperature=celsius)
    ours = carbonate_constants(salinity, celsius)
    pairs = {
        "k_CO2": ours.k0,
        "k_carbonic_1": ours.k1,
        "k_carbonic_2": ours.k2,
        "k_borate": ours.kb,
        "k_water": ours.kw,
        "k_bisulfate": bisulfate_constant(salinity, celsius),
        "k_fluoride": fluoride_constant(salinity, celsius),
        "k_aragonite": aragonite_solubility_product(salinity, celsius),
        "k_calcite": calcite_solubility_product(salinity, celsius),
        "fugacity_factor": fugacity_coefficient(celsius),
        "total_calcium": total_calcium_umol_kg(salinity),
    }
    for name, constant in pairs.items():
        assert constant == pytest.approx(oracle[name], rel=1e-6), name


@given(st.floats(19.0, 43.0), st.floats(2.0, 34.0))
def test_warm_water_holds_less_gas_and_less_lime(salinity: float, temperature_c: float) -> None:
    cold, warm = (
        carbonate_constants(salinity, temperature) for temperature in (temperature_c, 35.0)
    )
    assert warm.k0 < cold.k0
    assert warm.k1 > cold.k1
    assert warm.k2 > cold.k2
    assert warm.kw > cold.kw
    coldest, warmest = (calcite_solubility_product(salinity, one) for one in (15.0, 35.0))
    assert warmest < coldest < aragonite_solubility_product(salinity, 15.0)


def test_trap_mg_per_litre_is_not_mg_per_kilogram() -> None:
    per_kg = element_umol_kg("Ca", 420.0, 35.0, 25.0)
    without_density = 420.0 / 40.078 * 1000
    assert without_density / per_kg == pytest.approx(1.0234, abs=2e-4)
    # Natural seawater as it shows in a test kit: 422 mg/L at 35 psu.
    assert element_umol_kg("Ca", 422.0, 35.0, 25.0) == pytest.approx(
        total_calcium_umol_kg(35.0), rel=1e-3
    )


@given(st.floats(0.0, 1000.0), st.floats(19.0, 42.0), st.floats(2.0, 35.0))
def test_micromole_and_back(boron_mg_l: float, salinity: float, temperature_c: float) -> None:
    found = element_umol_kg("B", boron_mg_l, salinity, temperature_c)
    back = found * 10.8135e-6 * density_kg_m3(salinity, temperature_c)
    assert back == pytest.approx(boron_mg_l, rel=1e-12)


def test_the_two_sources_of_boron_differ_by_four_percent() -> None:
    ratio = total_boron_umol_kg(35.0) / total_boron_umol_kg(35.0, "uppstrom1974")
    assert ratio == pytest.approx(1.04, abs=0.002)


def test_what_is_out_of_range_or_unknown_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^salinity 18 psu is outside 19 to 43 psu$"):
        carbonate_constants(18.0, 25.0)
    with pytest.raises(ValueError, match=r"^temperature 36 °C is outside 2 to 35 °C$"):
        aragonite_solubility_product(35.0, 36.0)
    with pytest.raises(ValueError, match="source 'mine' is not one of lee2010, uppstrom1974"):
        total_boron_umol_kg(35.0, "mine")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="element 'Xx' is not one of"):
        element_umol_kg("Xx", 420.0, 35.0, 25.0)
    found = carbonate_constants(np.array([18.0, 35.0]), np.array([25.0, 35.0])).k1
    assert np.isnan(found).tolist() == [True, False]


def test_salinities_and_temperatures_of_any_shape_make_a_table() -> None:
    salinity, celsius = np.array([[30.0], [35.0]]), np.array([20.0, 25.0, 30.0])
    table = carbonate_constants(salinity, celsius).kb
    assert table.shape == aragonite_solubility_product(salinity, celsius).shape == (2, 3)
    assert table[1, 1] == pytest.approx(float(carbonate_constants(35.0, 25.0).kb), rel=1e-13)
    one_temperature = bisulfate_constant(np.array([30.0, 35.0]), np.array([25.0]))
    assert one_temperature[1] == pytest.approx(bisulfate_constant(35.0, 25.0), rel=1e-13)
    for other in (carbonate_constants(salinity, 25.0).k0, carbonate_constants(35.0, celsius).kw):
        assert other.size in {2, 3}
