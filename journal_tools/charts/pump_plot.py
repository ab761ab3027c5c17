"""The plot of a pump: flow across, head upwards, and what is drawn in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from journal_tools.charts.placing import Area
from journal_tools.charts.said import figure, some_decimals
from journal_tools.charts.scale import ValueScale
from journal_tools.charts.sheet import Spot

Operating = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Plot:
    """The plot with its two scales.

    Attributes:
        area: Its place on the sheet in px.
        flow: Scale of flow, in the shown unit.
        head: Scale of head, in the shown unit.
    """

    area: Area
    flow: ValueScale
    head: ValueScale

    def at(self, flow: float, head: float) -> Spot:
        """Give the px of a flow and head."""
        area = self.area
        x = (flow - self.flow.low) / (self.flow.high - self.flow.low)
        y = (head - self.head.low) / (self.head.high - self.head.low)
        return (
            area.left + x * (area.right - area.left),
            area.bottom - y * (area.bottom - area.top),
        )


@dataclass(frozen=True, slots=True)
class Duty:
    """Everything that is drawn, in shown units.

    Attributes:
        given: Points that the keeper gave for the pump.
        pump: Course of the pump's curve.
        system: Course of what the plumbing asks.
        meet: Flow, head, least and greatest likely flow; None where the curves do not meet.
        flow_unit: Unit of flow.
        length_unit: Unit of head.
    """

    given: list[Spot]
    pump: list[Spot]
    system: list[Spot]
    meet: Operating | None
    flow_unit: str
    length_unit: str

    @property
    def flow_decimals(self) -> int:
        """Give the decimals of flows."""
        return some_decimals(max((abs(x) for x, _ in (*self.given, *self.pump)), default=100.0))

    def flow(self, value: float) -> str:
        """Give a flow in words."""
        return figure(value, self.flow_decimals, self.flow_unit)

    def head(self, value: float) -> str:
        """Give a head in words."""
        return figure(value, 2, self.length_unit)


def inside(plot: Plot, line: Sequence[Spot]) -> list[Spot]:
    """Give the part of a line that lies in the plot, in px.

    Args:
        plot: The plot.
        line: Flow and head in shown units, by flow.

    Returns:
        Places; where the line leaves through top or right it ends at the edge.
    """
    path: list[Spot] = []
    for before, (flow, head) in zip([None, *line], line, strict=False):
        over = max(
            _share(before[1] if before else head, head, plot.head.high),
            _share(before[0] if before else flow, flow, plot.flow.high),
        )
        if over > 0:
            if before is not None and over < 1:
                part = 1 - over
                edge = (
                    before[0] + (flow - before[0]) * part,
                    before[1] + (head - before[1]) * part,
                )
                path.append(plot.at(*edge))
            return path
        path.append(plot.at(flow, max(head, plot.head.low)))
    return path


def _share(before: float, value: float, most: float) -> float:
    """Give which part of the way between two values lies beyond the greatest, 0 if none."""
    if value <= most:
        return 0.0
    return 1.0 if value == before else min(1.0, (value - most) / (value - before))
