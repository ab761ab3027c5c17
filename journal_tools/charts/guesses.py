"""Estimates made ready to draw: in order, with breaks, and no more than show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

import pandas as pd

from journal_tools.charts.said import drawable_rows, in_order
from journal_tools.charts.scale import TimeSpan, wall_text, wall_time
from journal_tools.charts.series import Row

_COLUMN_PX = 3
# A line across a month without an estimate would claim to know it. Common practice, no source.
_GAP_DAYS = 30
_GAP_TIMES_MEDIAN = 6


@dataclass(frozen=True, slots=True)
class Guess:
    """One estimate.

    Attributes:
        time: Wall time.
        value: The estimate.
        low: Lower end of its interval, None if unknown.
        high: Upper end, None if unknown.
    """

    time: pd.Timestamp
    value: float
    low: float | None
    high: float | None


def guesses(points: pd.DataFrame | None) -> list[Guess]:
    """Give the rows that hold a time and a number, in order of time.

    Args:
        points: Columns time, value, low, high; low and high may be missing.

    Returns:
        Estimates in wall time.
    """
    if points is None:
        return []
    table = points.reindex(columns=["time", "value", "low", "high"])
    table = drawable_rows(table[table["time"].notna()], "value")
    found = []
    for time, value, low, high in table.itertuples(index=False):
        found.append(Guess(wall_time(time), float(value), *in_order(low, high)))
    return sorted(found, key=lambda guess: guess.time)


def thinned(found: Sequence[Guess], span: TimeSpan, width_px: float) -> list[Guess]:
    """Give no more estimates than show: of each column of 3 px the telling ones.

    Args:
        found: Estimates in order of time.
        span: What the chart shows.
        width_px: Width of the plot.

    Returns:
        Of each column the first, the last, and those with the extremes of value and interval.

    Source:
        Jugel et al. (2014), M4: a visualization-oriented time series data aggregation,
        PVLDB 7(10), here with the interval's ends as well.
    """
    columns: dict[int, list[Guess]] = {}
    for guess in found:
        column = int(span.position(guess.time, width_px) / _COLUMN_PX)
        columns.setdefault(column, []).append(guess)
    return [guess for column in columns.values() for guess in _telling(column)]


def rows_of(found: Sequence[Guess], decimals: int) -> list[Row]:
    """Give estimates as rows; a row without values parts line and area at a long pause.

    Args:
        found: Estimates in order of time.
        decimals: Decimals in which values are written.

    Returns:
        Rows with t (wall time as text), v, lo and hi.
    """
    days = [(b.time - a.time) / pd.Timedelta(days=1) for a, b in pairwise(found)]
    longest = pd.Timedelta(days=max(_GAP_DAYS, _GAP_TIMES_MEDIAN * median(days or [0])))
    rows: list[Row] = []
    for before, guess in zip([None, *found], found, strict=False):
        if before is not None and guess.time - before.time > longest:
            rows.append({"t": wall_text(before.time), "v": None, "lo": None, "hi": None})
        ends = {"lo": guess.low, "hi": guess.high}
        short = {k: None if v is None else round(v, decimals + 2) for k, v in ends.items()}
        rows.append({"t": wall_text(guess.time), "v": round(guess.value, decimals + 2), **short})
    return rows


def _telling(column: list[Guess]) -> list[Guess]:
    """Give the estimates of a column that shape its outline."""
    whole = [i for i, guess in enumerate(column) if guess.low is not None]
    kept = {0, len(column) - 1}
    kept.add(min(range(len(column)), key=lambda i: column[i].value))
    kept.add(max(range(len(column)), key=lambda i: column[i].value))
    if whole:
        kept.add(min(whole, key=lambda i: column[i].low or 0.0))
        kept.add(max(whole, key=lambda i: column[i].high or 0.0))
    return [column[i] for i in sorted(kept)]
