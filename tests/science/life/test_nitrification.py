from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.science.additives.stoichiometry import mass_ratio
from journal_tools.science.life.nitrification import (
    AMMONIA_OXIDISERS,
    NITRITE_OXIDISERS,
    OXYGEN_PER_NITROGEN,
    Course,
    first_day_below,
    largest_capacity_mg_l_day,
    monod_rate_mg_l_day,
    monod_time_days,
    nitrate_balance,
    simulate_maturing,
)
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "14 nitrification"
DAYS = np.arange(0.0, 30.0, 0.1)


def one_dose() -> Course:
    return simulate_maturing([(0.0, 2.0)], DAYS)


def day_below(levels: np.ndarray, limit_mg_l: float) -> float:
    day = first_day_below(DAYS, levels, limit_mg_l)
    assert day is not None
    return day


_CALLS = {
    ("time for TAN 2->0.1 mgN/L", "Vmax=2 mgN/L/d; Ks=0.5 mgN/L"):
        lambda: monod_time_days(2.0, 0.1, 2.0, 0.5),
    ("max ammonia-oxidising capacity grown from one dose",
     "mu_max=0.5/d; N0=2 mgN/L: Vmax<=mu*N0"): lambda: largest_capacity_mg_l_day(0.5, 2.0),
    ("day TAN<0.1", "same"): lambda: day_below(one_dose().ammonia_mg_l, 0.1),
    ("day NO2<0.05", "same"): lambda: day_below(one_dose().nitrite_mg_l, 0.05),
}  # fmt: skip
CHECKS = {(TOPIC, *key): Check(call) for key, call in _CALLS.items()}

levels = st.floats(0.05, 10.0)
rates = st.floats(0.05, 10.0)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


def test_the_nitrite_peak_of_the_example() -> None:
    # Course of another two-step simulation: peak of 1.78 mg/L N on day 17.1.
    course = one_dose()
    assert course.nitrite_mg_l.max() == pytest.approx(1.78, abs=0.01)
    assert DAYS[course.nitrite_mg_l.argmax()] == pytest.approx(17.1, abs=0.2)


def test_no_ammonia_after_one_dose_does_not_mean_a_full_dose_a_day() -> None:
    days = np.array([30.0 - 1e-6, 30.0, 31.0])
    course = simulate_maturing([(0.0, 2.0), (30.0, 2.0)], days)
    assert course.ammonia_mg_l[0] < 1e-3
    assert course.nitrite_mg_l[0] < 0.05
    # The same other simulation leaves 1.65 of the 2 mg/L N after a day.
    assert course.ammonia_mg_l[2] == pytest.approx(1.65, abs=0.01)
    capacity = largest_capacity_mg_l_day(AMMONIA_OXIDISERS.growth_per_day, 2.0)
    assert course.ammonia_mg_l[1] - course.ammonia_mg_l[2] < capacity


def test_capacity_fades_while_nothing_is_fed() -> None:
    left = [
        simulate_maturing([(0.0, 2.0), (day, 2.0)], np.array([day + 1.0])).ammonia_mg_l[0]
        for day in (20.0, 30.0, 60.0)
    ]
    assert left[0] < left[1] < left[2]


def test_feeding_again_and_again_raises_the_capacity() -> None:
    doses = [(float(day), 2.0) for day in (0, 17, 19, 21, 22, 23, 24)]
    course = simulate_maturing([*doses, (30.0, 2.0)], np.array([30.0, 31.0]))
    assert course.ammonia_mg_l[1] < 0.5


@given(levels, st.floats(0.01, 0.99), rates, st.floats(0.05, 3.0))
@settings(max_examples=50)
def test_monod_time_is_the_integral_of_its_rate(
    start: float, share: float, top: float, half: float
) -> None:
    row = np.geomspace(start, start * share, 2001)
    slowness = 1 / monod_rate_mg_l_day(row, top, half)
    summed = float(np.sum((slowness[1:] + slowness[:-1]) / 2 * -np.diff(row)))
    assert monod_time_days(start, start * share, top, half) == pytest.approx(summed, rel=1e-4)


