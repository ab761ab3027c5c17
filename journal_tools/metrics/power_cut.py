"""What runs down when the pumps stop, and whether the sump has room for it."""

from __future__ import annotations

from collections.abc import Iterator

from journal_tools.metrics.gear import in_use
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.volume import surface_cm2
from journal_tools.science.estimate import Estimate
from journal_tools.science.flow import siphon
from journal_tools.system import vessel_in_role
from journal_tools.tables import Tables


def _pipes(tables: Tables) -> list[Estimate]:
    """Give the content of each return line: it empties into the sump, too."""
    contents = []
    for pump in in_use(tables, "return pump"):
        for pipe in pump.plumbing.pipes if pump.plumbing else ():
            litres = siphon.pipe_content_l(pipe.bore.value * 10, pipe.length.value / 100)
            contents.append(Estimate(litres, litres * 0.9, litres * 1.1))
    return contents


def _overflow(tables: Tables) -> tuple[siphon.Overflow, tuple[Input, ...]] | None:
    vessels = tables.profile.vessels
    display, sump = (vessel_in_role(vessels, role) for role in ("display", "sump"))
    if display is None or sump is None or display.drains_down is None:
        return None
    if sump.height is None or sump.water_height is None:
        return None
    room_cm = sump.height.value - sump.water_height.value
    surfaces = [surface_cm2(vessel) for vessel in (display, sump)]
    if room_cm <= 0 or not all(surfaces):
        return None
    draining = siphon.Layer(surfaces[0], display.drains_down.value)
    pipes = _pipes(tables)
    found = siphon.power_cut([draining], siphon.Layer(surfaces[1], room_cm), pipes)
    inputs = (
        Input("display drains down by", display.drains_down.said),
        Input("surface of the display", f"{surfaces[0] / 1e4:.2f} m²"),
        Input("in the return line", f"{sum(pipe.value for pipe in pipes):.1f} L"),
        Input("free height of the sump above its water", f"{room_cm:.1f} cm"),
        Input("surface of the sump", f"{surfaces[1] / 1e4:.2f} m²"),
    )
    return found, inputs


def _result(name: str, found: Estimate, inputs: tuple[Input, ...], note: str = "") -> Result:
    return Result(name, found.value, "L", 0, "", found.low, found.high, inputs=inputs, note=note)


def _arrives(tables: Tables, _done: Metrics) -> Iterator[Result]:
    if found := _overflow(tables):
        yield _result("back_siphon", found[0].arrives_l, found[1])


def _margin(tables: Tables, _done: Metrics) -> Iterator[Result]:
    if found := _overflow(tables):
        note = "By this range it may overflow onto the floor." if found[0].may_overflow else ""
        yield _result("sump_margin", found[0].margin_l, found[1], note)


BACK_SIPHON = Metric(
    "back_siphon", "Water that runs down in a power cut", "L",
    "Surface of the display times how far it drains, plus the content of the return line. What "
    "stands in an overflow box, a skimmer or a reactor comes on top.",
    "Geometry; errors of the measures added as squares.",
    "mains", "one standard deviation", _arrives,
)  # fmt: skip
SUMP_MARGIN = Metric(
    "sump_margin", "Room left in the sump after that", "L",
    "Free height of the sump times its surface, less what runs down. Below zero it overflows. "
    "Walls and equipment in the sump take some of that room: try it out by pulling the pump's plug "
    "while you watch.",
    "Geometry; errors of the measures added as squares.",
    "mains", "one standard deviation", _margin,
)  # fmt: skip
