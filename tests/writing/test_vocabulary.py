from __future__ import annotations

from pathlib import Path

import pytest

from journal_tools.journal import load_journal
from journal_tools.writing.vocabulary import Name, Vocabulary, vocabulary_of
from tests.writing.conftest import TODAY


@pytest.mark.parametrize(
    "written",
    ["turbo snail", "Turbo-Snail", "a turbo snail", "the Turbo  snails", "TURBOSNAIL"],
)
def test_case_article_and_plural_do_not_count(written: str, vocabulary: Vocabulary) -> None:
    assert vocabulary.find(written, "animal") == Name("animal", "turbo snail")


@pytest.mark.parametrize("written", ["turbo snial", "snail", "turbo", "goby", ""])
def test_what_is_nearly_right_is_not_taken(written: str, vocabulary: Vocabulary) -> None:
    assert vocabulary.find(written, "animal") is None


def test_what_may_have_been_meant(vocabulary: Vocabulary) -> None:
    assert [name.name for name in vocabulary.near("goby", "animal")] == ["yellow goby"]
    assert [name.name for name in vocabulary.near("turbo snial", "animal")] == ["turbo snail"]
    assert [name.name for name in vocabulary.near("mix", "supplement")] == [
        "alk mix",
        "calcium mix",
    ]
    assert vocabulary.near("whale", "animal") == []


def test_what_the_keeper_has_said_is_meant(vocabulary: Vocabulary) -> None:
    vocabulary.meant["goby"] = "yellow goby"
    assert vocabulary.find("a goby", "animal") == Name("animal", "yellow goby")


def test_names_of_entries_are_known_as_well(folder: Path) -> None:
    (folder / "log").mkdir()
    (folder / "log" / "2026-03-01.yml").write_text("livestock: {added: hermit crab}\nfeed: Mysis")
    known = vocabulary_of(load_journal(folder, TODAY))
    assert known.find("hermit crabs", "animal") == Name("animal", "hermit crab")
    assert known.find("mysis", "food") == Name("food", "Mysis")