@given(levels, rates, st.floats(0.05, 3.0))
def test_monod_limits(level: float, top: float, half: float) -> None:
    assert monod_rate_mg_l_day(half, top, half) == pytest.approx(top / 2)
    assert monod_rate_mg_l_day(0.0, top, half) == 0
    assert monod_rate_mg_l_day(level, top, half) < top
    # Without half saturation the rate is constant.
    assert monod_time_days(2 * level, level, top, 0.0) == pytest.approx(level / top)


@given(
    st.lists(st.tuples(st.floats(0.0, 40.0), st.floats(0.0, 5.0)), max_size=4),
    st.lists(st.floats(0.0, 60.0), min_size=1, max_size=5, unique=True),
)
@settings(max_examples=25, deadline=None)
def test_nitrogen_is_conserved(doses: list[tuple[float, float]], looked: list[float]) -> None:
    days = np.array(sorted(looked))
    course = simulate_maturing(doses, days)
    together = course.ammonia_mg_l + course.nitrite_mg_l + course.nitrate_mg_l
    dosed = [sum(amount for day, amount in doses if day <= at) for at in days]
    assert together == pytest.approx(dosed, abs=1e-5)
    assert min(course.ammonia_mg_l.min(), course.nitrite_mg_l.min()) >= 0


def test_a_tank_without_bacteria_keeps_its_ammonia() -> None:
    none = type(AMMONIA_OXIDISERS)(0.5, 0.5, 0.05, 0.0)
    course = simulate_maturing([(0.0, 2.0)], np.array([40.0]), none, NITRITE_OXIDISERS)
    assert course.ammonia_mg_l[0] == pytest.approx(2)


def test_a_level_is_below_for_good_only_after_its_last_rise() -> None:
    days = np.array([0.0, 1.0, 2.0, 3.0])
    assert first_day_below(days, np.array([0.0, 1.0, 0.0, 0.0]), 0.5) == 1.5
    assert first_day_below(days, np.array([0.0, 0.0, 0.0, 1.0]), 0.5) is None
    assert first_day_below(days, np.zeros(4), 0.5) == 0


def test_nitrate_that_is_expected() -> None:
    balance = nitrate_balance(4.0, 17.7)
    assert balance.expected_mg_l == pytest.approx(4 * mass_ratio("NO3", "N"))
    assert balance.found_share == pytest.approx(1, abs=0.001)
    half = nitrate_balance(4.0, 0.0, ammonia_n_left_mg_l=2.0)
    assert half.expected_mg_l == pytest.approx(balance.expected_mg_l / 2)
    assert nitrate_balance(0.0, 5.0).found_share is None


def test_a_nitrate_test_reads_high_while_nitrite_is_present() -> None:
    balance = nitrate_balance(4.0, 40.0, nitrite_n_left_mg_l=1.0)
    assert balance.nitrite_interferes
    assert balance.found_share is None
    assert balance.expected_mg_l == pytest.approx(3 * mass_ratio("NO3", "N"))


def test_oxygen_for_each_gram_of_nitrogen() -> None:
    # 4.57 g of O2 for each g of N, as in textbooks of waste water.
    assert pytest.approx(4.57, abs=0.005) == OXYGEN_PER_NITROGEN


def test_outside_is_refused_or_blank() -> None:
    with pytest.raises(ValueError, match="end level 0 mg/L"):
        monod_time_days(2.0, 0.0, 2.0, 0.5)
    with pytest.raises(ValueError, match=r"start level 0\.05 mg/L is outside 0\.1 to 1000"):
        monod_time_days(0.05, 0.1, 2.0, 0.5)
    with pytest.raises(ValueError, match="rising"):
        simulate_maturing([], np.array([1.0, 1.0]))
    with pytest.raises(ValueError, match="dose 200 mg/L"):
        simulate_maturing([(0.0, 200.0)], np.array([1.0]))
    found = monod_time_days(np.array([2.0, 0.05]), 0.1, 2.0, 0.5)
    assert found == pytest.approx([1.698933, np.nan], nan_ok=True, abs=1e-6)
