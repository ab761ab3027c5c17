from __future__ import annotations

import gsw
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.water.seawater import (
    GRAMS_PER_KG_PER_PSU,
    SPECIFIC_GRAVITY_REFERENCES,
    conductivity_ms_cm,
    density_kg_m3,
    pure_water_density_kg_m3,
    salinity_from_conductivity,
    salinity_from_hydrometer,
    salinity_from_specific_gravity,
    salt_for_water_kg,
    salt_in_seawater_kg,
    specific_gravity,
)
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "01 density-salinity"
IPTS68 = 1 / 1.00024  # t90 of 1 °C on the scale of 1968
PSS78_UNIT_MS_CM = 42.914
TEOS10 = "EOS-80 and TEOS-10 differ by up to 0.005 kg/m3"

_EOS80 = "seawater density EOS-80"
_AT_T90 = "seawater density EOS-80 at ITS-90 t"
_TEOS10 = "seawater density TEOS-10"
_CONDUCTIVITY = "conductivity of seawater"
_RATIO = "PSS-78 salinity from conductivity ratio"
_OFF_TEMPERATURE = "salinity from glass hydrometer used off its temperature"
_AT_SCALE = "SG=1.0250, sample at scale temperature"
_GLASS = "glass cubic expansion 2.5e-5/K"

_DENSITY = {
    (_EOS80, "S=0 PSS-78; t=5 degC IPTS-68; p=0 dbar"): lambda: density_kg_m3(0.0, 5 * IPTS68),
    (_EOS80, "S=35 PSS-78; t=25 degC IPTS-68; p=0 dbar"): lambda: density_kg_m3(35.0, 25 * IPTS68),
    (_AT_T90, "S=35; t90=25 degC; p=0"): lambda: density_kg_m3(35.0, 25.0),
    (_AT_T90, "S=35; t90=20 degC; p=0"): lambda: density_kg_m3(35.0, 20.0),
    (_AT_T90, "S=0; t90=25 degC; p=0"): lambda: density_kg_m3(0.0, 25.0),
    (_AT_T90, "S=0; t90=20 degC; p=0"): lambda: pure_water_density_kg_m3(20.0),
}
_GRAVITY = {
    ("specific gravity 25/25", "S=30"): lambda: specific_gravity(30.0),
    ("specific gravity 25/25", "S=35"): lambda: specific_gravity(35.0),
    ("specific gravity 25/25", "S=38"): lambda: specific_gravity(38.0),
    ("specific gravity 20/20", "S=35"): lambda: specific_gravity(35.0, "20/20"),
    ("specific gravity 25/4", "S=35"): lambda: specific_gravity(35.0, "25/4"),
    ("specific gravity 25/20", "S=35"): lambda: specific_gravity(35.0, "25/20"),
    ("specific gravity 20/4", "S=35"): lambda: specific_gravity(35.0, "20/4"),
    ("salinity from SG 1.0250 if the scale is 25/25", _AT_SCALE):
        lambda: salinity_from_specific_gravity(1.0250, "25/25"),
    ("salinity from SG 1.0250 if the scale is 20/20", _AT_SCALE):
        lambda: salinity_from_specific_gravity(1.0250, "20/20"),
    ("salinity from SG 1.0250 if the scale is 25/4", _AT_SCALE):
        lambda: salinity_from_specific_gravity(1.0250, "25/4"),
    (_OFF_TEMPERATURE, f"reading=1.025; scale ref tc/tc=15.5556 degC; sample 25 degC; {_GLASS}"):
        lambda: salinity_from_hydrometer(1.0250, 25.0, "60/60F"),
    (_OFF_TEMPERATURE, f"reading=1.025; scale ref tc/tc=25 degC; sample 27 degC; {_GLASS}"):
        lambda: salinity_from_hydrometer(1.0250, 27.0, "25/25"),
}  # fmt: skip
_CONDUCTION = {
    (_RATIO, "R=C/42.914 mS/cm=1.2; t=20 IPTS-68; p=2000 dbar"):
        lambda: salinity_from_conductivity(1.2 * PSS78_UNIT_MS_CM, 20 * IPTS68, 2000),
    (_RATIO, "R=C/42.914 mS/cm=0.65; t=5 IPTS-68; p=1500 dbar"):
        lambda: salinity_from_conductivity(0.65 * PSS78_UNIT_MS_CM, 5 * IPTS68, 1500),
    (_CONDUCTIVITY, "S=35; t90=20; p=0"): lambda: conductivity_ms_cm(35.0, 20.0),
    (_CONDUCTIVITY, "S=36; t90=25; p=0"): lambda: conductivity_ms_cm(36.0),
    (_CONDUCTIVITY, "S=35; t90=26; p=0"): lambda: conductivity_ms_cm(35.0, 26.0),
    ("salinity of a 53.0 mS/cm (25 degC) sample", "C25=53.0"):
        lambda: salinity_from_conductivity(53.0),
}  # fmt: skip
_SALT_TOPIC = "08 water change"
_SALT = {
    ("anhydrous sea salt per 100 L of pure water", "S=33; water at 25 degC"):
        lambda: salt_for_water_kg(100.0, 33.0),
    ("anhydrous sea salt per 100 L of pure water", "S=35; water at 25 degC"):
        lambda: salt_for_water_kg(100.0, 35.0),
    ("anhydrous sea salt in 100 L of finished seawater", "S=35; 25 degC"):
        lambda: salt_in_seawater_kg(100.0, 35.0),
}  # fmt: skip
CHECKS = (
    {(TOPIC, *key): Check(call) for key, call in (_DENSITY | _GRAVITY | _CONDUCTION).items()}
    | {(_SALT_TOPIC, *key): Check(call) for key, call in _SALT.items()}
    | {
        (TOPIC, _TEOS10, f"SP={s:.0f} (SA=SP*35.16504/35); t90=25; p=0"): Check(
            lambda s=s: density_kg_m3(s, 25.0), 0.005, TEOS10
        )
        for s in (0.0, 35.0)
    }
)

