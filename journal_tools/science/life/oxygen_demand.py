"""Oxygen that fish, feed and nitrifying bacteria use: estimates within a factor of two."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from journal_tools.science.estimate import Estimate
from journal_tools.science.life.nitrification import OXYGEN_PER_NITROGEN
from journal_tools.science.life.stocking import resting_oxygen_use_mg_kg_h
from journal_tools.science.validity import Number, as_given, in_range, in_scalar_range

REGRESSION_TEMPERATURE_C = 15.0
"""Temperature of the mean regression of resting fish, from memory."""

Q10_RANGE = (1.8, 2.4)
"""Factor of the resting rate for 10 °C more, from memory."""

ACTIVITY_RANGE = (2.0, 3.0)
"""Oxygen use of swimming over resting fish, from memory."""

OXYGEN_PER_FEED = Estimate(0.375, 0.25, 0.5)
"""Oxygen in g that fish use for each g of dry feed: fish farming, from memory."""


def oxygen_use_mg_kg_h(
    mass_g: Number, temperature_c: Number | float, activity: float = 1.0, q10: float = 2.1
) -> Number:
    """Give the oxygen that a fish uses in mg for each kg of body and hour, warm and active.

    Args:
        mass_g: Body mass in g, 0.1 to 1e4.
        temperature_c: Temperature in °C, 5 to 32.
        activity: Use over that at rest, 1 to 5; 2 to 3 for swimming fish, from memory.
        q10: Factor of the rate for 10 °C more, 1 to 4; 1.8 to 2.4, from memory.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        A factor of 2.

    Source:
        ``resting_oxygen_use_mg_kg_h`` (Clarke & Johnston 1999, from memory), which holds for
        about 15 °C, times q10 ^ ((t - 15) / 10).

    >>> round(oxygen_use_mg_kg_h(50.0, 26.0))
    145
    """
    temperature = in_range("temperature", temperature_c, 5.0, 32.0, "°C")
    base = in_scalar_range("Q10", q10, 1.0, 4.0)
    busy = in_scalar_range("activity", activity, 1.0, 5.0)
    warmth = base ** ((temperature - REGRESSION_TEMPERATURE_C) / 10)
    return as_given(np.asarray(resting_oxygen_use_mg_kg_h(mass_g) * warmth * busy), mass_g)


def fish_oxygen_demand_mg_h(masses_g: Iterable[float], temperature_c: float) -> Estimate:
    """Give the oxygen in mg/h of all fish: at rest (low), mean, swimming (high).

    Args:
        masses_g: Mass of each fish in g, 0.1 to 1e4.
        temperature_c: Temperature in °C, 15 to 32.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        As returned, and a factor of 2 on each bound.

    Source:
        ``oxygen_use_mg_kg_h`` with the ends of ``Q10_RANGE`` and ``ACTIVITY_RANGE``.

    >>> found = fish_oxygen_demand_mg_h([50.0], 25.0)
    >>> round(found.low), round(found.high)
    (6, 23)
    """
    warm = in_scalar_range("temperature", temperature_c, 15.0, 32.0, "°C")
    masses = list(masses_g)

    def demand(activity: float, q10: float) -> float:
        return sum(oxygen_use_mg_kg_h(mass, warm, activity, q10) * mass / 1000 for mass in masses)

    mean = demand((1 + ACTIVITY_RANGE[1]) / 2, sum(Q10_RANGE) / 2)
    return Estimate(mean, demand(1.0, Q10_RANGE[0]), demand(ACTIVITY_RANGE[1], Q10_RANGE[1]))


def feed_oxygen_demand_g(dry_feed_g: float) -> Estimate:
    """Give the oxygen in g that fish use to live on dry feed, bacteria left out.

    Args:
        dry_feed_g: Dry feed in g, 0 to 1e5 (for a day: result in g/day). Frozen food has a fifth
            of its mass as dry feed (common practice, no source).

    Raises:
        ValueError: If the mass is out of range.

    Uncertainty:
        As returned.

    Source:
        0.25 to 0.5 g for each g, fish farming, from memory.

    >>> feed_oxygen_demand_g(2.0).high
    1.0
    """
    feed = in_scalar_range("feed", dry_feed_g, 0.0, 1e5, "g")
    per_g = OXYGEN_PER_FEED
    return Estimate(feed * per_g.value, feed * per_g.low, feed * per_g.high)


def nitrification_oxygen_demand_g(nitrogen_g: Number) -> Number:
    """Give the oxygen in g that bacteria use to turn ammonia nitrogen into nitrate.

    Args:
        nitrogen_g: Ammonia nitrogen in g, 0 to 1e5 (for a day: result in g/day).

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        5 %: what bacteria build into themselves needs less.

    Source:
        NH4 + 2 O2 -> NO3 + 2 H + H2O.

    >>> round(nitrification_oxygen_demand_g(1.0), 2)
    4.57
    """
    nitrogen = in_range("nitrogen", nitrogen_g, 0.0, 1e5, "g")
    return as_given(nitrogen * OXYGEN_PER_NITROGEN, nitrogen_g)


def oxygen_reserve_hours(
    oxygen_mg_l: float, least_mg_l: float, net_volume_l: float, demand_mg_h: float
) -> float:
    """Give the hours until oxygen falls to a level if no air reaches the water at all.

    A real surface lets some in; a power cut with still water is the case to think of.

    Args:
        oxygen_mg_l: Oxygen now in mg/L, 0 to 60.
        least_mg_l: Level to reach in mg/L, 0 to the present one.
        net_volume_l: Net water volume in L, 0.1 to 1e6.
        demand_mg_h: Oxygen used in mg/h, 0.001 to 1e9, bacteria and corals counted.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        A factor of 2, that of the demand.

    Source:
        Mass balance.

    >>> oxygen_reserve_hours(6.5, 4.5, 300.0, 100.0)
    6.0
    """
    now = in_scalar_range("oxygen", oxygen_mg_l, 0.0, 60.0, "mg/L")
    least = in_scalar_range("least oxygen", least_mg_l, 0.0, now, "mg/L")
    volume = in_scalar_range("net volume", net_volume_l, 0.1, 1e6, "L")
    return (now - least) * volume / in_scalar_range("oxygen use", demand_mg_h, 1e-3, 1e9, "mg/h")
