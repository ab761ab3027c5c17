"""How long a quantity was in its target band, by straight lines between readings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from journal_tools.science.series.stability import LONGEST_GAP_DAYS, as_series
from journal_tools.science.validity import FloatArray

_INFINITE = 1e300  # Two of them may still be subtracted.
_ROUNDING = 1e-9  # 82.4 °F are 28 °C, but not to the last bit.


@dataclass(frozen=True, slots=True)
class TimeInBand:
    """How long a quantity was in its band, in days.

    Attributes:
        inside_days: Time certainly inside.
        known_days: Time of which one can tell, inside or outside.
        unknown_days: Time in gaps, or where a "below" or "above" cannot tell.
    """

    inside_days: float
    known_days: float
    unknown_days: float

    @property
    def share(self) -> float | None:
        """Share of the known time inside, 0 to 1; None where nothing is known."""
        return self.inside_days / self.known_days if self.known_days > 0 else None


def time_in_band(  # noqa: PLR0913  (a band has two ends, and a series may be cut)
    days: ArrayLike,
    values: ArrayLike,
    low: float | None,
    high: float | None,
    max_gap_days: float = LONGEST_GAP_DAYS,
    censored: Sequence[str] | None = None,
    between: tuple[float, float] = (-math.inf, math.inf),
) -> TimeInBand:
    """Give how long a quantity was in its band, cut exactly where straight lines cross it.

    A reading "below x" may be anything from 0 to x, "above x" anything from x up: where every
    line that they allow is inside (or every one outside) the time is known, else unknown.

    Args:
        days: Moments in days, rising.
        values: Readings, or the limits that a test could only name.
        low: Low end of the band, None if open.
        high: High end, None if open.
        max_gap_days: Days between readings beyond which the time between is unknown, > 0.
        censored: For each reading ``below``, ``above`` or empty.
        between: First and last moment that count: a band that changed is summed in parts.

    Raises:
        ValueError: If the readings are no series, or the band ends before it begins.

    Uncertainty:
        Exact for the lines; what the quantity did between the tests is not known.

    Source:
        Exact crossing of the linear interpolant.

    >>> round(time_in_band([0, 1, 3, 7, 8], [8.0, 8.2, 7.6, 8.4, 8.4], 7.8, 8.3).share, 6)
    0.604167
    """
    bottom = -_INFINITE if low is None else low
    top = _INFINITE if high is None else high
    if not bottom <= top:
        raise ValueError(f"band from {low} to {high} ends before it begins")
    marks = np.asarray([""] * np.size(values) if censored is None else list(censored), dtype=str)
    there = ~np.isnan(np.asarray(values, dtype=np.float64))
    moments, numbers = as_series(days, values)
    least, most = _possible(_snapped(numbers, bottom, top), marks[there])
    return _sum_of_stretches(moments, (least, most), (bottom, top), max_gap_days, between)


def _snapped(numbers: FloatArray, *limits: float) -> FloatArray:
    """Give the numbers, with those within rounding of a limit exactly on it."""
    for limit in limits:
        near = np.abs(numbers - limit) <= _ROUNDING * max(1.0, abs(limit))
        numbers = np.where(near & (abs(limit) < _INFINITE), limit, numbers)
    return numbers


def _possible(numbers: FloatArray, marks: NDArray[np.str_]) -> tuple[FloatArray, FloatArray]:
    """Give the least and the most that each reading may be."""
    if marks.shape != numbers.shape or not set(marks.tolist()) <= {"", "below", "above"}:
        raise ValueError("censored needs below, above or nothing for each reading")
    least = np.where(marks == "below", np.minimum(numbers, 0.0), numbers)
    return least, np.where(marks == "above", _INFINITE, numbers)


def _at_most(left: FloatArray, right: FloatArray, limit: float) -> tuple[FloatArray, FloatArray]:
    """Give the part of each line from left to right, in 0 to 1, that is at or below a limit."""
    run = right - left
    flat = run == 0
    with np.errstate(over="ignore"):
        crossing = np.clip((limit - left) / np.where(flat, 1.0, run), 0.0, 1.0)
    under = left <= limit
    start = np.where(flat, np.where(under, 0.0, 1.0), np.where(run > 0, 0.0, crossing))
    return start, np.where(flat | (run < 0), 1.0, crossing)


def _sum_of_stretches(
    moments: FloatArray,
    possible: tuple[FloatArray, FloatArray],
    band: tuple[float, float],
    max_gap_days: float,
    between: tuple[float, float],
) -> TimeInBand:
    least, most = possible
    widths = np.diff(moments)
    safe = np.where(widths > 0, widths, 1.0)
    since = np.clip((between[0] - moments[:-1]) / safe, 0.0, 1.0)
    until = np.clip((between[1] - moments[:-1]) / safe, 0.0, 1.0)

    def length(start: FloatArray, end: FloatArray) -> FloatArray:
        cut: FloatArray = np.minimum(end, until) - np.maximum(start, since)
        return np.maximum(0.0, cut)

    # A line is above a limit where its mirror image is below the limit's.
    below = _at_most(most[:-1], most[1:], band[1])
    above = _at_most(-least[:-1], -least[1:], -band[0])
    inside = length(np.maximum(below[0], above[0]), np.minimum(below[1], above[1]))
    whole = length(np.zeros_like(widths), np.ones_like(widths))
    too_low = whole - length(*_at_most(-most[:-1], -most[1:], -band[0]))
    too_high = whole - length(*_at_most(least[:-1], least[1:], band[1]))
    counted = np.where(widths <= max_gap_days, widths, 0.0)
    inside_days = float(np.sum(inside * counted))
    known_days = inside_days + float(np.sum((too_low + too_high) * counted))
    total = float(np.sum(whole * widths))
    return TimeInBand(inside_days, known_days, max(0.0, total - known_days))
