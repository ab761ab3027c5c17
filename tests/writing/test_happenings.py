"""Clauses about animals, equipment and upkeep, as parts of a line."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from journal_tools.journal import load_journal
from journal_tools.writing.happenings import happening
from journal_tools.writing.sentence import understand
from journal_tools.writing.vocabulary import Vocabulary, vocabulary_of
from tests.writing.conftest import TODAY


def data(line: str, vocabulary: Vocabulary) -> dict[str, Any]:
    understood = understand(line, vocabulary, TODAY)
    assert understood.unclear == ()
    return understood.data


@pytest.mark.parametrize(
    ("line", "entry"),
    [
        ("added 2 clownfish 4 cm for 45", {"livestock": [
            {"added": "clownfish", "count": 2, "length": "4 cm", "price": 45}]}),
        ("turbo snails died because of heat", {"livestock": [
            {"lost": "turbo snail", "why": "heat"}]}),
        ("lost three turbo snails and a clownfish", {"livestock": [
            {"lost": "turbo snail", "count": 3}, {"lost": "clownfish"}]}),
        ("gave away 1 yellow goby", {"livestock": [{"removed": "yellow goby"}]}),
        ("lost a turbo snail because of heat for 2 days", {"livestock": [
            {"lost": "turbo snail", "why": "heat for 2 days"}]}),
        ("fed mysis and flakes and cleaned glass & skimmer cup", {
            "feed": ["mysis", "flakes"], "upkeep": ["glass", "skimmer cup"]}),
        ("changed hall lamp to 8 hours and alk 8.2", {
            "equipment": [{"changed": "hall lamp", "to": "8 hours"}],
            "readings": {"alkalinity": 8.2}}),
        ("added 2 clownfish and a lawn blenny 8 cm", {"livestock": [
            {"added": "clownfish", "count": 2}, {"added": "lawn blenny", "length": "8 cm"}]}),
        ("lawn blenny 8,5 cm", {"livestock": [{"measured": "lawn blenny", "length": "8,5 cm"}]}),
        ("added animal: purple thing", {"livestock": [{"added": "purple thing"}]}),
        ("installed skimmer for 189", {"equipment": [{"installed": "skimmer", "price": 189}]}),
        ("first heater failed", {"equipment": [{"failed": "first heater"}]}),
        ("changed hall lamp to 8 hours", {"equipment": [
            {"changed": "hall lamp", "to": "8 hours"}]}),
        ("removed skimmer", {"equipment": [{"removed": "skimmer"}]}),
        ("cleaned the glass and skimmer cup", {"upkeep": ["glass", "skimmer cup"]}),
        ("glass, filter floss changed", {"upkeep": ["glass", "filter floss"]}),
        ("cleaned skimmer and glass", {"equipment": [{"serviced": "skimmer"}],
                                       "upkeep": ["glass"]}),
    ],
)  # fmt: skip
def test_animals_equipment_upkeep(line: str, entry: dict[str, Any], vocabulary: Vocabulary) -> None:
    assert data(line, vocabulary) == entry


def test_what_is_both_a_task_and_a_piece_is_asked(folder: Path) -> None:
    tank = (folder / "tank.yml").read_text()
    (folder / "tank.yml").write_text(tank.replace("{task: glass", "{task: skimmer"))
    known = vocabulary_of(load_journal(folder, TODAY))
    meaning = happening("cleaned skimmer", known)
    assert str(meaning) == (
        "'cleaned skimmer': 'skimmer' is both a task and a piece of equipment. Write 'upkeep "
        "skimmer' or 'serviced skimmer'."
    )
    assert happening("serviced the skimmer", known) == {"equipment": [{"serviced": "skimmer"}]}
    assert happening("upkeep skimmer", known) == {"upkeep": ["skimmer"]}


def test_what_is_about_something_else_is_left(vocabulary: Vocabulary) -> None:
    assert happening("it rained", vocabulary) is None