salinities = st.floats(0.0, 42.0)
temperatures = st.floats(-2.0, 40.0)
references = st.sampled_from(sorted(SPECIFIC_GRAVITY_REFERENCES))


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


# The four surface values of UNESCO Tech. Pap. Mar. Sci. 44, on IPTS-68, recalled and reproduced.
@pytest.mark.parametrize(
    ("salinity", "t68", "density"),
    [(0, 5, 999.96675), (35, 5, 1027.67547), (35, 25, 1023.34306), (0, 25, 997.04796)],
)
def test_unesco_surface_check_values(salinity: float, t68: float, density: float) -> None:
    assert density_kg_m3(float(salinity), t68 * IPTS68) == pytest.approx(density, abs=5e-5)


def test_a_temperature_of_the_1968_scale_must_be_converted_first() -> None:
    assert density_kg_m3(35.0, 25.0) == pytest.approx(1023.3412, abs=5e-5)
    assert abs(density_kg_m3(35.0, 25.0) - 1023.34306) > 1e-3


@given(salinities, st.floats(0.0, 40.0))
def test_density_agrees_with_teos10(salinity: float, temperature_c: float) -> None:
    oracle = gsw.rho_t_exact(salinity * GRAMS_PER_KG_PER_PSU, temperature_c, 0.0)
    assert density_kg_m3(salinity, temperature_c) == pytest.approx(oracle, abs=0.03)


@given(st.floats(30.0, 40.0), st.floats(20.0, 30.0))
def test_density_agrees_with_teos10_in_a_reef(salinity: float, temperature_c: float) -> None:
    oracle = gsw.rho_t_exact(salinity * GRAMS_PER_KG_PER_PSU, temperature_c, 0.0)
    assert density_kg_m3(salinity, temperature_c) == pytest.approx(oracle, abs=0.006)


@given(salinities, salinities, temperatures)
def test_density_rises_with_salinity(one: float, other: float, temperature_c: float) -> None:
    low, high = sorted((one, other))
    rise = density_kg_m3(high, temperature_c) - density_kg_m3(low, temperature_c)
    # 0.7 kg/m3 for each psu everywhere, less the last bits.
    assert rise >= 0.7 * (high - low) - 1e-9


@given(salinities, references)
def test_specific_gravity_and_back(salinity: float, reference: str) -> None:
    reading = specific_gravity(salinity, reference)
    assert salinity_from_specific_gravity(reading, reference) == pytest.approx(salinity, abs=1e-9)


@given(salinities, references, temperatures)
def test_a_hydrometer_shows_the_density_of_its_own_volume(
    salinity: float, reference: str, sample_c: float
) -> None:
    scale_c, water_c = SPECIFIC_GRAVITY_REFERENCES[reference]
    shown = (
        density_kg_m3(salinity, sample_c)
        * (1 + 2.5e-5 * (sample_c - scale_c))
        / pure_water_density_kg_m3(water_c)
    )
    found = salinity_from_hydrometer(np.array([shown]), sample_c, reference)[0]
    # The very ends may fall outside by the last bit.
    assert np.isnan(found) or found == pytest.approx(salinity, abs=1e-8)
    assert not np.isnan(found) or min(salinity, 42 - salinity) < 1e-8


