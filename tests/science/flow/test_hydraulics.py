from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.science.flow.hydraulics import (
    FITTINGS,
    OperatingPoint,
    Pipe,
    Plumbing,
    PumpCurve,
    head_needed_m,
    loss_coefficient,
    operating_flow_l_h,
    operating_point,
    pipe_loss_m,
)
from tests.science.check_values import Check, Row, assert_agrees, cases
from tests.science.flow.test_pump_curve import curves

TOPIC = "09 pumps"
FOOT_M = 0.3048
PARABOLA = PumpCurve(((0, 3), (5000, 0)))
STRAIGHT = PumpCurve(((0, 3), (2500, 1.5), (5000, 0)))


def worked_example(inner_diameter_mm: float, curve: PumpCurve = PARABOLA) -> OperatingPoint:
    pipe = Pipe(inner_diameter_mm, 2.5, other_loss_coefficient=4.2, roughness_m=1.5e-6)
    return operating_point(curve, Plumbing(1.3, (pipe,)), 9.38e-7)


def white_cast_iron_ft() -> float:
    bore_m, velocity_m_s = 0.5 * FOOT_M, 6 * FOOT_M
    flow_l_h = velocity_m_s * math.pi * bore_m**2 / 4 * 3.6e6
    pipe = Pipe(bore_m * 1000, 200 * FOOT_M, roughness_m=0.0008 * bore_m)
    return pipe_loss_m(pipe, flow_l_h, velocity_m_s * bore_m / 2.7e5) / FOOT_M


def ten_litres_a_second_m() -> float:
    return pipe_loss_m(Pipe(100, 100), 0.01 * 3.6e6, 1.004e-6)


_WORKED = "pump H=3(1-(Q/5000)^2) m; static 1.3 m; ID={} mm; 2.5 m; sum K=4.2; e=1.5 um; nu=9.38e-7"
_CALLS = {
    ("head loss White, 200 ft 6-in asphalted cast iron, 6 ft/s",
     "e/D=0.0008; Re=2.7e5; f=0.020"): white_cast_iron_ft,
    ("head loss White, oil 0.2 m3/s, 500 m of 200 mm", "nu=1e-5; e/D=0.0013; f=0.0225"):
        lambda: pipe_loss_m(Pipe(200, 500, roughness_m=0.0013 * 0.2), 0.2 * 3.6e6, 1e-5),
    ("Darcy-Weisbach same pipe", "e=1.5 um; nu=1.004e-6"): ten_litres_a_second_m,
    ("operating point flow", _WORKED.format(20)): lambda: worked_example(20).flow_l_h,
    ("operating point flow", _WORKED.format(25)): lambda: worked_example(25).flow_l_h,
    ("operating point flow, straight-line pump curve", "ID=25 mm, rest same"):
        lambda: worked_example(25, STRAIGHT).flow_l_h,
}  # fmt: skip
CHECKS = {(TOPIC, *key): Check(call) for key, call in _CALLS.items()}

bores = st.floats(12.0, 60.0)
heads = st.floats(0.0, 2.9)
fittings = st.dictionaries(st.sampled_from(FITTINGS), st.integers(0, 6))
pipes = st.builds(Pipe, bores, st.floats(0.0, 10.0), fittings)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


@given(pipes, st.floats(0.0, 8000.0), st.floats(1.01, 3.0))
def test_loss_rises_with_flow(pipe: Pipe, flow_l_h: float, factor: float) -> None:
    assert pipe_loss_m(pipe, flow_l_h * factor) >= pipe_loss_m(pipe, flow_l_h) >= 0


@given(bores, st.floats(0.1, 10.0), st.floats(10.0, 8000.0))
def test_loss_of_straight_pipe_is_proportional_to_its_length(
    bore_mm: float, length_m: float, flow_l_h: float
) -> None:
    one = pipe_loss_m(Pipe(bore_mm, length_m), flow_l_h)
    assert pipe_loss_m(Pipe(bore_mm, 3 * length_m), flow_l_h) == pytest.approx(3 * one)


