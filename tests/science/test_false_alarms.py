"""The alarms together: seldom in a stable year, in time for a real change, and fast."""

from __future__ import annotations

import time
from functools import cache

import numpy as np

from benchmarks.false_alarms import KINDS, alarms, announced, false_alarms, shift_found_after
from journal_tools.science.series.anomalies import find_anomalies
from journal_tools.science.series.changes import find_change_points
from journal_tools.science.series.forecast import forecast
from tests.science.synthetic_series import QUANTITIES, readings, weekly_days

ALKALINITY = next(one for one in QUANTITIES if one.name == "alkalinity")
SEEDS = range(1000, 1012)


@cache
def _per_quarter() -> dict[str, float]:
    years = [false_alarms(seed) for seed in SEEDS]
    return {kind: sum(year[kind] for year in years) / len(years) / 4 for kind in KINDS}


def test_a_stable_year_raises_at_most_one_alarm_a_quarter() -> None:
    assert sum(_per_quarter().values()) <= 1.0


def test_the_alarms_are_not_silent() -> None:
    """A year in which nothing is ever raised would mean that nothing can be."""
    assert sum(_per_quarter().values()) > 0.0


def test_a_shift_of_three_sigma_is_found_within_four_tests() -> None:
    found = [shift_found_after(seed, one) for seed in range(40) for one in QUANTITIES]
    # 80 % and more over many seeds, see the benchmark; few have a luck of their own.
    assert np.mean([count is not None and count <= 4 for count in found]) >= 0.77


def test_a_drift_out_of_a_wide_band_in_three_weeks_is_announced() -> None:
    said = [announced(seed, ALKALINITY) for seed in range(60)]
    assert np.mean([one.warned for one in said]) >= 0.75  # 80 % and more over many seeds
    held = [one.held for one in said if one.warned]
    assert np.mean(held) >= 0.85


def test_what_is_said_does_not_depend_on_what_comes_later() -> None:
    rng = np.random.default_rng(5)
    days = weekly_days(rng)
    values = readings(rng, days, ALKALINITY)
    early = [one for one in alarms(days, values, ALKALINITY) if one.test < 30]
    assert list(alarms(days[:30], values[:30], ALKALINITY)) == early


def test_ten_years_of_twenty_quantities_take_less_than_two_seconds() -> None:
    rng = np.random.default_rng(0)
    days = np.sort(rng.uniform(0.0, 3650.0, 3650))
    values = rng.normal(9.0, 0.2, (20, days.size))
    start = time.process_time()
    for row in values:
        find_anomalies(days, row, 0.2)
        find_change_points(days, row, 0.2)
        forecast(days, row, 7.0, 11.0, 0.2)
    assert time.process_time() - start < 2.0
