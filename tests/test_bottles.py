"""Bottles from rows alone give what the metric gives from tables."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from journal_tools.bottles import Bottle, bottles_of
from journal_tools.journal import load_journal
from journal_tools.metrics import compute_metrics
from journal_tools.rows import journal_rows
from journal_tools.tables import build_tables
from tests import journals

DEMO = Path(__file__).parents[1] / "content"
MIX = journals.TANK + "supplements: [{name: mix, no_effect: true, bottle: 1 L}]\n"


def bottles(log: dict[str, str], today: dt.date = journals.TODAY) -> list[Bottle]:
    journal = journals.read({"tank.yml": MIX} | log, today)
    return list(bottles_of(journal.profile, today, journal_rows(journal)))


@pytest.mark.parametrize("day", ["2026-03-01", "2026-06-01", "2026-11-23"])
def test_the_same_as_the_metric(day: str) -> None:
    journal = load_journal(DEMO, dt.date.fromisoformat(day))
    metrics = compute_metrics(build_tables(journal))
    found = {b.name: (b.lasts.value, b.lasts.low) for b in
             bottles_of(journal.profile, journal.today, journal_rows(journal))}  # fmt: skip
    expected = {result.subject: (result.value, result.low) for result in metrics.of("days_left")}
    assert found
    assert found.keys() == expected.keys()
    for name, figures in found.items():
        assert figures == pytest.approx(expected[name])


def test_a_plan_by_hand() -> None:
    # 21 days of 20 ml from a bottle of 1000 ml leave 580 ml: 29 days.
    (bottle,) = bottles({"log/2026-03-11.yml": "dosing_plan: {what: mix, per_day: 20 ml}\n"})
    assert bottle.name == "mix"
    assert bottle.lasts.value == pytest.approx(29)
    days = int(bottle.lasts.low) - 7
    assert bottle.order_by == journals.TODAY + dt.timedelta(days=days)


def test_what_was_counted_outdoes_the_bottle() -> None:
    plan = {"log/2026-03-11.yml": "dosing_plan: {what: mix, per_day: 20 ml}\n"}
    (bottle,) = bottles(plan | {"log/2026-03-30.yml": "stock: {what: mix, left: 140 ml}\n"})
    # 20 ml at noon of the 31st; the dose of the 30th went in at the time of the count
    assert bottle.lasts.value == pytest.approx(6)
    assert bottle.order_by == journals.TODAY, "never in the past"


@pytest.mark.parametrize(
    "text",
    [
        "dosing_plan: {what: mix, per_day: 2 L}",  # more than a bottle since: refilled
        "dosing_plan: {what: mix, per_day: 20 ml, until: 2026-03-02}",  # no dose at present
        "doses: {what: mix, amount: 5 g}",  # grams of a bottle in litres
        "title: nothing",
    ],
)
def test_what_nobody_knows(text: str) -> None:
    assert bottles({"log/2026-03-01.yml": text + "\n"}) == []


def test_limewater_is_dosed_with_the_top_off() -> None:
    (bottle,) = bottles({"log/2026-03-25.yml": "top_off: {volume: 140 ml, what: Mix}\n"})
    # 140 ml in 14 days are 10 ml a day; 860 ml are left
    assert bottle.lasts.value == pytest.approx(86)
