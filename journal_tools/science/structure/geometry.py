"""Water surface and volume of vessels from inside measures; water displaced by rock and sand.

An error of a measure passes on in proportion: 0.5 cm on a 50 cm side is 1 % of the volume.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

import numpy as np

from journal_tools.science.estimate import Estimate
from journal_tools.science.validity import (
    FloatArray,
    Number,
    as_given,
    in_range,
    in_scalar_range,
)

ARAGONITE_KG_L = 2.93
"""Density of aragonite in kg/L, from memory of mineral handbooks."""

_GRAIN_KG_L = (2.71, 2.95)  # calcite to dense aragonite, from memory of mineral handbooks
# Live and dry reef rock with closed pores, 1.6 to 2.3: common practice, no source.
_POROUS_ROCK_KG_L, _USUAL_ROCK_KG_L = 1.6, 1.95
_MAX_CM = 2000.0


def _measure(name: str, value_cm: float | FloatArray) -> FloatArray:
    return in_range(name, value_cm, 0.1, _MAX_CM, "cm")


def rectangle_surface_cm2(length_cm: Number, width_cm: Number | float) -> Number:
    """Give the water surface of a rectangular vessel in cm2.

    Args:
        length_cm: Inside length in cm, 0.1 to 2000.
        width_cm: Inside width, front to back, in cm, 0.1 to 2000.

    Raises:
        ValueError: If a single measure is out of range; in an array it gives NaN.

    Uncertainty:
        Relative errors of the two measures add.

    Source:
        Plane geometry.

    >>> rectangle_surface_cm2(100.0, 50.0)
    5000.0
    """
    return as_given(_measure("length", length_cm) * _measure("width", width_cm), length_cm)


def cylinder_surface_cm2(diameter_cm: Number) -> Number:
    """Give the water surface of an upright cylinder in cm2.

    Args:
        diameter_cm: Inside diameter in cm, 0.1 to 2000.

    Raises:
        ValueError: If the diameter is out of range.

    Uncertainty:
        Twice the relative error of the diameter.

    Source:
        Plane geometry.

    >>> round(cylinder_surface_cm2(50.0), 1)
    1963.5
    """
    return as_given(math.pi * _measure("diameter", diameter_cm) ** 2 / 4, diameter_cm)


def bow_front_surface_cm2(
    chord_width_cm: Number, side_depth_cm: Number | float, bow_rise_cm: Number | float
) -> Number:
    """Give the water surface of a vessel with a curved front in cm2: rectangle and segment.

    Args:
        chord_width_cm: Inside width along the straight back in cm, 0.1 to 2000.
        side_depth_cm: Inside depth of the straight sides in cm, 0.1 to 2000.
        bow_rise_cm: How far the middle of the front stands out before its ends in cm, from 0 to
            half the width (a half circle).

    Raises:
        ValueError: If a single measure is out of range; in an array it gives NaN.

    Uncertainty:
        Relative errors of the measures add; the front is taken as a part of a circle.

    Source:
        Circular segment, plane geometry.

    >>> round(bow_front_surface_cm2(90.0, 35.0, 12.0), 1)
    3880.1
    """
    chord = _measure("chord width", chord_width_cm)
    rise = in_range("bow rise", bow_rise_cm, 0.0, chord / 2, "cm")
    surface = chord * _measure("side depth", side_depth_cm) + _segment_cm2(chord, rise)
    return as_given(np.asarray(surface), chord_width_cm)


def _segment_cm2(chord: FloatArray, rise: FloatArray) -> FloatArray:
    # A flat bow loses all digits in R2(θ - sin θ): there the parabola is exact to 1e-8.
    flat = rise < 1e-4 * chord
    bowed = np.where(flat, chord / 2, rise)
    radius = (chord**2 / 4 + bowed**2) / (2 * bowed)
    angle = 2 * np.arcsin(np.minimum(1.0, chord / (2 * radius)))
    return np.where(flat, 2 / 3 * chord * rise, radius**2 * (angle - np.sin(angle)) / 2)


def regular_prism_surface_cm2(sides: int, side_length_cm: Number) -> Number:
    """Give the water surface of a vessel with equal sides (a hexagon has 6) in cm2.

    Args:
        sides: Number of sides, 3 to 100.
        side_length_cm: Inside length of each side in cm, 0.1 to 2000.

    Raises:
        ValueError: If a measure is out of range, or ``sides`` is not a whole number.

    Uncertainty:
        Twice the relative error of the side.

    Source:
        Regular polygon, plane geometry.

    >>> round(regular_prism_surface_cm2(6, 30.0), 1)
    2338.3
    """
    if sides != int(in_scalar_range("number of sides", sides, 3, 100)):
        raise ValueError(f"number of sides {sides} is not a whole number")
    side = _measure("side length", side_length_cm)
    return as_given(sides * side**2 / (4 * math.tan(math.pi / sides)), side_length_cm)


def quarter_cylinder_surface_cm2(radius_cm: Number) -> Number:
    """Give the water surface of a corner vessel, a quarter of a cylinder, in cm2.

    Args:
        radius_cm: Inside length of each straight side in cm, 0.1 to 2000.

    Raises:
        ValueError: If the radius is out of range.

    Uncertainty:
        Twice the relative error of the radius.

    Source:
        Plane geometry.

    >>> round(quarter_cylinder_surface_cm2(60.0), 1)
    2827.4
    """
    return as_given(math.pi * _measure("radius", radius_cm) ** 2 / 4, radius_cm)


SURFACES_CM2: Mapping[str, Callable[..., float]] = MappingProxyType({
    "rectangle": rectangle_surface_cm2,
    "cylinder": cylinder_surface_cm2,
    "bow-front": bow_front_surface_cm2,
    "regular prism": regular_prism_surface_cm2,
    "quarter cylinder": quarter_cylinder_surface_cm2,
})  # fmt: skip
"""The function for the water surface of each shape with straight walls, by the shape's name."""


