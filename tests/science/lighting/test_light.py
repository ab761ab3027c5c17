from __future__ import annotations

import datetime as dt
import math
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.lighting.light import (
    constant_light_integral,
    daily_light_integral,
    hours_of_date,
    light_integral_on,
    photoperiod_h,
    plateau_for_integral,
    ppfd_at,
)
from journal_tools.science.lighting.light_schedule import Breakpoints, Ramp, Shape
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "12 light"
_CALLS = {
    ("DLI trapezoid", "200 umol/m2/s plateau 8 h + two 1 h linear ramps"):
        lambda: daily_light_integral(Ramp(200.0, 10.0, 20.0, ramp_minutes=60)),
    ("DLI constant", "1 umol/m2/s for 24 h"): lambda: constant_light_integral(1.0, 24.0),
    ("DLI constant", "200; 12 h"): lambda: constant_light_integral(200.0, 12.0),
}  # fmt: skip
CHECKS = {(TOPIC, *key): Check(call) for key, call in _CALLS.items()}

BERLIN = ZoneInfo("Europe/Berlin")

plateaus = st.floats(1.0, 1000.0)
SHAPES: tuple[Shape, ...] = ("linear", "half sine")
shapes = st.sampled_from(SHAPES)
on_hours = st.floats(0.0, 23.99)
lit_hours = st.floats(1.0, 23.9)
shares = st.floats(0.0, 0.99)


def lamp(
    plateau: float, on_h: float, lit_h: float, ramp_share: float, shape: Shape = "linear"
) -> Ramp[float]:
    minutes = 30 * lit_h * ramp_share
    return Ramp(plateau, on_h, (on_h + lit_h) % 24, minutes, shape)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


def test_worked_examples_by_hand() -> None:
    """Plateau and half of each linear ramp; 2/pi of a half sine."""
    points = [(10.0, 0.0), (11.0, 200.0), (19.0, 200.0), (20.0, 0.0)]
    assert daily_light_integral(Breakpoints(points)) == pytest.approx(6.48)
    arch = Ramp(300.0, 9.0, 19.0, shape="half sine")
    assert daily_light_integral(arch) == pytest.approx(6.875, abs=0.001)
    assert daily_light_integral(Ramp(200.0, 8.0, 20.0)) == pytest.approx(8.64)
    assert daily_light_integral(Ramp(1.0, 0.0, 24.0)) == pytest.approx(0.0864)


@given(plateaus, on_hours, lit_hours, shares, shapes)
def test_the_closed_form(
    plateau: float, on_h: float, lit_h: float, ramp_share: float, shape: Shape
) -> None:
    weight = 0.5 if shape == "linear" else 2 / math.pi
    ramps_h = lit_h * ramp_share
    expected = plateau * (lit_h - ramps_h + weight * ramps_h) * 0.0036
    found = daily_light_integral(lamp(plateau, on_h, lit_h, ramp_share, shape))
    assert found == pytest.approx(expected, rel=1e-6)


@given(plateaus, on_hours, on_hours, lit_hours, shares, shapes)
def test_midnight_does_not_matter(
    plateau: float, on_h: float, shifted_h: float, lit_h: float, ramp_share: float, shape: Shape
) -> None:
    days = [lamp(plateau, hour, lit_h, ramp_share, shape) for hour in (on_h, shifted_h)]
    one, other = (daily_light_integral(day) for day in days)
    assert one == pytest.approx(other, rel=1e-6)
    assert photoperiod_h(days[0]) == pytest.approx(photoperiod_h(days[1]), rel=1e-6)


@given(plateaus, on_hours, lit_hours, shares, shapes, st.floats(0.1, 3.0))
def test_the_integral_scales_with_the_plateau(
    plateau: float, on_h: float, lit_h: float, ramp_share: float, shape: Shape, scale: float
) -> None:
    one = daily_light_integral(lamp(plateau, on_h, lit_h, ramp_share, shape))
    scaled = daily_light_integral(lamp(plateau * scale, on_h, lit_h, ramp_share, shape))
    assert scaled == pytest.approx(one * scale)


@given(st.lists(st.tuples(st.floats(0, 24), st.floats(0, 500), st.floats(0, 500)), min_size=2))
def test_the_light_of_two_lamps_adds(rows: list[tuple[float, float, float]]) -> None:
    ordered = sorted(rows, key=lambda row: row[0])
    one, other = (Breakpoints([(row[0], row[k]) for row in ordered]) for k in (1, 2))
    both = Breakpoints([(hour, first + second) for hour, first, second in ordered])
    apart = daily_light_integral(one) + daily_light_integral(other)
    assert daily_light_integral(both) == pytest.approx(apart, abs=1e-9)


