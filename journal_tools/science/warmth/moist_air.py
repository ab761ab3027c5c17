"""Water vapour in room air and over seawater, and the heat that evaporation takes.

Relative humidity is in percent. Temperature is ITS-90 in °C.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from journal_tools.science.validity import FloatArray, Number, as_given, in_range
from journal_tools.science.water.seawater import GRAMS_PER_KG_PER_PSU, SALINITY_RANGE

STANDARD_PRESSURE_KPA = 101.325
WATER_TEMPERATURE_RANGE_C = (0.0, 40.0)
AIR_TEMPERATURE_RANGE_C = (-40.0, 60.0)
AIR_SPEED_RANGE_M_S = (0.0, 3.0)
PRESSURE_RANGE_KPA = (50.0, 110.0)
HUMIDITY_RANGE_PERCENT = (2.0, 100.0)
"""No room is drier than 2 %: a share such as 0.5 instead of 50 % falls below and is refused."""

_KELVIN = 273.15
_TRIPLE_POINT_C = 0.01
_WATER_TO_AIR_MASS = 0.621945
_DRY_AIR_J_KG_K = 287.042
_LN_VAPOUR_PER_PSU = -0.000544

# Hyland & Wexler 1983: 1/T, then powers 0 to 4 of T, then ln T; T in K, result ln of Pa.
_OVER_WATER = (
    -5.8002206e3, (1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0.0), 6.5459673,
)  # fmt: skip
_OVER_ICE = (
    -5.6745359e3,
    (6.3925247, -9.6778430e-3, 6.2215701e-7, 2.0747825e-9, -9.4840240e-13),
    4.1635019,
)

# IAPWS SR1-86(1992): pairs of exponent and coefficient of tau = 1 - T/Tc along saturation.
_CRITICAL_K, _CRITICAL_PA, _CRITICAL_KG_M3 = 647.096, 22.064e6, 322.0
_PRESSURE = (
    (1.0, -7.85951783), (1.5, 1.84408259), (3.0, -11.7866497),
    (3.5, 22.6807411), (4.0, -15.9618719), (7.5, 1.80122502),
)  # fmt: skip
_LIQUID = (
    (1 / 3, 1.99274064), (2 / 3, 1.09965342), (5 / 3, -0.510839303),
    (16 / 3, -1.75493479), (43 / 3, -45.5170352), (110 / 3, -6.74694450e5),
)  # fmt: skip
_VAPOUR = (
    (2 / 6, -2.03150240), (4 / 6, -2.68302940), (8 / 6, -5.38626492),
    (18 / 6, -17.2991605), (37 / 6, -44.7586581), (71 / 6, -63.9201063),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class RoomAir:
    """The air around a tank; single numbers, or arrays of one length for a record over time.

    Attributes:
        temperature_c: Temperature in °C, -40 to 60.
        relative_humidity_percent: Relative humidity in %, 2 to 100 (not a share).
        speed_m_s: Air speed over the water in m/s, 0 to 3; 0.1 is a still room.
        pressure_kpa: Air pressure where it is in kPa, 50 to 110.

    Raises:
        ValueError: If a single value is out of range.
    """

    temperature_c: float | FloatArray
    relative_humidity_percent: float | FloatArray
    speed_m_s: float | FloatArray = 0.1
    pressure_kpa: float | FloatArray = STANDARD_PRESSURE_KPA

    def __post_init__(self) -> None:
        in_range("air temperature", self.temperature_c, *AIR_TEMPERATURE_RANGE_C, "°C")
        in_range("relative humidity", self.relative_humidity_percent, *HUMIDITY_RANGE_PERCENT, "%")
        in_range("air speed", self.speed_m_s, *AIR_SPEED_RANGE_M_S, "m/s")
        in_range("air pressure", self.pressure_kpa, *PRESSURE_RANGE_KPA, "kPa")


def saturation_vapour_pressure_kpa(temperature_c: Number) -> Number:
    """Give the vapour pressure of pure water in kPa: over ice below 0.01 °C, else over water.

    Args:
        temperature_c: Temperature in °C, -40 to 100.

    Raises:
        ValueError: If a single temperature is out of range.

    Uncertainty:
        0.03 % against IAPWS-95 from 0 to 100 °C.

    Source:
        Hyland & Wexler 1983, ASHRAE Trans. 89(2A):500, as in ASHRAE Handbook Fundamentals.
        Coefficients from memory of the handbook, tested against PsychroLib 2.5.0.

    >>> round(saturation_vapour_pressure_kpa(25.0), 4)
    3.1692
    """
    checked = in_range("temperature", temperature_c, -40.0, 100.0, "°C")
    kelvin = checked + _KELVIN
    water, ice = _hyland_wexler(_OVER_WATER, kelvin), _hyland_wexler(_OVER_ICE, kelvin)
    return as_given(np.where(checked > _TRIPLE_POINT_C, water, ice) / 1000, temperature_c)


def _hyland_wexler(
    coefficients: tuple[float, Sequence[float], float], kelvin: FloatArray
) -> FloatArray:
    inverse, powers, logarithm = coefficients
    polynomial = np.polynomial.polynomial.polyval(kelvin, powers)
    return np.asarray(np.exp(inverse / kelvin + polynomial + logarithm * np.log(kelvin)))


def vapour_pressure_kpa(
    air_temperature_c: Number, relative_humidity_percent: Number | float
) -> Number:
    """Give the pressure of the water vapour in air in kPa.

    Args:
        air_temperature_c: Temperature in °C, -40 to 60.
        relative_humidity_percent: Relative humidity in %, 2 to 100; a share (0.5) is refused.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        That of the hygrometer: 5 % relative humidity of 50 % is a tenth of the result.

    Source:
        Definition of relative humidity; Hyland & Wexler 1983.

    >>> round(vapour_pressure_kpa(22.0, 50.0), 3)
    1.322
    """
    temperature = in_range("air temperature", air_temperature_c, *AIR_TEMPERATURE_RANGE_C, "°C")
    humidity = in_range(
        "relative humidity", relative_humidity_percent, *HUMIDITY_RANGE_PERCENT, "%"
    )
    return as_given(humidity / 100 * saturation_vapour_pressure_kpa(temperature), air_temperature_c)


def seawater_vapour_pressure_ratio(salinity: Number) -> Number:
    """Give the vapour pressure over seawater as a share of that over pure water, without unit.

    Args:
        salinity: Practical salinity, 0 to 42.

    Raises:
        ValueError: If a single salinity is out of range.

    Uncertainty:
        0.0005.

    Source:
        Salinity term of Weiss & Price 1980, Mar. Chem. 8:347: exp(-0.000544 S).

    >>> round(seawater_vapour_pressure_ratio(35.0), 4)
    0.9811
    """
    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    return as_given(np.exp(_LN_VAPOUR_PER_PSU * checked), salinity)


def seawater_vapour_pressure_kpa(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the vapour pressure over seawater in kPa.

    The pressure over pure water is that of ``saturation_vapour_pressure_kpa``, so that fresh
    water and damp air agree to the last digit.

    Args:
        salinity: Practical salinity, 0 to 42.
        temperature_c: Temperature of the water in °C, 0 to 40.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.2 %; the whole equation of Weiss & Price gives 0.1 % less.

    Source:
        Hyland & Wexler 1983 times the salinity term of Weiss & Price 1980.

    >>> round(seawater_vapour_pressure_kpa(35.0, 25.0), 3)
    3.109
    """
    temperature = in_range("water temperature", temperature_c, *WATER_TEMPERATURE_RANGE_C, "°C")
    pure_kpa = saturation_vapour_pressure_kpa(temperature)
    return as_given(np.asarray(seawater_vapour_pressure_ratio(salinity)) * pure_kpa, salinity)


