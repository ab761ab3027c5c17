"""What is used up a month in money, by hand."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.metrics import Metrics, Result
from tests.journals import HUNDRED_LITRES, metrics
from tests.metrics.conftest import assert_sound

MIX = "supplements: [{name: mix, salts: {NaHCO3: 80 g}, made_up_to: 1 L, bottle: 2 L, price: 10}]\n"
SALT = (
    "salt_mix: {name: salt, grams_per_litre: 38, fresh: {salinity: 33}, price: 60, mass: 20 kg}\n"
)
CARBON = (
    "equipment: [{name: bag, kind: filter, installed: 2026-01-02, "
    "media: {what: carbon, price: 8, change_every: 28 days}}]\n"
)
LOG = {
    "log/2026-01-02.yml": "dosing_plan: {what: mix, per_day: 20 ml}\n",
    "log/2026-02-01.yml": "water_change: 30 L\n",
    "log/2026-03-01.yml": "water_change: {volume: 30 L, salinity: 35}\n",
    "log/2025-12-01.yml": "water_change: 500 L\n",
}
MONTH = 365.25 / 12


def of(tank: str, log: dict[str, str] | None = None) -> Metrics:
    return metrics(
        {"tank.yml": HUNDRED_LITRES.replace("2026-01-01", "2025-01-01") + tank}
        | (LOG if log is None else log),
        but=("unknown-supplement",),
    )


def one(found: Metrics, name: str, subject: str = "") -> Result:
    result = found.one(name, subject)
    assert result is not None
    return result


def test_each_part_by_hand() -> None:
    found = of(MIX + SALT + CARBON)
    # 20 ml a day from a bottle of 2 L at 10
    mix = 0.020 * MONTH / 2 * 10
    # within 90 days 30 L at the 33 of the mix and 30 L at 35; the 500 L are older
    salt = 30 * (33 + 35) / 35 * 0.038 / 90 * MONTH / 20 * 60
    carbon = 8 / 28 * MONTH
    for name, cost in (("mix", mix), ("salt", salt), ("carbon in bag", carbon)):
        assert one(found, "consumables_cost", name).value == pytest.approx(cost, rel=1e-6)
    assert one(found, "consumables_cost").value == pytest.approx(mix + salt + carbon, rel=1e-6)


def test_what_has_no_price_is_left_out() -> None:
    parts = (
        MIX.replace(", price: 10", ""), MIX.replace("bottle: 2 L, ", ""),
        SALT.replace("price: 60, ", ""), SALT.replace(", mass: 20 kg", ""),
        SALT.replace("grams_per_litre: 38, ", ""), CARBON.replace("price: 8, ", ""),
        CARBON.replace(", change_every: 28 days", ""), CARBON.replace("2026-01-02", "2026-09-01"),
    )  # fmt: skip
    for part in parts:
        assert of(part).of("consumables_cost") == [], part


def test_a_dose_in_grams_is_not_taken_for_millilitres() -> None:
    log = {"log/2026-03-20.yml": "doses: [{what: mix, amount: 20 g}]\n"}
    assert of(MIX, log).of("consumables_cost") == []


def test_running_cost_adds_electricity() -> None:
    pump = "equipment: [{name: pump, kind: return pump, power: 40 W}]\ntariff: 0.30\n"
    found = of(MIX + pump)
    parts = one(found, "electricity_cost").value + one(found, "consumables_cost").value
    assert one(found, "running_cost").value == pytest.approx(parts)
    assert [i.label for i in one(found, "running_cost").inputs] == [
        "electricity cost a month", "used up a month",
    ]  # fmt: skip


def test_the_cost_of_a_litre() -> None:
    found = of("equipment: [{name: box, price: 250}]\n")
    assert one(found, "cost_per_litre").value == pytest.approx(2.5)
    assert one(found, "cost_per_litre").unit == "EUR per L"


def test_nothing_is_given_against_the_keepers_will() -> None:
    found = of(MIX + SALT + CARBON + "tariff: 0.3\nprivacy: {show_costs: false}\n")
    for name in ("consumables_cost", "running_cost", "cost_per_litre"):
        assert found.of(name) == []


@settings(max_examples=15, deadline=None)
@given(ml=st.floats(0.1, 1e4), more=st.floats(0, 1e4))
def test_a_larger_dose_costs_more(ml: float, more: float) -> None:
    costs = []
    for daily in (ml, ml + more):
        found = of(MIX, {"log/2026-03-01.yml": f"dosing_plan: {{what: mix, per_day: {daily} ml}}"})
        assert_sound(found)
        costs.append(one(found, "consumables_cost").value)
    assert costs[0] <= costs[1]
