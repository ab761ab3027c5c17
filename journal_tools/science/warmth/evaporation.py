"""Water that evaporates from a tank: by formula from the room, or from the logged top-off.

A formula is good to 40 %, for fans, flow, sump and covers differ. A log of what was topped off
measures the same thing directly: where there is one, it wins.
"""

from __future__ import annotations

import numpy as np

from journal_tools.science.estimate import Estimate
from journal_tools.science.validity import (
    FloatArray,
    Number,
    as_given,
    in_range,
    in_scalar_range,
)
from journal_tools.science.warmth.moist_air import (
    AIR_SPEED_RANGE_M_S,
    RoomAir,
    dry_air_density_kg_m3,
    humidity_ratio,
    latent_heat_kj_kg,
    seawater_vapour_pressure_kpa,
    vapour_pressure_kpa,
)
from journal_tools.science.water.seawater import pure_water_density_kg_m3

QUIET_ACTIVITY_FACTOR = 0.5
"""Activity factor of a pool that nobody uses (ASHRAE Handbook HVAC Applications)."""

MEASURED_QUIET_RATIO = 0.74
"""Measured over computed (factor 1) for undisturbed pools: Smith, Löf & Jones 1998, ASHRAE
Trans. 104(1A)."""

FORMULA_ERROR = 0.4
_SECONDS_PER_DAY = 86_400
_SHAH_FACTOR = 35.0
_SHAH_FORCED_KG_M2_H_PA = 5e-5


def carrier_evaporation_kg_d(
    water_temperature_c: Number,
    surface_m2: Number | float,
    room: RoomAir,
    salinity: float = 35.0,
    activity_factor: float = QUIET_ACTIVITY_FACTOR,
) -> Number:
    """Give the water that evaporates in kg a day by the equation for swimming pools.

    Args:
        water_temperature_c: Temperature of the water in °C, 0 to 40.
        surface_m2: Open water surface in m2, 0 to 1000.
        room: Air over it.
        salinity: Practical salinity, 0 to 42.
        activity_factor: 0 to 3: 1 is the equation as it stands, 0.5 a quiet surface,
            ``MEASURED_QUIET_RATIO`` what was measured on one.

    Returns:
        Water in kg/d; 0 where the air is too damp for any to leave, condensation is not modelled.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        40 %, more with fans, agitated surfaces or covers.

    Source:
        Carrier 1918; ASHRAE Handbook HVAC Applications, natatoriums:
        W = A (pw - pa) (0.089 + 0.0782 V) / Y in kPa, m/s, kJ/kg.

    >>> round(carrier_evaporation_kg_d(25.0, 0.5, RoomAir(22.0, 50.0)), 2)
    1.53
    """
    factor = in_scalar_range("activity factor", activity_factor, 0.0, 3.0)
    surface = _surface(surface_m2)
    drive_kpa = _over_water_kpa(water_temperature_c, salinity) - _in_room_kpa(room)
    speed = in_range("air speed", room.speed_m_s, *AIR_SPEED_RANGE_M_S, "m/s")
    kw_m2 = np.maximum(drive_kpa, 0.0) * (0.089 + 0.0782 * speed)
    kg_m2_s = kw_m2 / np.asarray(latent_heat_kj_kg(water_temperature_c))
    return as_given(factor * surface * kg_m2_s * _SECONDS_PER_DAY, water_temperature_c)


def _surface(surface_m2: float | FloatArray) -> FloatArray:
    return in_range("water surface", surface_m2, 0.0, 1000.0, "m2")


def _over_water_kpa(water_temperature_c: float | FloatArray, salinity: float) -> FloatArray:
    temperature = np.asarray(water_temperature_c, dtype=np.float64)
    return np.asarray(seawater_vapour_pressure_kpa(np.asarray(salinity), temperature))


def _in_room_kpa(room: RoomAir) -> FloatArray:
    temperature = np.asarray(room.temperature_c, dtype=np.float64)
    humidity = np.asarray(room.relative_humidity_percent, dtype=np.float64)
    return np.asarray(vapour_pressure_kpa(temperature, humidity))


