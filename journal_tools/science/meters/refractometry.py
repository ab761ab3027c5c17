"""What a hand refractometer shows in seawater, and the salinity that is meant by a reading.

A refractometer measures the refractive index above that of pure water and prints it on a scale.
A seawater scale is right for seawater. A brine scale is made for sodium chloride in water: in
per mille it shows seawater too high, as specific gravity too low. Which one has a hobby
instrument can only be told from its manual, so nothing is guessed here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from journal_tools.science.estimate import Estimate
from journal_tools.science.validity import (
    FloatArray,
    Number,
    as_given,
    in_range,
    in_scalar_range,
)
from journal_tools.science.water.refractive_index import (
    INDEX_PER_NACL_G_KG,
    SCALE_TEMPERATURE_C,
    index_per_psu,
    nacl_density_kg_m3,
    nacl_g_kg_from_density,
    refractive_index,
)
from journal_tools.science.water.seawater import (
    SALINITY_RANGE,
    SPECIFIC_GRAVITY_REFERENCES,
    pure_water_density_kg_m3,
    salinity_from_specific_gravity,
    specific_gravity,
)

Scale = Literal["seawater", "brine"]
Shows = Literal["salinity", "specific gravity"]
SetWith = Literal["pure water", "35 standard"]

BRINE_ERROR_PSU = 0.3
"""Error of the correction of a brine scale set with pure water: the table behind it has four
decimals."""

MODEL_ERROR_PSU = 0.1
"""Error of any salinity from a refractive index: two models of seawater differ by that."""

COMPENSATED_RANGE_C = (10.0, 30.0)
"""Sample temperature in °C that automatic compensation covers (common practice, no source)."""

_STANDARD_PSU = 35.0
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Refractometer:
    """How an instrument is made, how it is read and how it was set.

    Attributes:
        scale: ``"seawater"``, or ``"brine"`` for one made for sodium chloride.
        shows: What was read: ``"salinity"`` in per mille or ``"specific gravity"``.
        set_with: ``"pure water"``, or ``"35 standard"`` if a standard that equals seawater of
            35 psu was brought to its own true value on the scale that is read.
        compensates: Whether it compensates for the temperature of the sample.
        reference: Reference of a specific gravity scale, a key of
            ``SPECIFIC_GRAVITY_REFERENCES``; 20/20 belongs to the temperature of the scale.
        set_at_c: Temperature in °C at which an instrument without compensation was set, 0 to 30.

    Raises:
        ValueError: If one of them is not known, or the temperature is out of range.
    """

    scale: Scale
    shows: Shows = "salinity"
    set_with: SetWith = "pure water"
    compensates: bool = True
    reference: str = "20/20"
    set_at_c: float = SCALE_TEMPERATURE_C

    def __post_init__(self) -> None:
        for name, value, known in (
            ("scale", self.scale, get_args(Scale)),
            ("what is read", self.shows, get_args(Shows)),
            ("what it is set with", self.set_with, get_args(SetWith)),
            ("specific gravity reference", self.reference, tuple(SPECIFIC_GRAVITY_REFERENCES)),
        ):
            if value not in known:
                raise ValueError(f"refractometer {name} '{value}' is not one of {', '.join(known)}")
        in_scalar_range("temperature at which it was set", self.set_at_c, 0.0, 30.0, "°C")


def salinity_from_refractometer(
    reading: Number,
    instrument: Refractometer,
    sample_temperature_c: Number | float = SCALE_TEMPERATURE_C,
) -> Number:
    """Give the practical salinity of seawater from the uncorrected reading of a refractometer.

    Correct the raw reading once and keep it raw in the log: the result belongs to no instrument.

    Args:
        reading: Reading in per mille, or specific gravity, within what 0 to 42 psu show.
        instrument: Its scale, what was read on it and how it was set.
        sample_temperature_c: Temperature of the sample on the prism in °C: 10 to 30 with
            compensation, which then does not change the result, else 0 to 30.

    Raises:
        ValueError: If a single reading or temperature is out of range.

    Uncertainty:
        0.1 psu for a seawater scale, 0.3 psu for a brine scale, and the reading itself: see
        ``refractometer_estimate``. Without compensation 0.6 psu for each °C not known.

    Source:
        Millard & Seaver 1990, Deep-Sea Res. 37:1909; CRC Handbook, Concentrative properties of
        aqueous solutions; EOS-80. Per mille on a seawater scale is taken as practical salinity.

    >>> round(salinity_from_refractometer(35.0, Refractometer("brine")), 1)
    33.7
    >>> round(salinity_from_refractometer(35.0, Refractometer("seawater")), 1)
    35.0
    """
    shift, slope = _shift_and_slope(instrument, sample_temperature_c)
    salinity = (_excess_of_scale(reading, instrument) - shift) / slope
    low, high = SALINITY_RANGE
    # A reading of pure water may miss zero by the last bits.
    salinity = np.where(np.abs(salinity) < _ROUNDING, 0.0, salinity)
    salinity = np.where(np.abs(salinity - high) < _ROUNDING, high, salinity)
    return as_given(in_range("salinity from refractometer", salinity, low, high, "psu"), reading)


def refractometer_reading(
    salinity: Number,
    instrument: Refractometer,
    sample_temperature_c: Number | float = SCALE_TEMPERATURE_C,
) -> Number:
    """Give what a refractometer shows in seawater, in per mille or as specific gravity.

    Args:
        salinity: Practical salinity, 0 to 42.
        instrument: Its scale, what is read on it and how it was set.
        sample_temperature_c: Temperature of the sample on the prism in °C: 10 to 30 with
            compensation, else 0 to 30.

    Raises:
        ValueError: If a single value is out of range or the reading is off the scale.

    Uncertainty:
        As for ``salinity_from_refractometer``.

    Source:
        As for ``salinity_from_refractometer``.

    >>> round(refractometer_reading(35.0, Refractometer("brine")), 1)
    36.4
    >>> round(refractometer_reading(35.0, Refractometer("brine", "specific gravity")), 4)
    1.026
    """
    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    shift, slope = _shift_and_slope(instrument, sample_temperature_c)
    return as_given(_reading_of_excess(shift + slope * checked, instrument), salinity)


def refractometer_estimate(
    reading: float,
    instrument: Refractometer,
    sample_temperature_c: float = SCALE_TEMPERATURE_C,
    reading_error: float = 0.0,
) -> Estimate:
    """Give the practical salinity from an uncorrected reading with its likely range.

    Args:
        reading: Reading in per mille or specific gravity, not corrected before.
        instrument: Its scale, what was read on it and how it was set.
        sample_temperature_c: Temperature of the sample on the prism in °C.
        reading_error: Error of the reading in the unit of the reading, 0 to 5.

    Raises:
        TypeError: If the reading is an ``Estimate``, which means that it is corrected already.
        ValueError: If a value is out of range.

    Uncertainty:
        As returned: the error of the correction, ``refractometer_error_psu``, and that of the
        reading, in quadrature.

    Source:
        As for ``salinity_from_refractometer``.

    >>> found = refractometer_estimate(35.0, Refractometer("brine"))
    >>> round(found.low, 1), round(found.value, 1), round(found.high, 1)
    (33.4, 33.7, 34.0)
    """
    if isinstance(reading, Estimate):
        raise TypeError("this salinity is corrected already: give the raw reading")
    in_scalar_range("error of the reading", reading_error, 0.0, 5.0)
    salinity = salinity_from_refractometer(reading, instrument, sample_temperature_c)
    _, index_per_psu_of_sample = _shift_and_slope(instrument, sample_temperature_c)
    per_unit = _index_per_unit(reading, instrument) / float(index_per_psu_of_sample)
    error = float(np.hypot(refractometer_error_psu(salinity, instrument), per_unit * reading_error))
    return Estimate(salinity, max(salinity - error, 0.0), salinity + error)


def refractometer_error_psu(salinity: Number, instrument: Refractometer) -> Number:
    """Give the error in psu of a salinity that comes from a corrected reading, as plus or minus.

    Args:
        salinity: Corrected practical salinity, 0 to 42.
        instrument: Its scale and how it was set.

    Raises:
        ValueError: If a single salinity is out of range.

    Uncertainty:
        A plain bound, not a standard deviation; the reading itself is not in it.

    Source:
        Rounding of the table of sodium chloride (CRC Handbook): 0.3 psu where a brine scale is
        set with pure water, less near 35 psu where it is set with a standard; never below the
        0.1 psu between Millard & Seaver 1990 and Quan & Fry 1995.

    >>> refractometer_error_psu(34.0, Refractometer("brine"))
    0.3
    >>> refractometer_error_psu(35.0, Refractometer("brine", set_with="35 standard"))
    0.1
    """
    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    if instrument.scale == "seawater":
        error = np.full_like(checked, MODEL_ERROR_PSU)
    elif instrument.set_with == "pure water":
        error = np.full_like(checked, BRINE_ERROR_PSU)
    else:
        error = BRINE_ERROR_PSU * np.abs(checked - _STANDARD_PSU) / _STANDARD_PSU
        error = np.maximum(error, MODEL_ERROR_PSU)
    return as_given(np.where(np.isnan(checked), np.nan, error), salinity)


def refractometer_correction_psu(
    reading: float,
    instrument: Refractometer,
    sample_temperature_c: float = SCALE_TEMPERATURE_C,
) -> Estimate:
    """Give what must be added in psu to the salinity that the bare scale suggests.

    Args:
        reading: Reading in per mille or specific gravity, not corrected before.
        instrument: Its scale, what was read on it and how it was set.
        sample_temperature_c: Temperature of the sample on the prism in °C.

    Raises:
        TypeError: If the reading is an ``Estimate``.
        ValueError: If a value is out of range.

    Uncertainty:
        As returned: 0.3 psu for a brine scale set with pure water.

    Source:
        As for ``salinity_from_refractometer``.

    >>> round(refractometer_correction_psu(35.0, Refractometer("brine")).value, 1)
    -1.3
    >>> brine_gravity = Refractometer("brine", "specific gravity")
    >>> round(refractometer_correction_psu(1.0260, brine_gravity).value, 1)
    0.7
    """
    true = refractometer_estimate(reading, instrument, sample_temperature_c)
    face = reading
    if instrument.shows == "specific gravity":
        face = salinity_from_specific_gravity(reading, instrument.reference)
    error = true.high - true.value
    return Estimate(true.value - face, true.value - face - error, true.value - face + error)


def _shift_and_slope(
    instrument: Refractometer, sample_temperature_c: float | FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Give what the scale makes of the sample: the index above its zero is shift + slope S."""
    low, high = COMPENSATED_RANGE_C if instrument.compensates else (0.0, 30.0)
    sample_c = in_range("sample temperature", sample_temperature_c, low, high, "°C")
    set_at_c = SCALE_TEMPERATURE_C if instrument.compensates else instrument.set_at_c
    if instrument.compensates:
        # What it shows is what it would show with all at the temperature of its scale.
        sample_c = np.where(np.isnan(sample_c), np.nan, set_at_c)
    set_to = 0.0 if instrument.set_with == "pure water" else _STANDARD_PSU
    mark = _excess_of_scale(_true_mark(set_to, instrument), instrument)
    fresh = np.asarray(refractive_index(np.zeros_like(sample_c), sample_c))
    shift = fresh - refractive_index(set_to, set_at_c) + mark
    return shift, np.asarray(index_per_psu(sample_c))


