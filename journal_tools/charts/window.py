"""The days around an event: what was measured before and after it, and what else happened."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

import altair as alt
import pandas as pd

from journal_tools.charts.frame import unchecked
from journal_tools.charts.panel import Panel, made, panel_layers, reading_said, time_axis, usable
from journal_tools.charts.placing import Area
from journal_tools.charts.scale import TimeSpan, wall_time
from journal_tools.charts.series import Point
from journal_tools.charts.sheet import (
    Word,
    fitted,
    sheet,
    sheet_width,
    stamped,
    stroked,
    word_px,
    written,
)
from journal_tools.charts.strip import ROW_PX, Strip, place_events
from journal_tools.charts.target import Bands
from journal_tools.charts.theme import LEFT, RIGHT, SMALL_PX, TITLE_PX, WIDE, Role, Shape
from journal_tools.parameters import Parameter
from journal_tools.words import day_text

_MOST_ROWS = 10
_TOP_PX = 44
_AXIS_PX = 22


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the parts of the figure stand, in px.

    Attributes:
        left: Left end of the plots.
        right: Right end of the plots.
        row_px: Height of a row.
        plot_top: Distance of a plot from the top of its row.
        plot_px: Height of a plot.
        beside: Whether names and values stand beside the plots and not over them.
    """

    left: float
    right: float
    row_px: int
    plot_top: int
    plot_px: int
    beside: bool


@dataclass(frozen=True, slots=True)
class Around:
    """One row: a parameter with its readings on both sides of the moment."""

    panel: Panel
    before: Point | None
    after: Point | None


def window_chart(  # noqa: PLR0913
    readings: pd.DataFrame,
    events: pd.DataFrame,
    parameters: Sequence[Parameter],
    bands: Mapping[str, Bands],
    moment: date | datetime | pd.Timestamp,
    *,
    days_before: int = 14,
    days_after: int = 14,
    shape: Shape = WIDE,
) -> alt.LayerChart:
    """Give what was measured and what happened in the days around a moment.

    Args:
        readings: Columns time, parameter, value, error, censored, kit, entry, in shown units.
        events: Columns time, kind, label, entry.
        parameters: What may be shown, in this order; at most ten that have readings are.
        bands: Target bands of a parameter by its name.
        moment: When it happened.
        days_before: Days shown before it, over 0.
        days_after: Days shown after it, over 0.
        shape: Proportions.

    Returns:
        The chart, as high as its rows need; its description is the text alternative.
    """
    at = wall_time(moment)
    span = TimeSpan(at - pd.Timedelta(days=days_before), at + pd.Timedelta(days=days_after))
    layout = _layout(shape)
    every = _rows(readings, parameters, bands, span, at, layout)
    rows = every[:_MOST_ROWS]
    foot = _TOP_PX + max(len(rows), 1) * layout.row_px
    strip = place_events(events, span, _strip_shape(layout, shape))
    axis = foot + strip.height_px + 6
    title = f"Around {at.day} {at:%b} {at.year}"  # the whole month runs into the words beside it
    with unchecked():
        layers = [
            *panel_layers([row.panel for row in rows]),
            *_moment_layers(layout, rows, span, at, axis),
            *_strip_layers(layout, strip, foot),
            *time_axis("axis", span, [layout.left], layout.right - layout.left, axis, shape),
            *written("words", [*_heads(layout, rows, title, shape), *_texts(layout, rows, shape)]),
            *_legend_layers(strip, axis + _AXIS_PX, shape),
        ]
        return sheet(
            layers,
            shape,
            axis + _AXIS_PX + _legend_px(strip, shape),
            name="window",
            title=title,
            description=_described(rows, every, strip, at, span),
        )


def _layout(shape: Shape) -> Layout:
    """Give the places of all parts for a shape."""
    width = sheet_width(shape)
    if shape.width >= WIDE.width:
        return Layout(164, width - 178, 42, 4, 32, beside=True)
    return Layout(0, width, 58, 19, 32, beside=False)


def _rows(
    readings: pd.DataFrame,
    parameters: Sequence[Parameter],
    bands: Mapping[str, Bands],
    span: TimeSpan,
    at: pd.Timestamp,
    layout: Layout,
) -> list[Around]:
    """Give the parameters with readings, those with readings on both sides first."""
    found = []
    for parameter in parameters:
        mine = usable(readings, parameter)
        panel = made(parameter, mine, bands.get(parameter.name, []), span, Area(0, 0, 1, 1))
        earlier = [p for p in panel.found if p.time <= at]
        later = [p for p in panel.found if p.time > at]
        if panel.found:
            found.append(
                Around(panel, earlier[-1] if earlier else None, later[0] if later else None)
            )
    # Both sides of the moment tell most; within each group the given order stays.
    found.sort(key=lambda row: row.before is None or row.after is None)
    return [_moved(row, layout, number) for number, row in enumerate(found)]