def shah_evaporation_kg_d(
    water_temperature_c: Number, surface_m2: Number | float, room: RoomAir, salinity: float = 35.0
) -> Number:
    """Give the water that evaporates from an undisturbed surface in still air in kg a day.

    The larger of free convection (damp air is light and rises) and air currents of the room.

    Args:
        water_temperature_c: Temperature of the water in °C, 0 to 40.
        surface_m2: Open water surface in m2, 0 to 1000.
        room: Air over it; its speed is not used, the formula holds below 0.15 m/s.
        salinity: Practical salinity, 0 to 42.

    Returns:
        Water in kg/d; 0 where the air is too damp for any to leave.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        40 %; 18 % mean deviation on undisturbed pools (Shah 2002, HVAC&R Res. 8:125).

    Source:
        Shah 2014, ASHRAE Trans. 120(2), form from memory: 35 rho_w (rho_r - rho_w)^(1/3)
        (W_w - W_r), or 5e-5 (pw - pr), in kg/(m2 h), rho in kg of dry air per m3, p in Pa.
        Tested against a table found second-hand and taken to be his, which has the factor 35
        throughout; an earlier form took 40 where rho differs by less than 0.02 (from memory).

    >>> round(shah_evaporation_kg_d(25.0, 0.5, RoomAir(22.0, 50.0)), 2)
    1.77
    """
    over_water, in_room = _over_water_kpa(water_temperature_c, salinity), _in_room_kpa(room)
    pressure = np.asarray(room.pressure_kpa, dtype=np.float64)
    water_c = np.asarray(water_temperature_c, dtype=np.float64)
    room_c = np.asarray(room.temperature_c, dtype=np.float64)
    film_kg_m3 = dry_air_density_kg_m3(water_c, over_water, pressure)
    lift_kg_m3 = dry_air_density_kg_m3(room_c, in_room, pressure) - film_kg_m3
    wetter = humidity_ratio(over_water, pressure) - humidity_ratio(in_room, pressure)
    free = _SHAH_FACTOR * film_kg_m3 * np.cbrt(np.maximum(lift_kg_m3, 0.0)) * wetter
    forced = _SHAH_FORCED_KG_M2_H_PA * 1000 * (over_water - in_room)
    kg_m2_h = np.maximum(np.maximum(free, forced), 0.0)
    return as_given(np.asarray(_surface(surface_m2) * kg_m2_h * 24), water_temperature_c)


def evaporation_estimate_kg_d(
    water_temperature_c: float,
    surface_m2: float,
    room: RoomAir,
    salinity: float = 35.0,
    activity_factor: float = QUIET_ACTIVITY_FACTOR,
) -> Estimate:
    """Give the evaporation by the equation for pools in kg a day, with its error of 40 %.

    Args:
        water_temperature_c: Temperature of the water in °C, 0 to 40.
        surface_m2: Open water surface in m2, 0 to 1000.
        room: Air over it, single numbers.
        salinity: Practical salinity, 0 to 42.
        activity_factor: As for ``carrier_evaporation_kg_d``.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        Stated by the result. Prefer ``evaporation_from_top_off_l_d`` where there is a log.

    Source:
        ``carrier_evaporation_kg_d``; the 40 % spans what pool formulas give for one room.

    >>> estimate = evaporation_estimate_kg_d(25.0, 0.5, RoomAir(22.0, 50.0))
    >>> round(estimate.low, 2), round(estimate.high, 2)
    (0.92, 2.14)
    """
    kg_d = carrier_evaporation_kg_d(
        float(water_temperature_c), surface_m2, room, salinity, activity_factor
    )
    return Estimate(kg_d, kg_d * (1 - FORMULA_ERROR), kg_d * (1 + FORMULA_ERROR))


