"""Density, specific gravity, salinity, conductivity and salt mass of seawater at the surface.

Salinity is practical salinity (PSS-78, no unit, shown as psu). Temperature is ITS-90 in °C.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np

from journal_tools.science.validity import FloatArray, Number, as_given, in_range

SALINITY_RANGE = (0.0, 42.0)
TEMPERATURE_RANGE_C = (-2.0, 40.0)
GRAMS_PER_KG_PER_PSU = 35.16504 / 35
"""Reference salinity in g/kg for one unit of practical salinity (IOC, SCOR, IAPSO 2010)."""

SPECIFIC_GRAVITY_REFERENCES: Mapping[str, tuple[float, float]] = MappingProxyType({
    "25/25": (25.0, 25.0),
    "20/20": (20.0, 20.0),
    "60/60F": (140 / 9, 140 / 9),
    "25/20": (25.0, 20.0),
    "20/4": (20.0, 4.0),
    "25/4": (25.0, 4.0),
})  # fmt: skip
"""Temperature in °C of the sample and of the pure water that it is compared with."""

# EOS-80 was fitted on IPTS-68; leaving this out costs 0.002 kg/m3 at 25 °C.
_T68_PER_T90 = 1.00024
_PURE_WATER = (
    999.842594, 6.793952e-2, -9.095290e-3, 1.001685e-4, -1.120083e-6, 6.536332e-9,
)  # fmt: skip
_LINEAR = (0.824493, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9)
_THREE_HALVES = (-5.72466e-3, 1.0227e-4, -1.6546e-6)
_SQUARE = 4.8314e-4


def _polynomial(coefficients: Sequence[float], t68: FloatArray) -> FloatArray:
    return np.asarray(np.polynomial.polynomial.polyval(t68, coefficients), dtype=np.float64)


def _t68(temperature_c: float | FloatArray) -> FloatArray:
    return in_range("temperature", temperature_c, *TEMPERATURE_RANGE_C, "°C") * _T68_PER_T90


def pure_water_density_kg_m3(temperature_c: Number) -> Number:
    """Give the density of pure water in kg/m3 at one atmosphere.

    Args:
        temperature_c: Temperature in °C, ITS-90, -2 to 40.

    Raises:
        ValueError: If a single temperature is out of range.

    Uncertainty:
        Below 0.01 kg/m3.

    Source:
        Standard mean ocean water equation of EOS-80, Millero & Poisson 1981, Deep-Sea Res. 28A:625.

    >>> round(pure_water_density_kg_m3(25.0), 4)
    997.0464
    """
    return as_given(_polynomial(_PURE_WATER, _t68(temperature_c)), temperature_c)


def density_kg_m3(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the density of seawater in kg/m3 at one atmosphere.

    Args:
        salinity: Practical salinity, 0 to 42.
        temperature_c: Temperature in °C, ITS-90, -2 to 40.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        Standard error of the fit 0.0036 kg/m3; TEOS-10 differs by less than 0.005 kg/m3 in a reef.

    Source:
        EOS-80: Millero & Poisson 1981, Deep-Sea Res. 28A:625; UNESCO Tech. Pap. Mar. Sci. 44.

    >>> round(density_kg_m3(35.0, 25.0), 4)
    1023.3412
    """
    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    return as_given(_density(checked, _t68(temperature_c)), salinity)


def _density(salinity: FloatArray, t68: FloatArray) -> FloatArray:
    return (
        _polynomial(_PURE_WATER, t68)
        + _polynomial(_LINEAR, t68) * salinity
        + _polynomial(_THREE_HALVES, t68) * salinity**1.5
        + _SQUARE * salinity**2
    )


def _salinity_of_density(density: FloatArray, t68: FloatArray) -> FloatArray:
    """Give the salinity by Newton's method; six steps reach the last bit from 0 to 42 psu."""
    excess = density - _polynomial(_PURE_WATER, t68)
    linear, bent = _polynomial(_LINEAR, t68), _polynomial(_THREE_HALVES, t68)
    salinity = np.maximum(excess / linear, 0.0)
    for _ in range(6):
        root = np.sqrt(salinity)
        error = linear * salinity + bent * salinity * root + _SQUARE * salinity**2 - excess
        slope = linear + 1.5 * bent * root + 2 * _SQUARE * salinity
        salinity = np.maximum(salinity - error / slope, 0.0)
    return salinity


