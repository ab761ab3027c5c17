from __future__ import annotations

import math

import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.charts.guesses import Guess, guesses, rows_of, thinned
from journal_tools.charts.scale import time_span

from .made_up import TODAY
from .test_estimate import course


def test_estimates_come_in_order_of_time_and_wall_time():
    found = guesses(course(1, 2, 3).iloc[::-1])
    assert [g.value for g in found] == [1, 2, 3]
    assert found[0].time == pd.Timestamp("2026-05-07 19:00")


def test_what_is_no_number_is_left_out_and_half_an_interval_is_none():
    points = course(math.nan, 5, math.inf, 6).assign(low=[1, 1, 1, None])
    points.loc[0, "time"] = pd.NaT
    assert [(g.value, g.low, g.high) for g in guesses(points)] == [(5, 1, 55), (6, None, None)]
    assert guesses(None) == []
    assert guesses(course(7)[["time", "value"]])[0].low is None


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=400), st.floats(20, 700))
def test_thinning_keeps_all_extremes(values, width_px):
    points = course(*values, width=7)
    found = guesses(points)
    span = time_span([guess.time for guess in found], TODAY)
    kept = thinned(found, span, width_px)
    for extreme in (min, max):
        assert extreme(g.value for g in kept) == extreme(values)
        assert extreme(g.low for g in kept) == extreme(g.low for g in found)
        assert extreme(g.high for g in kept) == extreme(g.high for g in found)
    assert (kept[0], kept[-1]) == (found[0], found[-1])
    assert [g.time for g in kept] == sorted(g.time for g in kept)
    assert len(kept) <= 6 * (width_px / 3 + 1)


def test_rows_are_rounded_to_two_more_decimals():
    guess = Guess(pd.Timestamp("2026-05-01"), 1 / 3, None, None)
    assert rows_of([guess], 1) == [{"t": "2026-05-01T00:00:00", "v": 0.333, "lo": None, "hi": None}]
