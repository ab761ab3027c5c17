"""The curve of a pump against its plumbing, and the flow at which the two meet."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import altair as alt
import numpy as np
import pandas as pd

from journal_tools.charts.frame import unchecked
from journal_tools.charts.placing import Area, Ground, sampled
from journal_tools.charts.pump_plot import Duty, Operating, Plot, inside
from journal_tools.charts.said import drawable, interval
from journal_tools.charts.scale import value_scale
from journal_tools.charts.sheet import (
    Path,
    Spot,
    Word,
    dotted,
    filled,
    fitted,
    ringed,
    sheet,
    sheet_width,
    stroked,
    word_px,
    written,
)
from journal_tools.charts.theme import FONT_PX, SMALL_PX, TITLE_PX, WIDE, Shape
from journal_tools.words import number_text

_TITLE = "Pump and plumbing"
_TOP_PX = 28
_LEFT_PX = 44
_AXIS_PX = 38
_LINE_PX = 15
_RING = 30
_LEADER_PX = 14
_CROSSING_PX = 50


def pump_chart(  # noqa: PLR0913
    points: Sequence[tuple[float, float]],
    pump_line: pd.DataFrame,
    system_line: pd.DataFrame,
    operating: Operating | None,
    *,
    flow_unit: str = "L/h",
    flow_factor: float = 1.0,
    length_unit: str = "m",
    length_factor: float = 1.0,
    shape: Shape = WIDE,
) -> alt.LayerChart:
    """Give the curve of a pump, what its plumbing asks, and where the two meet.

    Args:
        points: Flow in L/h and head in m of the points given for the pump.
        pump_line: Columns flow (L/h), head (m): the course of the pump's curve.
        system_line: Columns flow (L/h), head (m): the head that the plumbing asks.
        operating: Flow, head, least and greatest likely flow; None where the curves do not meet.
        flow_unit: Unit of the flow axis.
        flow_factor: Shown flow of one L/h, over 0.
        length_unit: Unit of the head axis.
        length_factor: Shown length of one metre, over 0.
        shape: Proportions.

    Returns:
        The chart; its description is the text alternative.
    """
    factors = (flow_factor, length_factor)
    duty = Duty(
        _scaled(points, factors),
        sorted(_scaled(_pairs(pump_line), factors)),
        sorted(_scaled(_pairs(system_line), factors)),
        _operating(operating, factors),
        flow_unit,
        length_unit,
    )
    plot = _plot(duty, shape)
    with unchecked():
        layers = [
            *_axis_layers(plot, duty, shape),
            *(_curve_layers(plot, duty) if duty.pump or duty.system else _note(plot)),
            *_label_layers(plot, duty, shape),
        ]
        return sheet(
            layers,
            shape,
            plot.area.bottom + _AXIS_PX,
            name="pump",
            title=_TITLE,
            description=_described(duty),
        )


def _pairs(line: pd.DataFrame) -> list[tuple[float, float]]:
    """Give the places of a line."""
    return list(zip(line["flow"], line["head"], strict=True))


def _scaled(pairs: Sequence[tuple[float, float]], factors: Spot) -> list[Spot]:
    """Give the pairs that are numbers, in shown units."""
    return [
        (float(flow) * factors[0], float(head) * factors[1])
        for flow, head in pairs
        if drawable(flow) and drawable(head)
    ]


def _operating(operating: Operating | None, factors: Spot) -> Operating | None:
    """Give the operating point in shown units, with a range in order that holds the flow."""
    if operating is None or not all(drawable(value) for value in operating[:2]):
        return None
    flow, head, *ends = (float(value) for value in operating)
    low, high = (end if drawable(end) else flow for end in ends)
    low, high = min(low, high, flow), max(low, high, flow)
    return flow * factors[0], head * factors[1], low * factors[0], high * factors[0]


def _plot(duty: Duty, shape: Shape) -> Plot:
    """Give the plot: as far as the pump reaches, since the plumbing could ask without end."""
    pump = [*duty.given, *duty.pump, *([] if duty.meet is None else [duty.meet[:2]])]
    reach = pump or duty.system or [(1.0, 1.0)]
    flow = value_scale([], [0.0, *(x for x, _ in reach)], duty.flow_decimals)
    heads = [y for _, y in reach]
    head = value_scale([], [0.0, *heads, *(y for _, y in duty.system[:1])], 2)
    bottom = _TOP_PX + shape.plot_height + 34
    return Plot(Area(_LEFT_PX, _TOP_PX, sheet_width(shape) - 4, bottom), flow, head)


def _axis_layers(plot: Plot, duty: Duty, shape: Shape) -> list[alt.Chart]:
    """Give title, grid, labels and the names of both axes."""
    area = plot.area
    words = [
        Word(0, 8, fitted(_TITLE, area.right, TITLE_PX, bold=True), size_px=TITLE_PX, bold=True),
        Word(area.right, area.bottom + 30, fitted(f"flow, {duty.flow_unit}", 160), "muted",
             SMALL_PX, "right"),
        Word(area.left + 5, area.top, fitted(f"head, {duty.length_unit}", 160), "muted", SMALL_PX),
    ]  # fmt: skip
    grid: list[Path] = []
    for tick in plot.head.ticks:
        y = plot.at(plot.flow.low, tick)[1]
        grid.append([(area.left, y), (area.right, y)])
        says = fitted(number_text(tick, plot.head.decimals), _LEFT_PX - 6)
        words.append(Word(area.left - 6, y, says, "muted", align="right"))
    foot: list[Path] = [[(area.left, area.bottom), (area.right, area.bottom)]]
    step = 1 if shape.width >= WIDE.width or len(plot.flow.ticks) < 6 else 2
    for tick in plot.flow.ticks[::step]:
        x = plot.at(tick, 0)[0]
        foot.append([(x, area.bottom), (x, area.bottom + 4)])
        says = number_text(tick, plot.flow.decimals)
        x = min(x, area.right - word_px(says) / 2 + 4)
        words.append(Word(x, area.bottom + 13, says, "muted", align="center"))
    return [
        *stroked("grid", grid, "hairline"),
        *stroked("foot", foot, "muted", 0.8),
        *written("axes", words),
    ]


def _curve_layers(plot: Plot, duty: Duty) -> list[alt.Chart]:
    """Give both curves, the points that were given, and the likely flows."""
    meet = duty.meet
    drop: list[Path] = []
    ranges: list[Path] = []
    if meet is not None:
        flow, head, low, high = meet
        x, y = plot.at(flow, head)
        drop = [[(x, y), (x, plot.area.bottom)], [(x, y), (plot.area.left, y)]]
        ranges = [_under(plot, duty, low, high)] if high > low else []
    return [
        *filled("likely", ranges, "kelp", opacity=0.22),
        *stroked("drop", drop, "muted", 0.8, dash=[1, 3]),
        *stroked("system", [inside(plot, duty.system)], "ink", 1.3, dash=[6, 3]),
        *stroked("pump", [inside(plot, duty.pump)], "kelp", 1.8),
        *ringed("given", [plot.at(*spot) for spot in duty.given], "kelp", size=_RING),
        *dotted("meet", [plot.at(*meet[:2])] if meet else [], "ink", 8),
    ]


def _under(plot: Plot, duty: Duty, low: float, high: float) -> Path:
    """Give the area of the likely flows, from the foot up to the pump's curve."""
    flow, head, *_ = duty.meet or (0.0, 0.0)
    line = duty.pump or [(flow, head)]
    between = [(x, y) for x, y in line if low < x < high]
    ends = [(low, _height(line, low)), *between, (high, _height(line, high))]
    top = [plot.at(min(x, plot.flow.high), min(y, plot.head.high)) for x, y in ends]
    return [(top[0][0], plot.area.bottom), *top, (top[-1][0], plot.area.bottom)]


