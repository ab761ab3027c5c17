"""Weight of a filled system and how it presses on its stand and floor: never a verdict.

Whether a floor or a stand carries a load depends on its build, age and state, which no figure
here knows: ask a structural engineer, and keep to the local building code.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from journal_tools.science.estimate import Estimate
from journal_tools.science.validity import Number, as_given, in_range, in_scalar_range
from journal_tools.science.water.seawater import density_kg_m3 as seawater_density_kg_m3

STANDARD_GRAVITY_M_S2 = 9.80665
GLASS_KG_L = 2.5
"""Density of soda-lime float glass in kg/L (EN 572-1, from memory)."""

KPA_PER_PSF = 0.04788026
"""One pound-force per square foot in kPa (NIST SP 811)."""


@dataclass(frozen=True, slots=True)
class FloorLoad:
    """What a code takes a kind of floor to carry, for comparison only.

    Attributes:
        name: Code and use of the room.
        low_kpa: Least load in kPa, evenly spread over the whole room.
        high_kpa: Greatest load in kPa.
        source: Where the figure is from.
    """

    name: str
    low_kpa: float
    high_kpa: float
    source: str


FLOOR_LOADS = (
    FloorLoad("EN 1991-1-1, category A: floors of homes", 1.5, 2.0,
              "EN 1991-1-1:2002, table 6.2, from memory; each country sets its own figure"),
    FloorLoad("EN 1991-1-1, category A: balconies", 2.5, 4.0,
              "EN 1991-1-1:2002, table 6.2, from memory; each country sets its own figure"),
    FloorLoad("ASCE 7: rooms of homes", 40 * KPA_PER_PSF, 40 * KPA_PER_PSF,
              "ASCE 7, minimum uniform live loads, 40 psf, from memory"),
    FloorLoad("ASCE 7 with US residential code: sleeping rooms", 30 * KPA_PER_PSF,
              30 * KPA_PER_PSF, "International Residential Code, 30 psf, from memory"),
)  # fmt: skip
"""Loads that floors of homes are designed for. To compare, not to judge: see ``HAZARDS``."""

HAZARDS = (
    "A design load is spread over the whole room; a tank presses on a patch of it for years.",
    "Near a wall and across the joists is kinder to a floor than in mid-span or along one joist.",
    "Feet and runners press on small areas: boards, tiles, screed and insulation may give way.",
    "Leaks and spray rot timber and rust steel; an old floor may carry less than when new.",
    "Furniture, people and a second tank in the room add to the load.",
)
"""What a comparison with ``FLOOR_LOADS`` does not see."""


def water_pressure_kpa(depth_cm: Number, density_kg_m3: float = 1023.3) -> Number:
    """Give the pressure of a column of water in kPa.

    Args:
        depth_cm: Depth below the surface in cm, 0 to 1000.
        density_kg_m3: Density in kg/m3, 900 to 1300; 1023.3 is seawater at 35 psu and 25 °C.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the depth; standard gravity is within 0.3 % everywhere.

    Source:
        Hydrostatics, density times gravity times depth.

    >>> round(water_pressure_kpa(100.0), 2)
    10.04
    """
    depth = in_range("depth", depth_cm, 0.0, 1000.0, "cm") / 100
    density = in_scalar_range("water density", density_kg_m3, 900.0, 1300.0, "kg/m3")
    return as_given(depth * density * STANDARD_GRAVITY_M_S2 / 1000, depth_cm)


def water_mass_kg(
    volume_l: Number, salinity: Number | float = 35.0, temperature_c: Number | float = 25.0
) -> Number:
    """Give the mass of water or seawater in kg.

    Args:
        volume_l: Net volume in L, 0 to 1e6. Rock and sand are weighed apart, so leave out the
            water that they take the place of.
        salinity: Practical salinity, 0 to 42; 0 for fresh water.
        temperature_c: Temperature in °C, -2 to 40.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the volume.

    Source:
        EOS-80 density (Millero & Poisson 1981).

    >>> round(water_mass_kg(300.0), 1)
    307.0
    """
    volume_m3 = in_range("water volume", volume_l, 0.0, 1e6, "L") / 1000
    # An array, so that a value of an array that is out of range is NaN beside a single volume.
    density = np.asarray(seawater_density_kg_m3(np.asarray(salinity) + 0.0, temperature_c))
    return as_given(volume_m3 * density, volume_l)


def pane_mass_kg(
    area_cm2: Number, thickness_mm: Number | float, density_kg_l: float = GLASS_KG_L
) -> Number:
    """Give the mass of a flat pane in kg.

    Args:
        area_cm2: Its area in cm2, 0 to 4e6.
        thickness_mm: In mm, 1 to 100.
        density_kg_l: In kg/L, 0.9 to 3; 2.5 is glass, 1.19 acrylic.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        3 %: the thickness of float glass.

    Source:
        Volume times density.

    >>> pane_mass_kg(10_000.0, 10.0)
    25.0
    """
    area = in_range("area", area_cm2, 0.0, 4e6, "cm2")
    thickness = in_range("thickness", thickness_mm, 1.0, 100.0, "mm") / 10
    density = in_scalar_range("density", density_kg_l, 0.9, 3.0, "kg/L")
    return as_given(area * thickness * density / 1000, area_cm2)


def glass_tank_mass_kg(
    inside_length_cm: Number,
    inside_width_cm: Number | float,
    height_cm: Number | float,
    thickness_mm: float,
    bottom_thickness_mm: float | None = None,
    density_kg_l: float = GLASS_KG_L,
) -> Number:
    """Give the mass in kg of the five panes of an open box tank.

    Args:
        inside_length_cm: In cm, 0.1 to 2000.
        inside_width_cm: Front to back in cm, 0.1 to 2000.
        height_cm: Height of the upright panes above the bottom pane in cm, 0.1 to 1000.
        thickness_mm: Of the upright panes in mm, 1 to 100.
        bottom_thickness_mm: Of the bottom pane in mm; without it the same.
        density_kg_l: In kg/L, 0.9 to 3; 2.5 is glass, 1.19 acrylic.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        5 %; braces, rim, an overflow box and partitions come on top.

    Source:
        Panes one by one: front and back cover the ends of the sides, all stand on the bottom.

    >>> round(glass_tank_mass_kg(120.0, 50.0, 55.0, 12.0), 1)
    76.1
    """
    length = in_range("inside length", inside_length_cm, 0.1, 2000.0, "cm")
    width = in_range("inside width", inside_width_cm, 0.1, 2000.0, "cm")
    height = in_range("pane height", height_cm, 0.1, 1000.0, "cm")
    both = 2 * in_scalar_range("glass thickness", thickness_mm, 1.0, 100.0, "mm") / 10
    upright = 2 * (length + both + width) * height
    under = thickness_mm if bottom_thickness_mm is None else bottom_thickness_mm
    bottom = np.asarray((length + both) * (width + both))
    mass = np.asarray(pane_mass_kg(upright, thickness_mm, density_kg_l)) + np.asarray(
        pane_mass_kg(bottom, under, density_kg_l)
    )
    return as_given(mass, inside_length_cm)


def total_mass_kg(parts_kg: Mapping[str, Estimate]) -> Estimate:
    """Give the mass of a whole system in kg from its parts.

    Args:
        parts_kg: Each part, by a name of your own, in kg, 0 to 1e6: water (net volume), glass,
            rock, sand, sump, stand, equipment.

    Raises:
        ValueError: If a part is out of range.

    Uncertainty:
        As returned: the errors of the parts, taken as independent, added as squares.

    Source:
        Sum; combination of errors: JCGM 100:2008 (GUM), 5.1.2.

    >>> total_mass_kg({"water": Estimate(300.0, 297.0, 303.0), "rock": Estimate(40.0, 36.0, 44.0)})
    Estimate(value=340.0, low=335.0, high=345.0)
    """
    for name, part in parts_kg.items():
        in_scalar_range(f"mass of {name}", part.low, 0.0, 1e6, "kg")
        in_scalar_range(f"mass of {name}", part.high, 0.0, 1e6, "kg")
    parts = parts_kg.values()
    value = math.fsum(part.value for part in parts)
    low = math.hypot(*(part.value - part.low for part in parts))
    high = math.hypot(*(part.high - part.value for part in parts))
    return Estimate(value, value - low, value + high)


def weight_kn(mass_kg: Number) -> Number:
    """Give the weight of a mass in kN.

    Args:
        mass_kg: In kg, 0 to 1e7.

    Raises:
        ValueError: If a single mass is out of range.

    Uncertainty:
        That of the mass.

    Source:
        Standard gravity, 9.80665 m/s2.

    >>> round(weight_kn(500.0), 2)
    4.9
    """
    mass = in_range("mass", mass_kg, 0.0, 1e7, "kg")
    return as_given(mass * STANDARD_GRAVITY_M_S2 / 1000, mass_kg)


def footprint_pressure_kpa(mass_kg: Number, footprint_cm2: Number | float) -> Number:
    """Give the mean pressure of a system on the area that it stands on in kPa.

    Args:
        mass_kg: Of all that stands there in kg, 0 to 1e7.
        footprint_cm2: Area in cm2, 1 to 4e6: of the stand, or of its feet only.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        Relative errors of mass and area add. Under feet and edges it is far greater.

    Source:
        Weight over area. 1 kPa = 1 kN/m2 = 102 kg/m2.

    >>> round(footprint_pressure_kpa(500.0, 6000.0), 1)
    8.2
    """
    weight = np.asarray(weight_kn(mass_kg))
    area_m2 = in_range("footprint", footprint_cm2, 1.0, 4e6, "cm2") / 1e4
    return as_given(np.asarray(weight / area_m2), mass_kg)


def foot_load_kg(mass_kg: float, feet: int) -> Estimate:
    """Give the mass in kg that a foot of the stand carries; ``weight_kn`` makes it kN.

    Args:
        mass_kg: Of stand and all on it in kg, 0 to 1e7, its centre in the middle.
        feet: Their number, 1 to 32.

    Raises:
        ValueError: If a value is out of range or ``feet`` is not a whole number.

    Uncertainty:
        As returned: a stiff stand with four feet or more on an uneven floor rocks on two of
        them, so that one may carry half and another nothing.

    Source:
        Statics.

    >>> foot_load_kg(500.0, 4)
    Estimate(value=125.0, low=0.0, high=250.0)
    """
    mass = in_scalar_range("mass", mass_kg, 0.0, 1e7, "kg")
    if feet != int(in_scalar_range("number of feet", feet, 1, 32)):
        raise ValueError(f"number of feet {feet} is not a whole number")
    share = mass / feet
    return Estimate(share, 0.0, mass / 2) if feet > 3 else Estimate(share, share, share)


def runner_load_kn_m(
    mass_kg: Number, runner_length_cm: Number | float, heavier_share: float = 0.5
) -> Number:
    """Give the line load in kN/m under the heavier of the two runners of a stand.

    Args:
        mass_kg: Of stand and all on it in kg, 0 to 1e7.
        runner_length_cm: Length that touches the floor in cm, 1 to 2000.
        heavier_share: Share of the mass on the heavier runner, 0.5 to 1; 0.5 if centred.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the mass; an uneven floor carries only where it touches.

    Source:
        Weight over length.

    >>> round(runner_load_kn_m(500.0, 120.0), 2)
    2.04
    """
    length_m = in_range("runner length", runner_length_cm, 1.0, 2000.0, "cm") / 100
    share = in_scalar_range("heavier share", heavier_share, 0.5, 1.0)
    return as_given(np.asarray(np.asarray(weight_kn(mass_kg)) * share / length_m), mass_kg)
