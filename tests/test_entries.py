from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest

from journal_tools.entries import Entry
from journal_tools.journal import Journal
from journal_tools.parameters import PARAMETERS
from journal_tools.requests import photo_requests
from tests.conftest import ReadEntry

FULL = """\
date: 2026-03-14
time: "18:40"
title: First corals
tags: [corals, day out]
milestone: The first coral
draft: true
readings:
  temperature: 25.4
  salinity: 35 psu
  alkalinity: [8.2, {value: 8,4 dKH, error: 0,2, kit: drop test, when: after dose, time: "20:00"}]
  nitrate: <0.25
  iodine: 60 ppb
doses: [{what: alk mix, amount: 30 ml, time: "9:00", note: by hand}]
stock: {what: alk mix, left: 1.5 L}
dosing_plan: [{what: alk mix, per_day: 24 ml, time: "12:00", start: 2026-03-01, until: 2026-04-01},
  {what: ca mix, stopped: true}]
calibrations: {instrument: pen, ph: [{standard: 7.00, shown: 7.08}], adjusted: false}
water_change: {volume: 20 L, salinity: 35, fresh: {alkalinity: 8}, time: "19:00"}
top_off: [4 L, {volume: 1 L, what: limewater}]
livestock: [{added: clownfish, count: 2, length: 4 cm, price: 39.90},
  {lost: turbo snail, why: unknown}, {removed: sea hare, note: to a friend},
  {measured: leather coral, length: 12 cm}]
equipment: [{installed: return pump, price: 95}, {changed: light, to: {white: 40 %, from: "10:00"}},
  {serviced: skimmer}, {removed: fan}, {failed: heater, note: stuck}, {changed: timer, to: 9 h}]
upkeep: [skimmer cup, {task: glass, note: inside}]
feed: [frozen mysis, {what: flakes, amount: 0,5 g}]
costs: [{what: salt, amount: "54,90", category: salt}]
photos: [front.jpg, {file: top.jpg, view: top, caption: Day 30}]
notes: |
  Words.
questions: Too bright?
"""


def test_everything_that_an_entry_can_say(read_entry: ReadEntry) -> None:
    text = FULL.replace("value: 8,4", "value: 8.4").replace("error: 0,2", "error: 0.2")
    entry, problems = read_entry(text.replace("0,5 g", "0.5 g"))
    assert problems == []
    assert entry is not None
    assert Entry.model_fields.keys() - entry.model_fields_set == set()
    assert (entry.date, entry.time) == (dt.date(2026, 3, 14), dt.time(18, 40))
    second = entry.readings.alkalinity[1]
    assert (second.value.value, second.error, second.kit) == (8.4, 0.2, "drop test")
    assert (second.when, second.time) == ("after dose", dt.time(20))
    nitrate = entry.readings.nitrate[0].value
    assert (nitrate.value, nitrate.censored) == (0.25, "below")
    assert entry.readings.iodine[0].value.value == pytest.approx(60)
    assert [(event.event, event.name) for event in entry.livestock] == [
        ("added", "clownfish"), ("lost", "turbo snail"), ("removed", "sea hare"),
        ("measured", "leather coral"),
    ]  # fmt: skip
    assert [(event.event, event.name) for event in entry.equipment] == [
        ("installed", "return pump"), ("changed", "light"), ("serviced", "skimmer"),
        ("removed", "fan"), ("failed", "heater"), ("changed", "timer"),
    ]  # fmt: skip
    assert entry.equipment[1].to == {"white": "40 %", "from": "10:00"}
    assert [top_off.volume.value for top_off in entry.top_off] == [4, 1]
    assert [food.what for food in entry.feed] == ["frozen mysis", "flakes"]
    assert [photo.file for photo in entry.photos] == ["front.jpg", "top.jpg"]
    assert entry.questions == ["Too bright?"]
    assert entry.notes == "Words."


