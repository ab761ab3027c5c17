"""Days of a series: as long as they were, with the figures that one can reckon by hand."""

from __future__ import annotations

import datetime as dt
import itertools
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.probes.days import RECENT_DAYS, Reduced, day_starts, reduced
from journal_tools.probes.values import Values
from journal_tools.quantities import Band
from tests.probes.made_up import moments

BERLIN = ZoneInfo("Europe/Berlin")
EVER = dt.date(1950, 1, 1)


def series(first: str, numbers: np.ndarray, minutes: int, band: Band | None = None) -> Reduced:
    """Give what is kept of values at equal steps from a moment in UTC."""
    ns = moments([first])[0] + np.arange(numbers.size) * minutes * 60_000_000_000
    none = np.zeros(numbers.size, dtype=bool)
    steps = [] if band is None else [(EVER, band)]
    found = reduced(ns, Values(numbers, none, none), BERLIN, steps)
    assert found is not None
    return found


def test_days_with_a_clock_change_have_23_and_25_hours() -> None:
    """Berlin: 30 March 2025 has 23 hours and 26 October 2025 has 25 (tz database)."""
    for first, hours in (("2025-03-28 23:00", 23), ("2025-10-24 22:00", 25)):
        found = series(first, np.full(96 * 4, 25.0), 15)
        known = found.known_h.tolist()
        assert known[:2] == pytest.approx([24, hours])
        assert found.count.tolist()[:2] == [96, hours * 4]


def test_the_figures_of_a_day_by_hand() -> None:
    """Four rows an hour apart: 25, 26, 24, 25; means of the lines are 25.5, 25 and 24.5."""
    found = series("2026-03-01 09:00", np.array([25.0, 26.0, 24.0, 25.0]), 60, Band(24.5, 25.5))
    assert (found.minimum[0], found.maximum[0], found.count[0]) == (24, 26, 4)
    assert found.mean[0] == pytest.approx((25.5 + 25 + 24.5) / 3)
    assert found.known_h[0] == pytest.approx(3)
    assert found.minimum_ns.tolist() == moments(["2026-03-01 11:00"])
    assert found.maximum_ns.tolist() == moments(["2026-03-01 10:00"])
    # Above 25.5 for half of the first hour; in the second a quarter above and a quarter below;
    # below 24.5 for half of the third.
    assert found.outside_h[0] == pytest.approx(0.5 + 0.5 + 0.5)
    assert found.longest_gap_h[0] == pytest.approx(1)


def test_the_mean_is_by_time_and_not_by_rows() -> None:
    ns = np.array(moments(["2026-03-01 08:00", "2026-03-01 08:01", "2026-03-01 08:02",
                           "2026-03-01 09:02"]))  # fmt: skip
    none = np.zeros(4, dtype=bool)
    found = reduced(ns, Values(np.array([30.0, 30.0, 30.0, 20.0]), none, none), BERLIN, [])
    assert found is not None and found.mean[0] == pytest.approx((30 * 2 + 25 * 60) / 62)


def test_a_gap_is_unknown_time() -> None:
    numbers = np.full(96, 25.0)
    numbers[40:60] = np.nan
    found = series("2026-02-28 23:00", numbers, 15, Band(26, 27))
    assert found.known_h[0] == pytest.approx(23.75 - 5.25)
    assert found.outside_h[0] == pytest.approx(23.75 - 5.25)
    assert found.longest_gap_h[0] == pytest.approx(5.25)


def test_bands_change_from_day_to_day() -> None:
    ns = moments(["2026-02-28 23:00"])[0] + np.arange(96 * 2 + 1) * 900_000_000_000
    none = np.zeros(ns.size, dtype=bool)
    bands = [(EVER, Band(20, 24)), (dt.date(2026, 3, 2), Band(None, 26))]
    found = reduced(ns, Values(np.full(ns.size, 25.0), none, none), BERLIN, bands)
    assert found is not None
    assert found.outside_h[:2].tolist() == pytest.approx([24, 0], abs=0.01)


