"""Turnover and operating point through a profile."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.metrics import Metrics
from journal_tools.science.flow.hydraulics import loss_coefficient
from tests.journals import TANK, metrics, read
from tests.metrics.conftest import assert_sound
from tests.science.check_values import read_rows

TANK_510 = TANK + "vessels: {name: mesocosm, shape: stated, volume: 510 ± 10 L}\n"


def of_pump(facts: str, *, tank: str = TANK_510, log: dict[str, str] | None = None) -> Metrics:
    pump = f"equipment: [{{name: pump, kind: return pump, {facts}}}]\n"
    return metrics({"tank.yml": tank + pump} | (log or {}))


def test_a_published_experiment() -> None:
    """BCO-DMO dataset 884411: tanks of 510 L, measured inflow 84.36 mL/s.

    Its text says "full turnover every ~2 hours"; flow and volume give 1.68 h, so the report
    rounds.
    """
    result = of_pump("rated_flow: 84.36 ml/s").one("rated_turnover", "pump")
    assert result is not None
    assert result.value == pytest.approx(0.5955, abs=5e-5)
    assert 1 / result.value == pytest.approx(1.68, abs=5e-3)
    assert round(1 / result.value) == 2
    assert result.low is not None and result.high is not None
    assert (result.high - result.low) / 2 / result.value == pytest.approx(10 / 510)


def parabola(points: int) -> str:
    """Write H = 3 (1 - (Q / 5000)^2) m as curve points of a profile."""
    flows = [5000 * n / (points - 1) for n in range(points)]
    pairs = (f"{{flow: {q:.2f}, head: {3 * (1 - (q / 5000) ** 2):.6f} m}}" for q in flows)
    return f"curve: [{', '.join(pairs)}]"


def line(bore: int, fittings: str = "{}", static: str = "1.3 m") -> str:
    pipes = f"[{{length: 2.5 m, bore: {bore} mm}}]"
    return f"plumbing: {{static_head: {static}, pipes: {pipes}, fittings: {fittings}}}"


@pytest.mark.parametrize("bore", [20, 25])
def test_the_worked_operating_point(bore: int) -> None:
    """The table's pump and pipe; its sum of K, 4.2, is made up of fittings as near as they go."""
    elbows = round((4.2 - 1.0) / loss_coefficient("elbow_90", bore, 4e4))
    (row,) = [r for r in read_rows() if r.quantity == "operating point flow" and f"ID={bore} mm;"
              in r.inputs]  # fmt: skip
    fittings = f"{{exit: 1, elbow_90: {elbows}}}"
    result = of_pump(f"{parabola(11)}, {line(bore, fittings)}").one("return_flow", "pump")
    assert result is not None
    # Whole elbows leave up to 0.4 of the 4.2 open; the flow goes with about its fifth root.
    assert result.value == pytest.approx(row.value, rel=0.03)
    assert (result.low, result.high) == pytest.approx((0.85 * result.value, 1.15 * result.value))


def test_real_turnover_combines_flow_and_volume_errors() -> None:
    found = of_pump(f"{parabola(11)}, {line(25)}")
    flow, turnover = found.one("return_flow"), found.one("turnover")
    assert flow is not None and turnover is not None and turnover.high is not None
    assert turnover.value == pytest.approx(flow.value / 510)
    share = (turnover.high - turnover.value) / turnover.value
    # JCGM 100:2008, 5.1.2: 15 % of the flow and 10 L in 510, as squares
    assert share == pytest.approx((0.15**2 + (10 / 510) ** 2) ** 0.5)


def test_two_points_are_less_certain() -> None:
    result = of_pump(f"{parabola(2)}, {line(25)}").one("return_flow")
    assert result is not None and result.high == pytest.approx(1.25 * result.value)


