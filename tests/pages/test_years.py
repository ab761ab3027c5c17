"""The diary by years: sheets of days, lists, milestones and days that come back."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.pages.diary import entry_views, year_path
from journal_tools.pages.years import (
    KINDS,
    Day,
    Listed,
    around,
    common_tags,
    kinds_of,
    milestones,
    sheets,
    year_pages,
)
from tests import journals
from tests.pages.built import Built, Html, text_of

DAYS = st.dates(dt.date(2024, 1, 1), dt.date(2027, 12, 31))


def listed(files: dict[str, str], today: dt.date = journals.TODAY) -> list[Listed]:
    entries = journals.read({"tank.yml": "name: Reef\nstart: 2023-01-01\n"} | files, today).entries
    return [Listed(entry, entry.id, kinds_of(entry.record), None) for entry in entries]


def notes(*days: str) -> dict[str, str]:
    return {f"log/{day}.yml": "notes: a\n" for day in days}


@pytest.mark.parametrize(
    ("entry", "kinds"),
    [
        ("readings: {ph: 8}", ("tests",)),
        ("doses: {what: mix, amount: 1 ml}", ("dosing",)),
        ("dosing_plan: {what: mix, per_day: 1 ml}", ("dosing",)),
        ("water_change: 5 L\ntop_off: 1 L", ("water",)),
        ("feed: mysis", ("animals",)),
        ("livestock: {added: snail}\nphotos: a.jpg", ("animals", "photos")),
        ("upkeep: glass\nequipment: {installed: pump}", ("equipment",)),
        ("questions: Why?", ("notes",)),
        ("title: Only that", ()),
    ],
)
def test_what_an_entry_is_about(entry: str, kinds: tuple[str, ...]) -> None:
    (one,) = listed({"log/2026-03-10.yml": entry})
    assert one.kinds == kinds
    assert set(kinds) <= set(KINDS)


def numbers(days: list[list[Day]]) -> list[int]:
    return [day.number for week in days for day in week]


def test_a_sheet_shows_every_day_of_the_months_in_use() -> None:
    found = sheets(2024, listed(notes("2024-01-31", "2024-03-01")), journals.TODAY)
    assert [sheet.month.month for sheet in found] == [1, 2, 3]
    # 1 February 2024 was a Thursday, and the year a leap year.
    assert numbers(found[1].weeks)[:4] == [0, 0, 0, 1]
    assert [n for n in numbers(found[1].weeks) if n] == list(range(1, 30))
    said = [(sheet.month.month, day.number) for sheet in found for week in sheet.weeks
            for day in week if day.listed]  # fmt: skip
    assert said == [(1, 31), (3, 1)]
    assert sheets(2024, [], journals.TODAY) == []


def test_days_after_today_are_ahead() -> None:
    (sheet,) = sheets(2026, listed(notes("2026-03-10"), dt.date(2026, 3, 20)), dt.date(2026, 3, 20))
    ahead = [day.number for week in sheet.weeks for day in week if day.ahead]
    assert ahead == list(range(21, 32))


def test_a_day_gathers_its_entries() -> None:
    files = {
        "log/2026-03-10.yml": "readings: {ph: 8}\ntags: [A, b]\n",
        "log/2026-03-10-more.yml": "notes: a\nmilestone: Fish\ntags: B\n",
    }
    (sheet,) = sheets(2026, listed(files), journals.TODAY)
    (day,) = [day for week in sheet.weeks for day in week if day.listed]
    assert (day.kinds, day.tags, day.milestone) == (["tests", "notes"], ["a", "b"], True)
    assert day.words == "2026-03-10; 2026-03-10-more"


def test_milestones_say_how_long_it_took() -> None:
    files = {
        "log/2026-01-01.yml": "milestone: Glass\n",
        "log/2026-01-01-b.yml": "milestone: Water\n",
        "log/2026-01-03.yml": "notes: a\n",
        "log/2026-01-11.yml": "milestone: Fish\n",
    }
    assert [stone.after for stone in milestones(listed(files))] == ["", "same day", "10 days later"]


def test_around_a_day_is_the_nearest_of_each_other_year() -> None:
    files = notes(
        "2023-12-31", "2024-01-02", "2024-12-29", "2025-01-03", "2025-01-05", "2025-06-01"
    )
    found = around(listed(files), dt.date(2026, 1, 1))
    assert [one.entry.id for one in found] == ["2025-01-03", "2024-01-02", "2023-12-31"]
    assert around(listed(files), dt.date(2026, 4, 1)) == []


@given(st.lists(DAYS, unique=True, max_size=8), DAYS)
def test_around_never_gives_the_year_itself_nor_two_of_a_year(
    days: list[dt.date], today: dt.date
) -> None:
    last = dt.date(2027, 12, 31)
    found = around(listed(notes(*(day.isoformat() for day in sorted(days))), last), today)
    years = [one.entry.day.year for one in found]
    assert today.year not in years
    assert years == sorted(set(years), reverse=True)
    exact = {d.year for d in days if (d.month, d.day) == (today.month, today.day)} - {today.year}
    assert exact <= set(years)


def test_tags_are_counted_whatever_their_case() -> None:
    files = {"log/2026-03-10.yml": "tags: [Fish, sump]\nnotes: a\n",
             "log/2026-03-11.yml": "tags: fish\nnotes: a\n"}  # fmt: skip
    assert common_tags(listed(files)) == [("fish", "fish (2)"), ("sump", "sump (1)")]


def test_the_overview_counts_and_names_months_newest_first(three: Built) -> None:
    page = three.html["diary/index"]
    names = [text_of(e) for e in page.by_class("jt-month__name")]
    assert names == ["March 2026", "February 2026", "January 2026"]
    counts = [text_of(e) for e in page.by_class("jt-month__count")]
    assert counts == ["1 entry, 3 photos", "1 entry", "1 entry"]
    (line,) = page.by_class("jt-timeline")
    assert text_of(line) == "Water 31 Jan 2026"


def test_every_entry_is_listed_on_its_year_and_on_the_sheet(built: Built) -> None:
    for year in {entry.day.year for entry in built.site.journal.entries}:
        page = built.html[year_path(year)]
        ids = [e.id for e in built.site.journal.entries if e.day.year == year]
        rows = [e for e in page.all("li") if "data-entry" in e.attrib]
        links = [next(row.iter("a")).get("href", "").partition("#")[2] for row in rows]
        assert links == ids
        days = {entry[:10] for entry in ids}
        (sheet,) = page.by_class("jt-sheets")
        cells = [e.get("href", "") for e in sheet.iter("a") if "data-kinds" in e.attrib]
        assert {cell.partition("#")[2][:10] for cell in cells} == days
        assert len(cells) == len(days)


def test_rows_carry_what_filters_ask_for(three: Built) -> None:
    page = three.html["diary/2026"]
    rows = {
        next(e.iter("time")).get("datetime"): e for e in page.all("li") if "data-entry" in e.attrib
    }
    assert rows["2026-01-31"].get("data-kinds") == "tests notes"
    assert rows["2026-01-31"].get("data-tags") == "a&b\n<i>"
    boxes = [e.get("value") for e in page.all("input") if e.get("name") == "kind"]
    assert boxes == list(KINDS)
    (form,) = page.all("form")
    assert "hidden" in form.attrib


def test_one_can_walk_through_the_years(tmp_path: Path) -> None:
    files = {"tank.yml": "name: Reef\nstart: 2023-01-01\n"} | notes("2023-05-01", "2025-05-01")
    site = journals.site(tmp_path, files)
    pages = {page.path: Html.of(page) for page in year_pages(site, entry_views(site))}
    assert list(pages) == ["diary/index", "diary/2023", "diary/2025"]
    after = [e.get("href") for e in pages["diary/2023"].all("a") if e.get("rel") == "next"]
    before = [e.get("href") for e in pages["diary/2025"].all("a") if e.get("rel") == "prev"]
    assert (after, before) == (["site:diary/2025"], ["site:diary/2023"])


def test_an_empty_diary_says_how_to_begin(empty: Built) -> None:
    assert "No entries yet." in empty.html["diary/index"].text
    assert list(empty.html["diary/index"].all("form", "table")) == []
