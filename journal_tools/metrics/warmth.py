"""Where the heat goes, what heater or cooler the room asks for, and how fast a power cut cools."""

from __future__ import annotations

import math
from collections.abc import Iterator

from journal_tools.metrics.gear import Water, in_service, in_use, usual_water
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.volume import surface_cm2
from journal_tools.science.warmth import heat, heat_sizing, temperature_drift
from journal_tools.science.warmth.moist_air import RoomAir
from journal_tools.system import Vessel
from journal_tools.tables import Tables

HEAT_SHARE = {
    "return pump": 1.0, "circulation pump": 1.0, "skimmer": 1.0, "steriliser": 0.9, "light": 0.2,
    "filter": 1.0, "reactor": 1.0,
}  # fmt: skip
"""Share of a piece's power that ends in the water. Common practice, no source: a pump under water
gives all of it, a lamp above only what it shines in."""

_USUAL_HUMIDITY = 50.0
_USUAL_MM = 10.0
_FALLS_K = (1.0, 3.0)
_LEAST_W = 1.0


def warm_tank(tables: Tables, water: Water) -> heat.WarmTank | None:
    """Give what the vessels show to the room, or None where no measures are told."""
    panes: list[heat.Pane] = []
    surface_m2 = 0.0
    for vessel in tables.profile.vessels:
        surface = surface_cm2(vessel)
        if not surface or vessel.water_height is None:
            continue
        surface_m2 += surface / 1e4
        panes.append(_walls(vessel, surface))
    return heat.WarmTank(panes, surface_m2, water.salinity) if panes else None


def _walls(vessel: Vessel, surface: float) -> heat.Pane:
    """Give the walls as one pane: perimeter times height of the water."""
    assert vessel.water_height is not None
    area_m2 = _perimeter_cm(vessel, surface) * vessel.water_height.value / 1e4
    thickness = vessel.glass_thickness.value * 10 if vessel.glass_thickness else _USUAL_MM
    return heat.Pane(area_m2, thickness, vessel.material)


def _perimeter_cm(vessel: Vessel, surface_cm2: float) -> float:
    """Give the length of the walls by the plane geometry of the vessel's shape."""
    if vessel.sides and vessel.side_length:
        return vessel.sides * vessel.side_length.value
    if vessel.length is None or vessel.width is None:
        return 2 * math.sqrt(math.pi * surface_cm2)
    length, width = vessel.length.value, vessel.width.value
    bow = vessel.bow.value if vessel.shape == "bow_front" and vessel.bow else 0.0
    # An arc is longer than its chord by its half angle over the sine of that.
    angle = 2 * math.atan2(2 * bow, length)
    return 2 * width + length + length * (angle / math.sin(angle) if angle else 1.0)


def _left_out(tables: Tables) -> str:
    """Name the vessels of which only litres are told: their heat is not in the figure."""
    names = [vessel.name for vessel in tables.profile.vessels if not surface_cm2(vessel)]
    return f"Without {', '.join(names)}: no measures are told." if names else ""


def room_air(tables: Tables, which: str) -> tuple[RoomAir, tuple[Input, ...]] | None:
    """Give the room at its ``coldest`` or ``warmest``, or None where the profile does not say."""
    room = tables.profile.room
    stated = getattr(room, which)
    if stated is None:
        return None
    humidity = room.humidity.value if room.humidity else _USUAL_HUMIDITY
    told = room.humidity.said if room.humidity else f"{_USUAL_HUMIDITY:.0f} % (assumed: not told)"
    return RoomAir(stated.value, humidity), (
        Input(f"room at its {which}", stated.said), Input("humidity of the room", told),
    )  # fmt: skip


def heat_gains_w(tables: Tables, *, by_day: bool) -> tuple[float, tuple[Input, ...]]:
    """Give the heat in W that equipment brings into the water.

    By day that is all of it, for a cooler; by night only what is never switched off, for a heater.
    """
    total, inputs = 0.0, []
    for piece in in_use(tables, *HEAT_SHARE):
        at_night = piece.kind != "light" and piece.hours_per_day == 24
        if piece.power is None or not (by_day or at_night):
            continue
        watts = piece.power.value * HEAT_SHARE[piece.kind]
        total += watts
        inputs.append(Input(f"heat of {piece.name}", f"{watts:.0f} W"))
    return total, tuple(inputs)


def _losses(tables: Tables, _done: Metrics) -> Iterator[Result]:
    water = usual_water(tables)
    tank = warm_tank(tables, water)
    for which in ("coldest", "warmest"):
        room = room_air(tables, which)
        if tank is None or room is None:
            continue
        balance = heat.heat_balance(tank, water.temperature_c, room[0])
        loss = balance.loss_w
        inputs = (
            *water.inputs, *room[1],
            Input("through the walls", f"{balance.glass_w:.0f} W"),
            Input("from the surface", f"{balance.surface_w:.0f} W"),
            Input("by evaporation", f"{balance.evaporation_w.value:.0f} W"),
        )  # fmt: skip
        yield Result("heat_loss", loss.value, "W", -1, f"{which} room", loss.low, loss.high,
                     inputs=inputs, note=_left_out(tables))  # fmt: skip


HEAT_LOSS = Metric(
    "heat_loss", "Heat that the system loses to the room", "W",
    "Walls by their thickness and the films of still air and water, the open surface, and the heat "
    "that evaporation takes (by formula, good to 40 %). Below zero the room warms the water.",
    "ISO 6946 film resistances; evaporation by Carrier 1918 / ASHRAE with the quiet-pool ratio of "
    "Smith, Löf & Jones 1998; latent heat by IAPWS-95.",
    "mains", "likely range", _losses,
)  # fmt: skip


