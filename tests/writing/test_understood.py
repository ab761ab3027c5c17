from __future__ import annotations

from journal_tools.journal import Journal
from journal_tools.writing.understood import Unclear, describe, merge, read_fragment


def test_fragments_become_one_entry() -> None:
    first = {"readings": {"calcium": 420}, "upkeep": ["glass"], "notes": "a"}
    second = {"readings": {"calcium": [421, 422], "ph": 8.1}, "upkeep": ["floss"], "notes": "b"}
    assert merge([first, second, {"title": "x"}]) == {
        "readings": {"calcium": [420, 421, 422], "ph": 8.1},
        "upkeep": ["glass", "floss"],
        "notes": "a\n\nb",
        "title": "x",
    }
    assert first["readings"] == {"calcium": 420}, "what was handed in stays"


def test_every_kind_of_fact_is_shown(journal: Journal) -> None:
    fragment = {
        "title": "T", "milestone": "M", "tags": ["w"], "questions": ["Why?"], "notes": "N",
        "readings": {"ph": 8.1, "alkalinity": {"value": 8, "when": "before dose", "time": "09:00"}},
        "doses": [{"what": "alk mix", "amount": 30}, {"what": "alk mix", "amount": "5 g"}],
        "dosing_plan": [
            {"what": "alk mix", "per_day": 3}, {"what": "calcium mix", "stopped": True}],
        "water_change": [{"volume": 20, "salinity": "35 psu", "time": "10:00"}],
        "top_off": [{"volume": "4 L", "what": "limewater"}],
        "livestock": [{"added": "clownfish", "count": 2, "length": 4, "price": 20, "why": "gift"}],
        "equipment": [{"changed": "skimmer", "to": "low", "note": "loud"}],
        "upkeep": [{"task": "glass", "note": "green"}], "costs": [{"what": "salt", "amount": 5}],
        "feed": ["mysis", {"what": "flakes", "amount": 2}],
    }  # fmt: skip
    record, problems = read_fragment(fragment, journal.profile)
    assert problems == [] and record is not None
    assert describe(record, journal.profile) == [
        ("title", "T"),
        ("milestone", "M"),
        ("tag", "w"),
        ("reading", "Alkalinity 8 dKH (no unit written: the journal counts in dKH) before dose at "
                    "09:00"),
        ("reading", "pH (buffer scale) 8.1"),
        ("water change", "20 L (no unit written: the journal counts in L) at 10:00, new water "
                         "35 psu"),
        ("top-off", "4 L of limewater"),
        ("dose", "alk mix: 30 ml (no unit written: doses are ml)"),
        ("dose", "alk mix: 5 g"),
        ("dosing plan", "alk mix: 3 ml (no unit written: doses are ml) a day from now on"),
        ("dosing plan", "calcium mix: stopped"),
        ("livestock", "added 2 × clownfish, 4 cm (no unit written: the journal counts in cm), "
                      "20.00 EUR, because: gift"),
        ("equipment", "changed skimmer to: low (loud)"),
        ("upkeep", "glass (green)"),
        ("feeding", "mysis"),
        ("feeding", "flakes, 2 g (no unit written: the journal counts in g)"),
        ("cost", "salt: 5.00 EUR (other)"),
        ("note", "N"),
        ("question", "Why?"),
    ]  # fmt: skip


def test_what_is_unclear_is_said_in_one_line() -> None:
    assert str(Unclear("a", "Is odd.", "Write b.")) == "'a': Is odd. Write b."