def _reference(reference: str) -> tuple[float, float]:
    if reference not in SPECIFIC_GRAVITY_REFERENCES:
        known = ", ".join(SPECIFIC_GRAVITY_REFERENCES)
        raise ValueError(f"specific gravity reference '{reference}' is not one of {known}")
    return SPECIFIC_GRAVITY_REFERENCES[reference]


def specific_gravity(salinity: Number, reference: str = "25/25") -> Number:
    """Give the specific gravity of seawater on one of six scales, without unit.

    Args:
        salinity: Practical salinity, 0 to 42.
        reference: Scale, a key of ``SPECIFIC_GRAVITY_REFERENCES``: sample over water temperature.

    Raises:
        ValueError: If a single salinity is out of range, or the scale is not known.

    Uncertainty:
        0.000005 by computation. The scale matters: at 35 psu the six differ by up to 0.0035.

    Source:
        Ratio of EOS-80 densities (Millero & Poisson 1981).

    >>> round(specific_gravity(35.0), 5), round(specific_gravity(35.0, "20/4"), 5)
    (1.02637, 1.02479)
    """
    sample_c, water_c = _reference(reference)
    density = np.asarray(density_kg_m3(salinity, sample_c))
    return as_given(density / pure_water_density_kg_m3(water_c), salinity)


def salinity_from_specific_gravity(specific_gravity: Number, reference: str = "25/25") -> Number:
    """Give the practical salinity of a sample whose specific gravity is known.

    Args:
        specific_gravity: Reading at the sample temperature of the scale; 0 to 42 psu on it.
        reference: Scale of the instrument, a key of ``SPECIFIC_GRAVITY_REFERENCES``. The same
            1.0250 means 32.6 to 37.2 psu, so never guess it.

    Raises:
        ValueError: If a single reading is out of range, or the scale is not known.

    Uncertainty:
        An instrument good to 0.0005 to 0.001 gives 0.7 to 1.3 psu.

    Source:
        EOS-80 (Millero & Poisson 1981), inverted.

    >>> round(salinity_from_specific_gravity(1.0250), 2)
    33.19
    >>> round(salinity_from_specific_gravity(1.0250, "25/4"), 2)
    37.16
    """
    sample_c, _ = _reference(reference)
    return salinity_from_hydrometer(specific_gravity, sample_c, reference)


def salinity_from_hydrometer(
    reading: Number,
    sample_temperature_c: Number | float,
    reference: str = "25/25",
    glass_expansion_per_k: float = 2.5e-5,
) -> Number:
    """Give the practical salinity from a hydrometer read off its own temperature.

    The mass of the hydrometer stays, its volume grows: it reads too low in warm water.

    Args:
        reading: Specific gravity as read; what 0 to 42 psu would show.
        sample_temperature_c: Temperature of the sample in °C, -2 to 40.
        reference: Scale of the instrument, a key of ``SPECIFIC_GRAVITY_REFERENCES``.
        glass_expansion_per_k: Cubic expansion of its body per K, 0 to 0.001; 2.5e-5 is glass.

    Raises:
        ValueError: If a single value is out of range, or the scale is not known.

    Uncertainty:
        0.7 to 1.3 psu from a reading good to 0.0005 to 0.001; plastic expands 5 to 10 times more.

    Source:
        EOS-80 (Millero & Poisson 1981); glass expansion from memory of handbook tables.

    >>> round(salinity_from_hydrometer(1.0250, 27.0), 2)
    33.94
    """
    scale_c, water_c = _reference(reference)
    expansion = in_range("glass expansion", glass_expansion_per_k, 0.0, 1e-3, "1/K")
    t68 = _t68(sample_temperature_c)
    growth = 1 + expansion * (t68 / _T68_PER_T90 - scale_c)
    # Reading times this is the density of the sample.
    scale = pure_water_density_kg_m3(water_c) / growth
    low, high = (_density(np.asarray(end), t68) / scale for end in SALINITY_RANGE)
    checked = in_range(f"specific gravity ({reference})", reading, low, high)
    return as_given(_salinity_of_density(checked * scale, t68), reading)


