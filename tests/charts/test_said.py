from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.charts.said import (
    drawable,
    drawable_rows,
    in_order,
    interval,
    limits,
    number,
    some_decimals,
    verdict,
)

BAD = [None, math.nan, math.inf, -math.inf, 1e300, "8.2", pd.NA, pd.NaT]


@pytest.mark.parametrize("value", BAD, ids=repr)
def test_what_no_axis_can_hold(value):
    assert not drawable(value)
    assert number(value) is None
    assert in_order(1, value) == (None, None)


@pytest.mark.parametrize("value", [0, -3, 8.2, np.float32(8.5), np.int64(7), 1e9])
def test_numbers_of_every_kind(value):
    assert drawable(value)
    assert number(value) == float(value)


def test_rows_are_kept_whole_or_not_at_all():
    table = pd.DataFrame({"a": [1, None, 3], "b": [1, 2, math.inf], "c": ["x", "y", "z"]})
    assert list(drawable_rows(table, "a", "b")["c"]) == ["x"]
    empty = drawable_rows(table.iloc[:0], "a")
    assert list(empty.columns) == ["a", "b", "c"]


@given(st.floats(-1e9, 1e9), st.floats(-1e9, 1e9))
def test_ends_are_in_order(one, other):
    low, high = in_order(one, other)
    assert low <= high
    assert {low, high} == {one, other}


def test_words():
    assert interval(-5, -4, 1, "dKH") == "−5.0 to −4.0\u00a0dKH"
    assert limits(7.5, None, 1, "dKH") == "at least 7.5\u00a0dKH"
    assert limits(0, 0, 0) == "0 to 0"


@given(st.floats(-100, 100), st.floats(-100, 0), st.floats(0, 100))
def test_a_value_is_inside_or_on_one_side(value, low, high):
    side = verdict(value, low, high)
    assert (side == "") == (low <= value <= high)
    assert verdict(value, None, None) == ""


def test_decimals_leave_about_three_digits():
    assert [some_decimals(v) for v in (0, 0.5, 1, 9.9, 10, 99, 100, 1e9)] == [
        3,
        3,
        2,
        2,
        1,
        1,
        0,
        0,
    ]
