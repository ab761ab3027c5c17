from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from journal_tools.read import read_document
from journal_tools.schema import (
    ENTRY_SCHEMA,
    PROFILE_SCHEMA,
    entry_schema,
    modeline,
    profile_schema,
    schema_text,
    write_schemas,
)

DEMO = Path(__file__).parents[1] / "content"
ENTRIES = sorted((DEMO / "log").rglob("*.yml"))
SCHEMAS = {"entry": entry_schema(), "profile": profile_schema()}


def faults(kind: str, text: str) -> list[str]:
    """Give where a text breaks the schema, after reading it by the rules of YAML 1.2."""
    document, problems = read_document("x.yml", text.encode())
    assert document is not None
    assert problems == []
    errors = Draft202012Validator(SCHEMAS[kind]).iter_errors(document.data)
    return sorted("/".join(str(step) for step in error.absolute_path) for error in errors)


@pytest.mark.parametrize("kind", SCHEMAS)
def test_schemas_follow_their_dialect(kind: str) -> None:
    schema = SCHEMAS[kind]
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(schema)


def references(node: Any) -> set[str]:
    if isinstance(node, dict):
        own = {node["$ref"]} if isinstance(node.get("$ref"), str) else set()
        return own.union(*(references(item) for item in node.values()))
    return set().union(*(references(item) for item in node)) if isinstance(node, list) else set()


@pytest.mark.parametrize("kind", SCHEMAS)
def test_schemas_need_no_other_file(kind: str) -> None:
    known = {f"#/$defs/{name}" for name in SCHEMAS[kind]["$defs"]}
    assert references(SCHEMAS[kind]) <= known


@pytest.mark.parametrize("kind", SCHEMAS)
def test_an_editor_tells_of_every_key_what_it_is_for_and_what_to_write(kind: str) -> None:
    schema = SCHEMAS[kind]
    for part in (schema, *schema["$defs"].values()):
        for key, described in part.get("properties", {}).items():
            words = described.get("description", "")
            assert re.fullmatch(r"[^\s].*[^\s] Write .+\.", words), (part.get("title"), key, words)


@pytest.mark.parametrize(
    ("kind", "part", "key", "words"),
    [
        ("profile", "Instrument", "calibrate_every",
         "How often you mean to compare it with a standard. Write a span of time; a bare number is "
         "days."),
        ("profile", "Room", "coldest",
         "Coldest air of the year. Write a measured value; a bare number is °C."),
        ("profile", "Lighting", "height",
         "Lamp above the water. Write a length; a bare number is cm, in a US journal in."),
        ("profile", "Food", "protein",
         "Share of the food as given, wet or dry, by its label. Write a share in percent; a bare "
         "number is %."),
        ("entry", "Stock", "left",
         "How much of it is there. Write an amount: millilitres or grams; a bare number is ml."),
        ("entry", "LivestockEvent", "count", "How many. Write a whole number, 1 to 10000."),
        ("entry", "PhReading", "value",
         "The result; '< 0.25' where the test can only say that it is below. Write a measured "
         "value; a bare number is pH."),
    ],
)  # fmt: skip
def test_what_an_editor_shows(kind: str, part: str, key: str, words: str) -> None:
    assert SCHEMAS[kind]["$defs"][part]["properties"][key]["description"] == words


@pytest.mark.parametrize("path", ENTRIES, ids=lambda path: path.stem)
def test_the_entries_of_the_demo_follow_the_schema(path: Path) -> None:
    assert faults("entry", path.read_text(encoding="utf-8")) == []


def test_the_profile_of_the_demo_follows_the_schema() -> None:
    assert len(ENTRIES) > 100
    assert faults("profile", (DEMO / "tank.yml").read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("title: no\ntime: 18:40", []),
        ("readings: {alkalinity: 8.2, calcium: [420, {value: 421, kit: drops}]}", []),
        ("readings: {nitrate: <0.25}\nupkeep: glass\ntags:\nnotes: words", []),
        ("water_change: 20 L\ndoses: [{what: a, amount: 30 ml}]", []),
        ("titel: x", [""]),
        ("time: 9 o'clock", ["time"]),
        ("readings: {alkalinity: {valeu: 8}}", ["readings"]),
        ("readings: {alkalinity: true}", ["readings"]),
        ("readings: {sparkle: 8}", ["readings"]),
        ("doses: [{what: a}]", ["doses"]),
        ("livestock: [{added: x, count: two}]", ["livestock"]),
        ("draft: maybe", ["draft"]),
        ("- a", [""]),
    ],
)
def test_what_an_editor_underlines_in_an_entry(text: str, places: list[str]) -> None:
    assert faults("entry", text) == places


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("name: x\nstart: 2026-01-01\ntargets: {alkalinity: 7 to 9, calcium: [400, 450]}", []),
        ("name: x", [""]),
        ("name: x\nstart: 2026-01-01\nunits: {system: imperial}", ["units/system"]),
        ("name: x\nstart: 2026-01-01\ntargets: {alk: 7 to 9}", ["targets"]),
        ("name: x\nstart: 2026-01-01\nvessels: {name: d, shape: round}", ["vessels"]),
        ("name: [x]\nstart: 2026-01-01", ["name"]),
    ],
)
def test_what_an_editor_underlines_in_a_profile(text: str, places: list[str]) -> None:
    assert faults("profile", text) == places


def test_schemas_are_written_where_the_modelines_look(tmp_path: Path) -> None:
    written = write_schemas(tmp_path)
    assert written == [tmp_path / PROFILE_SCHEMA, tmp_path / "log" / ENTRY_SCHEMA]
    texts = [path.read_text(encoding="utf-8") for path in written]
    assert texts == [schema_text(profile_schema()), schema_text(entry_schema())]
    assert [json.loads(text) for text in texts] == [profile_schema(), entry_schema()]
    assert write_schemas(tmp_path) == written
    assert modeline(PROFILE_SCHEMA) == "# yaml-language-server: $schema=tank.schema.json"
