"""The four scales of pH in seawater, and the two acids that set them apart.

One sample reads 8.20 on a buffer-calibrated electrode (NBS), 8.06 on the total scale, 8.05 on the
seawater scale and 8.17 on the free scale. A pH without its scale is worth little: taken on the
wrong one, 8.2 means 310 µatm of carbon dioxide instead of 461. The coefficients are those of the
papers from memory; the tests find them in PyCO2SYS.
"""

from __future__ import annotations

from typing import Literal, get_args

import numpy as np

from journal_tools.science.validity import FloatArray, Number, as_given, in_range

SALINITY_RANGE = (19.0, 43.0)
TEMPERATURE_RANGE_C = (2.0, 35.0)
"""Range of the carbonic acid constants of Lueker et al. 2000, taken for all of this subject: all
that a reef keeper meets, a heat wave up to 35 °C included. Warmer water and a bath of low
salinity are refused."""

NBS_SALINITY_RANGE = (20.0, 40.0)
"""Salinity for which the activity of hydrogen ions was measured, so that NBS can be converted."""

PH_RANGE = (5.0, 10.5)
"""pH on any scale that is taken; outside, other acids and bases rule, not carbonate."""

JUNCTION_OFFSET_PH = 0.05
"""What the liquid junction of an electrode adds or takes when seawater follows dilute buffers."""

PhScale = Literal["nbs", "total", "seawater", "free"]
"""Scale of a pH: ``nbs`` for every electrode calibrated in the usual 4, 7 and 10 buffers, ``total``
for one calibrated in Tris seawater buffer or for a dye, ``seawater`` and ``free`` for papers."""

FluorideSource = Literal["dickson_riley1979", "perez_fraga1987"]
"""Who measured the dissociation of hydrogen fluoride."""

ZERO_CELSIUS_K = 273.15

# By chlorinity, which is salinity / 1.80655. Sulphate: Morris & Riley 1966, Deep-Sea Res. 13:699;
# fluoride: Riley 1965, Deep-Sea Res. 12:219.
_SULFATE_PER_PSU = 0.14 / 96.062 / 1.80655
_FLUORIDE_PER_PSU = 6.7e-5 / 18.998 / 1.80655


def checked_water(
    salinity: float | FloatArray, temperature_c: float | FloatArray, *scales: PhScale
) -> tuple[FloatArray, FloatArray]:
    """Give salinity and temperature in °C with NaN where they are out of range.

    Args:
        salinity: Practical salinity, 19 to 43; 20 to 40 if ``nbs`` is among the scales.
        temperature_c: Temperature in °C, 2 to 35.
        scales: Scales of pH that are to be used in this water.

    Raises:
        ValueError: If a single value is out of range or a scale is not known.

    >>> checked_water(np.array([35.0, 19.5]), 25.0, "nbs")[0]
    array([35., nan])
    """
    for scale in scales:
        if scale not in get_args(PhScale):
            raise ValueError(f"pH scale '{scale}' is not one of {', '.join(get_args(PhScale))}")
    if "nbs" in scales:
        water = in_range("salinity for pH on NBS", salinity, *NBS_SALINITY_RANGE, "psu")
    else:
        water = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    celsius = in_range("temperature", temperature_c, *TEMPERATURE_RANGE_C, "°C")
    # A single number stays single, so that what depends on it alone is computed once.
    if water.ndim and celsius.ndim:
        water, celsius = np.broadcast_arrays(water, celsius)
    return water, celsius


def _bisulfate(salinity: FloatArray, kelvin: FloatArray, log_k: FloatArray) -> FloatArray:
    ionic = 19.924 * salinity / (1000 - 1.005 * salinity)
    root = np.sqrt(ionic)
    ln_k = 141.328 - 4276.1 / kelvin - 23.093 * log_k
    ln_k += (324.57 - 13856 / kelvin - 47.986 * log_k) * root
    ln_k += (35474 / kelvin - 771.54 + 114.723 * log_k) * ionic
    ln_k += (1776 * ionic - 2698 * root) * ionic / kelvin
    return np.asarray(np.exp(ln_k) * (1 - 0.001005 * salinity))


def _fluoride(salinity: FloatArray, kelvin: FloatArray) -> FloatArray:
    ionic = 19.924 * salinity / (1000 - 1.005 * salinity)
    ln_k = 1590.2 / kelvin - 12.641 + 1.525 * np.sqrt(ionic)
    return np.asarray(np.exp(ln_k) * (1 - 0.001005 * salinity))


