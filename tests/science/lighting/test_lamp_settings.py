from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.lighting.lamp_settings import (
    acclimation_plan,
    acclimation_share,
    ppfd_at_distance,
    ppfd_from_percent,
    ppfd_of_channels,
)

# Invented readings of one place: not in proportion to the setting.
MEASURED = [(100.0, 310.0), (40.0, 90.0), (80.0, 230.0)]

shares = st.floats(0.0, 1.0)
distances = st.floats(5.0, 500.0)


def test_percent_are_not_light() -> None:
    """One reading at 100 % tells nothing about 50 %."""
    with pytest.raises(ValueError, match="percent are not light: measure two or more"):
        ppfd_from_percent(50.0, [(100.0, 310.0)])
    assert ppfd_from_percent(50.0, MEASURED) == pytest.approx(125)  # not 155
    for outside in (39.0, 101.0, 0.0):
        with pytest.raises(ValueError, match=r"setting \(as measured\) .* is outside 40 to 100 %"):
            ppfd_from_percent(outside, MEASURED)


def test_one_setting_with_two_readings_is_refused() -> None:
    with pytest.raises(ValueError, match="different settings, each once"):
        ppfd_from_percent(50.0, [(40.0, 90.0), (40.0, 95.0), (80.0, 230.0)])


@given(st.floats(40.0, 100.0))
def test_between_readings_light_lies_between(percent: float) -> None:
    assert 90 <= ppfd_from_percent(percent, MEASURED) <= 310
    several = ppfd_from_percent(np.array([percent, 20.0, 100.0]), MEASURED)
    expected = [ppfd_from_percent(percent, MEASURED), np.nan, 310]
    assert list(several) == pytest.approx(expected, nan_ok=True)


def test_channels_do_not_add() -> None:
    alone = [({"blue": 80.0}, 160.0), ({"white": 40.0}, 90.0)]
    assert ppfd_of_channels({"blue": 80.0, "white": 0.0}, alone) == 160
    with pytest.raises(ValueError, match="do not add up: measure this very mix"):
        ppfd_of_channels({"blue": 80.0, "white": 40.0}, alone)
    measured = [*alone, ({"white": 40.0, "blue": 80.0}, 225.0)]
    assert ppfd_of_channels({"blue": 80.0, "white": 40.0}, measured) == 225  # not 250
    with pytest.raises(ValueError, match="channel blue 800 % is outside 0 to 100 %"):
        ppfd_of_channels({"blue": 800.0}, alone)


@given(st.floats(0.0, 1000.0), st.floats(5.0, 150.0), st.floats(5.0, 150.0))
def test_distance_by_point_and_by_line(ppfd: float, before_cm: float, after_cm: float) -> None:
    estimate = ppfd_at_distance(ppfd, before_cm, after_cm)
    ratio = before_cm / after_cm
    assert estimate.value == pytest.approx(ppfd * ratio**2)
    ends = sorted((ppfd * ratio**2, ppfd * ratio))
    assert [estimate.low, estimate.high] == pytest.approx(ends)


@given(st.floats(1.0, 100.0), st.floats(10.0, 50.0), st.floats(10.0, 50.0))
def test_raised_and_lowered_again_gives_the_same(
    ppfd: float, one_cm: float, other_cm: float
) -> None:
    there = ppfd_at_distance(ppfd, one_cm, other_cm)
    assert ppfd_at_distance(there.value, other_cm, one_cm).value == pytest.approx(ppfd)
    assert ppfd_at_distance(ppfd, one_cm, one_cm).value == pytest.approx(ppfd)


@given(shares, shares, st.integers(1, 120))
def test_a_plan_runs_from_first_to_last_share(first: float, last: float, days: int) -> None:
    plan = acclimation_plan(days, first, last)
    assert len(plan) == days + 1
    assert (plan[0], plan[-1]) == pytest.approx((first, last))
    assert np.diff(plan) == pytest.approx((last - first) / days, abs=1e-12)
    single = [acclimation_share(float(day), days, first, last) for day in range(days + 1)]
    assert list(plan) == pytest.approx(single)


def test_a_plan_steps_by_day_and_stays() -> None:
    during = acclimation_share(np.array([0.0, 0.9, 1.0, 1.5, 2.0, 400.0, -1.0]), 2, 0.4, 0.8)
    expected = [0.4, 0.4, 0.6, 0.6, 0.8, 0.8, np.nan]
    assert list(during) == pytest.approx(expected, nan_ok=True)
    assert len(acclimation_plan(13.5, 0.5)) == 15


@pytest.mark.parametrize(
    "call",
    [
        lambda: acclimation_share(-1.0, 10, 0.5),
        lambda: acclimation_share(1.0, 0, 0.5),
        lambda: acclimation_plan(10, 50.0),
        lambda: ppfd_at_distance(200.0, 1.0, 30.0),
        lambda: ppfd_at_distance(200.0, 30.0, 1000.0),
        lambda: ppfd_at_distance(5000.0, 30.0, 40.0),
        lambda: ppfd_from_percent(50.0, [(10.0, 5000.0), (90.0, 200.0)]),
    ],
)
def test_outside_the_range_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match="is outside"):
        call()
