from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from journal_tools.charts.scale import TimeSpan
from journal_tools.charts.target import (
    Period,
    always,
    amount,
    band_words,
    period_at,
    periods,
)

from .made_up import ALKALINITY, BANDS, PHOSPHATE, Quantity

SPAN = TimeSpan(pd.Timestamp("2025-03-01"), pd.Timestamp("2026-05-15"))


def period(low: float | None, high: float | None) -> Period:
    return Period(SPAN.start, SPAN.end, low, high)


@pytest.mark.parametrize(
    "low,high,value,censored,expected",
    [
        (7.5, 8.5, 7.5, "", True),
        (7.5, 8.5, 8.5, "", True),
        (7.5, 8.5, 8.6, "", False),
        (None, 0.1, 0.0, "", True),
        (1.0, None, 0.9, "", False),
        (None, 0.1, 0.02, "below", True),
        (0.02, 0.1, 0.02, "below", False),
        (0.01, 0.1, 0.02, "below", None),
        (None, 0.1, 0.25, "below", None),
        (None, 0.1, 0.2, "above", False),
        (1.0, None, 2.0, "above", True),
        (1.0, None, 0.5, "above", None),
    ],
)
def test_in_band(low, high, value, censored, expected):
    assert period(low, high).holds(value, censored) is expected


def test_bands_change_over_time_and_are_cut_to_the_span():
    found = periods(BANDS, SPAN)
    assert [(p.low, p.high) for p in found] == [(7.0, 9.0), (7.5, 8.5)]
    assert found[0].start == SPAN.start
    assert found[0].end == found[1].start == pd.Timestamp("2025-09-01")
    assert found[1].end == SPAN.end


def test_bands_outside_the_span_or_without_limits_are_left_out():
    outside = [(date(2020, 1, 1), date(2021, 1, 1), 7.0, 8.0), (None, None, None, None)]
    assert periods(outside, SPAN) == []


def test_the_later_of_two_bands_rules():
    found = periods([(None, None, 7.0, 9.0), (date(2026, 1, 1), None, 8.0, 8.4)], SPAN)
    now = period_at(found, pd.Timestamp("2026-02-01"))
    assert now is not None and now.low == 8.0
    assert period_at(found, pd.Timestamp("2027-01-01")) is None


def test_words_carry_the_unit():
    assert band_words(ALKALINITY, 7.5, 8.5) == "target 7.5–8.5\u00a0dKH"
    assert band_words(PHOSPHATE, 0.02, 0.1) == "target 0.02–0.10\u00a0ppm"
    assert band_words(PHOSPHATE, None, 0.1) == "target at most 0.1\u00a0ppm"
    assert band_words(ALKALINITY, 7, None) == "target at least 7\u00a0dKH"
    assert amount(ALKALINITY, 8.25) in ("8.2\u00a0dKH", "8.3\u00a0dKH")
    assert amount(Quantity("ph", "pH", "", 2), 8.1) == "8.10"


def test_a_band_without_limits_cannot_be_said():
    with pytest.raises(ValueError, match="at least one limit"):
        band_words(ALKALINITY, None, None)


def test_no_band_is_no_period():
    assert always(None) == []
