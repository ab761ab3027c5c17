"""What the filled system weighs, how it presses on stand and floor, how its front pane bends."""

from __future__ import annotations

from collections.abc import Iterator

from journal_tools.metrics.gear import combined, usual_water
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.volume import relative_volume_error
from journal_tools.science.estimate import Estimate
from journal_tools.science.structure import geometry, glass, load
from journal_tools.science.water.seawater import density_kg_m3
from journal_tools.system import Rock, Sand, Vessel, vessel_in_role
from journal_tools.tables import Tables

_SAND_BED_KG_L = geometry.ARAGONITE_KG_L * 0.55
_ROCK_KG_L = 1.95
_WALLS_KG_L = {"glass": load.GLASS_KG_L, "acrylic": 1.19}
_GLASS_ERROR, _STATED_ERROR = 0.1, 0.05


def _around(value: float, share: float) -> Estimate:
    return Estimate(value, value * max(0.0, 1 - share), value * (1 + share))


def _wall_mass(vessel: Vessel) -> Estimate | None:
    """Give the mass of a box of five panes; None for other shapes and where a measure is untold."""
    measures = (vessel.length, vessel.width, vessel.height or vessel.water_height)
    told = [measure.value for measure in (*measures, vessel.glass_thickness) if measure is not None]
    if vessel.shape != "rectangle" or len(told) < 4:
        return None
    length, width, height, thickness = told
    mass = load.glass_tank_mass_kg(
        length, width, height, thickness * 10, density_kg_l=_WALLS_KG_L[vessel.material]
    )
    return _around(mass, _GLASS_ERROR)


def _solid_mass(piece: Rock | Sand) -> Estimate:
    if piece.mass is not None:
        return _around(piece.mass.value / 1000, _STATED_ERROR)
    if isinstance(piece, Rock):
        assert piece.displaces is not None
        litres, density = piece.displaces.value, _ROCK_KG_L
    else:
        assert piece.bed_volume is not None
        litres, density = piece.bed_volume.value, _SAND_BED_KG_L
    return _around(litres * density, 0.2)


def weights(tables: Tables, net_volume: Result) -> list[tuple[str, Estimate]]:
    """Give the mass in kg of every part of the filled system that the profile tells of."""
    profile, water = tables.profile, usual_water(tables)
    mass = load.water_mass_kg(net_volume.value, water.salinity, water.temperature_c)
    parts = [("water", _around(mass, relative_volume_error(net_volume)))]
    walls = ((vessel.name, _wall_mass(vessel)) for vessel in profile.vessels)
    parts += [(f"walls of {name}", mass_of) for name, mass_of in walls if mass_of is not None]
    solids: list[Rock | Sand] = [*profile.fill.rock, *profile.fill.sand]
    parts += [(piece.name, _solid_mass(piece)) for piece in solids]
    if profile.stand is not None and profile.stand.mass is not None:
        parts.append(("stand", _around(profile.stand.mass.value / 1000, _STATED_ERROR)))
    return parts


def _weight(tables: Tables, done: Metrics) -> Iterator[Result]:
    profile, net = tables.profile, done.one("net_volume")
    if net is None:
        return
    parts = weights(tables, net)
    inputs = tuple(Input(name, f"{part.value:.0f} kg") for name, part in parts)
    total = combined([part for _, part in parts])
    left_out = [f"the walls of {v.name}" for v in profile.vessels if _wall_mass(v) is None]
    left_out += [] if profile.stand is not None and profile.stand.mass else ["the stand"]
    note = f"Without {', '.join(left_out)}: not told or no box. " if left_out else ""
    yield Result("system_weight", total.value, "kg", -1, "", total.low, total.high, inputs=inputs,
                 note=note + "Equipment and people leaning on it come on top.")  # fmt: skip


