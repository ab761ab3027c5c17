from __future__ import annotations

from typing import Any, cast

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.meters.calibration import (
    Bias,
    Calibration,
    bias_against_standard,
    corrected_series,
    estimate_without_bias,
    standard_deviation_of_limits,
    without_bias,
)
from journal_tools.science.validity import FloatArray

GOOD = Calibration(0.0, ((8.10, 8.10),))
LOW = Calibration(10.0, ((8.00, 8.10),))

plain = st.floats(-100.0, 100.0)
times = st.floats(-50.0, 50.0)


def series(times_d: list[float], raw: list[float], *calibrations: Calibration) -> FloatArray:
    return corrected_series(np.array(times_d), np.array(raw), calibrations).values


def test_between_two_calibrations_the_correction_goes_in_a_straight_line() -> None:
    found = series([0.0, 2.5, 5.0, 10.0], [8.2, 8.2, 8.2, 8.2], GOOD, LOW)
    assert found == pytest.approx([8.2, 8.225, 8.25, 8.3])


def test_a_calibration_corrects_what_lies_before_it() -> None:
    # A probe that drifts by -0.01 a day in water of constant 8.10.
    times_d = np.linspace(0.0, 10.0, 11)
    raw = 8.10 - 0.01 * times_d
    assert corrected_series(times_d, raw, [GOOD, LOW]).values == pytest.approx([8.10] * 11)


def test_raw_values_are_kept() -> None:
    times_d, raw = np.array([0.0, 5.0, 12.0]), np.array([8.2, 8.2, 8.2])
    times_d.flags.writeable = raw.flags.writeable = False
    first = corrected_series(times_d, raw, [GOOD, LOW])
    second = corrected_series(times_d, raw, [GOOD, LOW])
    assert raw.tolist() == [8.2, 8.2, 8.2]
    assert first.values.tolist() == second.values.tolist()
    assert not np.shares_memory(first.values, raw)


def test_outside_the_calibrated_span_the_nearest_correction_is_held_and_flagged() -> None:
    first = Calibration(0.0, ((8.05, 8.10),))
    found = corrected_series(np.array([-9.0, 0.0, 10.0, 99.0]), np.full(4, 8.0), [first, LOW])
    assert found.values == pytest.approx([8.05, 8.05, 8.10, 8.10])
    assert found.held.tolist() == [True, False, False, True]


def test_one_calibration_alone_is_held_everywhere() -> None:
    found = corrected_series(np.array([9.0, 10.0, 11.0]), np.array([8.0, 8.1, 8.2]), [LOW])
    assert found.values == pytest.approx([8.1, 8.2, 8.3])
    assert found.held.tolist() == [True, False, True]


def test_after_an_adjustment_the_probe_is_right() -> None:
    adjusted = Calibration(10.0, ((8.00, 8.10),), adjusted=True)
    later = Calibration(20.0, ((8.06, 8.10),), adjusted=True)
    times_d = [5.0, 10.0, 10.1, 15.0, 20.0, 20.1]
    found = series(times_d, [8.0] * 6, GOOD, adjusted, later)
    expected = [8.05, 8.10, 8.0 + 0.04 * 0.01, 8.02, 8.04, 8.0]
    assert found == pytest.approx(expected)


def test_two_points_find_the_gain_and_the_offset() -> None:
    two = Calibration(0.0, ((7.10, 7.00), (9.90, 10.01)))
    assert two.correct(7.10) == pytest.approx(7.00)
    assert two.correct(9.90) == pytest.approx(10.01)
    assert two.line()[0] == pytest.approx(3.01 / 2.80)
    assert two.correct(np.array([7.10, 9.90])) == pytest.approx([7.00, 10.01])


def test_the_gain_drifts_in_a_straight_line_too() -> None:
    start = Calibration(0.0, ((7.0, 7.0), (10.0, 10.0)))
    end = Calibration(10.0, ((7.0, 7.0), (10.0, 10.3)))
    assert series([5.0], [10.0], start, end) == pytest.approx([10.15])
    assert series([5.0], [7.0], start, end) == pytest.approx([7.0])


