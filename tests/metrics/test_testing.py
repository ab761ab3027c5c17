"""Days since a test, and time in a band by straight lines."""

from __future__ import annotations

import datetime as dt

import pytest

from journal_tools.metrics import Metrics
from journal_tools.metrics.testing import longest_gap_days, share_in_band
from journal_tools.parameters import PARAMETERS
from journal_tools.quantities import Band
from journal_tools.words import band_text
from tests.journals import TANK, TODAY, metrics, tables


def test_a_band_that_changes_between_two_tests() -> None:
    # level 8.0 for ten days; the first four the band is 7 to 7.5, then 7 to 9
    tank = TANK + "targets: {alkalinity: 7 to 7.5}\n"
    tank += "later_targets: [{start: 2026-03-24, bands: {alkalinity: 7 to 9}}]\n"
    log = {
        f"log/2026-03-{day}.yml": 'time: "0:00"\nreadings: {alkalinity: 8}\n' for day in (20, 30)
    }
    found = share_in_band(tables({"tank.yml": tank} | log), "alkalinity")
    # a clock change at the end of March takes an hour from the last of these days
    assert (found.inside, found.known) == pytest.approx((6 - 1 / 24, 10 - 1 / 24))


def test_two_tests_of_one_moment_are_no_time() -> None:
    log = {"log/2026-03-20.yml": "readings: {alkalinity: [8, 9]}\n",
           "log/2026-03-22.yml": "readings: {alkalinity: 8}\n"}  # fmt: skip
    assert share_in_band(tables({} | log), "alkalinity").known == 2


def test_a_gap_is_twice_the_retest_interval_or_a_fortnight() -> None:
    assert longest_gap_days("temperature") == 14  # every 2 days
    assert longest_gap_days("magnesium") == 60  # every 30 days
    assert longest_gap_days("iron") == 14  # not retested as a rule


def log(**readings: str) -> dict[str, str]:
    return {f"log/2026-{day[1:3]}-{day[3:]}.yml": f"readings: {{{r}}}\n" for day, r in
            readings.items()}  # fmt: skip


def percent(found: Metrics, name: str, parameter: str) -> float | None:
    result = found.one(name, parameter)
    return round(result.value, 6) if result else None


BANDED = TANK + "targets: {alkalinity: 7.8 to 8.3, phosphate: 0.02 to 0.1, ammonia: below 0.1}\n"


def test_time_in_band_of_a_journal() -> None:
    # 8.0 to 8.6 in six days: 8.3 is passed after three
    found = metrics({"tank.yml": BANDED} | log(d0320="alkalinity: 8", d0326="alkalinity: 8.6"))
    assert percent(found, "time_in_band", "alkalinity") == 50
    result = found.one("time_in_band_ever", "alkalinity")
    assert result is not None
    assert [i.value for i in result.inputs] == ["6 days", "3.0", "7.8 to 8.3 dKH"]


def test_the_last_ninety_days_forget_what_was_before() -> None:
    old = log(d0101="alkalinity: 10", d0108="alkalinity: 10")
    new = log(d0320="alkalinity: 8", d0326="alkalinity: 8")
    today = dt.date(2026, 4, 30)
    found = metrics({"tank.yml": BANDED} | old | new, today)
    assert percent(found, "time_in_band", "alkalinity") == 100
    # seven days outside, six inside
    assert percent(found, "time_in_band_ever", "alkalinity") == round(600 / 13, 6)


def test_a_limit_counts_where_it_can_tell() -> None:
    # < 0.05 may lie in 0.02 to 0.1 or below it: nothing is known; < 0.01 is outside for certain
    found = metrics(
        {"tank.yml": BANDED} | log(d0320="phosphate: < 0.05", d0325="phosphate: < 0.05")
    )
    assert percent(found, "time_in_band_ever", "phosphate") is None
    found = metrics(
        {"tank.yml": BANDED} | log(d0320="phosphate: < 0.01", d0325="phosphate: < 0.01")
    )
    assert percent(found, "time_in_band_ever", "phosphate") == 0


def test_a_band_open_below() -> None:
    found = metrics({"tank.yml": BANDED} | log(d0320="ammonia: 0.3", d0325="ammonia: 0"))
    assert percent(found, "time_in_band_ever", "ammonia") == round(100 / 3, 6)


def test_one_test_is_no_time() -> None:
    found = metrics({"tank.yml": BANDED} | log(d0320="alkalinity: 8"))
    assert percent(found, "time_in_band", "alkalinity") is None


@pytest.mark.parametrize("zone", ["America/Los_Angeles", "Pacific/Auckland", "UTC"])
def test_days_since_a_test_late_in_the_evening(zone: str) -> None:
    """23:30 is another day in UTC, but not for the keeper."""
    tank = f"name: T\nstart: 2026-01-01\ntime_zone: {zone}\n"
    entry = 'time: "23:30"\nreadings: {ph: 8.15}\n'
    result = metrics({"tank.yml": tank, "log/2026-03-30.yml": entry}).one("days_since_test", "ph")
    assert result is not None and result.end is not None
    assert result.value == (TODAY - dt.date(2026, 3, 30)).days == 1
    assert result.end.strftime("%d %H:%M") == "30 23:30"
    assert [(i.value, i.entry, i.line) for i in result.inputs] == [("8.15 pH", "2026-03-30", 2)]


@pytest.mark.parametrize(
    ("band", "text"),
    [
        (Band(7.8, 8.3), "7.8 to 8.3 dKH"),
        (Band(None, 8.3), "below 8.3 dKH"),
        (Band(7.8, None), "above 7.8 dKH"),
    ],
)
def test_a_band_in_words(band: Band, text: str) -> None:
    assert band_text(band, PARAMETERS["alkalinity"]) == text
