"""What the filled system weighs, how it presses on stand and floor, how its front pane bends."""

from __future__ import annotations

from collections.abc import Iterator

from journal_tools.metrics.gear import combined, usual_water
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.volume import relative_volume_error
from journal_tools.science import geometry, glass, load
from journal_tools.science.estimate import Estimate
from journal_tools.science.seawater import density_kg_m3
from journal_tools.system import Rock, Sand, Vessel, vessel_in_role
from journal_tools.tables import Tables

_SAND_BED_KG_L = geometry.ARAGONITE_KG_L * 0.55
_ROCK_KG_L = 1.95
_GLASS_ERROR, _STATED_ERROR = 0.1, 0.05


def _around(value: float, share: float) -> Estimate:
    return Estimate(value, value * (1 - share), value * (1 + share))


def _glass_mass(vessel: Vessel) -> Estimate | None:
    measures = (vessel.length, vessel.width, vessel.glass_thickness)
    height = vessel.height or vessel.water_height
    if vessel.shape != "rectangle" or vessel.material != "glass" or height is None:
        return None
    if any(measure is None for measure in measures):
        return None
    length, width, thickness = (measure.value for measure in measures if measure is not None)
    mass = load.glass_tank_mass_kg(length, width, height.value, thickness * 10)
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


def weights(tables: Tables, done: Metrics) -> dict[str, Estimate]:
    """Give the mass in kg of every part of the filled system that the profile tells of."""
    profile, net = tables.profile, done.one("net_volume")
    parts: dict[str, Estimate] = {}
    if net is not None:
        water = usual_water(tables)
        mass = load.water_mass_kg(net.value, water.salinity, water.temperature_c)
        parts["water"] = _around(mass, relative_volume_error(net))
    for vessel in profile.vessels:
        if (mass_of := _glass_mass(vessel)) is not None:
            parts[f"glass of {vessel.name}"] = mass_of
    solids: list[Rock | Sand] = [*profile.fill.rock, *profile.fill.sand]
    for piece in solids:
        parts[piece.name] = _solid_mass(piece)
    if profile.stand is not None and profile.stand.mass is not None:
        parts["stand"] = _around(profile.stand.mass.value / 1000, _STATED_ERROR)
    return parts


def _weight(tables: Tables, done: Metrics) -> Iterator[Result]:
    parts = weights(tables, done)
    if "water" not in parts:
        return
    inputs = tuple(Input(name, f"{part.value:.0f} kg") for name, part in parts.items())
    total = combined(list(parts.values()))
    missing = [v.name for v in tables.profile.vessels if f"glass of {v.name}" not in parts]
    left_out = [f"the glass of {name}" for name in missing]
    left_out += [] if "stand" in parts else ["the stand"]
    note = f"Without {', '.join(left_out)}: not told. " if left_out else ""
    yield Result("system_weight", total.value, "kg", -1, "", total.low, total.high, inputs=inputs,
                 note=note + "Equipment and people leaning on it come on top.")  # fmt: skip


SYSTEM_WEIGHT = Metric(
    "system_weight", "Mass of the filled system", "kg",
    "Net water by its density, glass by its panes at 2.5 kg/L, rock, sand and stand as stated "
    "(rock of known displacement at 1.95 kg/L, a sand bed at 1.6 kg/L).",
    "Seawater density by EOS-80 (Millero & Poisson 1981); density of float glass EN 572-1; rock "
    "and sand: common practice, no source.",
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
    "Mass of the system divided by the feet; a stand that rocks puts it on fewer.",
    "Statics. The range, from an even share to what an uneven floor makes: common practice, no "
    "source.",
    "load", "even share to uneven floor", _foot,
)  # fmt: skip


def _stand_share(tables: Tables, done: Metrics) -> Iterator[Result]:
    weight, stand = done.one("system_weight"), tables.profile.stand
    if weight is None or stand is None or stand.rated_load is None or not stand.rated_load.value:
        return
    own = stand.mass.value / 1000 if stand.mass else 0.0
    rated = stand.rated_load.value / 1000
    share = 100 * (weight.value - own) / rated
    inputs = (Input("mass on the stand", f"{weight.value - own:.0f} kg"),
              Input("rated load", stand.rated_load.said))  # fmt: skip
    yield Result("stand_share", share, "%", 0, inputs=inputs)


STAND_SHARE = Metric(
    "stand_share", "Share of the stand's rated load", "%",
    "Mass on the stand divided by what its maker rates it for.",
    "The maker's figure, as the profile states it.", "load", "", _stand_share,
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
    return (
        Input("glass", vessel.glass_thickness.said),
        Input("height of the water", vessel.water_height.said),
        Input("upper edge", vessel.rim or "rimless (assumed: not told)"),
        Input("left out", "; ".join(glass.IGNORED)),
    )


def _stress(tables: Tables, _done: Metrics) -> Iterator[Result]:
    density = density_kg_m3(usual_water(tables).salinity, usual_water(tables).temperature_c)
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


PANE_STRESS = Metric(
    "pane_stress", "Bending stress in the longest pane", "MPa",
    "Thin plate under water pressure: three edges held and the top free (rimless), or four edges "
    "held (rim or braces).",
    "Timoshenko & Woinowsky-Krieger 1959; Roark's Formulas, 7th ed., table 11.4.",
    "glass", "likely range of thickness and water height", _stress,
)  # fmt: skip


def _deflection(tables: Tables, _done: Metrics) -> Iterator[Result]:
    density = density_kg_m3(usual_water(tables).salinity, usual_water(tables).temperature_c)
    for vessel in tables.profile.vessels:
        if filled := _filled_pane(vessel):
            value = glass.pane_deflection_mm(*filled, density)
            yield Result("pane_deflection", value, "mm", 1, vessel.name,
                         inputs=_pane_inputs(vessel))  # fmt: skip


PANE_DEFLECTION = Metric(
    "pane_deflection", "Bend of the longest pane", "mm",
    "Greatest outward bend of that pane, by the same plate.",
    "Timoshenko & Woinowsky-Krieger 1959; Roark's Formulas, 7th ed., table 11.4.",
    "glass", "", _deflection,
)  # fmt: skip
