"""The net volume by what one dose did: by hand, with a plan that runs meanwhile, and chances."""

from __future__ import annotations

import datetime as dt
import random
from statistics import fmean

import pytest

from journal_tools.metrics import Metrics
from tests.journals import HUNDRED_LITRES, metrics

MIX = "{name: mix, potency: {by: 10 ml, water: 100 L, raises: {alkalinity: 0.5}}, error: 2 %}"
OTHER = "{name: other, potency: {by: 10 ml, water: 100 L, raises: {alkalinity: 0.5}}}"
TANK = HUNDRED_LITRES + f"supplements: [{MIX}, {OTHER}]\n"
TANK += "tests: {alkalinity: {repeatability: 0.05}}\n"
BEFORE, AFTER = dt.date(2026, 3, 10), dt.date(2026, 3, 11)


def journal(before: float, after: float, dose: str, *, plan: str = "") -> Metrics:
    """Give a tank that stands still (by a plan, if any) but for one dose after a test."""
    log = {}
    for day in range(0, 31, 3):
        date = dt.date(2026, 3, 1) + dt.timedelta(days=day)
        log[date] = f"readings: {{alkalinity: {before if date <= BEFORE else after}}}\n"
    log[BEFORE] = f"readings: {{alkalinity: {before}}}\n{dose}\n"
    log[AFTER] = f"readings: {{alkalinity: {after}}}\n"
    log[min(log)] += plan
    return metrics({"tank.yml": TANK} | {f"log/{day}.yml": text for day, text in log.items()})


def test_a_dose_in_a_tank_that_stands_still() -> None:
    """40 ml lift 200 dKH in one litre; 7 to 9 dKH are 100 L, 7 to 8.6 would be 125 L."""
    dose = "doses: {what: mix, amount: 40 ml}"
    fits = journal(7.0, 9.0, dose).one("volume_by_dose")
    assert fits is not None and fits.low is not None and fits.high is not None
    assert fits.value == pytest.approx(100, rel=0.02)
    assert fits.low < 100 < fits.high
    assert fits.note == "That fits the volume of the profile."
    other = journal(7.0, 8.6, dose).one("volume_by_dose")
    assert other is not None and other.value == pytest.approx(125, rel=0.02)
    assert other.note.startswith("That does not fit the volume of the profile")
    assert [i.entry for i in other.inputs][:3] == ["2026-03-10", "2026-03-10", "2026-03-11"]


def test_a_plan_that_runs_meanwhile_is_reckoned_out() -> None:
    """The plan brings 0.5 a day, which the tank takes: it still speaks for 100 L."""
    plan = "dosing_plan: {what: other, per_day: 10 ml}\n"
    found = journal(7.0, 9.0, "doses: {what: mix, amount: 40 ml}", plan=plan).one("volume_by_dose")
    assert found is not None and found.value == pytest.approx(100, rel=0.02)


@pytest.mark.parametrize(
    "dose",
    [
        # 0.25 dKH by tests of 0.05: a rise of 3.5 errors only
        "doses: {what: mix, amount: 5 ml}",
        # a water change in between
        "doses: {what: mix, amount: 40 ml}\nwater_change: {volume: 20 L, time: '18:00'}",
        # nobody knows its strength
        "doses: {what: nothing told, amount: 40 ml}",
    ],
)
def test_a_dose_that_tells_nothing(dose: str) -> None:
    log = {f"log/2026-03-{day:02}.yml": "readings: {alkalinity: 7}\n" for day in (1, 4, 7, 10, 11)}
    log["log/2026-03-10.yml"] += dose + "\n"
    files = {"tank.yml": TANK} | log
    assert metrics(files, but=("unknown-supplement",)).one("volume_by_dose") is None


def test_the_interval_holds_the_truth() -> None:
    """90 % is meant; 30 tries give 27 ± 1.6 (binomial), so 23 is 2.4 sd below."""
    found = []
    for seed in range(30):
        chance = random.Random(seed)
        rise = 200 * chance.gauss(1, 0.02) / 110
        first, last = chance.gauss(7, 0.05), chance.gauss(7 + rise, 0.05)
        log = {f"log/2026-03-0{day}.yml":
               f"readings: {{alkalinity: {chance.gauss(7, 0.05):.3f}}}\n"
               for day in (1, 4, 7)}  # fmt: skip
        log |= {f"log/2026-03-{day}.yml":
                f"readings: {{alkalinity: {chance.gauss(7 + rise, 0.05):.3f}}}\n"
                for day in (14, 17, 20)}  # fmt: skip
        log["log/2026-03-10.yml"] = (
            f"readings: {{alkalinity: {first:.3f}}}\ndoses: {{what: mix, amount: 40 ml}}\n"
        )
        log["log/2026-03-11.yml"] = f"readings: {{alkalinity: {last:.3f}}}\n"
        result = metrics({"tank.yml": TANK} | log).one("volume_by_dose")
        assert result is not None and result.low is not None and result.high is not None
        found.append(result)
    inside = [(r.low or 0) <= 110 <= (r.high or 0) for r in found]
    assert sum(inside) >= 23
    assert fmean(r.value for r in found) == pytest.approx(110, rel=0.02)
