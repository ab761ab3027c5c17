"""Tests for rows of a probe that cannot be right: out of range, spikes, jumps, a stuck sensor."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from journal_tools.science.series.probes import NS_PER_H, Moments, rising_moments
from journal_tools.science.validity import FloatArray

Flags = NDArray[np.uint8]
"""One flag for each row."""

GOOD, UNKNOWN, SUSPECT, FAIL, MISSING = 1, 2, 3, 4, 9
"""Flags of the standard: UNESCO Intergovernmental Oceanographic Commission 2013, as in QARTOD."""


def gross_range_flags(
    values: FloatArray, fail: tuple[float, float], suspect: tuple[float, float] | None = None
) -> Flags:
    """Flag values that the sensor cannot give (fail) or that nobody expects (suspect).

    Args:
        values: Values of the rows.
        fail: Lowest and highest value that the sensor can give.
        suspect: Lowest and highest value that is expected, within ``fail``.

    Raises:
        ValueError: If ``suspect`` reaches beyond ``fail``, or an end lies before its beginning.

    Source:
        Gross range test, IOOS QARTOD manuals for real-time quality control.

    >>> gross_range_flags(np.array([25.0, 31.0, 85.0]), (-5.0, 50.0), (20.0, 30.0)).tolist()
    [1, 3, 4]
    """
    expected = fail if suspect is None else suspect
    if not fail[0] <= expected[0] <= expected[1] <= fail[1]:
        raise ValueError(f"suspect {expected} does not lie within fail {fail}")
    numbers = np.asarray(values, dtype=np.float64)
    beyond = (numbers < expected[0]) | (numbers > expected[1])
    return _flagged(numbers, beyond, (numbers < fail[0]) | (numbers > fail[1]))


def spike_flags(values: FloatArray, suspect: float, fail: float) -> Flags:
    """Flag values far from the middle between the row before and the row after.

    Args:
        values: Values of the rows.
        suspect: Distance beyond which a value is suspect, > 0.
        fail: Distance beyond which it fails, at least as much.

    Raises:
        ValueError: If the distances are not positive and in order.

    Source:
        Spike test, IOOS QARTOD manuals; the first and last row are not tested.

    >>> spike_flags(np.array([25.0, 25.1, 27.0, 25.1, 25.0]), 0.8, 1.5).tolist()
    [2, 3, 4, 3, 2]
    """
    _in_order(suspect, fail)
    numbers = np.asarray(values, dtype=np.float64)
    away = np.full(numbers.size, np.nan)
    away[1:-1] = np.abs(numbers[1:-1] - (numbers[:-2] + numbers[2:]) / 2)
    return _flagged(numbers, away > suspect, away > fail, np.isnan(away))


def rate_flags(times: Moments, values: FloatArray, suspect_per_h: float) -> Flags:
    """Flag values that changed from the row before faster than water can.

    Args:
        times: Moments of the rows, rising.
        values: Values of the rows.
        suspect_per_h: Change per hour beyond which a value is suspect, > 0.

    Raises:
        ValueError: If moments fall or the rate is not positive.

    Source:
        Rate of change test, IOOS QARTOD manuals; the first row is not tested.

    >>> rate_flags(np.array([0, 1, 2], "datetime64[h]"), np.array([25.0, 25.2, 28.0]), 1.0).tolist()
    [2, 1, 3]
    """
    _in_order(suspect_per_h, suspect_per_h)
    numbers = np.asarray(values, dtype=np.float64)
    moments = rising_moments(times, numbers)
    rate = np.full(numbers.size, np.nan)
    hours = np.diff(moments) / NS_PER_H
    rate[1:] = np.abs(np.diff(numbers)) / np.where(hours > 0, hours, np.nan)
    return _flagged(numbers, rate > suspect_per_h, np.zeros(rate.size, bool), np.isnan(rate))


def flat_line_flags(
    values: FloatArray, tolerance: float, suspect_count: int = 3, fail_count: int = 5
) -> Flags:
    """Flag values that repeat all of the rows before: a sensor that is stuck.

    Args:
        values: Values of the rows.
        tolerance: Difference below which two values are the same, > 0.
        suspect_count: Rows before that must be the same for a value to be suspect, >= 1.
        fail_count: The same for a fail, at least as many.

    Raises:
        ValueError: If the tolerance is not positive, or the counts are not in order.

    Source:
        Flat line test, IOOS QARTOD manuals, with their counts of 3 and 5; rows with fewer rows
        before them are not tested.

    >>> flat_line_flags(np.array([25.1, 25.0, 25.0, 25.0, 25.0, 25.0, 25.0]), 0.01).tolist()
    [2, 2, 2, 1, 3, 3, 4]
    """
    _in_order(tolerance, tolerance)
    _in_order(suspect_count, fail_count)
    numbers = np.asarray(values, dtype=np.float64)
    untested = np.arange(numbers.size) < suspect_count
    stuck = [_repeats(numbers, tolerance, count) for count in (suspect_count, fail_count)]
    return _flagged(numbers, stuck[0], stuck[1], untested)


def worst_flags(*flags: Flags) -> Flags:
    """Give for each row the gravest of its flags: missing, fail, suspect, good, unknown.

    Args:
        flags: Flags of several tests for the same rows, at least one.

    Source:
        Order of the aggregate flag of the standard.

    >>> worst_flags(np.array([1, 2, 1], np.uint8), np.array([3, 1, 1], np.uint8)).tolist()
    [3, 1, 1]
    """
    rank = np.zeros(10, dtype=np.uint8)
    order = np.array([UNKNOWN, GOOD, SUSPECT, FAIL, MISSING], dtype=np.uint8)
    rank[order] = np.arange(order.size)
    worst: Flags = order[np.max([rank[flag] for flag in flags], axis=0)]
    return worst


def _in_order(suspect: float, fail: float) -> None:
    if not 0 < suspect <= fail:
        raise ValueError(f"limits {suspect} and {fail} are not positive and in order")


def _repeats(numbers: FloatArray, tolerance: float, count: int) -> NDArray[np.bool_]:
    """Tell for each row whether all of the ``count`` rows before lie within a tolerance of it."""
    stuck = np.zeros(numbers.size, dtype=bool)
    if numbers.size > count:
        low = _sliding(np.minimum, numbers, count + 1)
        high = _sliding(np.maximum, numbers, count + 1)
        own = numbers[count:]
        stuck[count:] = (own - low < tolerance) & (high - own < tolerance)
    return stuck


def _sliding(how: np.ufunc, numbers: FloatArray, width: int) -> FloatArray:
    """Give the least or the most of each run of ``width`` rows, by runs of doubled length."""
    reached, runs = 1, numbers
    while reached < width:
        shift = min(reached, width - reached)
        runs = how(runs[:-shift], runs[shift:])
        reached += shift
    return runs


def _flagged(
    numbers: FloatArray,
    suspect: NDArray[np.bool_],
    fail: NDArray[np.bool_],
    unknown: NDArray[np.bool_] | None = None,
) -> Flags:
    flags = np.full(numbers.size, GOOD, dtype=np.uint8)
    if unknown is not None:
        flags[unknown] = UNKNOWN
    flags[suspect] = SUSPECT
    flags[fail] = FAIL
    flags[np.isnan(numbers)] = MISSING
    return flags