def water_volume_l(surface_cm2: Number, water_height_cm: Number | float) -> Number:
    """Give the volume of water in a vessel with upright walls in L.

    Args:
        surface_cm2: Water surface in cm2, 0.01 to 4e6.
        water_height_cm: Inside bottom to water line (not to the rim) in cm, 0 to 2000.

    Raises:
        ValueError: If a single measure is out of range; in an array it gives NaN.

    Uncertainty:
        Relative errors of surface and height add; rock and sand are not taken off.

    Source:
        Volume of a prism.

    >>> round(water_volume_l(bow_front_surface_cm2(90.0, 35.0, 12.0), 50.0), 1)
    194.0
    """
    surface = in_range("water surface", surface_cm2, 0.01, _MAX_CM**2, "cm2")
    height = in_range("water height", water_height_cm, 0.0, _MAX_CM, "cm")
    return as_given(surface * height / 1000, surface_cm2)


def stated_volume_l(volume_l: float, relative_error: float = 0.0) -> Estimate:
    """Give the volume in L of a vessel of any other shape, as its owner measured it.

    Args:
        volume_l: Water that it holds at the usual level in L, 0 to 1e6.
        relative_error: Share of it that the figure may be off, 0 to 1.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        As stated by the owner.

    Source:
        Measured by the owner, for instance by filling with a known container.

    >>> stated_volume_l(80.0, 0.05)
    Estimate(value=80.0, low=76.0, high=84.0)
    """
    volume = in_scalar_range("volume", volume_l, 0.0, 1e6, "L")
    error = volume * in_scalar_range("relative error", relative_error, 0.0, 1.0)
    return Estimate(volume, volume - error, volume + error)


def rock_displacement_l(mass_kg: float, density_kg_l: float | None = None) -> Estimate:
    """Give the water in L that rock takes the place of.

    Args:
        mass_kg: Dry mass of the rock in kg, 0 to 1e5.
        density_kg_l: Effective density, closed pores counted as rock, in kg/L, 1 to 3, where it
            was measured. Without it 1.95 is taken, with a range from solid aragonite (2.93) to
            very porous rock (1.6).

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        As returned; with a measured density 10 %. A measured fill volume is better.

    Source:
        Mass over density. Densities of porous rock: common practice, no source.

    >>> round(rock_displacement_l(20.0).value, 1), round(rock_displacement_l(20.0).high, 1)
    (10.3, 12.5)
    """
    mass = in_scalar_range("rock mass", mass_kg, 0.0, 1e5, "kg")
    if density_kg_l is not None:
        volume = mass / in_scalar_range("rock density", density_kg_l, 1.0, 3.0, "kg/L")
        return Estimate(volume, 0.9 * volume, 1.1 * volume)
    return Estimate(mass / _USUAL_ROCK_KG_L, mass / ARAGONITE_KG_L, mass / _POROUS_ROCK_KG_L)


def sand_displacement_l(mass_kg: float, grain_density_kg_l: float = ARAGONITE_KG_L) -> Estimate:
    """Give the water in L that sand of a known dry mass takes the place of.

    Args:
        mass_kg: Dry mass in kg, 0 to 1e5.
        grain_density_kg_l: Density of the grains in kg/L, 2.5 to 3; 2.93 is aragonite.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        As returned: grains between calcite (2.71) and dense aragonite (2.95). Damp sand weighs
        more than it displaces.

    Source:
        Mass over density; mineral densities from memory of handbooks.

    >>> round(sand_displacement_l(16.0).value, 2)
    5.46
    """
    mass = in_scalar_range("sand mass", mass_kg, 0.0, 1e5, "kg")
    density = in_scalar_range("grain density", grain_density_kg_l, 2.5, 3.0, "kg/L")
    return Estimate(
        mass / density,
        mass / max(density, _GRAIN_KG_L[1]),
        mass / min(density, _GRAIN_KG_L[0]),
    )


def sand_bed_displacement_l(bed_volume_l: float, porosity: float = 0.45) -> Estimate:
    """Give the water in L that a sand bed of a known volume takes the place of.

    Args:
        bed_volume_l: Volume of the bed, grains and gaps, in L, 0 to 1e5.
        porosity: Share of the bed that is gaps, 0.2 to 0.7.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        As returned: porosity 0.35 to 0.5, widened where the given one lies outside.

    Source:
        Volume times (1 - porosity); porosities of sand from memory of handbooks.

    >>> sand_bed_displacement_l(10.0)
    Estimate(value=5.5, low=5.0, high=6.5)
    """
    bed = in_scalar_range("sand bed volume", bed_volume_l, 0.0, 1e5, "L")
    gaps = in_scalar_range("porosity", porosity, 0.2, 0.7)
    return Estimate(bed * (1 - gaps), bed * (1 - max(gaps, 0.5)), bed * (1 - min(gaps, 0.35)))
