from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.water.refractive_index import (
    INDEX_PER_NACL_G_KG,
    index_per_psu,
    nacl_density_kg_m3,
    nacl_g_kg_from_density,
    nacl_refractive_index,
    pure_water_refractive_index,
    refractive_index,
    refractive_index_quan_fry,
    salinity_from_refractive_index,
)
from journal_tools.science.water.seawater import pure_water_density_kg_m3
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "01 density-salinity"
_MS = "refractive index nD Millard & Seaver 1990 (p=0)"
_QF = "refractive index nD Quan & Fry 1995"
_NACL_INDEX = "NaCl solution nD at 20 degC"
_NACL_DENSITY = "NaCl solution density at 20 degC"
_WATER = "pure water nD relative to air"

# Mass % with index and density in g/cm3 at 20 °C: CRC Handbook, Concentrative properties of
# aqueous solutions. Rows below 3.0 and 4.5 are recalled; the least squares slope over all eleven
# is that of the reference table, whose rows are among these.
CRC_NACL = (
    (0.0, 1.3330, 0.9982), (0.5, 1.3339, 1.0018), (1.0, 1.3347, 1.0053), (1.5, 1.3356, 1.0089),
    (2.0, 1.3365, 1.0125), (2.5, 1.3374, 1.0160), (3.0, 1.3383, 1.0196), (3.5, 1.3391, 1.0232),
    (4.0, 1.3400, 1.0268), (4.5, 1.3409, 1.0304), (5.0, 1.3418, 1.0340),
)  # fmt: skip

# Molality with specific volume in cm3/g at 10, 20, 25 and 30 °C: Rogers & Pitzer 1982, J. Phys.
# Chem. Ref. Data 11:15, as in an open transcription of the CRC Handbook.
ROGERS_PITZER = (
    (0.100, 0.995998, 0.997620, 0.998834, 1.000279),
    (0.250, 0.989781, 0.991564, 0.992832, 0.994319),
    (0.500, 0.979804, 0.981833, 0.983185, 0.984735),
    (0.750, 0.970256, 0.972505, 0.973932, 0.975539),
)

_INDEX = {
    (_MS, "S=35; t=20; 589.3 nm"): lambda: refractive_index(35.0, 20.0),
    (_MS, "S=30; t=20; 589.3 nm"): lambda: refractive_index(30.0, 20.0),
    (_MS, "S=40; t=20; 589.3 nm"): lambda: refractive_index(40.0, 20.0),
    (_QF, "S=0; t=20; 589.3 nm"): lambda: refractive_index_quan_fry(0.0, 20.0),
    (_QF, "S=35; t=20; 589.3 nm"): lambda: refractive_index_quan_fry(35.0, 20.0),
    (_QF, "S=35; t=25; 589.3 nm"): lambda: refractive_index_quan_fry(35.0, 25.0),
    (_WATER, "t=20; 589.3 nm"): lambda: pure_water_refractive_index(20.0),
    (_WATER, "t=25; 589.3 nm"): lambda: pure_water_refractive_index(25.0),
    ("dnD/dS of seawater at 20 degC", "0-35"):
        lambda: (refractive_index(35.0, 20.0) - refractive_index(0.0, 20.0)) / 35,
    ("dnD/dw of NaCl at 20 degC", "fit of CRC 0-5 %"):
        lambda: (nacl_refractive_index(50.0) - nacl_refractive_index(0.0)) / 50,
    (_NACL_DENSITY, "mass% NaCl=0"): lambda: nacl_density_kg_m3(0.0) / 1000,
}  # fmt: skip
_NACL = {
    (quantity, f"mass% NaCl={percent}"): call
    for percent in (3.0, 3.5, 4.0, 5.0)
    for quantity, call in (
        (_NACL_INDEX, lambda percent=percent: nacl_refractive_index(10 * percent)),
        (_NACL_DENSITY, lambda percent=percent: nacl_density_kg_m3(10 * percent) / 1000),
    )
}
CHECKS = {(TOPIC, *key): Check(call) for key, call in (_INDEX | _NACL).items()}

