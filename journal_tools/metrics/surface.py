"""The water surface: where gas is exchanged and what the overflow skims."""

from __future__ import annotations

from collections.abc import Iterator

from journal_tools.metrics.gear import in_use, planned_note
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.volume import relative_volume_error, surface_cm2
from journal_tools.science.flow.turnover import turnovers_per_hour, weir_head_mm
from journal_tools.system import vessel_in_role
from journal_tools.tables import Tables


def _area(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for vessel in tables.profile.vessels:
        if area := surface_cm2(vessel):
            yield Result("water_surface", area / 1e4, "m²", 2, vessel.name,
                         inputs=(Input("shape", vessel.shape.replace("_", " ")),))  # fmt: skip


WATER_SURFACE = Metric(
    "water_surface", "Water surface", "m²",
    "Area of the water line by the vessel's shape. Oxygen and carbon dioxide pass here, the more "
    "the more it is moved.",
    "Plane geometry.", "none", "", _area,
)  # fmt: skip


def _weir(tables: Tables, done: Metrics) -> Iterator[Result]:
    display = vessel_in_role(tables.profile.vessels, "display")
    flow = done.one("return_flow")
    if display is None or display.weir is None or flow is None or flow.value <= 0:
        return
    if flow.low is None or flow.high is None:
        return
    value, low, high = (
        weir_head_mm(litres, display.weir.value) for litres in (flow.value, flow.low, flow.high)
    )
    inputs = (Input("real flow of the return pump", f"{flow.value:.0f} L/h"),
              Input("edge of the overflow", display.weir.said))  # fmt: skip
    yield Result("weir_height", value, "mm", 0, display.name, low, high, inputs=inputs,
                 note=flow.note)  # fmt: skip


WEIR_HEIGHT = Metric(
    "weir_height", "Water over the edge of the overflow", "mm",
    "Francis formula for a sharp edge: the thinner the sheet, the better it draws the film off the "
    "surface. Teeth make the edge shorter than it looks.",
    "Francis formula (1883) as in hydraulics handbooks.", "none", "by the range of the flow",
    _weir,
)  # fmt: skip


def _circulation(tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    pumps = [p for p in in_use(tables, "circulation pump") if p.rated_flow is not None]
    if net is None or not pumps:
        return
    total = sum(pump.rated_flow.value for pump in pumps if pump.rated_flow)
    value = turnovers_per_hour(total, net.value)
    error = value * relative_volume_error(net)
    inputs = (*(Input(pump.name, pump.rated_flow.said) for pump in pumps if pump.rated_flow),
              Input("net volume", f"{net.value:.0f} L"))  # fmt: skip
    yield Result("circulation", value, "1/h", 0, "", value - error, value + error, inputs=inputs,
                 note=planned_note(tables, pumps[0]))  # fmt: skip


CIRCULATION = Metric(
    "circulation", "Circulation in the tank", "1/h",
    "Rated flow of all circulation pumps divided by net volume. It tells nothing of dead corners: "
    "watch where food and dirt settle.",
    "Definition. 20 to 50 times an hour is common practice, no source.", "mains",
    "one standard deviation of the volume", _circulation,
)  # fmt: skip
