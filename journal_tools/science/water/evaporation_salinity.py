"""What evaporation, top-off and lost salt do to the salinity and to everything dissolved.

Evaporation takes only water. A slow drift despite a working top-off means lost or added salt.
"""

from __future__ import annotations

import numpy as np

from journal_tools.science.validity import FloatArray, Number, as_given, in_range, in_scalar_range
from journal_tools.science.water.seawater import (
    GRAMS_PER_KG_PER_PSU,
    SALINITY_RANGE,
    density_kg_m3,
    pure_water_density_kg_m3,
)


def concentration_after_evaporation(
    before: Number, net_volume_l: float, evaporated_l: Number | float
) -> Number:
    """Give the concentration after water has evaporated, in the unit of ``before``.

    Holds for salinity, alkalinity, calcium and every other solute alike (volume basis).

    Args:
        before: Concentration before, 0 to 1e6.
        net_volume_l: Net water volume before in L, 0.1 to 1e6.
        evaporated_l: Water evaporated and not replaced in L, 0 to 0.9 of the net volume.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        That of the volumes; 0.1 % above the mass basis when 4 % has evaporated.

    Source:
        Mass balance.

    >>> round(concentration_after_evaporation(8.0, 100.0, 2.0), 3)
    8.163
    """
    volume = _net(net_volume_l)
    gone = in_range("water evaporated", evaporated_l, 0.0, 0.9 * volume, "L")
    return as_given(in_range("concentration", before, 0.0, 1e6) * volume / (volume - gone), before)


def salinity_after_evaporation(
    salinity: Number, net_volume_l: float, evaporated_l: Number | float
) -> Number:
    """Give the practical salinity after evaporation without top-off, on a volume basis.

    Args:
        salinity: Practical salinity before, 0 to 42.
        net_volume_l: Net water volume before in L, 0.1 to 1e6.
        evaporated_l: Water evaporated and not replaced in L, 0 to 0.9 of the net volume.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        That of the volumes; 0.04 psu above the mass basis for 4 %.

    Source:
        Salt conserved.

    >>> round(salinity_after_evaporation(35.0, 300.0, 12.0), 2)
    36.46
    """
    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    after = concentration_after_evaporation(checked, net_volume_l, evaporated_l)
    return as_given(np.asarray(after), salinity)


def salinity_after_evaporation_by_mass(
    salinity: Number,
    net_volume_l: float,
    evaporated_l: Number | float,
    temperature_c: float = 25.0,
) -> Number:
    """Give the practical salinity after evaporation without top-off, on a mass basis.

    Args:
        salinity: Practical salinity before, 0 to 42.
        net_volume_l: Net water volume before in L, 0.1 to 1e6.
        evaporated_l: Pure water evaporated and not replaced in L, 0 to 0.9 of the net volume.
        temperature_c: Temperature in °C, -2 to 40.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        That of the volumes.

    Source:
        S0 m0 / (m0 - m), with the densities of EOS-80.

    >>> round(salinity_after_evaporation_by_mass(35.0, 300.0, 12.0), 2)
    36.42
    """
    volume = _net(net_volume_l)
    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    gone = in_range("water evaporated", evaporated_l, 0.0, 0.9 * volume, "L")
    mass = volume * density_kg_m3(checked, temperature_c)
    left = mass - gone * pure_water_density_kg_m3(temperature_c)
    return as_given(np.asarray(checked * mass / left), salinity)


def salinity_drift_per_day(
    salinity: Number, evaporation_l_day: float, net_volume_l: float
) -> Number:
    """Give how fast the salinity rises in psu/day when the top-off stops.

    Args:
        salinity: Practical salinity, 0 to 42.
        evaporation_l_day: Evaporation in L/day, 0 to 1e5.
        net_volume_l: Net water volume in L, 0.1 to 1e6.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of evaporation and volume; the rise speeds up slowly.

    Source:
        S E / V.

    >>> round(salinity_drift_per_day(35.0, 4.0, 300.0), 3)
    0.467
    """
    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    return as_given(checked * _evaporation(evaporation_l_day) / _net(net_volume_l), salinity)


def top_off_reserve_days(reservoir_l: Number, evaporation_l_day: float) -> Number:
    """Give how many days the water in the top-off reservoir lasts.

    Args:
        reservoir_l: Usable water in the reservoir in L, 0 to 1e6.
        evaporation_l_day: Evaporation in L/day, 0.001 to 1e5.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the evaporation, which differs by a third between seasons.

    Source:
        Ratio.

    >>> top_off_reserve_days(20.0, 4.0)
    5.0
    """
    daily = in_scalar_range("evaporation", evaporation_l_day, 0.001, 1e5, "L/day")
    return as_given(in_range("reservoir", reservoir_l, 0.0, 1e6, "L") / daily, reservoir_l)


def salinity_after_dry_reservoir(
    salinity: float,
    net_volume_l: float,
    evaporation_l_day: float,
    days: Number,
    reservoir_l: float = 0.0,
) -> Number:
    """Give the practical salinity some days from now if nobody refills the reservoir.

    Args:
        salinity: Practical salinity now, 0 to 42.
        net_volume_l: Net water volume when topped off in L, 0.1 to 1e6.
        evaporation_l_day: Evaporation in L/day, 0.001 to 1e5.
        days: Days from now, 0 to 1000, with at most 0.9 of the water gone by then.
        reservoir_l: Usable water still in the reservoir in L, 0 to 1e6.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        That of evaporation and volume.

    Source:
        Salt conserved, from the day the reservoir is empty.

    >>> round(salinity_after_dry_reservoir(35.0, 300.0, 4.0, 8.0, 20.0), 2)
    36.46
    """
    dry_after = top_off_reserve_days(reservoir_l, evaporation_l_day)
    unreplaced = np.maximum(in_range("days", days, 0.0, 1000.0) - dry_after, 0.0)
    after = salinity_after_evaporation(
        np.asarray(salinity, dtype=np.float64), net_volume_l, unreplaced * evaporation_l_day
    )
    return as_given(np.asarray(after), days)


