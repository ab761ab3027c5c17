from __future__ import annotations

import datetime as dt
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from journal_tools.journal import load_journal
from journal_tools.writing.facts import fact_key, known_facts, written_quantity
from tests.writing.conftest import TODAY

NOON = dt.datetime(2026, 3, 14, 12, tzinfo=ZoneInfo("Europe/Berlin"))


def test_a_fact_is_the_same_in_every_zone_and_spelling() -> None:
    one = fact_key("upkeep", NOON, {"task": "Skimmer-Cup"})
    assert one == fact_key("upkeep", NOON.astimezone(dt.UTC), {"task": "skimmer cup"})
    assert one != fact_key("upkeep", NOON + dt.timedelta(minutes=1), {"task": "skimmer cup"})


def test_ten_digits_make_a_number_the_same() -> None:
    def key(value: float) -> tuple[str, ...]:
        return fact_key("readings", NOON, {"parameter": "ph", "shown": value, "censored": ""})

    assert key(8.1) == key(8.1 + 1e-12)
    assert key(8.1) != key(8.1001)
    limit = {"parameter": "ph", "shown": 8.1, "censored": "below"}
    assert fact_key("readings", NOON, limit) != key(8.1)


def test_entries_and_profile_are_counted_apart(folder: Path) -> None:
    with (folder / "tank.yml").open("a") as file:
        file.write("salt_mix: {name: s, fresh: {salinity: 35}}\n")
    text = (folder / "tank.yml").read_text()
    text = text.replace("{name: skimmer, kind", "{name: skimmer, installed: 2026-01-02, kind")
    (folder / "tank.yml").write_text(text)
    (folder / "log").mkdir()
    (folder / "log" / "2026-03-14.yml").write_text(
        "readings: {alkalinity: [8, 8]}\nnotes: Hot.\ntitle: A day\n"
    )
    journal = load_journal(folder, TODAY)
    told = known_facts(journal)
    assert told == {
        ("readings", "2026-03-14T11:00", "alkalinity", "8", ""): 2,
        ("notes", "2026-03-14T11:00", "Hot."): 1,
        ("title", "2026-03-14T11:00", "A day"): 1,
    }
    register = known_facts(journal, of_profile=True)
    assert register == {("equipment", "2026-01-02T11:00", "installed", "skimmer", ""): 1}


@pytest.mark.parametrize(
    ("number", "unit", "bare", "written"),
    [
        ("8.2", "dKH", "dKH", 8.2), ("8.0", "", "dKH", 8), ("8.2", "meq/l", "dKH", "8.2 meq/L"),
        ("<0.25", "dKH", "dKH", "<0.25"), ("8.2 meq/L", "", "dKH", "8.2 meq/L"),
        ("8.2", "DKH", "dKH", 8.2),
    ],
)  # fmt: skip
def test_a_unit_is_written_where_the_journal_counts_otherwise(
    number: str, unit: str, bare: str, written: object
) -> None:
    assert written_quantity(number, unit, "alkalinity", bare) == written
