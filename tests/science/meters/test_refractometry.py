from __future__ import annotations

from dataclasses import replace
from typing import Any, cast

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.meters.calibration import Calibration
from journal_tools.science.meters.refractometry import (
    Refractometer,
    refractometer_correction_psu,
    refractometer_error_psu,
    refractometer_estimate,
    refractometer_reading,
    salinity_from_refractometer,
)
from journal_tools.science.water.refractive_index import (
    index_per_psu,
    nacl_density_kg_m3,
    nacl_refractive_index,
    refractive_index,
)
from journal_tools.science.water.seawater import (
    SPECIFIC_GRAVITY_REFERENCES,
    salinity_from_specific_gravity,
    specific_gravity,
)
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "01 density-salinity"
BRINE = Refractometer("brine")
BRINE_GRAVITY = Refractometer("brine", "specific gravity")
SEAWATER = Refractometer("seawater")
SEAWATER_GRAVITY = Refractometer("seawater", "specific gravity")

CHECKS = {
    (
        TOPIC,
        "true S when a NaCl-scale refractometer shows 35.0 per mille",
        "zeroed on pure water",
    ): Check(lambda: salinity_from_refractometer(35.0, BRINE)),
    (
        TOPIC,
        "SG 20/20 shown by NaCl SG-scale refractometer in S=35 seawater",
        "true SG20/20=1.02660",
    ): Check(lambda: refractometer_reading(35.0, BRINE_GRAVITY)),
}

salinities = st.floats(0.0, 42.0)
instruments = st.builds(
    Refractometer,
    st.sampled_from(["seawater", "brine"]),
    st.sampled_from(["salinity", "specific gravity"]),
    st.sampled_from(["pure water", "35 standard"]),
    st.booleans(),
    st.sampled_from(sorted(SPECIFIC_GRAVITY_REFERENCES)),
    st.floats(15.0, 30.0),
)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


def test_a_brine_scale_in_per_mille_reads_seawater_too_high() -> None:
    # CRC Handbook slope over Millard & Seaver 1990 slope: 36.4 and a factor of 0.962, both ± 0.3.
    assert refractometer_reading(35.0, BRINE) == pytest.approx(36.4, abs=0.05)
    assert salinity_from_refractometer(35.0, BRINE) / 35.0 == pytest.approx(0.962, abs=0.001)


def test_a_brine_scale_of_specific_gravity_reads_seawater_too_low() -> None:
    shown = refractometer_reading(35.0, BRINE_GRAVITY)
    assert shown == pytest.approx(1.0260, abs=1e-4)
    low_by = 35.0 - salinity_from_specific_gravity(shown, "20/20")
    assert low_by == pytest.approx(0.7, abs=0.1)


@pytest.mark.parametrize("reference", sorted(SPECIFIC_GRAVITY_REFERENCES))
@pytest.mark.parametrize("salinity", [20.0, 30.0, 35.0, 40.0])
def test_the_two_scales_of_a_brine_instrument_err_in_opposite_directions(
    salinity: float, reference: str
) -> None:
    gravity_scale = replace(BRINE_GRAVITY, reference=reference)
    shown, gravity = (
        refractometer_reading(salinity, instrument) for instrument in (BRINE, gravity_scale)
    )
    assert refractometer_correction_psu(shown, BRINE).value < -0.5
    assert refractometer_correction_psu(gravity, gravity_scale).value > 0.3


def test_the_scale_of_a_brine_instrument_is_that_of_its_own_solution() -> None:
    # In 35 g/kg of sodium chloride it is right on both scales: check it with its own index.
    excess = nacl_refractive_index(35.0) - nacl_refractive_index(0.0)
    as_seawater = excess / index_per_psu(20.0)
    assert refractometer_reading(as_seawater, BRINE) == pytest.approx(35.0, abs=1e-9)
    gravity = nacl_density_kg_m3(35.0) / 998.2053
    assert refractometer_reading(as_seawater, BRINE_GRAVITY) == pytest.approx(gravity, abs=1e-7)


@pytest.mark.parametrize("shows", ["salinity", "specific gravity"])
@pytest.mark.parametrize("scale", ["brine", "seawater"])
def test_no_bias_is_left_at_35_where_it_was_set_with_a_35_standard(scale: str, shows: str) -> None:
    instrument = Refractometer(cast("Any", scale), cast("Any", shows), "35 standard")
    mark = 35.0 if shows == "salinity" else specific_gravity(35.0, "20/20")
    assert salinity_from_refractometer(mark, instrument) == pytest.approx(35.0, abs=1e-6)
    correction = refractometer_correction_psu(mark, instrument)
    assert correction.value == pytest.approx(0.0, abs=1e-6)
    assert correction.high == pytest.approx(0.1, abs=1e-6)


