"""What comes next, as dates with reasons."""

from __future__ import annotations

import datetime as dt

import pytest

from journal_tools.metrics import compute_metrics
from journal_tools.outlook import Coming, outlook
from tests.journals import HUNDRED_LITRES, TANK, TODAY, tables

MIX = "{name: mix, potency: {by: 10 ml, water: 100 L, raises: {alkalinity: 0.5}}}"
REEF = HUNDRED_LITRES + f"supplements: [{MIX}]\ntargets: {{alkalinity: 7.5 to 8.5}}\n"
REEF += "tests: {alkalinity: {repeatability: 0.05}}\n"


def coming(files: dict[str, str], today: dt.date = TODAY) -> list[Coming]:
    found = tables(files, today, but=("unknown-supplement",))
    return outlook(found, compute_metrics(found))


def named(found: list[Coming], word: str) -> list[Coming]:
    return [one for one in found if word in one.what]


def test_an_empty_journal_has_nothing_to_come() -> None:
    assert coming({}) == []


@pytest.mark.parametrize(
    ("tested", "day", "late"),
    [("2026-03-28", "2026-04-04", False), ("2026-03-10", "2026-03-31", True)],
)
def test_a_test_comes_at_its_interval(tested: str, day: str, late: bool) -> None:
    (one,) = coming({f"log/{tested}.yml": "readings: {alkalinity: 8}\n"})
    assert (one.what, str(one.day), one.late) == ("Test alkalinity", day, late)
    assert one.why.startswith("Every 7 days is usual; the last was on ")


def test_what_is_further_ahead_than_two_weeks_waits() -> None:
    tank = TANK + "tests: {alkalinity: {every: 30 days}}\n"
    assert coming({"tank.yml": tank, "log/2026-03-28.yml": "readings: {alkalinity: 8}\n"}) == []


def weekly(line: str, count: int, last: int = 28) -> dict[str, str]:
    return {f"log/2026-03-{last - 7 * n:02}.yml": line + "\n" for n in range(count)}


def test_the_next_water_change_by_the_usual_gap() -> None:
    (one,) = named(coming(weekly("water_change: 20 L", 4)), "Change water")
    assert str(one.day) == "2026-04-04"
    assert one.why == "The last ones were 7 days apart, of 20 L; the newest was on 28 March 2026."
    assert named(coming(weekly("water_change: 20 L", 2)), "Change water") == []


def test_the_next_dose_by_hand_by_the_usual_gap() -> None:
    dosed = weekly("doses: {what: mix, amount: 30 ml}", 4)
    (one,) = named(coming({"tank.yml": REEF} | dosed), "Dose 30 ml of mix")
    assert str(one.day) == "2026-04-04" and not one.late
    # three times the gap without one: it was given up
    assert named(coming({"tank.yml": REEF} | dosed, dt.date(2026, 4, 20)), "Dose 30") == []
    # a plan runs by itself
    planned = dosed | {"log/2026-03-29.yml": "dosing_plan: {what: mix, per_day: 5 ml}\n"}
    assert named(coming({"tank.yml": REEF} | planned), "Dose 30") == []


def falling(per_day: float) -> dict[str, str]:
    log = {}
    for day in range(1, 32, 3):
        text = f"readings: {{alkalinity: {8 - per_day * day:.2f}}}\n"
        log[f"log/2026-03-{day:02}.yml"] = text
    log["log/2026-03-01.yml"] += "dosing_plan: {what: mix, per_day: 16 ml}\n"
    return {"tank.yml": REEF} | log


def test_a_dose_that_does_not_hold_comes_up_today_with_its_arithmetic() -> None:
    (one,) = named(coming(falling(0.04)), "Look at the dose")
    assert one.day == TODAY
    assert "would hold the level" in one.why and "Measure alkalinity again on" in one.why
    assert named(coming(falling(0.0)), "Look at the dose") == []


def test_a_bottle_comes_before_it_is_empty() -> None:
    files = falling(0.0)
    files["log/2026-03-28.yml"] += "stock: {what: mix, left: 160 ml}\n"
    (one,) = named(coming(files), "Make or buy mix")
    # 160 ml less three days of 16 ml are 7 days
    assert TODAY < one.day < TODAY + dt.timedelta(days=7)
    assert one.why.startswith("Empty between ")


def test_tasks_and_order() -> None:
    tank = TANK + "upkeep: [{task: glass, every: 4 days}, {task: floss, every: 3 days}]\n"
    log = {"log/2026-03-30.yml": "upkeep: [glass, floss]\n"}
    found = coming({"tank.yml": tank} | log)
    assert [(one.what, str(one.day)) for one in found] == [
        ("Floss", "2026-04-02"), ("Glass", "2026-04-03"),
    ]  # fmt: skip
    assert found[0].why == "Every 3 days; last on 30 March 2026."
