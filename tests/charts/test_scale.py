from __future__ import annotations

from datetime import date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.charts.scale import (
    TimeSpan,
    axis_ms,
    nice_step,
    time_label,
    time_span,
    time_ticks,
    value_scale,
    wall_text,
    wall_time,
)

from .made_up import TODAY

finite = st.floats(0, 1e4, allow_nan=False).map(lambda x: round(x, 2))


@pytest.mark.parametrize("zone", ["America/Los_Angeles", "Asia/Tokyo", "Pacific/Auckland", "UTC"])
def test_wall_time_keeps_the_keepers_clock_and_a_time_part(zone):
    moment = datetime(2026, 3, 14, 0, 0, tzinfo=ZoneInfo(zone))
    assert wall_text(wall_time(moment)) == "2026-03-14T00:00:00"


def test_axis_counts_from_1970():
    # Source: POSIX.1-2017, 4.16 Seconds Since the Epoch: 2001-09-09 01:46:40 is 1e9 s.
    assert axis_ms(pd.Timestamp("2001-09-09 01:46:40")) == 10**12


def test_span_ends_today_and_holds_at_least_two_weeks():
    span = time_span([pd.Timestamp("2026-05-10")], TODAY)
    assert span.days >= 14
    assert span.start < pd.Timestamp("2026-05-01")
    assert span.end >= pd.Timestamp("2026-05-15")


def test_span_keeps_a_reading_later_than_today():
    late = pd.Timestamp("2026-05-20 18:00")
    assert time_span([late], TODAY).end > late


@given(days=st.floats(14, 5000), width=st.sampled_from([290, 690]), room=st.sampled_from([44, 54]))
def test_time_labels_never_touch(days, width, room):
    end = pd.Timestamp(TODAY)
    span = TimeSpan((end - timedelta(days=days)).floor("h"), end)
    ticks = time_ticks(span, width, room)
    places = [span.position(t, width) for t in ticks]
    assert len(ticks) >= 2
    # A February is a tenth shorter than the month that the room is reckoned with.
    assert all(b - a >= 0.85 * room for a, b in pairwise(places))
    assert all(t == t.normalize() for t in ticks)
    assert max(places) <= width - 22


@pytest.mark.parametrize(
    "days,expected", [(14, "'%-d %b'"), (60, "'%-d %b'"), (420, "'%b'"), (3650, "'%Y'")]
)
def test_labels_suit_the_span(days, expected):
    end = pd.Timestamp(TODAY)
    ticks = time_ticks(TimeSpan(end - timedelta(days=days), end), 690, 54)
    assert f"datum.value, {expected}" in time_label(ticks)


def test_year_stands_under_the_first_label_and_the_first_of_a_new_year():
    ticks = list(pd.to_datetime(["2025-11-01", "2025-12-01", "2026-01-01", "2026-02-01"]))
    label = time_label(ticks)
    assert str(axis_ms(ticks[0])) in label
    assert str(axis_ms(ticks[2])) in label
    assert str(axis_ms(ticks[1])) not in label
    assert str(axis_ms(ticks[3])) not in label


@given(span=st.floats(1e-3, 1e5), most=st.integers(2, 8))
def test_nice_step_needs_few_enough_ticks_but_not_too_few(span, most):
    step = nice_step(span, most)
    assert span / step <= most * (1 + 1e-6)
    assert span / step >= most / 2.6


@given(values=st.lists(finite, max_size=11), bounds=st.lists(finite, max_size=2))
def test_value_axis_holds_readings_and_band(values, bounds):
    scale = value_scale(values, bounds, 2)
    assert scale.low < scale.high
    assert all(scale.low <= v <= scale.high for v in [*values, *bounds])
    assert 1 <= len(scale.ticks) <= 6
    assert all(scale.low <= tick <= scale.high for tick in scale.ticks)


def test_one_wild_reading_does_not_flatten_the_others():
    scale = value_scale([8.0 + 0.1 * (i % 5) for i in range(40)] + [82.0], [7.5, 8.5], 1)
    assert scale.high < 10


def test_two_clusters_are_no_outliers():
    scale = value_scale([7.0] * 20 + [11.0] * 20, [], 1)
    assert scale.low < 7 and scale.high > 11


def test_equal_values_get_an_axis_around_them():
    scale = value_scale([8.0] * 9, [], 1)
    assert scale.low < 8 < scale.high
    assert 8.0 in scale.ticks


def test_room_below_does_not_label_values_that_cannot_be():
    scale = value_scale([0.0, 0.1], [], 2, room_below=True)
    assert scale.low < 0
    assert min(scale.ticks) == 0


def test_labels_have_no_more_decimals_than_the_parameter():
    assert value_scale([8.0, 8.3], [], 1).decimals == 1
    assert value_scale([380, 460], [], 0).decimals == 0


def test_a_date_is_its_midnight():
    assert wall_time(date(2026, 1, 1)) == pd.Timestamp("2026-01-01")
