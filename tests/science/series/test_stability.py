from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from journal_tools.science.series.stability import (
    LONGEST_GAP_DAYS,
    SIGMA_PER_MAD,
    as_series,
    comparable_swing,
    largest_daily_step,
    max_rate_per_day,
    noise_floor,
    robust_spread,
    scaled_mad,
    short_term_spread,
    swing,
    time_weighted_mean,
    trimmed_sd,
)
from tests.science.check_values import Check, Row, assert_agrees, cases
from tests.science.synthetic_series import FloatArray, wandering

TOPIC = "15 statistics"
DAYS = [0, 1, 3, 7, 8]
VALUES = [8.0, 8.2, 7.6, 8.4, 8.4]
CHECKS = {
    (TOPIC, "plain mean", "same"): Check(lambda: float(np.mean(as_series(DAYS, VALUES)[1]))),
    (TOPIC, "MAD / scaled MAD", "same"): Check(lambda: scaled_mad(VALUES)),
    (TOPIC, "swing", "same"): Check(lambda: swing(VALUES)),
}

finite = st.integers(-100_000, 100_000).map(lambda thousandths: thousandths / 1000)
rows = st.lists(st.tuples(st.floats(0.01, 10.0), finite), min_size=2, max_size=20).map(
    lambda pairs: (np.cumsum([gap for gap, _ in pairs]), np.array([value for _, value in pairs]))
)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


# 64.3 value-days over 8 days: 8.1, 15.8, 32.0 and 8.4 of the four trapezoids.
def test_the_mean_over_time_by_hand() -> None:
    assert time_weighted_mean(DAYS, VALUES) == pytest.approx(64.3 / 8, abs=1e-12)


@given(rows)
def test_the_mean_lies_within_the_readings(series: tuple[FloatArray, FloatArray]) -> None:
    mean = time_weighted_mean(*series)
    assert series[1].min() - 1e-9 <= mean <= series[1].max() + 1e-9


@given(rows)
def test_the_mean_is_that_of_the_trapezoids(series: tuple[FloatArray, FloatArray]) -> None:
    days, values = series
    area = np.trapezoid(values, days)
    assert time_weighted_mean(days, values) == pytest.approx(area / (days[-1] - days[0]), abs=1e-9)


@given(rows, st.integers(0, 18), st.floats(0.01, 0.99))
def test_a_reading_on_the_line_changes_nothing(
    series: tuple[FloatArray, FloatArray], place: int, share: float
) -> None:
    days, values = series
    i = place % (days.size - 1)
    day = days[i] + share * (days[i + 1] - days[i])
    more_days = np.insert(days, i + 1, day)
    more_values = np.insert(values, i + 1, np.interp(day, days, values))
    assert time_weighted_mean(more_days, more_values) == pytest.approx(
        time_weighted_mean(days, values), abs=1e-8
    )


def test_a_gap_does_not_count() -> None:
    days, values = [0, 1, 1 + LONGEST_GAP_DAYS + 0.1, 20], [8.0, 8.0, 9.0, 9.0]
    known = 1.0 + 20 - (1 + LONGEST_GAP_DAYS + 0.1)
    assert time_weighted_mean(days, values) == pytest.approx((8.0 + 9.0 * (known - 1)) / known)
    assert time_weighted_mean(days, values, 30.0) == pytest.approx(
        (8.0 + 14.1 * 8.5 + 4.9 * 9.0) / 20
    )


def test_a_gap_everywhere_leaves_no_mean() -> None:
    with pytest.raises(ValueError, match="no two readings within 14 days"):
        time_weighted_mean([0, 15], [8.0, 8.1])
    with pytest.raises(ValueError, match="no two readings"):
        time_weighted_mean([3], [8.0])


def test_trap_people_test_more_when_things_go_wrong() -> None:
    days = np.array([0, 7, 14, 14.2, 14.4, 14.6, 14.8, 15, 21, 28])
    values = np.array([8.0, 8.0, 6.0, 6.0, 6.0, 6.0, 6.0, 8.0, 8.0, 8.0])
    assert values.mean() == pytest.approx(7.0)
    assert time_weighted_mean(days, values) == pytest.approx(7.6857, abs=1e-4)