def test_a_pump_that_cannot_lift_says_so() -> None:
    found = of_pump(f"{parabola(5)}, {line(25, static='3.2 m')}")
    flow, turnover = found.one("return_flow"), found.one("turnover")
    assert flow is not None and turnover is not None
    assert flow.value == turnover.value == 0
    assert "cannot lift" in flow.note


@pytest.mark.parametrize(
    ("facts", "log", "in_service"),
    [
        ("installed: 2026-01-02", {}, True),
        ("installed: 2026-01-02, removed: 2026-02-01", {}, False),
        ("installed: 2026-01-02, removed: 2026-06-01", {}, True),
        ("note: '-'", {"log/2026-02-01.yml": "equipment: {removed: pump}\n"}, False),
        (
            "note: '-'",
            {
                "log/2026-02-01.yml": "equipment: {removed: pump}\n",
                "log/2026-02-09.yml": "equipment: {installed: pump}\n",
            },
            True,
        ),
    ],
)
def test_only_pumps_in_service_count(facts: str, log: dict[str, str], in_service: bool) -> None:
    found = of_pump(f"rated_flow: 1000, {facts}", log=log)
    assert (found.one("rated_turnover") is not None) == in_service


@pytest.mark.parametrize("facts", ["planned: true", "installed: 2026-06-01"])
def test_a_planned_pump_stands_in_until_there_is_one_and_says_so(facts: str) -> None:
    found = of_pump(f"rated_flow: 1000, {parabola(5)}, {line(25)}, {facts}")
    for name in ("rated_turnover", "return_flow", "flow_lost", "flow_gained", "turnover"):
        result = found.one(name)
        assert result is not None and "Planned, not yet in service." in result.note, name
    old = "{name: old, kind: return pump, rated_flow: 900}"
    both = f"equipment: [{old}, {{name: pump, kind: return pump, rated_flow: 1000, {facts}}}]\n"
    assert [r.subject for r in metrics({"tank.yml": TANK_510 + both}).of("rated_turnover")] == [
        "old"
    ]


def test_no_volume_no_turnover_but_flow() -> None:
    found = of_pump(f"rated_flow: 1000, {parabola(5)}, {line(25)}", tank=TANK)
    assert found.one("return_flow") is not None
    assert found.one("turnover") is None and found.one("rated_turnover") is None


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        (f"{parabola(5)}, {line(25, '{knee: 2}')}", "unknown-fitting"),
        (f"curve: [{{flow: 0, head: 1 m}}, {{flow: 9, head: 3 m}}], {line(25)}", "pump-curve"),
        (f"{parabola(5)}, {line(0)}", "impossible-value"),
    ],
)
def test_what_no_pump_or_pipe_can_be_is_a_problem_and_not_a_crash(facts: str, code: str) -> None:
    files = {"tank.yml": TANK_510 + f"equipment: [{{name: pump, kind: return pump, {facts}}}]\n"}
    (problem,) = read(files).problems
    assert (problem.file, problem.line, problem.code) == ("tank.yml", 5, code)
    assert metrics(files, but=(code,)).one("net_volume") is not None


def test_the_order_of_pipes_does_not_change_the_flow() -> None:
    """Pieces in series lose the same head in either order: Darcy-Weisbach adds them up."""
    wide = "{length: 2 m, bore: 32 mm, fittings: {elbow_90: 4}}"
    narrow = "{length: 0.3 m, bore: 16 mm, fittings: {exit: 1}}"
    flows = [
        of_pump(f"{parabola(11)}, plumbing: {{static_head: 1.3 m, pipes: [{a}, {b}]}}").one(
            "return_flow", "pump"
        )
        for a, b in ((wide, narrow), (narrow, wide))
    ]
    assert flows[0] is not None and flows[1] is not None
    assert flows[0].value == pytest.approx(flows[1].value, rel=1e-9)


