"""What water changes leave behind, and the level at which they settle.

Every fraction is a share of the net water volume: sump counted, rock and sand taken off.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from journal_tools.science.validity import Number, as_given, in_range, in_scalar_range


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
