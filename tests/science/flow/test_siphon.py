from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.estimate import Estimate
from journal_tools.science.flow.siphon import (
    STANDARD_GRAVITY_M_S2,
    Layer,
    Overflow,
    blocked_drain,
    drain_time_s,
    fall_of_level_cm,
    pipe_content_l,
    power_cut,
)
from journal_tools.science.structure.geometry import rectangle_surface_cm2

surfaces = st.floats(100.0, 20_000.0)
heights = st.floats(0.0, 60.0)
layers = st.builds(Layer, surfaces, heights, st.floats(0.0, 0.1), st.floats(0.0, 2.0))
DISPLAY = rectangle_surface_cm2(120, 50)
SUMP = rectangle_surface_cm2(75, 40)


def test_a_power_cut_by_hand() -> None:
    # 120 × 50 cm falls 3 cm: 18 L; 2 m of 32 mm pipe: 1.608 L; 75 × 40 cm with 12 cm free: 36 L.
    pipe = pipe_content_l(32.0, 2.0)
    assert pipe == pytest.approx(math.pi * 0.16**2 * 20)
    found = power_cut([Layer(DISPLAY, 3.0)], Layer(SUMP, 12.0), [Estimate(pipe, pipe, pipe)])
    assert found.arrives_l.value == pytest.approx(18 + 1.608, abs=0.001)
    assert found.room_l.value == pytest.approx(36)
    assert found.margin_l.value == pytest.approx(16.392, abs=0.001)
    assert not found.may_overflow


def test_errors_of_measures_reach_the_margin() -> None:
    found = power_cut([Layer(DISPLAY, 3.0)], Layer(SUMP, 12.0))
    # Half a centimetre on 6000 and 3000 cm2 and 1 % of each volume, added as squares.
    error = math.hypot(6000 * 0.5 / 1000, 0.18, 3000 * 0.5 / 1000, 0.36)
    assert found.margin_l.high - found.margin_l.value == pytest.approx(error)
    assert found.margin_l.value - found.margin_l.low == pytest.approx(error)


def test_a_margin_within_its_error_may_overflow() -> None:
    close = power_cut([Layer(DISPLAY, 5.5)], Layer(SUMP, 12.0))
    assert close.margin_l.value > 0
    assert close.may_overflow


def test_trap_weir_and_siphon_break_drain_the_same_water_once() -> None:
    assert fall_of_level_cm(1.0, 3.0) == 3
    assert fall_of_level_cm(2.0, 0.5) == 2


def test_trap_a_siphon_break_grown_shut_drains_to_the_outlet() -> None:
    assert fall_of_level_cm(1.0, 3.0, False, 12.0) == 12
    assert fall_of_level_cm(1.0, 3.0, True, 12.0) == 3
    open_break = power_cut([Layer(DISPLAY, fall_of_level_cm(1.0, 3.0))], Layer(SUMP, 15.0))
    shut = fall_of_level_cm(1.0, 3.0, False, 12.0)
    grown_shut = power_cut([Layer(DISPLAY, shut)], Layer(SUMP, 15.0))
    assert not open_break.may_overflow
    assert grown_shut.margin_l.value == pytest.approx(45 - 72)


def test_trap_a_top_off_goes_on_filling_behind_a_blocked_drain() -> None:
    chamber, room = Layer(1200.0, 20.0, 0, 0), Layer(DISPLAY, 5.0, 0, 0)
    assert blocked_drain(chamber, room).margin_l.value == pytest.approx(30 - 24)
    reservoir = Estimate(20.0, 18.0, 22.0)
    found = blocked_drain(chamber, room, [reservoir])
    margin = found.margin_l
    assert (margin.low, margin.value, margin.high) == pytest.approx((-16, -14, -12))
    assert found.may_overflow


@given(st.lists(layers, max_size=3), layers)
def test_water_is_neither_lost_nor_made(draining: list[Layer], room: Layer) -> None:
    found = power_cut(draining, room)
    assert found.room_l.value == pytest.approx(found.arrives_l.value + found.margin_l.value)
    assert found.room_l == room.volume_l
    assert found.arrives_l.low >= -1e-9


