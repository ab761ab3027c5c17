from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.science.hydraulics import (
    FITTINGS,
    OperatingPoint,
    Pipe,
    Plumbing,
    PumpCurve,
    darcy_friction_factor,
    head_needed_m,
    loss_coefficient,
    operating_point,
    pipe_loss_m,
)

from .check_values import Check, Row, assert_agrees, cases

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
    ("Darcy friction factor", "Re=1e5; e/D=1e-4"): lambda: darcy_friction_factor(1e5, 1e-4),
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
CHECKS = {(TOPIC, *key): Check(call) for key, call in _CALLS.items()} | {
    (TOPIC, "Hazen-Williams head loss", "Q=0.01 m3/s; D=0.1 m; L=100 m; C=150"): Check(
        ten_litres_a_second_m, 0.05, "another formula for the same pipe; they agree to 3 %"
    )
}

bores = st.floats(12.0, 60.0)
heads = st.floats(0.0, 2.9)
fittings = st.dictionaries(st.sampled_from(FITTINGS), st.integers(0, 6))
pipes = st.builds(Pipe, bores, st.floats(0.0, 10.0), fittings)


@st.composite
def curves(draw: st.DrawFn) -> PumpCurve:
    count = draw(st.integers(2, 7))
    flows = np.cumsum(draw(st.lists(st.floats(50, 2000), min_size=count, max_size=count)))
    falls = np.cumsum(draw(st.lists(st.floats(0.05, 1.5), min_size=count, max_size=count)))
    start = draw(st.floats(3.0, 6.0)) + falls[-1]
    points = zip(flows - flows[0], start - falls, strict=True)
    return PumpCurve(tuple((float(flow), float(head)) for flow, head in points))


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


def test_the_friction_factor_is_darcys_not_fannings() -> None:
    assert darcy_friction_factor(1000) == pytest.approx(64 / 1000)


@given(st.floats(5000, 1e8), st.floats(0.0, 0.04))
def test_friction_solves_colebrook(reynolds: float, roughness: float) -> None:
    # Colebrook 1939; the library's default is an explicit solution of it.
    root = 1 / math.sqrt(darcy_friction_factor(reynolds, roughness))
    colebrook = -2 * math.log10(roughness / 3.7 + 2.51 * root / reynolds)
    assert root == pytest.approx(colebrook, rel=1e-3)


# Crane TP-410 handbook in multiples of its turbulent friction factor at 1 inch (0.022): 30 for a
# standard elbow, 16 for 45 degrees, 20 and 60 for a tee, 100 for a swing check valve; recalled.
@pytest.mark.parametrize(
    ("fitting", "multiple"),
    [("elbow_90", 30), ("elbow_45", 16), ("tee_run", 20), ("tee_branch", 60), ("check_valve", 100)],
)
def test_losses_agree_with_another_handbook(fitting: str, multiple: int) -> None:
    assert loss_coefficient(fitting, 25.4) == pytest.approx(multiple * 0.022, rel=0.25)


def test_losses_of_openings() -> None:
    assert loss_coefficient("exit", 25) == 1
    assert 0.5 <= loss_coefficient("entrance", 25) <= 0.57
    assert loss_coefficient("ball_valve", 25) < 0.2
    with pytest.raises(ValueError, match="fitting 'gate' is not one of elbow_90"):
        loss_coefficient("gate", 25)


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


@given(curves())
def test_a_curve_goes_through_its_points_and_never_rises(curve: PumpCurve) -> None:
    head = curve.head_m()
    for flow, known in curve.points:
        assert head(flow) == pytest.approx(known)
    heads_m = [head(flow) for flow in np.linspace(0, curve.max_flow_l_h, 60)]
    assert all(later <= earlier + 1e-9 for earlier, later in pairwise(heads_m))
    assert heads_m[0] == pytest.approx(curve.shut_off_head_m)
    assert heads_m[-1] == pytest.approx(0, abs=1e-6)


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


@pytest.mark.parametrize(
    ("points", "message"),
    [
        (((0, 3),), "two points"),
        (((0, 3), (1000, 3.5)), "must fall as flow rises"),
        (((1000, 2), (500, 3)), "must fall as flow rises"),
        (((0, 3), (0, 2)), "must fall as flow rises"),
        (((0, 3), (1000, 2), (2000, 2)), "last two points"),
        (((-5, 3), (1000, 2)), "pump flow -5 L/h is outside"),
        (((0, float("nan")), (1000, 2)), "pump head nan m is outside"),
    ],
)
def test_a_curve_that_cannot_be_is_refused(
    points: tuple[tuple[float, float], ...], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        PumpCurve(points)


def test_plumbing_that_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="inner diameter 0 mm"):
        Pipe(0, 1)
    with pytest.raises(ValueError, match="fitting 'bend' is not one of"):
        Pipe(25, 1, {"bend": 2})
    with pytest.raises(ValueError, match="static head -1 m"):
        Plumbing(-1)
    with pytest.raises(ValueError, match=r"viscosity 0\.938 m2/s"):
        pipe_loss_m(Pipe(25, 1), 100, 0.938)
