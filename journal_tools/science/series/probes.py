"""Long series of a probe: daily figures and gaps.

Rows come as moments (``datetime64``, or whole nanoseconds) in rising order and values; a value
that is NaN is missing. The caller says where local days begin, for some have 23 or 25 hours.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from journal_tools.science.validity import FloatArray, in_scalar_range

Moments = NDArray[np.datetime64] | NDArray[np.int64]
"""Moments as ``datetime64`` of any unit, or as whole nanoseconds."""

NS_PER_H = 3.6e12
"""Nanoseconds in an hour."""


def nanoseconds(times: Moments) -> NDArray[np.int64]:
    """Give moments as whole nanoseconds.

    Args:
        times: Moments as ``datetime64`` of any unit, or as whole nanoseconds.

    Raises:
        ValueError: If one is missing, or they are neither.

    >>> nanoseconds(np.array(["1970-01-01T00:00:01"], "datetime64[s]"))
    array([1000000000])
    """
    moments = np.asarray(times)
    if moments.dtype.kind == "M":
        if np.isnat(moments).any():
            raise ValueError("a moment is missing")
        return moments.astype("datetime64[ns]").astype(np.int64)
    if moments.dtype.kind != "i":
        raise ValueError("moments must be datetime64 or whole nanoseconds")
    return moments.astype(np.int64, copy=False)


def rising_moments(times: Moments, numbers: FloatArray) -> NDArray[np.int64]:
    """Give the moments of rows as whole nanoseconds, checked.

    Args:
        times: Moments of the rows, rising.
        numbers: Values of the rows, as many.

    Raises:
        ValueError: If lengths differ or moments fall.

    >>> rising_moments(np.array([0, 5]), np.array([25.0, 25.1])).tolist()
    [0, 5]
    """
    moments = nanoseconds(times)
    if moments.ndim != 1 or moments.shape != numbers.shape:
        raise ValueError(f"times {moments.shape} and values {numbers.shape} are not equal rows")
    if (moments[1:] < moments[:-1]).any():
        raise ValueError("times must be in rising order")
    return moments


@dataclass(frozen=True, slots=True)
class DailySummary:
    """Figures of each day, one element a day; NaN where there is nothing to tell.

    Attributes:
        count: Rows with a value.
        minimum: Lowest value.
        mean: Mean over the known time.
        maximum: Highest value.
        known_h: Hours of the day between rows near enough to one another.
        longest_gap_h: Longest time from a row of the day to the next row.
        largest_rate_per_h: Fastest change per hour, without sign.
    """

    count: NDArray[np.intp]
    minimum: FloatArray
    mean: FloatArray
    maximum: FloatArray
    known_h: FloatArray
    longest_gap_h: FloatArray
    largest_rate_per_h: FloatArray


def daily_summary(
    times: Moments,
    values: FloatArray,
    day_starts: Moments,
    max_gap_h: float = 2.0,
    rate_over_h: float = 0.5,
) -> DailySummary:
    """Give the figures of each day of a probe series.

    Args:
        times: Moments of the rows, rising.
        values: Values of the rows.
        day_starts: Moment at which each day begins, and at last the one at which the last ends.
        max_gap_h: Hours between rows beyond which the time between is unknown, 0 to 12.
        rate_over_h: Hours over which values are averaged before rates are taken, 0.01 to 12.

    Raises:
        ValueError: If moments fall, lengths differ, or hours are out of range.

    Uncertainty:
        That of the probe. A rate is of means over ``rate_over_h``: shorter jumps are damped.

    Source:
        Trapezoidal rule, cut at the day's ends; rates from means of medians of three rows.

    >>> times = np.array(["2024-05-01T06", "2024-05-01T07", "2024-05-01T08"], "datetime64[h]")
    >>> days = np.array(["2024-05-01", "2024-05-02"], "datetime64[D]")
    >>> summary = daily_summary(times, np.array([25.0, 25.4, 25.2]), days)
    >>> float(summary.mean[0]), float(summary.known_h[0])
    (25.25, 2.0)
    """
    in_scalar_range("longest gap", max_gap_h, 0.0, 12.0, "h")
    in_scalar_range("averaging time", rate_over_h, 0.01, 12.0, "h")
    moments, numbers = _rows(times, values)
    starts = nanoseconds(day_starts)
    if starts.size < 2 or (np.diff(starts) <= 0).any():
        raise ValueError("day_starts needs two or more rising moments")
    days = _Days(starts, np.searchsorted(moments, starts))
    known_h, mean = _mean(moments, numbers, days, max_gap_h)
    return DailySummary(
        count=np.diff(days.edges),
        minimum=days.reduced(np.minimum, numbers),
        mean=mean,
        maximum=days.reduced(np.maximum, numbers),
        known_h=known_h,
        longest_gap_h=days.reduced(np.maximum, _hours_to_next(moments)),
        largest_rate_per_h=_largest_rates(moments, numbers, days, max_gap_h, rate_over_h),
    )


def gaps(times: Moments, longest_h: float) -> NDArray[np.intp]:
    """Give the rows after which the next is missing for longer than some hours.

    Args:
        times: Moments of the rows, rising.
        longest_h: Hours between rows that are no gap yet, >= 0.

    Raises:
        ValueError: If moments fall or the hours are negative.

    >>> gaps(np.array([0, 1, 5, 6], "datetime64[h]"), 2.0)
    array([1])
    """
    in_scalar_range("longest time", longest_h, 0.0, 1e9, "h")
    moments, _ = _rows(times, np.zeros(len(times)))
    return np.flatnonzero(np.diff(moments) > longest_h * NS_PER_H)


def count_by_day(
    times: Moments, marked: NDArray[np.bool_], day_starts: Moments
) -> NDArray[np.intp]:
    """Give how many rows of each day are marked, such as those with a flag.

    Args:
        times: Moments of the rows, rising.
        marked: For each row whether it counts.
        day_starts: As for ``daily_summary``.

    >>> hours = np.array([1, 2, 30], "datetime64[h]")
    >>> days = np.array([0, 1, 2], "datetime64[D]")
    >>> count_by_day(hours, np.array([True, False, True]), days).tolist()
    [1, 1]
    """
    hits = nanoseconds(times)[np.asarray(marked, dtype=bool)]
    return np.diff(np.searchsorted(hits, nanoseconds(day_starts)))


@dataclass(frozen=True, slots=True)
class _Days:
    """Where days begin, as moments and as rows."""

    starts: NDArray[np.int64]
    edges: NDArray[np.intp]

    def reduced(self, how: np.ufunc, rows: FloatArray) -> FloatArray:
        """Give one figure for each day from its rows; NaN for a day without."""
        result = np.full(self.edges.size - 1, np.nan)
        filled = np.diff(self.edges) > 0
        # An empty day would get the first row of the next; without it none is lost.
        if filled.any():
            body = rows[self.edges[0] : self.edges[-1]]
            result[filled] = how.reduceat(body, (self.edges[:-1] - self.edges[0])[filled])
        return result


def _rows(times: Moments, values: FloatArray) -> tuple[NDArray[np.int64], FloatArray]:
    """Give checked rows without the missing ones."""
    numbers = np.asarray(values, dtype=np.float64)
    moments = rising_moments(times, numbers)
    there = ~np.isnan(numbers)
    return (moments, numbers) if there.all() else (moments[there], numbers[there])


def _hours_to_next(moments: NDArray[np.int64]) -> FloatArray:
    hours = np.zeros(moments.size)
    np.divide(np.diff(moments), NS_PER_H, out=hours[:-1])
    return hours


def _mean(
    moments: NDArray[np.int64], numbers: FloatArray, days: _Days, max_gap_h: float
) -> tuple[FloatArray, FloatArray]:
    """Give the known hours of each day and the mean over them."""
    hours = _hours_to_next(moments)
    hours[hours > max_gap_h] = 0.0
    areas = np.zeros(numbers.size)
    np.add(numbers[1:], numbers[:-1], out=areas[:-1])
    areas *= hours
    areas /= 2
    known = np.nan_to_num(days.reduced(np.add, hours))
    area = np.nan_to_num(days.reduced(np.add, areas))
    # Of a stretch over midnight, the part after it belongs to the next day.
    late_h, late_area = _after_midnight(moments, numbers, days, hours)
    known += late_h[:-1] - late_h[1:]
    area += late_area[:-1] - late_area[1:]
    known = np.where(known > 1e-9, known, 0.0)
    return known, np.divide(area, known, out=np.full(known.size, np.nan), where=known > 0)


def _after_midnight(
    moments: NDArray[np.int64], numbers: FloatArray, days: _Days, hours: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Give hours and area, after each start of a day, of the stretch that crosses it."""
    late_h, late_area = np.zeros(days.edges.size), np.zeros(days.edges.size)
    crossed = (days.edges > 0) & (days.edges < moments.size)
    after = days.edges[crossed]
    known = hours[after - 1]
    width = np.where(known > 0, (moments[after] - days.starts[crossed]) / NS_PER_H, 0.0)
    share = width / np.where(known > 0, known, 1.0)
    at_midnight = numbers[after] + share * (numbers[after - 1] - numbers[after])
    late_h[crossed], late_area[crossed] = width, width * (at_midnight + numbers[after]) / 2
    return late_h, late_area


