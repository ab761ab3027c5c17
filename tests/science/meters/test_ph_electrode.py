from __future__ import annotations

from typing import Any, cast

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.meters.ph_electrode import (
    BUFFERS,
    Electrode,
    buffer_ph,
    electrode_from_buffers,
    mv_from_ph,
    nernst_slope_mv,
    ph_from_mv,
    ph_total_from_tris,
    seawater_ph_at,
    tris_ph_total,
)
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "17 calibration"
_PRIMARY = "primary standard pH at 25 degC"
WORN = electrode_from_buffers(5.0, 7.00, 178.0, 4.01, 25.0)

_ROWS = {
    ("Nernst slope", "20 degC"): lambda: nernst_slope_mv(20.0),
    ("Nernst slope", "26 degC"): lambda: nernst_slope_mv(26.0),
    (_PRIMARY, "phthalate 0.05 m"): lambda: buffer_ph("phthalate", 25.0),
    (_PRIMARY, "phosphate 0.025/0.025 m"): lambda: buffer_ph("phosphate", 25.0),
    (_PRIMARY, "carbonate 0.025/0.025 m"): lambda: buffer_ph("carbonate", 25.0),
    ("pH total of Tris in synthetic seawater", "S=35; 25 degC"): lambda: tris_ph_total(35.0, 25.0),
    ("electrode slope", "E(7.00)=+5 mV; E(4.01)=+178 mV; 25 degC"): lambda: WORN.slope_percent,
}
CHECKS = {(TOPIC, *key): Check(call) for key, call in _ROWS.items()}

temperatures = st.floats(0.0, 50.0)
electrodes = st.builds(
    Electrode, st.floats(40.0, 65.0), st.floats(-60.0, 60.0), st.floats(5.0, 40.0)
)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


# Buffer pH over temperature of the Japanese standard JIS Z 8802, two decimals, as seen in an open
# transcription: an independent table for the same four solutions.
@pytest.mark.parametrize(
    ("buffer", "by_temperature"),
    [
        ("phthalate", {0: 4.01, 10: 4.00, 20: 4.00, 25: 4.01, 30: 4.01, 40: 4.03, 50: 4.06}),
        ("phosphate", {0: 6.98, 10: 6.92, 20: 6.88, 25: 6.86, 30: 6.85, 40: 6.84, 50: 6.83}),
        ("borax", {0: 9.46, 10: 9.33, 20: 9.22, 25: 9.18, 30: 9.14, 40: 9.07, 50: 9.01}),
        ("carbonate", {0: 10.32, 5: 10.25, 10: 10.18, 15: 10.12, 20: 10.07, 25: 10.02, 35: 9.93}),
    ],
)
def test_primary_standards_are_those_of_another_table(
    buffer: str, by_temperature: dict[int, float]
) -> None:
    for temperature_c, ph in by_temperature.items():
        # Half a hundredth of rounding, and the tables differ by up to 0.008 in carbonate.
        assert buffer_ph(buffer, float(temperature_c)) == pytest.approx(ph, abs=0.0105)


# Between the temperatures of our table: an open transcription of the primary standards.
@pytest.mark.parametrize(
    ("buffer", "by_temperature"),
    [
        ("phthalate", {18: 3.999, 22: 4.002, 28: 4.008, 37: 4.022, 45: 4.038}),
        ("phosphate", {18: 6.888, 22: 6.874, 28: 6.857, 37: 6.841, 45: 6.834}),
        ("borax", {18: 9.245, 22: 9.207, 28: 9.155, 37: 9.088, 45: 9.038}),
        ("carbonate", {18: 10.084, 22: 10.042, 28: 9.984, 37: 9.910, 45: 9.857}),
    ],
)
def test_primary_standards_between_the_temperatures_of_the_table(
    buffer: str, by_temperature: dict[int, float]
) -> None:
    for temperature_c, ph in by_temperature.items():
        assert buffer_ph(buffer, float(temperature_c)) == pytest.approx(ph, abs=0.0025)


# Equation of Hetzer, Durst, Robinson & Bates 1977, J. Res. NBS 81A:21 (abstract seen).
@pytest.mark.parametrize("temperature_c", [10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0])
def test_phthalate_is_near_its_published_equation(temperature_c: float) -> None:
    kelvin = temperature_c + 273.15
    ph = 2073.44 / kelvin - 13.3270 + 0.045199 * kelvin - 3.4846e-5 * kelvin**2
    assert buffer_ph("phthalate", temperature_c) == pytest.approx(ph, abs=0.0045)


def test_a_buffer_has_another_ph_at_another_temperature() -> None:
    assert buffer_ph("technical 10.01", 25.0) == 10.01
    assert buffer_ph("technical 10.01", 20.0) == 10.06
    seven, ten = (buffer_ph(f"technical {name}", 20.0) for name in ("7.00", "10.01"))
    right = electrode_from_buffers(-5.0, seven, -179.0, ten, 20.0)
    by_label = electrode_from_buffers(-5.0, 7.00, -179.0, 10.01, 20.0)
    assert by_label.slope_percent - right.slope_percent == pytest.approx(1.0, abs=0.1)