@given(st.lists(finite, min_size=1, max_size=30))
def test_scaled_mad_agrees_with_scipy(values: list[float]) -> None:
    oracle = stats.median_abs_deviation(values, scale="normal")
    assert scaled_mad(values) == pytest.approx(oracle, rel=1e-9, abs=1e-12)


def test_the_scale_is_that_of_the_normal_law() -> None:
    assert pytest.approx(1 / stats.norm.ppf(0.75), rel=1e-14) == SIGMA_PER_MAD


def test_trap_the_mad_of_coarse_results_is_zero() -> None:
    values = [8.0, 8.0, 8.0, 8.0, 8.5]
    assert scaled_mad(values) == 0.0
    assert robust_spread(values, resolution=0.5) == pytest.approx(0.5 / math.sqrt(12))
    assert robust_spread(values, resolution=0.5, kit_sd=0.3) == 0.3


@pytest.mark.parametrize("estimate", [scaled_mad, trimmed_sd, short_term_spread, robust_spread])
def test_every_spread_is_the_standard_deviation_of_normal_values(
    estimate: Callable[[FloatArray], float],
) -> None:
    values = np.random.default_rng(1).normal(8.0, 0.3, 20_000)
    assert estimate(values) == pytest.approx(0.3, rel=0.03)


@pytest.mark.parametrize("estimate", [scaled_mad, trimmed_sd, short_term_spread, robust_spread])
@given(values=st.lists(finite, min_size=2, max_size=30), factor=st.floats(0.1, 10.0))
def test_a_spread_scales_and_does_not_mind_an_offset(
    estimate: Callable[[FloatArray], float], values: list[float], factor: float
) -> None:
    numbers = np.array(values)
    moved = estimate(3.0 + factor * numbers)
    assert moved == pytest.approx(factor * estimate(numbers), rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("estimate", [scaled_mad, trimmed_sd])
def test_one_wild_reading_hardly_moves_a_robust_spread(
    estimate: Callable[[FloatArray], float],
) -> None:
    values = np.random.default_rng(2).normal(8.0, 0.3, 40)
    wild = np.append(values, 800.0)
    assert estimate(wild) == pytest.approx(estimate(values), rel=0.2)


def test_neither_drift_nor_shift_widens_the_short_term_spread() -> None:
    values = np.random.default_rng(3).normal(8.0, 0.3, 200)
    plain = short_term_spread(values)
    assert short_term_spread(values + 0.02 * np.arange(200)) == pytest.approx(plain, rel=0.05)
    assert short_term_spread(values + 5 * (np.arange(200) > 90)) == pytest.approx(plain, rel=0.15)
    assert scaled_mad(values + 5 * (np.arange(200) > 90)) > 3 * plain


def test_noise_floor_takes_the_larger() -> None:
    assert noise_floor(0.5, 0.1) == pytest.approx(0.144338, abs=1e-6)
    assert noise_floor(0.1, 0.2) == 0.2
    with pytest.raises(ValueError, match="resolution"):
        noise_floor(-0.1)


# A month of scatter, of drift, of slow wandering, and of all three.
COURSES: dict[str, Callable[[np.random.Generator, FloatArray], FloatArray]] = {
    "scatter": lambda rng, days: rng.normal(0.0, 1.0, days.size),
    "drift": lambda rng, days: 0.2 * days,
    "wandering": lambda rng, days: wandering(rng, days, 1.0, 10.0),
    "all": lambda rng, days: (
        0.1 * days + wandering(rng, days, 1.0, 10.0) + rng.normal(0.0, 1.0, days.size)
    ),
}


def _mean_swings(course: str, tests: int) -> tuple[float, float]:
    plain, comparable = [], []
    for seed in range(400):
        rng = np.random.default_rng(seed)
        days = (np.arange(tests) + 0.5) * 28.0 / tests
        values = COURSES[course](rng, days)
        plain.append(swing(values))
        comparable.append(comparable_swing(days, values, 0.0, 28.0) or math.nan)
    return float(np.mean(plain)), float(np.mean(comparable))


@pytest.mark.parametrize("course", COURSES)
def test_trap_max_less_min_grows_with_the_number_of_tests(course: str) -> None:
    plain_4, comparable_4 = _mean_swings(course, 4)
    plain_28, comparable_28 = _mean_swings(course, 28)
    assert plain_28 > 1.25 * plain_4
    assert comparable_28 == pytest.approx(comparable_4, rel=0.06)


def test_the_comparable_swing_of_four_tests_is_their_swing() -> None:
    days, values = [3, 10, 17, 24], [8.0, 8.6, 7.9, 8.1]
    assert comparable_swing(days, values, 0.0, 28.0) == pytest.approx(0.7)


def test_the_comparable_swing_is_the_mean_over_all_picks() -> None:
    days = [1, 2, 8, 9, 10, 15, 22, 23]
    values = [8.0, 8.4, 7.9, 7.9, 8.8, 8.1, 8.2, 9.0]
    picks = [swing([a, b, 8.1, d]) for a in values[:2] for b in values[2:5] for d in values[6:]]
    assert comparable_swing(days, values, 0.0, 28.0) == pytest.approx(np.mean(picks))


def test_a_month_with_a_part_without_tests_is_not_compared() -> None:
    assert comparable_swing([1, 8, 15], [8.0, 8.1, 8.2], 0.0, 28.0) is None
    assert comparable_swing([1, 8, 15, 28], [8.0, 8.1, 8.2, 8.3], 0.0, 28.0) is None
    with pytest.raises(ValueError, match="parts between"):
        comparable_swing([1], [8.0], 5.0, 5.0)


def test_rates() -> None:
    assert max_rate_per_day(DAYS, VALUES) == pytest.approx(0.3)
    assert max_rate_per_day([0, 0.001, 1], [8.0, 8.2, 8.1], min_gap_days=0.5) == pytest.approx(
        0.1, abs=1e-3
    )
    assert max_rate_per_day([0, 0, 2], [8.0, 9.0, 8.0]) == pytest.approx(0.5)
    with pytest.raises(ValueError, match="no two readings"):
        max_rate_per_day([0, 0], [8.0, 8.4])


def test_the_largest_step_of_a_day() -> None:
    # Up and down again within two days: between noon and noon it moved by 1.
    assert largest_daily_step([0, 1, 2], [8.0, 9.0, 8.0]) == pytest.approx(1.0)
    assert largest_daily_step([0, 4], [8.0, 9.0]) == pytest.approx(0.25)
    assert largest_daily_step([0, 0.5, 3], [8.0, 9.0, 9.0]) == pytest.approx(1.0)
    assert largest_daily_step([0, 1, 40, 41], [8.0, 8.1, 12.0, 12.3]) == pytest.approx(0.3)
    assert largest_daily_step([0, 0, 1], [7.8, 8.2, 8.5]) == pytest.approx(0.5)
    with pytest.raises(ValueError, match="whole day"):
        largest_daily_step([0, 0.5], [8.0, 9.0])


@given(rows)
def test_no_step_of_a_day_is_missed(series: tuple[FloatArray, FloatArray]) -> None:
    days, values = series
    if days[-1] - days[0] < 1.0:
        return
    starts = np.linspace(days[0], days[-1] - 1.0, 300)
    steps = np.interp(starts + 1.0, days, values) - np.interp(starts, days, values)
    assert largest_daily_step(days, values) >= np.abs(steps).max() - 1e-6


def test_what_is_no_series_is_refused() -> None:
    for days, values in (([0, 1], [8.0]), ([1, 0], [8.0, 8.1]), ([0, math.nan], [8.0, 8.1])):
        with pytest.raises(ValueError, match="days"):
            as_series(days, values)
    with pytest.raises(ValueError, match="infinite"):
        as_series([0], [math.inf])
    with pytest.raises(ValueError, match="too few"):
        scaled_mad([math.nan])
