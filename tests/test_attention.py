"""What a keeper might look at next, with its evidence."""

from __future__ import annotations

import datetime as dt

import pytest

from journal_tools.attention import Notice, notices
from journal_tools.metrics import compute_metrics
from tests.journals import TANK, TODAY, tables

ALARM = ("!", "danger", "alarm", "urgent", "critical", "must")


def points(files: dict[str, str], kind: str, today: dt.date = TODAY) -> list[Notice]:
    found = tables(files, today)
    every = notices(found, compute_metrics(found))
    assert not [n for n in every if any(word in n.what.lower() for word in ALARM)]
    return [notice for notice in every if notice.kind == kind]


def outside(band: str, *readings: str) -> list[Notice]:
    tank = TANK + f"targets: {{nitrate: {band}}}\n"
    log = {f"log/2026-03-{20 + n}.yml": f"readings: {{nitrate: {r}}}\n" for n, r in
           enumerate(readings)}  # fmt: skip
    return points({"tank.yml": tank} | log, "outside")


@pytest.mark.parametrize(
    ("band", "reading", "side"),
    [
        ("2 to 12", "12.1", "above"),
        ("2 to 12", "1.9", "below"),
        ("below 12", "13", "above"),
        ("above 2", "1", "below"),
        # below 1.5 is certainly below 2
        ("2 to 12", "< 1.5", "below"),
        ("2 to 12", "above 12.5", "above"),
    ],
)
def test_a_reading_outside_its_band(band: str, reading: str, side: str) -> None:
    (notice,) = outside(band, "5", reading)
    assert notice.what == f"Nitrate was {side} its band in the last test."
    assert (notice.entry, notice.parameter) == ("2026-03-21", "nitrate")


@pytest.mark.parametrize(
    ("band", "reading"),
    [
        ("2 to 12", "2"),
        ("2 to 12", "12"),
        ("below 12", "0"),
        # "below 5" may well be 3: nothing to say
        ("2 to 12", "< 5"),
        ("below 12", "< 15"),
    ],
)
def test_a_reading_that_may_be_inside_is_left_alone(band: str, reading: str) -> None:
    assert outside(band, "20", reading) == []


def test_evidence_gives_reading_age_and_band() -> None:
    (notice,) = outside("2 to 12", "12.5")
    assert notice.evidence == "12.5 mg/L 11 days ago; band 2.0 to 12.0 mg/L."


def test_the_band_of_today_counts() -> None:
    tank = TANK + (
        "targets: {nitrate: 2 to 12}\n"
        "later_targets: [{start: 2026-03-25, bands: {nitrate: below 40}}]\n"
    )
    log = {"log/2026-03-20.yml": "readings: {nitrate: 30}\n"}
    assert points({"tank.yml": tank} | log, "outside") == []
    assert len(points({"tank.yml": tank} | log, "outside", dt.date(2026, 3, 24))) == 1


TESTED = {"log/2026-03-20.yml": "readings: {alkalinity: 8, iron: 2}\n"}


@pytest.mark.parametrize(
    ("day", "every", "old"),
    [
        ("2026-03-26", "", False),
        ("2026-03-27", "", False),  # 7 days, as often as usual
        ("2026-03-28", "", True),
        ("2026-03-24", "4 days", False),
        ("2026-03-25", "4 days", True),
        ("2026-04-03", "2 weeks", False),
        ("2026-04-04", "2 weeks", True),
    ],
)
def test_an_old_test(day: str, every: str, old: bool) -> None:
    tank = TANK + (f"tests: {{alkalinity: {{every: {every}}}}}\n" if every else "")
    found = points({"tank.yml": tank} | TESTED, "untested", dt.date.fromisoformat(day))
    assert [notice.parameter for notice in found] == ["alkalinity"] * old


def test_an_old_test_says_how_old() -> None:
    (notice,) = points(TESTED, "untested")
    assert notice.what == "Alkalinity was last tested 11 days ago."
    assert notice.evidence == "Usually tested every 7 days."


def test_an_old_test_says_whose_interval_it_is() -> None:
    tank = TANK + "tests: {alkalinity: {every: 4 days}}\n"
    (notice,) = points({"tank.yml": tank} | TESTED, "untested")
    assert notice.evidence == "Meant to be tested every 4 days."


TASKS = TANK + "upkeep: [{task: glass, every: 4 days}, {task: pump service, every: 3 months}]\n"


@pytest.mark.parametrize(
    ("day", "words"),
    [
        ("2026-03-23", None),
        ("2026-03-24", "Glass is due today."),
        ("2026-03-25", "Glass was due 1 day ago."),
        ("2026-04-19", "Glass was due 4 weeks ago."),
    ],
)
def test_a_task_that_is_due(day: str, words: str | None) -> None:
    log = {"log/2026-03-20.yml": "upkeep: [Glass, pump-service]\n"}
    found = tables({"tank.yml": TASKS} | log, dt.date.fromisoformat(day), but=("two-spellings",))
    due = [n for n in notices(found, compute_metrics(found)) if n.kind == "due"]
    assert [notice.what for notice in due] == ([words] if words else [])
    assert {notice.entry for notice in due} <= {"2026-03-20"}


def test_a_task_never_done_counts_from_the_start() -> None:
    found = points({"tank.yml": TASKS}, "due", dt.date(2026, 1, 6))
    assert [(n.what, n.evidence, n.entry) for n in found] == [
        ("Glass was due 1 day ago.", "Never logged; every 4 days.", "")
    ]


def test_an_empty_journal_needs_nothing() -> None:
    found = tables({})
    assert notices(found, compute_metrics(found)) == []
