from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.series.forecast import HORIZON_DAYS, forecast

WEEKS = 7.0 * np.arange(16)
QUIET = np.array([9.0, 9.1, 8.9, 9.0, 9.1, 9.0, 8.9, 9.1, 9.0, 8.9, 9.0, 9.1])


def test_a_certain_drift_has_a_range_of_days() -> None:
    values = np.append(QUIET, [8.5, 8.0, 7.6])
    found = forecast(WEEKS[:15], values, 7.0, 11.0, floor=0.1)
    assert found.leaves is not None and found.slope is not None
    assert found.limit == 7.0
    assert found.reason == ""
    assert found.slope.per_day == pytest.approx(-0.067, abs=0.01)
    assert WEEKS[14] < found.leaves.low < found.leaves.value < found.leaves.high
    assert found.leaves.value == pytest.approx(WEEKS[14] + 9, abs=2)


@given(st.floats(0.1, 10.0), st.floats(-50.0, 50.0))
def test_upside_down_and_in_another_unit_it_leaves_on_the_same_day(
    scale: float, offset: float
) -> None:
    values = np.append(QUIET, [8.5, 8.0, 7.6])
    plain = forecast(WEEKS[:15], values, 7.0, 11.0, floor=0.1).leaves
    other = forecast(
        WEEKS[:15], offset - scale * values, offset - scale * 11, offset - scale * 7, scale * 0.1
    ).leaves
    assert plain is not None and other is not None
    assert (other.value, other.low, other.high) == pytest.approx(
        (plain.value, plain.low, plain.high), abs=1e-4
    )


@pytest.mark.parametrize(
    ("tail", "reason"),
    [
        ([9.0, 9.1, 8.9], "no certain trend"),
        ([9.1, 9.2, 9.3], "no certain trend"),
        ([10.2, 10.2, 10.2], "no certain trend"),
        ([9.0, 9.1, 10.4], "a jump rather than a trend"),
        ([10.0, 11.0, 12.0], "already outside"),
    ],
)
def test_without_certainty_there_is_a_reason_and_no_date(tail: list[float], reason: str) -> None:
    found = forecast(WEEKS[:15], np.append(QUIET, tail), 7.0, 11.0, floor=0.1)
    assert found.leaves is None
    assert found.reason == reason


def test_a_certain_drift_that_meets_nothing_soon() -> None:
    values = np.append(QUIET, [9.4, 9.8, 10.2])
    far = forecast(WEEKS[:15], values, 7.0, 20.0, floor=0.1)
    assert (far.leaves, far.reason, far.limit) == (None, "not within the horizon", 20.0)
    open_ended = forecast(WEEKS[:15], values, 7.0, None, floor=0.1)
    assert (open_ended.leaves, open_ended.reason) == (None, "no limit on that side")
    near = forecast(WEEKS[:15], values, 7.0, 20.0, floor=0.1, horizon_days=400.0)
    assert near.leaves is not None


def test_too_few_readings() -> None:
    assert forecast([], [], 7.0, 11.0).reason == "too few readings"
    rising = [8.0, 8.4, 8.8, 9.2, 9.6, 10.0, 10.4]
    assert forecast(WEEKS[:7], rising, 7.0, 11.0, 0.1).leaves is not None
    assert forecast(WEEKS[:6], rising[:6], 7.0, 11.0, 0.1).reason == "too few readings"
    assert forecast([0, *range(6)], rising, 7.0, 11.0, 0.1).reason == "too few readings"


def test_a_drift_within_the_error_of_the_kit_is_not_believed() -> None:
    values = [8.4, 8.7, 9.0, 9.3, 9.6, 9.9, 10.2]
    assert forecast(WEEKS[:7], values, 7.0, 11.0, floor=0.05).leaves is not None
    assert forecast(WEEKS[:7], values, 7.0, 11.0, floor=0.8).reason == "no certain trend"


def test_the_day_is_never_before_today() -> None:
    values = np.append(QUIET, [8.5, 8.0, 7.6])
    found = forecast(WEEKS[:15], values, 7.0, 11.0, 0.1, today=float(WEEKS[14]) + 12)
    assert found.leaves is not None
    assert found.leaves.low == found.leaves.value == WEEKS[14] + 12


def test_a_line_is_not_drawn_on_from_the_last_reading_for_long() -> None:
    values = np.append(QUIET, [8.5, 8.0, 7.6])
    found = forecast(WEEKS[:15], values, 7.0, 11.0, 0.1, today=float(WEEKS[14]) + 15)
    assert (found.leaves, found.reason) == (None, "no recent reading")


def test_old_readings_do_not_count() -> None:
    values = [8.4, 8.7, 9.0, 9.3, 9.6, 9.9, 10.2]
    old = np.append(WEEKS[:7], WEEKS[6] + 400)
    assert forecast(old, [*values, 10.5], 7.0, 11.0, 0.05).reason == "too few readings"


def test_the_horizon_is_three_weeks() -> None:
    assert HORIZON_DAYS == 21.0
    for rate, seen in ((2.0 / 50, True), (2.0 / 80, False)):
        values = 9.0 + rate * (WEEKS[:7] - 7.0)
        found = forecast(WEEKS[:7], values, 7.0, 11.0, floor=0.02)
        assert (found.leaves is not None) is seen
