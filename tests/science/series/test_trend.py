from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from journal_tools.science.series.trend import (
    lag_one_correlation,
    least_squares_slope,
    mann_kendall,
    theil_sen,
    trend,
)
from tests.science.check_values import Check, Row, assert_agrees, cases
from tests.science.synthetic_series import wandering

TOPIC = "15 statistics"
DAYS = [0, 2, 5, 9, 14, 20]
VALUES = [8.5, 8.4, 8.2, 8.1, 9.5, 7.4]
CHECKS = {
    (TOPIC, "Theil-Sen slope", "x=0,2,5,9,14,20; y=8.5,8.4,8.2,8.1,9.5,7.4"): Check(
        lambda: theil_sen(DAYS, VALUES).per_day
    ),
    (TOPIC, "Theil-Sen 90% low/high", "same low"): Check(lambda: theil_sen(DAYS, VALUES, 0.90).low),
    (TOPIC, "Theil-Sen 90% low/high", "same high"): Check(
        lambda: theil_sen(DAYS, VALUES, 0.90).high
    ),
    (TOPIC, "OLS slope of the same data", "outlier at 14"): Check(
        lambda: least_squares_slope(DAYS, VALUES)
    ),
}

# Few different values and days, so that ties of both kinds are common.
series = st.lists(st.tuples(st.integers(0, 20), st.integers(70, 90)), min_size=4, max_size=25).map(
    lambda rows: (np.sort([d for d, _ in rows]) / 2, np.array([v for _, v in rows]) / 10)
)
spread_series = series.filter(lambda rows: rows[0][0] < rows[0][-1])


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


@pytest.mark.filterwarnings("ignore:invalid value:RuntimeWarning")  # scipy's, with many ties
@given(spread_series, st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99]))
def test_theil_sen_agrees_with_scipy(
    rows: tuple[np.ndarray, np.ndarray], confidence: float
) -> None:
    days, values = rows
    oracle = stats.theilslopes(values, days, confidence)
    found = theil_sen(days, values, confidence)
    assert (found.per_day, found.intercept) == pytest.approx((oracle.slope, oracle.intercept))
    if not math.isnan(oracle.low_slope):
        assert (found.low, found.high) == pytest.approx((oracle.low_slope, oracle.high_slope))


def test_trap_scipy_takes_the_values_first() -> None:
    right = stats.theilslopes(VALUES, DAYS, 0.90).slope
    assert theil_sen(DAYS, VALUES).per_day == pytest.approx(right)
    assert stats.theilslopes(DAYS, VALUES, 0.90).slope != pytest.approx(right)


def test_trap_a_slope_is_per_day_and_not_per_sample() -> None:
    assert theil_sen(DAYS, VALUES).per_day == pytest.approx(-0.05)
    assert theil_sen(range(6), VALUES).per_day == pytest.approx(-0.15)


def test_the_line_reaches_a_limit_on_the_day_of_the_worked_example() -> None:
    line = theil_sen(DAYS, VALUES)
    assert line.day_at(7.0) == pytest.approx(33.0)
    assert line.at(33.0) == pytest.approx(7.0)
    assert not line.is_certain
    with pytest.raises(ValueError, match="level"):
        theil_sen([0, 1, 2], [8.0, 8.0, 8.0]).day_at(7.0)


@given(spread_series, st.integers(-20, 20), st.integers(1, 9))
def test_the_slope_follows_its_readings(
    rows: tuple[np.ndarray, np.ndarray], tilt: int, scale: int
) -> None:
    days, values = rows
    plain, moved = theil_sen(days, values), theil_sen(days, scale * values + tilt * days + 3.0)
    assert moved.per_day == pytest.approx(scale * plain.per_day + tilt, abs=1e-9)


