"""Turnover and operating point through a profile."""

from __future__ import annotations

import pytest

from journal_tools.metrics import Metrics
from journal_tools.science.hydraulics import loss_coefficient
from tests.journals import TANK, metrics, read
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
        ("planned: true", {}, False),
        ("installed: 2026-06-01", {}, False),
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
