"""The diary: months, entries with all that is in them, and the way from one to the next."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from journal_tools.pages.diary import entry_view, entry_views, month_pages, same_days
from journal_tools.pages.site import month_path
from tests import journals
from tests.pages.built import Built, Html, text_of

MONTH = re.compile(r"diary/\d{4}-\d\d")


def entries(page: Html) -> list[Html]:
    return [Html(page.page, article, []) for article in page.by_class("jt-entry")]


def test_a_page_for_each_month_with_entries(built: Built) -> None:
    months = {month_path(entry.day) for entry in built.site.journal.entries}
    found = {path for path in built.html if MONTH.fullmatch(path)}
    assert found == months


def turns(built: Built, rel: str) -> dict[str, str]:
    """Give the link of each entry's page foot to its neighbour, by entry id."""
    found = {}
    for path, page in built.html.items():
        if MONTH.fullmatch(path):
            for article in entries(page):
                (heading,) = article.all("h2")
                links = [e.get("href", "") for e in article.all("a") if e.get("rel") == rel]
                assert len(links) <= 1
                found[heading.get("id", "")] = links[0].partition("#")[2] if links else ""
    return found


def test_one_can_walk_through_all_entries_and_back(built: Built) -> None:
    ids = [entry.id for entry in built.site.journal.entries]
    after, before = turns(built, "next"), turns(built, "prev")
    assert set(after) == set(before) == set(ids)
    assert [after[entry] for entry in ids] == [*ids[1:], ""][: len(ids)]
    assert [before[entry] for entry in ids] == ["", *ids][: len(ids)]


def test_one_can_walk_through_all_months_and_back(built: Built) -> None:
    months = sorted(path for path in built.html if MONTH.fullmatch(path))
    for number, path in enumerate(months):
        links = {e.get("rel"): e.get("href") for e in built.html[path].all("a")
                 if e.get("href", "").startswith("site:diary/2") and "#" not in e.get("href", "")
                 and e.get("rel")}  # fmt: skip
        wanted = {}
        if number:
            wanted["prev"] = f"site:{months[number - 1]}"
        if number + 1 < len(months):
            wanted["next"] = f"site:{months[number + 1]}"
        assert links == wanted, path


def test_entry_ids_stay_when_other_entries_come(tmp_path: Path) -> None:
    one = {"log/2026-03-10-first.yml": "notes: a\n"}
    more = one | {"log/2026-03-09.yml": "notes: b\n", "log/2026/2026-03-10.yml": "notes: c\n"}
    before = journals.read(one).entries
    after = {entry.file: entry.id for entry in journals.read(more).entries}
    assert [entry.id for entry in before] == ["2026-03-10-first"]
    assert after == {
        "log/2026-03-10-first.yml": "2026-03-10-first",
        "log/2026-03-09.yml": "2026-03-09",
        "log/2026/2026-03-10.yml": "2026-03-10",
    }


def test_an_entry_shows_all_that_was_done(three: Built) -> None:
    (article,) = entries(three.html["diary/2026-02"])
    facts = [(text_of(dt), text_of(dd)) for dt, dd in zip(article.all("dt"), article.all("dd"),
             strict=True)]  # fmt: skip
    assert facts == [
        ("water change", "20 L of new salt water"),
        ("top-off", "4.0 L with mix"),
        ("dose", "30 ml mix (by hand)"),
        ("dosing plan", "secret: 1 ml a day"),
        ("added", "2 × clownfish, 4 cm"),
        ("lost", "snail (<gone>)"),
        ("changed", "pump to speed 5"),
        ("installed", "odd box"),
        ("upkeep", "glass"),
        ("fed", "mysis 2 g"),
    ]


def test_what_is_left_and_what_was_compared_are_facts(tmp_path: Path) -> None:
    files = {
        "tank.yml": journals.TANK
        + "supplements: {name: mix, salts: {NaHCO3: 80 g}, made_up_to: 1 L}\n"
        + "instruments: {name: pen, kind: pH meter}\n",
        "log/2026-03-10.yml": "stock: {what: mix, left: 300 ml}\n"
        "calibrations: {instrument: pen, adjusted: false, ph: {standard: 7, shown: 7.1}}\n",
    }
    site = journals.site(tmp_path, files)
    (view,) = entry_views(site).values()
    assert [(fact.kind, fact.text) for fact in view.facts] == [
        ("stock", "300 ml of mix left"),
        ("calibration", "pen compared: 7 pH read as 7.1 pH"),
    ]


