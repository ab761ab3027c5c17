"""What a probe saw: a ribbon from the lowest to the highest value of each day, and its last week.

A drawing is as large for ten years as for one: days that share a column of the plot are joined,
lowest with lowest and highest with highest, so that no spike is lost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from statistics import median
from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from journal_tools.charts.frame import Frame, encoded, finished, layer, unchecked
from journal_tools.charts.header import header_layers
from journal_tools.charts.parameter import title_words
from journal_tools.charts.reading_layers import band_layers, base_layer
from journal_tools.charts.scale import TimeSpan, ValueScale, time_span, value_scale, wall_time
from journal_tools.charts.series import Row, points
from journal_tools.charts.target import (
    Bands,
    Charted,
    amount,
    band_words,
    period_at,
    periods,
)
from journal_tools.charts.theme import RIGHT, WIDE, Shape, colour
from journal_tools.words import day_text

_COLUMN_PX = 2
_DAY = pd.Timedelta(days=1)
_WEEK = pd.Timedelta(days=7)


@dataclass(frozen=True, slots=True)
class _Stretch:
    """Days that share a column of the plot."""

    start: pd.Timestamp
    end: pd.Timestamp
    low: float
    mean: float
    high: float


def ribbon_chart(
    parameter: Charted,
    days: pd.DataFrame,
    readings: pd.DataFrame,
    bands: Bands,
    today: date,
    *,
    shape: Shape = WIDE,
) -> alt.LayerChart:
    """Give the chart of a probe over all time: daily range, mean, target band and kit readings.

    Args:
        parameter: What is measured.
        days: Columns time (start of each day), minimum, mean, maximum.
        readings: Of kits: columns time, value, error, censored, kit, entry.
        bands: Target bands as (start, end, low, high), None where open.
        today: The day of the build, the right end of the axis.
        shape: Proportions.

    Returns:
        The chart; its description is the text alternative.
    """
    known = _days(days)
    span = time_span((day.start for day in known[:1]), today)
    stretches = _stretches(known, span, shape)
    kits = _kit_rows(readings, span)
    extremes = [*(day.low for day in known), *(day.high for day in known), *_ends(kits)]
    frame = _frame(parameter, extremes, bands, span, shape)
    layers = [
        _ribbon(frame, stretches),
        _means(frame, stretches),
        *([_dots(frame, kits)] if kits else []),
    ]
    words = describe_ribbon(parameter, days, readings)
    title = f"{title_words(parameter)}, by the probe"
    return _chart(frame, parameter, bands, layers, (title, f"{parameter.name}-probe", words))


def week_chart(
    parameter: Charted,
    recent: pd.DataFrame,
    readings: pd.DataFrame,
    bands: Bands,
    gap_h: float,
    *,
    shape: Shape = WIDE,
) -> alt.LayerChart:
    """Give the chart of the last week of a probe, every spike in it.

    Args:
        parameter: What is measured.
        recent: Columns time and value, rising, one row or more.
        readings: Of kits: columns time, value, error, censored, kit, entry.
        bands: Target bands as (start, end, low, high), None where open.
        gap_h: Hours between rows over which no line is drawn.
        shape: Proportions.

    Returns:
        The chart; its description is the text alternative.
    """
    walls = [wall_time(moment) for moment in recent["time"]]
    span = TimeSpan(walls[-1] - _WEEK, walls[-1] + pd.Timedelta(hours=2))
    rows: list[Row] = []
    for place, (wall, value) in enumerate(zip(walls, recent["value"], strict=True)):
        if place and wall - walls[place - 1] > pd.Timedelta(hours=gap_h):
            rows.append({"t": _text(walls[place - 1]), "v": None})
        rows.append({"t": _text(wall), "v": round(float(value), parameter.decimals + 2)})
    kits = _kit_rows(readings, span)
    extremes = [recent["value"].min(), recent["value"].max(), *_ends(kits)]
    frame = _frame(parameter, extremes, bands, span, shape)
    course = layer("course", rows).mark_line(
        color=colour("kelp"),
        strokeWidth=1.2,
        strokeJoin="round",
        invalid="break-paths-show-domains",
    )
    layers = [encoded(course, frame.x(), frame.y()), *([_dots(frame, kits)] if kits else [])]
    low, high = (amount(parameter, float(end)) for end in extremes[:2])
    words = (
        f"{parameter.label} by the probe over seven days to {day_text(walls[-1])}: "
        f"between {low} and {high}."
    )
    title = f"{title_words(parameter)}, seven days"
    return _chart(frame, parameter, bands, layers, (title, f"{parameter.name}-week", words))


def describe_ribbon(parameter: Charted, days: pd.DataFrame, readings: pd.DataFrame) -> str:
    """Give the text alternative of a ribbon.

    Args:
        parameter: What is measured.
        days: Columns time, minimum, mean, maximum.
        readings: Of kits.

    Returns:
        Days, lowest and highest value with their day, the usual swing, and how many readings of
        kits lie within the range of their day.
    """
    known = _days(days)
    if not known:
        return f"{parameter.label} by the probe: no values yet."
    first, last = day_text(known[0].start), day_text(known[-1].start)
    low, high = min(known, key=lambda day: day.low), max(known, key=lambda day: day.high)
    swing = median(day.high - day.low for day in known)
    number = f"{len(known)} days from {first} to {last}" if len(known) > 1 else f"one day, {first}"
    sentences = [
        f"{parameter.label} by the probe: {number}; lowest {amount(parameter, low.low)} on "
        f"{day_text(low.start)}, highest {amount(parameter, high.high)} on "
        f"{day_text(high.start)}.",
        f"On half of the days it moves by less than {swing:.{parameter.decimals + 1}f}"
        f"\u00a0{parameter.unit}.",
        _kit_sentence(known, readings),
    ]
    return " ".join(sentence for sentence in sentences if sentence)


def _kit_sentence(days: Sequence[_Stretch], readings: pd.DataFrame) -> str:
    ranges = {day.start.date(): day for day in days}
    found = [p for p in points(readings) if not p.censored and p.time.date() in ranges]
    if not found:
        return ""
    inside = 0
    for reading in found:
        day, error = ranges[reading.time.date()], reading.error or 0.0
        inside += day.low - error <= reading.value <= day.high + error
    return f"{inside} of {len(found)} kit readings lie within their error of the day's range."


def _days(days: pd.DataFrame) -> list[_Stretch]:
    """Give the days with a value, in order; without a mean the middle of the range is taken."""
    known = days[days["minimum"].notna()].sort_values("time")
    low, high = (known[name].to_numpy(np.float64) for name in ("minimum", "maximum"))
    mean = known["mean"].to_numpy(np.float64)
    mean = np.where(np.isnan(mean), (low + high) / 2, mean)
    starts = [wall_time(moment) for moment in known["time"]]
    figures = zip(starts, low.tolist(), mean.tolist(), high.tolist(), strict=True)
    return [_Stretch(start, start + _DAY, *values) for start, *values in figures]


def _stretches(days: Sequence[_Stretch], span: TimeSpan, shape: Shape) -> list[_Stretch]:
    """Give the days, those joined that share a column of the plot."""
    width = max(_DAY, (span.end - span.start) / (shape.plot_width / _COLUMN_PX))
    found: list[_Stretch] = []
    for day in days:
        last = found[-1] if found else None
        if last is None or day.end - last.start > width:
            found.append(day)
            continue
        share = (day.start - last.start) / (day.end - last.start)
        mean = last.mean * share + day.mean * (1 - share)
        ends = min(last.low, day.low), mean, max(last.high, day.high)
        found[-1] = _Stretch(last.start, day.end, *ends)
    return found


def _ribbon(frame: Frame, stretches: Sequence[_Stretch]) -> alt.Chart:
    """Give the area from lowest to highest, as steps: nothing is claimed between two days."""
    rows: list[Row] = []
    for place, one in enumerate(stretches):
        if place and one.start > stretches[place - 1].end:
            rows.append({"t": _text(stretches[place - 1].end), "v": None, "v2": None})
        rows += [
            {"t": _text(moment), "v": round(one.low, 4), "v2": round(one.high, 4)}
            for moment in (one.start, one.end)
        ]
    look: dict[str, Any] = {"fillOpacity": 0.28, "strokeWidth": 0.6, "strokeOpacity": 0.5}
    area = layer("ribbon", rows).mark_area(
        fill=colour("kelp"), stroke=colour("kelp"), invalid="break-paths-show-domains", **look
    )
    return encoded(area, frame.x(), frame.y(), alt.Y2("v2"))


def _means(frame: Frame, stretches: Sequence[_Stretch]) -> alt.Chart:
    """Give the line of the daily means, broken where days are missing."""
    rows: list[Row] = []
    for place, one in enumerate(stretches):
        middle = one.start + (one.end - one.start) / 2
        if place and one.start > stretches[place - 1].end:
            rows.append({"t": _text(stretches[place - 1].end), "v": None})
        rows.append({"t": _text(middle), "v": round(one.mean, 4)})
    line = layer("means", rows).mark_line(
        color=colour("kelp"), strokeWidth=1.4, invalid="break-paths-show-domains"
    )
    return encoded(line, frame.x(), frame.y())


def _kit_rows(readings: pd.DataFrame, span: TimeSpan) -> list[Row]:
    found = [p for p in points(readings) if not p.censored and span.start <= p.time <= span.end]
    return [{"t": p.text, "v": p.value} for p in found]


def _ends(rows: Sequence[Row]) -> list[float]:
    values = [float(row["v"]) for row in rows]
    return [min(values), max(values)] if values else []


def _dots(frame: Frame, rows: Sequence[Row]) -> alt.Chart:
    """Give the kit readings: open rings, so that the ribbon shows through."""
    pieces = layer("kits", rows).mark_point(
        filled=True,
        size=26,
        fill=colour("paper"),
        stroke=colour("ink"),
        strokeWidth=1.1,
        opacity=1,
    )
    return encoded(pieces, frame.x(), frame.y())


def _frame(
    parameter: Charted, extremes: Sequence[float], bands: Bands, span: TimeSpan, shape: Shape
) -> Frame:
    targets = periods(bands, span)
    limits = [v for period in targets for v in (period.low, period.high) if v is not None]
    told = [float(value) for value in extremes if pd.notna(value)]
    # Only the two ends: among all values a lone spike would be taken for an outlier.
    reach = [min(told), max(told)] if told else []
    scale: ValueScale = value_scale(reach, limits, parameter.decimals)
    return Frame(span, scale, shape, 0, interactive=False)


def _chart(
    frame: Frame,
    parameter: Charted,
    bands: Bands,
    layers: Sequence[alt.Chart],
    words: tuple[str, str, str],
) -> alt.LayerChart:
    """Give the layers over band and axes; words are title, name and description."""
    title, name, description = words
    targets = periods(bands, frame.span)
    now = period_at(targets, frame.span.end - pd.Timedelta(seconds=1))
    label = "" if now is None else band_words(parameter, now.low, now.high)
    with unchecked():
        whole = [
            base_layer(frame),
            *band_layers(frame, targets),
            *layers,
            *header_layers(frame, title, label),
        ]
        return finished(
            whole,
            [],
            title,
            name=f"{name}-{frame.shape.name}",
            description=description,
            width=frame.shape.plot_width,
            height=frame.height_px,
            padding={"left": 8, "right": RIGHT, "top": 4, "bottom": 4},
        )


def _text(moment: pd.Timestamp) -> str:
    return moment.strftime("%Y-%m-%dT%H:%M:%S")
