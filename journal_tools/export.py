"""The journal's data as open files: CSV tables, all metrics as JSON, and a data package.

Values are in canonical units, moments in ISO 8601 with the offset of the keeper's clock; without
it where the keeper hides the place, and days alone where times are hidden.

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

from journal_tools.citation import Citation, citation_of
from journal_tools.crate import CRATE_FILE, crate_json
from journal_tools.metrics import Metrics
from journal_tools.profile import Privacy
from journal_tools.tables import COLUMNS, Tables

EXPORTED = (
    "readings", "calibrations", "doses", "stock", "water_changes", "top_offs", "livestock",
    "equipment", "costs", "upkeep", "feedings", "photos", "probe_days",
)  # fmt: skip
_COLUMN_WORDS = {
    "time": "Moment, ISO 8601", "parameter": "Name of the water parameter",
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
    "minimum": "Lowest value of the keeper's day, in the unit beside it",
    "mean": "Mean over the known time, in the unit beside it",
    "maximum": "Highest value of the day, in the unit beside it",
    "known_h": "Hours of the day that are known",
    "outside_h": "Of these, hours outside the band",
    "longest_gap_h": "Longest time to the next value, in h",
    "largest_rate_per_h": "Fastest change an hour, in the unit beside it",
    "flagged": "Values that a test of quality doubts or failed",
    "failed": "Of these, left out as wrong", "lowest_at": "Moment of the lowest value",
    "highest_at": "Moment of the highest value", "source": "Probe file",
    "metric": "Name of the metric", "subject": "What it is about",
    "low": "Lower end of the interval",
    "high": "Upper end of the interval", "start": "First moment covered",
    "end": "Last moment covered", "method": "How it is computed",
}  # fmt: skip
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


def data_files(tables: Tables, metrics: Metrics, home: str = "") -> list[DataFile]:
    """Give every file of the public ``data/`` folder.

    Args:
        tables: The facts.
        metrics: What was derived from them.
        home: Address of the site, or ``""``.
    """
    profile = tables.profile
    privacy = profile.privacy
    frames = [(name, getattr(tables, name), _published_columns(name)) for name in EXPORTED]
    shown = [
        (name, frame, columns)
        for name, frame, columns in frames
        if name != "costs" or privacy.show_costs
    ]
    files = [_table(f"{name}.csv", frame[list(columns)], privacy) for name, frame, columns in shown]
    files.append(_table("metrics.csv", _metric_frame(metrics, privacy), privacy))
    files.append(DataFile("metrics.json", metrics_json(metrics, privacy)))
    citation = citation_of(profile, tables.today, home)
    files.append(DataFile("datapackage.json", _package(files, citation, tables)))
    files.append(DataFile("citation.txt", citation.text))
    described = [(f.name, len(f.text.encode()), _file_words(f)) for f in files]
    files.append(DataFile(CRATE_FILE, crate_json(citation, tables.today, described)))
    return files


def _file_words(file: DataFile) -> str:
    named = {
        "metrics.json": "All derived figures with what went into them",
        "datapackage.json": "Description of the tables (Data Package)",
        "citation.txt": "How to cite, and the terms of use",
    }
    return named.get(file.name) or f"Table of {file.name.removesuffix('.csv').replace('_', ' ')}"


def _published_columns(name: str) -> tuple[str, ...]:
    return tuple(column for column in COLUMNS[name] if column != "day")


def _table(name: str, frame: pd.DataFrame, privacy: Privacy) -> DataFile:
    written = frame.copy()
    for column in written:
        if isinstance(written[column].dtype, pd.DatetimeTZDtype):
            told = [None if pd.isna(moment) else _iso(moment, privacy) for moment in frame[column]]
            written[column] = pd.Series(told, index=written.index, dtype="object")
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


def _iso(moment: dt.datetime | None, privacy: Privacy) -> str:
    if moment is None:
        return ""
    if not privacy.exact_times:
        return moment.date().isoformat()
    shown = moment if privacy.show_place else moment.replace(tzinfo=None)
    return shown.isoformat(timespec="seconds")


def _metric_frame(metrics: Metrics, privacy: Privacy) -> pd.DataFrame:
    rows = [
        (r.metric, r.subject, _iso(r.start, privacy), _iso(r.end, privacy), r.value, r.unit,
         r.low, r.high, metrics.definitions[r.metric].method)
        for r in metrics
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=list(METRIC_COLUMNS))


def metrics_json(metrics: Metrics, privacy: Privacy) -> str:
    """Give definitions and results with their inputs as JSON.

    Args:
        metrics: The results.
        privacy: What their keeper hides; it decides how moments are written.
    """
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
    records = [
        asdict(r) | {"start": _iso(r.start, privacy), "end": _iso(r.end, privacy)} for r in metrics
    ]
    whole = {"definitions": definitions, "results": records}
    return json.dumps(whole, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _package(files: list[DataFile], citation: Citation, tables: Tables) -> str:
    """Describe the tables.

    Source:
        Data Package v2, Table Schema (datapackage.org standard).
    """
    data = citation.licences.get("data")
    package: dict[str, Any] = {
        "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
        "name": "tank-journal",
        "title": f"Tank journal: {citation.title}",
        "created": f"{tables.today}T00:00:00Z",
        "resources": [_resource(f, tables.profile.privacy) for f in files if f.columns],
    }
    if citation.url:
        package["homepage"] = citation.url
    if citation.keeper:
        package["contributors"] = [{"title": citation.keeper, "roles": ["creator"]}]
    if data is not None and data.url:
        package["licenses"] = [{"name": data.said, "title": data.name, "path": data.url}]
    elif data is not None:
        # The standard wants an id or an address; free words have neither, the file beside has both.
        package["licenses"] = [{"path": "citation.txt", "title": data.said}]
    return json.dumps(package, ensure_ascii=False, indent=1) + "\n"


def _resource(file: DataFile, privacy: Privacy) -> dict[str, Any]:
    return {
        "name": file.name.removesuffix(".csv").replace("_", "-"),
        "path": file.name,
        "type": "table",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": {"fields": [_field(column, privacy) for column in file.columns]},
    }


def _field(column: str, privacy: Privacy) -> dict[str, str]:
    words = _COLUMN_WORDS.get(column) or f"New water: {column.removeprefix('fresh_')}"
    return {"name": column, "type": _type(column, privacy), "description": words}


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
    "minimum",
    "mean",
    "maximum",
    "known_h",
    "outside_h",
    "longest_gap_h",
    "largest_rate_per_h",
}


def _type(column: str, privacy: Privacy) -> str:
    if column in _NUMBERS or column.startswith("fresh_"):
        return "number"
    if column in ("line", "count", "flagged", "failed"):
        return "integer"
    if column in ("scheduled", "spread", "adjusted"):
        return "boolean"
    if column in ("time", "start", "end", "lowest_at", "highest_at"):
        return "datetime" if privacy.exact_times else "date"
    return "string"