def _moved(row: Around, layout: Layout, number: int) -> Around:
    """Give a row at its place on the sheet."""
    top = _TOP_PX + number * layout.row_px + layout.plot_top
    area = Area(layout.left, top, layout.right, top + layout.plot_px)
    old = row.panel
    panel = Panel(old.parameter, area, old.span, old.scale, old.found, old.targets)
    return Around(panel, row.before, row.after)


def _strip_shape(layout: Layout, shape: Shape) -> Shape:
    """Give a shape whose plot is as wide as the rows, for placing events."""
    width = round(layout.right - layout.left) + LEFT + RIGHT
    most = min(shape.event_labels, 3)
    return Shape(shape.name, width, 0, shape.tick_px, most, shape.legend_columns)


def _moment_layers(
    layout: Layout, rows: Sequence[Around], span: TimeSpan, at: pd.Timestamp, axis: float
) -> list[alt.Chart]:
    """Give the line at the moment with its time on top, and a note where nothing was measured."""
    width = layout.right - layout.left
    x = layout.left + span.position(at, width)
    clock = "" if at == at.normalize() else f", {at:%H:%M}"
    words = [Word(x, _TOP_PX - 10, f"{at.day} {at:%b}{clock}", "ink", SMALL_PX, "center")]
    if not rows:
        note = "nothing measured"
        y = _TOP_PX + layout.row_px / 2
        words.append(Word(x + 8, y, fitted(note, layout.right - x - 8), "muted"))
    # Over the plots and not through words between or under them.
    parts = [(r.panel.area.top, r.panel.area.bottom) for r in rows]
    if layout.beside or not rows:
        parts = [(_TOP_PX, _TOP_PX + max(1, len(rows)) * layout.row_px)]
    paths = [[(x, top), (x, bottom)] for top, bottom in [*parts, (axis - 5, axis)]]
    return [*stroked("moment", paths, "ink", 1.0), *written("moment-words", words)]


def _heads(layout: Layout, rows: Sequence[Around], title: str, shape: Shape) -> list[Word]:
    """Give the title and the heads of the two columns of values."""
    words = [Word(0, 9, title, "ink", TITLE_PX, bold=True)]
    if rows and layout.beside:
        width = sheet_width(shape)
        words += [
            Word(layout.right + 84, _TOP_PX - 10, "last before", "muted", SMALL_PX, "right"),
            Word(width, _TOP_PX - 10, "first after", "muted", SMALL_PX, "right"),
        ]
    elif rows:
        says = "last before → first after"
        words.append(Word(sheet_width(shape), 9, says, "muted", SMALL_PX, "right"))
    return words


def _texts(layout: Layout, rows: Sequence[Around], shape: Shape) -> list[Word]:
    """Give names and values of all rows."""
    return [
        word
        for row in rows
        for word in (_beside(layout, row, shape) if layout.beside else _over(row, shape))
    ]


def _beside(layout: Layout, row: Around, shape: Shape) -> list[Word]:
    """Give the words of a row that stand left and right of its plot."""
    parameter = row.panel.parameter
    top = row.panel.area.top
    name, unit = parameter.label, "" if parameter.unit == "pH" else parameter.unit
    words = [
        Word(0, top + 9, fitted(name, layout.left - 12, bold=True), bold=True),
        Word(0, top + 24, fitted(unit, layout.left - 12, SMALL_PX), "muted", SMALL_PX),
    ]
    sides = ((row.before, layout.right + 84), (row.after, sheet_width(shape)))
    for point, right in sides:
        says, role = _value(row.panel, point, unit=False)
        words.append(Word(right, top + 16, fitted(says, 86), role, align="right"))
    return words


