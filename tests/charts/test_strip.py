from __future__ import annotations

from itertools import combinations, pairwise

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.charts.scale import TimeSpan
from journal_tools.charts.strip import SIGNS, PlacedEvent, place_events, sign
from journal_tools.charts.theme import NARROW, WIDE, text_px

from .made_up import TODAY, happenings

SPAN = TimeSpan(pd.Timestamp("2025-03-01"), pd.Timestamp(TODAY) + pd.Timedelta(days=1))


def edges(event: PlacedEvent) -> tuple[float, float]:
    length = text_px(event.caption)
    left = event.x_px - {"left": 0.0, "center": length / 2, "right": length}[event.align]
    return left, left + length


def test_kinds_differ_in_shape_and_not_only_in_colour():
    shapes = [s.shape for s in SIGNS.values()]
    assert len(set(shapes)) == len(shapes)


def test_an_unknown_kind_still_shows():
    assert sign("power_cut").words == "power cut"
    assert sign("power_cut").shape not in {s.shape for s in SIGNS.values()}


def test_no_events_take_no_room():
    strip = place_events(happenings(0, 1), SPAN, WIDE)
    assert (strip.events, strip.signs, strip.height_px) == ([], [], 0)


def test_events_outside_the_span_or_without_time_are_left_out():
    events = happenings(2, 10)
    events.loc[0, "time"] = pd.Timestamp("2020-01-01", tz="America/New_York")
    events.loc[1, "time"] = pd.NaT
    assert place_events(events, SPAN, WIDE).events == []


@settings(max_examples=40, deadline=None)
@given(count=st.integers(1, 80), days=st.floats(1, 420), shape=st.sampled_from([WIDE, NARROW]))
def test_captions_neither_overlap_nor_leave_the_plot(count, days, shape):
    strip = place_events(happenings(count, days), SPAN, shape)
    assert len(strip.events) == count
    named = [edges(e) for e in strip.events if e.caption]
    assert 1 <= len(named) <= shape.event_labels
    assert all(left >= -1e-6 and right <= shape.plot_width + 1e-6 for left, right in named)
    assert all(a[1] < b[0] or b[1] < a[0] for a, b in combinations(named, 2))


@pytest.mark.parametrize("count", [3, 20])
def test_signs_of_the_upper_rows_do_not_touch(count):
    events = place_events(happenings(count, 400), SPAN, WIDE).events
    for row in (0, 1):
        places = sorted(e.x_px for e in events if e.row == row)
        assert all(b - a >= 12 for a, b in pairwise(places))


def test_a_milestone_is_named_before_a_water_change():
    events = happenings(2, 1)
    events["kind"] = ["water_change", "milestone"]
    events["label"] = ["20 L changed", "first coral of this tank"]
    captions = [e.caption for e in place_events(events, SPAN, WIDE).events if e.caption]
    assert captions == ["first coral of this tank"]


def test_a_long_label_is_cut_with_a_sign_of_it():
    events = happenings(1, 1)
    events["label"] = ["the return pump was replaced by a much larger one"]
    caption = place_events(events, SPAN, WIDE).events[0].caption
    assert caption.endswith("…")
    assert len(caption) <= 24