@given(st.sampled_from(sorted(BUFFERS)), temperatures)
def test_a_buffer_stays_near_its_name(buffer: str, temperature_c: float) -> None:
    at_25 = buffer_ph(buffer, 25.0)
    assert abs(buffer_ph(buffer, temperature_c) - at_25) < 0.32
    technical = {"technical 4.01": 4.01, "technical 7.00": 7.00, "technical 10.01": 10.01}
    assert at_25 == technical.get(buffer, at_25)


@given(st.floats(0.0, 49.0))
def test_alkaline_buffers_fall_with_temperature(temperature_c: float) -> None:
    for buffer in ("borax", "carbonate", "technical 10.01"):
        assert buffer_ph(buffer, temperature_c + 1) < buffer_ph(buffer, temperature_c)


# R T ln(10) / F at 25 °C is printed as 59.16 mV in textbooks of analytical chemistry.
def test_the_nernst_slope_at_25_is_59_16_mv() -> None:
    assert nernst_slope_mv(25.0) == pytest.approx(59.16, abs=0.005)


@given(st.floats(-5.0, 100.0))
def test_the_nernst_slope_goes_with_absolute_temperature(temperature_c: float) -> None:
    ratio = nernst_slope_mv(temperature_c) / nernst_slope_mv(25.0)
    assert ratio == pytest.approx((temperature_c + 273.15) / 298.15, rel=1e-12)


def test_slope_and_offset_of_a_worn_electrode() -> None:
    assert WORN.slope_mv == pytest.approx(173 / 2.99)
    assert WORN.offset_mv == pytest.approx(5.0)
    assert WORN.is_usual
    assert not Electrode(50.0, 0.0, 25.0).is_usual
    assert not Electrode(59.0, 31.0, 25.0).is_usual
    assert not Electrode(59.0, -31.0, 25.0).is_usual


def test_the_offset_is_at_ph_7_even_if_no_buffer_is_7() -> None:
    electrode = electrode_from_buffers(180.0, 4.01, -170.0, 10.01, 25.0)
    assert ph_from_mv(electrode.offset_mv, electrode, 25.0) == 7.0
    assert electrode.offset_mv == pytest.approx(180 - 350 / 6.00 * 2.99)


@given(electrodes, st.floats(3.0, 6.0), st.floats(7.0, 11.0))
def test_two_buffers_give_the_electrode_back(
    electrode: Electrode, acid: float, alkaline: float
) -> None:
    at_c = electrode.temperature_c
    acid_mv, alkaline_mv = (mv_from_ph(ph, electrode, at_c) for ph in (acid, alkaline))
    found = electrode_from_buffers(acid_mv, acid, alkaline_mv, alkaline, at_c)
    assert found.slope_mv == pytest.approx(electrode.slope_mv)
    assert found.offset_mv == pytest.approx(electrode.offset_mv, abs=1e-9)


@given(electrodes, st.floats(1.0, 13.0), temperatures)
def test_voltage_and_back(electrode: Electrode, ph: float, temperature_c: float) -> None:
    voltage = mv_from_ph(ph, electrode, temperature_c)
    assert ph_from_mv(voltage, electrode, temperature_c) == pytest.approx(ph, abs=1e-9)


def test_a_buffer_reads_its_own_value() -> None:
    assert ph_from_mv(5.0, WORN, 25.0) == pytest.approx(7.00)
    assert ph_from_mv(178.0, WORN, 25.0) == pytest.approx(4.01)


def test_compensation_corrects_the_slope_and_not_the_sample() -> None:
    # At pH 7 no temperature matters; at 8.2 a wrong slope costs 0.004 for each °C.
    assert ph_from_mv(WORN.offset_mv, WORN, 15.0) == ph_from_mv(WORN.offset_mv, WORN, 35.0)
    voltage = mv_from_ph(8.2, WORN, 20.0)
    assert ph_from_mv(voltage, WORN, 20.0) == pytest.approx(8.2)
    uncompensated = ph_from_mv(voltage, WORN, 25.0)
    assert 8.2 - uncompensated == pytest.approx(1.2 * 5 / 298.15, abs=1e-6)
    # The sample's own change is another thing, and larger: PyCO2SYS 1.8.3.
    assert seawater_ph_at(8.2, 20.0, 25.0) - 8.2 == pytest.approx(-0.065)
    assert seawater_ph_at(8.06, 20.0, 25.0, "total") - 8.06 == pytest.approx(-0.075)


@given(st.floats(7.3, 8.7), st.floats(15.0, 35.0), st.floats(15.0, 35.0))
def test_seawater_to_another_temperature_and_back(ph: float, one: float, other: float) -> None:
    there = seawater_ph_at(ph, one, other)
    assert seawater_ph_at(there, other, one) == pytest.approx(ph)
    assert (there <= ph) == (other >= one) or abs(there - ph) < 1e-12


# DelValls & Dickson 1998; check value of the Guide (PICES Spec. Publ. 3), SOP 6a, recalled.
def test_tris_is_the_check_value_of_the_guide() -> None:
    assert tris_ph_total(35.0, 25.0) == pytest.approx(8.0936, abs=2e-4)