def _true_mark(salinity: float, instrument: Refractometer) -> float:
    """Give the place on the scale to which a liquid of this salinity was set."""
    if instrument.shows == "salinity":
        return salinity
    return specific_gravity(salinity, instrument.reference)


def _excess_of_scale(reading: float | FloatArray, instrument: Refractometer) -> FloatArray:
    """Give the index above pure water at 20 °C for which the scale has this mark."""
    index_rise = index_per_psu(SCALE_TEMPERATURE_C)
    if instrument.shows == "salinity":
        mark = in_range("refractometer reading", reading, 0.0, 50.0, "per mille")
        return mark * (index_rise if instrument.scale == "seawater" else INDEX_PER_NACL_G_KG)
    sample_c, water_c = SPECIFIC_GRAVITY_REFERENCES[instrument.reference]
    if instrument.scale == "seawater":
        low, high = (specific_gravity(end, instrument.reference) for end in SALINITY_RANGE)
        mark = in_range(f"specific gravity ({instrument.reference})", reading, low, high)
        return np.asarray(salinity_from_specific_gravity(mark, instrument.reference)) * index_rise
    water = pure_water_density_kg_m3(water_c)
    low, high = (nacl_density_kg_m3(end, sample_c) / water for end in (0.0, 50.0))
    mark = in_range(f"specific gravity ({instrument.reference})", reading, low, high)
    return np.asarray(nacl_g_kg_from_density(mark * water, sample_c)) * INDEX_PER_NACL_G_KG


