"""What water changes leave behind, and the level at which they settle.

Every fraction is a share of the net water volume: sump counted, rock and sand taken off.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from journal_tools.science.validity import FloatArray, Number, as_given, in_range, in_scalar_range


def change_fraction(removed_l: Number, net_volume_l: float) -> Number:
    """Give the share of the water that a change replaces, without unit.

    Args:
        removed_l: Water really taken out in L, 0 to the net volume.
        net_volume_l: Net water volume with the sump, without rock and sand, in L, 0.1 to 1e6.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        Relative errors of the two volumes add.

    Source:
        Ratio of volumes.

    >>> change_fraction(30.0, 300.0)
    0.1
    """
    volume = in_scalar_range("net volume", net_volume_l, 0.1, 1e6, "L")
    return as_given(in_range("water removed", removed_l, 0.0, volume, "L") / volume, removed_l)


def remaining_after_batches(fractions: Iterable[float]) -> float:
    """Give the share of the first water (and what it held) left after a series of changes.

    Args:
        fractions: Share replaced by each change, 0 to 1.

    Raises:
        ValueError: If a fraction is out of range.

    Uncertainty:
        None of its own; each batch is taken as mixed before the next.

    Source:
        Product of (1 - f).

    >>> round(remaining_after_batches([0.1] * 5), 4)
    0.5905
    """
    return math.prod(1 - in_scalar_range("change fraction", f, 0.0, 1.0) for f in fractions)


def remaining_after_continuous(tank_volumes: Number) -> Number:
    """Give the share of the first water left after a continuous change.

    Args:
        tank_volumes: New water in net tank volumes, 0 to 100.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        None of its own; well mixed.

    Source:
        Washout of a stirred tank, exp(-V/V0).

    >>> round(remaining_after_continuous(0.5), 4)
    0.6065
    """
    exchanged = in_range("water exchanged", tank_volumes, 0.0, 100.0, "tank volumes")
    return as_given(np.exp(-exchanged), tank_volumes)


def continuous_to_match_batch(fraction: Number) -> Number:
    """Give the tank volumes of continuous change that equal one batch.

    Args:
        fraction: Share replaced by the batch, 0 to 0.9999.

    Raises:
        ValueError: If a single fraction is out of range.

    Uncertainty:
        None of its own; well mixed.

    Source:
        Washout of a stirred tank, inverted: -ln(1 - f).

    >>> round(continuous_to_match_batch(0.5), 3)
    0.693
    """
    return as_given(-np.log1p(-in_range("change fraction", fraction, 0.0, 0.9999)), fraction)


def after_change(before: Number, fraction: float, new_water: float = 0.0) -> Number:
    """Give the concentration right after a change, in the unit of ``before``.

    Args:
        before: Concentration before, 0 to 1e6.
        fraction: Share replaced, 0 to 1.
        new_water: Concentration of the new water in the same unit, 0 to 1e6.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the two concentrations and of the fraction.

    Source:
        Mass balance.

    >>> after_change(40.0, 0.25)
    30.0
    """
    share = in_scalar_range("change fraction", fraction, 0.0, 1.0)
    fresh = in_scalar_range("new water", new_water, 0.0, 1e6)
    mixed = (1 - share) * in_range("concentration", before, 0.0, 1e6) + share * fresh
    return as_given(mixed, before)


def steady_before_change(
    rise_per_interval: Number, fraction: float, new_water: float = 0.0
) -> Number:
    """Give the level before each change at which regular changes settle, in the unit of the rise.

    ``after_change`` of this level gives the one after each change.

    Args:
        rise_per_interval: Rise between two changes, 0 to 1e6.
        fraction: Share replaced each time, 0.001 to 1.
        new_water: Concentration of the new water in the same unit, 0 to 1e6.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the rise; many intervals of 1/fraction pass until it is reached.

    Source:
        Fixed point of the mass balance: new water + rise / fraction.

    >>> round(steady_before_change(8.55, 0.1), 1)
    85.5
    """
    share = in_scalar_range("change fraction", fraction, 0.001, 1.0)
    fresh = in_scalar_range("new water", new_water, 0.0, 1e6)
    rise = in_range("rise", rise_per_interval, 0.0, 1e6)
    return as_given(fresh + rise / share, rise_per_interval)


def after_continuous_change(before: Number, tank_volumes: float, new_water: float = 0.0) -> Number:
    """Give the concentration after a continuous change, in the unit of ``before``.

    Args:
        before: Concentration before, 0 to 1e6.
        tank_volumes: New water in net tank volumes, 0 to 100.
        new_water: Concentration of the new water in the same unit, 0 to 1e6.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the two concentrations and of the volume; well mixed.

    Source:
        Washout of a stirred tank.

    >>> round(after_continuous_change(40.0, 0.5), 2)
    24.26
    """
    left = remaining_after_continuous(tank_volumes)
    fresh = in_scalar_range("new water", new_water, 0.0, 1e6)
    mixed = fresh + (in_range("concentration", before, 0.0, 1e6) - fresh) * left
    return as_given(mixed, before)


def steady_with_continuous(
    rise_per_day: Number, tank_volumes_per_day: float, new_water: float = 0.0
) -> Number:
    """Give the level at which a continuous change settles, in the unit of the rise.

    Args:
        rise_per_day: Rise a day without changes, 0 to 1e6.
        tank_volumes_per_day: New water a day in net tank volumes, 1e-5 to 100.
        new_water: Concentration of the new water in the same unit, 0 to 1e6.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the rise; well mixed.

    Source:
        Stirred tank at rest: new water + rise / exchange.

    >>> round(steady_with_continuous(1.2218, 0.1 / 7), 1)
    85.5
    """
    exchange = in_scalar_range("daily exchange", tank_volumes_per_day, 1e-5, 100.0, "tank volumes")
    fresh = in_scalar_range("new water", new_water, 0.0, 1e6)
    return as_given(fresh + in_range("rise", rise_per_day, 0.0, 1e6) / exchange, rise_per_day)


def fraction_for_target(before: Number, target: float, new_water: float = 0.0) -> Number:
    """Give the share of the water to replace at once to reach a concentration.

    Args:
        before: Concentration before, 0 to 1e6.
        target: Concentration wanted in the same unit, between ``before`` and the new water.
        new_water: Concentration of the new water in the same unit, 0 to 1e6.

    Raises:
        ValueError: If a single target cannot be reached with this new water.

    Uncertainty:
        That of the concentrations: near the new water's own it grows without bound.

    Source:
        ``after_change``, inverted: (before - target) / (before - new water).

    >>> fraction_for_target(40.0, 10.0)
    0.75
    """
    wanted = in_scalar_range("target", target, 0.0, 1e6)
    fresh = in_scalar_range("new water", new_water, 0.0, 1e6)
    held = in_range("concentration", before, 0.0, 1e6)
    # Nothing to do where the target is there already, even if the new water is the same.
    gap = np.where(held == wanted, 1.0, held - fresh)
    with np.errstate(divide="ignore", invalid="ignore"):
        fraction = (held - wanted) / gap
    return as_given(in_range("share to replace for this target", fraction, 0.0, 1.0), before)


def volume_for_target_l(
    before: float, target: float, net_volume_l: Number, new_water: float = 0.0
) -> Number:
    """Give the water to replace at once in L to reach a concentration.

    Args:
        before: Concentration before, 0 to 1e6.
        target: Concentration wanted in the same unit, between ``before`` and the new water.
        net_volume_l: Net water volume with the sump, without rock and sand, in L, 0.1 to 1e6.
        new_water: Concentration of the new water in the same unit, 0 to 1e6.

    Raises:
        ValueError: If a value is out of range or the target cannot be reached.

    Uncertainty:
        As for ``fraction_for_target``, and that of the volume.

    Source:
        ``fraction_for_target``.

    >>> volume_for_target_l(40.0, 10.0, 300.0)
    225.0
    """
    volume = in_range("net volume", net_volume_l, 0.1, 1e6, "L")
    return as_given(volume * fraction_for_target(before, target, new_water), net_volume_l)


def new_water_for_target(before: Number, target: float, fraction: float) -> Number:
    """Give what the new water must hold so that one change brings the tank to a concentration.

    Args:
        before: Concentration before (or salinity), 0 to 1e6.
        target: Concentration wanted in the same unit, 0 to 1e6.
        fraction: Share replaced, 0.001 to 1.

    Raises:
        ValueError: If a single result would be below 0, or a value is out of range.

    Uncertainty:
        Errors of the concentrations times 1 / fraction.

    Source:
        ``after_change``, inverted.

    >>> round(new_water_for_target(33.0, 34.0, 0.2), 2)
    38.0
    """
    share = in_scalar_range("change fraction", fraction, 0.001, 1.0)
    wanted = in_scalar_range("target", target, 0.0, 1e6)
    needed = (wanted - (1 - share) * in_range("concentration", before, 0.0, 1e6)) / share
    return as_given(in_range("new water for this target", needed, 0.0, 1e9), before)


@dataclass(frozen=True, slots=True)
class Change:
    """One water change.

    Attributes:
        day: Time in days.
        fraction: Share of the net volume replaced, 0 to 1.
        new_water: Concentration of the new water, in the unit of the series.
    """

    day: float
    fraction: float
    new_water: float = 0.0


def level_over_time(
    start: float, rise_per_day: float, changes: Iterable[Change], days: FloatArray
) -> FloatArray:
    """Give the concentration on each day with a steady rise and a series of changes.

    Args:
        start: Concentration on day 0, 0 to 1e6.
        rise_per_day: Rise a day in the same unit, 0 to 1e6.
        changes: Changes in any order; those before day 0 are left out, one of the same moment as
            a day to look at is already done then.
        days: Days to look at, 0 to 1e6.

    Raises:
        ValueError: If a value is out of range; a day out of range gives NaN.

    Uncertainty:
        That of the rise.

    Source:
        Mass balance from change to change.

    >>> level_over_time(10.0, 1.0, [Change(5.0, 0.2)], np.array([4.0, 5.0, 6.0]))
    array([14., 12., 13.])
    """
    level = in_scalar_range("concentration", start, 0.0, 1e6)
    daily = in_scalar_range("rise", rise_per_day, 0.0, 1e6, "a day")
    looked = in_range("day", np.asarray(days, dtype=np.float64), 0.0, 1e6)
    found, since = level + daily * looked, 0.0
    for change in sorted(changes, key=lambda change: change.day):
        if change.day < 0:
            continue
        level = after_change(
            level + daily * (change.day - since), change.fraction, change.new_water
        )
        since = change.day
        found = np.where(looked >= since, level + daily * (looked - since), found)
    return found