@pytest.mark.parametrize(
    ("short", "long"),
    [
        ("upkeep: glass", "upkeep: [{task: glass}]"),
        ("water_change: 20 L", "water_change: [{volume: 20 L}]"),
        ("top_off: 4 L", "top_off: [{volume: 4 L}]"),
        ("feed: flakes", "feed: [{what: flakes}]"),
        ("photos: a.jpg", "photos: [{file: a.jpg}]"),
        ("readings: {calcium: 420}", "readings: {calcium: [{value: 420}]}"),
        ("doses: {what: a, amount: 3 ml}", "doses: [{what: a, amount: 3 ml}]"),
        ("livestock: {added: snail}", "livestock: [{added: snail, count: 1}]"),
        ("tags: reef", "tags: [reef]"),
    ],
)
def test_short_forms(read_entry: ReadEntry, short: str, long: str) -> None:
    assert read_entry(short) == read_entry(long)
    assert read_entry(short)[1] == []


@pytest.mark.parametrize("key", sorted(Entry.model_fields.keys() - {"draft"}))
def test_a_key_without_a_value_says_nothing(read_entry: ReadEntry, key: str) -> None:
    entry, problems = read_entry(f"{key}:\n")
    assert problems == []
    assert entry is not None
    assert not getattr(entry, key)
    assert not entry.says_something


@pytest.mark.parametrize("name", PARAMETERS)
def test_a_reading_left_empty_says_nothing(read_entry: ReadEntry, name: str) -> None:
    entry, problems = read_entry(f"readings:\n  {name}:\n")
    assert problems == []
    assert entry is not None
    assert getattr(entry.readings, name) == []


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("date: 2026-03-14", False), ("time: 9:00", False), ("draft: true", False),
        ("tags: [a]", False), ("title: x", True), ("readings: {calcium: 420}", True),
        ("notes: x", True), ("photos: a.jpg", True), ("questions: why", True),
        ("upkeep: glass", True), ("milestone: x", True),
    ],
)  # fmt: skip
def test_what_counts_as_saying_something(read_entry: ReadEntry, text: str, says: bool) -> None:
    entry, _ = read_entry(text)
    assert entry is not None
    assert entry.says_something is says


ANIMAL = "Write for example '{added: clownfish, count: 2}'."
PIECE = "Write for example '{installed: return pump}'."


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("calibrations: {instrument: pen}", "1:15: The calibration of 'pen' says nothing of what "
         "was compared. Write for example 'salinity: {standard: 35, shown: 36.2}'."),
        ("calibrations: {instrument: pen, ph: {standard: 7}}", "1:37: A checkpoint needs one of "
         "'shown' and 'millivolts'. Write for example '{standard: 35, shown: 36.2}'."),
        ("livestock: [{count: 2}]", "1:13: Exactly one of added, lost, removed, measured is needed "
         f"here, not 0. {ANIMAL}"),
        ("livestock: [{added: a, lost: a}]", "1:13: Exactly one of added, lost, removed, "
         "measured is "
         f"needed here, not 2. {ANIMAL}"),
        ("equipment: {note: x}", "1:12: Exactly one of installed, changed, serviced, removed, "
         "failed "
         f"is needed here, not 0. {PIECE}"),
        ("dosing_plan: {what: a}", "1:14: A dosing plan needs one of per_day and stopped. Write "
         "'per_day: 24 ml', or 'stopped: true'."),
        ("dosing_plan: {what: a, per_day: 3, stopped: true}", "1:14: A dosing plan needs one of "
         "per_day and stopped. Write 'per_day: 24 ml', or 'stopped: true'."),
    ],
)  # fmt: skip
def test_events_that_contradict_themselves(read_entry: ReadEntry, text: str, message: str) -> None:
    entry, problems = read_entry(text)
    assert problems == [f"day.yml:{message}"]
    assert entry == Entry()


def test_a_photo_may_say_when_it_was_taken(load: Callable[..., Journal]) -> None:
    """An old picture in a new entry is no mistake once the entry says so."""
    journal = load(
        {
            "log/2026-03-14.yml": "photos: [{file: old.jpg, taken: 2025-12-24}]\n",
        }
    )
    (request,) = photo_requests(journal.entries)
    assert request.entry_date == dt.date(2025, 12, 24)
