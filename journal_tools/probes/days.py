"""A probe's series boiled down: figures of each local day, hourly means, and the last week."""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from journal_tools.probes.summer_time import usual_step_ns
from journal_tools.probes.thinning import thinned
from journal_tools.probes.values import Values
from journal_tools.quantities import Band
from journal_tools.science.series.probes import NS_PER_H, count_by_day, daily_summary
from journal_tools.science.validity import FloatArray

RECENT_DAYS = 7
_DAY_NS = 86_400_000_000_000
_HOUR_NS = int(NS_PER_H)
_RATE_OVER_H = 0.5

BandSteps = Sequence[tuple[dt.date, Band]]
"""Target bands by the day from which each holds, in order."""


@dataclass(frozen=True)
class Reduced:
    """One parameter of a probe, small enough to keep; values in its canonical unit.

    Attributes:
        start_ns: When each local day with a row began, ns since 1970 UTC.
        count: Rows with a usable value.
        minimum: Lowest value of the day.
        minimum_ns: When.
        mean: Mean over the known time.
        maximum: Highest value of the day.
        maximum_ns: When.
        known_h: Hours between rows near enough to one another.
        outside_h: Hours of these outside the target band of the day; NaN without a band.
        longest_gap_h: Longest time to the next row.
        largest_rate_per_h: Fastest change an hour, of means over half an hour.
        flagged: Rows that a test doubts or that failed.
        failed: Rows among them that failed and were left out.
        hour_ns: Mean moment of the rows of each hour.
        hour_mean: Their mean.
        recent_ns: Moments that draw the last week before the last row.
        recent: Values there.
        gap_h: Hours between rows beyond which the time between is unknown.
    """

    start_ns: NDArray[np.int64]
    count: NDArray[np.int64]
    minimum: FloatArray
    minimum_ns: NDArray[np.int64]
    mean: FloatArray
    maximum: FloatArray
    maximum_ns: NDArray[np.int64]
    known_h: FloatArray
    outside_h: FloatArray
    longest_gap_h: FloatArray
    largest_rate_per_h: FloatArray
    flagged: NDArray[np.int64]
    failed: NDArray[np.int64]
    hour_ns: NDArray[np.int64]
    hour_mean: FloatArray
    recent_ns: NDArray[np.int64]
    recent: FloatArray
    gap_h: FloatArray


def reduced(
    ns: NDArray[np.int64], values: Values, zone: ZoneInfo, bands: BandSteps
) -> Reduced | None:
    """Give what is kept of a series; None if no value of it can be used.

    Args:
        ns: Moments of the rows, rising.
        values: Values with their flags.
        zone: The keeper's time zone: days of 23 and 25 hours are as long as they were.
        bands: Target bands.
    """
    there = ~np.isnan(values.numbers)
    if not there.any():
        return None
    times, numbers = (ns, values.numbers) if there.all() else (ns[there], values.numbers[there])
    starts = day_starts(int(ns[0]), int(ns[-1]), zone)
    step_h = usual_step_ns(times) / NS_PER_H
    gap_h = min(12.0, max(2.0, 4 * step_h))
    summary = daily_summary(times, numbers, starts, gap_h, max(_RATE_OVER_H, min(12.0, step_h)))
    failed = count_by_day(ns, values.failed, starts)
    flagged = failed + count_by_day(ns, values.suspect, starts)
    kept = (summary.count > 0) | (flagged > 0)
    lowest, highest = _extremes(times, numbers, starts)
    hour_ns, hour_mean = _hourly(times, numbers)
    week = np.searchsorted(times, times[-1] - RECENT_DAYS * _DAY_NS)
    drawn = week + thinned(times[week:], numbers[week:])
    return Reduced(
        start_ns=starts[:-1][kept],
        count=summary.count[kept].astype(np.int64),
        minimum=summary.minimum[kept],
        minimum_ns=lowest[kept],
        mean=summary.mean[kept],
        maximum=summary.maximum[kept],
        maximum_ns=highest[kept],
        known_h=summary.known_h[kept],
        outside_h=_outside_h(times, numbers, starts, bands, gap_h)[kept],
        longest_gap_h=summary.longest_gap_h[kept],
        largest_rate_per_h=summary.largest_rate_per_h[kept],
        flagged=flagged[kept].astype(np.int64),
        failed=failed[kept].astype(np.int64),
        hour_ns=hour_ns,
        hour_mean=hour_mean,
        recent_ns=times[drawn],
        recent=numbers[drawn],
        gap_h=np.array([gap_h]),
    )


