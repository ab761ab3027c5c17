"""When a quantity that drifts for certain leaves its band."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from journal_tools.science.estimate import Estimate
from journal_tools.science.series.stability import (
    FEWEST_READINGS,
    LONGEST_GAP_DAYS,
    as_series,
    short_term_spread,
)
from journal_tools.science.series.trend import Slope, trend
from journal_tools.science.validity import FloatArray

WINDOW_DAYS = 90.0
"""Longest window of a forecast; also keeps the pairs of readings few."""

HISTORY_DAYS = 365.0
"""How far back the spread of readings is taken from."""

HORIZON_DAYS = 21.0
"""Days ahead beyond which no line is believed. Common practice, no source."""

CERTAIN = 0.995
"""Confidence at which a drift counts as certain: many windows of many quantities are tried."""

DATE_CONFIDENCE = 0.90
"""Confidence of slope and level, each, behind a range of dates."""

JUMP_MARGIN = 1.5
"""Squared spreads by which two levels must explain more than a line to be called a jump."""

_WINDOW_COUNTS = (3, 4, 5, 6, 8, 10, 13, 18, 25, 35, 50, 70, 100)
_DATE_Z = NormalDist().inv_cdf((1 + DATE_CONFIDENCE) / 2)


Reason = Literal[
    "",
    "too few readings",
    "no recent reading",
    "already outside",
    "no certain trend",
    "a jump rather than a trend",
    "no limit on that side",
    "not within the horizon",
]
"""Why there is no date; empty where there is one."""


@dataclass(frozen=True, slots=True)
class Forecast:
    """When a quantity leaves its band if it goes on as it does.

    Attributes:
        leaves: Day on which the line leaves, with the range of days; None where that cannot be
            said.
        limit: End of the band that is met, None where nothing is met.
        slope: Line behind it, None where there is none.
        reason: Why there is no date, else empty.
    """

    leaves: Estimate | None
    limit: float | None
    slope: Slope | None
    reason: Reason = ""


def forecast(  # noqa: PLR0913  (a band has two ends)
    days: ArrayLike,
    values: ArrayLike,
    low: float | None,
    high: float | None,
    floor: float = 0.0,
    today: float | None = None,
    horizon_days: float = HORIZON_DAYS,
) -> Forecast:
    """Give the range of days on which a quantity leaves its band, only where its drift is certain.

    The last 3, 4, 5 ... readings within 90 days are tried; the window whose drift is clearest
    counts, unless a jump explains it as well as a line.

    Args:
        days: Moments in days, rising.
        values: Readings; fewer than 7 within a year give no date.
        low: Low end of the band, None if open.
        high: High end, None if open.
        floor: Least spread of a reading, see ``stability.noise_floor``.
        today: Day from which to look ahead, at most 14 days after the last reading; that
            reading's day if None.
        horizon_days: Days ahead beyond which no line is believed, > 0.

    Raises:
        ValueError: If the readings are no series.

    Uncertainty:
        The range holds slope and level at 90 % each, if the drift goes on unchanged.

    Source:
        t = (limit - intercept) / slope; windows, certainty and horizon are own choices, tried
        on simulated years.

    >>> days = [0, 7, 14, 21, 28, 35, 42]
    >>> rising = forecast(days, [8.0, 8.4, 8.8, 9.2, 9.6, 10.0, 10.4], 7.0, 11.0, floor=0.1)
    >>> round(rising.leaves.value, 6), rising.limit
    (52.5, 11.0)
    >>> forecast(days, [8.0, 8.1, 7.9, 8.0, 8.1, 8.0, 7.9], 7.0, 11.0, floor=0.1).reason
    'no certain trend'
    """
    moments, numbers = as_series(days, values)
    recent = moments >= moments[-1] - HISTORY_DAYS if moments.size else np.zeros(0, dtype=bool)
    moments, numbers = moments[recent], numbers[recent]
    if np.unique(moments).size < FEWEST_READINGS:
        return Forecast(None, None, None, "too few readings")
    now = float(moments[-1]) if today is None else max(today, float(moments[-1]))
    if now - moments[-1] > LONGEST_GAP_DAYS:
        return Forecast(None, None, None, "no recent reading")
    if (low is not None and numbers[-1] < low) or (high is not None and numbers[-1] > high):
        return Forecast(None, None, None, "already outside")
    spread = short_term_spread(numbers, floor)
    slope, reason = _clearest(moments, numbers, spread)
    if slope is None:
        return Forecast(None, None, None, reason)
    limit = high if slope.per_day > 0 else low
    if limit is None:
        return Forecast(None, None, slope, "no limit on that side")
    leaves = _crossing(slope, limit, spread, now)
    if leaves.value - now > horizon_days:
        return Forecast(None, limit, slope, "not within the horizon")
    return Forecast(leaves, limit, slope)


def _is_a_jump(moments: FloatArray, numbers: FloatArray, spread: float) -> bool:
    """Tell whether two levels explain the readings clearly better than a straight line."""
    around = moments - moments.mean()
    deviations = numbers - numbers.mean()
    total = float(deviations @ deviations)
    line = total - float(around @ deviations) ** 2 / float(around @ around)
    before = np.arange(1, numbers.size)
    gains = np.cumsum(deviations)[:-1] ** 2 * numbers.size / (before * (numbers.size - before))
    return total - float(gains.max()) < line - JUMP_MARGIN * spread**2


def _clearest(
    moments: FloatArray, numbers: FloatArray, spread: float
) -> tuple[Slope | None, Reason]:
    """Give the slope of the window with the clearest drift, or why there is none."""
    within = int(np.sum(moments >= moments[-1] - WINDOW_DAYS))
    best, clearest = None, 0.0
    reason: Reason = "no certain trend"
    for count in _WINDOW_COUNTS:
        if count > within or moments[-count] == moments[-1]:
            continue
        window, readings = moments[-count:], numbers[-count:]
        strict = trend(window, readings, spread, CERTAIN)
        if not strict.is_certain:
            continue
        if _is_a_jump(window, readings, spread):
            reason = "a jump rather than a trend"
            continue
        clarity = abs(strict.per_day) / (strict.high - strict.low)
        if clarity > clearest:
            best, clearest = trend(window, readings, spread, DATE_CONFIDENCE), clarity
    return best, "" if best else reason


def _crossing(slope: Slope, limit: float, spread: float, now: float) -> Estimate:
    """Give the day on which a line meets a limit, not before now, with its range."""
    level = slope.at(slope.centre_day)
    # The median of n normal values scatters by sqrt(pi / 2) sigma / sqrt(n).
    half = _DATE_Z * spread * math.sqrt(math.pi / 2 / slope.count)
    way = abs(limit - level)
    slow, fast = sorted((abs(slope.low), abs(slope.high)))
    earliest = slope.centre_day + max(0.0, way - half) / fast
    latest = slope.centre_day + (way + half) / slow
    middle = max(now, slope.day_at(limit))
    return Estimate(middle, min(max(now, earliest), middle), max(latest, middle))
