from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.additives.dose_plan import days_left, dose_plan

rates = st.floats(-1.0, 3.0)
levels = st.floats(5.0, 12.0)
steps = st.floats(0.1, 2.0)


def test_days_left_is_a_ratio_with_its_interval() -> None:
    left = days_left(1000.0, 50.0, 0.0, 5.0)
    assert left.value == 20.0
    assert (left.low, left.high) == pytest.approx(
        (1000 / (50 + 8.2243), 1000 / (50 - 8.2243)), rel=1e-4
    )


def test_a_bottle_that_is_not_used_lasts() -> None:
    assert days_left(1000.0, 0.0).low == math.inf
    assert days_left(0.0, 10.0).value == 0.0
    assert days_left(100.0, 1.0, 0.0, 1.0).high == math.inf


@given(rates, levels, levels, steps, st.floats(0.001, 1.0))
def test_the_plan_reaches_the_target_within_the_limit(
    uptake: float, level: float, target: float, step: float, unit: float
) -> None:
    plan = dose_plan(uptake, level, target, step, unit)
    assert abs(plan.step_per_day) <= step * (1 + 1e-9)
    assert plan.dose >= 0
    assert plan.hold.low <= plan.hold.value <= plan.hold.high
    if 0 < plan.days < math.inf and uptake + plan.step_per_day >= 0:
        reached = level + plan.days * (plan.dose * unit - uptake)
        assert reached == pytest.approx(target, abs=1e-6)


def test_a_rise_within_the_limit_takes_a_day() -> None:
    plan = dose_plan(1.0, 7.8, 8.0, 0.5, 0.01, present_dose=90.0)
    assert (plan.days, plan.limited_by_step) == (1, False)
    assert plan.hold.value == pytest.approx(100.0)
    assert plan.correction == pytest.approx(20.0)
    assert plan.dose == pytest.approx(120.0)
    assert plan.change == pytest.approx(10.0)


def test_a_rise_over_the_limit_takes_days() -> None:
    plan = dose_plan(1.0, 6.5, 8.0, 0.5, 0.01)
    assert (plan.days, plan.limited_by_step) == (3, True)
    assert plan.step_per_day == pytest.approx(0.5)


def test_a_share_of_a_billionth_is_no_further_day() -> None:
    assert dose_plan(1.0, 7.0, 7.0 + 0.1 + 0.2, 0.1, 0.01).days == 3


def test_at_the_target_the_dose_only_holds() -> None:
    plan = dose_plan(1.0, 8.0, 8.0, 0.5, 0.01)
    assert (plan.days, plan.correction) == (0, 0.0)
    assert plan.dose == pytest.approx(100.0)


def test_above_the_target_less_is_dosed() -> None:
    plan = dose_plan(1.0, 9.0, 8.0, 0.5, 0.01)
    assert (plan.days, plan.limited_by_uptake) == (2, False)
    assert plan.correction == pytest.approx(-50.0)
    assert plan.dose == pytest.approx(50.0)


def test_a_level_falls_no_faster_than_the_tank_takes_up() -> None:
    plan = dose_plan(0.2, 9.0, 8.0, 0.5, 0.01)
    assert (plan.days, plan.limited_by_uptake) == (5, True)
    assert plan.dose == pytest.approx(0.0)


@pytest.mark.parametrize("uptake", [0.0, -0.3])
def test_without_uptake_a_level_does_not_fall(uptake: float) -> None:
    plan = dose_plan(uptake, 9.0, 8.0, 0.5, 0.01)
    assert plan.days == math.inf
    assert plan.dose == 0.0
    assert plan.limited_by_uptake


def test_a_tank_that_makes_it_needs_less_for_a_rise() -> None:
    plan = dose_plan(-0.1, 7.0, 8.0, 0.5, 0.01)
    assert plan.hold.value == 0.0
    assert plan.dose == pytest.approx(40.0)


def test_the_error_of_the_uptake_is_in_what_holds() -> None:
    plan = dose_plan(1.0, 8.0, 8.0, 0.5, 0.01, uptake_sd=0.1)
    assert (plan.hold.low, plan.hold.high) == pytest.approx((83.55, 116.45), abs=0.01)
    assert dose_plan(0.1, 8.0, 8.0, 0.5, 0.01, uptake_sd=1.0).hold.low == 0.0


@pytest.mark.parametrize(
    "values", [(1, 8, 8, 0, 0.01), (1, 8, 8, 0.5, 0), (1, 8, 8, 0.5, 0.01, -1)]
)
def test_what_is_impossible_is_refused(values: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="outside"):
        dose_plan(*values)


@pytest.mark.parametrize("values", [(-1.0, 1.0), (1.0, -1.0), (1.0, 1.0, -1.0), (1.0, math.nan)])
def test_what_is_left_and_used_is_not_negative(values: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="outside"):
        days_left(*values)
