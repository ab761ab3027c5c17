"""Glass electrodes: slope, offset, buffers, and pH from what the electrode gives in mV.

A probe calibrated in ordinary buffers shows pH on the NBS (activity) scale, which is not the
total scale of seawater chemistry; the two differ by about 0.13.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

import numpy as np

from journal_tools.science.validity import (
    FloatArray,
    Number,
    as_given,
    in_range,
    in_scalar_range,
)

GAS_CONSTANT_J_MOL_K = 8.314462618
"""Molar gas constant in J/(mol K), CODATA 2018."""

FARADAY_C_MOL = 96485.33212
"""Faraday constant in C/mol, CODATA 2018."""

NEUTRAL_PH = 7.0
"""pH at which an electrode should give 0 mV and at which its lines of all temperatures cross."""

ACCEPTED_SLOPE_PERCENT = (92.0, 102.0)
"""Slope of an electrode that is still good, in % of the Nernst slope (common practice, no
source)."""

ACCEPTED_OFFSET_MV = 30.0
"""Largest offset in mV, either way, of an electrode still good (common practice, no source)."""

SEAWATER_PH_PER_C: Mapping[str, float] = MappingProxyType({"total": -0.015, "NBS": -0.013})
"""Change of the pH of a closed sample of seawater for each °C, by pH scale: a carbonate model at
35 psu and 8 dKH around 25 °C (PyCO2SYS 1.8.3)."""

BUFFER_TEMPERATURES_C = (0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0)
"""Temperatures in °C of the columns of ``BUFFERS``."""

BUFFERS: Mapping[str, tuple[float, ...]] = MappingProxyType({
    "phthalate": (4.000, 3.998, 3.997, 3.998, 4.000, 4.005, 4.011, 4.018, 4.027, 4.050),
    "phosphate": (6.984, 6.951, 6.923, 6.900, 6.881, 6.865, 6.853, 6.844, 6.838, 6.833),
    "borax": (9.464, 9.395, 9.332, 9.276, 9.225, 9.180, 9.139, 9.102, 9.068, 9.011),
    "carbonate": (10.317, 10.245, 10.179, 10.118, 10.062, 10.012, 9.966, 9.925, 9.889, 9.828),
    "technical 4.01": (4.00, 4.00, 4.00, 4.00, 4.00, 4.01, 4.01, 4.02, 4.03, 4.05),
    "technical 7.00": (7.12, 7.09, 7.06, 7.04, 7.02, 7.00, 6.99, 6.98, 6.97, 6.97),
    "technical 10.01": (10.32, 10.25, 10.18, 10.12, 10.06, 10.01, 9.97, 9.93, 9.89, 9.83),
})  # fmt: skip
"""pH of buffers at ``BUFFER_TEMPERATURES_C``. The first four are primary standards of IUPAC 2002
(Buck et al., Pure Appl. Chem. 74:2169), from memory of its table and compared with an open
transcription: phthalate 0.05, phosphate 0.025 with 0.025, borax 0.01, carbonate 0.025 with
0.025 mol/kg. The technical ones are from memory of usual labels and differ between makers by
0.02: the label of the bottle comes first."""

PhScale = Literal["total", "NBS"]


def nernst_slope_mv(temperature_c: Number) -> Number:
    """Give the ideal slope of a pH electrode in mV for each unit of pH.

    Args:
        temperature_c: Temperature in °C, -5 to 100.

    Raises:
        ValueError: If a single temperature is out of range.

    Uncertainty:
        None but that of the temperature: 0.2 mV for each °C.

    Source:
        R T ln(10) / F with the constants of CODATA 2018.

    >>> round(nernst_slope_mv(25.0), 3)
    59.159
    """
    kelvin = in_range("temperature", temperature_c, -5.0, 100.0, "°C") + 273.15
    slope = GAS_CONSTANT_J_MOL_K * kelvin * np.log(10) / FARADAY_C_MOL * 1000
    return as_given(np.asarray(slope), temperature_c)


def buffer_ph(buffer: str, temperature_c: Number) -> Number:
    """Give the pH (NBS scale) that a buffer has at its temperature.

    Args:
        buffer: Key of ``BUFFERS``.
        temperature_c: Temperature of the buffer in °C, 0 to 50.

    Raises:
        ValueError: If the buffer is not known, or a single temperature is out of range.

    Uncertainty:
        0.005 for a primary standard, 0.02 for a technical buffer; an opened bottle more.

    Source:
        ``BUFFERS``, between its temperatures by a straight line.

    >>> buffer_ph("technical 10.01", 25.0), buffer_ph("technical 10.01", 20.0)
    (10.01, 10.06)
    """
    if buffer not in BUFFERS:
        raise ValueError(f"buffer '{buffer}' is not one of {', '.join(BUFFERS)}")
    low, high = BUFFER_TEMPERATURES_C[0], BUFFER_TEMPERATURES_C[-1]
    checked = in_range("buffer temperature", temperature_c, low, high, "°C")
    ph = np.interp(checked, BUFFER_TEMPERATURES_C, BUFFERS[buffer])
    return as_given(np.asarray(ph), temperature_c)


@dataclass(frozen=True, slots=True)
class Electrode:
    """The line of a pH electrode at the temperature of its calibration.

    Attributes:
        slope_mv: Fall of its voltage in mV for each unit of pH, above 0.
        offset_mv: Its voltage in mV at pH 7.
        temperature_c: Temperature in °C at which both hold.
    """

    slope_mv: float
    offset_mv: float
    temperature_c: float

    @property
    def slope_percent(self) -> float:
        """Slope in % of the Nernst slope."""
        return 100 * self.slope_mv / nernst_slope_mv(self.temperature_c)

    @property
    def is_usual(self) -> bool:
        """Whether slope and offset are within what is commonly accepted."""
        low, high = ACCEPTED_SLOPE_PERCENT
        return low <= self.slope_percent <= high and abs(self.offset_mv) <= ACCEPTED_OFFSET_MV


def electrode_from_buffers(
    first_mv: float, first_ph: float, second_mv: float, second_ph: float, temperature_c: float
) -> Electrode:
    """Give the slope and the offset of an electrode from its voltages in two buffers.

    Args:
        first_mv: Voltage in mV in one buffer, -500 to 500.
        first_ph: pH of that buffer at its temperature (``buffer_ph``), 0 to 14.
        second_mv: Voltage in mV in the other buffer, -500 to 500.
        second_ph: pH of the other buffer, at least 1 away from the first.
        temperature_c: Temperature of both buffers in °C, 0 to 50.

    Raises:
        ValueError: If a value is out of range, or the slope is not within 50 to 120 % of the
            Nernst slope, so that buffers or voltages are likely exchanged.

    Uncertainty:
        0.02 in the pH of both buffers makes 1 % of slope over 3 units of pH.

    Source:
        Two-point calibration, IUPAC 2002 (Buck et al., Pure Appl. Chem. 74:2169).

    >>> electrode = electrode_from_buffers(5.0, 7.00, 178.0, 4.01, 25.0)
    >>> round(electrode.slope_percent, 1), round(electrode.offset_mv, 1)
    (97.8, 5.0)
    """
    for voltage in (first_mv, second_mv):
        in_scalar_range("electrode voltage", voltage, -500.0, 500.0, "mV")
    for ph in (first_ph, second_ph):
        in_scalar_range("pH of the buffer", ph, 0.0, 14.0)
    in_scalar_range("buffer temperature", temperature_c, 0.0, 50.0, "°C")
    in_scalar_range("difference of the buffers in pH", abs(second_ph - first_ph), 1.0, 14.0)
    slope = (first_mv - second_mv) / (second_ph - first_ph)
    electrode = Electrode(slope, first_mv + slope * (first_ph - NEUTRAL_PH), temperature_c)
    in_scalar_range("electrode slope", electrode.slope_percent, 50.0, 120.0, "% of Nernst")
    return electrode


def ph_from_mv(
    electrode_mv: Number, electrode: Electrode, sample_temperature_c: Number | float
) -> Number:
    """Give the pH of a sample at its own temperature from the voltage of the electrode.

    The slope is taken at the temperature of the sample, which is all that automatic temperature
    compensation does: the sample's own change of pH with temperature stays
    (``seawater_ph_at``).

    Args:
        electrode_mv: Voltage in mV, -1000 to 1000.
        electrode: Slope and offset (``electrode_from_buffers``).
        sample_temperature_c: Temperature of the sample in °C, 0 to 50.

    Raises:
        ValueError: If a single value is out of range, or the pH is not within 0 to 14.

    Uncertainty:
        0.02 to 0.05, and in seawater 0.05 more from the liquid junction if buffers were used.

    Source:
        Nernst equation; lines of all temperatures are taken to cross at the offset and pH 7.

    >>> electrode = electrode_from_buffers(5.0, 7.00, 178.0, 4.01, 25.0)
    >>> round(ph_from_mv(-64.43, electrode, 25.0), 2)
    8.2
    """
    slope = _slope_at(electrode, sample_temperature_c)
    checked = in_range("electrode voltage", electrode_mv, -1000.0, 1000.0, "mV")
    ph = NEUTRAL_PH - (checked - electrode.offset_mv) / slope
    return as_given(in_range("pH from the voltage", ph, 0.0, 14.0), electrode_mv)


def mv_from_ph(ph: Number, electrode: Electrode, sample_temperature_c: Number | float) -> Number:
    """Give the voltage in mV of an electrode in a sample of known pH.

    Args:
        ph: pH of the sample at its temperature, 0 to 14.
        electrode: Slope and offset (``electrode_from_buffers``).
        sample_temperature_c: Temperature of the sample in °C, 0 to 50.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        As for ``ph_from_mv``; 0.01 in pH is 0.6 mV.

    Source:
        As for ``ph_from_mv``.

    >>> round(mv_from_ph(8.2, Electrode(57.86, 5.0, 25.0), 25.0), 1)
    -64.4
    """
    checked = in_range("pH", ph, 0.0, 14.0)
    slope = _slope_at(electrode, sample_temperature_c)
    return as_given(electrode.offset_mv - slope * (checked - NEUTRAL_PH), ph)


def _slope_at(electrode: Electrode, sample_temperature_c: float | FloatArray) -> FloatArray:
    checked = in_range("sample temperature", sample_temperature_c, 0.0, 50.0, "°C")
    return electrode.slope_mv * (checked + 273.15) / (electrode.temperature_c + 273.15)


def seawater_ph_at(
    ph: Number, measured_at_c: Number | float, wanted_at_c: float, scale: PhScale = "NBS"
) -> Number:
    """Give the pH that a closed sample of seawater has at another temperature.

    Args:
        ph: pH of the sample at the temperature of the measurement, 7 to 9.
        measured_at_c: Temperature of the sample when it was measured in °C, 15 to 35.
        wanted_at_c: Temperature in °C for which the pH is wanted, 15 to 35.
        scale: ``"NBS"`` for a probe set with buffers, ``"total"`` for one set with Tris.

    Raises:
        ValueError: If a single value is out of range, or the scale is not known.

    Uncertainty:
        0.002 for each °C: the coefficient changes with salinity, alkalinity and pH.

    Source:
        ``SEAWATER_PH_PER_C``.

    >>> round(seawater_ph_at(8.20, 20.0, 25.0), 3)
    8.135
    """
    if scale not in SEAWATER_PH_PER_C:
        raise ValueError(f"pH scale '{scale}' is not one of {', '.join(SEAWATER_PH_PER_C)}")
    checked = in_range("pH of seawater", ph, 7.0, 9.0)
    measured = in_range("temperature of the sample", measured_at_c, 15.0, 35.0, "°C")
    wanted = in_scalar_range("temperature wanted", wanted_at_c, 15.0, 35.0, "°C")
    return as_given(checked + SEAWATER_PH_PER_C[scale] * (wanted - measured), ph)


def tris_ph_total(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the pH on the total scale of the Tris buffer in synthetic seawater.

    Args:
        salinity: Salinity of the buffer, 20 to 40.
        temperature_c: Temperature of the buffer in °C, 0 to 45.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.002 for a buffer made with care; 0.03 for each °C by which its temperature is wrong.

    Source:
        DelValls & Dickson 1998, Deep-Sea Res. 45:1541, for 0.04 mol/kg of Tris and of its acid,
        as in Dickson, Sabine & Christian 2007 (PICES Spec. Publ. 3), SOP 6a.

    >>> round(tris_ph_total(35.0, 25.0), 4)
    8.0935
    """
    s = in_range("salinity", salinity, 20.0, 40.0, "psu")
    kelvin = in_range("temperature", temperature_c, 0.0, 45.0, "°C") + 273.15
    ph = (
        (11911.08 - 18.2499 * s - 0.039336 * s**2) / kelvin
        + (-366.27059 + 0.53993607 * s + 0.00016329 * s**2)
        + (64.52243 - 0.084041 * s) * np.log(kelvin)
        - 0.11149858 * kelvin
    )
    return as_given(np.asarray(ph), salinity)