@given(plateaus, on_hours, lit_hours, shares, shapes)
def test_the_integral_holds_at_each_hour(
    plateau: float, on_h: float, lit_h: float, ramp_share: float, shape: Shape
) -> None:
    day = lamp(plateau, on_h, lit_h, ramp_share, shape)
    minutes = np.arange(24 * 60) / 60
    sampled = [ppfd_at(day, float(hour)) for hour in minutes]
    assert max(sampled) <= plateau * (1 + 1e-12)
    # A step may fall between two minutes, at both ends.
    expected = sum(sampled) * 60 / 1e6
    assert daily_light_integral(day) == pytest.approx(expected, abs=2 * plateau * 60 / 1e6)


def test_light_differs_from_place_to_place() -> None:
    """One number for the tank is not enough: each measured place has its own sum."""
    places = np.array([60.0, 150.0, 320.0])
    sums = daily_light_integral(Ramp(places, 10.0, 20.0, ramp_minutes=60))
    single = [daily_light_integral(Ramp(float(p), 10.0, 20.0, ramp_minutes=60)) for p in places]
    assert list(sums) == pytest.approx(single)
    assert sums[2] > 5 * sums[0]
    assert list(photoperiod_h(Ramp(places, 10.0, 20.0), above_ppfd=100.0)) == [0, 10, 10]


def test_a_share_of_the_spectrum() -> None:
    day = Ramp(200.0, 8.0, 20.0)
    blue, rest = (daily_light_integral(day, share) for share in (0.6, 0.4))
    assert blue == pytest.approx(0.6 * 8.64)
    assert blue + rest == pytest.approx(8.64)
    with pytest.raises(ValueError, match="spectrum share 60 is outside 0 to 1"):
        daily_light_integral(day, 60.0)


@given(plateaus, on_hours, lit_hours, shares, shapes, st.floats(0.0, 1.2))
def test_hours_above_a_threshold_by_sampling(
    plateau: float, on_h: float, lit_h: float, ramp_share: float, shape: Shape, share: float
) -> None:
    day = lamp(plateau, on_h, lit_h, ramp_share, shape)
    threshold = share * plateau
    minutes = np.arange(24 * 60) / 60
    sampled = sum(ppfd_at(day, float(hour)) > threshold for hour in minutes) / 60
    # Of a threshold right at the plateau the last bit decides.
    if abs(share - 1) > 1e-9:
        assert photoperiod_h(day, threshold) == pytest.approx(sampled, abs=2.1 / 60)


@given(st.floats(0.1, 20.0), on_hours, st.floats(6.0, 23.9), shares, shapes)
def test_the_plateau_gives_the_wanted_sum(
    wanted: float, on_h: float, lit_h: float, ramp_share: float, shape: Shape
) -> None:
    plateau = plateau_for_integral(wanted, lamp(77.0, on_h, lit_h, ramp_share, shape))
    found = daily_light_integral(lamp(plateau, on_h, lit_h, ramp_share, shape))
    assert found == pytest.approx(wanted)


def test_a_sum_that_no_lamp_gives_is_refused() -> None:
    with pytest.raises(ValueError, match="plateau needed"):
        plateau_for_integral(100.0, Ramp(1.0, 10.0, 12.0))
    several = plateau_for_integral(np.array([2.0, 90.0]), Ramp(1.0, 10.0, 12.0))
    assert list(several) == pytest.approx([277.78, np.nan], abs=0.01, nan_ok=True)


# Dates on which clocks change, from the IANA time zone data; Lord Howe moves by half an hour,
# Havana at midnight, Samoa left out a whole date.
@pytest.mark.parametrize(
    ("zone", "day", "hours"),
    [
        ("Europe/Berlin", dt.date(2026, 3, 28), 24),
        ("Europe/Berlin", dt.date(2026, 3, 29), 23),
        ("Europe/Berlin", dt.date(2026, 10, 25), 25),
        ("America/New_York", dt.date(2026, 3, 8), 23),
        ("America/New_York", dt.date(2026, 11, 1), 25),
        ("Australia/Lord_Howe", dt.date(2026, 4, 5), 24.5),
        ("America/Havana", dt.date(2024, 3, 10), 23),
        ("America/Havana", dt.date(2024, 11, 3), 25),
        ("Pacific/Apia", dt.date(2011, 12, 30), 0),
        ("UTC", dt.date(2026, 3, 29), 24),
    ],
)
def test_days_of_23_and_25_hours(zone: str, day: dt.date, hours: float) -> None:
    assert hours_of_date(day, ZoneInfo(zone)) == hours
    always = Ramp(100.0, 0.0, 24.0)
    assert light_integral_on(always, day, ZoneInfo(zone)) == pytest.approx(
        constant_light_integral(100.0, float(hours))
    )


