from __future__ import annotations

import time
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.series.probes import count_by_day, daily_summary, gaps
from tests.science.synthetic_series import FloatArray

HOUR_NS = 3_600_000_000_000
DAYS = np.arange(0, 5 * 24 * HOUR_NS, 24 * HOUR_NS)
minutes = st.lists(
    st.tuples(st.integers(0, 4 * 1440 - 1), st.integers(200, 300)), min_size=1, max_size=60
).map(lambda rows: (np.sort([m for m, _ in rows]) * (HOUR_NS // 60), _tenths(rows)))


def _tenths(rows: list[tuple[int, int]]) -> FloatArray:
    return np.array([value for _, value in rows]) / 10


def _by_fine_grid(times: np.ndarray, values: FloatArray, day: int) -> tuple[float, float]:
    """Give known hours and mean of a day by adding up every minute."""
    edges = DAYS[day] + np.arange(1441) * (HOUR_NS // 60)
    middles = (edges[1:] + edges[:-1]) / 2
    right = np.searchsorted(times, middles)
    inner = (right > 0) & (right < times.size)
    right = right[inner]
    known = times[right] - times[right - 1] <= 2 * HOUR_NS
    line = np.interp(middles[inner], times, values)[known]
    return known.sum() / 60, float(line.mean()) if known.any() else np.nan


@given(minutes)
def test_each_day_agrees_with_a_loop(series: tuple[np.ndarray, FloatArray]) -> None:
    times, values = series
    found = daily_summary(times, values, DAYS)
    for day in range(4):
        own = values[(times >= DAYS[day]) & (times < DAYS[day + 1])]
        assert found.count[day] == own.size
        extremes = (own.min(), own.max()) if own.size else (np.nan, np.nan)
        assert (found.minimum[day], found.maximum[day]) == pytest.approx(extremes, nan_ok=True)
        known_h, mean = _by_fine_grid(times, values, day)
        assert found.known_h[day] == pytest.approx(known_h, abs=1e-6)
        assert found.mean[day] == pytest.approx(mean, abs=1e-6, nan_ok=True)


@given(minutes)
def test_all_known_time_is_shared_out(series: tuple[np.ndarray, FloatArray]) -> None:
    times, values = series
    steps = np.diff(times) / HOUR_NS
    found = daily_summary(times, values, DAYS)
    assert found.known_h.sum() == pytest.approx(steps[steps <= 2.0].sum(), abs=1e-6)


def test_an_empty_day_is_empty_and_takes_no_row_of_the_next() -> None:
    times = np.array([1, 2, 50, 51]) * HOUR_NS
    found = daily_summary(times, np.array([25.0, 25.4, 24.0, 24.2]), DAYS)
    assert found.count.tolist() == [2, 0, 2, 0]
    assert found.minimum[[0, 2]].tolist() == [25.0, 24.0]
    assert np.isnan(found.minimum[[1, 3]]).all()
    assert np.isnan(found.mean[[1, 3]]).all()
    assert found.longest_gap_h[0] == pytest.approx(48.0)


def test_days_without_any_row() -> None:
    found = daily_summary(np.array([], dtype=np.int64), np.array([]), DAYS)
    assert found.count.tolist() == [0] * 4
    assert np.isnan(found.largest_rate_per_h).all()


def test_a_missing_value_is_a_gap_and_not_a_number() -> None:
    times = np.arange(6) * HOUR_NS
    found = daily_summary(times, np.array([25.0, 25.0, np.nan, np.nan, 26.0, 26.0]), DAYS)
    assert found.count[0] == 4
    assert found.known_h[0] == pytest.approx(2.0)
    assert found.mean[0] == pytest.approx(25.5)


@pytest.mark.parametrize(("day", "hours"), [("2024-03-31", 23), ("2024-10-27", 25)])
def test_local_days_of_23_and_25_hours(day: str, hours: int) -> None:
    zone = ZoneInfo("Europe/Berlin")
    starts = pd.date_range(day, periods=2, freq="D", tz=zone)
    edges = starts.tz_convert("UTC").tz_localize(None).to_numpy()
    times = np.arange(edges[0] - np.timedelta64(5, "h"), edges[1] + np.timedelta64(5, "h"),
                      np.timedelta64(10, "m"))  # fmt: skip
    found = daily_summary(times, np.full(times.size, 25.0), edges)
    assert found.count.tolist() == [6 * hours]
    assert found.known_h[0] == pytest.approx(hours)
    assert found.mean[0] == pytest.approx(25.0)


def test_moments_of_any_unit_are_the_same() -> None:
    values = np.array([25.0, 25.5, 25.2])
    nanoseconds = np.array([1, 2, 3]) * HOUR_NS
    plain = daily_summary(nanoseconds, values, DAYS)
    for unit in ("ns", "us", "s", "m"):
        times = nanoseconds.view("datetime64[ns]").astype(f"datetime64[{unit}]")
        other = daily_summary(times, values, DAYS.view("datetime64[ns]"))
        assert other.mean[0] == plain.mean[0]


def test_the_fastest_change_of_a_day() -> None:
    times = np.arange(0, 48 * HOUR_NS, HOUR_NS // 60)
    hours = times / HOUR_NS
    values = 25.0 + 0.5 * np.clip(hours - 30, 0, 4)
    found = daily_summary(times, values, DAYS)
    assert found.largest_rate_per_h[:2] == pytest.approx([0.0, 0.5], abs=1e-6)


def test_neither_a_spike_nor_coarse_steps_are_a_fast_change() -> None:
    times = np.arange(0, 24 * HOUR_NS, HOUR_NS // 60)
    values = np.round(25.0 + 0.01 * times / HOUR_NS, 1)
    values[700] = 85.0
    found = daily_summary(times, values, DAYS)
    assert np.abs(np.diff(values)).max() * 60 > 1000
    assert found.largest_rate_per_h[0] <= 0.25


def test_a_step_over_a_gap_is_no_rate() -> None:
    times = np.array([0, 1, 2, 12, 13, 14]) * HOUR_NS
    found = daily_summary(times, np.array([25.0, 25.0, 25.0, 29.0, 29.0, 29.0]), DAYS)
    assert found.largest_rate_per_h[0] == pytest.approx(0.0)


def test_gaps_and_counts() -> None:
    times = np.array([0, 1, 5, 6, 30]) * HOUR_NS
    assert gaps(times, 2.0).tolist() == [1, 3]
    assert gaps(times, 4.0).tolist() == [3]
    assert count_by_day(times, np.array([1, 0, 1, 0, 1], bool), DAYS).tolist() == [2, 1, 0, 0]


def test_what_is_no_series_is_refused() -> None:
    with pytest.raises(ValueError, match="rising"):
        daily_summary(np.array([2, 1]), np.array([1.0, 2.0]), DAYS)
    with pytest.raises(ValueError, match="equal rows"):
        daily_summary(np.array([1, 2]), np.array([1.0]), DAYS)
    with pytest.raises(ValueError, match="day_starts"):
        daily_summary(np.array([1, 2]), np.array([1.0, 2.0]), DAYS[:1])
    with pytest.raises(ValueError, match="whole nanoseconds"):
        gaps(np.array([0.5]), 1.0)
    with pytest.raises(ValueError, match="missing"):
        gaps(np.array(["NaT"], "datetime64[ns]"), 1.0)
    with pytest.raises(ValueError, match="longest gap"):
        daily_summary(np.array([1]), np.array([1.0]), DAYS, max_gap_h=13.0)


def test_ten_million_rows_a_second() -> None:
    rows = 2_000_000
    times = np.arange(rows) * (HOUR_NS // 60)
    values = 25.0 + np.sin(np.arange(rows) / 229)
    days = np.arange(0, times[-1] + 24 * HOUR_NS, 24 * HOUR_NS)
    seconds = []
    for _ in range(5):
        start = time.process_time()  # What else the computer does is no matter here.
        daily_summary(times, values, days)
        seconds.append(time.process_time() - start)
    assert rows / min(seconds) > 1e7
