from __future__ import annotations

import datetime as dt
from typing import cast

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.lighting.light_schedule import Breakpoints, Ramp, Shape, clock_hour
from journal_tools.science.validity import FloatArray

HOURS = np.linspace(0, 24, 24 * 60 * 4 + 1)

SHAPES: tuple[Shape, ...] = ("linear", "half sine")
clock_hours = st.floats(0.0, 24.0)
levels = st.floats(0.0, 1000.0)


@st.composite
def ramps(draw: st.DrawFn) -> Ramp[float]:
    lit_h = draw(st.floats(0.5, 23.9))
    on_h = draw(clock_hours)
    minutes = draw(st.none() | st.floats(0.0, 1.0).map(lambda share: share * 29.99 * lit_h))
    shape = draw(st.sampled_from(SHAPES))
    return Ramp(draw(levels), on_h, (on_h + lit_h) % 24, minutes, shape)


@st.composite
def breakpoints(draw: st.DrawFn) -> Breakpoints[float]:
    hours = sorted(draw(st.lists(clock_hours, min_size=2, max_size=8)))
    first = draw(st.integers(0, len(hours) - 1))
    return Breakpoints([(hour, draw(levels)) for hour in hours[first:] + hours[:first]])


schedules = ramps() | breakpoints()


def dense_light_hours(schedule: Ramp[float] | Breakpoints[float]) -> FloatArray:
    return np.asarray(np.trapezoid(schedule.ppfd_after_start(HOURS), HOURS))


@given(schedules)
def test_the_integral_is_that_of_a_dense_trapezoid(
    schedule: Ramp[float] | Breakpoints[float],
) -> None:
    whole = schedule.light_hours_from_start(np.asarray(24.0))
    # A step between two of the dense points costs up to one of their distances.
    assert whole == pytest.approx(float(dense_light_hours(schedule)), abs=8 * 1000 / 240)


@given(schedules, st.floats(0.0, 24.0), st.floats(0.0, 24.0))
def test_light_adds_up_over_the_day(
    schedule: Ramp[float] | Breakpoints[float], one: float, other: float
) -> None:
    early, late = sorted((one, other))
    until = schedule.light_hours_from_start(np.array([0.0, early, late, 24.0]))
    assert until[0] == pytest.approx(0, abs=1e-9)
    assert np.all(np.diff(until) >= -1e-9)
    if isinstance(schedule, Ramp):
        brightest = schedule.plateau_ppfd
    else:
        brightest = max(ppfd for _, ppfd in schedule.points)
    assert until[2] - until[1] <= (late - early) * brightest + 1e-6


@given(ramps())
def test_a_linear_ramp_is_four_breakpoints(ramp: Ramp[float]) -> None:
    straight = Ramp(ramp.plateau_ppfd, 6.0, 6.0 + ramp.lit_h * 0.7, 10.0)
    top, off = ramp.plateau_ppfd, straight.off_h
    points = Breakpoints([(6.0, 0.0), (6 + 1 / 6, top), (off - 1 / 6, top), (off, 0.0)])
    for hours in (np.asarray(24.0), HOURS):
        assert points.light_hours_from_start(hours) == pytest.approx(
            straight.light_hours_from_start(hours), abs=1e-6
        )
    assert points.ppfd_after_start(HOURS) == pytest.approx(
        straight.ppfd_after_start(HOURS), abs=1e-6
    )
    assert points.hours_above(top / 2) == pytest.approx(straight.hours_above(top / 2), abs=1e-6)


def test_a_schedule_over_midnight_may_start_anywhere() -> None:
    points = [(20.0, 0.0), (21.0, 200.0), (3.0, 200.0), (4.0, 0.0)]
    for first in range(4):
        turned = Breakpoints(points[first:] + points[:first])
        assert turned.light_hours_from_start(np.asarray(24.0)) == pytest.approx(200 * 7)
    ramp = Ramp(200.0, 20.0, 4.0, ramp_minutes=60)
    assert ramp.lit_h == 8
    assert ramp.light_hours_from_start(np.asarray(24.0)) == pytest.approx(200 * 7)


