"""The journal's data as open files: CSV tables, all metrics as JSON, and a data package.

Values are in canonical units, moments in ISO 8601 with the offset of the keeper's clock.

A spreadsheet would run a text cell that begins with ``=``, ``+``, ``-``, ``@`` or a tab as a
formula. In CSV such a cell gets an apostrophe before it, and so does one that begins with an
apostrophe: a reader gets every text back by taking one leading apostrophe away. JSON is as written.
"""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import asdict, dataclass
from typing import Any

import pandas as pd

from journal_tools.metrics import Metrics
from journal_tools.profile import Profile
from journal_tools.tables import COLUMNS, Tables

EXPORTED = (
    "readings", "calibrations", "doses", "stock", "water_changes", "top_offs", "livestock",
    "equipment", "costs", "upkeep", "feedings", "photos",
)  # fmt: skip
_COLUMN_WORDS = {
    "time": "Moment, ISO 8601 with offset", "parameter": "Name of the water parameter",
    "value": "Value in the unit beside it", "unit": "Unit", "error": "One standard deviation",
    "censored": "below or above where the test could say no more",
    "kit": "Test used, in the keeper's words", "when": "Before or after a dose or change",
    "entry": "Id of the entry; empty for the profile", "line": "Line of the fact in its file",
    "product": "Supplement", "amount": "Amount in the unit beside it",
    "scheduled": "true where a dosing plan says so, false for a single dose",
    "spread": "true where it runs in over the day", "step": "Smallest step of the test",
    "shown": "Value before any correction", "correction": "What was corrected",
    "instrument": "Instrument, in the keeper's words", "standard": "Value of the standard",
    "millivolts": "What an electrode gave, in mV",
    "adjusted": "true where the instrument was set right afterwards",
    "volume_l": "Volume in litres", "event": "What happened", "name": "What it happened to",
    "group": "fish, coral, invertebrate, plant or other", "count": "How many",
    "length_cm": "Length in cm", "why": "Reason or note", "kind": "Kind of equipment",
    "detail": "New setting or note", "what": "What it was", "category": "Category of cost",
    "task": "Upkeep task", "note": "Note", "amount_g": "Mass in g", "file": "Original file name",
    "view": "Camera place", "caption": "Caption", "day": "The keeper's day",
    "metric": "Name of the metric", "subject": "What it is about",
    "low": "Lower end of the interval",
    "high": "Upper end of the interval", "start": "First moment covered",
    "end": "Last moment covered", "method": "How it is computed",
}  # fmt: skip
_NOT_TOLD = ("compute", "of_parameter")
METRIC_COLUMNS = (
    "metric", "subject", "start", "end", "value", "unit", "low", "high", "method",
)  # fmt: skip


@dataclass(frozen=True)
class DataFile:
    """One file of the data folder: its name, text, and (for a table) columns and rows."""

    name: str
    text: str
    columns: tuple[str, ...] = ()
    rows: int = 0


def data_files(tables: Tables, metrics: Metrics) -> list[DataFile]:
    """Give every file of the public ``data/`` folder."""
    frames = [(name, getattr(tables, name), _published_columns(name)) for name in EXPORTED]
    shown = [
        (name, frame, columns)
        for name, frame, columns in frames
        if name != "costs" or tables.profile.privacy.show_costs
    ]
    files = [_table(f"{name}.csv", frame[list(columns)]) for name, frame, columns in shown]
    files.append(_table("metrics.csv", _metric_frame(metrics)))
    files.append(DataFile("metrics.json", metrics_json(metrics)))
    files.append(DataFile("datapackage.json", _package(files, tables.profile)))
    return files


def _published_columns(name: str) -> tuple[str, ...]:
    return tuple(column for column in COLUMNS[name] if column != "day")


def _table(name: str, frame: pd.DataFrame) -> DataFile:
    written = frame.copy()
    for column in written:
        if isinstance(written[column].dtype, pd.DatetimeTZDtype):
            written[column] = written[column].map(_iso, na_action="ignore")
        elif written[column].dtype == bool:
            written[column] = written[column].map({True: "true", False: "false"})
        elif pd.api.types.is_string_dtype(written[column].dtype):
            written[column] = written[column].map(as_cell, na_action="ignore")
    text = written.to_csv(index=False, lineterminator="\r\n", float_format="%.10g")
    return DataFile(name, text, tuple(frame.columns), len(frame))


def as_cell(text: str) -> str:
    """Give a text as a CSV cell that no spreadsheet takes for a formula.

    Source:
        OWASP, CSV injection (signs that begin a formula).

    >>> as_cell("-5 psu batch"), as_cell("salt")
    ("'-5 psu batch", 'salt')
    """
    return f"'{text}" if text.startswith(("=", "+", "-", "@", "\t", "\r", "'")) else text


def _iso(moment: dt.datetime | None) -> str:
    return moment.isoformat(timespec="seconds") if moment is not None else ""


def _metric_frame(metrics: Metrics) -> pd.DataFrame:
    rows = [
        (r.metric, r.subject, _iso(r.start), _iso(r.end), r.value, r.unit, r.low, r.high,
         metrics.definitions[r.metric].method)
        for r in metrics
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=list(METRIC_COLUMNS))


def metrics_json(metrics: Metrics) -> str:
    """Give definitions and results with their inputs as JSON."""
    definitions = {
        name: {
            key: value
            for key, value in vars(metric).items()
            if key not in ("compute", "of_parameter")
        }
        | {"caution": metric.caution}
        for name, metric in metrics.definitions.items()
        if metrics.of(name)
    }
    records = [asdict(r) | {"start": _iso(r.start), "end": _iso(r.end)} for r in metrics]
    whole = {"definitions": definitions, "results": records}
    return json.dumps(whole, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _package(files: list[DataFile], profile: Profile) -> str:
    """Describe the tables.

    Source:
        Data Package v2, Table Schema (datapackage.org standard).
    """
    package: dict[str, Any] = {
        "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
        "name": "tank-journal",
        "title": f"Tank journal: {profile.name}",
        "resources": [_resource(file) for file in files if file.columns],
    }
    return json.dumps(package, ensure_ascii=False, indent=1) + "\n"


def _resource(file: DataFile) -> dict[str, Any]:
    return {
        "name": file.name.removesuffix(".csv").replace("_", "-"),
        "path": file.name,
        "type": "table",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": {"fields": [_field(column) for column in file.columns]},
    }


def _field(column: str) -> dict[str, str]:
    words = _COLUMN_WORDS.get(column) or f"New water: {column.removeprefix('fresh_')}"
    return {"name": column, "type": _type(column), "description": words}


_NUMBERS = {
    "step",
    "shown",
    "standard",
    "millivolts",
    "value",
    "error",
    "amount",
    "volume_l",
    "length_cm",
    "amount_g",
    "low",
    "high",
}


def _type(column: str) -> str:
    if column in _NUMBERS or column.startswith("fresh_"):
        return "number"
    if column in ("line", "count"):
        return "integer"
    if column in ("scheduled", "spread", "adjusted"):
        return "boolean"
    return "datetime" if column in ("time", "start", "end") else "string"
