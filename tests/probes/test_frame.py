"""The table of days, and the data that the site publishes of it."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

from journal_tools.export import data_files
from journal_tools.journal import load_journal
from journal_tools.metrics import Metrics
from journal_tools.probes import PROBE_DAY_COLUMNS, probe_days
from journal_tools.tables import build_tables
from tests.probes.made_up import PLAIN, TODAY, journal, load, rows

TWO = {
    "b.csv": rows(25, 26, step="24h"), "b.yml": PLAIN, "a.csv": rows(24, 24), "a.yml": PLAIN,
}  # fmt: skip


def test_days_are_in_order_of_time_and_file(tmp_path: Path) -> None:
    found = load(tmp_path, TWO)
    table = probe_days(found.series, "Europe/Berlin")
    assert tuple(table.columns) == PROBE_DAY_COLUMNS
    assert table["source"].tolist() == ["a", "b", "b"]
    assert [str(t) for t in table["time"]][1:] == [
        "2026-03-01 00:00:00+01:00", "2026-03-02 00:00:00+01:00",
    ]  # fmt: skip
    assert table["unit"].tolist() == ["°C"] * 3 and table["maximum"].tolist() == [24, 25, 26]


def test_an_empty_table_has_the_same_types(tmp_path: Path) -> None:
    full = probe_days(load(tmp_path, TWO).series, "UTC")
    assert probe_days((), "UTC").empty and not full.empty
    assert probe_days((), "UTC").dtypes.equals(full.dtypes)


def test_the_days_are_published_with_their_units(tmp_path: Path) -> None:
    tables = build_tables(load_journal(journal(tmp_path, TWO), TODAY))
    files = {file.name: file for file in data_files(tables, Metrics())}
    told = list(csv.DictReader(io.StringIO(files["probe_days.csv"].text, newline="")))
    assert [row["time"] for row in told] == [
        "2026-03-01T00:00:00+01:00", "2026-03-01T00:00:00+01:00", "2026-03-02T00:00:00+01:00",
    ]  # fmt: skip
    assert [(row["parameter"], row["unit"], row["mean"]) for row in told][:1] == [
        ("temperature", "°C", "24"),
    ]  # fmt: skip
    assert told[0]["highest_at"] == "2026-03-01T00:00:00+01:00"
    package = json.loads(files["datapackage.json"].text)
    (resource,) = (r for r in package["resources"] if r["path"] == "probe_days.csv")
    fields = {field["name"]: field for field in resource["schema"]["fields"]}
    assert tuple(fields) == PROBE_DAY_COLUMNS
    kinds = {name: field["type"] for name, field in fields.items()}
    assert kinds["mean"] == kinds["known_h"] == "number"
    assert kinds["count"] == kinds["flagged"] == "integer" and kinds["lowest_at"] == "datetime"
    assert "unit beside it" in fields["mean"]["description"]
    assert "in h" in fields["longest_gap_h"]["description"]
