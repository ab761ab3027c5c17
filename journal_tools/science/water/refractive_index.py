"""Refractive index of water, seawater and sodium chloride solution, and density of the latter.

The index is relative to air. Two sources differ by 2e-5 in the absolute index, which is 0.1 psu:
compare differences from pure water of one source, never absolute values of two.
"""

from __future__ import annotations

import numpy as np

from journal_tools.science.validity import FloatArray, Number, as_given, in_range, in_scalar_range
from journal_tools.science.water.seawater import pure_water_density_kg_m3

SODIUM_D_NM = 589.3
"""Wavelength in nm for which refractometers are made."""

SCALE_TEMPERATURE_C = 20.0
"""Temperature in °C to which a refractometer scale and the sodium chloride table belong."""

INDEX_PER_NACL_G_KG = 1.758182e-4
"""Rise of the index at 20 °C for each g/kg of sodium chloride."""

_AIR_INDEX = 1.000272
_IAPWS = (
    0.244257733, 9.74634476e-3, -3.73234996e-3, 2.68678472e-4,
    1.58920570e-3, 2.45934259e-3, 0.900704920, -1.66626219e-2,
)  # fmt: skip
_IAPWS_ULTRAVIOLET, _IAPWS_INFRARED = 0.2292020, 5.432937

# Density over that of pure water, less 1, at 20 °C: least squares on the table of the handbook.
_NACL_DENSITY = (7.11831e-4, 1.05882e-7)
# Expansion from 20 °C beyond that of pure water, per g/kg: least squares on the same handbook's
# volumetric table at 10, 20, 25 and 30 °C.
_NACL_EXPANSION = (1.82881e-6, -3.11914e-8, -4.68754e-9)


def pure_water_refractive_index(
    temperature_c: Number, wavelength_nm: float = SODIUM_D_NM
) -> Number:
    """Give the refractive index of pure water relative to air, without unit.

    Args:
        temperature_c: Temperature in °C, 0 to 40.
        wavelength_nm: Wavelength in nm, 400 to 700.

    Raises:
        ValueError: If a single temperature, or the wavelength, is out of range.

    Uncertainty:
        2e-5: Millard & Seaver 1990 differ by 6e-6 at 25 °C and by 2.4e-5 at 0 °C. The index of air
        is taken as 1.000272 throughout, which adds 2e-6.

    Source:
        IAPWS R9-97, release on the refractive index of ordinary water (1997), with the density
        of EOS-80.

    >>> round(pure_water_refractive_index(20.0), 6)
    1.332986
    """
    checked = in_range("temperature", temperature_c, 0.0, 40.0, "°C")
    wavelength = in_scalar_range("wavelength", wavelength_nm, 400.0, 700.0, "nm")
    light = (wavelength / 589.0) ** 2
    warmth = (checked + 273.15) / 273.15
    density = np.asarray(pure_water_density_kg_m3(checked)) / 1000
    a0, a1, a2, a3, a4, a5, a6, a7 = _IAPWS
    refraction = density * (
        a0 + a1 * density + a2 * warmth + a3 * light * warmth + a4 / light
        + a5 / (light - _IAPWS_ULTRAVIOLET**2) + a6 / (light - _IAPWS_INFRARED**2)
        + a7 * density**2
    )  # fmt: skip
    index = np.sqrt((1 + 2 * refraction) / (1 - refraction))
    return as_given(index / _AIR_INDEX, temperature_c)


def refractive_index(
    salinity: Number, temperature_c: Number | float, wavelength_nm: float = SODIUM_D_NM
) -> Number:
    """Give the refractive index of seawater relative to air at the surface, without unit.

    Args:
        salinity: Practical salinity, 0 to 42.
        temperature_c: Temperature in °C, 0 to 30.
        wavelength_nm: Wavelength in nm, 500 to 700.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        Standard deviation of the fit 5e-6 (0.03 psu); other models differ by 2e-5 (0.1 psu).

    Source:
        Millard & Seaver 1990, Deep-Sea Res. 37:1909, at zero pressure. The last term of the part
        for pure water is printed badly and taken as -1.705881e-9: with e-10 it would differ from
        IAPWS R9-97 by 2e-5.

    >>> round(refractive_index(35.0, 20.0), 6)
    1.339385
    """
    checked = in_range("salinity", salinity, 0.0, 42.0, "psu")
    temperature = in_range("temperature", temperature_c, 0.0, 30.0, "°C")
    slope = np.asarray(index_per_psu(temperature, wavelength_nm))
    return as_given(
        _millard_seaver_water(temperature, wavelength_nm / 1000) + slope * checked, salinity
    )