def hydrogen_per_free(
    salinity: FloatArray, kelvin: FloatArray, log_k: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Give hydrogen on the total and on the seawater scale for each free hydrogen ion.

    Args:
        salinity: Practical salinity, already checked.
        kelvin: Temperature in K, already checked.
        log_k: Its natural logarithm, which the caller has anyway.

    Source:
        Dickson, Sabine & Christian 2007, PICES Special Publ. 3, chapter 5.
    """
    total = 1 + _SULFATE_PER_PSU * salinity / _bisulfate(salinity, kelvin, log_k)
    return total, total + _FLUORIDE_PER_PSU * salinity / _fluoride(salinity, kelvin)


def hydrogen_activity_coefficient(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the activity of hydrogen for each mol/kg of it on the seawater scale (fH).

    Args:
        salinity: Practical salinity, 20 to 40.
        temperature_c: Temperature in °C, 2 to 35.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        It holds the liquid junction of the electrodes it was measured with; another one differs
        by 0.05 in pH.

    Source:
        Takahashi et al. 1982, GEOSECS Pacific Expedition 3:77.

    >>> round(hydrogen_activity_coefficient(35.0, 25.0), 4)
    0.7134
    """
    checked, celsius = checked_water(salinity, temperature_c, "nbs")
    return as_given(_activity(checked, celsius + ZERO_CELSIUS_K), salinity)


def _activity(salinity: FloatArray, kelvin: FloatArray) -> FloatArray:
    return 1.2948 - 0.002036 * kelvin + (0.0004607 - 1.475e-6 * kelvin) * salinity**2


def log10_to_total(
    scale: PhScale,
    salinity: FloatArray,
    kelvin: FloatArray,
    total_per_free: FloatArray,
    seawater_per_free: FloatArray,
) -> FloatArray | float:
    """Give what to add to a pH on a scale to have it on the total scale.

    Args:
        scale: Scale of the pH.
        salinity: Practical salinity, already checked.
        kelvin: Temperature in K, already checked.
        total_per_free: As ``hydrogen_per_free`` gives it.
        seawater_per_free: As ``hydrogen_per_free`` gives it.
    """
    if scale == "total":
        return 0.0
    if scale == "free":
        return np.asarray(-np.log10(total_per_free))
    own = seawater_per_free / total_per_free
    if scale == "nbs":
        own = own * _activity(salinity, kelvin)
    return np.asarray(np.log10(own))


def convert_ph(
    ph: Number,
    salinity: Number | float,
    temperature_c: Number | float,
    from_scale: PhScale,
    to_scale: PhScale,
) -> Number:
    """Give a pH on another scale.

    Args:
        ph: pH on ``from_scale``, 5 to 10.5, at the temperature of the water.
        salinity: Practical salinity, 19 to 43; 20 to 40 to or from ``nbs``.
        temperature_c: Temperature in °C, 2 to 35.
        from_scale: ``nbs``, ``total``, ``seawater`` or ``free``.
        to_scale: One of the same.

    Raises:
        ValueError: If a single value is out of range or a scale is not known.

    Uncertainty:
        0.004 among the last three. 0.05 to or from ``nbs``: the liquid junction of the electrode.

    Source:
        Dickson, Sabine & Christian 2007, PICES Special Publ. 3; NBS by Takahashi et al. 1982.

    >>> round(convert_ph(8.2, 35.0, 25.0, "nbs", "total"), 3)
    8.063
    """
    checked = in_range("pH", ph, *PH_RANGE)
    water, celsius = checked_water(salinity, temperature_c, from_scale, to_scale)
    kelvin = celsius + ZERO_CELSIUS_K
    ratios = hydrogen_per_free(water, kelvin, np.asarray(np.log(kelvin)))
    leaving, arriving = (
        log10_to_total(scale, water, kelvin, *ratios) for scale in (from_scale, to_scale)
    )
    return as_given(checked + leaving - arriving, ph)


def bisulfate_constant(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the dissociation constant of bisulphate in mol/kg, on the free scale.

    Args:
        salinity: Practical salinity, 19 to 43.
        temperature_c: Temperature in °C, 2 to 35.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        Some percent, no source; 2 % moves a pH that is converted to or from ``free`` by 0.002.

    Source:
        Dickson 1990, J. Chem. Thermodyn. 22:113.

    >>> round(float(np.log(bisulfate_constant(35.0, 25.0))), 2)
    -2.3
    """
    checked, celsius = checked_water(salinity, temperature_c)
    kelvin = celsius + ZERO_CELSIUS_K
    return as_given(_bisulfate(checked, kelvin, np.asarray(np.log(kelvin))), salinity)


def fluoride_constant(
    salinity: Number,
    temperature_c: Number | float,
    source: FluorideSource = "dickson_riley1979",
) -> Number:
    """Give the dissociation constant of hydrogen fluoride in mol/kg.

    Args:
        salinity: Practical salinity, 19 to 43.
        temperature_c: Temperature in °C, 2 to 35.
        source: Dickson & Riley 1979 is on the free scale and is what ``convert_ph`` uses, since
            Perez & Fraga 1987, on the total scale, measured only 9 to 33 °C and to 40 psu.

    Raises:
        ValueError: If a single value is out of range or the source is not known.

    Uncertainty:
        The two authors differ by 0.25 in ln K on one scale, 0.004 in a pH that is converted.

    Source:
        Dickson & Riley 1979, Mar. Chem. 7:89; Perez & Fraga 1987, Mar. Chem. 21:161.

    >>> round(float(np.log(fluoride_constant(35.0, 25.0, "perez_fraga1987"))), 2)
    -6.09
    """
    checked, celsius = checked_water(salinity, temperature_c)
    if source == "dickson_riley1979":
        return as_given(_fluoride(checked, celsius + ZERO_CELSIUS_K), salinity)
    if source != "perez_fraga1987":
        raise ValueError(f"source '{source}' is not one of dickson_riley1979, perez_fraga1987")
    checked = in_range("salinity", checked, 10.0, 40.0, "psu")
    kelvin = in_range("temperature", celsius, 9.0, 33.0, "°C") + ZERO_CELSIUS_K
    return as_given(np.exp(874 / kelvin - 9.68 + 0.111 * np.sqrt(checked)), salinity)
