from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.warmth.heat import WarmTank, heat_balance, heat_loss_w, side_panes
from journal_tools.science.warmth.heat_sizing import (
    chiller_power_w,
    heater_power_w,
    share_without_each_heater,
)
from journal_tools.science.warmth.moist_air import RoomAir
from journal_tools.science.warmth.temperature_drift import equilibrium_temperature_c

TANK = WarmTank(side_panes(1.2, 0.5, 0.55, 12.0), 0.6)
COLD, HOT = RoomAir(17.0, 45.0), RoomAir(32.0, 60.0)

rooms = st.builds(RoomAir, st.floats(10.0, 38.0), st.floats(10.0, 90.0))
set_points = st.floats(20.0, 30.0)


def test_a_heater_by_hand() -> None:
    """Net loss 151 W less 31 W of pumps is 120 W; times 1.25, 1.375 and 1.5."""
    needed = heater_power_w(TANK, 25.0, [RoomAir(20.0, 50.0)], gains_w=31.0)
    assert needed.value == pytest.approx(120 * 1.375, abs=1)
    net = heat_balance(TANK, 25.0, RoomAir(20.0, 50.0), gains_w=31.0).net_w
    assert needed.low == pytest.approx(1.25 * net.low)
    assert needed.high == pytest.approx(1.5 * net.high)


def test_a_margin_outside_the_usual_moves_the_range_along() -> None:
    twice = heater_power_w(TANK, 25.0, [COLD], margin=2.0)
    bare = heater_power_w(TANK, 25.0, [COLD], margin=1.0)
    assert twice.value == pytest.approx(2 * bare.value)
    net = heat_balance(TANK, 25.0, COLD).net_w
    assert (bare.low, twice.high) == pytest.approx((net.low, 2 * net.high))


@given(set_points, st.lists(rooms, min_size=1, max_size=4), st.floats(0.0, 200.0))
def test_the_worst_room_decides(set_c: float, several: list[RoomAir], gains_w: float) -> None:
    for size in (heater_power_w, chiller_power_w):
        worst = max(size(TANK, set_c, [room], gains_w).value for room in several)
        assert size(TANK, set_c, several, gains_w).value == worst


@given(set_points, rooms, st.floats(0.0, 200.0))
def test_a_room_calls_for_a_heater_or_a_chiller(
    set_c: float, room: RoomAir, gains_w: float
) -> None:
    heater = heater_power_w(TANK, set_c, [room], gains_w, margin=1.0).value
    chiller = chiller_power_w(TANK, set_c, [room], gains_w).value
    assert heater == 0 or chiller == 0
    net = heat_loss_w(TANK, set_c, room) - gains_w
    assert heater - chiller == pytest.approx(net, abs=1e-9)


@given(set_points, rooms, st.floats(0.0, 200.0), st.floats(1.0, 100.0))
def test_gains_save_heating_and_cost_cooling(
    set_c: float, room: RoomAir, gains_w: float, more_w: float
) -> None:
    before, after = (
        heater_power_w(TANK, set_c, [room], gain).value for gain in (gains_w, gains_w + more_w)
    )
    assert after <= before
    before, after = (
        chiller_power_w(TANK, set_c, [room], gain).value for gain in (gains_w, gains_w + more_w)
    )
    assert after >= before


def test_evaporation_takes_part_of_the_chillers_work() -> None:
    dry, damp = RoomAir(30.0, 30.0), RoomAir(30.0, 90.0)
    assert chiller_power_w(TANK, 26.0, [dry], 150.0).value < (
        chiller_power_w(TANK, 26.0, [damp], 150.0).value - 40
    )
    # The least that evaporates makes the most for the chiller.
    sized = chiller_power_w(TANK, 26.0, [dry], 150.0)
    assert sized.low < sized.value < sized.high


def test_the_coldest_room_need_not_be_the_worst() -> None:
    cold_damp, warm_dry = RoomAir(22.0, 95.0), RoomAir(22.5, 15.0)
    both = heater_power_w(TANK, 25.0, [cold_damp, warm_dry])
    assert both == heater_power_w(TANK, 25.0, [warm_dry])
    assert both != heater_power_w(TANK, 25.0, [cold_damp])


def test_at_zero_difference_a_heater_is_still_needed() -> None:
    assert heater_power_w(TANK, 25.0, [RoomAir(25.0, 40.0)]).low > 25


def test_two_heaters_of_which_one_fails() -> None:
    assert share_without_each_heater([150.0, 100.0], 120.0) == pytest.approx((100 / 120, 150 / 120))
    assert share_without_each_heater([200.0], 120.0) == (0.0,)


@given(st.lists(st.floats(10.0, 300.0), min_size=2, max_size=5), st.floats(20.0, 500.0))
def test_the_largest_heater_is_missed_most(powers_w: list[float], needed_w: float) -> None:
    shares = share_without_each_heater(powers_w, needed_w)
    assert min(shares) == shares[powers_w.index(max(powers_w))]
    count = len(powers_w)
    assert sum(shares) == pytest.approx((count - 1) * sum(powers_w) / needed_w)


def test_what_one_of_two_heaters_holds() -> None:
    """Half the heat holds a bit more than half the way up from where the tank would settle."""
    needed = heat_loss_w(TANK, 25.0, COLD)
    unheated, half = (equilibrium_temperature_c(TANK, COLD, w) for w in (0.0, needed / 2))
    assert unheated < half < 25
    assert (half - unheated) / (25 - unheated) == pytest.approx(0.5, abs=0.05)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: heater_power_w(TANK, 25.0, []), "at least one room"),
        (lambda: chiller_power_w(TANK, 25.0, []), "at least one room"),
        (lambda: heater_power_w(TANK, 25.0, [COLD], margin=0.5), "margin"),
        (lambda: heater_power_w(TANK, 78.0, [HOT]), "water temperature"),
        (lambda: share_without_each_heater([100.0], 0.0), "heat needed"),
        (lambda: share_without_each_heater([-100.0], 50.0), "heater power"),
    ],
)
def test_what_cannot_be_is_refused(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=message):
        call()
