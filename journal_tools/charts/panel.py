"""A small plot of one parameter on a sheet: band, line and readings, without axes of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import altair as alt
import pandas as pd

from journal_tools.charts.placing import Area
from journal_tools.charts.said import drawable_rows, figure
from journal_tools.charts.scale import TimeSpan, ValueScale, time_ticks, value_scale
from journal_tools.charts.series import Point, line_rows, points, reach
from journal_tools.charts.sheet import (
    Path,
    Spot,
    Word,
    box,
    dotted,
    filled,
    ringed,
    sheet_width,
    stroked,
    word_px,
    written,
)
from journal_tools.charts.target import Bands, Period, period_at, periods
from journal_tools.charts.theme import SMALL_PX, Shape
from journal_tools.parameters import Parameter

# Of crowded readings no single one can be told apart, so only the line is drawn.
_DOT_PX = 4
# How many times wider than in a large chart the columns are in which a line is thinned.
_LINE_COLUMN, _PROBE_COLUMN = 3, 4


@dataclass(frozen=True, slots=True)
class Panel:
    """One small plot.

    Attributes:
        parameter: What is measured.
        area: Its place on the sheet in px.
        span: Time from its left to its right.
        scale: Values from its foot to its top.
        found: Readings within the span, in order of time.
        targets: Target bands within the span.
    """

    parameter: Parameter
    area: Area
    span: TimeSpan
    scale: ValueScale
    found: list[Point]
    targets: list[Period]

    def x(self, moment: pd.Timestamp) -> float:
        """Give the px of a wall time."""
        return self.area.left + self.span.position(moment, self.area.right - self.area.left)

    def y(self, value: float) -> float:
        """Give the px of a value; beyond the plot its edge."""
        share = (value - self.scale.low) / (self.scale.high - self.scale.low)
        place = self.area.bottom - share * (self.area.bottom - self.area.top)
        return min(max(place, self.area.top), self.area.bottom)

    def verdict(self, point: Point) -> str:
        """Give "low" or "high" for a reading outside the band of its time, else empty."""
        band = period_at(self.targets, point.time)
        if band is None or band.holds(point.value, point.censored) is not False:
            return ""
        return "low" if band.low is not None and point.value < band.low else "high"


def usable(readings: pd.DataFrame, parameter: Parameter) -> pd.DataFrame:
    """Give the readings of a parameter that can be drawn.

    Args:
        readings: Columns parameter, time, value, error, censored, kit, entry.
        parameter: What is measured.

    Returns:
        Rows of that parameter with a finite value.
    """
    mine = readings[readings["parameter"] == parameter.name]
    return drawable_rows(mine, "value")


def made(
    parameter: Parameter, readings: pd.DataFrame, bands: Bands, span: TimeSpan, area: Area
) -> Panel:
    """Give a panel with its own value axis.

    Args:
        parameter: What is measured.
        readings: What `usable` gave.
        bands: Target bands as (start, end, low, high), None where open.
        span: What it shows.
        area: Its place on the sheet.

    Returns:
        The panel.
    """
    found = [p for p in points(readings) if span.start <= p.time <= span.end]
    targets = periods(bands, span)
    edges = [v for period in targets for v in (period.low, period.high) if v is not None]
    below = any(point.censored == "below" for point in found)
    scale = value_scale(reach(found), edges, parameter.decimals, below)
    return Panel(parameter, area, span, scale, found, targets)


def panel_layers(panels: Sequence[Panel]) -> list[alt.Chart]:
    """Give all panels of a sheet, one mark a kind.

    Args:
        panels: What `made` gave.

    Returns:
        Layers from back to front.
    """
    feet: list[Path] = [
        [(p.area.left, p.area.bottom), (p.area.right, p.area.bottom)] for p in panels
    ]
    calm = [p for p in panels if not _crowded(p)]
    return [
        *stroked("feet", feet, "hairline"),
        *filled("bands", [area for p in panels for area in _band_areas(p)], "band"),
        *stroked("limits", [edge for p in panels for edge in _band_edges(p)], "band-edge"),
        *stroked("lines", [path for p in panels for path in _lines(p)], "kelp", 1.2),
        *dotted("dots", [spot for p in calm for spot in _dots(p, censored=False)], "kelp", _DOT_PX),
        *ringed("open", [s for p in panels for s in _dots(p, censored=True)], "kelp", size=16),
        *_beyond(panels, "high"),
        *_beyond(panels, "low"),
    ]


def reading_said(parameter: Parameter, point: Point, *, unit: bool = True) -> str:
    """Give a reading in words.

    Args:
        parameter: What is measured.
        point: The reading.
        unit: Whether to write the unit.

    Returns:
        Such as "8.2 dKH", "below 0.02 mg/L".
    """
    written_unit = "" if parameter.unit == "pH" or not unit else parameter.unit
    exact = len(f"{point.value:.3f}".rstrip("0").partition(".")[2]) if point.censored else 0
    words = figure(point.value, max(parameter.decimals, exact), written_unit)
    return f"{point.censored} {words}" if point.censored else words


def time_axis(
    name: str, span: TimeSpan, lefts: Sequence[float], width_px: float, y: float, shape: Shape
) -> list[alt.Chart]:
    """Give the same time axis under one or more columns.

    Args:
        name: Start of the layers' names.
        span: What it shows.
        lefts: Left end of each column in px.
        width_px: Width of a column.
        y: Its height on the sheet in px.
        shape: Proportions; decides how far apart labels stand.

    Returns:
        Layers: a line, ticks and labels.
    """
    ticks = time_ticks(span, width_px, shape.tick_px)
    monthly = all(tick.day == 1 for tick in ticks) and len(ticks) > 1
    yearly = monthly and all(tick.month == 1 for tick in ticks)
    paths: list[Path] = []
    words: list[Word] = []
    for left in lefts:
        paths.append([(left, y), (left + width_px, y)])
        for tick in ticks:
            x = left + span.position(tick, width_px)
            says = f"{tick:%Y}" if yearly else f"{tick:%b}" if monthly else f"{tick.day} {tick:%b}"
            paths.append([(x, y), (x, y + 4)])
            # A label at the very edge of the sheet would be cut.
            half = word_px(says, SMALL_PX) / 2
            x = min(max(x, half), sheet_width(shape) - half)
            words.append(Word(x, y + 12, says, "muted", SMALL_PX, "center"))
    return [*stroked(f"{name}-line", paths, "muted", 0.8), *written(f"{name}-labels", words)]


def _crowded(panel: Panel) -> bool:
    """Say whether the readings stand too close to be told apart."""
    return len(panel.found) * _DOT_PX > panel.area.right - panel.area.left


def _band_areas(panel: Panel) -> list[Path]:
    """Give the target bands as areas; an open side reaches to the edge of the plot."""
    area = panel.area
    return [
        box(
            panel.x(period.start),
            area.top if period.high is None else panel.y(period.high),
            panel.x(period.end),
            area.bottom if period.low is None else panel.y(period.low),
        )
        for period in panel.targets
    ]


def _band_edges(panel: Panel) -> list[Path]:
    """Give a line for each real limit of a band."""
    return [
        [(panel.x(period.start), panel.y(limit)), (panel.x(period.end), panel.y(limit))]
        for period in panel.targets
        for limit in (period.low, period.high)
        if limit is not None
    ]


def _lines(panel: Panel) -> list[Path]:
    """Give the line through the readings, broken at long pauses and at censored readings."""
    width = panel.area.right - panel.area.left
    dense = len(panel.found) > width
    width /= _PROBE_COLUMN if dense else _LINE_COLUMN
    paths: list[list[Spot]] = [[]]
    for row in line_rows(panel.found, panel.span, width, panel.parameter.decimals):
        if row["v"] is None:
            paths.append([])
        else:
            x = panel.x(pd.Timestamp(row["t"]))
            paths[-1].append((round(x) if dense else x, panel.y(row["v"])))
    return [path for path in paths if len(path) > 1]


def _dots(panel: Panel, *, censored: bool) -> list[Spot]:
    """Give the places of the plain readings, or of some of those that are only a limit."""
    some = [p for p in panel.found if bool(p.censored) == censored]
    step = 1 + len(some) * _DOT_PX // int(panel.area.right - panel.area.left)
    return [(panel.x(p.time), panel.y(p.value)) for p in some[:: step if censored else 1]]


def _beyond(panels: Sequence[Panel], side: Literal["low", "high"]) -> list[alt.Chart]:
    """Give a sign at the edge for readings that lie beyond the value axis."""
    spots: list[Spot] = []
    for panel in panels:
        scale, area = panel.scale, panel.area
        y = area.top + 4 if side == "high" else area.bottom - 4
        outside = (
            p
            for p in panel.found
            if (p.value > scale.high if side == "high" else p.value < scale.low)
        )
        spots += list(dict.fromkeys((round(panel.x(p.time)), y) for p in outside))
    symbol = "triangle-up" if side == "high" else "triangle-down"
    return ringed(f"beyond-{side}", spots, "kelp", symbol=symbol, size=34)
