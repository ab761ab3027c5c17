"""Viscosity of pure water and seawater at one atmosphere."""

from __future__ import annotations

import numpy as np

from journal_tools.science.validity import FloatArray, Number, as_given, in_range
from journal_tools.science.water.seawater import (
    GRAMS_PER_KG_PER_PSU,
    SALINITY_RANGE,
    density_kg_m3,
)


def dynamic_viscosity_pa_s(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the dynamic viscosity of water or seawater in Pa·s.

    Args:
        salinity: Practical salinity, 0 to 42; 0 is pure water.
        temperature_c: Temperature in °C, 0 to 40.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        1.5 % as stated by the authors.

    Source:
        Sharqawy, Lienhard & Zubair 2010, Desalination and Water Treatment 16:354, eq. 22 and 23.
        Coefficients from memory, tested against two independent correlations.

    >>> round(dynamic_viscosity_pa_s(0.0, 25.0) * 1000, 3)
    0.89
    """
    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    temperature = in_range("temperature", temperature_c, 0.0, 40.0, "°C")
    # The fit takes the mass fraction of salt, kg/kg.
    share = checked * GRAMS_PER_KG_PER_PSU / 1000
    return as_given(_water(temperature) * _seawater_ratio(share, temperature), salinity)


def _water(temperature: FloatArray) -> FloatArray:
    return np.asarray(4.2844e-5 + 1 / (0.157 * (temperature + 64.993) ** 2 - 91.296))


def _seawater_ratio(share: FloatArray, temperature: FloatArray) -> FloatArray:
    first = 1.541 + 1.998e-2 * temperature - 9.52e-5 * temperature**2
    second = 7.974 - 7.561e-2 * temperature + 4.724e-4 * temperature**2
    return np.asarray(1 + first * share + second * share**2)


def kinematic_viscosity_m2_s(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the kinematic viscosity of water or seawater in m2/s.

    Args:
        salinity: Practical salinity, 0 to 42; 0 is pure water.
        temperature_c: Temperature in °C, 0 to 40.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        1.5 %, from the dynamic viscosity.

    Source:
        ``dynamic_viscosity_pa_s`` over EOS-80 density.

    >>> round(kinematic_viscosity_m2_s(35.0, 25.0) * 1e6, 2)
    0.94
    """
    dynamic = np.asarray(dynamic_viscosity_pa_s(salinity, temperature_c))
    return as_given(dynamic / np.asarray(density_kg_m3(salinity, temperature_c)), salinity)