def test_the_timer_follows_the_wall_clock() -> None:
    night = Ramp(100.0, 1.0, 4.0)
    usual, spring, autumn = (
        light_integral_on(night, day, BERLIN)
        for day in (dt.date(2026, 6, 1), dt.date(2026, 3, 29), dt.date(2026, 10, 25))
    )
    hour = constant_light_integral(100.0, 1.0)
    assert (usual, spring, autumn) == pytest.approx((3 * hour, 2 * hour, 4 * hour))
    # A lamp that burns by day does not notice.
    day = Ramp(100.0, 10.0, 20.0, ramp_minutes=60)
    for date in (dt.date(2026, 3, 29), dt.date(2026, 10, 25)):
        assert light_integral_on(day, date, BERLIN) == pytest.approx(daily_light_integral(day))


@pytest.mark.parametrize(
    ("zone", "day"),
    [
        ("Europe/Berlin", dt.date(2026, 3, 29)),
        ("Europe/Berlin", dt.date(2026, 10, 25)),
        ("Australia/Lord_Howe", dt.date(2026, 10, 4)),
        ("America/Havana", dt.date(2024, 11, 3)),
    ],
)
@pytest.mark.parametrize(
    "schedule",
    [
        Ramp(200.0, 20.5, 4.25, ramp_minutes=90),
        Ramp(200.0, 22.0, 9.0, shape="half sine"),
        Breakpoints([(22.0, 0.0), (0.5, 100.0), (2.5, 300.0), (2.5, 50.0), (7.0, 0.0)]),
    ],
)
def test_a_changed_day_by_the_second_hand(
    zone: str, day: dt.date, schedule: Ramp[float] | Breakpoints[float]
) -> None:
    """Read the wall clock every minute from midnight to midnight and add up its light."""
    tz = ZoneInfo(zone)
    instant = dt.datetime.combine(day, dt.time(), tz).astimezone(dt.UTC)
    total = 0.0
    while (wall := instant.astimezone(tz)).date() == day:
        total += ppfd_at(schedule, wall.hour + (wall.minute + 0.5) / 60) * 60 / 1e6
        instant += dt.timedelta(minutes=1)
    assert light_integral_on(schedule, day, tz) == pytest.approx(total, rel=1e-4)


@given(plateaus, on_hours, lit_hours, shares, shapes)
def test_the_lost_hour_comes_back_in_autumn(
    plateau: float, on_h: float, lit_h: float, ramp_share: float, shape: Shape
) -> None:
    """The hour from 2 to 3 is left out in spring and lit twice in autumn."""
    day = lamp(plateau, on_h, lit_h, ramp_share, shape)
    changed = [
        light_integral_on(day, date, BERLIN)
        for date in (dt.date(2026, 3, 29), dt.date(2026, 10, 25))
    ]
    assert sum(changed) == pytest.approx(2 * daily_light_integral(day), rel=1e-6)


def test_a_calendar_date_for_several_places() -> None:
    night = Ramp(np.array([50.0, 100.0]), 22.0, 6.0)
    sums = light_integral_on(night, dt.date(2026, 3, 29), BERLIN)
    assert list(sums) == pytest.approx([1.26, 2.52])


@pytest.mark.parametrize(
    "call",
    [
        lambda: constant_light_integral(200.0, 26.0),
        lambda: constant_light_integral(-1.0, 12.0),
        lambda: ppfd_at(Ramp(1.0, 8.0, 18.0), 25.0),
        lambda: photoperiod_h(Ramp(1.0, 8.0, 18.0), above_ppfd=-1.0),
        lambda: plateau_for_integral(-1.0, Ramp(1.0, 8.0, 18.0)),
    ],
)
def test_outside_the_range_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match="is outside"):
        call()


def test_arrays_pass_through_with_blanks() -> None:
    sums = constant_light_integral(np.array([200.0, -1.0]), 12.0)
    assert sums == pytest.approx([8.64, np.nan], nan_ok=True)
