"""Charts of the journal itself: entries and photos a month, and what it has cost so far."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import altair as alt
import pandas as pd

from journal_tools.charts.frame import Frame, at_x, at_y, encoded, finished, layer, unchecked
from journal_tools.charts.header import header_layers
from journal_tools.charts.reading_layers import base_layer
from journal_tools.charts.scale import (
    TimeSpan,
    ValueScale,
    time_span,
    value_scale,
    wall_text,
    wall_time,
)
from journal_tools.charts.series import Row
from journal_tools.charts.theme import FONT_PX, RIGHT, WIDE, Role, Shape, colour, text_px
from journal_tools.words import counted, day_text, month_text

_PANEL_PX = 74
_PANEL_GAP_PX = 26
_LABEL_PX = 15
_MOST_CATEGORIES = 5
# Dashes and not colours part the lines, so that they can be told apart in print.
_DASHES = ([1, 0], [7, 3], [2, 2], [9, 3, 2, 3], [4, 4], [1, 4])
_PADDING = {"left": 8, "right": RIGHT, "top": 4, "bottom": 4}


def bars_per_month(
    entries: pd.Series, photos: pd.Series, today: date, *, shape: Shape = WIDE
) -> alt.LayerChart:
    """Give how many entries and photos each month has, one row of bars under the other.

    Args:
        entries: Time of each entry.
        photos: Time of each photo.
        today: The day of the build; its month is the last.
        shape: Proportions.

    Returns:
        The chart; its description is the text alternative.
    """
    months = _months([*entries.map(wall_time), *photos.map(wall_time)], today)
    # A little air on both sides, or a bar at the very edge would be cut.
    air = (months[-1] - months[0]) * 0.01
    span = TimeSpan(months[0] - air, months[-1] + air)
    rows: list[tuple[str, Role, list[int]]] = [
        ("entries", "bar", _counts(entries, months)),
        ("photos", "bar-quiet", _counts(photos, months)),
    ]
    with unchecked():
        layers: list[alt.Chart] = []
        for number, (name, role, counts) in enumerate(rows):
            layers += _bar_row(shape, span, months, number, name, role, counts)
        return finished(
            layers,
            [],
            "Entries and photos a month",
            name=f"months-{shape.name}",
            description=_months_words(months, rows[0][2], rows[1][2]),
            width=shape.plot_width,
            height=2 * _PANEL_PX + _PANEL_GAP_PX,
            padding=_PADDING,
            resolve=alt.Resolve(scale={"y": "independent"}),
        )


def cumulative_cost(
    costs: pd.DataFrame, currency: str, today: date, *, shape: Shape = WIDE
) -> alt.LayerChart:
    """Give what has been spent so far, in all and by category, as steps.

    Args:
        costs: Columns time, amount (in the currency), category.
        currency: Its code or sign.
        today: The day of the build, the right end of the axis.
        shape: Proportions.

    Returns:
        The chart; its description is the text alternative.
    """
    table = costs.assign(time=costs["time"].map(wall_time)).sort_values("time", kind="stable")
    span = time_span(table["time"], today)
    lines = _steps(table, span)
    totals = {name: rows[-1]["v"] for name, rows in lines.items()}
    reach = [row["v"] for rows in lines.values() for row in rows]
    # Outliers do not exist here: a dear day raises the sum for good.
    scale = value_scale([], [0.0, *reach, *([] if any(reach) else [1.0])], 0)
    texts = {name: f"{name} {total:,.0f}" for name, total in totals.items()}
    gutter = round(min(max(text_px(text, FONT_PX) for text in texts.values()), 150)) + 12
    frame = Frame(span, scale, shape, 0, interactive=False, gutter_px=gutter)
    title = f"Spent so far, {currency}"
    with unchecked():
        layers = [base_layer(frame), *header_layers(frame, title, "")]
        for number, rows in enumerate(lines.values()):
            layers.append(_step_line(frame, rows, number))
        return finished(
            [*layers, _line_labels(frame, totals, texts)],
            [],
            title,
            name=f"costs-{shape.name}",
            description=_cost_words(table, totals, currency),
            width=shape.plot_width,
            height=shape.plot_height,
            padding=_PADDING,
        )


def spread(wanted: Sequence[float], distance: float, most: float) -> list[float]:
    """Give places near the wanted ones that keep a distance from each other.

    Args:
        wanted: Places in px, ascending.
        distance: Least distance in px.
        most: Greatest place in px.

    Returns:
        Places in the same order.

    >>> spread([10, 12, 90], 15, 100)
    [10, 25, 90]
    """
    places: list[float] = []
    for place in wanted:
        places.append(max(place, places[-1] + distance) if places else place)
    for index in range(len(places) - 1, -1, -1):
        limit = most if index == len(places) - 1 else places[index + 1] - distance
        places[index] = min(places[index], limit)
    return places


def _months(times: Sequence[pd.Timestamp], today: date) -> list[pd.Timestamp]:
    """Give the firsts of all months from the first moment to the month after today's."""
    last = max([*times, wall_time(today)])
    first = min([*times, last])
    return list(
        pd.date_range(first.to_period("M").start_time, last + pd.offsets.MonthBegin(), freq="MS")
    )


def _counts(times: pd.Series, months: Sequence[pd.Timestamp]) -> list[int]:
    """Give how many of the times fall in each month."""
    found = times.map(wall_time).map(lambda time: (time.year, time.month)).value_counts()
    return [int(found.get((m.year, m.month), 0)) for m in months[:-1]]


