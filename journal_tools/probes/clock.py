"""The times of a probe's rows as moments: any clock, summer time included, in rising order."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import cast

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from journal_tools.kinds import FIRST_YEAR, LAST_YEAR
from journal_tools.probes.description import TimeColumn
from journal_tools.probes.faults import Fault, counted, first_of
from journal_tools.probes.summer_time import NOT_A_TIME, local_moments, nanoseconds_of
from journal_tools.probes.table_file import Table
from journal_tools.problems import excerpt

_NS = {"s": 1e9, "ms": 1e6}
_FIRST_NS = int(np.datetime64(f"{FIRST_YEAR}-01-01", "ns").astype(np.int64))
_LAST_NS = int(np.datetime64(f"{LAST_YEAR + 1}-01-01", "ns").astype(np.int64))
_OFFSET = r"(?:Z|[+-]\d\d:?\d\d)$"
_FORMATS = (
    "%d.%m.%Y %H:%M:%S", "%d.%m.%Y %H:%M", "%d/%m/%Y %H:%M:%S", "%d/%m/%Y %H:%M",
    "%m/%d/%Y %H:%M:%S", "%m/%d/%Y %H:%M", "%m/%d/%Y %I:%M:%S %p", "%m/%d/%Y %I:%M %p",
    "%Y/%m/%d %H:%M:%S", "%Y/%m/%d %H:%M", "%d-%m-%Y %H:%M:%S", "%d-%m-%Y %H:%M",
    "%Y.%m.%d %H:%M:%S", "%Y-%m-%d %H.%M.%S", "%d.%m.%y %H:%M:%S", "%d.%m.%y %H:%M",
)  # fmt: skip
"""Ways to write a time that a hint may name."""


@dataclass(frozen=True)
class Moments:
    """When the usable rows were taken.

    Attributes:
        ns: Nanoseconds since 1970 UTC, rising.
        rows: Which row of the table each one is; None where it is every row in order.
        faults: What was wrong with the others.
    """

    ns: NDArray[np.int64]
    rows: NDArray[np.intp] | None
    faults: list[Fault]

    def of(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Give the values of these rows."""
        return values if self.rows is None else values[self.rows]


def moments_of(
    table: Table, column: TimeColumn, zone: str, first: dt.datetime, until: dt.datetime | None
) -> Moments:
    """Give the moments of a table's rows.

    Args:
        table: The columns; that of the times must be among them.
        column: What the keeper says of it.
        zone: Time zone of its clock.
        first: Moment before which a clock must have been wrong.
        until: Moment after which it must have been wrong; None if any is fine.
    """
    series = table.columns[column.column]
    faults: list[Fault] = []
    if series.isna().all():
        what = "None of the times can be read."
        return _none(Fault("probe-time", what, "Look whether the file is empty."))
    if column.unit is not None:
        ns = _from_numbers(series, column.unit)
    else:
        read = _from_text(series, column)
        if isinstance(read, Fault):
            line, place = table.place(int(np.argmax(series.notna())), column.column)
            return _none(Fault(read.code, read.what, read.hint, line, place))
        ns = _in_utc(read, zone, table, column.column, faults)
    faults[:0] = _unreadable(ns, series, table, column)
    faults += _out_of_range(ns, first, until, table, column.column)
    return _rising(ns, faults, table, column.column)


def _none(fault: Fault) -> Moments:
    return Moments(np.empty(0, np.int64), None, [fault])


def _from_numbers(series: pd.Series, unit: str) -> NDArray[np.int64]:
    numbers = pd.to_numeric(series, errors="coerce").to_numpy(np.float64, na_value=np.nan)
    scaled = numbers * _NS[unit]
    fine = (scaled >= _FIRST_NS) & (scaled < _LAST_NS)
    # Rounded to milliseconds: a float holds seconds of today to a tenth of a microsecond only.
    ms = np.rint(np.where(fine, scaled, 0) / 1e6).astype(np.int64)
    return np.where(fine, ms * 1_000_000, NOT_A_TIME)


def _from_text(series: pd.Series, column: TimeColumn) -> pd.DatetimeIndex | Fault:
    """Give the times as written, with a zone only if that was written, too."""
    if isinstance(series.dtype, np.dtype | pd.DatetimeTZDtype) and series.dtype.kind == "M":
        return pd.DatetimeIndex(series)
    texts = series.astype("str").where(series.notna()).str.strip()
    how = column.format or "ISO8601"
    example = str(texts[texts.notna()].iloc[0])
    if column.format is None and re.fullmatch(r"\d{9,}(\.\d+)?", example):
        hint = "Write 'unit: s' or 'unit: ms' if they count from 1970, else a 'format'."
        return Fault("probe-time", f"The times are numbers; the first is {example}.", hint)
    try:
        if re.search(_OFFSET, example):
            # What lacks an offset among times that have one could be an hour off.
            texts = texts.where(texts.str.contains(_OFFSET, regex=True, na=False))
            read = pd.to_datetime(texts, format=how, errors="coerce", utc=True)
        else:
            with_zone = texts.str.endswith("Z") | texts.str.contains("+", regex=False)
            read = pd.to_datetime(
                texts.mask(with_zone.fillna(False).astype(bool)), format=how, errors="coerce"
            )
    except ValueError as error:
        what = f"The format '{excerpt(how)}' cannot be used: {excerpt(error, 80)}."
        return Fault("probe-time", what, "Write it like '%d.%m.%Y %H:%M'.")
    if read.isna().all():
        what = f"None of the times can be read; the first is '{excerpt(example)}'."
        return Fault("probe-time", what, _format_hint(example))
    return pd.DatetimeIndex(read)