def test_one_point_keeps_the_gain_of_the_last_two() -> None:
    two = Calibration(0.0, ((7.0, 7.0), (10.0, 10.3)))
    check = Calibration(10.0, ((8.0, 8.2),))
    assert series([10.0], [9.0], two, check) == pytest.approx([8.2 + 1.1])
    adjusted = Calibration(0.0, two.points, adjusted=True)
    assert series([10.0], [9.0], adjusted, check) == pytest.approx([9.2])


@given(st.lists(st.tuples(times, plain), min_size=1, max_size=20), st.randoms())
def test_order_does_not_matter_and_one_by_one_is_the_same(
    readings: list[tuple[float, float]], random: Any
) -> None:
    calibrations = [GOOD, LOW, Calibration(25.0, ((8.2, 8.1), (10.1, 10.0)))]
    shuffled = random.sample(calibrations, 3)
    times_d, raw = (np.array(column) for column in zip(*readings, strict=True))
    together = corrected_series(times_d, raw, calibrations)
    single = [
        corrected_series(np.array([t]), np.array([r]), shuffled).values[0] for t, r in readings
    ]
    assert together.values == pytest.approx(single, abs=1e-12)
    assert together.held.tolist() == [not 0.0 <= t <= 25.0 for t, _ in readings]


@given(st.lists(st.tuples(plain, plain), min_size=1, max_size=6), st.booleans())
def test_what_a_probe_showed_when_calibrated_becomes_the_reference(
    pairs: list[tuple[float, float]], adjusted: bool
) -> None:
    calibrations = [Calibration(float(i), (pair,), adjusted) for i, pair in enumerate(pairs)]
    shown, true = (list(column) for column in zip(*pairs, strict=True))
    found = series([float(i) for i in range(len(pairs))], shown, *calibrations)
    assert found == pytest.approx(true, abs=1e-9)


@given(st.floats(0.0, 10.0), plain)
def test_a_corrected_value_lies_between_both_corrections(t: float, raw: float) -> None:
    (found,) = series([t], [raw], GOOD, LOW)
    assert GOOD.correct(raw) - 1e-9 <= found <= LOW.correct(raw) + 1e-9


def test_gaps_stay_gaps() -> None:
    found = corrected_series(np.array([1.0, np.nan]), np.array([np.nan, 8.0]), [GOOD, LOW])
    assert np.isnan(found.values).all()
    assert found.held.tolist() == [False, True]
    empty = corrected_series(np.array([]), np.array([]), [GOOD])
    assert empty.values.shape == (0,)


def test_impossible_calibrations_are_refused() -> None:
    with pytest.raises(ValueError, match="no calibration"):
        corrected_series(np.array([1.0]), np.array([8.0]), [])
    with pytest.raises(ValueError, match="two calibrations are at one time"):
        corrected_series(np.array([1.0]), np.array([8.0]), [LOW, LOW])
    with pytest.raises(ValueError, match=r"times have the shape \(2,\), raw values \(1,\)"):
        corrected_series(np.array([1.0, 2.0]), np.array([8.0]), [LOW])
    with pytest.raises(ValueError, match="one or two points, not 0"):
        Calibration(0.0, ())
    with pytest.raises(ValueError, match="not a finite number"):
        Calibration(0.0, ((float("nan"), 8.0),))


