"""How steady, and what stands out: by hand where that can be done, else by invented years."""

from __future__ import annotations

import datetime as dt
import random

import pytest

from journal_tools.metrics import Metrics, Result, compute_metrics
from journal_tools.metrics import stability as metric
from tests.journals import TANK, TODAY, tables

KIT = "tests: {alkalinity: {resolution: 0.1, repeatability: 0.1}}\n"
BAND = "targets: {alkalinity: 7 to 9}\n"
CHOSEN = (
    metric.MEAN_LEVEL, metric.MONTHLY_SWING, metric.ODD_READING, metric.LEVEL_JUMP,
    metric.LEAVES_BAND, metric.TESTS_DISAGREE,
)  # fmt: skip


def of(values: list[float], *, every: int = 3, kits: str = "", last: dt.date = TODAY) -> Metrics:
    """Give the figures of a series of alkalinity whose newest test is of the last day."""
    log = {}
    for place, value in enumerate(values[::-1]):
        day = last - dt.timedelta(days=place * every)
        kit = f", kit: {kits[len(values) - 1 - place]}" if kits else ""
        log[f"log/{day}.yml"] = f"readings: {{alkalinity: {{value: {value:.2f}{kit}}}}}\n"
    tank = TANK.replace("2026-01-01", "2025-01-01") + KIT + BAND
    return compute_metrics(tables({"tank.yml": tank} | log), CHOSEN)


def the(found: Metrics, name: str) -> Result:
    result = found.one(name, "alkalinity")
    assert result is not None
    return result


def test_a_mean_is_weighted_by_time() -> None:
    """8 for 12 days, then 9 tested four times within two days: 8.0 counts for most of the time.

    Lines: 12 days of 8, 3 days from 8 to 9 (8.5), 1.5 days of 9: (96 + 25.5 + 13.5) / 16.5.
    """
    log = {f"log/2026-03-{day:02}.yml": "readings: {alkalinity: 8}\n" for day in (1, 5, 9, 13)}
    log["log/2026-03-16.yml"] = "readings: {alkalinity: 9}\n"
    log["log/2026-03-17.yml"] = (
        "readings: {alkalinity: [9, {value: 9, time: '18:00'}, {value: 9, time: '23:59'}]}\n"
    )
    found = compute_metrics(tables({"tank.yml": TANK + KIT} | log), CHOSEN)
    assert the(found, "mean_level").value == pytest.approx((96 + 25.5 + 13.5) / 16.5, abs=1e-3)


def test_the_spread_is_never_below_what_the_kit_can_tell() -> None:
    # all alike, yet a test scatters by 0.1: its mean cannot be said to be exact
    result = the(of([8.0] * 8), "mean_level")
    assert result.low is not None and result.high is not None
    assert (result.high - result.low) / 2 == pytest.approx(0.1)


def test_a_swing_does_not_grow_with_the_number_of_tests() -> None:
    """Tests of one spread: 31 a month spread wider than 4, their comparable swing does not."""
    plain, swings = [], []
    for every in (1, 7):
        of_months = []
        for seed in range(12):
            chance = random.Random(seed)
            values = [chance.gauss(8, 0.3) for _ in range(1 + 30 // every)]
            found = of(values, every=every, last=dt.date(2026, 3, 31))
            of_months += [r.value for r in found.of("monthly_swing") if r.start and
                          r.start.month == 3]  # fmt: skip
            plain.append((every, max(values) - min(values)))
        swings.append(sum(of_months) / len(of_months))
    means = [sum(v for e, v in plain if e == every) / 12 for every in (1, 7)]
    assert means[0] > 1.6 * means[1]
    assert swings[0] == pytest.approx(swings[1], rel=0.25)
    # the range of four normal values is 2.059 sd on average (Tippett 1925, Biometrika 17:364)
    assert sum(swings) / 2 == pytest.approx(2.059 * 0.3, rel=0.2)


STEADY = [8.0, 8.1, 7.9, 8.0, 8.1, 8.0, 7.9, 8.1, 8.0, 7.9, 8.0, 8.1, 8.0, 7.9]


def test_a_steady_course_has_nothing_to_say() -> None:
    found = of(STEADY)
    for name in ("odd_reading", "level_jump", "leaves_band", "tests_disagree"):
        assert found.of(name) == []


def test_one_odd_reading_with_its_evidence() -> None:
    values = [*STEADY[:8], 9.4, *STEADY[8:]]
    found = of(values)
    (odd,) = found.of("odd_reading")
    assert (odd.subject, odd.value) == ("alkalinity", 9.4)
    assert odd.note == "The tests after it are back where they were."
    assert [i.value for i in odd.inputs][:2] == ["9.4 dKH", "8.0 dKH"]
    assert found.of("level_jump") == []


def test_the_newest_reading_may_be_a_slip() -> None:
    (odd,) = of([*STEADY, 9.6]).of("odd_reading")
    assert odd.note == "The next test tells whether it was a slip."


def test_old_news_is_no_news() -> None:
    # 45 days: fifteen tests of three days each
    values = [*STEADY, 9.6, *STEADY, *STEADY]
    assert of(values).of("odd_reading") == []


def test_a_jump_of_the_level_and_what_was_before() -> None:
    found = of([*STEADY, *(value + 1 for value in STEADY[:8])])
    (jump,) = found.of("level_jump")
    assert jump.value == pytest.approx(1.0, abs=0.05)
    assert jump.note == ""
    assert jump.inputs[0].value.startswith("8.0 dKH")


def test_a_jump_with_another_kit_says_so() -> None:
    values = [*STEADY, *(value + 1 for value in STEADY[:8])]
    (jump,) = of(values, kits="a" * 14 + "b" * 8).of("level_jump")
    assert "Another test was used" in jump.note


def test_a_certain_drift_gets_a_range_of_dates() -> None:
    """From 8.6 by 0.04 every third day to 8.99; 9 is the end of the band."""
    result = the(of([8.0] * 6 + [8.0 + 0.06 * n for n in range(1, 15)]), "leaves_band")
    # 8.84 now, 0.02 a day: 9 is eight days ahead
    assert result.low is not None and result.high is not None
    assert result.low <= 8 <= result.high
    assert "Between 2026-04-" in result.note
    assert result.inputs[1].value == "9.0 dKH"


def test_a_drift_that_is_not_tested_any_more_gets_no_date() -> None:
    values = [8.0] * 6 + [8.0 + 0.06 * n for n in range(1, 15)]
    assert of(values, last=TODAY - dt.timedelta(days=20)).of("leaves_band") == []


def pairs(difference: float) -> Metrics:
    log = {}
    for place in range(6):
        day = TODAY - dt.timedelta(days=7 * place)
        second = 8 + difference + 0.02 * (place % 3)
        kit = "photo meter" if place else "Photo-Meter"
        log[f"log/{day}.yml"] = (
            "readings: {alkalinity: [{value: 8, kit: Drops}, "
            f"{{value: {second:.2f}, kit: {kit}, time: '13:00'}}]}}\n"
        )
    return compute_metrics(tables({"tank.yml": TANK + KIT + BAND} | log), CHOSEN)


def test_two_kits_that_disagree() -> None:
    (result,) = pairs(0.6).of("tests_disagree")
    assert abs(result.value) == pytest.approx(0.62, abs=0.01)
    assert "over 6 pairs" in result.note
    assert pairs(0.1).of("tests_disagree") == []
