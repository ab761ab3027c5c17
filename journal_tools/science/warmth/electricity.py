"""Electrical energy that equipment takes and what it costs, in whatever currency the price is in.

Mains electricity near salt water can kill: use a residual-current device and drip loops, and leave
wiring to a licensed trade and the local code. These sums say nothing on whether a circuit, a
socket or a cable may carry the load.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from journal_tools.science.validity import Number, as_given, in_range, in_scalar_range

DAYS_PER_YEAR = 365.25
DAYS_PER_MONTH = DAYS_PER_YEAR / 12
_POWER_W = (0.0, 1e5)


@dataclass(frozen=True, slots=True)
class Load:
    """A piece of equipment that takes power.

    Attributes:
        power_w: Power while it runs in W, 0 to 1e5; metered, for a name plate says the most.
        hours_per_day: Hours a day for which it is switched on, 0 to 24.
        duty_share: Share of those hours in which it really runs, 0 to 1: below 1 for a heater or
            chiller with a thermostat, or a dimmed lamp.

    Raises:
        ValueError: If a value is out of range.
    """

    power_w: float
    hours_per_day: float = 24.0
    duty_share: float = 1.0

    def __post_init__(self) -> None:
        mean_power_w(float(self.power_w), self.hours_per_day, self.duty_share)


@dataclass(frozen=True, slots=True)
class Running:
    """Energy over time and its cost.

    Attributes:
        kwh_per_day: Energy in kWh a day.
        price_per_kwh: Price of 1 kWh; costs are in its currency.
    """

    kwh_per_day: float
    price_per_kwh: float

    @property
    def mean_power_w(self) -> float:
        """Mean power in W over day and night."""
        return self.kwh_per_day * 1000 / 24

    @property
    def kwh_per_month(self) -> float:
        """Energy in kWh for a month of 30.4 days."""
        return self.kwh_per_day * DAYS_PER_MONTH

    @property
    def kwh_per_year(self) -> float:
        """Energy in kWh for a year of 365.25 days."""
        return self.kwh_per_day * DAYS_PER_YEAR

    @property
    def cost_per_day(self) -> float:
        """Cost of a day in the currency of the price."""
        return self.kwh_per_day * self.price_per_kwh

    @property
    def cost_per_month(self) -> float:
        """Cost of a month of 30.4 days in the currency of the price."""
        return self.cost_per_day * DAYS_PER_MONTH

    @property
    def cost_per_year(self) -> float:
        """Cost of a year of 365.25 days in the currency of the price."""
        return self.cost_per_day * DAYS_PER_YEAR


def mean_power_w(power_w: Number, hours_per_day: float = 24.0, duty_share: float = 1.0) -> Number:
    """Give the mean power in W over day and night of equipment that does not always run.

    Args:
        power_w: Power while it runs in W, 0 to 1e5.
        hours_per_day: Hours a day for which it is switched on, 0 to 24.
        duty_share: Share of those hours in which it really runs, 0 to 1.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        3 % with a plug-in meter; a name plate may be twice the truth (common practice, no source).

    Source:
        Definition of duty cycle.

    >>> mean_power_w(120.0, 10.0)
    50.0
    """
    hours = in_scalar_range("hours a day", hours_per_day, 0.0, 24.0, "h")
    share = in_scalar_range("duty share", duty_share, 0.0, 1.0)
    return as_given(in_range("power", power_w, *_POWER_W, "W") * hours / 24 * share, power_w)


def thermostat_duty_share(needed_w: Number, power_w: float) -> Number:
    """Give the share of the time that a heater or chiller with a thermostat runs.

    Args:
        needed_w: Heat to bring in or take out in W, 0 to what the device moves while it runs.
        power_w: Heat that it moves while it runs in W, 0.1 to 1e5: of a heater its power, of a
            chiller its cooling power, which is not what it takes from the mains.

    Raises:
        ValueError: If a single value is out of range: more is needed than it can move.

    Uncertainty:
        That of the heat needed.

    Source:
        Energy balance.

    >>> thermostat_duty_share(75.0, 300.0)
    0.25
    """
    most = in_scalar_range("power", power_w, 0.1, _POWER_W[1], "W")
    return as_given(in_range("heat needed", needed_w, 0.0, most, "W") / most, needed_w)


def energy_kwh(mean_power_w: Number, days: Number | float) -> Number:
    """Give the energy in kWh of a mean power over some days.

    Args:
        mean_power_w: Mean power over day and night in W, 0 to 1e5.
        days: Days, 0 to 1e5.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        That of the mean power.

    Source:
        Power times time.

    >>> round(energy_kwh(150.0, 30.0), 6)
    108.0
    """
    power = in_range("mean power", mean_power_w, *_POWER_W, "W")
    span = in_range("days", days, 0.0, 1e5, "d")
    return as_given(power * span * 24 / 1000, mean_power_w)


def energy_cost(energy_kwh: Number, price_per_kwh: Number | float) -> Number:
    """Give the cost of energy in the currency of the price.

    Args:
        energy_kwh: Energy in kWh, 0 to 1e9.
        price_per_kwh: Price of 1 kWh, 0 to 1e6, without standing charge.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        That of the energy; tariffs by time of day need each part by itself.

    Source:
        Energy times price.

    >>> round(energy_cost(energy_kwh(150.0, 30.0), 0.30), 2)
    32.4
    """
    energy = in_range("energy", energy_kwh, 0.0, 1e9, "kWh")
    price = in_range("price", price_per_kwh, 0.0, 1e6, "per kWh")
    return as_given(energy * price, energy_kwh)


def running(loads: Iterable[Load], price_per_kwh: float) -> Running:
    """Give the energy of several pieces of equipment together, and its cost over time.

    Args:
        loads: The equipment.
        price_per_kwh: Price of 1 kWh, 0 to 1e6.

    Raises:
        ValueError: If the price is out of range.

    Uncertainty:
        As for ``mean_power_w``.

    Source:
        Sum of power times time.

    >>> day = running([Load(40.0), Load(120.0, 10.0), Load(300.0, duty_share=0.25)], 0.30)
    >>> round(day.kwh_per_day, 2), round(day.cost_per_year, 2)
    (3.96, 433.92)
    """
    means = [
        mean_power_w(float(load.power_w), load.hours_per_day, load.duty_share) for load in loads
    ]
    price = in_scalar_range("price", price_per_kwh, 0.0, 1e6, "per kWh")
    return Running(sum(means) * 24 / 1000, price)
