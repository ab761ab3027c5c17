"""Days since a test, and time in a band by straight lines."""

from __future__ import annotations

import datetime as dt
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.metrics import Metrics
from journal_tools.metrics.testing import (
    Share,
    Step,
    longest_gap_days,
    share_inside,
    time_in_band,
)
from journal_tools.parameters import PARAMETERS
from journal_tools.quantities import Band
from journal_tools.words import band_text
from tests.journals import TANK, TODAY, metrics
from tests.science.check_values import read_rows

OPEN = Step(-math.inf, Band(7.8, 8.3))


def test_the_worked_example_of_the_reference_table() -> None:
    (row,) = [r for r in read_rows() if r.quantity.startswith("time in band")]
    # t = 0, 1, 3, 7, 8 d, y = 8.0, 8.2, 7.6, 8.4, 8.4: 29/48 of the time, by exact crossing
    share = time_in_band([0, 1, 3, 7, 8], [8.0, 8.2, 7.6, 8.4, 8.4], [OPEN], 14)
    assert share.known == 8
    assert share.inside / share.known == pytest.approx(29 / 48)
    assert share.inside / share.known == pytest.approx(row.value, abs=row.tolerance)


@pytest.mark.parametrize(
    ("y0", "y1", "band", "share"),
    [
        # by hand, from the crossing of a straight line
        (8, 10, Band(7, 9), 0.5),
        (10, 8, Band(7, 9), 0.5),
        (6, 10, Band(7, 9), 0.5),
        (6, 7, Band(7, 9), 0.0),
        (7, 9, Band(7, 9), 1.0),
        (2, 4, Band(7, 9), 0.0),
        (8, 12, Band(None, 9), 0.25),
        (8, 12, Band(9, None), 0.75),
        (8, 12, Band(None, None), 1.0),
        (9, 9, Band(7, 9), 1.0),
        (9.1, 9.1, Band(7, 9), 0.0),
    ],
)
def test_share_of_a_line(y0: float, y1: float, band: Band, share: float) -> None:
    assert share_inside(y0, y1, band) == pytest.approx(share)


@given(y0=st.floats(-50, 50), y1=st.floats(-50, 50), low=st.floats(-20, 0), high=st.floats(0.1, 20))
def test_below_inside_and_above_are_the_whole(
    y0: float, y1: float, low: float, high: float
) -> None:
    parts = [share_inside(y0, y1, band) for band in (Band(low, high), Band(None, low),
             Band(high, None))]  # fmt: skip
    assert all(0 <= part <= 1 for part in parts)
    # a level line on an end lies in two bands, which share that end
    assert sum(parts) == pytest.approx(1) or y0 == y1


def test_a_band_that_changes_between_two_tests() -> None:
    # level 8.0 for ten days; the first four the band is 7 to 7.5, then 7 to 9
    steps = [Step(-100, Band(7, 7.5)), Step(4, Band(7, 9))]
    assert time_in_band([0, 10], [8, 8], steps, 14) == Share(6, 10)


def test_before_the_first_band_nothing_is_known() -> None:
    assert time_in_band([0, 10], [8, 8], [Step(4, Band(7, 9))], 14) == Share(6, 6)
    assert time_in_band([0, 10], [8, 8], [], 14) == Share(0, 0)


def test_long_gaps_and_what_lies_before_the_window_do_not_count() -> None:
    days, values = [0.0, 5.0, 20.0, 24.0], [8.0] * 4
    assert time_in_band(days, values, [OPEN], 14) == Share(9, 9)
    assert time_in_band(days, values, [OPEN], 14, since=22) == Share(2, 2)
    assert time_in_band([0, 0, 2], [8, 9, 8], [OPEN], 14).known == 2


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


def test_below_a_limit_counts_as_half_of_it() -> None:
    # < 0.05 counts as 0.025 and lies in 0.02 to 0.1; < 0.03 counts as 0.015 and does not
    found = metrics(
        {"tank.yml": BANDED} | log(d0320="phosphate: < 0.05", d0325="phosphate: < 0.05")
    )
    assert percent(found, "time_in_band_ever", "phosphate") == 100
    found = metrics(
        {"tank.yml": BANDED} | log(d0320="phosphate: < 0.03", d0325="phosphate: < 0.03")
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