salinities = st.floats(0.0, 42.0)
temperatures = st.floats(0.0, 30.0)
wavelengths = st.floats(500.0, 700.0)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


def test_the_misread_last_term_of_millard_and_seaver_is_e_minus_9() -> None:
    # Both candidate readings against IAPWS R9-97: only the one in use agrees at 25 °C.
    water = pure_water_refractive_index(25.0)
    in_use = refractive_index(0.0, 25.0)
    misread = in_use + (1.705881e-9 - 1.705881e-10) * 25.0**3 * 0.5893
    assert abs(in_use - water) < 1e-5
    assert misread - water == pytest.approx(2e-5, abs=1e-6)


def test_absolute_indices_of_two_models_must_not_be_mixed() -> None:
    # 2e-5 apart is 0.1 psu; their differences from pure water agree far better.
    absolute = refractive_index_quan_fry(35.0, 20.0) - refractive_index(35.0, 20.0)
    fresh = refractive_index_quan_fry(0.0, 20.0) - refractive_index(0.0, 20.0)
    assert absolute == pytest.approx(2.1e-5, abs=2e-6)
    assert absolute / index_per_psu(20.0) > 0.1
    assert abs(absolute - fresh) < 0.03 * index_per_psu(20.0) * 1.5


def test_the_index_of_seawater_falls_by_0_6_psu_for_each_degree() -> None:
    per_c = (refractive_index(35.0, 25.0) - refractive_index(35.0, 20.0)) / 5
    assert per_c == pytest.approx(-1.10e-4, abs=0.01e-4)
    assert per_c / index_per_psu(22.5) == pytest.approx(-0.6, abs=0.02)


# Indices of pure water relative to air as printed in handbooks of chemistry, from memory.
@pytest.mark.parametrize(
    ("temperature_c", "index"), [(10.0, 1.33370), (15.0, 1.33339), (20.0, 1.33299), (25.0, 1.33250)]
)
def test_pure_water_is_that_of_handbooks(temperature_c: float, index: float) -> None:
    assert pure_water_refractive_index(temperature_c) == pytest.approx(index, abs=2e-5)
    assert refractive_index(0.0, temperature_c) == pytest.approx(index, abs=2e-5)


@given(temperatures, wavelengths)
def test_three_sources_agree_on_pure_water(temperature_c: float, wavelength_nm: float) -> None:
    water = pure_water_refractive_index(temperature_c, wavelength_nm)
    assert refractive_index(0.0, temperature_c, wavelength_nm) == pytest.approx(water, abs=4e-5)
    second = refractive_index_quan_fry(0.0, temperature_c, wavelength_nm)
    assert second == pytest.approx(water, abs=6e-5)


@given(st.floats(0.0, 35.0), temperatures)
def test_two_models_of_seawater_agree_to_0_3_psu(salinity: float, temperature_c: float) -> None:
    first = refractive_index(salinity, temperature_c)
    second = refractive_index_quan_fry(salinity, temperature_c)
    assert first == pytest.approx(second, abs=0.3 * 1.8e-4)


@given(salinities, temperatures, wavelengths)
def test_index_and_back(salinity: float, temperature_c: float, wavelength_nm: float) -> None:
    index = refractive_index(salinity, temperature_c, wavelength_nm)
    found = salinity_from_refractive_index(np.array([index]), temperature_c, wavelength_nm)[0]
    # The very ends may fall outside by the last bit.
    assert found == pytest.approx(salinity, abs=1e-8) or min(salinity, 42 - salinity) < 1e-8


@given(salinities, temperatures)
def test_index_falls_with_temperature_and_wavelength(salinity: float, temperature_c: float) -> None:
    index = refractive_index(salinity, temperature_c)
    assert refractive_index(salinity, temperature_c, 650.0) < index
    if temperature_c <= 29:
        assert refractive_index(salinity, temperature_c + 1, 589.3) < index