def humidity_ratio(
    vapour_pressure_kpa: Number, pressure_kpa: Number | float = STANDARD_PRESSURE_KPA
) -> Number:
    """Give the humidity ratio of air: kg of water vapour for each kg of dry air.

    Args:
        vapour_pressure_kpa: Pressure of the vapour in kPa, 0 to 20.
        pressure_kpa: Air pressure in kPa, 50 to 110.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.5 %, for air is taken as an ideal gas.

    Source:
        ASHRAE Handbook Fundamentals, psychrometrics: 0.621945 pv / (p - pv).

    >>> round(humidity_ratio(vapour_pressure_kpa(25.0, 50.0)), 5)
    0.00988
    """
    vapour = in_range("vapour pressure", vapour_pressure_kpa, 0.0, 20.0, "kPa")
    total = in_range("air pressure", pressure_kpa, *PRESSURE_RANGE_KPA, "kPa")
    return as_given(_WATER_TO_AIR_MASS * vapour / (total - vapour), vapour_pressure_kpa)


def dry_air_density_kg_m3(
    air_temperature_c: Number,
    vapour_pressure_kpa: Number | float,
    pressure_kpa: Number | float = STANDARD_PRESSURE_KPA,
) -> Number:
    """Give the mass in kg of the dry air in a cubic metre of moist air (without its vapour).

    Args:
        air_temperature_c: Temperature in °C, -40 to 60.
        vapour_pressure_kpa: Pressure of the vapour in kPa, 0 to 20.
        pressure_kpa: Air pressure in kPa, 50 to 110.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.1 %, for air is taken as an ideal gas.

    Source:
        Ideal gas with 287.042 J/(kg K), ASHRAE Handbook Fundamentals, psychrometrics.

    >>> round(dry_air_density_kg_m3(20.0, 0.0), 3)
    1.204
    """
    temperature = in_range("air temperature", air_temperature_c, *AIR_TEMPERATURE_RANGE_C, "°C")
    vapour = in_range("vapour pressure", vapour_pressure_kpa, 0.0, 20.0, "kPa")
    total = in_range("air pressure", pressure_kpa, *PRESSURE_RANGE_KPA, "kPa")
    density = 1000 * (total - vapour) / (_DRY_AIR_J_KG_K * (temperature + _KELVIN))
    return as_given(density, air_temperature_c)