def test_laminar_loss_is_hagen_poiseuilles() -> None:
    # 10 L/h through 12 mm is laminar (Re 314): h = 128 ν L Q / (π g D^4).
    viscosity, flow_m3_s = 9.38e-7, 10 / 3.6e6
    exact = 128 * viscosity * 2 * flow_m3_s / (math.pi * 9.80665 * 0.012**4)
    assert pipe_loss_m(Pipe(12, 2), 10, viscosity) == pytest.approx(exact)


def test_pipes_one_behind_the_other_add_up() -> None:
    one, other = Pipe(25, 2, {"elbow_90": 2}), Pipe(20, 1, {"exit": 1})
    together = head_needed_m(Plumbing(1.2, (one, other)), 2000)
    assert together == pytest.approx(1.2 + pipe_loss_m(one, 2000) + pipe_loss_m(other, 2000))


def test_named_fittings_cost_what_their_coefficients_say() -> None:
    named = Pipe(25, 1, {"elbow_90": 3, "exit": 1})
    flow_m3_s, viscosity = 2500 / 3.6e6, 9.38e-7
    reynolds = 4 * flow_m3_s / (math.pi * 0.025 * viscosity)
    total = 3 * loss_coefficient("elbow_90", 25, reynolds) + loss_coefficient("exit", 25, reynolds)
    summed = Pipe(25, 1, other_loss_coefficient=total)
    assert pipe_loss_m(named, 2500) == pytest.approx(pipe_loss_m(summed, 2500))


def test_the_shape_of_the_curve_matters_more_than_the_friction() -> None:
    parabola, straight = worked_example(25), worked_example(25, STRAIGHT)
    assert straight.flow_l_h / parabola.flow_l_h == pytest.approx(0.75, abs=0.005)
    assert parabola.relative_error > straight.relative_error


def test_a_wider_pipe_delivers_more() -> None:
    # 2065, 2752 and 3300 L/h: fluids 1.3.1 with Brent's method.
    flows = [worked_example(bore).flow_l_h for bore in (20, 25, 32)]
    assert flows == pytest.approx([2065, 2752, 3300], abs=1)


def test_box_values_are_no_flow_figure() -> None:
    assert worked_example(25).flow_l_h < 0.6 * PARABOLA.max_flow_l_h


@pytest.mark.parametrize("static_head_m", [3.0, 3.5])
def test_a_pump_that_cannot_lift_that_high_says_so(static_head_m: float) -> None:
    point = operating_point(PARABOLA, Plumbing(static_head_m, (Pipe(25, 2),)))
    assert not point.lifts
    assert point.flow_l_h == 0
    assert point.head_m == pytest.approx(3)


def test_without_any_resistance_the_flow_is_the_greatest() -> None:
    for curve in (PARABOLA, STRAIGHT, PumpCurve(((500, 2.5), (3000, 1.0)))):
        point = operating_point(curve, Plumbing(0))
        assert point.flow_l_h == pytest.approx(curve.max_flow_l_h)
        assert point.head_m == pytest.approx(0, abs=1e-6)


def test_beyond_the_outer_points_is_marked() -> None:
    part = PumpCurve(((1000, 2.5), (2000, 2.0), (3000, 1.2)))
    assert operating_point(part, Plumbing(0.2)).extrapolated
    assert operating_point(part, Plumbing(2.6)).extrapolated
    assert not operating_point(part, Plumbing(1.5)).extrapolated


@settings(max_examples=40)
@given(curves(), pipes, heads)
def test_pump_and_plumbing_agree_at_the_operating_point(
    curve: PumpCurve, pipe: Pipe, static_head_m: float
) -> None:
    plumbing = Plumbing(static_head_m, (pipe,))
    point = operating_point(curve, plumbing)
    below = head_needed_m(plumbing, point.flow_l_h * (1 - 1e-6))
    above = head_needed_m(plumbing, point.flow_l_h * (1 + 1e-6) + 1e-3)
    # Between laminar and turbulent flow the head needed makes a step: the pump may stand in it.
    assert below - 1e-3 <= point.head_m <= above + 1e-3


