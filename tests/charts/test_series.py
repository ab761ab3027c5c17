from __future__ import annotations

import math
from datetime import datetime, timedelta

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.charts.scale import ValueScale, time_span
from journal_tools.charts.series import (
    censored_rows,
    hover_rows,
    line_rows,
    off_scale_rows,
    points,
    reach,
    reading_words,
)

from .made_up import ALKALINITY, LAST, PHOSPHATE, TODAY, series, table


def span_of(readings: pd.DataFrame):
    return time_span([p.time for p in points(readings)], TODAY)


@pytest.mark.parametrize("zone", ["America/Los_Angeles", "Europe/Berlin", "Asia/Tokyo"])
def test_points_carry_the_wall_time_of_the_keeper(zone):
    found = points(table([(datetime(2026, 3, 14, 0, 0), 8.2, 0.2, "")], zone))
    assert found[0].text == "2026-03-14T00:00:00"
    assert found[0].time == pd.Timestamp("2026-03-14")


def test_points_are_in_order_and_complete():
    readings = table([(LAST, 8.0, 0.1, ""), (LAST - timedelta(days=3), 7.5, 0.1, "")])
    assert [p.value for p in points(readings)] == [7.5, 8.0]


def test_a_reading_without_value_or_time_is_left_out():
    readings = table([(LAST, math.nan, 0.1, ""), (LAST, 8.0, 0.1, ""), (LAST, 7.0, 0.1, "")])
    readings.loc[2, "time"] = pd.NaT
    assert [p.value for p in points(readings)] == [8.0]


def test_unknown_error_is_none():
    assert points(table([(LAST, 8.0, math.nan, "")]))[0].error is None


def test_a_long_pause_breaks_the_line():
    days = [0, 7, 14, 120, 127]
    readings = table([(LAST - timedelta(days=130 - d), 8.0, 0.1, "") for d in days])
    rows = line_rows(points(readings), span_of(readings), 690, 1)
    assert [row["v"] for row in rows] == [8.0, 8.0, 8.0, None, 8.0, 8.0]


def test_monthly_readings_are_not_broken():
    readings = table([(LAST - timedelta(days=31 * i), 8.0, 0.1, "") for i in range(6)])
    rows = line_rows(points(readings), span_of(readings), 690, 1)
    assert all(row["v"] is not None for row in rows)


def test_a_censored_reading_is_no_point_of_the_line():
    readings = table(
        [(LAST - timedelta(days=d), 0.02, 0.01, "below" if d == 1 else "") for d in range(3)]
    )
    found = points(readings)
    assert [row["v"] for row in line_rows(found, span_of(readings), 690, 2)] == [0.02, None, 0.02]
    assert len(censored_rows(found, "below")) == 1
    assert censored_rows(found, "above") == []


@settings(max_examples=15, deadline=None)
@given(count=st.integers(1, 2500), width=st.sampled_from([290, 690]))
def test_thinning_keeps_extremes_and_ends(count, width):
    readings = series(count, 900)
    found = points(readings)
    rows = line_rows(found, span_of(readings), width, 1)
    shown = [row["v"] for row in rows if row["v"] is not None]
    values = [p.value for p in found]
    assert (shown[0], shown[-1]) == (values[0], values[-1])
    assert (min(shown), max(shown)) == (min(values), max(values))
    assert len(rows) <= min(2 * count, 4 * (width // 2 + 2))


def test_nothing_is_thinned_where_a_reader_can_zoom():
    readings = series(3000, 900)
    assert len(line_rows(points(readings), span_of(readings), None, 1)) == 3000


def test_off_scale_readings_are_named_with_value_and_unit():
    found = points(table([(LAST, 82.0, 0.2, ""), (LAST - timedelta(days=1), 8.0, 0.2, "")]))
    scale = ValueScale(7, 9, 1, [7, 8, 9])
    assert [r["says"] for r in off_scale_rows(ALKALINITY, found, scale, "high")] == [
        "82.0\u00a0dKH"
    ]
    assert off_scale_rows(ALKALINITY, found, scale, "low") == []


def test_reach_holds_the_ends_of_error_bars():
    values = reach(points(series(12, 60, error=0.3)))
    plain = reach(points(series(12, 60, error=math.nan)))
    assert min(values) == pytest.approx(min(plain) - 0.3)


def test_words_of_a_reading():
    found = points(table([(LAST, 0.02, math.nan, "below"), (LAST + timedelta(1), 0.05, 0.02, "")]))
    assert reading_words(PHOSPHATE, found[0]) == "below 0.02\u00a0ppm"
    assert reading_words(PHOSPHATE, found[1]) == "0.05\u00a0ppm ± 0.02"
    assert hover_rows(PHOSPHATE, found)[0]["when"] == "13 May 2026, 19:00"
