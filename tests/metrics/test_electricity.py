"""Power, energy and cost of the equipment in service."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.metrics import METRICS, Metrics, Result
from tests.journals import TANK, metrics
from tests.metrics.conftest import assert_sound

PUMP = "{name: pump, kind: return pump, power: 40 W}"
LAMP = "{name: lamp, kind: light, power: 120 W, hours_per_day: 10}"
HEATER = "{name: heater, kind: heater, power: 300 W}"


def of(*gear: str, more: str = "tariff: 0.30\n", log: dict[str, str] | None = None) -> Metrics:
    return metrics({"tank.yml": f"{TANK}{more}equipment: [{', '.join(gear)}]\n"} | (log or {}))


def one(found: Metrics, name: str, subject: str = "") -> Result:
    result = found.one(name, subject)
    assert result is not None, (name, found.beyond)
    return result


def test_power_energy_and_cost_by_hand() -> None:
    """40 W + 120 W x 10 / 24 = 90 W; x 24 h x 365.25 / 12 d = 65.7 kWh; x 0.30 = 19.72."""
    found = of(PUMP, LAMP)
    assert one(found, "mean_power").value == pytest.approx(90)
    assert one(found, "mean_power", "lamp").value == pytest.approx(50)
    assert one(found, "energy_per_month").value == pytest.approx(65.745, abs=0.1)
    cost = one(found, "electricity_cost")
    assert cost.value == pytest.approx(19.72, abs=0.03) and cost.unit == "EUR"
    assert [i.label for i in cost.inputs] == ["electricity a month", "tariff"]


def test_the_total_is_the_sum_of_the_pieces() -> None:
    found = of(PUMP, LAMP, HEATER.replace("300 W", "300 W, hours_per_day: 6"))
    for name in ("mean_power", "energy_per_month", "electricity_cost"):
        pieces = [result.value for result in found.of(name) if result.subject]
        assert len(pieces) == 3
        assert one(found, name).value == pytest.approx(sum(pieces))


def test_the_hours_of_a_thermostat_are_never_guessed() -> None:
    found = of(PUMP, HEATER)
    assert one(found, "mean_power").value == 40
    for name in ("mean_power", "energy_per_month", "electricity_cost"):
        assert one(found, name).note == "Without heater: 'hours_per_day' is not told."
    assert found.of("mean_power", "heater") == [] and of(HEATER).of("mean_power") == []
    told = of(PUMP, HEATER.replace("300 W", "300 W, hours_per_day: 24"))
    assert one(told, "mean_power").value == 340 and one(told, "mean_power").note == ""


def test_only_what_is_in_service_draws_power() -> None:
    log = {
        "log/2026-02-01.yml": "equipment: {failed: pump}\n",
        "log/2026-02-02.yml": "equipment: {removed: lamp}\n",
    }
    planned = "{name: chiller, kind: chiller, power: 500 W, hours_per_day: 4, planned: true}"
    assert of(PUMP, LAMP, planned, log=log).of("mean_power") == []


@pytest.mark.parametrize(
    "more", ["", "tariff: 0.30\nprivacy: {show_costs: false}\n"], ids=["no tariff", "private"]
)
def test_no_cost_without_a_tariff_or_against_the_keepers_will(more: str) -> None:
    found = of(PUMP, more=more)
    assert found.of("electricity_cost") == [] and found.of("energy_per_month") != []


def test_the_keepers_currency() -> None:
    assert one(of(PUMP, more="tariff: 0.12\ncurrency: usd\n"), "electricity_cost").unit == "USD"


@pytest.mark.parametrize("watts", ["0", "0.001", "1e5", "1.2 kW"])
def test_odd_powers_do_not_stop_a_build(watts: str) -> None:
    found = of(PUMP.replace("40 W", watts), PUMP.replace("pump,", "pump 2,", 1))
    assert_sound(found)
    assert one(found, "mean_power", "pump").value >= 0


def test_mains_carry_a_caution() -> None:
    hazards = {metric.name: metric.hazard for metric in METRICS}
    assert {hazards[n] for n in ("mean_power", "energy_per_month", "electricity_cost")} == {"mains"}


@settings(max_examples=12, deadline=None)
@given(watts=st.floats(0, 1e4), hours=st.floats(0, 24), more=st.floats(0, 1e4))
def test_more_power_costs_more(watts: float, hours: float, more: float) -> None:
    costs = [
        one(of(f"{{name: x, power: {w:.3f} W, hours_per_day: {hours:.3f}}}"), "electricity_cost")
        for w in (watts, watts + more)
    ]
    assert costs[0].value <= costs[1].value