@settings(max_examples=40)
@given(curves(), pipes, heads, st.floats(0.01, 3.0))
def test_flow_falls_with_static_head(
    curve: PumpCurve, pipe: Pipe, static_head_m: float, more_m: float
) -> None:
    low = operating_point(curve, Plumbing(static_head_m, (pipe,)))
    high = operating_point(curve, Plumbing(static_head_m + more_m, (pipe,)))
    assert high.flow_l_h <= low.flow_l_h + 1e-3


def test_plumbing_that_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="inner diameter 0 mm"):
        Pipe(0, 1)
    with pytest.raises(ValueError, match="fitting 'bend' is not one of"):
        Pipe(25, 1, {"bend": 2})
    with pytest.raises(ValueError, match="static head -1 m"):
        Plumbing(-1)
    with pytest.raises(ValueError, match=r"viscosity 0\.938 m2/s"):
        pipe_loss_m(Pipe(25, 1), 100, 0.938)


@settings(max_examples=25, deadline=None)
@given(curves(), pipes, heads)
def test_the_range_of_a_flow_holds_it(curve: PumpCurve, pipe: Pipe, static_m: float) -> None:
    plumbing = Plumbing(static_m, (pipe,))
    point, flow = operating_point(curve, plumbing), operating_flow_l_h(curve, plumbing)
    assert flow.value == point.flow_l_h
    assert flow.low <= flow.value * (1 - point.relative_error) + 1e-9
    assert flow.high >= flow.value * (1 + point.relative_error) - 1e-9


def test_two_points_leave_the_flow_less_certain() -> None:
    # The same parabola, known at three points and at its ends only.
    plumbing = Plumbing(1.3, (Pipe(25.0, 2.5, other_loss_coefficient=4.2),))
    middle = PumpCurve(((0, 3), (2500, 2.25), (5000, 0)))
    known, guessed = operating_flow_l_h(middle, plumbing), operating_flow_l_h(PARABOLA, plumbing)
    assert guessed.value == pytest.approx(known.value, rel=0.05)
    assert guessed.high - guessed.low > 1.3 * (known.high - known.low)
    # The straight line through the two points, 2070 L/h, is held by the range.
    assert guessed.low < 2070
    assert 0.1 < (known.high - known.low) / 2 / known.value < 0.25


def test_trap_near_its_shut_off_head_a_pump_may_deliver_anything() -> None:
    curve = PumpCurve(((0, 3), (2500, 2.25), (5000, 0)))
    flow = operating_flow_l_h(curve, Plumbing(2.9, (Pipe(25.0, 2.5),)))
    assert flow.low == 0
    assert flow.high > 1.5 * flow.value > 0
    # A pump that just fails to lift by its curve may lift a little in truth.
    barely = operating_flow_l_h(curve, Plumbing(3.05, (Pipe(25.0, 2.5),)))
    assert (barely.low, barely.value) == (0, 0) and barely.high > 0
    never = operating_flow_l_h(curve, Plumbing(5.0, (Pipe(25.0, 2.5),)))
    assert never.high == 0


def test_trap_the_name_of_a_pipe_is_not_its_inner_diameter() -> None:
    # A rigid pipe sold as 25 mm has walls: 21 mm inside.
    assert worked_example(21).flow_l_h < 0.85 * worked_example(25).flow_l_h


def test_trap_an_outlet_under_water_adds_no_height() -> None:
    # 1.3 m from surface to surface, wherever below the surface the outlet ends.
    at_rest = head_needed_m(Plumbing(1.3, (Pipe(25, 2.5, {"exit": 1}),)), 0)
    assert at_rest == 1.3
