from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.meters.conductivity_meter import (
    compensated_conductivity_ms_cm,
    compensation_error_psu,
    raw_conductivity_ms_cm,
    salinity_from_compensated_meter,
    seawater_percent_per_c,
)
from journal_tools.science.water.seawater import conductivity_ms_cm, salinity_from_conductivity

salinities = st.floats(10.0, 40.0)
temperatures = st.floats(15.0, 30.0)
coefficients = st.floats(1.5, 2.3)


# GSW-Python 3.6.23 for seawater of 35 psu at 20 °C.
@pytest.mark.parametrize(("percent_per_c", "shown"), [(2.0, 35.13), (1.91, 34.93), (1.94, 35.00)])
def test_the_coefficient_of_a_meter_moves_salinity(percent_per_c: float, shown: float) -> None:
    error = compensation_error_psu(35.0, 20.0, percent_per_c)
    assert 35 + error == pytest.approx(shown, abs=0.006)


# GSW-Python 3.6.23: C(35, 20 °C) = 47.918, C(35, 25 °C) = 53.071 mS/cm.
def test_seawater_needs_1_94_percent_between_20_and_25() -> None:
    assert seawater_percent_per_c(35.0, 20.0) == pytest.approx(1.94, abs=0.005)
    assert seawater_percent_per_c(35.0, 20.0) == pytest.approx(
        100 * (1 - 47.918 / 53.071) / 5, abs=1e-3
    )


def test_a_compensated_reading_is_computed_for_25_and_not_compensated_once_more() -> None:
    raw = conductivity_ms_cm(35.0, 20.0)
    shown = compensated_conductivity_ms_cm(raw, 20.0)
    assert salinity_from_conductivity(shown) == pytest.approx(35.13, abs=0.01)
    assert salinity_from_conductivity(shown, 20.0) > 39


def test_a_standard_of_53_ms_cm_is_34_95_psu() -> None:
    # PSS-78 at 25 °C, where no coefficient matters.
    for percent in (1.5, 2.0, 2.5):
        assert salinity_from_compensated_meter(53.0, 25.0, percent) == pytest.approx(
            34.947, abs=1e-3
        )


@given(salinities, temperatures, coefficients)
def test_the_true_salinity_comes_back(salinity: float, t: float, percent: float) -> None:
    shown = compensated_conductivity_ms_cm(conductivity_ms_cm(salinity, t), t, percent)
    assert salinity_from_compensated_meter(shown, t, percent) == pytest.approx(salinity, abs=1e-6)


@given(salinities, temperatures)
def test_no_error_with_the_coefficient_of_seawater(salinity: float, t: float) -> None:
    percent = seawater_percent_per_c(salinity, t)
    assert compensation_error_psu(salinity, t, percent) == pytest.approx(0.0, abs=1e-4)


@given(salinities, coefficients)
def test_no_error_at_25(salinity: float, percent: float) -> None:
    assert compensation_error_psu(salinity, 25.0, percent) == pytest.approx(0.0, abs=1e-6)


@given(st.floats(20.0, 40.0), st.floats(1.0, 9.0))
def test_two_percent_reads_high_in_the_cold_and_its_error_grows(salinity: float, c: float) -> None:
    error, colder = (compensation_error_psu(salinity, 25.0 - d) for d in (c, c + 1))
    assert 0 < error < colder


@given(st.floats(10.0, 60.0), temperatures, coefficients)
def test_compensation_and_back(raw: float, t: float, percent: float) -> None:
    shown = compensated_conductivity_ms_cm(raw, t, percent)
    back = raw_conductivity_ms_cm(np.array([shown]), t, percent)[0]
    assert back == pytest.approx(raw) or shown < 10


@given(salinities)
def test_the_coefficient_has_no_jump_at_25(salinity: float) -> None:
    below, at, above = (seawater_percent_per_c(salinity, t) for t in (24.9, 25.0, 25.1))
    assert below < at < above or below > at > above
    assert below == pytest.approx(above, abs=0.01)


def test_values_outside_are_refused() -> None:
    with pytest.raises(ValueError, match="coefficient 5 %/°C is outside 0 to 4"):
        compensated_conductivity_ms_cm(48.0, 20.0, 5.0)
    with pytest.raises(ValueError, match="conductivity shown 53000 mS/cm is outside 10 to 100"):
        salinity_from_compensated_meter(53000.0, 25.0)
    with pytest.raises(ValueError, match=r"conductivity shown 5\.3 mS/cm is outside 10 to 100"):
        salinity_from_compensated_meter(5.3, 25.0)
    with pytest.raises(ValueError, match="temperature 77 °C is outside 10 to 35"):
        compensation_error_psu(35.0, 77.0)


def test_arrays_pass_through_with_blanks() -> None:
    found = salinity_from_compensated_meter(np.array([53.242, 53000.0]), 20.0)
    assert found == pytest.approx([35.0, np.nan], abs=1e-3, nan_ok=True)
    found = compensation_error_psu(np.array([35.0, 99.0]), np.array([20.0, 20.0]))
    assert found == pytest.approx([0.127, np.nan], abs=5e-3, nan_ok=True)
    found = seawater_percent_per_c(np.array([35.0, 35.0, 35.0]), np.array([20.0, 25.0, 99.0]))
    single = [seawater_percent_per_c(35.0, t) for t in (20.0, 25.0)]
    assert found == pytest.approx([*single, np.nan], rel=1e-9, nan_ok=True)
