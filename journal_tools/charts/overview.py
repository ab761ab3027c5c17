"""All tested parameters at one glance: a small plot for each over the same days."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import altair as alt
import pandas as pd

from journal_tools.charts.frame import unchecked
from journal_tools.charts.panel import Panel, made, panel_layers, reading_said, time_axis, usable
from journal_tools.charts.placing import Area
from journal_tools.charts.said import limits
from journal_tools.charts.scale import TimeSpan, wall_time
from journal_tools.charts.series import Point, points
from journal_tools.charts.sheet import Word, dotted, fitted, sheet, sheet_width, word_px, written
from journal_tools.charts.target import Bands, period_at
from journal_tools.charts.theme import SMALL_PX, TITLE_PX, WIDE, Role, Shape
from journal_tools.parameters import Parameter
from journal_tools.words import ago, counted, day_text

_TOP_PX = 24
_GAP_PX = 20
_HEAD_PX = 36
_PLOT_PX = 42
_ROW_PX = _HEAD_PX + _PLOT_PX + 16
_AXIS_PX = 20


@dataclass(frozen=True, slots=True)
class Cell:
    """A parameter with its plot and its latest reading, which may be older than the plot."""

    panel: Panel
    latest: Point | None


def overview_chart(
    readings: pd.DataFrame,
    parameters: Sequence[Parameter],
    bands: Mapping[str, Bands],
    today: date,
    *,
    days: int = 90,
    shape: Shape = WIDE,
) -> alt.LayerChart:
    """Give a small plot of each parameter, two beside each other on a phone, else four.

    Args:
        readings: Columns time, parameter, value, error, censored, kit, entry, in shown units.
        parameters: What is shown, in this order.
        bands: Target bands of a parameter by its name.
        today: The day of the build, the right end of all plots.
        days: Days shown, over 0.
        shape: Proportions.

    Returns:
        The chart; its description is the text alternative.
    """
    end = wall_time(today) + pd.Timedelta(days=1)
    span = TimeSpan(end - pd.Timedelta(days=days), end)
    columns = 4 if shape.width >= WIDE.width else 2
    width = (sheet_width(shape) - (columns - 1) * _GAP_PX) / columns
    cells = [
        _cell(parameter, readings, bands, span, _area(number, columns, width))
        for number, parameter in enumerate(parameters)
    ]
    title = f"The last {counted(days, 'day')}"
    rows = -(-len(cells) // columns)
    foot = _TOP_PX + max(rows, 1) * _ROW_PX - 8
    lefts = [n * (width + _GAP_PX) for n in range(max(1, min(columns, len(cells))))]
    until = f"to {day_text(today)}"
    words = [
        Word(0, 9, title, "ink", TITLE_PX, bold=True),
        Word(sheet_width(shape), 9, until, "muted", SMALL_PX, "right"),
    ]
    if not cells:
        words.append(Word(0, _TOP_PX + 30, "nothing tested yet", "muted"))
    with unchecked():
        layers = [
            *panel_layers([cell.panel for cell in cells]),
            *_last_dots(cells),
            *time_axis("axis", span, lefts, width, foot, shape),
            *written("words", [*words, *_texts(cells, today)]),
        ]
        return sheet(
            layers,
            shape,
            foot + _AXIS_PX,
            name="overview",
            title=title,
            description=_described(cells, title),
        )


def _area(number: int, columns: int, width_px: float) -> Area:
    """Give the place of a plot on the sheet."""
    row, column = divmod(number, columns)
    left, top = column * (width_px + _GAP_PX), _TOP_PX + row * _ROW_PX + _HEAD_PX
    return Area(left, top, left + width_px, top + _PLOT_PX)


def _cell(
    parameter: Parameter,
    readings: pd.DataFrame,
    bands: Mapping[str, Bands],
    span: TimeSpan,
    area: Area,
) -> Cell:
    """Give the plot and the latest reading of a parameter."""
    mine = usable(readings, parameter)
    found = [point for point in points(mine) if point.time <= span.end]
    panel = made(parameter, mine, bands.get(parameter.name, []), span, area)
    return Cell(panel, found[-1] if found else None)


def _last_dots(cells: Sequence[Cell]) -> list[alt.Chart]:
    """Give the latest readings as larger dots, coral outside the band."""
    spots: dict[Role, list[tuple[float, float]]] = {"kelp": [], "coral": []}
    for cell in cells:
        plain = [p for p in cell.panel.found if not p.censored]
        if plain and plain[-1] == cell.latest:
            role: Role = "coral" if cell.panel.verdict(plain[-1]) else "kelp"
            spots[role].append((cell.panel.x(plain[-1].time), cell.panel.y(plain[-1].value)))
    return [
        layer for role, some in spots.items() for layer in dotted(f"last-{role}", some, role, 6.5)
    ]


def _texts(cells: Sequence[Cell], today: date) -> list[Word]:
    """Give the words of all plots, the ages in the same form in all of them."""
    for age in (ago, _ago_short):
        pairs = [_cell_texts(cell, today, age) for cell in cells]
        if all(fits for _, fits in pairs):
            break
    return [word for words, _ in pairs for word in words]


def _cell_texts(
    cell: Cell, today: date, age: Callable[[date, date], str]
) -> tuple[list[Word], bool]:
    """Give name, latest reading and its age, and whether the age finds room."""
    area = cell.panel.area
    room = area.right - area.left
    name = fitted(cell.panel.parameter.label, room, bold=True)
    words = [Word(area.left, area.top - 28, name, bold=True)]
    if cell.latest is None:
        return [*words, Word(area.left, area.top - 11, "never tested", "muted")], True
    side = cell.panel.verdict(cell.latest)
    says = reading_said(cell.panel.parameter, cell.latest) + (f", {side}" if side else "")
    says = fitted(says, room)
    words.append(Word(area.left, area.top - 11, says, "coral" if side else "ink"))
    when = age(cell.latest.time.date(), today)
    fits = word_px(says) + 6 + word_px(when, SMALL_PX) <= room
    if fits:
        words.append(Word(area.right, area.top - 11, when, "muted", SMALL_PX, "right"))
    return words, fits


def _ago_short(day: date, today: date) -> str:
    """Give how long ago a day was, in days."""
    days = (today - day).days
    return f"{days} d ago" if days > 0 else "today"


def _described(cells: Sequence[Cell], title: str) -> str:
    """Give the text alternative."""
    if not cells:
        return f"{title}: nothing tested yet."
    return f"{title}. {'; '.join(_course(cell) for cell in cells)}."


def _course(cell: Cell) -> str:
    """Give one parameter in words: readings, latest value, band."""
    parameter = cell.panel.parameter
    if cell.latest is None:
        return f"{parameter.label} never tested"
    latest = reading_said(parameter, cell.latest)
    when = day_text(cell.latest.time)
    target = period_at(cell.panel.targets, cell.panel.span.end - pd.Timedelta(seconds=1))
    unit = "" if parameter.unit == "pH" else parameter.unit
    words = "" if target is None else limits(target.low, target.high, parameter.decimals, unit)
    side = cell.panel.verdict(cell.latest)
    band = f" ({f'too {side}, ' if side else ''}target {words})" if words else ""
    return (
        f"{parameter.label} {latest} on {when}{band}, {counted(len(cell.panel.found), 'reading')}"
    )
