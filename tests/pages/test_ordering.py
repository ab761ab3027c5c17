"""When to order again: a week before the shortest time in which it runs out."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

import pytest

from journal_tools.metrics import Metrics, Result
from journal_tools.pages.ordering import orders_of, reminders
from tests import journals
from tests.pages.built import Built, text_of


def of(tmp_path: Path, *results: Result) -> list[tuple[str, str, dt.date, bool]]:
    site = replace(journals.site(tmp_path, {}), metrics=Metrics(list(results)))
    return [(o.name, o.lasts, o.by, o.late) for o in orders_of(site)]


def left(name: str, days: float, low: float | None = None, high: float | None = None) -> Result:
    return Result("days_left", days, "days", 0, name, low, high)


@pytest.mark.parametrize(
    ("low", "day", "late"),
    [(30.9, dt.date(2026, 4, 23), False), (7.2, journals.TODAY, True), (0.0, journals.TODAY, True)],
)
def test_the_day_leaves_a_week_for_delivery(
    low: float, day: dt.date, late: bool, tmp_path: Path
) -> None:
    ((_, _, by, due),) = of(tmp_path, left("mix", 40, low, 50))
    assert (by, due) == (day, late)


def test_the_soonest_comes_first_and_the_endless_not_at_all(tmp_path: Path) -> None:
    found = of(tmp_path, left("b", 90, 80), left("a", 20, 15, 25), left("c", 1e9, 1e8))
    assert [(name, lasts) for name, lasts, _, _ in found] == [
        ("a", "20 days (15 to 25)"), ("b", "90 days"),
    ]  # fmt: skip


def test_one_day_is_a_day(tmp_path: Path) -> None:
    ((_, lasts, _, _),) = of(tmp_path, left("a", 1))
    assert lasts == "1 day"


def test_nothing_known_nothing_to_order(tmp_path: Path) -> None:
    assert of(tmp_path) == []


def test_the_page_and_the_reminder_say_the_same(full: Built) -> None:
    (order,) = orders_of(full.site)
    (once,) = reminders([order])
    assert (once.name, once.day) == ("order alk mix", order.by)
    row = next(tr for tr in full.html["upkeep"].all("tr") if "Alk mix" in text_of(tr))
    assert order.lasts in text_of(row)
