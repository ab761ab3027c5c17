"""Recurring work: where it comes from, when it is due, how well it was kept, as a calendar."""

from __future__ import annotations

import datetime as dt

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.tasks import Done, Once, Task, calendar_text, due_by, tasks_of
from tests.journals import TANK, TODAY, tables

FIRST = dt.date(2026, 1, 1)


def task(*days: int, every: int = 7) -> Task:
    done = tuple(Done(FIRST + dt.timedelta(days=day), "") for day in days)
    return Task("upkeep", "glass", every, FIRST, done)


PROFILE = (
    TANK
    + """\
upkeep: [{task: glass, every: 4 days}]
tests: {alkalinity: {every: 1 week}}
instruments: [{name: pen, kind: pH meter, calibrate_every: 1 month}]
equipment:
  - {name: return pump, service_every: 3 months, installed: 2026-02-01}
  - {name: reactor, media: {what: activated carbon, change_every: 4 weeks}}
  - {name: emergency pump, service_every: 1 month, planned: true}
  - {name: old pump, service_every: 1 month, installed: 2026-01-01, removed: 2026-02-01}
"""
)
LOG = {
    "log/2026-03-01.yml": "readings: {alkalinity: 8, magnesium: 1300}\nupkeep: [glass]\n"
    "calibrations: {instrument: pen, ph: {standard: 7, shown: 7.1}}\n"
    "equipment: [{serviced: return pump}]\n",
    "log/2026-03-02.yml": "upkeep: [activated carbon]\n",
    "log/2026-03-05.yml": "equipment: [{changed: reactor, to: fresh carbon}]\n",
}


def test_where_tasks_come_from() -> None:
    found = {t.name: t for t in tasks_of(tables({"tank.yml": PROFILE} | LOG))}
    assert {name: (t.kind, str(t.due), t.every_days) for name, t in found.items()} == {
        "glass": ("upkeep", "2026-03-05", 4),
        "test alkalinity": ("test", "2026-03-08", 7),
        # tested before, so asked for again, but at nobody's own interval
        "test magnesium": ("test", "2026-03-31", 30),
        "calibrate pen": ("calibration", "2026-03-31", 30),
        "service return pump": ("service", "2026-05-31", 91),
        "activated carbon in reactor": ("media", "2026-04-02", 28),
    }
    assert [t.name for t in found.values() if not t.meant] == ["test magnesium"]
    assert [done.entry for done in found["activated carbon in reactor"].done] == [
        "2026-03-02", "2026-03-05"]  # fmt: skip


def test_the_soonest_comes_first() -> None:
    found = tasks_of(tables({"tank.yml": PROFILE} | LOG))
    assert [t.due for t in found] == sorted(t.due for t in found)
    assert [t.name for t in due_by(found, dt.date(2026, 3, 8))] == ["glass", "test alkalinity"]


def test_a_new_piece_is_serviced_from_its_first_day() -> None:
    (found,) = (t for t in tasks_of(tables({"tank.yml": PROFILE})) if t.kind == "service")
    assert found.due == dt.date(2026, 2, 1) + dt.timedelta(days=91)


@pytest.mark.parametrize(
    ("days", "today", "kept"),
    [
        ((), 5, None),  # too new to tell
        ((), 6, 1.0),
        ((), 13, 8 / 14),  # due on day 7, late from day 8 to 13
        ((7,), 13, 1.0),
        ((10,), 13, 12 / 14),  # late on days 8 and 9
        ((7, 14, 21), 28, 1.0),
    ],
)
def test_how_well_it_was_kept(days: tuple[int, ...], today: int, kept: float | None) -> None:
    found = task(*days).kept(FIRST + dt.timedelta(days=today))
    assert found == (None if kept is None else pytest.approx(kept))


@given(st.lists(st.integers(0, 400), unique=True), st.integers(7, 500), st.integers(7, 400))
def test_the_share_kept_is_a_count_of_days(done: list[int], today: int, span: int) -> None:
    done = sorted(day for day in done if day <= today)
    looked_at = range(max(0, today - span + 1), today + 1)
    before = [[0, *(d for d in done if d <= day)][-1] for day in looked_at]
    good = sum(day - last <= 7 or day in done for day, last in zip(looked_at, before, strict=True))
    found = task(*done).kept(FIRST + dt.timedelta(days=today), span)
    if len(looked_at) < 7:
        assert found is None
    else:
        assert found == pytest.approx(good / len(looked_at))


def test_a_calendar_that_a_calendar_program_reads() -> None:
    text = calendar_text(tasks_of(tables({"tank.yml": PROFILE} | LOG)), "Test reef", TODAY)
    assert "\r\n" in text
    calendar = icalendar.Calendar.from_ical(text)
    events = {str(e["summary"]): e for e in calendar.walk("VEVENT")}
    assert len(events) == 6
    # what is late stands on the day of the build
    assert events["glass"].decoded("dtstart") == TODAY
    assert events["service return pump"].decoded("dtstart") == dt.date(2026, 5, 31)
    assert events["glass"]["rrule"]["interval"] == [4]
    assert len({str(e["uid"]) for e in events.values()}) == 6


def test_a_calendar_is_the_same_twice() -> None:
    found = tasks_of(tables({"tank.yml": PROFILE} | LOG))
    assert calendar_text(found, "a", TODAY) == calendar_text(found, "a", TODAY)


def test_what_comes_once_is_not_repeated() -> None:
    later = Once("order mix", TODAY + dt.timedelta(days=9), "Lasts 16 days.")
    text = calendar_text([task()], "Test reef", TODAY, [later, Once("order salt", FIRST)])
    events = {str(e["summary"]): e for e in icalendar.Calendar.from_ical(text).walk("VEVENT")}
    assert events["order mix"].decoded("dtstart") == TODAY + dt.timedelta(days=9)
    assert str(events["order mix"]["description"]) == "Lasts 16 days."
    assert events["order salt"].decoded("dtstart") == TODAY  # late: put on today
    assert "rrule" not in events["order mix"] and "rrule" in events["glass"]
    assert len({str(e["uid"]) for e in events.values()}) == 3


def test_a_calendar_keeps_the_rules_of_its_format() -> None:
    """RFC 5545: lines of 75 octets at most, escaped commas, one day as a date and not a moment."""
    name = "rinse, wipe; and check \\ the " + "very " * 20 + "long ünit"
    text = calendar_text([], "Test reef", TODAY, [Once(name, TODAY)])
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    assert "rinse\\, wipe\\; and check \\\\ the" in text.replace("\r\n ", "")
    assert "DTSTART;VALUE=DATE:20260331" in text
    (event,) = icalendar.Calendar.from_ical(text).walk("VEVENT")
    assert str(event["summary"]) == name
