from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.flow.friction import (
    ball_valve_loss_coefficient,
    darcy_friction_factor,
    hazen_williams_loss_m,
    loss_coefficient,
)
from journal_tools.science.flow.hydraulics import Pipe, pipe_loss_m
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "09 pumps"
CHECKS = {
    (TOPIC, "Darcy friction factor", "Re=1e5; e/D=1e-4"): Check(
        lambda: darcy_friction_factor(1e5, 1e-4)
    ),
    (TOPIC, "Hazen-Williams head loss", "Q=0.01 m3/s; D=0.1 m; L=100 m; C=150"): Check(
        lambda: hazen_williams_loss_m(0.01 * 3.6e6, 100.0, 100.0, 150.0)
    ),
}

wide_bores = st.floats(50.0, 300.0)
speeds = st.floats(0.3, 3.0)


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


def flow_at(speed_m_s: float, bore_mm: float) -> float:
    return speed_m_s * math.pi * (bore_mm / 1000) ** 2 / 4 * 3.6e6


@given(speeds, st.floats(50.0, 200.0))
def test_the_rule_of_water_works_agrees_with_darcy_in_wide_pipes(
    speed: float, bore_mm: float
) -> None:
    flow = flow_at(speed, bore_mm)
    darcy = pipe_loss_m(Pipe(bore_mm, 100.0), flow, 1.14e-6)
    assert hazen_williams_loss_m(flow, bore_mm, 100.0) == pytest.approx(darcy, rel=0.15)


def test_the_rule_of_water_works_in_american_units() -> None:
    # EPANET manual: h in ft = 4.727 L C^-1.852 d^-4.871 q^1.852 in ft and cubic ft a second.
    foot = 0.3048
    flow, bore, length = 0.01 / foot**3, 0.1 / foot, 100 / foot
    head = 4.727 * length * 150**-1.852 * bore**-4.871 * flow**1.852 * foot
    assert hazen_williams_loss_m(36_000.0, 100.0, 100.0) == pytest.approx(head, rel=2e-3)


def test_trap_the_rule_of_water_works_is_refused_for_hoses() -> None:
    with pytest.raises(ValueError, match="inner diameter 25 mm is outside 50 to 2000 mm"):
        hazen_williams_loss_m(2500.0, 25.0, 2.5)
    with pytest.raises(ValueError, match="flow 10 L/h is outside"):
        hazen_williams_loss_m(10.0, 50.0, 2.5)
    found = hazen_williams_loss_m(np.full(2, 36_000.0), np.array([100.0, 25.0]), 100.0)
    assert found == pytest.approx([1.4603, np.nan], abs=1e-3, nan_ok=True)


@given(speeds, wide_bores, st.floats(1.0, 1000.0), st.floats(1.1, 3.0))
def test_a_longer_and_a_rougher_pipe_lose_more(
    speed: float, bore_mm: float, length_m: float, factor: float
) -> None:
    flow = flow_at(speed, bore_mm)
    loss = hazen_williams_loss_m(flow, bore_mm, length_m)
    assert hazen_williams_loss_m(flow, bore_mm, factor * length_m) == pytest.approx(factor * loss)
    assert hazen_williams_loss_m(flow, bore_mm, length_m, 100.0) > loss
    faster = hazen_williams_loss_m(factor * flow, bore_mm, length_m)
    assert faster == pytest.approx(factor**1.852 * loss)


@given(st.lists(st.tuples(speeds, wide_bores), min_size=1, max_size=4))
def test_an_array_gives_what_its_numbers_give(several: list[tuple[float, float]]) -> None:
    flows = [flow_at(*pair) for pair in several]
    bores = [bore for _, bore in several]
    alone = [hazen_williams_loss_m(f, b, 10.0) for f, b in zip(flows, bores, strict=True)]
    together = hazen_williams_loss_m(np.array(flows), np.array(bores), 10.0)
    assert together == pytest.approx(alone)
    assert type(alone[0]) is float


@given(st.floats(0.0, 0.6), st.floats(0.001, 0.06))
def test_closing_a_valve_costs_more_and_more(closed: float, more: float) -> None:
    assert ball_valve_loss_coefficient(closed + more) > ball_valve_loss_coefficient(closed)


def test_a_valve_by_thirds() -> None:
    # Munson, Young & Okiishi, table of loss coefficients, recalled.
    found = ball_valve_loss_coefficient(np.array([0.0, 1 / 3, 2 / 3, 0.9]))
    assert found == pytest.approx([0.05, 5.5, 210, np.nan], nan_ok=True)
    with pytest.raises(ValueError, match=r"closed share of the valve 0\.9"):
        ball_valve_loss_coefficient(0.9)
