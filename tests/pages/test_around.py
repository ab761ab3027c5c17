"""Which entries get a figure of the days around them, and that it is drawn."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal_tools.pages.around import asks_for_window, large_changes, window_figure
from tests import journals

TANK = (
    journals.TANK
    + """\
supplements: [{name: mix, no_effect: true}, {name: other, no_effect: true}]
equipment:
  - {name: lamp, kind: light, installed: 2026-01-01}
  - {name: wave, kind: circulation pump, installed: 2026-01-01}
  - {name: probe, kind: meter, installed: 2026-01-01}
"""
)
FIRST = {"log/2026-01-05.yml": "readings: {alkalinity: 8}\n"}


def large(*entries: tuple[str, str]) -> set[str]:
    log = {f"log/{day}.yml": text for day, text in entries}
    return set(large_changes(journals.tables({"tank.yml": TANK} | FIRST | log)))


def plan(day: str, amount: str, what: str = "mix") -> tuple[str, str]:
    return day, f"dosing_plan: {{what: {what}, per_day: {amount}}}\n"


@pytest.mark.parametrize(
    ("amounts", "found"),
    [
        (("10 ml", "14 ml"), {"2026-03-01"}),
        (("10 ml", "6 ml"), {"2026-03-01"}),
        # exactly 30 % is not more than 30 %
        (("10 ml", "13 ml"), set()),
        (("10 ml", "10.5 ml"), set()),
        # millilitres and grams cannot be compared
        (("10 ml", "40 g"), set()),
    ],
)
def test_a_plan_that_changes_by_more_than_thirty_percent(
    amounts: tuple[str, str], found: set[str]
) -> None:
    assert large(plan("2026-02-01", amounts[0]), plan("2026-03-01", amounts[1])) == found


def test_plans_of_two_products_are_not_compared() -> None:
    assert large(plan("2026-02-01", "10 ml"), plan("2026-03-01", "40 ml", "other")) == set()


def test_of_several_within_a_week_the_first_counts() -> None:
    plans = [
        plan(f"2026-02-{day:02}", f"{ml} ml") for day, ml in ((1, 10), (4, 20), (8, 40), (20, 90))
    ]
    assert large(*plans) == {"2026-02-04", "2026-02-20"}


@pytest.mark.parametrize(
    ("event", "counts"),
    [
        ("{changed: lamp, to: 60 %}", True),
        ("{removed: wave}", True),
        ("{changed: probe}", False),
        ("{serviced: wave}", False),
        ("{installed: wave}", False),
    ],
)
def test_light_and_pumps(event: str, counts: bool) -> None:
    assert bool(large(("2026-03-01", f"equipment: {event}\n"))) == counts


def test_what_was_set_up_before_the_first_test_is_no_change() -> None:
    assert large(("2026-01-03", "equipment: {changed: lamp}\n")) == set()


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("livestock: {lost: snail}", True),
        ("livestock: {added: snail}", False),
        ("equipment: {failed: wave}", True),
        ("dosing_plan: {what: mix, stopped: true}", True),
        ("tags: [Mistake]\nnotes: I slipped.", True),
        ("equipment: {changed: lamp, to: 80 %}", True),
        ("notes: A quiet day.", False),
    ],
)
def test_who_asks_for_a_window(text: str, asks: bool, tmp_path: Path) -> None:
    site = journals.site(tmp_path, {"tank.yml": TANK, "log/2026-03-01.yml": text + "\n"} | FIRST)
    assert asks_for_window(site, site.journal.entry_by_id["2026-03-01"]) == asks


def test_the_figure_shows_what_was_tested_in_those_weeks(tmp_path: Path) -> None:
    log = {f"log/2026-02-{day:02}.yml": f"readings: {{alkalinity: {8 + day / 100}, nitrate: 5}}\n"
           for day in range(1, 28, 3)}  # fmt: skip
    log["log/2026-02-14.yml"] = "livestock: {lost: snail}\n"
    log["log/2026-03-31.yml"] = "livestock: {lost: snail}\n"
    site = journals.site(tmp_path, {"tank.yml": TANK} | FIRST | log)
    figure = window_figure(site, site.journal.entry_by_id["2026-02-14"])
    assert figure is not None and "<svg" in figure.svg
    assert "Alkalinity" in figure.svg and "Nitrate" in figure.svg
    assert "Calcium" not in figure.svg
    # nothing was tested in the two weeks before the end of March
    assert window_figure(site, site.journal.entry_by_id["2026-03-31"]) is None