def ph_total_from_tris(
    sample_mv: Number,
    tris_mv: float,
    salinity: float,
    temperature_c: float,
    slope_percent: float = 100.0,
) -> Number:
    """Give the pH on the total scale from voltages in the sample and in Tris of like salinity.

    Args:
        sample_mv: Voltage in the sample in mV, -1000 to 1000.
        tris_mv: Voltage in the Tris buffer in mV, -1000 to 1000.
        salinity: Salinity of the buffer, near that of the sample, 20 to 40.
        temperature_c: Temperature of both in °C, 0 to 45.
        slope_percent: Slope of the electrode in % of the Nernst slope, 50 to 120.

    Raises:
        ValueError: If a single value is out of range, or the pH is not within 0 to 14.

    Uncertainty:
        0.01 to 0.02: the liquid junction sees the same salt in both, so its error drops out.

    Source:
        Dickson, Sabine & Christian 2007 (PICES Spec. Publ. 3), SOP 6a.

    >>> round(ph_total_from_tris(-66.5, -72.4, 35.0, 25.0), 3)
    7.994
    """
    checked = in_range("voltage in the sample", sample_mv, -1000.0, 1000.0, "mV")
    tris = in_scalar_range("voltage in Tris", tris_mv, -1000.0, 1000.0, "mV")
    percent = in_scalar_range("electrode slope", slope_percent, 50.0, 120.0, "% of Nernst")
    slope = nernst_slope_mv(temperature_c) * percent / 100
    ph = tris_ph_total(salinity, temperature_c) + (tris - checked) / slope
    return as_given(in_range("pH from the voltage", ph, 0.0, 14.0), sample_mv)
