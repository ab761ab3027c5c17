"""What follows from the consumption, each by a tank whose tests lie on a line one can reckon."""

from __future__ import annotations

import datetime as dt

import pytest

from journal_tools.metrics import Metrics
from journal_tools.metrics.dose_advice import advice_of
from journal_tools.metrics.dosing import dose_now
from journal_tools.metrics.record import Result
from tests.journals import HUNDRED_LITRES, TODAY, metrics, tables

MIX = "{name: mix, potency: {by: 10 ml, water: 100 L, raises: {alkalinity: 0.5}}, bottle: 1 L}"
LIME = "{name: limewater, potency: {by: 1 L, water: 100 L, raises: {alkalinity: 1, calcium: 7}}}"
REACTOR = "{name: reactor, effluent: {alkalinity: 28}}"
KIT = "tests: {alkalinity: {repeatability: 0.05}, calcium: {repeatability: 1}}\n"
BAND = "targets: {alkalinity: 7.5 to 8.5, calcium: 400 to 450}\n"
FIRST = dt.date(2026, 3, 1)


def reef(*supplements: str, more: str = "") -> str:
    return HUNDRED_LITRES + f"supplements: [{', '.join(supplements)}]\n" + KIT + BAND + more


def line(start: float, per_day: float, of: str = "alkalinity", every: int = 3) -> dict[str, str]:
    """Give tests on a straight line, one of them today, as items by day."""
    return {
        str(FIRST + dt.timedelta(days=day)): f"readings: {{{of}: {start + per_day * day:.3f}}}\n"
        for day in range(0, 31, every)
    }


def told(days: dict[str, str], *more: tuple[str, str], tank: str) -> dict[str, str]:
    files = dict(days)
    for day, text in more:
        files[day] = files.get(day, "") + text + "\n"
    return {"tank.yml": tank} | {f"log/{day}.yml": text for day, text in files.items()}


def holding(found: Metrics, subject: str = "mix: alkalinity") -> Result:
    result = found.one("holding_dose", subject)
    assert result is not None
    return result


PLAN = ("2026-03-01", "dosing_plan: {what: mix, per_day: 16 ml}")


def test_a_dose_that_holds_the_level() -> None:
    """8 dKH throughout, with 16 ml a day that lift 0.05 dKH each: the tank takes 0.8."""
    result = holding(metrics(told(line(8.0, 0.0), PLAN, tank=reef(MIX))))
    assert (result.value, result.unit) == (pytest.approx(16.0, abs=0.05), "ml/day")
    assert "16 ml a day go in now, which holds the level" in result.note
    assert "inside its band, so there is nothing to correct" in result.note
    assert "Measure alkalinity again on 14 April 2026." in result.note


def test_a_dose_that_does_not_hold_and_the_way_back() -> None:
    """From 9 it falls by 0.07 a day to 6.9: the tank takes 0.87, which are 17.4 ml.

    The middle of the band is 8.0, 1.1 above: three days of 0.367, for 7.3 ml each on top.
    """
    found = metrics(told(line(9.0, -0.07), PLAN, tank=reef(MIX)))
    result = holding(found)
    assert result.value == pytest.approx(17.4, abs=0.2)
    assert "16 ml a day go in now; 17 ml a day" in result.note
    assert "would hold the level, 1.4 ml more." in result.note
    assert "To raise it to the middle of its band: 25 ml a day for 3 days" in result.note
    assert "Measure alkalinity again on 3 April 2026." in result.note
    inputs = {i.label: i.value for i in result.inputs}
    assert inputs["one ml of mix lifts"] == "0.05 dKH"
    assert inputs["most that the level should move in a day"].startswith("0.5 dKH")


def test_no_day_of_a_correction_moves_the_level_by_more_than_the_limit() -> None:
    journal = tables(told(line(9.0, -0.1), PLAN, tank=reef(MIX)))
    done = metrics(told(line(9.0, -0.1), PLAN, tank=reef(MIX)))
    advice = advice_of("alkalinity", journal, done)
    assert advice is not None and advice.outside is True
    assert 0 < advice.plan.step_per_day <= 0.5
    assert advice.plan.step_per_day * advice.plan.days == pytest.approx(advice.plan.gap)


def test_a_level_that_may_be_inside_is_not_corrected() -> None:
    # 7.49 by tests of 0.2: nobody knows whether it is below 7.5
    tank = reef(MIX).replace("repeatability: 0.05", "repeatability: 0.2")
    result = holding(metrics(told(line(7.49, 0.0), PLAN, tank=tank)))
    assert "may be just outside its band: test before correcting anything" in result.note
    assert "To raise" not in result.note


def test_too_high_a_level_comes_down_by_what_the_tank_uses() -> None:
    result = holding(metrics(told(line(9.4, 0.0), PLAN, tank=reef(MIX))))
    # 1.4 too high, 0.5 a day at most: 0.8 - 1.4 / 3 are 6.7 ml for three days
    assert "To lower it to the middle of its band: 6.7 ml a day for 3 days" in result.note