def evaporation_from_top_off_l_d(
    days: FloatArray, top_off_l: FloatArray, relative_error: float = 0.1
) -> Estimate:
    """Give the mean evaporation in litres of fresh water a day from a log of top-offs.

    Each top-off replaces what left since the one before it, so the first only starts the clock:
    counting its litres too gives too much.

    Args:
        days: Time of each top-off in days, rising; two or more.
        top_off_l: Fresh water of each in L, 0 to 1e5.
        relative_error: Share by which litres and the level refilled to may be off, 0 to 1.

    Raises:
        ValueError: If there are fewer than two, times do not rise, or a value is out of range.

    Uncertainty:
        Stated by the result.

    Source:
        Water balance. The 10 % of the default: common practice, no source.

    >>> evaporation_from_top_off_l_d(np.array([0.0, 2.0, 4.0]), np.array([9.0, 6.0, 6.0])).value
    3.0
    """
    times, litres = np.asarray(days, dtype=np.float64), np.asarray(top_off_l, dtype=np.float64)
    if times.ndim != 1 or times.shape != litres.shape or times.size < 2:
        raise ValueError("two or more top-offs are needed, each with its time")
    if not np.all(np.diff(times) > 0):
        raise ValueError("times of top-offs do not rise")
    for amount in litres:
        in_scalar_range("top-off", amount, 0.0, 1e5, "L")
    error = in_scalar_range("relative error", relative_error, 0.0, 1.0)
    rate = float(litres[1:].sum() / (times[-1] - times[0]))
    return Estimate(rate, rate * (1 - error), rate * (1 + error))


def activity_factor_from_log(
    logged_kg_d: float,
    water_temperature_c: float,
    surface_m2: float,
    room: RoomAir,
    salinity: float = 35.0,
) -> float:
    """Give the activity factor that makes the pool equation agree with a logged evaporation.

    A log holds for the room in which it was kept; the factor carries it over to another room.

    Args:
        logged_kg_d: Evaporation from the log in kg/d, 0 to 1e5.
        water_temperature_c: Temperature of the water at that time in °C, 0 to 40.
        surface_m2: Open water surface in m2, 0 to 1000.
        room: Air at that time, single numbers.
        salinity: Practical salinity, 0 to 42.

    Raises:
        ValueError: If a value is out of range, nothing can evaporate in that air, or the factor
            is above 3.

    Uncertainty:
        That of the log and of the humidity.

    Source:
        ``carrier_evaporation_kg_d``, inverted.

    >>> round(activity_factor_from_log(2.0, 25.0, 0.5, RoomAir(22.0, 50.0)), 2)
    0.65
    """
    logged = in_scalar_range("logged evaporation", logged_kg_d, 0.0, 1e5, "kg/d")
    whole = carrier_evaporation_kg_d(float(water_temperature_c), surface_m2, room, salinity, 1.0)
    if whole <= 0.0:
        raise ValueError("nothing evaporates into that air by the formula, so no factor fits")
    return in_scalar_range("activity factor", logged / whole, 0.0, 3.0)


def latent_power_w(evaporation_kg_d: Number, water_temperature_c: Number | float = 25.0) -> Number:
    """Give the heat in W that evaporation takes from the water.

    Args:
        evaporation_kg_d: Water that leaves in kg/d, 0 to 1e5.
        water_temperature_c: Temperature of the water in °C, 0 to 100.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.1 %, and that of the evaporation.

    Source:
        Latent heat of pure water, ``latent_heat_kj_kg``.

    >>> round(latent_power_w(1.0), 2)
    28.26
    """
    kg_d = in_range("evaporation", evaporation_kg_d, 0.0, 1e5, "kg/d")
    j_kg = 1000 * latent_heat_kj_kg(np.asarray(water_temperature_c, dtype=np.float64))
    return as_given(kg_d * j_kg / _SECONDS_PER_DAY, evaporation_kg_d)


def evaporation_kg_d(evaporation_l_d: Number, top_off_temperature_c: float = 20.0) -> Number:
    """Give the mass in kg a day of evaporated water that is known in litres of top-off a day.

    Args:
        evaporation_l_d: Fresh water in L/d, 0 to 1e5.
        top_off_temperature_c: Temperature at which the litres were measured in °C, 0 to 40.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        Below 0.1 %.

    Source:
        Density of pure water, EOS-80.

    >>> round(evaporation_kg_d(4.0), 3)
    3.993
    """
    litres = in_range("evaporation", evaporation_l_d, 0.0, 1e5, "L/d")
    return as_given(
        litres * pure_water_density_kg_m3(float(top_off_temperature_c)) / 1000, evaporation_l_d
    )
