"""Dates, ages and numbers as they are said."""

from __future__ import annotations

import datetime as dt
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.parameters import PARAMETERS
from journal_tools.words import (
    ago,
    as_heading,
    day_text,
    month_text,
    number_text,
    reading_text,
    short_day,
    span_text,
)

TODAY = dt.date(2026, 3, 20)


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (0, "0 days"), (1, "1 day"), (20, "20 days"), (21, "3 weeks"), (74, "11 weeks"),
        (75, "2 months"), (365, "12 months"), (729, "24 months"), (730, "2 years"),
        (761, "2 years 1 month"), (1096, "3 years"), (1200, "3 years 3 months"),
    ],
)  # fmt: skip
def test_a_span(days: int, words: str) -> None:
    assert span_text(days) == words


@given(st.integers(0, 40_000))
def test_a_span_is_never_off_by_more_than_half_its_smallest_unit(days: int) -> None:
    sizes = {"day": 1, "week": 7, "month": 30.4375, "year": 365.25}
    words = span_text(days).split()
    said = sum(int(n) * sizes[unit.rstrip("s")] for n, unit in zip(words[::2], words[1::2],
               strict=True))  # fmt: skip
    # "2 years" is said to the month, too
    smallest = min(sizes[unit.rstrip("s")] for unit in words[1::2])
    assert abs(said - days) <= min(smallest, 30.4375) / 2 + 0.5


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (dt.date(2026, 3, 20), "today"),
        (dt.date(2026, 3, 19), "yesterday"),
        (dt.date(2026, 3, 18), "2 days ago"),
        (dt.date(2026, 3, 21), "in 1 day"),
        (dt.date(2025, 3, 20), "12 months ago"),
    ],
)
def test_how_long_ago(day: dt.date, words: str) -> None:
    assert ago(day, TODAY) == words


@given(st.dates())
def test_days_name_their_month(day: dt.date) -> None:
    # the C locale's English names, as Python's strftime gives them
    assert day_text(day) == f"{day.day} {day:%B} {day.year}"
    assert short_day(day) == f"{day.day} {day:%b} {day.year}"
    assert month_text(day) == f"{day:%B} {day.year}"


@given(st.text())
def test_a_heading_changes_only_its_first_letter(text: str) -> None:
    assert as_heading(text)[len(text[:1].upper()) :] == text[1:]
    assert as_heading("the 200 W LED") == "The 200 W LED"


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        (8.25, 1, "8.2"), (8.35, 1, "8.3"), (0.04, 1, "0.0"), (-0.04, 1, "0.0"),
        (-3.26, 1, "\u22123.3"), (1234567.8, 0, "1\u202f234\u202f568"), (1284, -1, "1\u202f280"),
        (math.nan, 1, "–"), (math.inf, 0, "–"), (0.0, 2, "0.00"),
    ],
)  # fmt: skip
def test_a_number(value: float, decimals: int, text: str) -> None:
    assert number_text(value, decimals) == text


@given(st.floats(-1e9, 1e9), st.integers(-2, 4))
def test_a_number_reads_back_to_its_precision(value: float, decimals: int) -> None:
    text = number_text(value, decimals).replace("\u202f", "").replace("\u2212", "-")
    assert float(text) == pytest.approx(value, abs=0.5001 * 10.0**-decimals, rel=1e-12)


@pytest.mark.parametrize(
    ("value", "parameter", "censored", "text"),
    [
        (8.24, "alkalinity", "", "8.2 dKH"),
        (8.15, "ph", "", "8.15"),
        (1310.0, "magnesium", "", "1\u202f310 mg/L"),
        (0.25, "nitrate", "below", "< 0.25 mg/L"),
        (0.005, "phosphate", "below", "< 0.005 mg/L"),
        (5.0, "nitrite", "above", "> 5.00 mg/L"),
    ],
)
def test_a_reading(value: float, parameter: str, censored: str, text: str) -> None:
    assert reading_text(value, PARAMETERS[parameter], censored) == text


@given(st.sampled_from(sorted(PARAMETERS)), st.integers(0, 3000))
def test_a_limit_is_never_said_to_be_tighter(parameter: str, thousandths: int) -> None:
    text = reading_text(thousandths / 1000, PARAMETERS[parameter], "below")
    said = float(text.removeprefix("< ").split()[0].replace("\u202f", ""))
    assert said == pytest.approx(thousandths / 1000, abs=1e-12)