SYSTEM_WEIGHT = Metric(
    "system_weight", "Mass of the filled system", "kg",
    "Net water by its density, walls by their panes at 2.5 kg/L (acrylic 1.19 kg/L), rock, sand "
    "and stand as stated (rock of known displacement at 1.95 kg/L, a sand bed at 1.6 kg/L). All "
    "vessels of the profile count, wherever they stand.",
    "Seawater density by EOS-80 (Millero & Poisson 1981); density of float glass EN 572-1, from "
    "memory; acrylic, rock and sand: common practice, no source.",
    "load", "one standard deviation", _weight,
)  # fmt: skip


def _footprint_cm2(tables: Tables) -> tuple[float, Input] | None:
    stand = tables.profile.stand
    if stand is not None and stand.length is not None and stand.width is not None:
        area = stand.length.value * stand.width.value
        return area, Input("footprint of the stand", f"{stand.length.said} by {stand.width.said}")
    display = vessel_in_role(tables.profile.vessels, "display")
    if display is None or display.length is None or display.width is None:
        return None
    area = display.length.value * display.width.value
    return area, Input("footprint of the tank", f"{display.length.said} by {display.width.said}")


def _pressure(tables: Tables, done: Metrics) -> Iterator[Result]:
    weight, footprint = done.one("system_weight"), _footprint_cm2(tables)
    if weight is None or footprint is None or weight.low is None or weight.high is None:
        return
    area, source = footprint
    value, low, high = (
        load.footprint_pressure_kpa(mass, area) for mass in (weight.value, weight.low, weight.high)
    )
    homes = load.FLOOR_LOADS[0]
    inputs = (Input("mass of the filled system", f"{weight.value:.0f} kg"), source,
              Input(f"for comparison: {homes.name}", f"{homes.low_kpa:g} to {homes.high_kpa:g} kPa "
                    f"({homes.source})"))  # fmt: skip
    yield Result("footprint_pressure", value, "kPa", 1, "", low, high, inputs=inputs)


FOOTPRINT_PRESSURE = Metric(
    "footprint_pressure", "Load on the floor below the stand", "kPa",
    "Weight of the filled system divided by the footprint. A floor carries such a load over more "
    "than the footprint, or over less where the stand has feet; beams and walls decide.",
    "Weight is mass times 9.80665 m/s2 (standard gravity, CGPM 1901).",
    "load", "one standard deviation", _pressure,
)  # fmt: skip


def _foot(tables: Tables, done: Metrics) -> Iterator[Result]:
    weight, stand = done.one("system_weight"), tables.profile.stand
    if weight is None or stand is None or stand.feet is None:
        return
    found = load.foot_load_kg(weight.value, stand.feet)
    inputs = (Input("mass of the filled system", f"{weight.value:.0f} kg"),
              Input("feet of the stand", str(stand.feet)))  # fmt: skip
    yield Result("foot_load", found.value, "kg", -1, "", found.low, found.high, inputs=inputs)


FOOT_LOAD = Metric(
    "foot_load", "Load on each foot of the stand", "kg",
    "Mass of the system divided by the feet. A stiff stand of four feet or more on an uneven floor "
    "rocks on two of them: then one carries half and another nothing.",
    "Statics.",
    "load", "from a foot that hangs free to one that carries half", _foot,
)  # fmt: skip


def _stand_share(tables: Tables, done: Metrics) -> Iterator[Result]:
    weight, stand = done.one("system_weight"), tables.profile.stand
    if weight is None or stand is None or stand.rated_load is None or not stand.rated_load.value:
        return
    own = stand.mass.value / 1000 if stand.mass else 0.0
    rated = stand.rated_load.value / 1000
    ends = (weight.value, weight.low or own, weight.high or own)
    share, low, high = (100 * max(0.0, end - own) / rated for end in ends)
    inputs = (Input("mass on the stand", f"{weight.value - own:.0f} kg"),
              Input("rated load", stand.rated_load.said))  # fmt: skip
    yield Result("stand_share", share, "%", 0, "", low, high, inputs=inputs,
                 note=weight.note)  # fmt: skip