def _height(line: Sequence[Spot], flow: float) -> float:
    """Give the head of a line at a flow, level beyond its ends."""
    if flow <= line[0][0]:
        return line[0][1]
    for (x1, y1), (x2, y2) in pairwise(line):
        if x1 <= flow <= x2:
            return y1 if x2 == x1 else y1 + (y2 - y1) * (flow - x1) / (x2 - x1)
    return line[-1][1]


def _label_layers(plot: Plot, duty: Duty, shape: Shape) -> list[alt.Chart]:
    """Give what each part is, written as near to it as there is room."""
    ground = _ground(plot, duty)
    words: list[Word] = []
    leaders: list[Path] = []
    for anchors, says in _labels(plot, duty, short=shape.width < WIDE.width):
        lines = [fitted(line, plot.area.right - plot.area.left - 20) for line in says]
        found = ground.place(anchors, max(map(word_px, lines)), _LINE_PX * len(lines))
        anchor = min(anchors, key=found.gap)
        for number, line in enumerate(lines):
            y = found.top + _LINE_PX * (number + 0.5)
            words.append(Word(found.left, y, line, "muted" if number else "ink", FONT_PX))
        if found.gap(anchor) > _LEADER_PX:
            leader = _leader(anchor, found.nearest(anchor))
            leaders.append(leader)
            ground.draw(leader)
    return [*stroked("leaders", leaders, "muted", 0.8), *written("labels", words)]