def test_without_a_band_nothing_is_outside() -> None:
    assert np.isnan(series("2026-03-01 09:00", np.ones(4), 60).outside_h).all()
    open_band = series("2026-03-01 09:00", np.ones(4), 60, Band(None, None))
    assert np.isnan(open_band.outside_h).all()


def test_nothing_usable_is_nothing() -> None:
    none = np.zeros(2, dtype=bool)
    assert reduced(np.array([1, 2]), Values(np.full(2, np.nan), none, ~none), BERLIN, []) is None


def test_a_single_row_is_a_day_without_a_mean() -> None:
    found = series("2026-03-01 09:00", np.array([25.0]), 15)
    assert found.count.tolist() == [1] and np.isnan(found.mean[0])
    assert found.recent.tolist() == found.hour_mean.tolist() == [25.0]


@given(
    first=st.datetimes(dt.datetime(2020, 1, 1), dt.datetime(2026, 1, 1)),
    days=st.integers(0, 400),
    zone=st.sampled_from(["Europe/Berlin", "America/Sao_Paulo", "Africa/Cairo", "Asia/Beirut",
                          "Pacific/Apia", "America/Havana", "UTC"]),
)  # fmt: skip
def test_days_follow_one_another_and_hold_the_series(
    first: dt.datetime, days: int, zone: str
) -> None:
    start = moments([str(first)])[0]
    end = start + days * 86_400_000_000_000
    starts = day_starts(start, end, ZoneInfo(zone))
    assert starts[0] <= start and end < starts[-1]
    hours = np.diff(starts) / 3.6e12
    assert ((hours >= 22.9) & (hours <= 25.1)).all()
    local = pd.DatetimeIndex(starts, tz="UTC").tz_convert(zone)
    assert local.is_unique and all(a.date() < b.date() for a, b in itertools.pairwise(local))


values = st.lists(st.floats(20, 30), min_size=2, max_size=400)


@given(numbers=values, minutes=st.sampled_from([1, 15, 60, 100]))
def test_what_must_hold_of_every_series(numbers: list[float], minutes: int) -> None:
    found = series("2025-10-25 20:00", np.array(numbers), minutes, Band(24, 26))
    assert found.count.sum() == len(numbers)
    assert found.minimum.min() == min(numbers) and found.maximum.max() == max(numbers)
    known = found.known_h > 0
    tiny = 1e-9
    # A day's mean goes on to the readings before and after midnight, its extremes do not.
    low = np.fmin.reduce([np.roll(np.pad(found.minimum, 1, constant_values=np.nan), step)[1:-1]
                          for step in (-1, 0, 1)])  # fmt: skip
    high = np.fmax.reduce([np.roll(np.pad(found.maximum, 1, constant_values=np.nan), step)[1:-1]
                           for step in (-1, 0, 1)])  # fmt: skip
    assert (low[known] - tiny <= found.mean[known]).all()
    assert (found.mean[known] <= high[known] + tiny).all()
    assert (found.outside_h <= found.known_h + 1e-6).all() and (found.outside_h >= -tiny).all()
    assert found.known_h.sum() == pytest.approx((len(numbers) - 1) * minutes / 60)
    assert (
        min(numbers) - tiny <= found.hour_mean.min() <= found.hour_mean.max() <= max(numbers) + tiny
    )
    assert found.recent.max() <= max(numbers) and found.recent.size <= 1_000


def test_what_is_kept_of_the_last_week_does_not_grow() -> None:
    for days in (10, 100):
        found = series("2025-03-01 00:00", np.sin(np.arange(days * 1440)), 1)
        assert found.recent.size <= 1_000
        assert found.recent_ns[-1] - found.recent_ns[0] <= RECENT_DAYS * 86_400_000_000_000
        week = np.sin(np.arange(days * 1440))[-RECENT_DAYS * 1440 :]
        assert found.recent.max() == week.max() and found.recent.min() == week.min()
