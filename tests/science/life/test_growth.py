from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.life.growth import (
    doubling_time_days,
    length_rate_from_mass_rate,
    specific_growth_rate_estimate_per_day,
    specific_growth_rate_per_day,
)
from journal_tools.science.life.stocking import body_mass_g

sizes = st.floats(0.5, 100.0)
spans = st.floats(1.0, 1000.0)


# Worked by hand: ln(20 / 10) / 100.
def test_worked_example() -> None:
    assert specific_growth_rate_per_day(10.0, 20.0, 100.0) == pytest.approx(math.log(2) / 100)


@given(sizes, sizes, spans)
def test_growing_at_the_rate_gives_the_end(start: float, end: float, days: float) -> None:
    rate = specific_growth_rate_per_day(start, end, days)
    assert start * math.exp(rate * days) == pytest.approx(end)
    assert specific_growth_rate_per_day(end, start, days) == pytest.approx(-rate, abs=1e-12)


@given(sizes, sizes, sizes, spans, spans)
def test_rates_add_over_time(
    start: float, middle: float, end: float, first: float, second: float
) -> None:
    grown = specific_growth_rate_per_day(start, middle, first) * first
    grown += specific_growth_rate_per_day(middle, end, second) * second
    together = specific_growth_rate_per_day(start, end, first + second) * (first + second)
    assert together == pytest.approx(grown, abs=1e-9)


@given(st.floats(2.0, 20.0), st.floats(1.01, 3.0), st.floats(10.0, 1000.0))
def test_the_rate_of_mass_is_three_times_that_of_length(
    length_cm: float, factor: float, days: float
) -> None:
    by_length = specific_growth_rate_per_day(length_cm, factor * length_cm, days)
    masses = body_mass_g(length_cm), body_mass_g(factor * length_cm)
    by_mass = specific_growth_rate_per_day(*masses, days)
    assert by_mass == pytest.approx(3 * by_length)
    assert length_rate_from_mass_rate(by_mass) == pytest.approx(by_length)


@given(sizes, st.floats(1.0, 2.0), spans, st.floats(0.0, 0.3))
def test_measuring_errors_widen_the_rate(
    start: float, factor: float, days: float, error: float
) -> None:
    found = specific_growth_rate_estimate_per_day(start, factor * start, days, error)
    worst = specific_growth_rate_per_day(start * (1 + error), factor * start * (1 - error), days)
    assert found.low == pytest.approx(worst, abs=1e-12)
    assert found.high - found.value == pytest.approx(found.value - found.low, abs=1e-12)


def test_a_few_days_show_only_the_measuring_error() -> None:
    found = specific_growth_rate_estimate_per_day(5.0, 5.1, 7.0, 0.05)
    assert found.low < 0 < found.high


def test_doubling() -> None:
    rate = specific_growth_rate_per_day(10.0, 20.0, 100.0)
    assert doubling_time_days(rate) == pytest.approx(100)
    with pytest.raises(ValueError, match="growth rate 0 a day"):
        doubling_time_days(0.0)


def test_outside_is_refused_or_blank() -> None:
    with pytest.raises(ValueError, match="size 0 is outside"):
        specific_growth_rate_per_day(0.0, 5.0, 10.0)
    with pytest.raises(ValueError, match="time between 0 days"):
        specific_growth_rate_per_day(4.0, 5.0, 0.0)
    found = specific_growth_rate_per_day(np.array([5.0, -1.0]), 5.0, 10.0)
    assert found == pytest.approx([0, np.nan], nan_ok=True)
