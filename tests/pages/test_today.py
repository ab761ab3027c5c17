"""The first page: what tank this is and how it is doing, stale data said to be stale."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from journal_tools.pages.today import slips, today_page
from tests import journals
from tests.pages.built import Built, Html, text_of

TANK = {
    "tank.yml": journals.TANK + "targets: {alkalinity: 7 to 9, iron: below 5}\n",
    "log/2026-01-10.yml": "readings: {iron: 2, orp: 300}\n",
    "log/2026-03-01.yml": "readings: {alkalinity: 12}\n",
}


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Html:
    found = journals.site(tmp_path_factory.mktemp("today"), TANK)
    return Html.of(today_page(found))


def test_day_one_is_the_day_of_the_start(tmp_path: Path) -> None:
    for day, words in ((dt.date(2026, 1, 1), "Day 1"), (dt.date(2026, 3, 31), "Day 90"),
                       (dt.date(2025, 12, 1), "Being planned")):  # fmt: skip
        found = journals.site(tmp_path / str(day), {}, day)
        assert words in [text_of(e) for e in Html.of(today_page(found)).by_class("jt-kicker")]


def test_an_empty_journal_says_how_to_begin(empty: Built) -> None:
    text = empty.html[""].text
    assert "No entries yet." in text and "How to begin" in text
    assert "The water" not in text and "Worth a look" not in text


def test_a_slip_tells_reading_error_band_and_age(page: Html) -> None:
    alkalinity, iron, redox = page.by_class("jt-slip")
    # 0.2 dKH: the usual error of the parameter table (common practice, no source)
    assert text_of(alkalinity).startswith("Alkalinity 12.0 dKH ± 0.2 outside its band: 7.0 to 9.0")
    assert text_of(alkalinity).endswith("tested 4 weeks ago")
    assert "jt-slip--out" in alkalinity.get("class", "")
    assert "in its band: below 5 µg/L" in text_of(iron)
    assert "jt-slip--out" not in iron.get("class", "")
    assert "no band set" in text_of(redox)


def test_old_tests_are_marked_and_rare_ones_put_away(page: Html) -> None:
    (old,) = page.by_class("jt-slip__age--old")
    assert text_of(old) == "tested 4 weeks ago"
    (more,) = [e for e in page.all("summary") if "now and then" in text_of(e)]
    assert text_of(more) == "Tested now and then: Iron, Redox potential"


def test_what_is_worth_a_look_comes_with_evidence(page: Html) -> None:
    assert [text_of(e) for e in page.by_class("jt-notice")] == [
        "Alkalinity was above its band in the last test. "
        "12.0 dKH 4 weeks ago; band 7.0 to 9.0 dKH. Entry",
    ]


def test_slips_follow_the_parameter_table(demo: Built) -> None:
    names = [slip.parameter.name for slip in slips(demo.site)]
    assert names == [parameter.name for parameter in demo.site.tested] and len(names) > 8


def test_the_newest_front_photo_is_the_cover(demo: Built) -> None:
    front = [shown for shown in demo.site.shown_photos if shown.view == "front"][-1]
    (image,) = [e for e in demo.html[""].all("img") if e.get("loading") is None]
    assert image.get("alt") == front.alt
    (link,) = demo.html[""].by_class("jt-hero__photo")
    assert link.get("href", "").endswith(f"#{front.entry.id}")


def test_the_newest_entries_come_first(demo: Built) -> None:
    (recent,) = demo.html[""].by_class("jt-recent")
    days = [e.get("datetime") for e in recent.iter("time")]
    newest = [entry.day.isoformat() for entry in demo.site.journal.entries[-4:]]
    assert days == newest[::-1]


def test_what_comes_next_holds_old_tests_with_their_reason(page: Html) -> None:
    (coming,) = page.by_class("jt-coming")
    late = [text_of(e) for e in coming.iter("li") if "Test alkalinity" in text_of(e)]
    assert len(late) == 1
    assert late[0].startswith("overdue")
    assert "Every 7 days is " in late[0] and "; the last was on 1 March 2026." in late[0]


@pytest.mark.parametrize(("shown", "words"), [("true", "kept by Jo"), ("false", "")])
def test_the_keeper_may_stay_unnamed(shown: str, words: str, tmp_path: Path) -> None:
    tank = journals.TANK + f"keeper: Jo\nprivacy: {{show_keeper: {shown}}}\n"
    text = Html.of(today_page(journals.site(tmp_path, {"tank.yml": tank}))).text
    assert words in text and ("Jo" in text) == bool(words)


def test_about_goes_below_the_title(three: Built) -> None:
    page = three.html[""]
    (about,) = page.by_class("jt-about")
    assert [(e.tag, text_of(e)) for e in about if e.tag.startswith("h")] == [
        ("h2", "A <b>tank</b>"), ("h3", "Since 2026"),
    ]  # fmt: skip
