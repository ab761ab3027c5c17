"""The public data folder: tables that read back, metrics in full, and their description."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
import math

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.export import EXPORTED, METRIC_COLUMNS, DataFile, as_cell, data_files
from journal_tools.metrics import METRICS, compute_metrics
from journal_tools.tables import COLUMNS
from tests.journals import TANK, tables

FILES = {
    "tank.yml": TANK
    + "vessels: {name: display, shape: stated, volume: 100 L}\n"
    + "supplements: [{name: mix, potency: {by: 1 ml, water: 100 L, raises: {calcium: 4}}}]\n"
    + "equipment: [{name: pump, installed: 2026-01-02, price: 80}]\n",
    "log/2026-03-01.yml": """\
time: "18:40"
readings: {alkalinity: [8.2, {value: 8.3, kit: "=1+1"}], nitrate: < 0.25, calcium: 420}
dosing_plan: {what: mix, per_day: 5 ml}
notes: "Ω, quotes and a comma"
""",
    "log/2026-03-05.yml": """\
readings: {calcium: 400}
water_change: {volume: 10 L, fresh: {calcium: 410}}
livestock: {lost: snail, why: 'found "empty", then\\nmoved'}
equipment: {changed: pump, to: "-20 %"}
costs: [{what: "@salt", amount: 54.90, category: "'quoted'"}, {what: "+5 L", amount: 1}]
upkeep: [{task: glass, note: "Größe: 5 µm"}]
photos: []
""",
}
PRIVATE = FILES | {"tank.yml": FILES["tank.yml"] + "privacy: {show_costs: false}\n"}


def files(written: dict[str, str]) -> dict[str, DataFile]:
    found = tables(written)
    return {file.name: file for file in data_files(found, compute_metrics(found))}


@pytest.fixture(scope="module")
def full() -> dict[str, DataFile]:
    return files(FILES)


def rows(file: DataFile) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(file.text, newline="")))


def plain(cell: str) -> str:
    """Undo what the module's text says of apostrophes."""
    return cell[1:] if cell.startswith("'") else cell


@pytest.mark.parametrize("name", EXPORTED)
def test_a_table_reads_back(name: str, full: dict[str, DataFile]) -> None:
    frame = getattr(tables(FILES), name)
    file = full[f"{name}.csv"]
    back = pd.read_csv(
        io.StringIO(file.text), keep_default_na=False, na_values={c: [""] for c in frame
        if frame[c].dtype == "float64"},
    )  # fmt: skip
    assert tuple(back.columns) == tuple(c for c in COLUMNS[name] if c != "day")
    assert len(back) == len(frame) == file.rows
    for column in back:
        wanted = frame[column]
        if column == "time":
            moments = [dt.datetime.fromisoformat(text) for text in back[column]]
            assert moments == [moment.to_pydatetime() for moment in wanted]
            offsets = {moment.utcoffset() for moment in moments}
            assert offsets <= {dt.timedelta(hours=1), dt.timedelta(hours=2)}
        elif wanted.dtype == "float64":
            assert back[column].astype("float64").to_numpy() == pytest.approx(
                wanted.to_numpy(), rel=1e-9, nan_ok=True
            )
        elif wanted.dtype == "str":
            assert [plain(str(cell)) for cell in back[column]] == wanted.tolist()
        else:
            assert back[column].tolist() == wanted.tolist()


def test_rows_end_as_the_standard_says(full: dict[str, DataFile]) -> None:
    """RFC 4180, 2.1: each record on a line of its own, ended by CRLF."""
    text = full["readings.csv"].text
    assert text.endswith("\r\n") and text.count("\r\n") == text.count("\n") == 6


def test_times_carry_the_keepers_offset(full: dict[str, DataFile]) -> None:
    assert rows(full["readings.csv"])[0]["time"] == "2026-03-01T18:40:00+01:00"
    assert rows(full["doses.csv"])[-1]["time"] == "2026-03-31T12:00:00+02:00"


def test_switches_are_words(full: dict[str, DataFile]) -> None:
    assert {row["scheduled"] for row in rows(full["doses.csv"])} == {"true"}


def test_a_limit_is_marked(full: dict[str, DataFile]) -> None:
    (row,) = [r for r in rows(full["readings.csv"]) if r["parameter"] == "nitrate"]
    assert (row["value"], row["censored"], row["unit"]) == ("0.25", "below", "mg/L")


FORMULAS = ("=", "+", "-", "@", "\t", "\r")


