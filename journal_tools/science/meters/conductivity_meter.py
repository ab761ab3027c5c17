"""Conductivity meters that compensate for temperature by one coefficient, and their error.

Such a meter shows conductivity at 25 °C. A salinity from what it shows must be computed for 25 °C:
compensating once more for the sample is an error of several psu.
"""

from __future__ import annotations

import numpy as np

from journal_tools.science.validity import (
    FloatArray,
    Number,
    as_given,
    in_range,
    in_scalar_range,
)
from journal_tools.science.water.seawater import conductivity_ms_cm, salinity_from_conductivity

REFERENCE_C = 25.0
"""Temperature in °C for which compensated meters show conductivity."""

USUAL_PERCENT_PER_C = 2.0
"""Coefficient of many meters in % of the value at 25 °C for each °C (common practice, no
source)."""


def _compensation(temperature_c: float | FloatArray, percent_per_c: float) -> FloatArray:
    """Give the share of the conductivity at 25 °C that the meter expects at this temperature."""
    checked = in_range("temperature", temperature_c, 10.0, 35.0, "°C")
    percent = in_scalar_range("coefficient", percent_per_c, 0.0, 4.0, "%/°C")
    return 1 + percent / 100 * (checked - REFERENCE_C)


def compensated_conductivity_ms_cm(
    raw_ms_cm: Number,
    temperature_c: Number | float,
    percent_per_c: float = USUAL_PERCENT_PER_C,
) -> Number:
    """Give what a meter with one coefficient shows, in mS/cm at 25 °C.

    Args:
        raw_ms_cm: Conductivity at the temperature of the sample in mS/cm, 5 to 100.
        temperature_c: Temperature of the sample in °C, 10 to 35.
        percent_per_c: Coefficient of the meter in %/°C of the value at 25 °C, 0 to 4.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        None by computation; see ``compensation_error_psu`` for what it means in seawater.

    Source:
        Linear compensation to 25 °C, ISO 7888 (from memory of it).

    >>> round(compensated_conductivity_ms_cm(47.918, 20.0), 2)
    53.24
    """
    checked = in_range("conductivity", raw_ms_cm, 5.0, 100.0, "mS/cm")
    return as_given(checked / _compensation(temperature_c, percent_per_c), raw_ms_cm)


def raw_conductivity_ms_cm(
    shown_ms_cm: Number,
    temperature_c: Number | float,
    percent_per_c: float = USUAL_PERCENT_PER_C,
) -> Number:
    """Give the conductivity in mS/cm at the temperature of the sample from what a meter shows.

    Args:
        shown_ms_cm: Conductivity shown for 25 °C in mS/cm, 10 to 100.
        temperature_c: Temperature of the sample in °C, 10 to 35.
        percent_per_c: Coefficient of the meter in %/°C of the value at 25 °C, 0 to 4.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        None by computation.

    Source:
        As for ``compensated_conductivity_ms_cm``.

    >>> round(raw_conductivity_ms_cm(53.242, 20.0), 2)
    47.92
    """
    checked = in_range("conductivity shown", shown_ms_cm, 10.0, 100.0, "mS/cm")
    return as_given(checked * _compensation(temperature_c, percent_per_c), shown_ms_cm)


def seawater_percent_per_c(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the coefficient in %/°C, of the value at 25 °C, that is right for seawater.

    Args:
        salinity: Practical salinity, 2 to 42.
        temperature_c: Temperature of the sample in °C, 10 to 35; at 25 the limit is given.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.001 %/°C.

    Source:
        PSS-78, UNESCO Tech. Pap. Mar. Sci. 44, through GSW-Python.

    >>> round(seawater_percent_per_c(35.0, 20.0), 2)
    1.94
    """
    sample_c = in_range("temperature", temperature_c, 10.0, 35.0, "°C")
    # At 25 °C itself the ratio is 0/0: step aside by what the formula still resolves.
    aside = np.where(np.abs(sample_c - REFERENCE_C) < 1e-3, REFERENCE_C + 1e-3, sample_c)
    checked = in_range("salinity", salinity, 2.0, 42.0, "psu")
    at_25 = conductivity_ms_cm(checked, REFERENCE_C)
    change = conductivity_ms_cm(checked, aside) / at_25 - 1
    return as_given(100 * change / (aside - REFERENCE_C), salinity)


def salinity_from_compensated_meter(
    shown_ms_cm: Number,
    sample_temperature_c: Number | float,
    percent_per_c: float = USUAL_PERCENT_PER_C,
) -> Number:
    """Give the true practical salinity from a meter whose coefficient does not suit seawater.

    Args:
        shown_ms_cm: Conductivity shown for 25 °C in mS/cm, 10 to 100.
        sample_temperature_c: Temperature of the sample in °C, 10 to 35.
        percent_per_c: Coefficient of the meter in %/°C, 0 to 4; its manual states it. A meter
            with a curve for seawater needs no such correction: ``salinity_from_conductivity``.

    Raises:
        ValueError: If a single value is out of range, or the salinity is not within 2 to 42.

    Uncertainty:
        0.001 psu by computation. A meter good to 1 % gives 0.4 psu.

    Source:
        Linear compensation undone, then PSS-78 (UNESCO Tech. Pap. Mar. Sci. 44).

    >>> round(salinity_from_compensated_meter(53.242, 20.0), 2)
    35.0
    """
    raw = raw_conductivity_ms_cm(shown_ms_cm, sample_temperature_c, percent_per_c)
    return salinity_from_conductivity(raw, sample_temperature_c)


def compensation_error_psu(
    salinity: Number,
    sample_temperature_c: Number | float,
    percent_per_c: float = USUAL_PERCENT_PER_C,
) -> Number:
    """Give by how much in psu a compensated meter reads too high in seawater.

    Args:
        salinity: True practical salinity, 8 to 40.
        sample_temperature_c: Temperature of the sample in °C, 10 to 35.
        percent_per_c: Coefficient of the meter in %/°C of the value at 25 °C, 0 to 4.

    Raises:
        ValueError: If a single value is out of range, or what it shows is not within 2 to 42 psu.

    Uncertainty:
        0.001 psu by computation.

    Source:
        PSS-78 (UNESCO Tech. Pap. Mar. Sci. 44) at 25 °C of what the meter shows.

    >>> round(compensation_error_psu(35.0, 20.0), 2)
    0.13
    >>> round(compensation_error_psu(35.0, 20.0, 1.91), 2)
    -0.07
    """
    checked = in_range("salinity", salinity, 8.0, 40.0, "psu")
    sample_c = in_range("temperature", sample_temperature_c, 10.0, 35.0, "°C")
    raw = conductivity_ms_cm(checked, sample_c)
    shown = compensated_conductivity_ms_cm(raw, sample_c, percent_per_c)
    return as_given(np.asarray(salinity_from_conductivity(shown, REFERENCE_C)) - checked, salinity)