def _millard_seaver_water(t: FloatArray, um: float) -> FloatArray:
    light = (
        1.3280657 - 4.5536802e-3 * um**2 + 2.5471707e-3 / um**2
        + 7.501966e-6 / um**4 + 2.802632e-6 / um**6
    )  # fmt: skip
    warmth = -5.2883907e-6 * t - 3.0738272e-6 * t**2 + 3.0124687e-8 * t**3 - 2.0883178e-10 * t**4
    both = (1.0508621e-5 * t + 2.1282248e-7 * t**2 - 1.705881e-9 * t**3) * um
    return np.asarray(light + warmth + both)


def index_per_psu(temperature_c: Number, wavelength_nm: float = SODIUM_D_NM) -> Number:
    """Give the rise of the refractive index of seawater for each unit of practical salinity.

    The rise is the same at all salinities in this model.

    Args:
        temperature_c: Temperature in °C, 0 to 30.
        wavelength_nm: Wavelength in nm, 500 to 700.

    Raises:
        ValueError: If a single temperature, or the wavelength, is out of range.

    Uncertainty:
        0.5 %, the difference from Quan & Fry 1995.

    Source:
        Millard & Seaver 1990, Deep-Sea Res. 37:1909.

    >>> round(index_per_psu(20.0), 7)
    0.0001828
    """
    t = in_range("temperature", temperature_c, 0.0, 30.0, "°C")
    um = in_scalar_range("wavelength", wavelength_nm, 500.0, 700.0, "nm") / 1000
    rise = (
        1.9029121e-4 + 2.4239607e-6 / um**2 - 7.3960297e-7 * t + 8.9818478e-9 * t**2
        + 1.2078804e-10 * t**3 - 3.589495e-7 * t * um
    )  # fmt: skip
    return as_given(np.asarray(rise), temperature_c)


def refractive_index_quan_fry(
    salinity: Number, temperature_c: Number | float, wavelength_nm: float = SODIUM_D_NM
) -> Number:
    """Give the refractive index of seawater by a second model, to see how far two models agree.

    Args:
        salinity: Practical salinity, 0 to 35.
        temperature_c: Temperature in °C, 0 to 30.
        wavelength_nm: Wavelength in nm, 400 to 700.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        Standard error of the fit 1.5e-5, from memory of the paper.

    Source:
        Quan & Fry 1995, Appl. Opt. 34:3477.

    >>> round(refractive_index_quan_fry(35.0, 20.0), 6)
    1.339406
    """
    s = in_range("salinity", salinity, 0.0, 35.0, "psu")
    t = in_range("temperature", temperature_c, 0.0, 30.0, "°C")
    nm = in_scalar_range("wavelength", wavelength_nm, 400.0, 700.0, "nm")
    index = (
        1.31405 + (1.779e-4 - 1.05e-6 * t + 1.6e-8 * t**2) * s - 2.02e-6 * t**2
        + (15.868 + 0.01155 * s - 0.00423 * t) / nm - 4382 / nm**2 + 1.1455e6 / nm**3
    )  # fmt: skip
    return as_given(np.asarray(index), salinity)


def salinity_from_refractive_index(
    index: Number, temperature_c: Number | float, wavelength_nm: float = SODIUM_D_NM
) -> Number:
    """Give the practical salinity of seawater whose refractive index relative to air is known.

    Args:
        index: Refractive index that 0 to 42 psu have at the temperature.
        temperature_c: Temperature in °C at which the index holds, 0 to 30.
        wavelength_nm: Wavelength in nm, 500 to 700.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.1 psu between models; an index good to 0.0001 gives 0.5 psu.

    Source:
        Millard & Seaver 1990, Deep-Sea Res. 37:1909, solved for salinity.

    >>> round(salinity_from_refractive_index(1.339385, 20.0), 2)
    35.0
    """
    temperature = in_range("temperature", temperature_c, 0.0, 30.0, "°C")
    slope = np.asarray(index_per_psu(temperature, wavelength_nm))
    water = _millard_seaver_water(temperature, wavelength_nm / 1000)
    checked = in_range("refractive index", index, water, water + 42.0 * slope)
    return as_given((checked - water) / slope, index)