def _ground(plot: Plot, duty: Duty) -> Ground:
    """Give the plot with everything that no label may cover."""
    area = plot.area
    ground = Ground(area)
    for line in (duty.pump, duty.system):
        ground.draw(inside(plot, line))
    for tick in plot.head.ticks:
        y = plot.at(plot.flow.low, tick)[1]
        ground.faint += sampled([(area.left, y), (area.right, y)])
    for x, y in (plot.at(*spot) for spot in duty.given):
        ground.dots += [(x - 3, y - 3), (x - 3, y + 3), (x + 3, y - 3), (x + 3, y + 3)]
    if duty.meet is not None:
        x, y = plot.at(*duty.meet[:2])
        ground.draw([(x, area.bottom), (x, y), (area.left, y)])
        ground.draw(_under(plot, duty, *duty.meet[2:]))
    # The name of the head axis stands in the upper left corner.
    ground.draw([(area.left, area.top), (area.left + 70, area.top)])
    return ground


def _labels(plot: Plot, duty: Duty, *, short: bool) -> list[tuple[list[Spot], list[str]]]:
    """Give the labels, the most telling first, each with the places that it may stand at."""
    meet = None if duty.meet is None else plot.at(*duty.meet[:2])
    found = []
    if meet is not None:
        found.append(([meet], _meet_words(duty, short=short)))
    for line, says in ((duty.pump, "what the pump gives"), (duty.system, "what the plumbing asks")):
        spots = sampled(inside(plot, line))
        # Where the lines cross a label could mean either.
        clear = [s for s in spots if meet is None or abs(s[0] - meet[0]) > _CROSSING_PX]
        if spots:
            found.append((clear or spots, [says.split(" ")[-2] if short else says]))
    # The last one as a rule stands at the foot, the first beside the name of the axis.
    rings = [plot.at(*spot) for spot in sorted(duty.given)]
    if rings:
        found.append((rings[1:-1] or rings, ["given" if short else "given for the pump"]))
    return found


def _leader(anchor: Spot, end: Spot) -> Path:
    """Give the line from a label to what it names, which it does not quite touch."""
    share = 7 / max(7.0, float(np.hypot(end[0] - anchor[0], end[1] - anchor[1])))
    start = tuple(a + (e - a) * share for a, e in zip(anchor, end, strict=True))
    return [(start[0], start[1]), end]


def _meet_words(duty: Duty, *, short: bool) -> list[str]:
    """Give the operating point, in short lines where room is short."""
    flow, head, low, high = duty.meet or (0.0, 0.0, 0.0, 0.0)
    flow_said, head_said = duty.flow(flow), f"at {duty.head(head)}"
    lines = [flow_said, head_said] if short else [f"{flow_said} {head_said}"]
    if high > low:
        lines.append(f"likely {interval(low, high, duty.flow_decimals)}")
    return lines


def _note(plot: Plot) -> list[alt.Chart]:
    """Give words in place of curves."""
    area = plot.area
    x, y = (area.left + area.right) / 2, (area.top + area.bottom) / 2
    return written("note", [Word(x, y, "no curve known yet", "muted", align="center")])


def _described(duty: Duty) -> str:
    """Give the text alternative."""
    if not duty.pump and not duty.system:
        return f"{_TITLE}: no curve known yet."
    parts = []
    if duty.pump:
        first, last = duty.pump[0], duty.pump[-1]
        parts.append(
            f"the pump gives {duty.flow(first[0])} at a head of {duty.head(first[1])} and "
            f"{duty.flow(last[0])} at {duty.head(last[1])}"
        )
    if duty.system:
        first, last = duty.system[0], duty.system[-1]
        parts.append(
            f"the plumbing asks {duty.head(first[1])} at {duty.flow(first[0])} and "
            f"{duty.head(last[1])} at {duty.flow(last[0])}"
        )
    if duty.given:
        given = ", ".join(f"{duty.flow(x)} at {duty.head(y)}" for x, y in sorted(duty.given)[:8])
        parts.append(f"given for the pump: {given}")
    return f"{_TITLE}: {'; '.join(parts)}. {_meet_said(duty)}"


def _meet_said(duty: Duty) -> str:
    """Give the operating point as a sentence."""
    if duty.meet is None:
        return "The two do not meet."
    flow, head, low, high = duty.meet
    likely = "" if high == low else f", likely {interval(low, high, duty.flow_decimals)}"
    return f"They meet at {duty.flow(flow)}{likely}, at a head of {duty.head(head)}."