def _over(row: Around, shape: Shape) -> list[Word]:
    """Give the words of a row that stand over its plot."""
    width = sheet_width(shape)
    y = row.panel.area.top - 9
    after, role = _value(row.panel, row.after, unit=True)
    after = fitted(after, 130)
    before, before_role = _value(row.panel, row.before, unit=False)
    before = fitted(before, 76)
    # A little more than its likely width: the arrow stands between two texts.
    left = width - 1.08 * word_px(after)
    room = left - 18 - word_px(before) - 8
    name = fitted(row.panel.parameter.label, room, bold=True)
    if role == before_role:
        return [
            Word(0, y, name, bold=True),
            Word(width, y, f"{before} → {after}", role, align="right"),
        ]
    return [
        Word(0, y, name, bold=True),
        Word(left - 18, y, before, before_role, align="right"),
        Word(left - 9, y, "→", "muted", align="center"),
        Word(width, y, after, role, align="right"),
    ]


def _value(panel: Panel, point: Point | None, *, unit: bool) -> tuple[str, Role]:
    """Give a reading in words with its colour: coral outside the band, and said so."""
    if point is None:
        return "–", "muted"
    says, side = reading_said(panel.parameter, point, unit=unit), panel.verdict(point)
    return (f"{says}, {side}", "coral") if side else (says, "ink")


def _strip_layers(layout: Layout, strip: Strip, top: float) -> list[alt.Chart]:
    """Give the events with captions for a few."""
    words = [
        Word(layout.left + e.x_px, top + 8, e.caption, "ink", SMALL_PX, e.align)
        for e in strip.events
    ]
    layers = written("captions", words)
    for number, kind in enumerate(strip.signs):
        y = top + strip.caption_px + ROW_PX / 2 + 2
        spots = [
            (layout.left + e.x_px, y + e.row * ROW_PX) for e in strip.events if e.kind == kind.words
        ]
        layers += stamped(f"signs-{number}", spots, kind.role, symbol=kind.shape)
    return layers


def _legend_rows(strip: Strip, shape: Shape) -> list[tuple[int, float, str, str, Role]]:
    """Give row, left px, words, symbol and colour of each kind of event."""
    placed: list[tuple[int, float, str, str, Role]] = []
    row, left = 0, 0.0
    for kind in strip.signs:
        says = fitted(kind.words, 150, SMALL_PX)
        room = 16 + word_px(says, SMALL_PX) + 14
        if left and left + room > sheet_width(shape):
            row, left = row + 1, 0.0
        placed.append((row, left, says, kind.shape, kind.role))
        left += room
    return placed


def _legend_px(strip: Strip, shape: Shape) -> int:
    """Give the height of the legend in px."""
    rows = _legend_rows(strip, shape)
    return 18 * (rows[-1][0] + 1) + 2 if rows else 0


def _legend_layers(strip: Strip, top: float, shape: Shape) -> list[alt.Chart]:
    """Give the kinds of events with their names, in as many rows as they need."""
    layers: list[alt.Chart] = []
    words = []
    for number, (row, left, says, symbol, role) in enumerate(_legend_rows(strip, shape)):
        y = top + 9 + row * 18
        layers += stamped(f"kind-{number}", [(left + 6, y)], role, symbol=symbol)
        words.append(Word(left + 16, y, says, "muted", SMALL_PX))
    return [*layers, *written("kinds", words)]


def _described(
    rows: Sequence[Around],
    every: Sequence[Around],
    strip: Strip,
    at: pd.Timestamp,
    span: TimeSpan,
) -> str:
    """Give the text alternative."""
    period = f"From {day_text(span.start)} to {day_text(span.end)}, around {day_text(at)}"
    if not rows:
        return f"{period}: no readings.{_events_said(strip)}"
    courses = "; ".join(_course(row) for row in rows)
    rest = [row.panel.parameter.label for row in every[len(rows) :]]
    more = f" Not drawn: {', '.join(rest)}." if rest else ""
    return f"{period}. {courses}.{more}{_events_said(strip)}"


def _course(row: Around) -> str:
    """Give one row in words."""
    sides = []
    for point, where in ((row.before, "before"), (row.after, "after")):
        if point is None:
            sides.append(f"no reading {where}")
        else:
            says, _ = _value(row.panel, point, unit=True)
            sides.append(f"{says} {where}")
    return f"{row.panel.parameter.label} {', '.join(sides)}"


def _events_said(strip: Strip) -> str:
    """Give the events in words, twelve at most."""
    if not strip.events:
        return " Nothing else is written down."
    told = [f"{e.label or e.kind} on {_day(e.text)}" for e in strip.events[:12]]
    more = len(strip.events) - len(told)
    rest = f" and {more} more" if more else ""
    return f" Events: {', '.join(told)}{rest}."


def _day(text: str) -> str:
    """Give the day of a wall time for a reader."""
    return day_text(pd.Timestamp(text))
