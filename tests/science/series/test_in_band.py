from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.series.in_band import time_in_band
from tests.science.check_values import Check, Row, assert_agrees, cases
from tests.science.series.test_stability import DAYS, TOPIC, VALUES, rows
from tests.science.synthetic_series import FloatArray

limits = st.integers(-50_000, 50_000).map(lambda thousandths: thousandths / 1000)

CHECKS = {
    (TOPIC, "time in band 7.8-8.3 (linear interpolation)", "same"): Check(
        lambda: time_in_band(DAYS, VALUES, 7.8, 8.3).share or math.nan
    ),
}


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


@given(rows, limits, limits)
def test_it_agrees_with_counting_on_a_fine_grid(
    series: tuple[FloatArray, FloatArray], low: float, high: float
) -> None:
    days, values = series
    low, high = sorted((low, high))
    grid = np.linspace(days[0], days[-1], 20_001)
    line = np.interp(grid, days, values)
    counted = float(np.mean((line >= low) & (line <= high)))
    assert time_in_band(days, values, low, high).share == pytest.approx(counted, abs=5e-3)


@given(rows, limits)
def test_below_and_above_a_limit_fill_the_time(
    series: tuple[FloatArray, FloatArray], limit: float
) -> None:
    days, values = series
    values = np.where(values == limit, limit + 1.0, values)
    below = time_in_band(days, values, None, limit)
    above = time_in_band(days, values, limit, None)
    assert below.inside_days + above.inside_days == pytest.approx(days[-1] - days[0], abs=1e-6)
    assert below.known_days == pytest.approx(days[-1] - days[0], abs=1e-6)


@given(rows, st.floats(0.0, 1.0))
def test_parts_add_up(series: tuple[FloatArray, FloatArray], share: float) -> None:
    days, values = series
    cut = float(days[0] + share * (days[-1] - days[0]))
    whole = time_in_band(days, values, -10.0, 10.0)
    left = time_in_band(days, values, -10.0, 10.0, between=(-math.inf, cut))
    right = time_in_band(days, values, -10.0, 10.0, between=(cut, math.inf))
    assert left.inside_days + right.inside_days == pytest.approx(whole.inside_days, abs=1e-9)
    assert left.known_days + right.known_days == pytest.approx(whole.known_days, abs=1e-9)


def test_an_open_band() -> None:
    assert time_in_band([0, 4], [7.0, 9.0], 8.0, None).share == pytest.approx(0.5)
    assert time_in_band([0, 4], [7.0, 9.0], None, 8.5).share == pytest.approx(0.75)
    assert time_in_band([0, 4], [7.0, 9.0], None, None).share == 1.0


def test_a_gap_is_unknown() -> None:
    found = time_in_band([0, 2, 20, 21], [8.0, 8.0, 8.0, 12.0], 7.0, 9.0)
    days = found.inside_days, found.known_days, found.unknown_days
    assert days == pytest.approx((2.25, 3.0, 18.0))


def test_a_gap_stays_one_when_it_is_cut() -> None:
    found = time_in_band([0, 20], [8.0, 8.0], 7.0, 9.0, between=(15.0, 25.0))
    assert (found.known_days, found.unknown_days) == (0.0, 5.0)
    assert found.share is None


def test_a_level_line_on_the_limit_is_inside_to_the_last_bit() -> None:
    converted = (82.4 - 32) / 1.8
    assert converted != 28.0
    assert time_in_band([0, 1], [converted, converted], 24.0, 28.0).share == 1.0


@pytest.mark.parametrize(
    ("limit", "low", "high", "known", "inside"),
    [
        (0.02, 0.0, 0.1, 10.0, 10.0),  # anything from 0 to 0.02 is inside
        (0.02, None, 0.1, 10.0, 10.0),
        (0.02, 0.03, 0.1, 10.0, 0.0),  # anything is too low
        (0.02, 0.01, 0.1, 0.0, 0.0),  # it may be either
        (0.2, 0.0, 0.1, 0.0, 0.0),
    ],
)
def test_a_reading_below_a_limit_counts_where_its_bound_decides(
    limit: float, low: float | None, high: float, known: float, inside: float
) -> None:
    found = time_in_band([0, 10], [limit, limit], low, high, censored=["below", "below"])
    assert (found.known_days, found.inside_days) == pytest.approx((known, inside))
    assert found.known_days + found.unknown_days == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("low", "high", "known", "inside"),
    [(None, 50.0, 10.0, 0.0), (10.0, None, 10.0, 10.0), (None, 90.0, 0.0, 0.0)],
)
def test_a_reading_above_a_limit_counts_where_its_bound_decides(
    low: float | None, high: float | None, known: float, inside: float
) -> None:
    found = time_in_band([0, 10], [80.0, 80.0], low, high, censored=["above", "above"])
    assert (found.known_days, found.inside_days) == pytest.approx((known, inside))


def test_next_to_a_censored_reading_only_what_is_certain_counts() -> None:
    # From exactly 0.2 down to something between 0 and 0.02; the band ends at 0.11.
    found = time_in_band([0, 10], [0.2, 0.02], 0.0, 0.11, censored=["", "below"])
    assert found.inside_days == pytest.approx(5.0)  # the flattest line crosses 0.11 at day 5
    assert found.unknown_days == pytest.approx(0.5)  # the steepest at day 4.5


def test_missing_values_and_wrong_words() -> None:
    found = time_in_band([0, 1, 2], [8.0, math.nan, 8.0], 7.0, 9.0, censored=["", "below", ""])
    assert found.share == 1.0
    with pytest.raises(ValueError, match="censored"):
        time_in_band([0, 1], [8.0, 8.1], 7.0, 9.0, censored=["", "under"])
    with pytest.raises(ValueError, match="ends before it begins"):
        time_in_band([0, 1], [8.0, 8.1], 9.0, 7.0)