def salinity_from_conductivity(
    conductivity_ms_cm: Number,
    temperature_c: Number | float = 25.0,
    pressure_dbar: float = 0.0,
) -> Number:
    """Give the practical salinity from the conductivity.

    A meter that compensates for temperature already shows the value at 25 °C: then leave
    ``temperature_c`` at 25 whatever the sample has.

    Args:
        conductivity_ms_cm: Conductivity in mS/cm, 10 to 100. Smaller numbers are refused, since
            seawater in S/m (5.3) would pass as brackish water; so are µS/cm (53000).
        temperature_c: Temperature in °C, ITS-90, -2 to 35, at which the conductivity holds.
        pressure_dbar: Pressure above the atmosphere in dbar, 0 to 10000; 0 in a tank.

    Raises:
        ValueError: If a single value is out of range, or the salinity is not within 2 to 42.

    Uncertainty:
        0.001 psu by computation. A meter good to 1 % gives 0.4 psu.

    Source:
        PSS-78, UNESCO Tech. Pap. Mar. Sci. 44, through GSW-Python.

    >>> round(salinity_from_conductivity(53.0), 3)
    34.947
    """
    import gsw

    checked = in_range("conductivity", conductivity_ms_cm, 10.0, 100.0, "mS/cm")
    temperature = in_range("temperature", temperature_c, -2.0, 35.0, "°C")
    pressure = in_range("pressure", pressure_dbar, 0.0, 10_000.0, "dbar")
    salinity = np.asarray(gsw.SP_from_C(checked, temperature, pressure))
    return as_given(
        in_range("salinity from conductivity", salinity, 2.0, 42.0, "psu"), conductivity_ms_cm
    )


def conductivity_ms_cm(salinity: Number, temperature_c: Number | float = 25.0) -> Number:
    """Give the conductivity of seawater in mS/cm at the surface.

    Args:
        salinity: Practical salinity, 2 to 42.
        temperature_c: Temperature in °C, ITS-90, -2 to 35.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.002 mS/cm by computation.

    Source:
        PSS-78, UNESCO Tech. Pap. Mar. Sci. 44, through GSW-Python.

    >>> round(conductivity_ms_cm(35.0), 2)
    53.07
    """
    import gsw

    checked = in_range("salinity", salinity, 2.0, 42.0, "psu")
    temperature = in_range("temperature", temperature_c, -2.0, 35.0, "°C")
    return as_given(np.asarray(gsw.C_from_SP(checked, temperature, 0.0)), salinity)


def salt_in_seawater_kg(
    volume_l: Number, salinity: float, temperature_c: float = 25.0, dry_fraction: float = 1.0
) -> Number:
    """Give the mass of salt in kg that a finished volume of seawater holds.

    Args:
        volume_l: Finished seawater in L, 0 to 1e6.
        salinity: Practical salinity, 0 to 42.
        temperature_c: Temperature in °C, -2 to 40.
        dry_fraction: Share of the product that is water-free salt, 0.5 to 1.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        0.1 % for water-free salt. A dry mix as sold holds 5 to 12 % crystal water and moisture
        (common practice, no source): prefer the g/L found with your own mix.

    Source:
        EOS-80 density times reference salinity (IOC, SCOR, IAPSO 2010).

    >>> round(salt_in_seawater_kg(100.0, 35.0), 3)
    3.599
    """
    volume_m3 = in_range("volume", volume_l, 0.0, 1e6, "L") / 1000
    share = salinity * GRAMS_PER_KG_PER_PSU / 1000
    dry = in_range("dry fraction", dry_fraction, 0.5, 1.0)
    return as_given(volume_m3 * density_kg_m3(salinity, temperature_c) * share / dry, volume_l)


def salt_for_water_kg(
    water_l: Number, salinity: float, temperature_c: float = 25.0, dry_fraction: float = 1.0
) -> Number:
    """Give the mass of salt in kg to stir into a volume of pure water (which then grows).

    Args:
        water_l: Pure water before mixing in L, 0 to 1e6.
        salinity: Practical salinity wanted, 0 to 42.
        temperature_c: Temperature of the water in °C, -2 to 40.
        dry_fraction: Share of the product that is water-free salt, 0.5 to 1. The water in the
            rest is not counted as added water.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        As for ``salt_in_seawater_kg``.

    Source:
        Mass balance with reference salinity (IOC, SCOR, IAPSO 2010); EOS-80 water density.

    >>> round(salt_for_water_kg(100.0, 35.0), 3)
    3.634
    """
    volume_m3 = in_range("water volume", water_l, 0.0, 1e6, "L") / 1000
    share = float(in_range("salinity", salinity, *SALINITY_RANGE, "psu")) * GRAMS_PER_KG_PER_PSU
    water_kg = volume_m3 * pure_water_density_kg_m3(temperature_c)
    dry = in_range("dry fraction", dry_fraction, 0.5, 1.0)
    return as_given(water_kg * share / (1000 - share) / dry, water_l)