def salinity_after_overfill(
    salinity: Number, net_volume_l: float, added_l: float, added_salinity: float = 0.0
) -> Number:
    """Give the practical salinity after the top-off has run on, such as a whole reservoir.

    What then flows over the rim takes mixed water along and does not change the salinity.

    Args:
        salinity: Practical salinity before, 0 to 42.
        net_volume_l: Net water volume before in L, 0.1 to 1e6.
        added_l: Water pumped in beyond the need in L, 0 to 1e6.
        added_salinity: Practical salinity of that water, 0 to 42; 0 for purified water.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the volumes; mixed before it overflows.

    Source:
        Salt conserved, volume basis.

    >>> round(salinity_after_overfill(35.0, 300.0, 20.0), 2)
    32.81
    """
    volume, added = _net(net_volume_l), in_scalar_range("water added", added_l, 0.0, 1e6, "L")
    poured = in_scalar_range("salinity of the top-off", added_salinity, *SALINITY_RANGE, "psu")
    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    return as_given((checked * volume + poured * added) / (volume + added), salinity)


def salinity_at_full_level(reading: Number, volume_at_reading_l: float, full_l: float) -> Number:
    """Give the practical salinity that a low or high water level hides.

    Args:
        reading: Practical salinity as measured, 0 to 42.
        volume_at_reading_l: Net water volume at that moment in L, 0.1 to 1e6.
        full_l: Net water volume at the usual level in L, 0.1 to 1e6.

    Raises:
        ValueError: If a value is out of range or the two volumes differ by more than half.

    Uncertainty:
        That of the level in the return section.

    Source:
        Salt conserved, volume basis.

    >>> round(salinity_at_full_level(36.46, 288.0, 300.0), 2)
    35.0
    """
    full = _net(full_l)
    low, high = 0.5 * full, 1.5 * full
    volume = in_scalar_range("volume at the reading", volume_at_reading_l, low, high, "L")
    return as_given(in_range("salinity", reading, *SALINITY_RANGE, "psu") * volume / full, reading)


def salt_change_kg(
    salinity_before: Number,
    salinity_after: Number | float,
    net_volume_l: float,
    temperature_c: float = 25.0,
) -> Number:
    """Give the salt gained (above 0) or lost (below 0) in kg between two salinities.

    Both must hold at one water level. Skimmate, creep and leaks take salt, dosed pairs add some.

    Args:
        salinity_before: Practical salinity before, 0 to 42.
        salinity_after: Practical salinity after, 0 to 42.
        net_volume_l: Net water volume in L, 0.1 to 1e6.
        temperature_c: Temperature in °C, -2 to 40.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        A difference of two readings of ±0.5 psu is ±0.7 psu: 0.2 kg in 300 L.

    Source:
        Mass of salt by EOS-80 and reference salinity.

    >>> round(salt_change_kg(35.0, 34.0, 300.0), 2)
    -0.32
    """
    before, after = (
        _salt_kg_m3(salinity, temperature_c) for salinity in (salinity_before, salinity_after)
    )
    return as_given(np.asarray(_net(net_volume_l) / 1000 * (after - before)), salinity_before)


def _salt_kg_m3(salinity: float | FloatArray, temperature_c: float) -> FloatArray:
    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    return np.asarray(density_kg_m3(checked, temperature_c) * checked * GRAMS_PER_KG_PER_PSU / 1000)


def seawater_lost_l_day(
    salinity_loss_psu_day: Number, salinity: float, net_volume_l: float
) -> Number:
    """Give the tank water in L/day whose loss, topped off fresh, explains a falling salinity.

    Args:
        salinity_loss_psu_day: How fast the salinity falls in psu/day, 0 to 10.
        salinity: Practical salinity, 1 to 42.
        net_volume_l: Net water volume in L, 0.1 to 1e6.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the trend.

    Source:
        V (dS/dt) / S.

    >>> round(seawater_lost_l_day(0.02, 35.0, 300.0), 3)
    0.171
    """
    loss = in_range("salinity loss", salinity_loss_psu_day, 0.0, 10.0, "psu/day")
    held = in_scalar_range("salinity", salinity, 1.0, SALINITY_RANGE[1], "psu")
    return as_given(loss * _net(net_volume_l) / held, salinity_loss_psu_day)


def rise_from_top_off_per_day(
    top_off_concentration: Number, top_off_l_day: float, net_volume_l: float
) -> Number:
    """Give what a solute of the top-off water adds a day, in the unit of its concentration.

    Top-off is neutral only if it is pure: what tap water holds stays when the water goes.

    Args:
        top_off_concentration: Concentration in the top-off water, such as mg/L or dKH, 0 to 1e6.
        top_off_l_day: Top-off in L/day, 0 to 1e5.
        net_volume_l: Net water volume in L, 0.1 to 1e6.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the top-off and the volume.

    Source:
        Mass balance c E / V.

    >>> round(rise_from_top_off_per_day(25.0, 4.0, 300.0), 3)
    0.333
    """
    held = in_range("concentration of the top-off", top_off_concentration, 0.0, 1e6)
    return as_given(held * _evaporation(top_off_l_day) / _net(net_volume_l), top_off_concentration)


def _net(net_volume_l: float) -> float:
    return in_scalar_range("net volume", net_volume_l, 0.1, 1e6, "L")


def _evaporation(evaporation_l_day: float) -> float:
    return in_scalar_range("evaporation", evaporation_l_day, 0.0, 1e5, "L/day")