@pytest.mark.parametrize(
    "points",
    [
        pytest.param(((7.0, 10.0), (10.0, 7.0)), id="buffers exchanged"),
        pytest.param(((7.0, 7.0), (7.0, 10.0)), id="probe does not move"),
        pytest.param(((7.0, 7.0), (8.0, 10.01)), id="dead probe"),
    ],
)
def test_an_unlikely_gain_is_refused(points: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(
        ValueError, match=r"gain of a two-point calibration .* is outside 0\.5 to 2"
    ):
        Calibration(0.0, points)


def test_the_bias_has_the_error_of_the_standard_and_of_the_readings() -> None:
    bias = bias_against_standard([36.0, 36.5, 36.5, 36.0], 35.0, 0.2, 0.5)
    assert bias.value == 1.25
    assert bias.standard_uncertainty == pytest.approx((0.2**2 + 0.5**2 / 4) ** 0.5)
    assert bias.readings == 4
    assert bias.is_clear
    assert not bias_against_standard([35.3], 35.0, 0.2, 0.5).is_clear


def test_more_readings_do_not_mend_the_standard() -> None:
    many = bias_against_standard(np.full(10_000, 36.0), 35.0, 0.2, 0.5)
    assert many.standard_uncertainty == pytest.approx(0.2, abs=1e-3)
    assert many.standard_uncertainty > 0.2


def test_the_error_of_a_reading_can_come_from_the_readings() -> None:
    bias = bias_against_standard([1.0, 2.0, 3.0], 2.0, 0.0)
    assert bias.standard_uncertainty == pytest.approx(1 / 3**0.5)
    with pytest.raises(ValueError, match="needs the error of a reading"):
        bias_against_standard([1.0], 2.0, 0.0)


@given(st.lists(plain, min_size=1, max_size=30), plain, st.floats(0.0, 5.0), st.floats(0.0, 5.0))
def test_the_corrected_mean_is_the_standard(
    shown: list[float], standard: float, standard_error: float, reading_error: float
) -> None:
    bias = bias_against_standard(shown, standard, standard_error, reading_error)
    assert np.mean(without_bias(np.array(shown), bias)) == pytest.approx(standard, abs=1e-9)
    assert standard_error <= bias.standard_uncertainty + 1e-12
    assert bias.standard_uncertainty <= standard_error + reading_error + 1e-12


@given(plain, plain, st.floats(0.0, 5.0), st.floats(0.0, 5.0))
def test_the_range_of_a_corrected_reading_holds_both_errors(
    raw: float, value: float, bias_error: float, reading_error: float
) -> None:
    found = estimate_without_bias(raw, Bias(value, bias_error, 3), reading_error)
    assert found.value == without_bias(raw, Bias(value, bias_error, 3))
    half = 2 * (bias_error**2 + reading_error**2) ** 0.5
    assert found.high - found.value == pytest.approx(half, abs=1e-9)
    assert found.value - found.low == pytest.approx(half, abs=1e-9)


def test_a_bias_is_never_taken_off_twice() -> None:
    bias = Bias(1.25, 0.3, 4)
    once = estimate_without_bias(36.5, bias, 0.4)
    with pytest.raises(TypeError, match="corrected already"):
        estimate_without_bias(cast("Any", once), bias, 0.4)


# JCGM 100:2008, 4.3.7: a rectangle of half-width a has the variance a²/3.
def test_limits_become_a_standard_deviation() -> None:
    assert standard_deviation_of_limits(0.3) == pytest.approx((0.3**2 / 3) ** 0.5)
    found = standard_deviation_of_limits(np.array([3.0, -1.0]))
    assert found == pytest.approx([3**0.5, np.nan], nan_ok=True)
    with pytest.raises(ValueError, match="limit -1 is outside"):
        standard_deviation_of_limits(-1.0)


@pytest.mark.parametrize(
    ("shown", "standard", "standard_error", "reading_error", "message"),
    [
        ([], 35.0, 0.1, 0.1, "at least one reading"),
        ([float("nan")], 35.0, 0.1, 0.1, "all finite"),
        ([35.0], float("inf"), 0.1, 0.1, "all finite"),
        ([35.0], 35.0, -0.1, 0.1, "error of the standard -0.1 is outside"),
        ([35.0], 35.0, 0.1, -0.1, "error of the reading -0.1 is outside"),
    ],
)
def test_an_impossible_comparison_is_refused(
    shown: list[float], standard: float, standard_error: float, reading_error: float, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        bias_against_standard(shown, standard, standard_error, reading_error)
