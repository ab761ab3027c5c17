"""Putting right a batch of new seawater, or a tank, whose salinity is wrong.

Mixing is by mass: salt stirred in swells the water, so grams for each litre are not additive.
The dry mass of a product as sold holds crystal water: give its dry share.
"""

from __future__ import annotations

import numpy as np

from journal_tools.science.validity import FloatArray, Number, as_given, in_range, in_scalar_range
from journal_tools.science.water.seawater import (
    GRAMS_PER_KG_PER_PSU,
    SALINITY_RANGE,
    density_kg_m3,
    pure_water_density_kg_m3,
)


def _salt_share(salinity: float) -> float:
    checked = in_scalar_range("salinity", salinity, *SALINITY_RANGE, "psu")
    return checked * GRAMS_PER_KG_PER_PSU / 1000


def _mass_kg(volume_l: float | FloatArray, salinity: float, temperature_c: float) -> FloatArray:
    volume = in_range("volume", volume_l, 0.0, 1e6, "L")
    return np.asarray(volume / 1000 * density_kg_m3(salinity, temperature_c))


def salt_to_raise_kg(
    volume_l: Number,
    salinity: float,
    wanted_salinity: float,
    temperature_c: float = 25.0,
    dry_fraction: float = 1.0,
) -> Number:
    """Give the salt in kg to stir into a batch that came out too low.

    Never pour it into a tank with animals: raise the new water or the top-off instead.

    Args:
        volume_l: Batch as it is in L, 0 to 1e6.
        salinity: Practical salinity as measured, 0 to 42.
        wanted_salinity: Practical salinity wanted, from the measured one to 42.
        temperature_c: Temperature of the batch in °C, -2 to 40.
        dry_fraction: Share of the product that is water-free salt, 0.5 to 1.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the salinity: ±0.5 psu is ±0.05 kg for 100 L. Stir in most, measure, then the rest.

    Source:
        Water conserved, by mass; EOS-80 density and reference salinity.

    >>> round(salt_to_raise_kg(100.0, 33.0, 35.0), 3)
    0.213
    """
    have = _salt_share(salinity)
    wanted = in_scalar_range("salinity wanted", wanted_salinity, salinity, SALINITY_RANGE[1], "psu")
    share = _salt_share(wanted)
    dry = in_scalar_range("dry fraction", dry_fraction, 0.5, 1.0)
    # A product that is not dry brings (1 - dry) of water, which wants salt too.
    per_kg = (share - have) / (dry - share)
    return as_given(_mass_kg(volume_l, salinity, temperature_c) * per_kg, volume_l)


def water_to_lower_l(
    volume_l: Number, salinity: float, wanted_salinity: float, temperature_c: float = 25.0
) -> Number:
    """Give the pure water in L to add to a batch that came out too high.

    Args:
        volume_l: Batch as it is in L, 0 to 1e6.
        salinity: Practical salinity as measured, 0 to 42.
        wanted_salinity: Practical salinity wanted, 0.1 to the measured one.
        temperature_c: Temperature of batch and water in °C, -2 to 40.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the salinity: ±0.5 psu is ±1.5 L for 100 L.

    Source:
        Salt conserved, by mass; EOS-80 densities.

    >>> round(water_to_lower_l(100.0, 37.0, 35.0), 2)
    5.87
    """
    wanted = in_scalar_range("salinity wanted", wanted_salinity, 0.1, salinity, "psu")
    added_kg = _mass_kg(volume_l, salinity, temperature_c) * (salinity / wanted - 1)
    return as_given(added_kg / pure_water_density_kg_m3(temperature_c) * 1000, volume_l)


def water_to_swap_l(
    volume_l: Number, salinity: float, wanted_salinity: float, temperature_c: float = 25.0
) -> Number:
    """Give the seawater in L to take out and replace by as much pure water to lower a salinity.

    Args:
        volume_l: Net water volume in L, 0 to 1e6.
        salinity: Practical salinity as measured, 0.1 to 42.
        wanted_salinity: Practical salinity wanted, 0 to the measured one.
        temperature_c: Temperature in °C, -2 to 40.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the salinity; lower it over days, not at once (common practice, no source).

    Source:
        Salt conserved, by volume with the densities of EOS-80.

    >>> round(water_to_swap_l(100.0, 37.0, 35.0), 2)
    5.55
    """
    held = in_scalar_range("salinity", salinity, 0.1, SALINITY_RANGE[1], "psu")
    wanted = in_scalar_range("salinity wanted", wanted_salinity, 0.0, held, "psu")
    volume = in_range("volume", volume_l, 0.0, 1e6, "L")
    left = (
        wanted * density_kg_m3(wanted, temperature_c) / (held * density_kg_m3(held, temperature_c))
    )
    return as_given(volume * (1 - left), volume_l)


def salinity_of_mixture(
    volumes_l: FloatArray, salinities: FloatArray, temperature_c: float = 25.0
) -> float:
    """Give the practical salinity of several waters poured together.

    Args:
        volumes_l: Volume of each in L, 0 to 1e6, not all 0.
        salinities: Practical salinity of each, 0 to 42.
        temperature_c: Temperature in °C, -2 to 40.

    Raises:
        ValueError: If a value is out of range or there is no water.

    Uncertainty:
        That of the inputs.

    Source:
        Salt and mass conserved, EOS-80 densities.

    >>> round(salinity_of_mixture(np.array([100.0, 5.87]), np.array([37.0, 0.0])), 2)
    35.0
    """
    masses = [
        float(_mass_kg(float(volume), float(salinity), temperature_c))
        for volume, salinity in zip(volumes_l, salinities, strict=True)
    ]
    if not sum(masses) > 0:
        raise ValueError("there is no water to mix")
    return float(np.dot(masses, salinities) / sum(masses))