def test_the_worked_gain_of_a_wider_pipe() -> None:
    """From 25 to 32 mm: 2752 to 3300 L/h by the fluids library, so 550 more."""
    elbows = round((4.2 - 1.0) / loss_coefficient("elbow_90", 25, 4e4))
    found = of_pump(f"{parabola(11)}, {line(25, f'{{exit: 1, elbow_90: {elbows}}}')}")
    (gain,) = found.of("flow_gained")
    assert gain.subject == "pump: 32 mm instead of 25 mm in pipe 1"
    assert gain.value == pytest.approx(3300 - 2752, rel=0.05)
    as_it_is, after = (float(i.value.removesuffix(" L/h")) for i in gain.inputs)
    assert after - as_it_is == pytest.approx(gain.value, abs=1)


def test_what_each_part_costs_the_costliest_first() -> None:
    found = of_pump(f"{parabola(11)}, {line(25, '{exit: 1, elbow_90: 3}')}")
    lost = found.of("flow_lost")
    assert {r.subject for r in lost} == {
        "pump: length in pipe 1 of 25 mm",
        "pump: exit in pipe 1 of 25 mm",
        "pump: elbow 90 (one of 3) in pipe 1 of 25 mm",
    }
    values = [r.value for r in lost]
    assert values == sorted(values, reverse=True) and values[-1] >= 0


def test_without_a_pipe_that_costs_anything_nothing_is_lost() -> None:
    """A pump that lifts nothing has no flow to lose."""
    found = of_pump(f"{parabola(5)}, {line(25, static='3.2 m')}")
    assert found.of("flow_lost") == found.of("flow_gained") == []
    assert "cannot lift" in found.of("turnover")[0].note


@pytest.mark.parametrize("bore", ["75 mm", "90 mm", "100 cm"])
def test_the_widest_pipes_have_no_next_size_and_stop_no_other(bore: str) -> None:
    pipes = f"[{{length: 1 m, bore: 25 mm}}, {{length: 1 m, bore: {bore}}}]"
    found = of_pump(f"{parabola(5)}, plumbing: {{static_head: 1.3 m, pipes: {pipes}}}")
    assert [r.subject for r in found.of("flow_gained")] == [
        "pump: 32 mm instead of 25 mm in pipe 1"
    ]


def test_a_us_plumbing_gives_the_same() -> None:
    """1 ft = 30.48 cm, 1 in = 2.54 cm, 1 gal = 3.785411784 L, all exact."""
    us = TANK + "units: {system: us}\nvessels: {name: m, shape: stated, volume: 134.73}\n"
    flows = ", ".join(
        f"{{flow: {5000 * n / 10 / 3.785411784:.4f}, head: {3 * (1 - (n / 10) ** 2) / 0.3048:.5f}}}"
        for n in range(11)
    )
    pipe = f"plumbing: {{static_head: {1.3 / 0.3048}, pipes: [{{length: {2.5 / 0.3048}, bore: "
    pipe += f"{25 / 25.4}}}]}}"
    found = of_pump(f"curve: [{flows}], {pipe}", tank=us).one("return_flow")
    metric = of_pump(f"{parabola(11)}, {line(25)}").one("return_flow")
    assert found is not None and metric is not None
    assert found.value == pytest.approx(metric.value, rel=1e-3)


@settings(max_examples=12, deadline=None)
@given(
    bore=st.floats(6, 74), static=st.floats(0, 2.9), elbows=st.integers(0, 12),
    length=st.floats(0, 20),
)  # fmt: skip
def test_a_wider_pipe_never_flows_less_and_a_part_never_helps(
    bore: float, static: float, elbows: int, length: float
) -> None:
    pipes = f"[{{length: {length:.2f} m, bore: {bore:.2f} mm, fittings: {{elbow_90: {elbows}}}}}]"
    found = of_pump(f"{parabola(5)}, plumbing: {{static_head: {static:.2f} m, pipes: {pipes}}}")
    assert_sound(found)
    assert all(r.value >= -0.5 for r in (*found.of("flow_gained"), *found.of("flow_lost")))
