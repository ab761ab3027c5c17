from __future__ import annotations

import numpy as np
import pytest

from journal_tools.science.estimation.measured import (
    at_mean_salinity,
    one_a_moment,
    readings,
    salinity_range,
)

NOTHING = np.array([])


def test_readings_are_put_in_order() -> None:
    tests = readings([3.0, 1.0, 2.0], [30, 10, 20], [0.3, 0.1, 0.2], kit=[3, 1, 2])
    assert tests.value.tolist() == [10, 20, 30]
    assert tests.sd.tolist() == [0.1, 0.2, 0.3]
    assert tests.kit.tolist() == [1, 2, 3]


def test_a_step_adds_a_twelfth_of_its_square() -> None:
    assert readings([0.0], [8.0], 0.1, 0.5).variance()[0] == pytest.approx(0.01 + 0.25 / 12)


def test_an_unstated_error_stays_unstated() -> None:
    assert np.isnan(readings([0.0], [8.0], step=0.5).variance()[0])


def test_several_tests_of_one_moment_are_one_mean_of_smaller_error() -> None:
    tests = one_a_moment(readings([1.0, 1.01, 1.02, 1.03], [8, 8.2, 8.4, 8.6], 0.2), NOTHING)
    assert len(tests) == 1
    assert tests.value[0] == pytest.approx(8.3)
    assert tests.variance()[0] == pytest.approx(0.2**2 / 4)


def test_the_step_does_not_average_out_in_one_moment() -> None:
    tests = one_a_moment(readings([1.0, 1.0], [8.0, 8.5], 0.1, 0.5), NOTHING)
    assert tests.variance()[0] == pytest.approx(0.01 / 2 + 0.25 / 12)


def test_tests_before_and_after_a_dose_stay_apart() -> None:
    tests = readings([1.0, 1.02], [8.0, 9.0], 0.2)
    assert len(one_a_moment(tests, np.array([1.01]))) == 2


def test_a_flag_after_dose_puts_the_test_behind_it() -> None:
    tests = readings([1.0, 1.0], [9.0, 8.0], 0.2, after=[True, False])
    assert tests.value.tolist() == [8.0, 9.0]
    assert len(one_a_moment(tests, np.array([1.0]))) == 2


@pytest.mark.parametrize(("day", "kit", "censored"), [(1.2, 0, 0), (1.01, 1, 0), (1.01, 0, -1)])
def test_other_times_kits_and_limits_stay_apart(day: float, kit: int, censored: int) -> None:
    tests = readings([1.0, day], [8.0, 8.0], 0.2, kit=[0, kit], censored=[0, censored])
    assert len(one_a_moment(tests, NOTHING)) == 2


def test_two_per_cent_of_evaporation_lift_8_dkh_by_0_16() -> None:
    tests = readings([0.0, 1.0], [8.0, 8.163], 0.1, salinity=[35.0, 35.0 / 0.98])
    even = at_mean_salinity(tests)
    assert np.ptp(even.value) == pytest.approx(0.0, abs=1e-3)
    assert salinity_range(tests) == pytest.approx(0.714, abs=1e-3)
    assert salinity_range(even) == 0


def test_readings_without_salinity_are_left_alone() -> None:
    tests = readings([0.0, 1.0, 2.0], [8.0, 8.2, 8.4], 0.1, salinity=[35.0, np.nan, 35.0])
    assert at_mean_salinity(tests).value.tolist() == [8.0, 8.2, 8.4]
    assert salinity_range(readings([0.0], [8.0])) == 0


@pytest.mark.parametrize(
    ("day", "value", "sd", "step"),
    [(np.nan, 8, 0.1, 0), (0, np.nan, 0.1, 0), (0, 8, 0, 0), (0, 8, -1, 0), (0, 8, 1, -0.1)],
)
def test_what_is_missing_or_impossible_is_refused(
    day: float, value: float, sd: float, step: float
) -> None:
    with pytest.raises(ValueError, match=r"a reading has|an error of a test"):
        readings([day], [value], sd, step)
