"""How fast the water of a tank cools or warms: after a power cut, with a heater, towards what.

Only water counts as store of heat; rock, glass and stand slow the change by some percent more.
"""

from __future__ import annotations

import math

import numpy as np

from journal_tools.science.validity import FloatArray, Number, as_given, in_range, in_scalar_range
from journal_tools.science.warmth.heat import WarmTank, heat_loss_w
from journal_tools.science.warmth.moist_air import WATER_TEMPERATURE_RANGE_C, RoomAir
from journal_tools.science.water.seawater import (
    GRAMS_PER_KG_PER_PSU,
    SALINITY_RANGE,
    density_kg_m3,
)

_SECONDS_PER_HOUR = 3600
_POWER_W = (0.0, 1e5)


def specific_heat_kj_kg_k(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the specific heat capacity of seawater in kJ/(kg K) at one atmosphere.

    Args:
        salinity: Practical salinity, 0 to 42.
        temperature_c: Temperature in °C, 0 to 40.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.1 %.

    Source:
        TEOS-10 (IOC, SCOR, IAPSO 2010) through GSW-Python.

    >>> round(specific_heat_kj_kg_k(35.0, 25.0), 3)
    3.999
    """
    import gsw

    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    temperature = in_range("water temperature", temperature_c, *WATER_TEMPERATURE_RANGE_C, "°C")
    j_kg_k = gsw.cp_t_exact(checked * GRAMS_PER_KG_PER_PSU, temperature, 0.0)
    return as_given(np.asarray(j_kg_k) / 1000, salinity)


def heat_capacity_kj_k(
    volume_l: Number, salinity: float = 35.0, temperature_c: float = 25.0
) -> Number:
    """Give the heat in kJ that warms a volume of seawater by 1 K.

    Args:
        volume_l: Net water volume in L, 0.1 to 1e6.
        salinity: Practical salinity, 0 to 42.
        temperature_c: Temperature in °C, 0 to 40.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the volume; rock and glass add some percent.

    Source:
        Density (EOS-80) times specific heat (TEOS-10): 4.092 MJ/(m3 K) at 35 psu and 25 °C.

    >>> round(heat_capacity_kj_k(300.0))
    1228
    """
    volume_m3 = in_range("net volume", volume_l, 0.1, 1e6, "L") / 1000
    kg_m3 = density_kg_m3(float(salinity), temperature_c)
    kj_kg_k = specific_heat_kj_kg_k(float(salinity), temperature_c)
    return as_given(volume_m3 * kg_m3 * kj_kg_k, volume_l)


def warm_up_power_w(
    volume_l: Number, rise_k: float, hours: float, salinity: float = 35.0
) -> Number:
    """Give the power in W that warms water in a given time, losses to the room left out.

    Args:
        volume_l: Net water volume in L, 0.1 to 1e6.
        rise_k: Rise of temperature in K, 0 to 40.
        hours: Time in h, 0.01 to 1000.
        salinity: Practical salinity, 0 to 42.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the volume. A real heater must also make up for what the room takes meanwhile:
        ``hours_to_reach``.

    Source:
        Heat capacity over time.

    >>> round(warm_up_power_w(300.0, 1.0, 1.0))
    341
    """
    rise = in_scalar_range("rise", rise_k, 0.0, 40.0, "K")
    seconds = in_scalar_range("time", hours, 0.01, 1000.0, "h") * _SECONDS_PER_HOUR
    capacity = np.asarray(heat_capacity_kj_k(volume_l, salinity))
    return as_given(capacity * 1000 * rise / seconds, volume_l)


def equilibrium_temperature_c(tank: WarmTank, room: RoomAir, heat_w: Number) -> Number:
    """Give the temperature in °C at which a tank settles when so much heat goes into it.

    With none it lies below the room, for evaporation cools; with one heater left of two it tells
    what that one holds, and with a heater stuck on how hot the water gets.

    Args:
        tank: Panes and surface.
        room: Air around it.
        heat_w: Heat that goes in all the time in W, 0 to 1e5.

    Raises:
        ValueError: If a single value is out of range, or the tank would settle outside 0 to 40 °C.

    Uncertainty:
        15 % of the distance to the room's temperature, and 40 % of the cooling by evaporation.

    Source:
        ``heat_loss_w``, solved by bisection.

    >>> from journal_tools.science.warmth.heat import side_panes
    >>> tank = WarmTank(side_panes(1.2, 0.5, 0.55, 12.0), 0.6)
    >>> round(equilibrium_temperature_c(tank, RoomAir(20.0, 50.0), 0.0), 1)
    18.6
    """
    heat = in_range("heat", heat_w, *_POWER_W, "W")
    coldest, hottest = (np.asarray(end) for end in WATER_TEMPERATURE_RANGE_C)
    least, most = heat_loss_w(tank, coldest, room), heat_loss_w(tank, hottest, room)
    heat = in_range("heat for 0 to 40 °C", heat, least, most, "W")
    low, high = np.full_like(heat, coldest), np.full_like(heat, hottest)
    for _ in range(50):
        middle = (low + high) / 2
        too_warm = heat_loss_w(tank, middle, room) > heat
        low, high = np.where(too_warm, low, middle), np.where(too_warm, middle, high)
    return as_given(np.where(np.isnan(heat), np.nan, (low + high) / 2), heat_w)


def hours_to_drift(
    start_c: Number,
    end_c: Number | float,
    equilibrium_c: float,
    conductance_w_k: float,
    heat_capacity_kj_k: float,
) -> Number:
    """Give the hours from one temperature to another on the way to a third one.

    Args:
        start_c: Temperature at the start in °C, -10 to 60.
        end_c: Temperature at the end in °C, -10 to 60.
        equilibrium_c: Temperature at which it would settle in °C, -10 to 60.
        conductance_w_k: Heat lost for each K from there in W/K, 0.001 to 1e5.
        heat_capacity_kj_k: Of the water in kJ/K, 0.1 to 1e7.

    Returns:
        Time in h; infinite where the end is not on the way.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        That of the conductance; the loss is taken as proportional to the distance.

    Source:
        Newton's law of cooling: capacity / conductance x ln of the ratio of distances.

    >>> round(hours_to_drift(25.0, 22.0, 19.0, 30.0, 1228.0), 1)
    7.9
    """
    start, end, settled = (
        in_range(f"{name} temperature", value, -10.0, 60.0, "°C")
        for name, value in (("start", start_c), ("end", end_c), ("equilibrium", equilibrium_c))
    )
    per_k = in_scalar_range("conductance", conductance_w_k, 0.001, 1e5, "W/K")
    capacity = in_scalar_range("heat capacity", heat_capacity_kj_k, 0.1, 1e7, "kJ/K")
    seconds = _seconds(start, end, per_k * (settled - start), per_k * (settled - end), capacity)
    return as_given(seconds / _SECONDS_PER_HOUR, start_c)


def _seconds(
    start: FloatArray, end: FloatArray, first_w: FloatArray, last_w: FloatArray, capacity: float
) -> FloatArray:
    """Give the seconds of an exponential whose net heat is known at both of its ends."""
    rise = np.asarray(end - start)
    first_w, last_w = np.broadcast_arrays(first_w, last_w)
    on_the_way = (first_w * rise > 0) & (last_w * rise > 0)
    ratio = np.divide(last_w, first_w, out=np.ones(on_the_way.shape), where=on_the_way)
    # The logarithmic mean; close to 1 its quotient loses all digits and the plain mean is exact.
    near = np.abs(ratio - 1) < 1e-6
    bent = np.where(near, 0.5, ratio)
    mean_w = first_w * np.where(near, (1 + ratio) / 2, (bent - 1) / np.log(bent))
    taken = np.divide(rise, mean_w, out=np.full(on_the_way.shape, math.inf), where=on_the_way)
    seconds = np.where(rise == 0, 0.0, capacity * 1000 * taken)
    return np.where(np.isnan(rise + first_w + last_w), np.nan, seconds)


def hours_to_reach(
    tank: WarmTank,
    heat_capacity_kj_k: float,
    start_c: Number,
    end_c: Number | float,
    room: RoomAir,
    heat_w: Number | float = 0.0,
) -> Number:
    """Give the hours in which a tank cools or warms from one temperature to another.

    Without heat this is the reserve in a power cut; with a heater it is the warm-up time.

    Args:
        tank: Panes and surface.
        heat_capacity_kj_k: Of its water in kJ/K, 0.1 to 1e7.
        start_c: Temperature at the start in °C, 0 to 40.
        end_c: Temperature at the end in °C, 0 to 40.
        room: Air around it, steady.
        heat_w: Heat that goes in all the time in W, 0 to 1e5.

    Returns:
        Time in h; infinite where the tank never gets there.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        25 %, as the losses of ``heat_loss_w``; in a cold house the room cools as well.

    Source:
        Newton's law of cooling through the net heat, evaporation included, at both temperatures.

    >>> from journal_tools.science.warmth.heat import side_panes
    >>> tank = WarmTank(side_panes(1.2, 0.5, 0.55, 12.0), 0.6)
    >>> round(hours_to_reach(tank, 1228.0, 25.0, 22.0, RoomAir(20.0, 50.0)), 1)
    9.2
    """
    start, end = (np.asarray(value, dtype=np.float64) for value in (start_c, end_c))
    heat = in_range("heat", heat_w, *_POWER_W, "W")
    capacity = in_scalar_range("heat capacity", heat_capacity_kj_k, 0.1, 1e7, "kJ/K")
    first_w, last_w = (heat - heat_loss_w(tank, value, room) for value in (start, end))
    seconds = _seconds(start, end, first_w, last_w, capacity)
    return as_given(seconds / _SECONDS_PER_HOUR, start_c)