def test_what_other_supplements_bring_is_taken_off_first() -> None:
    """8 dKH throughout, by 8 ml of mix (0.4) and 0.4 L of limewater (0.4) a day."""
    tops = [(f"2026-03-{day:02}", "top_off: {volume: 0.8 L, what: limewater}")
            for day in range(1, 32, 2)]  # fmt: skip
    plan = ("2026-03-01", "dosing_plan: {what: mix, per_day: 8 ml}")
    found = metrics(told(line(8.0, 0.0), plan, *tops, tank=reef(MIX, LIME)))
    subjects = [result.subject for result in found.of("holding_dose")]
    result = holding(found, subjects[0])
    by_hand = {"mix": 8.0, "limewater": 400.0}[subjects[0].partition(":")[0]]
    # the fortnight of the top-offs holds seven or eight of them
    assert result.value == pytest.approx(by_hand, rel=0.2)
    inputs = {i.label: i.value for i in result.inputs}
    assert float(inputs["other supplements bring"].split()[0]) == pytest.approx(0.4, abs=0.06)


def test_a_product_that_lifts_two_things_says_so() -> None:
    plan = ("2026-03-01", "dosing_plan: {what: limewater, per_day: 800 ml}")
    result = holding(metrics(told(line(8.0, 0.0), plan, tank=reef(LIME))), "limewater: alkalinity")
    assert "That dose also lifts calcium by 5.6 mg/L a day." in result.note


def test_a_reactor_is_advised_in_litres_of_its_outflow() -> None:
    """4 L a day of 28 into 8 dKH: 4 / 100 * 20 = 0.8 a day."""
    plan = ("2026-03-01", "dosing_plan: {what: reactor, per_day: 4 L}")
    found = metrics(told(line(8.0, 0.0), plan, tank=reef(REACTOR)))
    assert holding(found, "reactor: alkalinity").value == pytest.approx(4000, rel=0.01)
    effect = found.one("dose_effect", "reactor: alkalinity")
    assert effect is not None and effect.value == pytest.approx(0.8, rel=0.01)


def test_the_present_dose_is_that_of_today() -> None:
    days = line(8.0, 0.0)
    later = ("2026-03-25", "dosing_plan: {what: mix, per_day: 20 ml}")
    journal = tables(told(days, PLAN, later, tank=reef(MIX)))
    assert dose_now("mix", journal, "ml") == 20
    stopped = ("2026-03-25", "dosing_plan: {what: mix, stopped: true}")
    assert dose_now("mix", tables(told(days, PLAN, stopped, tank=reef(MIX))), "ml") == 0
    by_hand = [(f"2026-03-{day}", "doses: {what: mix, amount: 30 ml}") for day in (20, 24, 28)]
    # 90 ml within the last fourteen days
    assert dose_now("mix", tables(told(days, *by_hand, tank=reef(MIX))), "ml") == 90 / 14


def test_a_planned_water_change() -> None:
    """8 dKH, 10 of 100 L for water of 7: 0.9 * 8 + 0.1 * 7 = 7.9."""
    salt = "salt_mix: {name: bucket, fresh: {alkalinity: 7}}\n"
    result = metrics(told(line(8.0, 0.0), PLAN, tank=reef(MIX, more=salt))).one(
        "after_change", "alkalinity"
    )
    assert result is not None and result.value == pytest.approx(7.9, abs=0.01)
    assert "a tenth of the water (no change logged yet)" in [i.label for i in result.inputs]
    # none of the changes lies between two tests of this line
    usual = ("2026-03-31", "water_change: {volume: 20 L, fresh: {alkalinity: 7}, time: '23:00'}")
    result = metrics(told(line(8.0, 0.0), PLAN, usual, tank=reef(MIX))).one(
        "after_change", "alkalinity"
    )
    level = metrics(told(line(8.0, 0.0), PLAN, usual, tank=reef(MIX))).one(
        "level_now", "alkalinity"
    )
    assert result is not None and level is not None
    assert result.value == pytest.approx(0.8 * level.value + 0.2 * 7)


def test_a_tank_that_was_not_tested_lately_is_not_advised() -> None:
    found = metrics(told(line(8.0, 0.0), PLAN, tank=reef(MIX)), TODAY + dt.timedelta(days=60))
    assert found.of("holding_dose") == []
    assert "60 days old" in found.beyond["consumption_now: alkalinity"]


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        (("2026-03-15", "doses: {what: potion, amount: 1 ml}"), ""),
        (("2026-03-02", "dosing_plan: {what: potion, per_day: 1 ml}"), "nobody knows what potion"),
    ],
)
def test_a_reason_names_what_would_mend_it(entry: tuple[str, str], words: str) -> None:
    files = told(line(8.0, 0.0), entry, tank=reef(MIX))
    found = metrics(files, but=("unknown-supplement",))
    reason = found.beyond.get("consumption: alkalinity", "")
    assert words in reason
    assert ("no_effect: true" in reason) == bool(words)