@given(layers, layers, st.floats(0.0, 20.0))
def test_a_deeper_fall_leaves_less_room(display: Layer, room: Layer, more_cm: float) -> None:
    deeper = Layer(display.surface_cm2, display.height_cm + more_cm)
    assert power_cut([deeper], room).margin_l.value <= power_cut([display], room).margin_l.value


@given(layers, layers)
def test_a_power_cut_and_a_blocked_drain_are_the_same_balance(one: Layer, other: Layer) -> None:
    assert power_cut([one], other) == blocked_drain(one, other)


def test_an_overflow_reads_its_margin() -> None:
    litre = Estimate(1.0, 1.0, 1.0)
    assert Overflow(litre, litre, Estimate(0.0, -0.1, 0.1)).may_overflow
    assert not Overflow(litre, litre, Estimate(0.0, 0.0, 0.0)).may_overflow


@given(surfaces, st.floats(1.0, 200.0), st.floats(0.0, 1.0), st.floats(5.0, 60.0))
def test_drain_times_add_up(surface: float, start: float, share: float, bore: float) -> None:
    between = share * start
    first = drain_time_s(surface, start, between, bore)
    rest = drain_time_s(surface, between, 0.0, bore)
    assert first + rest == pytest.approx(drain_time_s(surface, start, 0.0, bore))


def test_an_ideal_tank_empties_in_twice_the_time_of_its_first_flow() -> None:
    # Torricelli: t = 2 V/Q0. A 1 m2 tank, 1 m deep, 50 mm opening.
    flow_m3_s = math.pi * 0.05**2 / 4 * math.sqrt(2 * STANDARD_GRAVITY_M_S2 * 1.0)
    assert drain_time_s(1e4, 100.0, 0.0, 50.0, 1.0) == pytest.approx(2 * 1.0 / flow_m3_s)


def test_drain_time_by_small_steps() -> None:
    head_m, seconds, area = 0.63, 0.0, 0.61 * math.pi * 0.025**2 / 4
    while head_m > 0.60:
        head_m -= area * math.sqrt(2 * STANDARD_GRAVITY_M_S2 * head_m) * 0.001 / 0.6
        seconds += 0.001
    assert drain_time_s(6000.0, 63.0, 60.0, 25.0) == pytest.approx(seconds, rel=1e-3)


def test_arrays() -> None:
    bores, heads = np.array([20.0, 32.0, -1.0]), np.array([63.0, 80.0])
    assert pipe_content_l(bores, 2.0) == pytest.approx(
        [pipe_content_l(20.0, 2.0), pipe_content_l(32.0, 2.0), np.nan], nan_ok=True
    )
    both = drain_time_s(np.array([6000.0, 6000.0]), heads, 60.0, 25.0)
    assert both == pytest.approx([drain_time_s(6000.0, float(h), 60.0, 25.0) for h in heads])
    falls = fall_of_level_cm(np.array([1.0, 4.0]), np.array([3.0, 3.0]))
    assert falls.tolist() == [3, 4]
    assert type(pipe_content_l(20.0, 2.0)) is float


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="water surface 0 cm2"):
        Layer(0.0, 3.0)
    with pytest.raises(ValueError, match="water height -1 cm"):
        Layer(100.0, -1.0)
    with pytest.raises(ValueError, match="height error -1 cm"):
        Layer(100.0, 1.0, height_error_cm=-1.0)
    with pytest.raises(ValueError, match="head at the end 70 cm is outside 0 to 63 cm"):
        drain_time_s(6000.0, 63.0, 70.0, 25.0)
    with pytest.raises(ValueError, match="level above the weir -1 cm"):
        fall_of_level_cm(-1.0, 3.0)
    with pytest.raises(ValueError, match=r"discharge coefficient 1\.5"):
        drain_time_s(6000.0, 63.0, 60.0, 25.0, 1.5)