def test_the_same_1_0250_spans_five_psu_over_the_scales() -> None:
    meant = {
        reference: round(salinity_from_specific_gravity(1.0250, reference), 2)
        for reference in SPECIFIC_GRAVITY_REFERENCES
    }
    # python-seawater 3.3.5 densities, inverted.
    assert meant == {
        "25/25": 33.19,
        "20/20": 32.90,
        "60/60F": 32.59,
        "25/20": 34.76,
        "20/4": 35.28,
        "25/4": 37.16,
    }


def test_a_hydrometer_in_warm_water_reads_too_low() -> None:
    # python-seawater 3.3.5: scale 20 °C in 25 °C water means 34.59, not 32.90.
    assert salinity_from_hydrometer(1.0250, 25.0, "20/20") == pytest.approx(34.59, abs=0.005)
    per_degree = salinity_from_hydrometer(1.0250, 26.0) - salinity_from_hydrometer(1.0250, 25.0)
    assert 0.3 < per_degree < 0.4


@pytest.mark.parametrize("reading", [0.9, 0.9999, 1.04, 35.0, float("nan")])
def test_an_impossible_specific_gravity_is_refused(reading: float) -> None:
    with pytest.raises(ValueError, match=r"^specific gravity \(25/25\) .* is outside 1 to 1\.03"):
        salinity_from_specific_gravity(reading)


def test_an_unknown_scale_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match=r"'22/22' is not one of 25/25, 20/20"):
        specific_gravity(35.0, "22/22")


@pytest.mark.parametrize(
    "conductivity",
    [
        pytest.param(5.3071, id="seawater in S/m"),
        pytest.param(53071.0, id="seawater in µS/cm"),
        pytest.param(0.0, id="dry probe"),
    ],
)
def test_a_conductivity_in_another_unit_is_refused(conductivity: float) -> None:
    with pytest.raises(ValueError, match=r"^conductivity .* is outside 10 to 100 mS/cm$"):
        salinity_from_conductivity(conductivity)


def test_a_salinity_outside_pss78_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^salinity from conductivity .* is outside 2 to 42 psu$"):
        salinity_from_conductivity(80.0, 25.0)
    assert np.isnan(salinity_from_conductivity(np.array([80.0, 5.3]), 25.0)).all()


def test_a_compensated_reading_must_not_be_compensated_twice() -> None:
    assert salinity_from_conductivity(53.071) == pytest.approx(35.0, abs=0.001)
    assert salinity_from_conductivity(53.071, 20.0) > 39


@given(st.floats(12.0, 42.0), st.floats(5.0, 35.0))
def test_conductivity_and_back(salinity: float, temperature_c: float) -> None:
    conductivity = conductivity_ms_cm(salinity, temperature_c)
    back = salinity_from_conductivity(np.array([conductivity]), temperature_c)[0]
    assert back == pytest.approx(salinity, abs=1e-6) or salinity > 41.999999


@given(st.floats(0.0, 1000.0), salinities, temperatures)
def test_salt_and_water_make_the_finished_batch(
    water_l: float, salinity: float, temperature_c: float
) -> None:
    salt_kg = salt_for_water_kg(water_l, salinity, temperature_c)
    water_kg = water_l / 1000 * pure_water_density_kg_m3(temperature_c)
    finished_l = (salt_kg + water_kg) / density_kg_m3(salinity, temperature_c) * 1000
    salt_found = salt_in_seawater_kg(finished_l, salinity, temperature_c)
    assert salt_found == pytest.approx(salt_kg, rel=1e-9, abs=1e-12)


def test_moist_salt_takes_more() -> None:
    moist = salt_in_seawater_kg(100.0, 35.0, dry_fraction=0.92)
    assert 3.8 < moist < 4.0  # as dry mixes are sold: common practice, no source
    with pytest.raises(ValueError, match="dry fraction"):
        salt_in_seawater_kg(100.0, 35.0, dry_fraction=0.0)


def test_arrays_pass_through_with_blanks() -> None:
    densities = density_kg_m3(np.array([35.0, 99.0, 0.0]), 25.0)
    assert densities == pytest.approx([1023.3412, np.nan, 997.0464], abs=1e-4, nan_ok=True)
    readings = salinity_from_specific_gravity(np.array([1.0250, 35.0]), "25/25")
    assert readings == pytest.approx([33.188, np.nan], abs=1e-3, nan_ok=True)


@pytest.mark.parametrize(("salinity", "temperature_c"), [(-1.0, 25.0), (43.0, 25.0), (35.0, 78.0)])
def test_density_outside_its_range_is_refused(salinity: float, temperature_c: float) -> None:
    with pytest.raises(ValueError, match="is outside"):
        density_kg_m3(salinity, temperature_c)
