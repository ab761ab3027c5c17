"""The pressure of the air where the tank stands, from altitude and weather."""

from __future__ import annotations

import numpy as np

from journal_tools.science.validity import Number, as_given, in_range

STANDARD_PRESSURE_HPA = 1013.25
"""Standard pressure at sea level, which is also one atmosphere."""

_STANDARD_K = 288.15
_LAPSE_K_M = 0.0065
_EXPONENT = 9.80665 / (287.05287 * _LAPSE_K_M)


def standard_pressure_hpa(altitude_m: Number) -> Number:
    """Give the air pressure in hPa of the standard atmosphere.

    Args:
        altitude_m: Altitude above the sea in m, -500 to 11000.

    Raises:
        ValueError: If a single altitude is out of range.

    Uncertainty:
        3 %: what the weather does.

    Source:
        Standard atmosphere, ISO 2533:1975 and ICAO Doc 7488, troposphere.

    >>> round(standard_pressure_hpa(1000.0), 2)
    898.75
    """
    return pressure_at_altitude_hpa(altitude_m, STANDARD_PRESSURE_HPA)


def pressure_at_altitude_hpa(
    altitude_m: Number, sea_level_pressure_hpa: Number | float = STANDARD_PRESSURE_HPA
) -> Number:
    """Give the air pressure in hPa at the tank from the weather report.

    A weather report gives the pressure reduced to sea level (about 1013 everywhere): taken as it
    is at 1000 m, it is 13 % too high.

    Args:
        altitude_m: Altitude above the sea in m, -500 to 11000.
        sea_level_pressure_hpa: Reduced pressure of the report in hPa, 870 to 1090.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.5 % below 2000 m: the air is not of standard temperature.

    Source:
        Standard atmosphere, ISO 2533:1975, scaled to the pressure at sea level.

    >>> round(pressure_at_altitude_hpa(500.0, 1030.0), 1)
    970.4
    """
    altitude = in_range("altitude", altitude_m, -500.0, 11_000.0, "m")
    sea_level = in_range("sea level pressure", sea_level_pressure_hpa, 870.0, 1090.0, "hPa")
    share = (1 - _LAPSE_K_M * altitude / _STANDARD_K) ** _EXPONENT
    return as_given(np.asarray(sea_level * share), altitude_m)