@pytest.mark.parametrize(
    ("table", "column", "text"),
    [
        ("readings", "kit", "=1+1"),
        ("costs", "what", "@salt"),
        ("costs", "what", "+5 L"),
        ("costs", "category", "'quoted'"),
        ("equipment", "detail", "-20 %"),
    ],
)
def test_no_text_is_a_formula(
    table: str, column: str, text: str, full: dict[str, DataFile]
) -> None:
    cells = [row[column] for row in rows(full[f"{table}.csv"])]
    assert f"'{text}" in cells and text not in cells
    assert not [cell for cell in cells if cell.startswith(FORMULAS)]


def test_numbers_stay_numbers() -> None:
    cold = {"log/2026-03-01.yml": "readings: {orp: -40, room_temperature: -2.5}\n"}
    values = {row["value"] for row in rows(files(cold)["readings.csv"])}
    assert values == {"-40", "-2.5"}


@given(st.text())
def test_a_cell_gives_its_text_back(text: str) -> None:
    cell = as_cell(text)
    assert plain(cell) == text
    assert not cell.startswith(FORMULAS)


def test_metrics_as_a_table(full: dict[str, DataFile]) -> None:
    found = compute_metrics(tables(FILES))
    table = rows(full["metrics.csv"])
    assert tuple(table[0]) == METRIC_COLUMNS
    assert [row["metric"] for row in table] == [result.metric for result in found]
    for row, result in zip(table, found, strict=True):
        assert float(row["value"]) == pytest.approx(result.value, rel=1e-9)
        assert row["unit"] == result.unit
        assert bool(row["low"]) == (result.low is not None)
        assert row["start"] == ("" if result.start is None else result.start.isoformat())


def test_metrics_in_full(full: dict[str, DataFile]) -> None:
    def finite(text: str) -> float:
        raise AssertionError(f"{text} is not JSON (RFC 8259, 6)")

    whole = json.loads(full["metrics.json"].text, parse_constant=finite)
    found = compute_metrics(tables(FILES))
    assert len(whole["results"]) == len(found.results)
    wanted = {"metric", "value", "unit", "decimals", "subject", "low", "high", "start", "end",
              "inputs", "note"}  # fmt: skip
    for record, result in zip(whole["results"], found, strict=True):
        assert record.keys() == wanted
        assert math.isfinite(record["value"]) and record["value"] == result.value
        assert [i["label"] for i in record["inputs"]] == [i.label for i in result.inputs]
    used = {result.metric for result in found}
    assert whole["definitions"].keys() == used
    for metric in METRICS:
        if metric.name in used:
            words = whole["definitions"][metric.name]
            assert (words["method"], words["source"]) == (metric.method, metric.source)
            assert words["caution"] == metric.caution


def test_the_package_describes_every_table(full: dict[str, DataFile]) -> None:
    package = json.loads(full["datapackage.json"].text)
    resources = {resource["path"]: resource for resource in package["resources"]}
    assert resources.keys() == {name for name in full if name.endswith(".csv")}
    for path, resource in resources.items():
        header = full[path].text.partition("\r\n")[0].split(",")
        assert [field["name"] for field in resource["schema"]["fields"]] == header
        assert all(field["description"] for field in resource["schema"]["fields"])
        # Data Package v2: a resource name is lower case letters, digits, . _ -
        assert resource["name"].replace("-", "").islower()


PARSERS = {
    "number": float,
    "integer": int,
    "boolean": {"true": True, "false": False}.__getitem__,
    "datetime": dt.datetime.fromisoformat,
    "string": str,
}


def test_cells_are_of_the_described_type(full: dict[str, DataFile]) -> None:
    for resource in json.loads(full["datapackage.json"].text)["resources"]:
        types = {field["name"]: field["type"] for field in resource["schema"]["fields"]}
        for row in rows(full[resource["path"]]):
            for column, cell in row.items():
                if cell:
                    PARSERS[types[column]](cell)


def test_private_costs_are_nowhere() -> None:
    found = files(PRIVATE)
    assert "costs.csv" not in found and "costs.csv" in files(FILES)
    for file in found.values():
        assert "cost" not in file.text.lower(), file.name
        assert "54.9" not in file.text, file.name


def test_an_empty_journal_has_empty_tables() -> None:
    found = files({})
    assert {file.rows for file in found.values()} == {0}
    assert json.loads(found["metrics.json"].text) == {"definitions": {}, "results": []}
