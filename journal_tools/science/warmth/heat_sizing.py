"""Power of the heater or chiller that makes up for what a tank loses or gains.

Mains heaters in salt water can electrocute, burn and start fires; a thermostat that sticks cooks a
tank. A figure from here is an estimate for choosing, never a verdict: use a residual-current
device and a second thermostat in series, and leave wiring to a licensed trade and the local code.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from journal_tools.science.estimate import Estimate
from journal_tools.science.validity import in_scalar_range
from journal_tools.science.warmth.heat import WarmTank, heat_balance
from journal_tools.science.warmth.moist_air import RoomAir

HEATER_MARGIN = (1.25, 1.5)
"""Lowest and highest usual margin on a heater: common practice, no source."""

USUAL_MARGIN = 1.375
"""Middle of ``HEATER_MARGIN``."""


def heater_power_w(
    tank: WarmTank,
    set_point_c: float,
    rooms: Iterable[RoomAir],
    gains_w: float = 0.0,
    margin: float = USUAL_MARGIN,
) -> Estimate:
    """Give the heater power in W for the worst of some rooms; 0 where none is needed.

    The worst room is the one that takes most heat: a dry one can beat a colder damp one.

    Args:
        tank: Panes and surface.
        set_point_c: Temperature to hold in °C, 0 to 40.
        rooms: Rooms that may come, at least one.
        gains_w: Heat that is there at the worst hour in W, 0 to 1e5: at night no lamp.
        margin: Factor on what is needed, 1 to 3.

    Raises:
        ValueError: If there is no room, or a value is out of range.

    Uncertainty:
        Stated by the result: that of the balance, and margins of 1.25 to 1.5.

    Source:
        ``heat_balance``; the margin is common practice, no source, and so is "1 W for each L".

    >>> from journal_tools.science.warmth.heat import side_panes
    >>> tank = WarmTank(side_panes(1.2, 0.5, 0.55, 12.0), 0.6)
    >>> round(heater_power_w(tank, 25.0, [RoomAir(20.0, 50.0), RoomAir(17.0, 45.0)]).value)
    297
    """
    factor = in_scalar_range("margin", margin, 1.0, 3.0)
    net = max(_nets_w(tank, set_point_c, rooms, gains_w), key=lambda one: one.value)
    return Estimate(
        factor * max(net.value, 0.0),
        min(factor, HEATER_MARGIN[0]) * max(net.low, 0.0),
        max(factor, HEATER_MARGIN[1]) * max(net.high, 0.0),
    )


def chiller_power_w(
    tank: WarmTank, set_point_c: float, rooms: Iterable[RoomAir], gains_w: float = 0.0
) -> Estimate:
    """Give the cooling power in W for the worst of some rooms; 0 where none is needed.

    Args:
        tank: Panes and surface.
        set_point_c: Temperature to hold in °C, 0 to 40.
        rooms: Rooms that may come, at least one.
        gains_w: Heat of pumps and lamps at the worst hour in W, 0 to 1e5.

    Raises:
        ValueError: If there is no room, or a value is out of range.

    Uncertainty:
        Stated by the result. No margin is added; a chiller in the same room heats it further.

    Source:
        ``heat_balance``: gains and room heat, less evaporation.

    >>> from journal_tools.science.warmth.heat import side_panes
    >>> tank = WarmTank(side_panes(1.2, 0.5, 0.55, 12.0), 0.6)
    >>> round(chiller_power_w(tank, 26.0, [RoomAir(32.0, 60.0)], gains_w=150.0).value)
    250
    """
    net = min(_nets_w(tank, set_point_c, rooms, gains_w), key=lambda one: one.value)
    return Estimate(max(-net.value, 0.0), max(-net.high, 0.0), max(-net.low, 0.0))


def _nets_w(
    tank: WarmTank, set_point_c: float, rooms: Iterable[RoomAir], gains_w: float
) -> list[Estimate]:
    nets = [heat_balance(tank, set_point_c, room, gains_w).net_w for room in rooms]
    if not nets:
        raise ValueError("at least one room is needed")
    return nets


def share_without_each_heater(
    heater_powers_w: Sequence[float], needed_w: float
) -> tuple[float, ...]:
    """Give, for each heater, the share of the heat needed that the others carry when it fails.

    Args:
        heater_powers_w: Power of each heater in W, 0 to 1e5.
        needed_w: Heat needed in the worst room, without margin, in W, 0.1 to 1e5.

    Returns:
        One share for each heater; 1 and more means that the others hold the temperature.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the heat needed.

    Source:
        Energy balance.

    >>> share_without_each_heater([200.0, 200.0], 160.0)
    (1.25, 1.25)
    """
    powers = [in_scalar_range("heater power", watt, 0.0, 1e5, "W") for watt in heater_powers_w]
    needed = in_scalar_range("heat needed", needed_w, 0.1, 1e5, "W")
    return tuple((math.fsum(powers) - watt) / needed for watt in powers)