def latent_heat_kj_kg(temperature_c: Number) -> Number:
    """Give the latent heat of evaporation of pure water in kJ/kg.

    Args:
        temperature_c: Temperature in °C, 0 to 100.

    Raises:
        ValueError: If a single temperature is out of range.

    Uncertainty:
        0.4 kJ/kg against IAPWS-95.

    Source:
        Clapeyron's equation with vapour pressure and densities along saturation of IAPWS
        SR1-86(1992), Wagner & Pruss 1993, J. Phys. Chem. Ref. Data 22:783. Coefficients from
        memory, tested against IAPWS-95.

    >>> round(latent_heat_kj_kg(25.0))
    2442
    """
    kelvin = in_range("temperature", temperature_c, 0.0, 100.0, "°C") + _KELVIN
    tau, scale = 1 - kelvin / _CRITICAL_K, _CRITICAL_K / kelvin
    log_pressure = scale * _power_sum(_PRESSURE, tau)
    slopes = [(power - 1, power * coefficient) for power, coefficient in _PRESSURE]
    pa_per_k = -_CRITICAL_PA * np.exp(log_pressure) / kelvin
    pa_per_k = pa_per_k * (log_pressure + _power_sum(slopes, tau))
    liquid = _CRITICAL_KG_M3 * (1 + _power_sum(_LIQUID, tau))
    vapour = _CRITICAL_KG_M3 * np.exp(_power_sum(_VAPOUR, tau))
    return as_given(kelvin * pa_per_k * (1 / vapour - 1 / liquid) / 1000, temperature_c)


def _power_sum(terms: Sequence[tuple[float, float]], tau: FloatArray) -> FloatArray:
    return np.asarray(sum(coefficient * tau**power for power, coefficient in terms))


def seawater_latent_heat_kj_kg(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the latent heat of evaporation of seawater in kJ/kg.

    Args:
        salinity: Practical salinity, 0 to 42.
        temperature_c: Temperature in °C, 0 to 40.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.1 %: its value for fresh water lies 2.6 kJ/kg below ``latent_heat_kj_kg`` at 25 °C.

    Source:
        TEOS-10 (IOC, SCOR, IAPSO 2010) through GSW-Python.

    >>> round(seawater_latent_heat_kj_kg(35.0, 25.0))
    2439
    """
    import gsw

    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    temperature = in_range("water temperature", temperature_c, *WATER_TEMPERATURE_RANGE_C, "°C")
    j_kg = gsw.latentheat_evap_t(checked * GRAMS_PER_KG_PER_PSU, temperature)
    return as_given(np.asarray(j_kg) / 1000, salinity)
