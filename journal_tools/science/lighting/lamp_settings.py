"""Changes to a lamp: what a dimmer setting gives, another height, a slow start.

Only a meter at the place tells light. What is here carries measurements a little further, and
refuses to go beyond them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from journal_tools.science.estimate import Estimate
from journal_tools.science.lighting.light_schedule import PPFD_RANGE, PPFD_UNIT
from journal_tools.science.validity import FloatArray, Number, as_given, in_range, in_scalar_range


def ppfd_from_percent(percent: Number, measured: Sequence[tuple[float, float]]) -> Number:
    """Give the light in µmol/(m2 s) at a dimmer setting between two measured ones.

    Percent are not light: a lamp at 50 % does not give half of what it gives at 100 %. So at
    least two settings must have been measured, and none outside them is answered.

    Args:
        percent: Setting of all channels together in %, between the measured ones.
        measured: Pairs of setting in %, 0 to 100, and light there in µmol/(m2 s), 0 to 3000, all
            at one place; two or more different settings.

    Raises:
        ValueError: If fewer than two settings were measured, or a value is out of range.

    Uncertainty:
        10 to 15 % at the measured settings, more between settings far apart.

    Source:
        Linear interpolation of measurements.

    >>> ppfd_from_percent(60.0, [(40.0, 90.0), (80.0, 230.0)])
    160.0
    """
    settings = {
        in_scalar_range("setting", setting, 0.0, 100.0, "%"): in_scalar_range(
            "light", light, *PPFD_RANGE, PPFD_UNIT
        )
        for setting, light in measured
    }
    if len(settings) < 2 or len(settings) < len(measured):
        raise ValueError("percent are not light: measure two or more different settings, each once")
    known = sorted(settings)
    checked = in_range("setting (as measured)", percent, known[0], known[-1], "%")
    light = np.interp(checked, known, [settings[setting] for setting in known])
    return as_given(np.where(np.isnan(checked), np.nan, light), percent)


def ppfd_of_channels(
    setting: Mapping[str, float], measured: Sequence[tuple[Mapping[str, float], float]]
) -> float:
    """Give the light in µmol/(m2 s) of a mix of channels, if that very mix was measured.

    Channels share one power supply, and percent of different channels are different light: what
    they give alone does not add up, so no other mix is answered.

    Args:
        setting: Percent of each channel, 0 to 100; one that is left out is off.
        measured: Mixes with their light in µmol/(m2 s), 0 to 3000, all at one place.

    Raises:
        ValueError: If this mix was not measured, or a value is out of range.

    Uncertainty:
        10 to 15 %, that of the meter.

    Source:
        The measurement itself.

    >>> ppfd_of_channels({"blue": 60, "white": 20}, [({"blue": 60, "white": 20}, 140.0)])
    140.0
    """
    wanted = _lit_channels(setting)
    for mix, ppfd in measured:
        if _lit_channels(mix) == wanted:
            return in_scalar_range("light", ppfd, *PPFD_RANGE, PPFD_UNIT)
    raise ValueError("percent of channels are not light and do not add up: measure this very mix")


def _lit_channels(setting: Mapping[str, float]) -> dict[str, float]:
    percents = {
        name: in_scalar_range(f"channel {name}", percent, 0.0, 100.0, "%")
        for name, percent in setting.items()
    }
    return {name: percent for name, percent in percents.items() if percent > 0}


def ppfd_at_distance(ppfd: float, measured_cm: float, new_cm: float) -> Estimate:
    """Give the light in µmol/(m2 s) after a lamp was raised or lowered.

    The value is for a point source; the other end of the range for a long one. A lamp nearer than
    five times its size, lenses, reflecting glass and the water surface all make the light change
    less than a point source would: measure again.

    Args:
        ppfd: Light measured before in µmol/(m2 s), 0 to 3000.
        measured_cm: Distance from lamp to meter then in cm, 5 to 500.
        new_cm: Distance now in cm, 5 to 500.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        Stated by the result: inverse square to inverse distance.

    Source:
        Inverse-square law of a point source: common practice, no source for lamps over tanks.

    >>> ppfd_at_distance(400.0, 20.0, 40.0)
    Estimate(value=100.0, low=100.0, high=200.0)
    """
    light = in_scalar_range("light", ppfd, *PPFD_RANGE, PPFD_UNIT)
    before = in_scalar_range("distance", measured_cm, 5.0, 500.0, "cm")
    ratio = before / in_scalar_range("new distance", new_cm, 5.0, 500.0, "cm")
    point, line = light * ratio**2, light * ratio
    return Estimate(point, min(point, line), max(point, line))


def acclimation_share(
    days_since_start: Number, days: float, from_share: float, to_share: float = 1.0
) -> Number:
    """Give the share of the final plateau for a day of a slow start, one step a day.

    Args:
        days_since_start: Days since the first day, 0 to 1e5; its first day is 0.
        days: Days after which the final share is reached, 1 to 365.
        from_share: Share of the plateau on the first day, 0 to 1.
        to_share: Share at the end, 0 to 1.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        None of its own. A share of the plateau is a share of light, not a percent of a channel.

    Source:
        Even steps: common practice, no source.

    >>> [round(acclimation_share(float(day), 4, 0.5), 3) for day in (0, 1, 4, 9)]
    [0.5, 0.625, 1.0, 1.0]
    """
    span = in_scalar_range("days of acclimation", days, 1.0, 365.0, "d")
    first = in_scalar_range("first share", from_share, 0.0, 1.0)
    last = in_scalar_range("last share", to_share, 0.0, 1.0)
    day = np.floor(in_range("days since the start", days_since_start, 0.0, 1e5, "d"))
    return as_given(first + (last - first) * np.minimum(day / span, 1.0), days_since_start)


def acclimation_plan(days: float, from_share: float, to_share: float = 1.0) -> FloatArray:
    """Give the share of the final plateau for each day of a slow start, the first and last too.

    Args:
        days: Days after which the final share is reached, 1 to 365.
        from_share: Share of the plateau on the first day, 0 to 1.
        to_share: Share at the end, 0 to 1.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        None of its own.

    Source:
        Even steps: common practice, no source.

    >>> acclimation_plan(4, 0.5)
    array([0.5  , 0.625, 0.75 , 0.875, 1.   ])
    """
    span = in_scalar_range("days of acclimation", days, 1.0, 365.0, "d")
    return acclimation_share(np.arange(math.ceil(span) + 1.0), span, from_share, to_share)
