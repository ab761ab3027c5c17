"""The chart of one parameter over time, and its small sister for the first page."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import altair as alt
import pandas as pd

from journal_tools.charts.event_layers import event_layers
from journal_tools.charts.frame import Frame, encoded, finished, layer, unchecked
from journal_tools.charts.header import header_layers
from journal_tools.charts.reading_layers import (
    band_layers,
    base_layer,
    hover_layer,
    line,
    reading_layers,
)
from journal_tools.charts.scale import ValueScale, time_span, value_scale, wall_time
from journal_tools.charts.series import Point, line_rows, points, reach
from journal_tools.charts.strip import place_events
from journal_tools.charts.target import (
    Band,
    Bands,
    Charted,
    Period,
    always,
    band_words,
    period_at,
    periods,
)
from journal_tools.charts.theme import RIGHT, WIDE, Shape, colour
from journal_tools.charts.words import describe

_SPARK = Shape("spark", 160, 32, 40, 0, 1)


def parameter_chart(  # noqa: PLR0913
    parameter: Charted,
    readings: pd.DataFrame,
    events: pd.DataFrame,
    bands: Bands,
    today: date,
    *,
    shape: Shape = WIDE,
    interactive: bool = False,
) -> alt.LayerChart:
    """Give the chart of one parameter: readings, errors, target band and events on one time axis.

    Args:
        parameter: What is measured.
        readings: Columns time, value, error, censored, kit, entry.
        events: Columns time, kind, label, entry; those before the first reading are left out.
        bands: Target bands as (start, end, low, high), None where open.
        today: The day of the build, the right end of the axis.
        shape: Proportions.
        interactive: Add tooltips and zoom, and keep every point however dense.

    Returns:
        The chart; its description is the text alternative.
    """
    found = points(readings)
    span = time_span([p.time for p in found] or map(wall_time, events["time"].dropna()), today)
    targets = periods(bands, span)
    strip = place_events(events, span, shape)
    scale = _value_scale(parameter, found, targets)
    frame = Frame(span, scale, shape, strip.height_px, interactive)
    rows = line_rows(found, span, None if interactive else shape.plot_width, parameter.decimals)
    with unchecked():
        layers = [
            base_layer(frame),
            *band_layers(frame, targets),
            *event_layers(frame, strip),
            *reading_layers(frame, parameter, found, rows),
            *header_layers(frame, title_words(parameter), _band_label(parameter, frame, targets)),
            *([hover_layer(frame, parameter, found)] if interactive and found else ()),
        ]
        return finished(
            layers,
            rows,
            title_words(parameter),
            name=f"{parameter.name}-{shape.name}",
            description=describe(parameter, readings, bands, today),
            width=shape.plot_width,
            height=frame.height_px,
            padding={"left": 8, "right": RIGHT, "top": 4, "bottom": 4},
        )


def sparkline(
    parameter: Charted, readings: pd.DataFrame, band: Band | None, *, days: int | None = None
) -> alt.LayerChart:
    """Give a chart of 160 by 36 px without axes: band, line and the latest reading as a dot.

    Args:
        parameter: What is measured.
        readings: Columns time, value, error, censored, kit, entry.
        band: The target band now, None where there is none.
        days: How many days before the last reading to show; None shows all.

    Returns:
        The chart; its description is the text alternative.
    """
    found = points(readings)
    last = found[-1].time if found else pd.Timestamp(2000, 1, 1)
    if days is not None:
        found = [p for p in found if (last - p.time).days < days]
        readings = readings[(last - readings["time"].map(wall_time)).dt.days < days]
    span = time_span([p.time for p in found], last.date())
    targets = periods(always(band), span)
    scale = _value_scale(parameter, found, targets)
    frame = Frame(span, scale, _SPARK, 0, interactive=False)
    rows = line_rows(found, span, _SPARK.width, parameter.decimals)
    with unchecked():
        layers = band_layers(frame, targets)
        if found:
            layers += [line(frame, 1.2), _last_dot(frame, found)]
        return finished(
            [_bare(each) for each in layers or [base_layer(frame)]],
            rows,
            title_words(parameter),
            name=f"{parameter.name}-spark",
            description=describe(parameter, readings, always(band), last.date()),
            width=_SPARK.width - 4,
            height=_SPARK.plot_height,
            padding=2,
        )


def title_words(parameter: Charted) -> str:
    """Give the title of a parameter's chart: its label and unit.

    Args:
        parameter: What is measured.

    Returns:
        Such as "Alkalinity, dKH".
    """
    if not parameter.unit or parameter.unit in parameter.label.split():
        return parameter.label
    return f"{parameter.label}, {parameter.unit}"


def _value_scale(
    parameter: Charted, found: Sequence[Point], targets: Sequence[Period]
) -> ValueScale:
    """Give a value axis for readings and bands."""
    limits = [v for period in targets for v in (period.low, period.high) if v is not None]
    below = any(p.censored == "below" for p in found)
    return value_scale(reach(found), limits, parameter.decimals, below)


def _last_dot(frame: Frame, found: Sequence[Point]) -> alt.Chart:
    """Give the latest reading as a dot, open where it is only a limit."""
    row = {"t": found[-1].text, "v": found[-1].value}
    fill = colour("paper") if found[-1].censored else colour("kelp")
    mark = layer("last", [row]).mark_point(
        filled=True, size=24, fill=fill, stroke=colour("kelp"), strokeWidth=1, opacity=1
    )
    return encoded(mark, frame.x(), frame.y())


def _bare(each: alt.Chart) -> alt.Chart:
    """Give a layer without axes."""
    each.encoding.x["axis"] = each.encoding.y["axis"] = None
    return each


def _band_label(parameter: Charted, frame: Frame, targets: Sequence[Period]) -> str:
    """Give the words of the band in force at the end of the axis."""
    now = period_at(targets, frame.span.end - pd.Timedelta(seconds=1))
    return "" if now is None else band_words(parameter, now.low, now.high)