def _largest_rates(
    moments: NDArray[np.int64],
    numbers: FloatArray,
    days: _Days,
    max_gap_h: float,
    rate_over_h: float,
) -> FloatArray:
    result = np.full(days.edges.size - 1, np.nan)
    if numbers.size < 2:
        return result
    step = int(rate_over_h * NS_PER_H)
    cuts = np.unique(np.searchsorted(moments, np.arange(moments[0], moments[-1] + 1, step)))
    counts = np.diff(np.append(cuts, moments.size))
    means = np.add.reduceat(_medians_of_three(numbers), cuts) / counts
    hours = np.add.reduceat((moments - moments[0]) / NS_PER_H, cuts) / counts
    apart = np.diff(hours)
    # Two lone rows next to a border are too near for a rate, two beyond a gap too far.
    usable = (apart >= rate_over_h / 2) & (apart <= max_gap_h + rate_over_h)
    rates = np.abs(np.diff(means))[usable] / apart[usable]
    middles = ((hours[1:] + hours[:-1])[usable] / 2 * NS_PER_H).astype(np.int64) + moments[0]
    day = np.searchsorted(days.starts, middles, "right") - 1
    held = (day >= 0) & (day < result.size)
    np.fmax.at(result, day[held], rates[held])
    return result


def _medians_of_three(numbers: FloatArray) -> FloatArray:
    """Give each row's median with its two neighbours: a lone spike vanishes, a step stays."""
    result = numbers.copy()
    before, own, after = numbers[:-2], numbers[1:-1], numbers[2:]
    low, high = np.minimum(before, own), np.maximum(before, own)
    np.maximum(low, np.minimum(high, after), out=result[1:-1])
    return result
