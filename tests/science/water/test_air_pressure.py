from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.water.air_pressure import pressure_at_altitude_hpa, standard_pressure_hpa


# Tables of ISO 2533:1975 and ICAO Doc 7488 (geopotential altitude), from memory.
@pytest.mark.parametrize(
    ("altitude_m", "pressure_hpa"),
    [(-500, 1074.78), (0, 1013.25), (500, 954.61), (1000, 898.75), (2000, 794.95), (5000, 540.20),
     (11000, 226.32)],
)  # fmt: skip
def test_standard_atmosphere(altitude_m: int, pressure_hpa: float) -> None:
    assert standard_pressure_hpa(float(altitude_m)) == pytest.approx(pressure_hpa, abs=0.01)


def test_the_weather_report_is_reduced_to_sea_level() -> None:
    assert pressure_at_altitude_hpa(1000.0, 1013.25) == pytest.approx(898.75, abs=0.01)
    assert 1013.25 / pressure_at_altitude_hpa(1000.0, 1013.25) == pytest.approx(1.13, abs=0.01)
    with pytest.raises(ValueError, match=r"sea level pressure 29\.92 hPa is outside 870 to 1090"):
        pressure_at_altitude_hpa(0.0, 29.92)


@given(st.floats(-500.0, 10_900.0), st.floats(870.0, 1090.0))
def test_thinner_with_height_and_in_proportion(altitude_m: float, sea_level_hpa: float) -> None:
    here = pressure_at_altitude_hpa(altitude_m, sea_level_hpa)
    assert pressure_at_altitude_hpa(altitude_m + 100, sea_level_hpa) < here
    assert here / standard_pressure_hpa(altitude_m) == pytest.approx(sea_level_hpa / 1013.25)


def test_outside_is_refused_or_blank() -> None:
    with pytest.raises(ValueError, match="altitude 20000 m"):
        standard_pressure_hpa(20_000.0)
    assert np.isnan(standard_pressure_hpa(np.array([0.0, 20_000.0]))[1])
