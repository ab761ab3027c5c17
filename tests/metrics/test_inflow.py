"""Tests as a balance needs them: their order on a day, kits, errors and salinity."""

from __future__ import annotations

import random

import numpy as np
import pytest

from journal_tools.metrics.inflow import Balance, balance_of
from journal_tools.metrics.record import Result
from tests.journals import HUNDRED_LITRES, tables

MIX = "{name: mix, potency: {by: 10 ml, water: 100 L, raises: {alkalinity: 0.5}}}"
CALCIUM = "{name: calcium mix, potency: {by: 10 ml, water: 100 L, raises: {calcium: 5}}}"
TANK = HUNDRED_LITRES + f"supplements: [{MIX}, {CALCIUM}]\n"
NET = Result("net_volume", 100.0, "L", 0, "", 98.0, 102.0)


def balance(entries: dict[str, str], of: str = "alkalinity", tank: str = TANK) -> Balance:
    log = {f"log/{day}.yml": text for day, text in entries.items()}
    return balance_of(of, tables({"tank.yml": tank} | log), NET)


def after_midnight_h(found: Balance, place: int = 0) -> float:
    """Give the hour of a test in Berlin's winter, an hour ahead of UTC."""
    return float((found.tests.day[place] * 24 + 1) % 24)


@pytest.mark.parametrize(
    ("when", "doses", "hour"),
    [
        # the test at noon comes behind the dose of the evening, or before the one of the morning
        ("after dose", "[{what: mix, amount: 5 ml, time: '18:00'}]", 18.0),
        ("before dose", "[{what: mix, amount: 5 ml, time: '08:00'}]", 8.0),
        # noon is after 8:00 and before 18:00 already: nothing is moved
        ("after dose", "[{what: mix, amount: 5 ml, time: '08:00'}]", 12.0),
        ("before dose", "[{what: mix, amount: 5 ml, time: '18:00'}]", 12.0),
        # what lifts only calcium says nothing of a test of alkalinity
        ("after dose", "[{what: calcium mix, amount: 5 ml, time: '18:00'}]", 12.0),
        # of two doses the first one after it is meant
        (
            "after dose",
            "[{what: mix, amount: 5 ml, time: '13:00'}, {what: mix, amount: 5 ml, time: '20:00'}]",
            13.0,
        ),
        (
            "after dose",
            "[{what: mix, amount: 5 ml, time: '08:00'}, {what: mix, amount: 5 ml, time: '20:00'}]",
            12.0,
        ),
    ],
)
def test_a_test_before_or_after_a_dose(when: str, doses: str, hour: float) -> None:
    found = balance({
        "2026-03-05": f"readings: {{alkalinity: {{value: 8, when: {when}}}}}\ndoses: {doses}"
    })  # fmt: skip
    assert after_midnight_h(found) == pytest.approx(hour, abs=1e-3)


def test_a_spread_plan_has_no_before_and_after() -> None:
    found = balance({
        "2026-03-05": "readings: {alkalinity: {value: 8, when: after dose}}\n"
        "dosing_plan: {what: mix, per_day: 5 ml}"
    })  # fmt: skip
    assert after_midnight_h(found) == pytest.approx(12.0, abs=1e-6)


def test_one_kit_in_two_spellings_is_one_kit() -> None:
    found = balance({
        "2026-03-05": "readings: {alkalinity: {value: 8, kit: Drop Kit}}",
        "2026-03-06": "readings: {alkalinity: {value: 8, kit: drop-kit}}",
        "2026-03-07": "readings: {alkalinity: {value: 8, kit: another}}",
    })  # fmt: skip
    assert found.tests.kit.tolist() == [0, 0, 1]


def test_the_step_of_a_kit_counts_once() -> None:
    """Repeatability 0.15 and a step of 0.3: the variance of a test is 0.15² + 0.3²/12 = 0.03."""
    tank = TANK + "tests: {alkalinity: {resolution: 0.3, repeatability: 0.15}}\n"
    found = balance({"2026-03-05": "readings: {alkalinity: 8}"}, tank=tank)
    assert float(found.tests.variance()[0]) == pytest.approx(0.03)
    stated = balance({"2026-03-05": "readings: {alkalinity: {value: 8, error: 0.2}}"}, tank=tank)
    assert float(stated.tests.variance()[0]) == pytest.approx(0.04)


def test_a_test_without_any_error_has_that_of_a_usual_one() -> None:
    found = balance({"2026-03-05": "readings: {alkalinity: {value: 8, error: 0}}"})
    assert float(found.tests.variance()[0]) == pytest.approx(0.2**2)


def salty(error: float, shift: float, seed: int) -> float:
    """Give how far the salinity beside 15 tests moves, by a meter with that error."""
    chance = random.Random(seed)
    entries = {
        f"2026-03-{day:02}": "readings: {alkalinity: 8, salinity: "
        f"{{value: {35 + shift * (day > 14) + chance.gauss(0, error):.2f}, error: {error}}}}}"
        for day in range(1, 31, 2)
    }
    return float(np.ptp(balance(entries).tests.salinity))


def test_a_coarse_salinity_test_is_no_shift_and_a_real_one_is() -> None:
    """1 psu would end a balance: scatter of 0.5 psu must not, a shift of 2 psu must."""
    scatter = [salty(0.5, 0.0, seed) for seed in range(12)]
    assert np.mean(np.array(scatter) > 1) <= 1 / 12
    assert all(salty(0.5, 2.0, seed) > 1 for seed in range(12))
    assert salty(0.1, 1.5, 0) > 1


def test_the_rows_stand_in_the_order_of_the_tests() -> None:
    found = balance({
        "2026-03-05": "readings: {alkalinity: [{value: 8.4, when: after dose}, 7.9]}\n"
        "doses: {what: mix, amount: 10 ml, time: '18:00'}"
    })  # fmt: skip
    assert found.tests.value.tolist() == [row.value for row in found.rows] == [7.9, 8.4]
    assert [row.line for row in found.last(30).rows] == [1, 1]