def test_set_with_a_35_standard_only_the_slope_away_from_35_is_corrected() -> None:
    instrument = replace(BRINE, set_with="35 standard")
    assert salinity_from_refractometer(30.0, instrument) == pytest.approx(30.19, abs=0.01)
    assert salinity_from_refractometer(38.0, instrument) == pytest.approx(37.89, abs=0.01)


def test_a_zero_on_pure_water_fixes_the_offset_only_and_two_points_fix_both() -> None:
    fresh, standard = (refractometer_reading(s, BRINE) for s in (0.0, 35.0))
    assert fresh == 0.0
    two_points = Calibration(0.0, ((fresh, 0.0), (standard, 35.0)))
    one_point = Calibration(0.0, ((fresh, 0.0),))
    for salinity in (30.0, 33.0, 38.0):
        shown = refractometer_reading(salinity, BRINE)
        assert two_points.correct(shown) == pytest.approx(salinity, abs=1e-9)
        assert one_point.correct(shown) - salinity > 1.0


def test_a_correction_is_never_applied_twice() -> None:
    once = refractometer_estimate(35.0, BRINE)
    with pytest.raises(TypeError, match="corrected already"):
        refractometer_estimate(cast("Any", once), BRINE)
    with pytest.raises(TypeError, match="corrected already"):
        refractometer_correction_psu(cast("Any", once), BRINE)
    raw = np.array([35.0, 36.0])
    salinity_from_refractometer(raw, BRINE)
    assert raw.tolist() == [35.0, 36.0]


def test_without_compensation_a_degree_costs_0_6_psu() -> None:
    bare = replace(SEAWATER, compensates=False)
    # Millard & Seaver 1990: -1.10e-4 per °C over 1.83e-4 per psu.
    cold, warm = (salinity_from_refractometer(35.0, bare, t) for t in (20.0, 25.0))
    assert cold == pytest.approx(35.0, abs=1e-9)
    assert (warm - cold) / 5 == pytest.approx(0.6, abs=0.02)
    assert refractometer_reading(35.0, bare, 25.0) == pytest.approx(32.0, abs=0.1)


def test_without_compensation_setting_at_the_temperature_of_the_sample_takes_it_out() -> None:
    bare = replace(SEAWATER, compensates=False, set_at_c=25.0)
    assert salinity_from_refractometer(35.0, bare, 25.0) == pytest.approx(35.0, abs=0.4)


@given(st.floats(10.0, 30.0), st.floats(0.0, 40.0))
def test_with_compensation_the_temperature_changes_nothing(t: float, reading: float) -> None:
    at_20 = salinity_from_refractometer(reading, BRINE)
    assert salinity_from_refractometer(reading, BRINE, t) == at_20


@given(salinities, instruments, st.floats(15.0, 30.0))
def test_reading_and_back(salinity: float, instrument: Refractometer, t: float) -> None:
    shown = refractometer_reading(np.array([salinity]), instrument, t)
    found = salinity_from_refractometer(shown, instrument, t)[0]
    on_scale = np.isfinite(shown[0])
    assert not on_scale or np.isnan(found) or found == pytest.approx(salinity, abs=1e-6)
    # Only the very ends of the scale and of the salinities may be lost to the last bits.
    assert not on_scale or np.isfinite(found) or _is_at_an_end(salinity, shown[0], instrument)


def _is_at_an_end(salinity: float, shown: float, instrument: Refractometer) -> bool:
    near = min(salinity, 42.0 - salinity) < 1e-6
    if instrument.shows == "salinity":
        return near or min(shown, 50.0 - shown) < 1e-6
    inward = np.array([shown - 1e-8, shown + 1e-8])
    return near or bool(np.isnan(salinity_from_refractometer(inward, instrument, 20.0)).any())


@given(instruments, st.floats(20.0, 35.0))
def test_the_reading_rises_with_salinity(instrument: Refractometer, salinity: float) -> None:
    shown = refractometer_reading(np.array([salinity, salinity + 1]), instrument, 20.0)
    assert not shown[1] <= shown[0]


@given(salinities)
def test_a_seawater_scale_needs_no_correction(salinity: float) -> None:
    assert refractometer_reading(salinity, SEAWATER) == pytest.approx(salinity, abs=1e-6)
    gravity = specific_gravity(salinity, "20/20")
    assert refractometer_reading(salinity, SEAWATER_GRAVITY) == pytest.approx(gravity, abs=1e-9)


def test_the_correction_carries_0_3_psu() -> None:
    correction = refractometer_correction_psu(35.0, BRINE)
    assert correction.value == pytest.approx(-1.34, abs=0.01)
    assert correction.high - correction.value == pytest.approx(0.3)
    assert correction.value - correction.low == pytest.approx(0.3)
    assert refractometer_error_psu(np.array([10.0, 35.0]), BRINE).tolist() == [0.3, 0.3]
    assert refractometer_error_psu(34.0, SEAWATER) == 0.1


