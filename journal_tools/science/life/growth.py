"""Growth between two measurements of length, mass or frame size."""

from __future__ import annotations

import numpy as np

from journal_tools.science.estimate import Estimate
from journal_tools.science.validity import Number, as_given, in_range, in_scalar_range


def specific_growth_rate_per_day(
    start: Number, end: Number | float, days: Number | float
) -> Number:
    """Give the specific growth rate a day (times 100: percent a day), of length or of mass.

    The rate of mass is about three times that of length: never compare one with the other.

    Args:
        start: Length in cm or mass in g at the start, 1e-6 to 1e6.
        end: The same kind, in the same unit, at the end, 1e-6 to 1e6.
        days: Days between, 0.1 to 36500.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        Relative errors of the two measurements add; over a few days they are all there is.

    Source:
        ln(end / start) / days, the usual definition.

    >>> round(specific_growth_rate_per_day(5.0, 6.0, 100.0), 5)
    0.00182
    """
    first, last = in_range("size", start, 1e-6, 1e6), in_range("size", end, 1e-6, 1e6)
    passed = in_range("time between", days, 0.1, 36_500.0, "days")
    return as_given(np.asarray(np.log(last / first) / passed), start)


def specific_growth_rate_estimate_per_day(
    start: float, end: float, days: float, relative_error: float
) -> Estimate:
    """Give the specific growth rate a day with what the two measurements leave open.

    Args:
        start: Length or mass at the start, 1e-6 to 1e6.
        end: The same kind at the end, 1e-6 to 1e6.
        days: Days between, 0.1 to 36500.
        relative_error: Error of each measurement as a share of it, 0 to 0.5; a photo beside a
            scale 0.05 (common practice, no source).

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        As returned: both measurements wrong, in opposite directions.

    Source:
        ``specific_growth_rate_per_day``.

    >>> specific_growth_rate_estimate_per_day(5.0, 5.1, 10.0, 0.05).low < 0
    True
    """
    error = in_scalar_range("relative error", relative_error, 0.0, 0.5)
    rate = specific_growth_rate_per_day(start, end, days)
    spread = float(np.log1p(error) - np.log1p(-error)) / days
    return Estimate(rate, rate - spread, rate + spread)


def length_rate_from_mass_rate(mass_rate_per_day: Number, power: float = 3.0) -> Number:
    """Give the specific growth rate of length a day from that of mass.

    Args:
        mass_rate_per_day: Specific growth rate of mass a day, -1 to 1.
        power: Power b of W = a L^b, 1 to 4; 3 for a fish that keeps its shape, 2 for a plate.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        3 % from the power.

    Source:
        Derivative of the logarithm of W = a L^b.

    >>> round(length_rate_from_mass_rate(0.03), 4)
    0.01
    """
    rate = in_range("growth rate", mass_rate_per_day, -1.0, 1.0, "a day")
    return as_given(rate / in_scalar_range("power", power, 1.0, 4.0), mass_rate_per_day)


def doubling_time_days(rate_per_day: Number) -> Number:
    """Give the days in which a size doubles at a specific growth rate.

    Args:
        rate_per_day: Specific growth rate a day, 1e-6 to 10; what does not grow never doubles.

    Raises:
        ValueError: If a single rate is out of range.

    Uncertainty:
        That of the rate; growth slows with size, so a long forecast is too short.

    Source:
        ln 2 / rate.

    >>> round(doubling_time_days(0.01), 1)
    69.3
    """
    return as_given(
        np.log(2) / in_range("growth rate", rate_per_day, 1e-6, 10.0, "a day"), rate_per_day
    )