def _heater(tables: Tables, _done: Metrics) -> Iterator[Result]:
    water, room = usual_water(tables), room_air(tables, "coldest")
    tank = warm_tank(tables, water)
    if tank is None or room is None:
        return
    gains, from_gear = heat_gains_w(tables, by_day=False)
    found = heat_sizing.heater_power_w(
        tank, water.temperature_c, [room[0]], gains, heat_sizing.USUAL_MARGIN
    )
    fitted = ", ".join(
        f"{piece.name} {piece.power.said}" for piece in in_use(tables, "heater") if piece.power
    )
    inputs = (*water.inputs, *room[1], *from_gear, Input("heaters fitted", fitted or "none told"))
    yield Result("heater_needed", found.value, "W", -1, "", found.low, found.high,
                 inputs=inputs, note=_left_out(tables))  # fmt: skip


HEATER_NEEDED = Metric(
    "heater_needed", "Heater power for the coldest room", "W",
    "Heat lost in the coldest room at night, less what pumps bring in that never stop, times a "
    "margin of 1.25 to 1.5.",
    "Heat balance as for the heat loss; the margin is common practice, no source, and so is the "
    "rule of one watt a litre.",
    "mains", "likely range with margins of 1.25 to 1.5", _heater,
)  # fmt: skip


def _cooler(tables: Tables, _done: Metrics) -> Iterator[Result]:
    water, room = _cooled_water(tables), room_air(tables, "warmest")
    tank = warm_tank(tables, water)
    if tank is None or room is None:
        return
    gains, from_gear = heat_gains_w(tables, by_day=True)
    found = heat_sizing.chiller_power_w(tank, water.temperature_c, [room[0]], gains)
    inputs = (*water.inputs, *room[1], *from_gear)
    yield Result("cooling_needed", found.value, "W", -1, "", found.low, found.high,
                 inputs=inputs, note=_left_out(tables))  # fmt: skip


def _cooled_water(tables: Tables) -> Water:
    """Give the usual water, at the set point of a chiller or fan where one is told."""
    water = usual_water(tables)
    for piece in in_use(tables, "chiller", "fan"):
        if (point := piece.set_point) is not None:
            source = Input(f"set point of {piece.name}", point.said)
            return Water(point.value, water.salinity, (source, *water.inputs[1:]))
    return water


COOLING_NEEDED = Metric(
    "cooling_needed", "Cooling for the warmest room", "W",
    "Heat of pumps and lamps and what the warmest room brings in, less evaporation. A fan cools by "
    "more evaporation, a chiller by its cooling power.",
    "Heat balance as for the heat loss; the share of a lamp's power that reaches the water (20 %) "
    "is common practice, no source.",
    "mains", "likely range", _cooler,
)  # fmt: skip


def _drift(tables: Tables, done: Metrics) -> Iterator[Result]:
    water, room, net = usual_water(tables), room_air(tables, "coldest"), done.one("net_volume")
    tank = warm_tank(tables, water)
    if tank is None or room is None or net is None:
        return
    capacity = temperature_drift.heat_capacity_kj_k(net.value, water.salinity, water.temperature_c)
    for fall in _FALLS_K:
        hours = temperature_drift.hours_to_reach(
            tank, capacity, water.temperature_c, water.temperature_c - fall, room[0]
        )
        if hours < 1000:
            inputs = (*water.inputs, *room[1], Input("net volume", f"{net.value:.0f} L"))
            yield Result("hours_to_cool", hours, "h", 1, f"by {fall:.0f} °C", hours * 0.7,
                         hours * 1.5, inputs=inputs)  # fmt: skip


HOURS_TO_COOL = Metric(
    "hours_to_cool", "Time to cool in a power cut", "h",
    "Heat stored in the water against the loss to the coldest room, which falls as it cools. Rock, "
    "glass and a closed stand slow it; an air pump on a battery hastens it a little.",
    "Heat balance as for the heat loss, Newton's law of cooling; specific heat of seawater by "
    "TEOS-10 (IOC, SCOR, IAPSO 2010). The range: common practice, no source.",
    "mains", "0.7 to 1.5 times", _drift,
)  # fmt: skip


def _without_one(tables: Tables, done: Metrics) -> Iterator[Result]:
    needed = done.one("heater_needed")
    heaters = [piece for piece in in_service(tables, "heater") if piece.power is not None]
    without_margin = needed.value / heat_sizing.USUAL_MARGIN if needed else 0.0
    if without_margin < _LEAST_W or len(heaters) < 2:
        return
    powers = [piece.power.value for piece in heaters if piece.power is not None]
    shares = heat_sizing.share_without_each_heater(powers, without_margin)
    for piece, share in zip(heaters, shares, strict=True):
        inputs = (
            Input("heat needed in the coldest room", f"{without_margin:.0f} W"),
            *(Input(h.name, h.power.said) for h in heaters if h.power and h is not piece),
        )
        yield Result("heat_without", 100 * share, "%", 0, piece.name, inputs=inputs)


HEAT_WITHOUT = Metric(
    "heat_without", "Heat that is left when one heater fails", "%",
    "Power of the other heaters divided by what the coldest room asks for, without margin.",
    "Heat balance as for the heat loss.", "mains", "", _without_one,
)  # fmt: skip