def _format_hint(example: str) -> str:
    fitting = list(_fitting(example))
    if fitting:
        return "Write " + " or ".join(f"format: '{form}'" for form in fitting[:2]) + "."
    return "Write its format, such as format: '%d.%m.%Y %H:%M'."


def _fitting(example: str) -> Iterator[str]:
    for form in _FORMATS:
        try:
            dt.datetime.strptime(example, form)
        except ValueError:
            continue
        yield form


def _in_utc(
    read: pd.DatetimeIndex, zone: str, table: Table, heading: str, faults: list[Fault]
) -> NDArray[np.int64]:
    """Give moments in ns; of a local clock the hours that clock changes skip or repeat told."""
    read = _within_years(read)
    if read.tz is not None:
        return nanoseconds_of(read.tz_convert("UTC"))
    if zone == "UTC":
        return nanoseconds_of(read)
    ns, found = local_moments(read, zone)
    faults += [fault.at_row(*table.place(row, heading)) for row, fault in found]
    return ns


def _within_years(read: pd.DatetimeIndex) -> pd.DatetimeIndex:
    """Take out what nanoseconds could not hold."""
    first, last = read.min(), read.max()
    if pd.isna(first) or (first.year >= FIRST_YEAR and last.year <= LAST_YEAR):
        return read
    years = read.year
    fine = (years >= FIRST_YEAR) & (years <= LAST_YEAR)
    return pd.DatetimeIndex(read.where(fine))


def _unreadable(
    ns: NDArray[np.int64], series: pd.Series, table: Table, column: TimeColumn
) -> list[Fault]:
    """Give the fault of rows with a text for a time that is none."""
    bad = (ns == NOT_A_TIME) & series.notna().to_numpy()
    if column.unit is None and bad.any():
        # Those that a clock change skips have a fault of their own.
        bad[bad] = ~_readable(series[bad], column)
    if not bad.any():
        return []
    number, first = first_of(bad)
    said = excerpt(series.iloc[first])
    what = f"{counted(number, 'time', 'times')} cannot be read; the first is '{said}'."
    hint = "Such rows are left out. Remove them, or write the times alike."
    return [Fault("probe-time", what, hint, *table.place(first, column.column))]


def _readable(series: pd.Series, column: TimeColumn) -> NDArray[np.bool_]:
    """Tell which of some times can be read and lie in a year that can be."""
    if series.dtype.kind != "M":
        texts = series.astype("str").str.strip()
        series = pd.to_datetime(texts, format=column.format or "ISO8601", errors="coerce", utc=True)
    return np.asarray(series.dt.year.between(FIRST_YEAR, LAST_YEAR), dtype=bool)


def _out_of_range(
    ns: NDArray[np.int64], first: dt.datetime, until: dt.datetime | None, table: Table, heading: str
) -> list[Fault]:
    """Take out the moments at which a clock must have been wrong, and tell of them."""
    told = ns != NOT_A_TIME
    early = told & (ns < _moment_ns(first))
    late = told & (ns >= _moment_ns(until)) if until is not None else np.zeros(ns.size, bool)
    odd = early | late
    if not odd.any():
        return []
    number, row = first_of(odd)
    said = pd.Timestamp(int(ns[row]), unit="ns", tz="UTC")
    when = "long before the tank's start" if early[row] else "in the future"
    what = f"{counted(number, 'row has a time', 'rows have times')} {when} ({said:%Y-%m-%d})."
    ns[odd] = NOT_A_TIME
    hint = "Set the clock of the device; such rows are left out."
    return [Fault("probe-time-range", what, hint, *table.place(row, heading))]


def _moment_ns(moment: dt.datetime) -> int:
    return int(pd.Timestamp(moment).tz_convert("UTC").as_unit("ns").value)


def _rising(ns: NDArray[np.int64], faults: list[Fault], table: Table, heading: str) -> Moments:
    """Give the told moments in rising order, each once."""
    rows: NDArray[np.intp] | None = None
    if (ns == NOT_A_TIME).any():
        rows = np.flatnonzero(ns != NOT_A_TIME)
        ns = ns[rows]
    steps = np.diff(ns)
    if steps.size and (steps <= 0).all() and (steps < 0).any():
        # Newest first is an order, too.
        rows = np.arange(ns.size)[::-1] if rows is None else rows[::-1]
        ns, steps = ns[::-1], -steps[::-1]
    if (steps < 0).any():
        number, before = first_of(steps < 0)
        at = before + 1 if rows is None else int(rows[before + 1])
        what = f"{counted(number, 'row goes', 'rows go')} back in time."
        hint = "The rows are sorted. Look for parts that were pasted in, or a clock set back."
        faults.append(Fault("probe-order", what, hint, *table.place(at, heading)))
        order = np.argsort(ns, kind="stable")
        rows = order if rows is None else rows[order]
        ns = ns[order]
        steps = np.diff(ns)
    if not (steps == 0).any():
        return Moments(ns, rows, faults)
    number, before = first_of(steps == 0)
    at = before + 1 if rows is None else int(rows[before + 1])
    what = f"{counted(number, 'row has', 'rows have')} the time of another row."
    hint = "The first of them counts. Remove the doubles."
    faults.append(Fault("probe-doubles", what, hint, *table.place(at, heading)))
    kept = np.concatenate([[True], steps > 0])
    rows = np.flatnonzero(kept) if rows is None else rows[kept]
    return Moments(ns[kept], cast("NDArray[np.intp]", rows), faults)
