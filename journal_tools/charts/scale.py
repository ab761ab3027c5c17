"""Where the axes begin and end, and where their labels stand."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

import pandas as pd

# Months between labels of the time axis, tried in this order.
_MONTH_STEPS = (1, 2, 3, 6, 12, 24, 60)
_DAY_STEPS = (1, 2, 3, 7, 14)
# Half of the widest label, "28 May": one that stuck out would make the drawing wider.
_TICK_CLEAR_PX = 22
_EPOCH = pd.Timestamp(1970, 1, 1)


def wall_time(moment: date | datetime | pd.Timestamp) -> pd.Timestamp:
    """Give a moment as the keeper's clock showed it, without a time zone.

    Args:
        moment: A date (taken as its midnight) or a time, with a zone or without.

    Returns:
        Timestamp without a zone.

    >>> wall_time(date(2026, 3, 14))
    Timestamp('2026-03-14 00:00:00')
    """
    return pd.Timestamp(moment).tz_localize(None)


def wall_text(moment: pd.Timestamp) -> str:
    """Give a wall time as text with its time part.

    A bare date would be read as UTC by a browser and land on the day before in the Americas.

    Args:
        moment: Wall time.

    Returns:
        ISO 8601 without a zone, to the second.

    >>> wall_text(pd.Timestamp("2026-03-14"))
    '2026-03-14T00:00:00'
    """
    return moment.strftime("%Y-%m-%dT%H:%M:%S")


def axis_ms(moment: pd.Timestamp) -> int:
    """Give a wall time in ms since 1970 as the chart's UTC scale counts it.

    Args:
        moment: Wall time.

    Returns:
        Milliseconds.

    >>> axis_ms(pd.Timestamp("1970-01-02"))
    86400000
    """
    return round((moment - _EPOCH).total_seconds() * 1000)


@dataclass(frozen=True, slots=True)
class TimeSpan:
    """The stretch of time that a chart shows.

    Attributes:
        start: First moment, wall time.
        end: Last moment, wall time, later than the first.
    """

    start: pd.Timestamp
    end: pd.Timestamp

    @property
    def days(self) -> float:
        """Give the length in days."""
        return (self.end - self.start).total_seconds() / 86400

    @property
    def domain(self) -> list[int]:
        """Give both ends in ms for a chart's scale."""
        return [axis_ms(self.start), axis_ms(self.end)]

    def position(self, moment: pd.Timestamp, width_px: float) -> float:
        """Give how far from the left a moment lies, in px of a plot of that width."""
        return float((moment - self.start) / (self.end - self.start)) * width_px


def time_span(times: Iterable[pd.Timestamp], today: date) -> TimeSpan:
    """Give the stretch from the first of some moments to today, at least two weeks.

    It ends today and not at the last reading, so that a neglected tank shows a gap.

    Args:
        times: Wall times, in any order; may be empty.
        today: The day of the build.

    Returns:
        The stretch, a little wider than the moments.
    """
    end = wall_time(today) + pd.Timedelta(days=1)
    moments = list(times)
    start = min([*moments, end - pd.Timedelta(days=14)])
    last = max([*moments, end])
    margin = (last - start) * 0.015
    return TimeSpan((start - margin).floor("h"), (last + margin).ceil("h"))


def time_ticks(
    span: TimeSpan, width_px: float, tick_px: float, whole_months: bool = False
) -> list[pd.Timestamp]:
    """Give the moments to label on a time axis: days, firsts of months, or years.

    Args:
        span: What the axis shows.
        width_px: Width of the plot.
        tick_px: Least distance between labels.
        whole_months: Label no days, however short the span.

    Returns:
        Midnights in order; the last keeps clear of the right end.
    """
    room = max(2, int(width_px / tick_px))
    days = next((step for step in _DAY_STEPS if span.days / step <= room), None)
    if days is not None and not whole_months:
        ticks = pd.date_range(span.start.ceil("D"), span.end, freq=f"{days}D")
    else:
        months = next((n for n in _MONTH_STEPS if span.days / 30.4 / n <= room), _MONTH_STEPS[-1])
        firsts = pd.date_range(span.start.ceil("D"), span.end, freq="MS")
        # Counting from year 0 keeps ticks on January when the step divides a year.
        ticks = firsts[(firsts.year * 12 + firsts.month - 1) % months == 0]
    inside = [t for t in ticks if 0 <= span.position(t, width_px) <= width_px - _TICK_CLEAR_PX]
    return inside or list(ticks[:1])


