"""The data folder as a research object, by the RO-Crate specification 1.1."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

import pytest

from journal_tools.citation import Citation
from journal_tools.crate import crate_json
from journal_tools.licences import licence_of

DAY = dt.date(2026, 4, 1)
FILES = [("readings.csv", 120, "Table of readings"), ("citation.txt", 30, "How to cite")]


def graph(citation: Citation) -> dict[str, dict[str, Any]]:
    whole = json.loads(crate_json(citation, DAY, FILES))
    assert whole["@context"] == "https://w3id.org/ro/crate/1.1/context"
    entities = {entity["@id"]: entity for entity in whole["@graph"]}
    assert len(entities) == len(whole["@graph"])
    return entities


def references(value: Any) -> list[str]:
    if isinstance(value, list):
        return [r for one in value for r in references(one)]
    if isinstance(value, dict) and value.keys() == {"@id"}:
        return [value["@id"]]
    return []


@pytest.mark.parametrize("keeper", ["", "A. Keeper"])
@pytest.mark.parametrize("data", [None, "CC0-1.0", "ask me"])
def test_it_has_what_the_specification_requires(keeper: str, data: str | None) -> None:
    """RO-Crate 1.1, "Root Data Entity": descriptor, and type, name, description, date, licence."""
    licences = {"data": licence_of(data)} if data else {}
    entities = graph(Citation("Reef", keeper, 2026, "https://example.org/", licences))
    descriptor, root = entities["ro-crate-metadata.json"], entities["./"]
    assert descriptor["@type"] == "CreativeWork" and descriptor["about"] == {"@id": "./"}
    assert descriptor["conformsTo"] == {"@id": "https://w3id.org/ro/crate/1.1"}
    assert root["@type"] == "Dataset" and root["datePublished"] == "2026-04-01"
    assert root["name"] and root["description"]
    assert root["license"]["@id"] in entities
    assert [part["@id"] for part in root["hasPart"]] == [name for name, _, _ in FILES]
    assert ("author" in root) == bool(keeper)


def test_nothing_is_referred_to_that_is_not_described() -> None:
    entities = graph(Citation("Reef", "A", 2026, "", {"data": licence_of("CC0-1.0")}))
    named = {r for entity in entities.values() for v in entity.values() for r in references(v)}
    assert named - {"https://w3id.org/ro/crate/1.1"} <= entities.keys()
    assert entities["readings.csv"]["encodingFormat"] == "text/csv"
    assert entities["readings.csv"]["contentSize"] == "120"
