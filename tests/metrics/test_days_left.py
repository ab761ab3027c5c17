"""How long a bottle lasts: by a count, by the bottle, and where nobody can know."""

from __future__ import annotations

import pytest

from tests.journals import metrics
from tests.metrics.test_dose_advice import MIX, PLAN, line, reef, told


def test_days_left_by_a_count() -> None:
    """300 ml on the 21st at noon, 16 ml on each of the ten days after it: 140 ml, 8.75 days."""
    stock = ("2026-03-21", "stock: {what: MIX, left: 300 ml}")
    journal = told(line(8.0, 0.0), PLAN, stock, tank=reef(MIX))
    found = metrics(journal | {}, but=("two-spellings",)).one("days_left", "mix")
    assert found is not None
    assert found.value == pytest.approx(140 / 16)
    assert found.note == "Empty between 6 April 2026 and 11 April 2026."
    assert next(i.entry for i in found.inputs) == "2026-03-21"


def test_days_left_by_a_bottle_and_not_after_it_must_have_been_refilled() -> None:
    found = metrics(told(line(8.0, 0.0), PLAN, tank=reef(MIX))).one("days_left", "mix")
    # 31 days of 16 ml from a litre
    assert found is not None and found.value == pytest.approx((1000 - 31 * 16) / 16)
    more = ("2026-03-01", "dosing_plan: {what: mix, per_day: 40 ml}")
    assert metrics(told(line(8.0, 0.0), more, tank=reef(MIX))).one("days_left", "mix") is None


def test_a_count_in_another_unit_tells_nothing() -> None:
    stock = ("2026-03-21", "stock: {what: mix, left: 300 g}")
    tank = reef(MIX.replace(", bottle: 1 L", ""))
    assert metrics(told(line(8.0, 0.0), PLAN, stock, tank=tank)).one("days_left", "mix") is None
