from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.flow.hydraulics import SEAWATER_VISCOSITY_M2_S
from journal_tools.science.water.viscosity import dynamic_viscosity_pa_s, kinematic_viscosity_m2_s

AUTHORS_ERROR = 0.015


@pytest.mark.parametrize(
    ("salinity", "temperature_c", "viscosity_pa_s"),
    [
        pytest.param(0, 20, 1.0016e-3, id="pure water, IAPWS R12-08 (recalled)"),
        pytest.param(0, 25, 0.8900e-3, id="pure water, IAPWS R12-08 (recalled)"),
        pytest.param(
            30, 10, 1.383779e-3, id="fit of Dorsey 1940 table 87, manual of R package oce"
        ),
        pytest.param(40, 25, 9.6541e-4, id="Millero 1974 check value, as quoted in open code"),
    ],
)
def test_other_correlations(salinity: float, temperature_c: float, viscosity_pa_s: float) -> None:
    found = dynamic_viscosity_pa_s(float(salinity), float(temperature_c))
    assert found == pytest.approx(viscosity_pa_s, rel=AUTHORS_ERROR)


def test_the_constant_of_the_hydraulics_is_this_one() -> None:
    found = kinematic_viscosity_m2_s(35.0, 25.0)
    assert found == pytest.approx(SEAWATER_VISCOSITY_M2_S, rel=2e-3)


@given(st.floats(0.0, 41.0), st.floats(0.0, 39.0))
def test_salt_thickens_and_warmth_thins(salinity: float, temperature_c: float) -> None:
    here = dynamic_viscosity_pa_s(salinity, temperature_c)
    assert dynamic_viscosity_pa_s(salinity + 1, temperature_c) > here
    assert dynamic_viscosity_pa_s(salinity, temperature_c + 1) < here


def test_range() -> None:
    with pytest.raises(ValueError, match="temperature 78"):
        dynamic_viscosity_pa_s(35.0, 78.0)
    assert np.isnan(kinematic_viscosity_m2_s(np.array([99.0]), 25.0)).all()