def time_label(ticks: Sequence[pd.Timestamp]) -> str:
    """Give the Vega expression that writes the labels of a time axis.

    Args:
        ticks: What `time_ticks` gave.

    Returns:
        Expression: day and month, month, or year; the year stands under the first label and
        under the first of every new year.
    """
    if all(t.day == 1 and t.month == 1 for t in ticks) and len(ticks) > 1:
        return "utcFormat(datum.value, '%Y')"
    short = "%b" if all(t.day == 1 for t in ticks) else "%-d %b"
    firsts = [axis_ms(t) for i, t in enumerate(ticks) if i == 0 or t.year != ticks[i - 1].year]
    # Compared as numbers: a Date object is never the same as another one.
    test = " || ".join(f"+datum.value === {ms}" for ms in firsts) or "false"
    text = f"utcFormat(datum.value, '{short}')"
    return f"({test}) ? [{text}, utcFormat(datum.value, '%Y')] : {text}"


def nice_step(span: float, most: int) -> float:
    """Give the smallest step of 1, 2 or 5 times a power of ten that needs few enough ticks.

    Args:
        span: Length of the axis, over 0.
        most: Most steps.

    Returns:
        The step, in the unit of the span.

    >>> nice_step(1.3, 5)
    0.5
    """
    power = 10.0 ** math.floor(math.log10(span / most))
    return next(float(f"{k * power:.6g}") for k in (1, 2, 5, 10, 20) if span / (k * power) <= most)


@dataclass(frozen=True, slots=True)
class ValueScale:
    """The value axis of one parameter.

    Attributes:
        low: Value at the foot of the plot.
        high: Value at its top, above `low`.
        decimals: Decimals of the labels.
        ticks: Values that are labelled.
    """

    low: float
    high: float
    decimals: int
    ticks: list[float]

    @property
    def domain(self) -> list[float]:
        """Give both ends for a chart's scale."""
        return [self.low, self.high]


def value_scale(
    values: Sequence[float], bounds: Sequence[float], decimals: int, room_below: bool = False
) -> ValueScale:
    """Give a value axis that holds the target band and all readings but lone outliers.

    Args:
        values: Readings with the ends of their error bars, in the parameter's unit.
        bounds: Limits of the target bands.
        decimals: Decimals in which the parameter is written.
        room_below: Leave room under the lowest value for "below" marks.

    Returns:
        The axis. Readings outside it are drawn at its edge with their value.
    """
    kept = [*_without_outliers(sorted(values)), *bounds] or [0.0, 1.0]
    low, high = min(kept), max(kept)
    pad = max(0.07 * (high - low), 1.5 * 10.0**-decimals)
    foot = low - pad if low < 0 else max(0.0, low - pad)
    top = high + pad
    if room_below:
        foot = min(foot, low - 0.1 * (top - low))
    step = max(nice_step(top - foot, 5), 10.0**-decimals)
    first = math.ceil((max(foot, 0.0) if low >= 0 else foot) / step)
    ticks = [float(f"{n * step:.10g}") for n in range(first, math.floor(top / step) + 1)]
    return ValueScale(foot, top, max(0, min(decimals, -math.floor(math.log10(step)))), ticks)


def _without_outliers(ordered: list[float]) -> list[float]:
    """Give the values without the few that lie far beyond all others.

    Far is more than four times the spread of the middle 90 %, common practice, no source.
    """
    if len(ordered) < 12:
        return ordered
    edge = max(1, len(ordered) // 20)
    low, high = ordered[edge], ordered[-1 - edge]
    reach = 4 * (high - low)
    if reach == 0:
        return ordered
    return [value for value in ordered if low - reach <= value <= high + reach]
