from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.flow.pump_curve import PumpCurve


@st.composite
def curves(draw: st.DrawFn) -> PumpCurve:
    count = draw(st.integers(2, 7))
    flows = np.cumsum(draw(st.lists(st.floats(50, 2000), min_size=count, max_size=count)))
    falls = np.cumsum(draw(st.lists(st.floats(0.05, 1.5), min_size=count, max_size=count)))
    start = draw(st.floats(3.0, 6.0)) + falls[-1]
    points = zip(flows - flows[0], start - falls, strict=True)
    return PumpCurve(tuple((float(flow), float(head)) for flow, head in points))


@given(curves())
def test_a_curve_goes_through_its_points_and_never_rises(curve: PumpCurve) -> None:
    head = curve.head_m()
    for flow, known in curve.points:
        assert head(flow) == pytest.approx(known)
    heads_m = [head(flow) for flow in np.linspace(0, curve.max_flow_l_h, 60)]
    assert all(later <= earlier + 1e-9 for earlier, later in pairwise(heads_m))
    assert heads_m[0] == pytest.approx(curve.shut_off_head_m)
    assert heads_m[-1] == pytest.approx(0, abs=1e-6)


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


@given(curves())
def test_a_straight_line_keeps_the_outer_points_and_lies_lower(curve: PumpCurve) -> None:
    line = curve.straight()
    for flow, head in (curve.points[0], curve.points[-1]):
        assert line.head_m()(flow) == pytest.approx(head)
    ends = PumpCurve((curve.points[0], curve.points[-1]))
    for flow in np.linspace(curve.points[0][0], curve.points[-1][0], 20):
        assert line.head_m()(float(flow)) <= ends.head_m()(float(flow)) + 1e-9


def test_box_values_make_a_parabola() -> None:
    # H = 3 (1 - (Q/5000)²).
    curve = PumpCurve(((0, 3), (5000, 0)))
    assert curve.head_m()(2500) == pytest.approx(2.25)
    assert curve.straight().head_m()(2500) == pytest.approx(1.5)
    assert not curve.is_certain
    assert (curve.shut_off_head_m, curve.max_flow_l_h) == pytest.approx((3, 5000))
