from __future__ import annotations

import datetime as dt
from collections import Counter

from journal_tools.journal import Journal
from journal_tools.writing.columns import find_layout
from journal_tools.writing.facts import Fact
from journal_tools.writing.importing import (
    Outcome,
    entry_changes,
    questions,
    rules_of,
    table_outcome,
)
from journal_tools.writing.spreadsheet import Cell, Sheet
from tests.writing.conftest import TODAY


def outcome(journal: Journal, *rows: list[Cell], taken: tuple[str, ...] = ()) -> Outcome:
    layout = find_layout(Sheet("", list(rows)), ())
    assert layout is not None
    rules = rules_of(layout, journal.profile, TODAY)
    assert questions(layout, rules) == []
    return table_outcome(layout, rules, journal, Counter(taken))


def test_rows_taken_before_are_not_looked_at_again(journal: Journal) -> None:
    rows: list[list[Cell]] = [["Date", "KH"], ["2026-01-03", 8.2], ["2026-01-03", 8.2]]
    first = outcome(journal, *rows)
    assert (len(first.facts), first.rows, first.known) == (2, 2, 0)
    again = outcome(journal, *rows, taken=first.traces[:1])
    assert (len(again.facts), again.known) == (1, 1)


def at(clock: str, section: str, item: object, entry: str = "", name: str = "") -> Fact:
    moment = dt.datetime.fromisoformat(f"2026-03-14T{clock}+01:00")
    return Fact(section, moment, item, name, entry)


def written(journal: Journal, *facts: Fact) -> dict[str, str]:
    return {c.path.name: c.after.decode() for c in entry_changes(facts, journal)}


def test_facts_of_one_entry_stay_together(journal: Journal) -> None:
    name = "2026-03-14-first-corals"
    assert written(
        journal,
        at("09:00", "readings", 8.2, name, "alkalinity"),
        at("18:40", "upkeep", "glass", name),
        at("19:00", "doses", {"what": "alk mix", "amount": "3 ml"}, name),
        at("12:00", "dosing_plan", {"what": "alk mix", "per_day": "3 ml"}, name),
    ) == {
        f"{name}.yml": 'time: "18:40"\nreadings:\n  alkalinity: {value: 8.2, time: "09:00"}\n'
        'doses:\n  - {what: alk mix, amount: 3 ml, time: "19:00"}\n'
        "dosing_plan:\n  - {what: alk mix, per_day: 3 ml}\nupkeep:\n  - glass\n"
    }


def test_times_that_an_entry_cannot_hold_part_it(journal: Journal) -> None:
    assert written(
        journal, at("12:00", "upkeep", "glass", "x"), at("13:00", "upkeep", "cup", "x")
    ) == {
        "2026-03-14.yml": "upkeep:\n  - glass\n",
        "2026-03-14-1300.yml": 'time: "13:00"\nupkeep:\n  - cup\n',
    }


def test_names_that_are_taken_are_left_alone(journal: Journal) -> None:
    (journal.folder / "log").mkdir()
    (journal.folder / "log" / "2026-03-14.YML").write_text("title: x")
    (journal.folder / "log" / "2026-03-14.yml").write_text("title: x")
    assert list(written(journal, at("12:00", "upkeep", "glass"))) == ["2026-03-14-2.yml"]


def test_each_thing_is_asked_once(journal: Journal) -> None:
    rows: list[list[Cell]] = [["Date", "Iron", "Iodine"], ["03/04/2026", "1,310", "1,310"]]
    layout = find_layout(Sheet("", rows), ())
    assert layout is not None
    asked = questions(layout, rules_of(layout, journal.profile, TODAY))
    assert [question.about for question in asked] == ["order", "decimal"]
