from __future__ import annotations

import numpy as np
import PyCO2SYS
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from journal_tools.science.carbonates.ph_scales import (
    PhScale,
    bisulfate_constant,
    checked_water,
    convert_ph,
    fluoride_constant,
    hydrogen_activity_coefficient,
)
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "03 carbonate"
CHECKS = {
    (TOPIC, "ln KS (free)", "S=35; t=25"): Check(
        lambda: float(np.log(bisulfate_constant(35.0, 25.0)))
    ),
    (TOPIC, "pH NBS minus pH total", "S=35; t=25"): Check(
        lambda: 8.0 - convert_ph(8.0, 35.0, 25.0, "nbs", "total")
    ),
}

SCALES: tuple[PhScale, ...] = ("total", "seawater", "free", "nbs")
OF_PYCO2SYS = {scale: number for number, scale in enumerate(SCALES, 1)}

scales = st.sampled_from(SCALES)
salinities = st.floats(20.0, 40.0)
temperatures = st.floats(2.0, 35.0)
values = st.floats(5.5, 10.0)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


# PICES Special Publ. 3 (Dickson, Sabine & Christian 2007), chapter 5, recalled: Perez & Fraga.
def test_ln_kf_of_the_guide() -> None:
    found = float(np.log(fluoride_constant(35.0, 25.0, "perez_fraga1987")))
    assert found == pytest.approx(-6.09, abs=0.005)


# Computed with PyCO2SYS 1.8.3.4: the gap between NBS and total in other water.
@pytest.mark.parametrize(
    ("salinity", "temperature_c", "gap"), [(35, 20, 0.126), (30, 25, 0.142), (38, 25, 0.134)]
)
def test_nbs_minus_total_in_other_water(salinity: int, temperature_c: int, gap: float) -> None:
    total = convert_ph(8.2, float(salinity), float(temperature_c), "nbs", "total")
    assert 8.2 - total == pytest.approx(gap, abs=6e-4)


@settings(max_examples=15, deadline=None)
@given(
    arrays(float, 60, elements=values),
    arrays(float, 60, elements=salinities),
    arrays(float, 60, elements=temperatures),
    scales,
)
def test_conversions_agree_with_pyco2sys(
    ph: np.ndarray, salinity: np.ndarray, temperature_c: np.ndarray, scale: PhScale
) -> None:
    number = OF_PYCO2SYS[scale]
    water = {"salinity": salinity, "temperature": temperature_c}
    oracle = PyCO2SYS.sys(20_000.0, ph, 1, 3, opt_pH_scale=number, **water)
    names = {"total": "pH_total", "seawater": "pH_sws", "free": "pH_free", "nbs": "pH_nbs"}
    for other in SCALES:
        ours = convert_ph(ph, salinity, temperature_c, scale, other)
        assert ours == pytest.approx(oracle[names[other]], abs=1e-6)


def test_the_other_author_of_kf_moves_a_ph_by_less_than_the_uncertainty_stated() -> None:
    for salinity in (20.0, 35.0, 40.0):
        for celsius in (9.0, 25.0, 33.0):
            other = {"salinity": salinity, "temperature": celsius, "opt_k_fluoride": 2}
            oracle = PyCO2SYS.sys(2300.0, 8.0, 1, 3, **other)
            ours = convert_ph(8.0, salinity, celsius, "total", "seawater")
            assert 0 < abs(ours - oracle["pH_sws"]) < 0.004


@given(values, salinities, temperatures, scales, scales)
def test_there_and_back(
    ph: float, salinity: float, temperature_c: float, one: PhScale, other: PhScale
) -> None:
    there = convert_ph(ph, salinity, temperature_c, one, other)
    back = convert_ph(there, salinity, temperature_c, other, one)
    assert back == pytest.approx(ph, abs=1e-12)


@given(st.floats(19.0, 43.0), temperatures)
def test_the_scale_with_more_bound_hydrogen_reads_lower(
    salinity: float, temperature_c: float
) -> None:
    free, total, seawater = (
        convert_ph(8.0, salinity, temperature_c, "free", scale)
        for scale in ("free", "total", "seawater")
    )
    assert free > total > seawater > 7.7


def test_trap_a_ph_of_an_electrode_is_not_on_the_total_scale() -> None:
    assert convert_ph(8.2, 35.0, 25.0, "nbs", "total") == pytest.approx(8.063, abs=0.001)
    assert convert_ph(8.2, 35.0, 25.0, "total", "total") == 8.2


def test_activity_needs_the_salinity_it_was_measured_for() -> None:
    assert hydrogen_activity_coefficient(np.array([19.5, 35.0, 40.5]), 25.0) == pytest.approx(
        [np.nan, 0.7134, np.nan], abs=1e-4, nan_ok=True
    )
    with pytest.raises(ValueError, match=r"^salinity for pH on NBS 19.5 psu is outside 20 to 40"):
        convert_ph(8.0, 19.5, 25.0, "nbs", "total")
    assert convert_ph(8.0, 19.5, 25.0, "free", "total") < 8.0


@pytest.mark.parametrize(
    ("ph", "salinity", "temperature_c", "message"),
    [
        (82.0, 35.0, 25.0, "^pH 82 is outside 5 to 10.5$"),
        (8.2, 1.025, 25.0, "^salinity 1.025 psu is outside 19 to 43 psu$"),
        (8.2, 35.0, 78.0, "^temperature 78 °C is outside 2 to 35 °C$"),
    ],
)
def test_what_is_out_of_range_is_refused(
    ph: float, salinity: float, temperature_c: float, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        convert_ph(ph, salinity, temperature_c, "free", "total")
    one, two, three = (np.array([number]) for number in (ph, salinity, temperature_c))
    assert np.isnan(convert_ph(one, two, three, "free", "total")).all()


def test_unknown_names_are_refused() -> None:
    with pytest.raises(ValueError, match="pH scale 'NIST' is not one of nbs, total, seawater"):
        checked_water(35.0, 25.0, "NIST")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="source 'x' is not one of"):
        fluoride_constant(35.0, 25.0, "x")  # type: ignore[arg-type]


def test_perez_and_fraga_only_where_they_measured() -> None:
    found = fluoride_constant(np.array([35.0, 42.0]), 25.0, "perez_fraga1987")
    assert np.isnan(found).tolist() == [False, True]
    with pytest.raises(ValueError, match="temperature 35 °C is outside 9 to 33 °C"):
        fluoride_constant(35.0, 35.0, "perez_fraga1987")