def test_tris_puts_readings_on_the_total_scale_without_the_offset_of_buffers() -> None:
    # The same electrode with a junction offset of 3 mV (0.05) in all seawater-like liquids.
    junction = 3.0
    fine = Electrode(nernst_slope_mv(25.0), 0.0, 25.0)
    sample, tris = (mv_from_ph(ph, fine, 25.0) + junction for ph in (8.00, 8.0935))
    by_buffers = ph_from_mv(sample, fine, 25.0)
    assert by_buffers - 8.00 == pytest.approx(-0.05, abs=0.001)
    assert ph_total_from_tris(sample, tris, 35.0, 25.0) == pytest.approx(8.00, abs=1e-4)


def test_tris_against_a_slope_that_is_not_ideal() -> None:
    ideal = ph_total_from_tris(-60.0, -72.4, 35.0, 25.0)
    worn = ph_total_from_tris(-60.0, -72.4, 35.0, 25.0, slope_percent=97.8)
    tris = tris_ph_total(35.0, 25.0)
    assert (ideal - tris) / (worn - tris) == pytest.approx(0.978)
    assert ph_total_from_tris(-72.4, -72.4, 35.0, 25.0, 97.8) == tris


@given(st.floats(20.0, 40.0), st.floats(0.0, 44.0))
def test_tris_falls_by_0_03_for_each_degree(salinity: float, temperature_c: float) -> None:
    warmer = tris_ph_total(salinity, temperature_c + 1)
    assert -0.04 < warmer - tris_ph_total(salinity, temperature_c) < -0.02


# Above 43 °C and below 22 psu the published formula turns by less than 0.0001.
@given(st.floats(20.0, 39.0), st.floats(0.0, 40.0))
def test_tris_rises_slowly_with_salinity(salinity: float, temperature_c: float) -> None:
    saltier = tris_ph_total(salinity + 1, temperature_c)
    assert 0 < saltier - tris_ph_total(salinity, temperature_c) < 0.01


@pytest.mark.parametrize(
    ("voltages", "message"),
    [
        ((178.0, 7.00, 5.0, 4.01, 25.0), "electrode slope -97.8029 % of Nernst is outside 50"),
        ((5.0, 7.00, 6.0, 6.86, 25.0), "difference of the buffers in pH 0.14 is outside"),
        ((5.0, 7.00, 80.0, 4.01, 25.0), "electrode slope 42.* is outside 50 to 120"),
        ((0.005, 7.00, 0.178, 4.01, 25.0), "electrode slope 0.0978.* is outside"),
        ((5.0, 7.00, 178.0, 4.01, 77.0), "buffer temperature 77 °C is outside 0 to 50 °C"),
        ((5.0, 70.0, 178.0, 4.01, 25.0), "pH of the buffer 70 is outside 0 to 14"),
        ((5.0, 7.0, 1780.0, 4.01, 25.0), "electrode voltage 1780 mV is outside"),
    ],
)
def test_exchanged_or_impossible_buffers_are_refused(
    voltages: tuple[float, float, float, float, float], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        electrode_from_buffers(*voltages)


def test_other_values_outside_are_refused() -> None:
    with pytest.raises(ValueError, match="buffer 'milk' is not one of phthalate"):
        buffer_ph("milk", 25.0)
    with pytest.raises(ValueError, match="buffer temperature 51 °C"):
        buffer_ph("borax", 51.0)
    with pytest.raises(ValueError, match=r"pH from the voltage -5\.\d+ is outside 0 to 14"):
        ph_from_mv(700.0, WORN, 25.0)
    with pytest.raises(ValueError, match="pH scale 'free' is not one of total, NBS"):
        seawater_ph_at(8.1, 20.0, 25.0, cast("Any", "free"))
    with pytest.raises(ValueError, match="pH of seawater 6 is outside 7 to 9"):
        seawater_ph_at(6.0, 20.0, 25.0)
    with pytest.raises(ValueError, match="salinity 10 psu is outside 20 to 40"):
        tris_ph_total(10.0, 25.0)


def test_arrays_pass_through_with_blanks() -> None:
    found = ph_from_mv(np.array([5.0, 178.0, 5000.0, np.nan]), WORN, 25.0)
    assert found == pytest.approx([7.0, 4.01, np.nan, np.nan], nan_ok=True)
    found = nernst_slope_mv(np.array([25.0, 300.0]))
    assert found == pytest.approx([59.159, np.nan], abs=1e-3, nan_ok=True)
    found = buffer_ph("borax", np.array([25.0, 60.0]))
    assert found == pytest.approx([9.180, np.nan], nan_ok=True)
    found = tris_ph_total(np.array([35.0, 10.0]), np.array([25.0, 25.0]))
    assert found == pytest.approx([8.0935, np.nan], abs=1e-4, nan_ok=True)
    found = ph_from_mv(np.array([-60.0, -60.0]), WORN, np.array([20.0, 30.0]))
    single = [ph_from_mv(-60.0, WORN, t) for t in (20.0, 30.0)]
    assert found == pytest.approx(single, rel=1e-15)