@given(spread_series, st.floats(0.0, 1.0))
def test_the_careful_interval_is_never_narrower(
    rows: tuple[np.ndarray, np.ndarray], spread: float
) -> None:
    plain, careful = theil_sen(*rows, 0.95), trend(*rows, spread, 0.95)
    assert careful.per_day == plain.per_day
    assert careful.low <= plain.low and careful.high >= plain.high


def test_a_trend_smaller_than_the_error_of_the_kit_is_not_certain() -> None:
    days, values = [0, 7, 14, 21], [8.0, 8.1, 8.2, 8.3]
    assert theil_sen(days, values, 0.95).is_certain
    assert not trend(days, values, spread=0.2).is_certain
    assert trend(days, values, spread=0.02).is_certain


def _share_certain(memory_days: float, careful: bool) -> float:
    certain = 0
    for seed in range(300):
        rng = np.random.default_rng(seed)
        days = 2.0 * np.arange(40, dtype=np.float64)
        values = wandering(rng, days, 1.0, memory_days)
        line = trend(days, values) if careful else theil_sen(days, values, 0.95)
        certain += line.is_certain
    return certain / 300


def test_the_interval_holds_for_independent_readings() -> None:
    assert _share_certain(0.01, careful=False) < 0.08
    assert _share_certain(0.01, careful=True) < 0.05


def test_trap_readings_that_follow_one_another_feign_trends() -> None:
    plain, careful = _share_certain(4.0, careful=False), _share_certain(4.0, careful=True)
    assert plain > 0.2
    assert careful < 0.4 * plain


@given(series)
def test_kendalls_variance_and_sum_agree_with_scipy(
    rows: tuple[np.ndarray, np.ndarray],
) -> None:
    days, values = rows
    oracle = stats.kendalltau(days, values, method="asymptotic")
    found = mann_kendall(days, values)
    if math.isnan(oracle.pvalue):
        assert (found.z, found.p) == (0.0, 1.0)
        return
    without_continuity = 2 * stats.norm.sf(abs(found.s) / math.sqrt(found.variance))
    assert without_continuity == pytest.approx(oracle.pvalue, abs=1e-9)
    assert found.p >= without_continuity


def test_mann_kendall_by_hand() -> None:
    # Ten pairs of five rising readings; variance 5 * 4 * 15 / 18.
    found = mann_kendall(range(5), [1, 2, 3, 4, 5])
    assert found.s == 10
    assert found.variance == pytest.approx(50 / 3)
    assert found.z == pytest.approx(9 / math.sqrt(50 / 3))


def test_two_tests_of_one_moment_are_no_pair() -> None:
    assert mann_kendall([0, 0, 1, 2], [8.0, 9.0, 8.5, 8.6]).s == 1
    assert mann_kendall([0, 0, 1, 2], [9.0, 8.0, 8.5, 8.6]).s == 1


@given(series)
def test_a_series_upside_down_has_the_opposite_trend(
    rows: tuple[np.ndarray, np.ndarray],
) -> None:
    days, values = rows
    assert mann_kendall(days, -values).s == -mann_kendall(days, values).s


def test_correlation_with_the_reading_before() -> None:
    assert lag_one_correlation([1.0, 1.0, 1.0, 1.0]) == pytest.approx(0.75)
    assert lag_one_correlation([0.0, 0.0, 0.0]) == 0.0
    values = np.random.default_rng(0).normal(size=4000)
    assert lag_one_correlation(values) == pytest.approx(0.0, abs=0.05)


def test_too_little_for_a_trend() -> None:
    with pytest.raises(ValueError, match="two different moments"):
        theil_sen([1, 1], [8.0, 8.1])
    with pytest.raises(ValueError, match="two different moments"):
        least_squares_slope([], [])
    with pytest.raises(ValueError, match="too few"):
        trend([0, 1], [8.0, 8.1])
    with pytest.raises(ValueError, match="too few"):
        mann_kendall([0, 1], [8.0, 8.1])
    with pytest.raises(ValueError, match="confidence"):
        theil_sen(DAYS, VALUES, 1.0)