def _bar_row(  # noqa: PLR0913
    shape: Shape,
    span: TimeSpan,
    months: Sequence[pd.Timestamp],
    number: int,
    name: str,
    role: Role,
    counts: Sequence[int],
) -> list[alt.Chart]:
    """Give one row of bars with its own scale and its name on top."""
    top = number * (_PANEL_PX + _PANEL_GAP_PX)
    most = max([*counts, 2])
    frame = Frame(span, ValueScale(0, most, 0, [0, most]), shape, 0, interactive=False)
    rows: list[Row] = []
    for begin, end, count in zip(months, months[1:], counts, strict=False):
        air = (end - begin) * 0.1
        if count:
            rows.append({"t": wall_text(begin + air), "t2": wall_text(end - air), "v": count})
    y = frame.y().axis(frame.value_axis())
    y["scale"]["range"] = [top + _PANEL_PX, top]
    foot: Row = {"t": wall_text(span.start), "t2": wall_text(span.end), "v": 0}
    base = layer(f"{name}-base", [foot]).mark_rule(color=colour("muted"), strokeWidth=0.8)
    bars = layer(name, rows or [foot]).mark_rect(color=colour(role))
    words = layer(f"{name}-words", [{}]).mark_text(
        text=f"{name} a month",
        align="left",
        baseline="bottom",
        color=colour("ink"),
        fontSize=FONT_PX,
    )
    x = frame.x().axis(frame.time_axis(whole_months=True))
    return [
        encoded(bars, x, y, alt.X2("t2"), alt.Y2Datum(0)),
        encoded(base, x, alt.X2("t2"), at_y(top + _PANEL_PX)),
        encoded(words, at_x(0), at_y(top - 5)),
    ]


def _months_words(
    months: Sequence[pd.Timestamp], entries: Sequence[int], photos: Sequence[int]
) -> str:
    """Give the text alternative of the bars."""
    first, last = months[0], months[-2]
    counts = f"{counted(sum(entries), 'entry', 'entries')} and {counted(sum(photos), 'photo')}"
    text = f"{counts} from {month_text(first)} to {month_text(last)}"
    if not any(entries):
        return f"{text}."
    best = entries.index(max(entries))
    return f"{text}; most entries in {month_text(months[best])}: {entries[best]}."


def _steps(table: pd.DataFrame, span: TimeSpan) -> dict[str, list[Row]]:
    """Give the growing sums as rows, the total first and then the dearest categories."""
    sums = table.groupby("category")["amount"].sum().sort_values(ascending=False, kind="stable")
    named = list(sums.index[:_MOST_CATEGORIES])
    if len(sums) == len(named) + 1:
        named = list(sums.index)
    shown = table["category"].where(table["category"].isin(named), "other")
    lines = {"in all": _growing(table, span)}
    if len(sums) > 1:
        for name in [*named, *(["other"] if len(sums) > len(named) else [])]:
            lines[str(name)] = _growing(table[shown == name], span)
    return lines


def _growing(table: pd.DataFrame, span: TimeSpan) -> list[Row]:
    """Give the growing sum of one line from the start of the axis to its end."""
    days = table.groupby(table["time"].dt.normalize())["amount"].sum().cumsum()
    values = [0.0, *(round(float(value), 2) for value in days)]
    times = [span.start, *(max(day, span.start) for day in pd.DatetimeIndex(days.index)), span.end]
    pairs = zip(times, [*values, values[-1]], strict=True)
    return [{"t": wall_text(day), "v": value} for day, value in pairs]


def _step_line(frame: Frame, rows: Sequence[Row], number: int) -> alt.Chart:
    """Give one line of steps; the total is the heavy one."""
    mark = layer(f"line-{number}", rows).mark_line(
        interpolate="step-after",
        color=colour("ink" if number == 0 else "kelp"),
        strokeWidth=2 if number == 0 else 1.4,
        strokeDash=_DASHES[max(0, number - 1) % len(_DASHES)],
    )
    return encoded(mark, frame.x(), frame.y())


def _line_labels(frame: Frame, totals: dict[str, float], texts: dict[str, str]) -> alt.Chart:
    """Give the name and sum of each line at its right end."""
    height = frame.shape.plot_height
    low, high = frame.scale.domain
    wanted = sorted(
        (height * (high - total) / (high - low), name) for name, total in totals.items()
    )
    places = spread([px for px, _ in wanted], _LABEL_PX, height - 4)
    rows = [
        {"px": round(px, 1), "says": texts[name]}
        for px, (_, name) in zip(places, wanted, strict=True)
    ]
    mark = layer("labels", rows).mark_text(
        align="left", baseline="middle", color=colour("ink"), fontSize=FONT_PX
    )
    return encoded(mark, at_x(frame.time_width + 6), alt.Y("px:Q", scale=None), alt.Text("says:N"))


def _cost_words(table: pd.DataFrame, totals: dict[str, float], currency: str) -> str:
    """Give the text alternative of the costs."""
    if table.empty:
        return "No costs written down yet."
    parts = [f"{name} {total:,.2f}\u00a0{currency}" for name, total in totals.items()]
    first, last = table["time"].iloc[0], table["time"].iloc[-1]
    period = f"from {day_text(first)} to {day_text(last)}"
    return f"Spent {period}: {', '.join(parts)}."