@pytest.mark.parametrize(("percent", "index", "density_g_cm3"), CRC_NACL)
def test_sodium_chloride_keeps_within_the_rounding_of_the_table(
    percent: float, index: float, density_g_cm3: float
) -> None:
    assert nacl_refractive_index(10 * percent) == pytest.approx(index, abs=5e-5)
    assert nacl_density_kg_m3(10 * percent) / 1000 == pytest.approx(density_g_cm3, abs=5e-5)


def test_the_slope_of_sodium_chloride_is_the_least_squares_of_the_table() -> None:
    table = np.array(CRC_NACL)
    slope = np.polyfit(10 * table[:, 0], table[:, 1], 1)[0]
    assert slope == pytest.approx(INDEX_PER_NACL_G_KG, abs=1e-10)


@pytest.mark.parametrize("row", ROGERS_PITZER, ids=lambda row: f"{row[0]} mol/kg")
def test_sodium_chloride_at_other_temperatures(row: tuple[float, ...]) -> None:
    molality, *volumes = row
    nacl_g_kg = molality * 58.4428 / (1 + molality * 0.0584428)
    for temperature_c, volume in zip((10.0, 20.0, 25.0, 30.0), volumes, strict=True):
        found = nacl_density_kg_m3(nacl_g_kg, temperature_c)
        assert found == pytest.approx(1000 / volume, abs=0.09)


@given(st.floats(0.0, 50.0), st.floats(10.0, 30.0))
def test_density_of_sodium_chloride_and_back(nacl_g_kg: float, temperature_c: float) -> None:
    density = nacl_density_kg_m3(nacl_g_kg, temperature_c)
    assert density >= pure_water_density_kg_m3(temperature_c)
    found = nacl_g_kg_from_density(np.array([density]), temperature_c)[0]
    assert found == pytest.approx(nacl_g_kg, abs=1e-7) or min(nacl_g_kg, 50 - nacl_g_kg) < 1e-7


@pytest.mark.parametrize(
    ("salinity", "temperature_c", "wavelength_nm"),
    [(-1.0, 20.0, 589.3), (43.0, 20.0, 589.3), (35.0, 31.0, 589.3), (35.0, 20.0, 0.589)],
)
def test_an_index_outside_the_range_is_refused(
    salinity: float, temperature_c: float, wavelength_nm: float
) -> None:
    with pytest.raises(ValueError, match="is outside"):
        refractive_index(salinity, temperature_c, wavelength_nm)
    with pytest.raises(ValueError, match="is outside"):
        refractive_index_quan_fry(salinity, temperature_c, wavelength_nm)


def test_other_values_outside_are_refused() -> None:
    with pytest.raises(ValueError, match=r"^refractive index 1\.36 is outside 1\.33"):
        salinity_from_refractive_index(1.36, 20.0)
    with pytest.raises(ValueError, match=r"^sodium chloride 51 g/kg is outside 0 to 50 g/kg$"):
        nacl_refractive_index(51.0)
    with pytest.raises(ValueError, match="temperature 5 °C is outside 10 to 30"):
        nacl_density_kg_m3(35.0, 5.0)
    with pytest.raises(ValueError, match="density 990 kg/m3 is outside"):
        nacl_g_kg_from_density(990.0, 20.0)
    with pytest.raises(ValueError, match="wavelength 800 nm"):
        pure_water_refractive_index(20.0, 800.0)


def test_arrays_pass_through_with_blanks() -> None:
    salinity = np.array([0.0, 35.0, 99.0])
    found = refractive_index(salinity, 20.0)
    single = [refractive_index(float(s), 20.0) for s in salinity[:2]]
    assert found == pytest.approx([*single, np.nan], rel=1e-15, nan_ok=True)
    found = nacl_density_kg_m3(np.array([0.0, 35.0, -1.0]), np.array([20.0, 99.0, 20.0]))
    assert found == pytest.approx([998.2053, np.nan, np.nan], abs=1e-4, nan_ok=True)
    found = pure_water_refractive_index(np.array([20.0, 50.0]))
    assert found == pytest.approx([1.332986, np.nan], abs=1e-6, nan_ok=True)
