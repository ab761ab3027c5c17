"""Test results as a mass balance needs them: moment, value, error, step, kit, limit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from journal_tools.science.validity import FloatArray

IntArray = NDArray[np.int64]
"""An array of whole numbers."""

SAME_MOMENT_DAYS = 1 / 24
"""Tests within an hour, with nothing dosed or changed between, are one test made several times."""

_AFTER_DAYS = 1e-6  # puts a test behind the dose of the same minute


@dataclass(frozen=True)
class Readings:
    """Tests of one substance in order of time; build it with :func:`readings`.

    Attributes:
        day: Moment in days from any fixed moment.
        value: Result, or the limit where ``censored`` is not 0.
        sd: Error of one test (1 sd) without its step; NaN where not known.
        step: Smallest difference the kit shows; 0 if none.
        kit: Number of the kit.
        censored: -1 for "below value", 1 for "above value", else 0.
        salinity: Practical salinity at the time; NaN where not known.
        count: How many tests the value is the mean of.
    """

    day: FloatArray
    value: FloatArray
    sd: FloatArray
    step: FloatArray
    kit: IntArray
    censored: IntArray
    salinity: FloatArray
    count: IntArray

    def __len__(self) -> int:
        return len(self.day)

    def variance(self) -> FloatArray:
        """Give the variance of each value; NaN where the error is not known.

        A step acts like an even error of its width, r²/12, and does not average out within a
        moment: the same water shows the same step.
        """
        return np.asarray(self.sd**2 / self.count + self.step**2 / 12)

    def where(self, place: IntArray | NDArray[np.bool_] | slice) -> Readings:
        """Give some of the readings, by places, mask or slice."""
        return Readings(
            self.day[place],
            self.value[place],
            self.sd[place],
            self.step[place],
            self.kit[place],
            self.censored[place],
            self.salinity[place],
            self.count[place],
        )


def readings(  # noqa: PLR0913
    day: ArrayLike,
    value: ArrayLike,
    sd: ArrayLike = np.nan,
    step: ArrayLike = 0.0,
    kit: ArrayLike = 0,
    censored: ArrayLike = 0,
    salinity: ArrayLike = np.nan,
    after: ArrayLike = False,
) -> Readings:
    """Give readings in order of time, from arrays or single figures for all.

    Args:
        day: Moments in days.
        value: Results, or limits.
        sd: Error of one test (1 sd), more than 0; NaN where not known.
        step: Smallest difference shown by the kit, 0 or more.
        kit: Number of the kit.
        censored: -1 for "below value", 1 for "above value", else 0.
        salinity: Practical salinity; NaN where not known.
        after: Whether the test came after the dose or change of the same moment.

    Raises:
        ValueError: If a moment or value is missing, or an error or step is out of range.

    >>> readings([2.0, 1.0], [8.1, 8.3], sd=0.2).value
    array([8.3, 8.1])
    """
    moments = np.asarray(day, dtype=np.float64) + _AFTER_DAYS * np.asarray(after, dtype=np.float64)
    size = moments.shape
    parts = [np.broadcast_to(np.asarray(part, dtype=np.float64), size)
             for part in (value, sd, step, salinity)]  # fmt: skip
    numbers = [np.broadcast_to(np.asarray(part, dtype=np.int64), size) for part in (kit, censored)]
    values, sds, steps, salinities = parts
    if not np.all(np.isfinite(moments) & np.isfinite(values)):
        raise ValueError("a reading has no moment or no value")
    if np.any(sds <= 0) or np.any(~(steps >= 0)):
        raise ValueError("an error of a test is above 0, and a step 0 or more")
    order = np.argsort(moments, kind="stable")
    count = np.ones(size, dtype=np.int64)
    sorted_ = Readings(moments, values, sds, steps, numbers[0], numbers[1], salinities, count)
    return sorted_.where(order)


def one_a_moment(tests: Readings, event_days: FloatArray) -> Readings:
    """Give the mean of tests that were made of the same water, as one reading.

    Args:
        tests: Readings in order of time.
        event_days: Moments in order, in days, at which something was dosed or changed.
    """
    if len(tests) < 2:
        return tests
    eventful = np.diff(np.searchsorted(event_days, tests.day)) > 0
    apart = np.diff(tests.day) > SAME_MOMENT_DAYS
    other = (np.diff(tests.kit) != 0) | (tests.censored[1:] != 0) | (tests.censored[:-1] != 0)
    new = np.concatenate([[True], eventful | apart | other])
    if new.all():
        return tests
    group = np.cumsum(new) - 1
    count = np.bincount(group, tests.count)
    first = tests.where(new)
    return Readings(
        np.bincount(group, tests.day * tests.count) / count,
        np.bincount(group, tests.value * tests.count) / count,
        np.sqrt(np.bincount(group, tests.sd**2 * tests.count) / count),
        first.step,
        first.kit,
        first.censored,
        first.salinity,
        count.astype(np.int64),
    )


def at_mean_salinity(tests: Readings) -> Readings:
    """Give the values as they would be at the mean salinity; where it is not known, unchanged.

    Two per cent of evaporation lift 8 dKH by 0.16. Only for salinity known better than that: a
    refractometer good to 0.7 psu would add as much noise.

    Args:
        tests: Readings with salinity.

    Source:
        Conservation of dissolved mass in a changing volume of water.

    >>> tests = readings([0.0, 1.0], [8.0, 8.16], 0.1, salinity=[35.0, 35.7])
    >>> at_mean_salinity(tests).value.round(2)
    array([8.08, 8.08])
    """
    known = np.isfinite(tests.salinity) & (tests.salinity > 0)
    if not known.any():
        return tests
    factor = np.ones(len(tests))
    factor[known] = tests.salinity[known].mean() / tests.salinity[known]
    return Readings(
        tests.day, tests.value * factor, tests.sd, tests.step, tests.kit, tests.censored,
        np.where(known, tests.salinity[known].mean(), np.nan), tests.count,
    )  # fmt: skip


def salinity_range(tests: Readings) -> float:
    """Give highest less lowest salinity of the readings in psu; 0 where none is known."""
    known = tests.salinity[np.isfinite(tests.salinity)]
    return float(np.ptp(known)) if len(known) else 0.0
