"""What calibrations say about readings: drift of a probe over time, bias against a standard.

Raw readings stay as they are. A correction is computed from them anew each time, so that it is
never applied twice and a later calibration can still change what lies before it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from journal_tools.science.estimate import Estimate
from journal_tools.science.validity import (
    FloatArray,
    Number,
    as_given,
    in_range,
    in_scalar_range,
)

GAIN_RANGE = (0.5, 2.0)
"""Gain between two points beyond which they are likely exchanged (common practice, no source)."""

LIKELY_RANGE = 2.0
"""Standard deviations on each side of a value that hold it in about 95 of 100 cases."""

_AS_SHOWN = (1.0, 0.0)

Line = tuple[float, float]
"""Gain and offset: a true value is gain times the raw one plus offset."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """What a probe showed in one or two standards at one time.

    Attributes:
        time_d: Time in days.
        points: One pair or two of what was shown, before any adjustment, and what is true.
        adjusted: Whether the probe was then set to show the truth. If so, the correction is zero
            right after it; if it was only a check, the correction goes on.

    Raises:
        ValueError: If a number is not finite, there are not one or two points, or two points have
            a gain outside 0.5 to 2.

    >>> round(Calibration(0.0, ((8.05, 8.10),)).correct(8.00), 3)
    8.05
    """

    time_d: float
    points: tuple[tuple[float, float], ...]
    adjusted: bool = False

    def __post_init__(self) -> None:
        if len(self.points) not in (1, 2):
            raise ValueError(f"a calibration has one or two points, not {len(self.points)}")
        if not np.isfinite(
            [self.time_d, *(number for pair in self.points for number in pair)]
        ).all():
            raise ValueError("a calibration has a time or a value that is not a finite number")
        if len(self.points) == 2:
            (low, low_true), (high, high_true) = self.points
            gain = (high_true - low_true) / (high - low) if high != low else np.inf
            in_scalar_range("gain of a two-point calibration", gain, *GAIN_RANGE)

    def line(self, gain: float = 1.0) -> Line:
        """Give gain and offset that turn raw values of this time into true ones.

        Args:
            gain: Gain to keep where one point alone cannot tell it.
        """
        shown, true = self.points[0]
        if len(self.points) == 2:
            other, other_true = self.points[1]
            gain = (other_true - true) / (other - shown)
        return gain, true - gain * shown

    def correct(self, raw: Number) -> Number:
        """Give the true value of a raw one of this time.

        Args:
            raw: What the probe showed, in the unit of the points.
        """
        gain, offset = self.line()
        return as_given(gain * np.asarray(raw, dtype=np.float64) + offset, raw)


@dataclass(frozen=True, slots=True, eq=False)
class CorrectedSeries:
    """Corrected values of a probe.

    Attributes:
        values: Corrected values in the unit of the probe.
        held: True where the time is outside the calibrated span, so that the nearest correction
            was held: less certain the farther away.
    """

    values: FloatArray
    held: NDArray[np.bool_]


def corrected_series(
    times_d: FloatArray, raw: FloatArray, calibrations: Iterable[Calibration]
) -> CorrectedSeries:
    """Give the values of a probe with its drift taken out, in the unit of the probe.

    Between two calibrations the correction goes in a straight line of time from what it is after
    the earlier to what the later found before it adjusted anything. A reading of the very moment
    of a calibration counts as before it. A one-point calibration keeps the gain in force.

    Args:
        times_d: Times of the readings in days, in any order.
        raw: What the probe showed; it is not changed. NaN stays NaN.
        calibrations: At least one, in any order, no two at one time.

    Raises:
        ValueError: If there is no calibration, two are at one time, or the arrays differ in shape.

    Uncertainty:
        Near a calibration that of its standard. Between two it is bounded by the whole change of
        the correction from one to the other, for a drift that goes one way but not straight.

    Source:
        Linear interpolation in time between calibrations (common practice, no source).

    >>> checks = [Calibration(0.0, ((8.10, 8.10),)), Calibration(10.0, ((8.00, 8.10),))]
    >>> found = corrected_series(np.array([0.0, 5.0, 12.0]), np.array([8.2, 8.2, 8.2]), checks)
    >>> found.values.round(3).tolist(), found.held.tolist()
    ([8.2, 8.25, 8.3], [False, False, True])
    """
    times, values = np.asarray(times_d, dtype=np.float64), np.asarray(raw, dtype=np.float64)
    if times.shape != values.shape:
        raise ValueError(f"times have the shape {times.shape}, raw values {values.shape}")
    ordered = _in_order(calibrations)
    ends = np.array([calibration.time_d for calibration in ordered])
    before, after = _lines(ordered)
    place = np.searchsorted(ends, times, side="left")
    earlier, later = np.maximum(place - 1, 0), np.minimum(place, len(ends) - 1)
    start = np.where((place == 0)[..., np.newaxis], before[0], after[earlier])
    end = np.where((place == len(ends))[..., np.newaxis], after[-1], before[later])
    span = ends[later] - ends[earlier]
    share = np.where(span > 0, (times - ends[earlier]) / np.where(span > 0, span, 1.0), 0.0)
    line = start + share[..., np.newaxis] * (end - start)
    corrected = line[..., 0] * values + line[..., 1]
    known = np.isfinite(times)
    inside = known & (times >= ends[0]) & (times <= ends[-1])
    return CorrectedSeries(np.where(known, corrected, np.nan), ~inside)


def _in_order(calibrations: Iterable[Calibration]) -> list[Calibration]:
    ordered = sorted(calibrations, key=lambda calibration: calibration.time_d)
    if not ordered:
        raise ValueError("there is no calibration to correct by")
    if len({calibration.time_d for calibration in ordered}) < len(ordered):
        raise ValueError("two calibrations are at one time: make them one of two points")
    return ordered


def _lines(ordered: Sequence[Calibration]) -> tuple[FloatArray, FloatArray]:
    """Give gain and offset just before and just after each calibration."""
    before: list[Line] = []
    after: list[Line] = []
    gain = 1.0
    for calibration in ordered:
        before.append(calibration.line(gain))
        after.append(_AS_SHOWN if calibration.adjusted else before[-1])
        gain = after[-1][0]
    return np.array(before), np.array(after)


@dataclass(frozen=True, slots=True)
class Bias:
    """By how much an instrument shows too much.

    Attributes:
        value: Mean of what it shows less what is true, in the unit of the instrument.
        standard_uncertainty: One standard deviation of ``value``.
        readings: Number of readings behind it.
    """

    value: float
    standard_uncertainty: float
    readings: int

    @property
    def is_clear(self) -> bool:
        """Whether the bias is larger than twice its standard uncertainty."""
        return abs(self.value) > LIKELY_RANGE * self.standard_uncertainty


def standard_deviation_of_limits(half_width: Number) -> Number:
    """Give the standard deviation that stands for an error stated as plus or minus a limit.

    Args:
        half_width: Limit on each side in any unit, 0 or more.

    Raises:
        ValueError: If a single limit is below 0.

    Uncertainty:
        None by definition: every value within the limits counts as equally likely.

    Source:
        Guide to the expression of uncertainty in measurement, JCGM 100:2008, 4.3.7.

    >>> round(standard_deviation_of_limits(0.3), 4)
    0.1732
    """
    checked = in_range("limit", half_width, 0.0, np.finfo(np.float64).max)
    return as_given(checked / np.sqrt(3), half_width)


def bias_against_standard(
    shown: Sequence[float] | FloatArray,
    standard: float,
    standard_error: float,
    reading_error: float | None = None,
) -> Bias:
    """Give the bias of an instrument from its readings in a standard, in the unit of both.

    Args:
        shown: Readings in the standard, one or more.
        standard: Value of the standard.
        standard_error: Standard deviation of the value of the standard, 0 or more.
        reading_error: Standard deviation of one reading, 0 or more. If it is left out, that of
            the readings is taken, which needs two; of a coarse scale it may come out as 0.

    Raises:
        ValueError: If there is no reading, one is not finite, one alone comes without its error,
            or an error is below 0.

    Uncertainty:
        As returned: sqrt(standard_error² + reading_error²/n). More readings shrink their own part
        only; no number of them mends the standard.

    Source:
        Guide to the expression of uncertainty in measurement, JCGM 100:2008, 4.2 and 5.1.

    >>> bias = bias_against_standard([36.0, 36.5, 36.5, 36.0], 35.0, 0.2, 0.5)
    >>> bias.value, round(bias.standard_uncertainty, 3), bias.is_clear
    (1.25, 0.32, True)
    """
    readings = np.atleast_1d(np.asarray(shown, dtype=np.float64)).ravel()
    if not readings.size or not np.isfinite([*readings, standard]).all():
        raise ValueError("a bias needs a standard and at least one reading, all finite")
    if reading_error is None:
        if readings.size < 2:
            raise ValueError("a bias from one reading needs the error of a reading")
        reading_error = float(np.std(readings, ddof=1))
    largest = float(np.finfo(np.float64).max)
    ours = in_scalar_range("error of the reading", reading_error, 0.0, largest)
    theirs = in_scalar_range("error of the standard", standard_error, 0.0, largest)
    error = float(np.hypot(theirs, ours / np.sqrt(readings.size)))
    return Bias(float(readings.mean() - standard), error, readings.size)


def without_bias(raw: Number, bias: Bias) -> Number:
    """Give a reading less the bias of its instrument, in the unit of the instrument.

    Args:
        raw: Reading, not corrected before.
        bias: Bias of the instrument near this reading.

    Uncertainty:
        See ``estimate_without_bias``. A bias found at one value need not hold at another.

    Source:
        Guide to the expression of uncertainty in measurement, JCGM 100:2008, 3.2.4.

    >>> without_bias(36.5, Bias(1.25, 0.32, 4))
    35.25
    """
    return as_given(np.asarray(raw, dtype=np.float64) - bias.value, raw)


def estimate_without_bias(raw: float, bias: Bias, reading_error: float) -> Estimate:
    """Give a reading less the bias of its instrument, with its likely range.

    Args:
        raw: Reading, not corrected before.
        bias: Bias of the instrument near this reading.
        reading_error: Standard deviation of one reading, 0 or more.

    Raises:
        TypeError: If the reading is an ``Estimate``, which means that it is corrected already.
        ValueError: If the reading is not finite or the error below 0.

    Uncertainty:
        As returned: two standard deviations of the bias and of the reading, in quadrature.

    Source:
        Guide to the expression of uncertainty in measurement, JCGM 100:2008, 5.1 and 6.2.

    >>> found = estimate_without_bias(36.5, Bias(1.25, 0.3, 4), 0.4)
    >>> found.low, found.value, found.high
    (34.25, 35.25, 36.25)
    """
    if isinstance(raw, Estimate):
        raise TypeError("this value is corrected already: give the raw reading")
    largest = float(np.finfo(np.float64).max)
    reading = in_scalar_range("reading", raw, -largest, largest)
    ours = in_scalar_range("error of the reading", reading_error, 0.0, largest)
    value = without_bias(reading, bias)
    half = LIKELY_RANGE * float(np.hypot(bias.standard_uncertainty, ours))
    return Estimate(value, value - half, value + half)
