from __future__ import annotations

import math
from datetime import timedelta

import pytest

from journal_tools.charts.series import points
from journal_tools.charts.target import always
from journal_tools.charts.words import describe, recent_change

from .made_up import ALKALINITY, BANDS, LAST, PHOSPHATE, TODAY, censored, series, table


def rising(step: float, count: int = 10):
    rows = [(LAST - timedelta(days=3 * (count - i)), 8.0 + step * i, 0.1, "") for i in range(count)]
    return table(rows)


def test_no_readings():
    words = describe(ALKALINITY, series(0, 1), BANDS, TODAY)
    assert words == "Alkalinity: no readings yet; target 7.5–8.5\u00a0dKH."
    assert describe(ALKALINITY, series(0, 1), [], TODAY) == "Alkalinity: no readings yet."


def test_one_reading():
    words = describe(ALKALINITY, table([(LAST, 8.2, 0.2, "")]), BANDS, TODAY)
    assert words == (
        "Alkalinity: one reading, 8.2\u00a0dKH ± 0.2 on 13 May 2026. "
        "It lies in the target band of its time."
    )


def test_three_readings_counted_by_hand():
    rows = [(LAST - timedelta(days=d), v, math.nan, "") for d, v in ((10, 7.0), (5, 8.0), (0, 8.4))]
    assert describe(ALKALINITY, table(rows), always((7.5, 8.5)), TODAY) == (
        "Alkalinity: 3 readings from 3 May 2026 to 13 May 2026, between 7.0\u00a0dKH and "
        "8.4\u00a0dKH; the latest is 8.4\u00a0dKH on 13 May 2026. 2 of 3 readings (67 %) lie in "
        "the target band of their time."
    )


def test_only_censored_readings_claim_no_range():
    words = describe(PHOSPHATE, censored(5), always((0.01, 0.1)), TODAY)
    assert "all beyond the limit of the test" in words
    assert "between" not in words
    assert "lie in the target" not in words


def test_readings_are_judged_by_the_band_of_their_time():
    old = table([(LAST - timedelta(days=300), 8.8, 0.1, "")])
    assert "It lies in" in describe(ALKALINITY, old, BANDS, TODAY)
    new = table([(LAST, 8.8, 0.1, "")])
    assert "It does not lie in" in describe(ALKALINITY, new, BANDS, TODAY)


@pytest.mark.parametrize("step,word", [(0.1, "rose by about 1.0"), (-0.1, "fell by about 1.0")])
def test_direction_of_the_last_30_days(step, word):
    assert f"Over the last 30 days it {word}\u00a0dKH." in describe(
        ALKALINITY, rising(step), [], TODAY
    )


def test_a_change_within_the_error_is_level():
    assert "stayed level" in describe(ALKALINITY, rising(0.005), [], TODAY)


def test_slope_is_that_of_a_straight_line_and_stands_one_wild_reading():
    found = points(rising(0.1))
    assert recent_change(found, TODAY) == pytest.approx(1.0)
    wild = rising(0.1)
    wild.loc[4, "value"] = 80.0
    assert recent_change(points(wild), TODAY) == pytest.approx(1.0, abs=0.1)


def test_no_direction_from_few_or_old_readings():
    assert recent_change(points(rising(0.1, 3)), TODAY) is None
    assert recent_change(points(series(3, 300)), TODAY) is None