def day_starts(first_ns: int, last_ns: int, zone: ZoneInfo) -> NDArray[np.int64]:
    """Give when each local day from one moment to another begins, and when the last one ends.

    A midnight that a clock change skips is the first moment after it.

    >>> noon = 1_774_692_000_000_000_000  # the day before clocks go forward
    >>> starts = day_starts(noon, noon + 86_400_000_000_000, ZoneInfo("Europe/Berlin"))
    >>> (np.diff(starts) // 3_600_000_000_000).tolist()
    [24, 23]
    """
    ends = (
        pd.Timestamp(ns, unit="ns", tz="UTC").tz_convert(zone).date() for ns in (first_ns, last_ns)
    )
    first, last = ends
    wall = pd.date_range(first, last + dt.timedelta(days=1), freq="D")
    first_passes = np.ones(len(wall), dtype=bool)
    local = wall.tz_localize(zone, ambiguous=first_passes, nonexistent="shift_forward")
    return np.array(local.tz_convert("UTC").as_unit("ns").asi8, dtype=np.int64)


def _extremes(
    times: NDArray[np.int64], numbers: FloatArray, starts: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Give when the lowest and the highest value of each day were; the day's start without."""
    edges = np.searchsorted(times, starts).tolist()
    lowest, highest = starts[:-1].copy(), starts[:-1].copy()
    for day, (begin, end) in enumerate(itertools.pairwise(edges)):
        if end > begin:
            lowest[day] = times[begin + int(numbers[begin:end].argmin())]
            highest[day] = times[begin + int(numbers[begin:end].argmax())]
    return lowest, highest


def _hourly(times: NDArray[np.int64], numbers: FloatArray) -> tuple[NDArray[np.int64], FloatArray]:
    """Give the mean moment and mean value of the rows of each hour."""
    hours = np.arange(times[0] - times[0] % _HOUR_NS, times[-1] + 1, _HOUR_NS)
    edges = np.append(np.searchsorted(times, hours), times.size)
    counts = np.diff(edges)
    cuts, counts = edges[:-1][counts > 0], counts[counts > 0]
    since = np.add.reduceat(times - times[0], cuts) // counts
    return times[0] + since, np.add.reduceat(numbers, cuts) / counts


def _outside_h(
    times: NDArray[np.int64],
    numbers: FloatArray,
    starts: NDArray[np.int64],
    bands: BandSteps,
    gap_h: float,
) -> FloatArray:
    """Give the known hours of each day outside its band, by straight lines between rows.

    The share of a line that crosses midnight is split by the time on either side.
    """
    low, high = _band_of_days(starts[:-1], bands)
    unknown = np.isnan(low) & np.isnan(high)
    if unknown.all() or times.size < 2:
        return np.where(unknown, np.nan, 0.0)
    if _alike(low) and _alike(high):
        lows, highs = low[:1], high[:1]
    else:
        day = np.searchsorted(starts, times, "right") - 1
        lows, highs = low[day], high[day]
    with np.errstate(invalid="ignore"):
        beyond = (numbers < lows) | (numbers > highs)
    outside = np.zeros(times.size - 1)
    # Most water is inside most of the time: only lines that leave the band need working out.
    at = np.flatnonzero(beyond[:-1] | beyond[1:])
    if not at.size:
        return np.where(unknown, np.nan, 0.0)
    hours = (times[at + 1] - times[at]) / NS_PER_H
    ends = (lows[at], highs[at]) if lows.size > 1 else (lows, highs)
    shares = _share_outside(numbers[at], numbers[at + 1], *ends)
    outside[at] = np.where(hours <= gap_h, hours * shares, 0.0)
    so_far = np.concatenate([[0.0], np.cumsum(outside)])
    sums = np.diff(np.interp(starts.astype(np.float64), times.astype(np.float64), so_far))
    return np.where(unknown, np.nan, sums)


def _alike(limits: FloatArray) -> bool:
    return bool(np.isnan(limits).all() or (limits == limits[0]).all())


def _band_of_days(starts: NDArray[np.int64], bands: BandSteps) -> tuple[FloatArray, FloatArray]:
    low, high = np.full(starts.size, np.nan), np.full(starts.size, np.nan)
    # By noon, so that neither side of the date line nor a clock change moves a band by a day.
    noon = (starts + _DAY_NS // 2).astype("datetime64[ns]")
    for day, band in bands:
        later = noon >= np.datetime64(day, "ns")
        low[later] = np.nan if band.low is None else band.low
        high[later] = np.nan if band.high is None else band.high
    return low, high


def _share_outside(y0: FloatArray, y1: FloatArray, low: FloatArray, high: FloatArray) -> FloatArray:
    """Give the share of straight lines that lies below or above a band, 0 to 1; NaN is open."""
    least, most = np.minimum(y0, y1), np.maximum(y0, y1)
    height = most - least
    level = height == 0
    divisor = np.where(level, 1.0, height)
    with np.errstate(invalid="ignore"):
        below = np.where(level, y0 < low, np.clip((low - least) / divisor, 0, 1))
        above = np.where(level, y0 > high, np.clip((most - high) / divisor, 0, 1))
    shares: FloatArray = np.nan_to_num(below) + np.nan_to_num(above)
    return shares
