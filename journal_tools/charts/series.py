"""Readings made ready to draw: gaps, values off the scale, and no more points than show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median
from typing import Any

import numpy as np
import pandas as pd

from journal_tools.charts.scale import TimeSpan, ValueScale
from journal_tools.charts.target import Charted, amount
from journal_tools.words import day_text

Row = dict[str, Any]

_DAY_MS = 86_400_000
# A line across a month without a test would claim to know it. Common practice, no source.
_GAP_DAYS = 30
_GAP_TIMES_MEDIAN = 6
# Two px is less than a dot; what lies between the extremes of such a column cannot be told apart.
_COLUMN_PX = 2


@dataclass(frozen=True, slots=True)
class Point:
    """One reading.

    Attributes:
        ms: Wall time in ms since 1970.
        text: Wall time as text.
        value: In the parameter's unit; of a censored reading the limit of the test.
        error: Half width of one standard deviation, None if unknown.
        censored: "", "below" or "above".
        kit: What it was measured with.
        entry: Id of the entry that holds it.
    """

    ms: int
    text: str
    value: float
    error: float | None
    censored: str
    kit: str
    entry: str

    @property
    def time(self) -> pd.Timestamp:
        """Give the wall time."""
        return pd.Timestamp(self.ms, unit="ms")


def points(readings: pd.DataFrame) -> list[Point]:
    """Give the readings in order of time, without those that lack a time or value.

    Args:
        readings: Columns time, value, error, censored, kit, entry.

    Returns:
        One point a reading, in wall time.
    """
    told = readings["value"].notna() & readings["time"].notna()
    table = readings[told].sort_values("time", kind="stable")
    if table.empty:
        return []
    wall = table["time"].dt.tz_localize(None).to_numpy().astype("datetime64[ms]")
    errors = [float(e) if e > 0 else None for e in table["error"]]
    return [
        Point(ms, str(text), float(value), error, str(censored or ""), str(kit), str(entry))
        for ms, text, value, error, censored, kit, entry in zip(
            wall.astype("int64").tolist(),
            np.datetime_as_string(wall, unit="s"),
            table["value"],
            errors,
            table["censored"],
            table["kit"],
            table["entry"],
            strict=True,
        )
    ]


def reach(found: Sequence[Point]) -> list[float]:
    """Give all values that the value axis should hold: readings and the ends of error bars.

    Args:
        found: The readings.

    Returns:
        Values. Error bars of more than five times the spread of the readings are left out, since
        they would flatten what the readings show (common practice, no source).
    """
    values = [p.value for p in found]
    spread = max(values, default=0.0) - min(values, default=0.0)
    errors = [(p.value, p.error) for p in found if p.error and not p.censored]
    kept = [(v, e) for v, e in errors if e <= 5 * spread or not spread]
    return values + [v - e for v, e in kept] + [v + e for v, e in kept]


def line_rows(
    found: Sequence[Point], span: TimeSpan, width_px: float | None, decimals: int
) -> list[Row]:
    """Give the rows of line, dots and error bars; a row without a value breaks the line.

    Args:
        found: Readings in order of time.
        span: What the chart shows.
        width_px: Width of the plot for which points too dense to see are left out; None keeps all.
        decimals: Decimals of the parameter.

    Returns:
        Rows with t (wall time as text), v (value or None) and e (error or None).
    """
    shown = found if width_px is None else _thinned(found, span, width_px)
    longest = _longest_gap_ms(found)
    rows: list[Row] = []
    before: Point | None = None
    for point in shown:
        if before is not None and point.ms - before.ms > longest:
            rows.append({"t": before.text, "v": None, "e": None})
        value = None if point.censored else _short(point.value, decimals)
        error = None if point.censored or point.error is None else _short(point.error, decimals)
        rows.append({"t": point.text, "v": value, "e": error})
        before = point
    return rows


def censored_rows(found: Sequence[Point], side: str) -> list[Row]:
    """Give the rows of the readings that say only "below" or only "above".

    Args:
        found: The readings.
        side: "below" or "above".

    Returns:
        Rows with t and v, the limit of the test.
    """
    return [{"t": p.text, "v": p.value} for p in found if p.censored == side]


def off_scale_rows(
    parameter: Charted, found: Sequence[Point], scale: ValueScale, side: str
) -> list[Row]:
    """Give the rows of readings beyond one end of the value axis.

    Args:
        parameter: What is measured.
        found: The readings.
        scale: The value axis.
        side: "low" or "high".

    Returns:
        Rows with t and says, the value in words.
    """
    beyond = [p for p in found if (p.value < scale.low if side == "low" else p.value > scale.high)]
    return [{"t": p.text, "says": amount(parameter, p.value)} for p in beyond]


def hover_rows(parameter: Charted, found: Sequence[Point]) -> list[Row]:
    """Give the rows behind the tooltips of an interactive chart.

    Args:
        parameter: What is measured.
        found: The readings.

    Returns:
        Rows with t, v, says (value, error and unit in words), when, kit and entry.
    """
    return [
        {
            "t": p.text,
            "v": p.value,
            "says": reading_words(parameter, p),
            "when": f"{day_text(p.time)}, {p.time:%H:%M}",
            "kit": p.kit,
            "entry": p.entry,
        }
        for p in found
    ]


def reading_words(parameter: Charted, point: Point) -> str:
    """Give a reading in words: value, unit, and its error or its "below".

    Args:
        parameter: What is measured.
        point: The reading.

    Returns:
        Such as "8.2 dKH ± 0.3", "below 0.02 ppm".
    """
    words = amount(parameter, point.value)
    if point.censored:
        return f"{point.censored} {words}"
    return words if point.error is None else f"{words} ± {point.error:.2g}"


def _longest_gap_ms(found: Sequence[Point]) -> float:
    """Give the longest pause over which a line is still drawn, in ms."""
    pauses = [b.ms - a.ms for a, b in pairwise(found)]
    return max(_GAP_DAYS * _DAY_MS, _GAP_TIMES_MEDIAN * median(pauses or [0]))


def _short(value: float, decimals: int) -> float:
    """Give a value with two decimals more than it is written in: less text, nothing to see."""
    return round(value, decimals + 2)


def _thinned(found: Sequence[Point], span: TimeSpan, width_px: float) -> list[Point]:
    """Give the first, lowest, highest and last reading of each column of two px.

    The line keeps its envelope and the widest spread stays visible. Source: Jugel et al. (2014),
    M4: a visualization-oriented time series data aggregation, PVLDB 7(10).
    """
    start, end = span.domain
    per_ms = width_px / (end - start) / _COLUMN_PX
    columns: dict[int, list[Point]] = {}
    for point in found:
        columns.setdefault(int((point.ms - start) * per_ms), []).append(point)
    return [point for column in columns.values() for point in _column(column)]


def _column(column: list[Point]) -> list[Point]:
    """Give the at most four telling readings of a column, and all that are censored."""
    if len(column) <= 4:
        return column
    plain = [i for i, p in enumerate(column) if not p.censored]
    if not plain:
        return [column[0], column[-1]]
    lowest = min(plain, key=lambda i: column[i].value)
    highest = max(plain, key=lambda i: column[i].value)
    return [column[i] for i in sorted({plain[0], lowest, highest, plain[-1]})]
