"""A journal as tidy tables: one row per fact, canonical units, keeper's local time.

Every table has ``entry`` (id of the entry, ``""`` for the profile) and ``line`` (of the fact in
its file), so that each number on a page leads back to what was written.
"""

from __future__ import annotations

import datetime as dt
from collections import namedtuple
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import pandas as pd

from journal_tools.cache import Cache
from journal_tools.journal import Journal
from journal_tools.moments import local_time
from journal_tools.parameters import PARAMETERS
from journal_tools.probes import PROBE_DAY_COLUMNS, Probes, load_probes, probe_days
from journal_tools.profile import Profile
from journal_tools.quantities import Band
from journal_tools.rows import Row, journal_rows

_TRACE = ("entry", "line")


COLUMNS: dict[str, tuple[str, ...]] = {
    "entries": ("time", "day", "title", "tags", "milestone", "photos", *_TRACE),
    "readings": (
        "time", "parameter", "value", "unit", "error", "censored", "kit", "when", "step",
        "shown", "correction", *_TRACE),
    "calibrations": (
        "time", "instrument", "parameter", "standard", "shown", "millivolts", "adjusted", *_TRACE),
    "doses": ("time", "product", "amount", "unit", "scheduled", "spread", *_TRACE),
    "stock": ("time", "product", "amount", "unit", *_TRACE),
    "water_changes": ("time", "volume_l", *(f"fresh_{name}" for name in PARAMETERS), *_TRACE),
    "top_offs": ("time", "volume_l", "product", *_TRACE),
    "livestock": ("time", "event", "name", "group", "count", "length_cm", "why", *_TRACE),
    "equipment": ("time", "event", "name", "kind", "detail", *_TRACE),
    "costs": ("time", "what", "category", "amount", *_TRACE),
    "upkeep": ("time", "task", "note", *_TRACE),
    "feedings": ("time", "what", "amount_g", *_TRACE),
    "photos": ("time", "day", "file", "view", "caption", *_TRACE),
    "targets": ("start", "parameter", "low", "high", "stage"),
    "probe_days": PROBE_DAY_COLUMNS,
}  # fmt: skip
"""Columns of every table, in order."""


_TEXT = frozenset({
    "title", "tags", "milestone", "parameter", "unit", "censored", "kit", "when", "product",
    "event", "name", "group", "why", "kind", "instrument", "correction", "detail", "what",
    "category", "task", "note", "file", "view", "caption", "entry", "stage",
})  # fmt: skip


@dataclass(frozen=True)
class Tables:
    """All facts of a journal.

    Attributes are data frames with the columns of :data:`COLUMNS`; ``profile`` and ``today``
    come along because metrics need them.
    """

    profile: Profile
    today: dt.date
    entries: pd.DataFrame
    readings: pd.DataFrame
    calibrations: pd.DataFrame
    doses: pd.DataFrame
    stock: pd.DataFrame
    water_changes: pd.DataFrame
    top_offs: pd.DataFrame
    livestock: pd.DataFrame
    equipment: pd.DataFrame
    costs: pd.DataFrame
    upkeep: pd.DataFrame
    feedings: pd.DataFrame
    photos: pd.DataFrame
    targets: pd.DataFrame
    probe_days: pd.DataFrame
    probes: Probes = field(default_factory=Probes)

    @property
    def now(self) -> pd.Timestamp:
        """The end of today, in the keeper's time zone."""
        return local_time(self.today + dt.timedelta(days=1), self.profile)

    def days_ago(self, days: int) -> pd.Timestamp:
        """Give the moment that lies so many of the keeper's days before :attr:`now`."""
        return local_time(self.today + dt.timedelta(days=1 - days), self.profile)

    def state_of(self, piece: str) -> str:
        """Give ``removed`` or ``failed`` if that came last to a piece, else ``in service``."""
        events = self.equipment[self.equipment["name"] == piece]["event"]
        moves = [event for event in events if event in ("installed", "removed", "failed")]
        return moves[-1] if moves and moves[-1] != "installed" else "in service"

    def readings_of(self, parameter: str) -> pd.DataFrame:
        """Give the readings of one parameter by time."""
        return self.readings[self.readings["parameter"] == parameter]

    def band(self, parameter: str, day: dt.date) -> Band | None:
        """Give the target band that holds on a day, or None."""
        found = None
        for start, band in self._bands.get(parameter, ()):
            found = band if start <= day else found
        return found

    @cached_property
    def _bands(self) -> dict[str, list[tuple[dt.date, Band]]]:
        """Bands of each parameter by the day from which they hold: pages ask for them often."""
        bands: dict[str, list[tuple[dt.date, Band]]] = {}
        for row in rows_of(self.targets):
            ends = (None if pd.isna(end) else float(end) for end in (row.low, row.high))
            bands.setdefault(row.parameter, []).append((row.start.date(), Band(*ends)))
        return bands


def build_tables(journal: Journal, cache: Cache | None = None) -> Tables:
    """Give the tables of a journal; probe files that the cache knows are not read again."""
    profile, rows = journal.profile, journal_rows(journal)
    frames = {name: _frame(name, data, profile) for name, data in rows.items()}
    probes = load_probes(journal.folder, profile, journal.today, cache)
    frames["probe_days"] = probe_days(probes.series, profile.time_zone)
    return Tables(profile=profile, today=journal.today, probes=probes, **frames)


def _frame(name: str, rows: list[Row], profile: Profile) -> pd.DataFrame:
    columns = COLUMNS[name]
    frame = pd.DataFrame(rows, columns=list(columns))
    for column in columns:
        if column in ("time", "start"):
            utc = pd.to_datetime(frame[column], utc=True).astype("datetime64[us, UTC]")
            frame[column] = utc.dt.tz_convert(profile.time_zone)
        elif column in _TEXT:
            frame[column] = frame[column].astype("object").fillna("").astype("str")
        elif column in ("line", "count", "photos"):
            frame[column] = frame[column].astype("int64")
        elif column in ("scheduled", "spread", "adjusted"):
            frame[column] = frame[column].astype("bool")
        elif column == "day":
            frame[column] = frame[column].astype("object")
        else:
            frame[column] = frame[column].astype("float64")
    key = "start" if name == "targets" else "time"
    return frame.sort_values(key, kind="stable", ignore_index=True)


def rows_of(frame: pd.DataFrame) -> Iterator[Any]:
    """Give the rows of a table as named tuples."""
    # itertuples asks Arrow for one text at a time, which takes ten times as long.
    row = namedtuple("Row", frame.columns)  # type: ignore[misc]
    columns = [frame[name].astype(object).to_numpy().tolist() for name in frame.columns]
    return map(row._make, zip(*columns, strict=True))