@pytest.mark.parametrize(
    ("entry", "sentence"),
    [
        ("notes: It came. It is heavy.\n", "It came."),
        ("notes: '## Head'\n", "Head"),
        ("notes: |\n  One **two**\n  three\n\n  Four\n", "One two three Four"),
        ("readings: {ph: 8.1}\nwater_change: 5 L\n",
         "pH (buffer scale) 8.10; water change: 5 L of new salt water"),
        ("title: Nothing else\n", ""),
        ("notes: '1 < 2 & <b>so</b>'\n", "1 < 2 & <b>so</b>"),
    ],
)  # fmt: skip
def test_an_entry_in_one_sentence(tmp_path: Path, entry: str, sentence: str) -> None:
    site = journals.site(tmp_path, {"log/2026-03-10.yml": entry})
    (view,) = entry_views(site).values()
    assert view.summary == sentence


def test_a_long_sentence_ends_at_a_word(tmp_path: Path) -> None:
    site = journals.site(tmp_path, {"log/2026-03-10.yml": f"notes: {'word ' * 80}\n"})
    (view,) = entry_views(site).values()
    assert len(view.summary) <= 182 and view.summary.endswith("word …")


def test_an_entry_names_the_same_day_of_other_years(tmp_path: Path) -> None:
    log = {
        "tank.yml": "name: Reef\nstart: 2023-01-01\n",
        **{f"log/{day}.yml": "notes: a\n" for day in
           ("2024-02-29", "2024-03-10", "2025-03-10", "2025-03-11", "2026-03-10")},
    }  # fmt: skip
    site = journals.site(tmp_path, log)
    assert len(same_days(site.journal.entries)[3, 10]) == 3
    pages = {page.path: Html.of(page) for page in month_pages(site, entry_views(site))}
    (others,) = pages["diary/2025-03"].by_class("jt-entry__others")
    assert [e.get("href") for e in others.iter("a")] == [
        "site:diary/2024-03#2024-03-10",
        "site:diary/2026-03#2026-03-10",
    ]
    assert pages["diary/2024-02"].by_class("jt-entry__others") == []


def test_words_of_a_month_lead_to_the_glossary(three: Built) -> None:
    (words,) = three.html["diary/2026-02"].by_class("jt-words")
    assert [e.get("href") for e in words.iter("a")] == [
        "site:glossary#term-alkalinity",
        "site:glossary#term-ph",
    ]


def test_costs_are_facts_where_they_are_public(tmp_path: Path) -> None:
    log = {"log/2026-03-10.yml": "costs: [{what: salt, amount: 54.9}]\n"}
    site = journals.site(tmp_path, log)
    (view,) = [entry_view(site, entry) for entry in site.journal.entries]
    assert [(fact.kind, fact.text) for fact in view.facts] == [("cost", "salt €54.90")]


def test_readings_say_what_was_written_and_whether_they_fit(three: Built) -> None:
    (article,) = entries(three.html["diary/2026-02"])
    alkalinity, ph = (
        e for e in article.all("li") if e.get("title", "").startswith("written")
    )  # fmt: skip
    assert text_of(alkalinity) == "Alkalinity 12.0 dKH outside its band"
    assert alkalinity.get("title") == "written 12 dKH"
    assert text_of(ph) == "pH (buffer scale) 8.20"
    (first,) = entries(three.html["diary/2026-01"])
    # "below 5" may lie in its band: no remark
    assert "Nitrate < 5.0 mg/L" in [text_of(e) for e in first.all("li")]


def test_notes_keep_the_outline_and_link_to_entries(three: Built) -> None:
    (article,) = entries(three.html["diary/2026-01"])
    headings = [(e.tag, text_of(e)) for e in article.all("h3", "h4", "h5", "h6")]
    assert headings == [("h3", "Big words"), ("h4", "and small ones")]
    links = {text_of(e): e.get("href") for e in article.all("a")}
    assert links["the last day"] == "site:diary/2026-03#2026-03-30-photos"
    assert 'Why is it "green"?' in article.text


def test_an_entry_without_a_title_is_named_by_what_is_in_it(tmp_path: Path) -> None:
    log = {
        "log/2026-03-01.yml": "title: Mine\nreadings: {ph: 8}\n",
        "log/2026-03-02.yml": "readings: {ph: 8}\n",
        "log/2026-03-03.yml": "readings: {ph: 8}\nwater_change: 5 L\n",
        "log/2026-03-04.yml": "notes: a\n",
        "log/2026-03-05.yml": "milestone: Fish\nnotes: a\n",
    }
    site = journals.site(tmp_path, log)
    headings = [entry_view(site, entry).heading for entry in site.journal.entries]
    assert headings == ["Mine", "Tests", "Water change", "Note", "Fish"]


def test_a_month_is_described_by_its_titles(three: Built) -> None:
    pages = {page.path: page for page in month_pages(three.site, entry_views(three.site))}
    assert pages["diary/2026-01"].description == "First <script>alert(1)</script> water"
    assert pages["diary/2026-02"].description == "1 entry of February 2026."
