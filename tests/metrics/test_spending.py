"""What the tank has cost: sums by day, category and month."""

from __future__ import annotations

import datetime as dt

import pytest

from tests.journals import TANK, Files, metrics

FILES = {
    "tank.yml": TANK
    + "currency: usd\nequipment: [{name: pump, installed: 2026-01-31, price: 80}]\n",
    "log/2026-01-31.yml": 'time: "23:59"\ncosts: [{what: salt, amount: 54.90, category: salt}]\n',
    "log/2026-02-01.yml": 'time: "00:01"\ncosts: [{what: food, amount: 5}]\n',
    "log/2026-02-02.yml": "livestock: {added: snail, price: 3.10}\n",
    "log/2026-04-03.yml": "costs: [{what: salt, amount: 55, category: salt}]\n",
}
TODAY = dt.date(2026, 4, 10)


def test_the_running_total_ends_each_day_with_its_sum() -> None:
    found = metrics(FILES, TODAY).of("cost_total")
    # 80 + 54.90; + 5; + 3.10; + 55, by hand
    assert [round(r.value, 2) for r in found] == [134.90, 139.90, 143.00, 198.00]
    assert [r.end.strftime("%m-%d") for r in found if r.end] == ["01-31", "02-01", "02-02", "04-03"]
    assert {r.unit for r in found} == {"USD"}


def test_only_the_newest_total_shows_its_working_dearest_first() -> None:
    *earlier, newest = metrics(FILES, TODAY).of("cost_total")
    assert all(r.inputs == () for r in earlier)
    assert [(i.label, i.value, i.entry) for i in newest.inputs] == [
        ("pump", "80.00 USD", ""),
        ("salt", "55.00 USD", "2026-04-03"),
        ("salt", "54.90 USD", "2026-01-31"),
        ("food", "5.00 USD", "2026-02-01"),
        ("snail", "3.10 USD", "2026-02-02"),
    ]


def test_categories_are_the_keepers_and_add_up() -> None:
    found = metrics(FILES, TODAY).of("cost_by_category")
    sums = {r.subject: round(r.value, 2) for r in found}
    assert sums == {"equipment": 80, "livestock": 3.10, "other": 5, "salt": 109.90}
    assert {i.label for r in found if r.subject == "salt" for i in r.inputs} == {"salt"}


def test_months_are_the_keepers_and_one_without_costs_is_nought() -> None:
    found = metrics(FILES, TODAY).of("cost_per_month")
    by_month = {r.start.strftime("%Y-%m"): round(r.value, 2) for r in found if r.start}
    assert by_month == {"2026-01": 134.90, "2026-02": 8.10, "2026-03": 0.0, "2026-04": 55.0}
    assert sum(by_month.values()) == pytest.approx(198)
    starts = [r.start.isoformat() for r in found if r.start]
    # Berlin leaves winter time on 29 March 2026
    assert starts[2:] == ["2026-03-01T00:00:00+01:00", "2026-04-01T00:00:00+02:00"]
    assert [r.end for r in found[:-1]] == [r.start for r in found[1:]]


@pytest.mark.parametrize("files", [{}, FILES | {"tank.yml": FILES["tank.yml"]
                                   + "privacy: {show_costs: false}\n"}])  # fmt: skip
def test_nothing_is_said_of_costs_that_are_none_or_private(files: Files) -> None:
    found = metrics(files, TODAY)
    assert [r for r in found if r.metric.startswith("cost")] == []