def _reading_of_excess(excess: FloatArray, instrument: Refractometer) -> FloatArray:
    """Give the mark that the scale has for this index above pure water at 20 °C."""
    seawater = instrument.scale == "seawater"
    per_mark = index_per_psu(SCALE_TEMPERATURE_C) if seawater else INDEX_PER_NACL_G_KG
    high = SALINITY_RANGE[1] if seawater and instrument.shows != "salinity" else 50.0
    content = excess / per_mark
    content = np.where(np.abs(content) < _ROUNDING, 0.0, content)
    content = in_range("refractometer reading", content, 0.0, high, "per mille")
    if instrument.shows == "salinity":
        return content
    if seawater:
        return np.asarray(specific_gravity(content, instrument.reference))
    sample_c, water_c = SPECIFIC_GRAVITY_REFERENCES[instrument.reference]
    water = pure_water_density_kg_m3(water_c)
    return np.asarray(nacl_density_kg_m3(content, sample_c)) / water


def _index_per_unit(reading: float, instrument: Refractometer) -> float:
    """Give the rise of the index for one unit of the reading, from marks next to it."""
    step = 0.01 if instrument.shows == "salinity" else 1e-5
    marks = reading + step * np.array([-1.0, 0.0, 1.0])
    excess = _excess_of_scale(marks, instrument)
    on_scale = np.isfinite(excess)
    return float(np.ptp(excess[on_scale]) / np.ptp(marks[on_scale]))
