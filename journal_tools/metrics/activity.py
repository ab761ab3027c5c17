"""How often the journal was kept."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from journal_tools.metrics.record import Metric, Metrics, Result
from journal_tools.moments import local_time, months_between, months_of, next_month
from journal_tools.tables import Tables


def _by_month(name: str, tables: Tables, frame: pd.DataFrame, unit: str) -> Iterator[Result]:
    """Count rows by month, from the first month to the last, empty months included."""
    if frame.empty:
        return
    months = months_of(frame["time"])
    counts = months.value_counts()
    for month in months_between(months.min(), months.max()):
        start = local_time(month, tables.profile)
        end = local_time(next_month(month), tables.profile)
        yield Result(name, float(counts.get(month, 0)), unit, 0, start=start, end=end)


def _entries(tables: Tables, _done: Metrics) -> Iterator[Result]:
    return _by_month("entries_per_month", tables, tables.entries, "entries")


def _photos(tables: Tables, _done: Metrics) -> Iterator[Result]:
    return _by_month("photos_per_month", tables, tables.photos, "photos")


ENTRIES_PER_MONTH = Metric(
    "entries_per_month", "Entries in each month", "entries",
    "Entries counted by calendar month.", "Definition.", "none", "", _entries,
)  # fmt: skip
PHOTOS_PER_MONTH = Metric(
    "photos_per_month", "Photos in each month", "photos",
    "Photos of entries counted by calendar month.", "Definition.", "none", "", _photos,
)  # fmt: skip
