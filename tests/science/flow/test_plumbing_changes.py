from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.science.flow.hydraulics import (
    FITTINGS,
    Pipe,
    Plumbing,
    PumpCurve,
    operating_point,
)
from journal_tools.science.flow.plumbing_changes import (
    BORES_MM,
    flow_with_bores,
    flow_with_next_bore,
    flow_without_each,
    next_bore_mm,
    throttled,
    with_bore,
)
from tests.science.flow.test_pump_curve import curves

PARABOLA = PumpCurve(((0, 3), (5000, 0)))
WORKED = Plumbing(1.3, (Pipe(25, 2.5, other_loss_coefficient=4.2),))
LINE = Plumbing(
    1.2,
    (
        Pipe(32, 0.5, {"entrance": 1, "ball_valve": 1}),
        Pipe(25, 2.0, {"elbow_90": 4, "tee_branch": 1, "union": 0}, 0.5),
        Pipe(20, 0.3, {"exit": 1}),
    ),
)
pipes = st.builds(
    Pipe,
    st.floats(15.0, 50.0),
    st.floats(0.0, 5.0),
    st.dictionaries(st.sampled_from(FITTINGS), st.integers(0, 4), max_size=3),
)
plumbings = st.builds(
    Plumbing, st.floats(0.0, 2.5), st.lists(pipes, min_size=1, max_size=2).map(tuple)
)


def test_other_bores_of_the_worked_example() -> None:
    # 2065, 2752 and 3300 L/h at 20, 25 and 32 mm: fluids 1.3.1 with Brent's method.
    changes = flow_with_bores(PARABOLA, WORKED, (20, 25, 32), kinematic_viscosity_m2_s=9.38e-7)
    assert [change.flow_l_h for change in changes] == pytest.approx([2065, 2752, 3300], abs=1)
    assert [change.gain_l_h for change in changes] == pytest.approx([-687, 0, 548], abs=1)
    assert [change.what for change in changes] == ["20 mm", "25 mm", "32 mm"]


def test_every_part_is_tried_once() -> None:
    parts = {(change.pipe, change.what) for change in flow_without_each(PARABOLA, LINE)}
    assert parts == {
        (0, "length"), (0, "entrance"), (0, "ball_valve"),
        (1, "length"), (1, "elbow_90"), (1, "tee_branch"), (1, "other losses"),
        (2, "length"), (2, "exit"),
    }  # fmt: skip


def test_one_bend_of_four_is_taken_away() -> None:
    found = {c.what: c for c in flow_without_each(PARABOLA, LINE) if c.pipe == 1}
    three = Pipe(25, 2.0, {"elbow_90": 3, "tee_branch": 1}, 0.5)
    by_hand = operating_point(PARABOLA, Plumbing(1.2, (LINE.pipes[0], three, LINE.pipes[2])))
    assert found["elbow_90"].flow_l_h == pytest.approx(by_hand.flow_l_h)
    before = operating_point(PARABOLA, LINE).flow_l_h
    assert found["elbow_90"].gain_l_h == pytest.approx(by_hand.flow_l_h - before)


@settings(max_examples=15, deadline=None)
@given(curves(), plumbings)
def test_a_part_less_never_costs_flow_and_the_costliest_is_first(
    curve: PumpCurve, plumbing: Plumbing
) -> None:
    before = operating_point(curve, plumbing).flow_l_h
    changes = flow_without_each(curve, plumbing)
    gains = [change.gain_l_h for change in changes]
    assert gains == sorted(gains, reverse=True)
    for change in changes:
        assert change.flow_l_h == pytest.approx(before + change.gain_l_h)
        # Around the step between laminar and turbulent flow the root is found to this.
        assert change.gain_l_h >= -1e-3 * max(1.0, before)


@settings(max_examples=15, deadline=None)
@given(curves(), st.floats(15.0, 50.0), st.floats(0.1, 5.0), st.floats(0.0, 2.5))
def test_a_wider_straight_pipe_delivers_more(
    curve: PumpCurve, bore_mm: float, length_m: float, static_m: float
) -> None:
    plumbing = Plumbing(static_m, (Pipe(bore_mm, length_m),))
    (change,) = flow_with_next_bore(curve, plumbing)
    assert change.gain_l_h >= -1e-3
    assert change.what == f"{next_bore_mm(bore_mm):g} mm"


def test_one_pipe_or_all_get_another_bore() -> None:
    assert [p.inner_diameter_mm for p in with_bore(LINE, 40).pipes] == [40, 40, 40]
    assert [p.inner_diameter_mm for p in with_bore(LINE, 40, 1).pipes] == [32, 40, 20]
    assert with_bore(LINE, 40, 1).pipes[1].fittings == LINE.pipes[1].fittings
    assert [change.pipe for change in flow_with_next_bore(PARABOLA, LINE)] == [0, 1, 2]


def test_the_next_size() -> None:
    assert [next_bore_mm(bore) for bore in (12.7, 20, 25, 63)] == [16, 25, 32, 75]
    assert list(BORES_MM) == sorted(BORES_MM)
    with pytest.raises(ValueError, match="inner diameter 75 mm is outside"):
        next_bore_mm(75)


def test_an_open_valve_changes_nothing() -> None:
    assert throttled(LINE, 0.0) == LINE


@settings(max_examples=20, deadline=None)
@given(st.floats(0.0, 0.6), st.floats(0.01, 0.06))
def test_closing_a_valve_lowers_the_flow(closed: float, more: float) -> None:
    wide = operating_point(PARABOLA, throttled(LINE, closed)).flow_l_h
    narrow = operating_point(PARABOLA, throttled(LINE, closed + more)).flow_l_h
    assert 0 < narrow < wide <= operating_point(PARABOLA, LINE).flow_l_h


def test_a_valve_a_third_closed_by_hand() -> None:
    # K 0.05 open and 5.5 a third closed: Munson, Young & Okiishi, recalled.
    pipe = throttled(LINE, 1 / 3).pipes[0]
    assert pipe.other_loss_coefficient == pytest.approx(5.45)
    assert pipe.fittings == LINE.pipes[0].fittings


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="no pipe 3 among 3"):
        with_bore(LINE, 40, 3)
    with pytest.raises(ValueError, match="inner diameter 0 mm"):
        with_bore(LINE, 0)
    with pytest.raises(ValueError, match="has a ball valve"):
        throttled(WORKED, 0.3)
    with pytest.raises(ValueError, match=r"closed share of the valve 0\.9"):
        throttled(LINE, 0.9)


def test_a_pump_that_cannot_lift_gains_nothing() -> None:
    high = Plumbing(5.0, LINE.pipes)
    assert {change.flow_l_h for change in flow_without_each(PARABOLA, high)} == {0.0}