def nacl_refractive_index(nacl_g_kg: Number) -> Number:
    """Give the refractive index of a sodium chloride solution at 20 °C relative to air.

    Args:
        nacl_g_kg: Sodium chloride in g per kg of solution, 0 to 50.

    Raises:
        ValueError: If a single concentration is out of range.

    Uncertainty:
        5e-5, the rounding of the table (0.3 g/kg).

    Source:
        CRC Handbook, Concentrative properties of aqueous solutions, 0 to 5 % in steps of 0.5 %
        (rows below 3 % and 4.5 % from memory of it): least squares line.

    >>> round(nacl_refractive_index(35.0), 4)
    1.3391
    """
    checked = in_range("sodium chloride", nacl_g_kg, 0.0, 50.0, "g/kg")
    water = pure_water_refractive_index(SCALE_TEMPERATURE_C)
    return as_given(water + INDEX_PER_NACL_G_KG * checked, nacl_g_kg)


def nacl_density_kg_m3(
    nacl_g_kg: Number, temperature_c: Number | float = SCALE_TEMPERATURE_C
) -> Number:
    """Give the density of a sodium chloride solution in kg/m3.

    Args:
        nacl_g_kg: Sodium chloride in g per kg of solution, 0 to 50.
        temperature_c: Temperature in °C, 10 to 30.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.05 kg/m3 at 20 °C, the rounding of the table; 0.07 kg/m3 elsewhere.

    Source:
        At 20 °C as for ``nacl_refractive_index``; expansion from Rogers & Pitzer 1982, J. Phys.
        Chem. Ref. Data 11:15, as tabulated in the CRC Handbook.

    >>> round(nacl_density_kg_m3(35.0), 1)
    1023.2
    """
    w = in_range("sodium chloride", nacl_g_kg, 0.0, 50.0, "g/kg")
    temperature = in_range("temperature", temperature_c, 10.0, 30.0, "°C")
    a, b = _NACL_DENSITY
    c, e = _nacl_expansion(temperature)
    water = np.asarray(pure_water_density_kg_m3(temperature))
    return as_given(water * (1 + a * w + b * w**2) / (1 + c * w + e * w**2), nacl_g_kg)


def _nacl_expansion(temperature_c: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Give the terms in g/kg and its square of the expansion from 20 °C beyond that of water."""
    linear, bent, crowding = _NACL_EXPANSION
    warmer = temperature_c - SCALE_TEMPERATURE_C
    return warmer * (linear + bent * warmer), warmer * crowding


def nacl_g_kg_from_density(density_kg_m3: Number, temperature_c: float) -> Number:
    """Give the sodium chloride in g per kg of a solution from its density.

    Args:
        density_kg_m3: Density in kg/m3 that 0 to 50 g/kg have at the temperature.
        temperature_c: Temperature in °C, 10 to 30.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.1 g/kg.

    Source:
        ``nacl_density_kg_m3``, solved for the concentration.

    >>> round(nacl_g_kg_from_density(1023.2, 20.0), 1)
    35.0
    """
    temperature = in_range("temperature", temperature_c, 10.0, 30.0, "°C")
    a, b = _NACL_DENSITY
    c, e = _nacl_expansion(temperature)
    low, high = (nacl_density_kg_m3(end, temperature_c) for end in (0.0, 50.0))
    ratio = in_range("density", density_kg_m3, low, high, "kg/m3") / low
    linear, square, excess = a - ratio * c, b - ratio * e, ratio - 1
    root = np.sqrt(linear**2 + 4 * square * excess)
    return as_given(2 * excess / (linear + root), density_kg_m3)
