"""Layers of the readings and their target bands."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

import altair as alt

from journal_tools.charts.frame import Frame, at_x, at_y, encoded, layer
from journal_tools.charts.scale import wall_text
from journal_tools.charts.series import (
    Point,
    Row,
    censored_rows,
    hover_rows,
    off_scale_rows,
)
from journal_tools.charts.target import Charted, Period
from journal_tools.charts.theme import FONT_PX, SMALL_PX, colour

# A bar at the limit of the test and an arrow to where the value must be.
_BELOW = "M-1,0H1M0,0V2M-.7,1.2L0,2L.7,1.2"
_ABOVE = "M-1,0H1M0,0V-2M-.7,-1.2L0,-2L.7,-1.2"


def base_layer(frame: Frame) -> alt.Chart:
    """Give the foot of the plot, which also carries both axes when there is no reading.

    Args:
        frame: The chart's frame.

    Returns:
        One rule.
    """
    row = {"t": wall_text(frame.span.start), "t2": wall_text(frame.span.end), "v": frame.scale.low}
    mark = layer("base", [row]).mark_rule(color=colour("hairline"), clip=frame.interactive)
    return encoded(
        mark, frame.x().axis(frame.time_axis()), frame.y().axis(frame.value_axis()), alt.X2("t2")
    )


def band_layers(frame: Frame, targets: Sequence[Period]) -> list[alt.Chart]:
    """Give the target bands as soft areas, with a line only where a limit really is.

    Args:
        frame: The chart's frame.
        targets: The bands over time.

    Returns:
        Layers; none without a band.
    """
    if not targets:
        return []
    foot, top = frame.scale.domain
    areas, edges = [], []
    for period in targets:
        ends = {"t": wall_text(period.start), "t2": wall_text(period.end)}
        low = foot if period.low is None else period.low
        high = top if period.high is None else period.high
        areas.append({**ends, "v": low, "v2": high})
        edges += [{**ends, "v": v} for v in (period.low, period.high) if v is not None]
    area = layer("bands", areas).mark_rect(color=colour("band"), clip=frame.interactive)
    edge = layer("limits", edges).mark_rule(color=colour("band-edge"), clip=frame.interactive)
    return [
        encoded(area, frame.x(), frame.y(), alt.X2("t2"), alt.Y2("v2")),
        encoded(edge, frame.x(), frame.y(), alt.X2("t2")),
    ]


def reading_layers(
    frame: Frame, parameter: Charted, found: Sequence[Point], rows: Sequence[Row]
) -> list[alt.Chart]:
    """Give error bars, line, dots, and the marks of readings that are not plain numbers.

    Args:
        frame: The chart's frame.
        parameter: What is measured.
        found: The readings.
        rows: What `line_rows` gave, the shared rows of the chart.

    Returns:
        Layers from back to front; a note if there is no reading.
    """
    if not found:
        return [_empty_note(frame)]
    # Touching dots and a steep line hide each other, so a dense chart draws both lighter.
    dense = len(rows) > frame.shape.plot_width / 4
    layers = []
    if any(row["e"] is not None for row in rows):
        layers.append(_error_bars(frame))
    if any(row["v"] is not None for row in rows):
        layers.append(line(frame, 1, 0.6) if dense else line(frame, 1.4))
        layers.append(dots(frame, 3 if dense else 4.8))
    for side, shape in (("below", _BELOW), ("above", _ABOVE)):
        if marks := censored_rows(found, side):
            layers.append(encoded(_signs(frame, side, marks, shape), frame.x(), frame.y()))
    return layers + _off_scale_layers(frame, parameter, found)


def line(frame: Frame, width_px: float, opacity: float = 1) -> alt.Chart:
    """Give the line through the readings, broken where it would claim too much.

    Args:
        frame: The chart's frame.
        width_px: Width of the stroke.
        opacity: From 0 to 1; less lets crowded dots stand out.

    Returns:
        One path.
    """
    mark = alt.Chart().mark_line(
        color=colour("kelp"),
        strokeWidth=width_px,
        opacity=opacity,
        strokeJoin="round",
        invalid="break-paths-show-domains",
        clip=frame.interactive,
    )
    return encoded(mark, frame.x(), frame.y())


def dots(frame: Frame, size_px: float) -> alt.Chart:
    """Give the readings as dots: strokes of no length with round ends.

    Args:
        frame: The chart's frame.
        size_px: Diameter of a dot.

    Returns:
        One path.
    """
    look = {"color": colour("kelp"), "strokeCap": "round", "strokeWidth": size_px}
    return _pieces(frame, "[datum.v, null]", **look)


def hover_layer(frame: Frame, parameter: Charted, found: Sequence[Point]) -> alt.Chart:
    """Give transparent points that answer the mouse, and the zoom along time.

    Args:
        frame: The chart's frame.
        parameter: What is measured.
        found: The readings.

    Returns:
        A layer of invisible marks.
    """
    tips = [alt.Tooltip("says:N", title=parameter.label)]
    tips += [alt.Tooltip(f"{field}:N") for field in ("when", "kit", "entry")]
    zoom = alt.selection_interval(name="zoom", bind="scales", encodings=["x"])
    marks = layer("hover", hover_rows(parameter, found)).mark_point(
        fill="transparent", opacity=1, filled=True, size=160, clip=True
    )
    # Named, since Altair would number views on and no two builds would agree.
    named = encoded(marks, frame.x(), frame.y(), tips).properties(name="hover")
    return named.add_params(zoom)


def _empty_note(frame: Frame) -> alt.Chart:
    """Give words in place of readings."""
    note = layer("note", [{}]).mark_text(
        text="no readings yet", color=colour("muted"), fontSize=FONT_PX
    )
    return encoded(note, at_x(alt.ExprRef("width / 2")), at_y(frame.shape.plot_height / 2))


def _pieces(frame: Frame, expression: str, **mark: Any) -> alt.Chart:
    """Give many short strokes as one path: a tenth of the size of one element a reading."""
    pieces = alt.Chart().transform_calculate(y=expression).transform_flatten(["y"])
    strokes = pieces.mark_line(invalid="break-paths-show-domains", clip=frame.interactive, **mark)
    return encoded(strokes, frame.x(), frame.y("y"))


def _error_bars(frame: Frame) -> alt.Chart:
    """Give the error bars, one standard deviation to either side."""
    both = "datum.e === null ? [null] : [datum.v - datum.e, datum.v + datum.e, null]"
    return _pieces(frame, both, color=colour("kelp"), strokeWidth=1, opacity=0.4)


def _signs(frame: Frame, name: str, rows: Sequence[Row], shape: str) -> alt.Chart:
    """Give open signs for readings that are not plain numbers."""
    look: dict[str, Any] = {
        "filled": False,
        "stroke": colour("kelp"),
        "strokeWidth": 1.4,
        "opacity": 1,
    }
    signs = layer(name, rows).mark_point(shape=shape, size=42, clip=frame.interactive, **look)
    return encoded(signs)


def _off_scale_layers(frame: Frame, parameter: Charted, found: Sequence[Point]) -> list[alt.Chart]:
    """Give readings beyond the value axis as a sign at its edge with the value in words."""
    layers: list[alt.Chart] = []
    sides: tuple[tuple[Literal["low", "high"], str, float], ...] = (
        ("low", "triangle-down", frame.shape.plot_height - 6),
        ("high", "triangle-up", 6),
    )
    for side, shape, y_px in sides:
        rows = off_scale_rows(parameter, found, frame.scale, side)
        if not rows:
            continue
        words = layer(f"{side}-words", rows).mark_text(
            align="left",
            dx=8,
            baseline="middle",
            color=colour("ink"),
            fontSize=SMALL_PX,
            clip=frame.interactive,
        )
        layers += [
            encoded(_signs(frame, side, rows, shape), frame.x(), at_y(y_px)),
            encoded(words, frame.x(), at_y(y_px), alt.Text("says:N")),
        ]
    return layers