STAND_SHARE = Metric(
    "stand_share", "Share of the stand's rated load", "%",
    "Mass on the stand divided by what its maker rates it for. All vessels of the profile count as "
    "standing on it.",
    "The maker's figure, as the profile states it.", "load", "one standard deviation of the mass",
    _stand_share,
)  # fmt: skip


def front_pane(vessel: Vessel) -> glass.Pane | None:
    """Give the long pane of a rectangular glass vessel, or None where its measures are not told."""
    if vessel.shape != "rectangle" or vessel.material != "glass":
        return None
    if vessel.length is None or vessel.width is None or vessel.glass_thickness is None:
        return None
    height = vessel.height or vessel.water_height
    if height is None:
        return None
    longest = max(vessel.length.value, vessel.width.value)
    rim = vessel.rim or "rimless"
    return glass.Pane(longest, height.value, vessel.glass_thickness.value * 10, rim)


def _pane_inputs(vessel: Vessel) -> tuple[Input, ...]:
    assert vessel.glass_thickness is not None and vessel.water_height is not None
    assert vessel.length is not None and vessel.width is not None
    longest = max(vessel.length, vessel.width, key=lambda side: side.value)
    height = vessel.height.said if vessel.height else "that of the water (assumed: not told)"
    return (
        Input("length of the pane", longest.said),
        Input("height of the pane", height),
        Input("glass", vessel.glass_thickness.said),
        Input("height of the water", vessel.water_height.said),
        Input("upper edge", vessel.rim or "rimless (assumed: not told)"),
        Input("left out", "; ".join(glass.IGNORED)),
    )


def _density_kg_m3(tables: Tables) -> float:
    water = usual_water(tables)
    return density_kg_m3(water.salinity, water.temperature_c)


def _stress(tables: Tables, _done: Metrics) -> Iterator[Result]:
    density = _density_kg_m3(tables)
    for vessel in tables.profile.vessels:
        filled = _filled_pane(vessel)
        if filled is None:
            continue
        found = glass.pane_stress_range_mpa(*filled, density)
        yield Result("pane_stress", found.value, "MPa", 1, vessel.name, found.low, found.high,
                     inputs=_pane_inputs(vessel))  # fmt: skip


def _filled_pane(vessel: Vessel) -> tuple[glass.Pane, float] | None:
    """Give the front pane and the water behind it where plate theory reaches, else None.

    Very odd measures have none, nor has a pane that the water stands above or barely reaches.
    """
    try:
        pane = front_pane(vessel)
        if pane is None or vessel.water_height is None:
            return None
        glass.pane_deflection_mm(pane, vessel.water_height.value)
    except ValueError:
        return None
    return pane, vessel.water_height.value


_PLATE = (
    "Thin plates by Levy's series, Timoshenko & Woinowsky-Krieger 1959; for four held edges it "
    "agrees with Roark's Formulas, 7th ed., table 11.4."
)
PANE_STRESS = Metric(
    "pane_stress", "Bending stress in the longest pane", "MPa",
    "Thin plate under water pressure: three edges held and the top free (rimless), or four edges "
    "held (rim or braces).",
    _PLATE, "glass",
    "likely range of thickness and water height; with a rim or braces up to a top edge that they "
    "do not hold", _stress,
)  # fmt: skip


def _deflection(tables: Tables, _done: Metrics) -> Iterator[Result]:
    density = _density_kg_m3(tables)
    for vessel in tables.profile.vessels:
        if filled := _filled_pane(vessel):
            value = glass.pane_deflection_mm(*filled, density)
            note = "So far out the pane stiffens and bends less than this."
            note = note if value > filled[0].thickness_mm / 2 else ""
            yield Result("pane_deflection", value, "mm", 1, vessel.name,
                         inputs=_pane_inputs(vessel), note=note)  # fmt: skip


PANE_DEFLECTION = Metric(
    "pane_deflection", "Bend of the longest pane", "mm",
    "Greatest outward bend of that pane, by the same plate.",
    _PLATE,
    "glass", "", _deflection,
)  # fmt: skip
