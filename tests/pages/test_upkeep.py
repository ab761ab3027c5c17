"""The upkeep page: what is due, how it was kept, what to order, and the calendar file."""

from __future__ import annotations

import datetime as dt
import re
from itertools import pairwise
from pathlib import Path

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.pages.upkeep import CALENDAR_ASSET, strip_svg, task_view, upkeep_page
from journal_tools.tasks import Done, Task
from tests import journals
from tests.pages.built import Built, Html, text_of

FIRST = dt.date(2026, 1, 1)


def task(*days: int, every: int = 7) -> Task:
    done = tuple(Done(FIRST + dt.timedelta(days=day), "") for day in days)
    return Task("upkeep", "glass", every, FIRST, done)


@pytest.mark.parametrize(
    ("day", "state", "when"),
    [(6, "later", "in 1 day"), (7, "due", "due today"), (9, "late", "2 days overdue")],
)
def test_a_task_in_words(day: int, state: str, when: str) -> None:
    view = task_view(task(), FIRST + dt.timedelta(days=day))
    assert (view.state, view.when, view.last) == (state, when, "not yet")


def test_what_is_due_and_where_it_was_done(full: Built) -> None:
    page = full.html["upkeep"]
    notices = [text_of(e) for e in page.by_class("jt-notice")]
    assert "Filter floss: 6 days overdue. Last done 11 days ago; every 5 days." in notices
    rows = {text_of(next(tr.iter("th"))): tr for tr in page.all("tr") if list(tr.iter("td"))}
    glass = [text_of(td) for td in rows["Glass"].iter("td")]
    assert glass[:3] == ["in 1 day", "3 days ago", "4 days"] and glass[3].endswith("%")
    links = [e.get("href") for e in rows["Glass"].iter("a")]
    assert links == ["site:diary/2026-03#2026-03-28"]


def test_the_count_of_tasks_is_of_the_keepers_own(tmp_path: Path) -> None:
    tank = journals.TANK + "upkeep: [{task: glass, every: 4 days}]\n"
    log = {"log/2026-01-02.yml": "readings: {alkalinity: 8}\n"}
    page, _ = upkeep_page(journals.site(tmp_path, {"tank.yml": tank} | log))
    assert "1 of 1 is due." in Html.of(page).text  # the usual test of alkalinity is not their own


def test_a_journal_without_tasks_says_what_to_write(empty: Built) -> None:
    page = empty.html["upkeep"]
    assert "Nothing is planned yet." in page.text
    assert CALENDAR_ASSET not in {asset.path for asset in empty.tree.assets}


def test_the_calendar_holds_tasks_and_orders(full: Built) -> None:
    (asset,) = (a for a in full.tree.assets if a.path == CALENDAR_ASSET)
    assert isinstance(asset.content, bytes)
    calendar = icalendar.Calendar.from_ical(asset.content)
    events = {str(e["summary"]): e for e in calendar.walk("VEVENT")}
    assert {"glass", "filter floss", "service return pump", "calibrate refractometer",
            "activated carbon in reactor", "order alk mix"} <= set(events)  # fmt: skip
    assert "rrule" not in events["order alk mix"] and "rrule" in events["glass"]


def paths(svg: str, kind: str) -> list[tuple[int, int]]:
    (drawn,) = re.findall(rf'class="jt-task__{kind}" d="([^"]*)"', svg)
    return [(int(a), int(b)) for a, b in re.findall(r"M(\d+) [\d.]+H(\d+)", drawn)]


def test_a_strip_shows_the_gap_where_it_was_late() -> None:
    """Done on day 10 of a week's interval: late on days 8 and 9. Two units a day, 182 days."""
    svg = strip_svg(task(10), FIRST + dt.timedelta(days=12))
    assert paths(svg, "late") == [((181 - 12 + 8) * 2, (181 - 12 + 10) * 2)]


@given(st.lists(st.integers(0, 400), unique=True), st.integers(0, 400), st.integers(1, 90))
def test_the_strip_of_every_day_is_either_kept_or_late(
    done: list[int], today: int, every: int
) -> None:
    known = sorted(day for day in done if day <= today)
    svg = strip_svg(task(*known, every=every), FIRST + dt.timedelta(days=today))
    pieces = sorted(paths(svg, "kept") + paths(svg, "late"))
    assert pieces[-1][1] == 26 * 7 * 2
    assert all(a[1] == b[0] for a, b in pairwise(pieces))