@given(salinities)
def test_the_error_is_never_more_than_0_3_nor_less_than_0_1(salinity: float) -> None:
    error = refractometer_error_psu(salinity, replace(BRINE, set_with="35 standard"))
    assert 0.1 <= error <= 0.3


def test_the_error_of_the_reading_adds_in_quadrature() -> None:
    salinity = refractometer_estimate(35.0, BRINE, reading_error=0.5)
    assert salinity.high - salinity.value == pytest.approx(np.hypot(0.3, 0.5 * 0.962), abs=0.001)
    # 0.001 of specific gravity is 1.3 psu (EOS-80).
    salinity = refractometer_estimate(1.0260, SEAWATER_GRAVITY, reading_error=0.001)
    assert salinity.high - salinity.value == pytest.approx(1.3, abs=0.05)
    at_zero = refractometer_estimate(0.0, BRINE, reading_error=0.5)
    assert (at_zero.low, at_zero.value) == (0.0, 0.0)
    at_zero = refractometer_estimate(1.0, BRINE_GRAVITY, reading_error=0.001)
    assert at_zero.high == pytest.approx(1.34, abs=0.05)


def test_specific_gravity_needs_its_reference() -> None:
    meant = {
        reference: round(
            salinity_from_refractometer(1.0250, replace(SEAWATER_GRAVITY, reference=reference)), 1
        )
        for reference in ("25/25", "20/20", "20/4")
    }
    # python-seawater 3.3.5 densities, inverted.
    assert meant == {"25/25": 33.2, "20/20": 32.9, "20/4": 35.3}


@given(salinities, st.floats(0.0, 30.0))
def test_an_instrument_measures_the_index(salinity: float, t: float) -> None:
    bare = replace(SEAWATER, compensates=False)
    rise = refractive_index(salinity, t) - refractive_index(0.0, 20.0)
    shown = refractometer_reading(np.array([salinity]), bare, t)[0]
    expected = rise / index_per_psu(20.0)
    assert shown == pytest.approx(expected, abs=1e-6) or not 1e-6 < expected < 50 - 1e-6


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("sugar",), "refractometer scale 'sugar' is not one of seawater, brine"),
        (("brine", "index"), "what is read 'index' is not one of salinity, specific gravity"),
        (("brine", "salinity", "tap water"), "set with 'tap water' is not one of pure water"),
        (("brine", "specific gravity", "pure water", True, "22/22"), "reference '22/22'"),
        (("brine", "salinity", "pure water", False, "20/20", 77.0), "set 77 °C is outside 0 to 30"),
    ],
)
def test_an_unknown_instrument_is_refused(arguments: tuple[Any, ...], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        Refractometer(*arguments)


@pytest.mark.parametrize(
    ("reading", "instrument", "t", "message"),
    [
        (1.026, BRINE_GRAVITY, 35.0, "sample temperature 35 °C is outside 10 to 30"),
        (35.0, BRINE_GRAVITY, 20.0, r"specific gravity \(20/20\) 35 is outside 1 to 1\.03"),
        (35.0, SEAWATER_GRAVITY, 20.0, r"specific gravity \(20/20\) 35 is outside 1 to 1\.03"),
        (60.0, BRINE, 20.0, "reading 60 per mille is outside 0 to 50"),
        (50.0, BRINE, 20.0, "salinity from refractometer 48.* is outside 0 to 42"),
        (float("nan"), BRINE, 20.0, "is outside"),
        (35.0, replace(BRINE, compensates=False), 31.0, "temperature 31 °C is outside 0 to 30"),
    ],
)
def test_a_reading_outside_is_refused(
    reading: float, instrument: Refractometer, t: float, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        salinity_from_refractometer(reading, instrument, t)


def test_arrays_pass_through_with_blanks() -> None:
    readings = np.array([35.0, 36.4, -1.0, 49.0, np.nan])
    found = salinity_from_refractometer(readings, BRINE)
    single = [salinity_from_refractometer(float(r), BRINE) for r in readings[:2]]
    assert found == pytest.approx([*single, np.nan, np.nan, np.nan], rel=1e-15, nan_ok=True)
    found = refractometer_reading(np.array([35.0, 50.0]), BRINE_GRAVITY, np.array([20.0, 20.0]))
    assert found == pytest.approx([1.02604, np.nan], abs=1e-4, nan_ok=True)
    found = salinity_from_refractometer(np.array([35.0, 35.0]), BRINE, np.array([20.0, 40.0]))
    assert np.isnan(found).tolist() == [False, True]
    assert np.isnan(refractometer_error_psu(np.array([np.nan]), BRINE)).all()
