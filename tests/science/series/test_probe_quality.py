from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.series.probe_quality import (
    FAIL,
    GOOD,
    MISSING,
    SUSPECT,
    UNKNOWN,
    flat_line_flags,
    gross_range_flags,
    rate_flags,
    spike_flags,
    worst_flags,
)
from tests.science.synthetic_series import FloatArray

HOUR_NS = 3_600_000_000_000
values_in_tenths = st.lists(st.integers(240, 250), min_size=1, max_size=40).map(
    lambda tenths: np.array(tenths) / 10
)


def _flat_by_loop(values: FloatArray, tolerance: float, suspect: int, fail: int) -> list[int]:
    """Give the flags by the words of the standard, row by row."""
    flags = []
    for i, own in enumerate(values):
        same = [bool(np.all(np.abs(values[i - n : i] - own) < tolerance)) for n in (suspect, fail)]
        if i < suspect:
            flags.append(UNKNOWN)
        else:
            flags.append(FAIL if i >= fail and same[1] else SUSPECT if same[0] else GOOD)
    return flags


@given(values_in_tenths, st.integers(1, 6), st.integers(0, 6), st.sampled_from([0.05, 0.15, 0.25]))
def test_a_flat_line_by_the_words_of_the_standard(
    values: FloatArray, suspect: int, more: int, tolerance: float
) -> None:
    found = flat_line_flags(values, tolerance, suspect, suspect + more)
    assert found.tolist() == _flat_by_loop(values, tolerance, suspect, suspect + more)


@given(values_in_tenths, st.sampled_from([0.12, 0.33]))
def test_a_spike_by_the_words_of_the_standard(values: FloatArray, suspect: float) -> None:
    found = spike_flags(values, suspect, 2 * suspect)
    for i in range(1, values.size - 1):
        away = abs(values[i] - (values[i - 1] + values[i + 1]) / 2)
        assert found[i] == (FAIL if away > 2 * suspect else SUSPECT if away > suspect else GOOD)
    assert found[0] == found[-1] == UNKNOWN


def test_gross_range() -> None:
    values = np.array([24.0, 20.0, 19.9, 30.1, 50.1, np.nan])
    found = gross_range_flags(values, (0.0, 50.0), (20.0, 30.0))
    assert found.tolist() == [GOOD, GOOD, SUSPECT, SUSPECT, FAIL, MISSING]
    assert gross_range_flags(values, (0.0, 50.0)).tolist()[:5] == [GOOD] * 4 + [FAIL]


def test_a_rate_is_per_hour_whatever_the_interval() -> None:
    values = np.array([25.0, 25.5, 26.0])
    assert rate_flags(np.array([0, 1, 2]) * HOUR_NS, values, 0.6).tolist() == [2, 1, 1]
    assert rate_flags(np.array([0, 1, 2]) * (HOUR_NS // 2), values, 0.6).tolist() == [2, 3, 3]
    assert rate_flags(np.array([0, 0, HOUR_NS]), values, 0.6).tolist() == [2, 2, 1]


def test_a_sensor_that_freezes_is_found_and_a_calm_night_is_not() -> None:
    rng = np.random.default_rng(0)
    values = 25 + rng.normal(0, 0.02, 600)
    values[300:] = values[300]
    found = flat_line_flags(values, 0.001, 30, 60)
    assert (found[30:330] == GOOD).all()
    assert (found[330:360] == SUSPECT).all()
    assert (found[360:] == FAIL).all()


def test_the_gravest_flag_counts() -> None:
    flags = [np.array(row, np.uint8) for row in ([1, 2, 2, 3, 4], [2, 2, 1, 4, 9])]
    assert worst_flags(*flags).tolist() == [1, 2, 1, 4, 9]


def test_a_missing_value_is_missing_in_every_test() -> None:
    values = np.array([25.0, np.nan, 25.0, 25.1, 25.0, 25.2])
    times = np.arange(6) * HOUR_NS
    for flags in (
        gross_range_flags(values, (0.0, 50.0)),
        spike_flags(values, 1.0, 2.0),
        rate_flags(times, values, 1.0),
        flat_line_flags(values, 0.01),
    ):
        assert flags[1] == MISSING
        assert (flags[[0, 2, 3, 4, 5]] != MISSING).all()
        assert (flags != FAIL).all()


def test_limits_out_of_order_are_refused() -> None:
    values = np.array([25.0, 25.0])
    with pytest.raises(ValueError, match="not positive and in order"):
        spike_flags(values, 2.0, 1.0)
    with pytest.raises(ValueError, match="not positive and in order"):
        flat_line_flags(values, 0.0)
    with pytest.raises(ValueError, match="does not lie within"):
        gross_range_flags(values, (0.0, 50.0), (-1.0, 30.0))