def test_the_same_hour_twice_is_a_step() -> None:
    steps = [(22.0, 0.0), (22.0, 200.0), (2.0, 200.0), (2.0, 0.0)]
    for first in range(4):
        turned = Breakpoints(steps[first:] + steps[:first])
        assert turned.light_hours_from_start(np.asarray(24.0)) == pytest.approx(200 * 4)
        assert turned.hours_above(0.0) == pytest.approx(4)
    whole = Breakpoints([(0.0, 0.0), (24.0, 100.0)])
    assert whole.light_hours_from_start(np.asarray(24.0)) == pytest.approx(1200)


def test_on_and_off_alike_is_light_all_day() -> None:
    assert Ramp(100.0, 8.0, 8.0).lit_h == 24
    assert Ramp(100.0, 0.0, 24.0).lit_h == 24
    assert Ramp(100.0, 8.0, 8.0).light_hours_from_start(np.asarray(24.0)) == pytest.approx(2400)


def test_a_half_sine_has_no_plateau_unless_one_is_given() -> None:
    pure = Ramp(300.0, 9.0, 19.0, shape="half sine")
    assert pure.ramp_h == 5
    hours = np.array([0.0, 5 / 3, 5.0, 10.0])
    assert pure.ppfd_after_start(hours) == pytest.approx([0, 150, 300, 0], abs=1e-9)
    flat = Ramp(300.0, 9.0, 19.0, ramp_minutes=60, shape="half sine")
    assert flat.ppfd_after_start(hours)[1] == 300


def test_several_places_are_several_columns() -> None:
    places = np.array([50.0, 200.0, 9999.0])
    ramp = Ramp(places, 10.0, 20.0, ramp_minutes=60)
    points = Breakpoints([(10.0, places * 0), (11.0, places), (19.0, places), (20.0, places * 0)])
    for schedule in (ramp, points):
        whole = schedule.light_hours_from_start(np.asarray(24.0))
        assert list(whole) == pytest.approx([450, 1800, np.nan], nan_ok=True)
        assert schedule.ppfd_after_start(HOURS).shape == (len(HOURS), 3)
        assert schedule.light_hours_from_start(HOURS).shape == (len(HOURS), 3)
        assert list(schedule.hours_above(100.0)) == pytest.approx([0, 9, np.nan], nan_ok=True)


def test_clock_hours() -> None:
    assert clock_hour(dt.time(7, 45)) == 7.75
    assert clock_hour(dt.time(0, 0, 36)) == pytest.approx(0.01)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: Ramp(5000.0, 8.0, 18.0), "light 5000"),
        (lambda: Ramp(-1.0, 8.0, 18.0), "light -1"),
        (lambda: Ramp(100.0, 25.0, 18.0), "on 25 h"),
        (lambda: Ramp(100.0, 8.0, -1.0), "off -1 h"),
        (lambda: Ramp(100.0, 8.0, 10.0, ramp_minutes=61), "ramp 61 min is outside 0 to 60 min"),
        (
            lambda: Ramp(100.0, 8.0, 18.0, None, cast("Shape", "square")),
            "shape 'square' is not one of linear",
        ),
        (lambda: Breakpoints([(8.0, 0.0)]), "two points or more"),
        (lambda: Breakpoints([(8.0, 0.0), (25.0, 1.0)]), "clock hour 25"),
        (lambda: Breakpoints([(8.0, 0.0), (9.0, -1.0)]), "light -1"),
        (
            lambda: Breakpoints([(8.0, 0.0), (12.0, 9.0), (10.0, 9.0), (14.0, 0.0)]),
            "not in the order of the day",
        ),
    ],
)
def test_what_cannot_be_is_refused(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=message):
        call()
