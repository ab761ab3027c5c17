"""Invented test series whose truth is known: a stable year, and one with a shift or a drift.

A true course wanders slowly about its middle; each test adds the error of a kit and shows the
nearest of its steps. All figures are invented, in the range that hobby kits and tanks show.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Quantity:
    """One quantity of an invented tank, in its own unit.

    Attributes:
        name: What it is.
        low: Low end of its band.
        high: High end.
        kit_sd: Error of one test, one standard deviation.
        step: Step between two results.
        wander_sd: Slow wandering of the true value about the middle of the band.
        wander_days: Days over which the wandering forgets itself.
    """

    name: str
    low: float
    high: float
    kit_sd: float
    step: float
    wander_sd: float
    wander_days: float = 20.0

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2

    @property
    def kit_sigma(self) -> float:
        """Error of one test with its rounding, one standard deviation."""
        return float(np.hypot(self.kit_sd, self.step / np.sqrt(12)))

    @property
    def sigma(self) -> float:
        """Standard deviation of the readings while nothing happens: error and wandering."""
        return float(np.hypot(self.kit_sigma, self.wander_sd))


QUANTITIES = (
    Quantity("temperature", 24.0, 27.0, 0.15, 0.1, 0.15),
    Quantity("salinity", 34.0, 36.0, 0.2, 0.5, 0.15),
    Quantity("alkalinity", 7.0, 11.0, 0.2, 0.1, 0.15),
    Quantity("calcium", 400.0, 450.0, 7.0, 5.0, 5.0),
    Quantity("magnesium", 1250.0, 1400.0, 20.0, 20.0, 15.0),
    Quantity("ph", 7.8, 8.4, 0.05, 0.1, 0.04),
    Quantity("nitrate", 2.0, 15.0, 1.0, 1.0, 1.0),
    Quantity("phosphate", 0.02, 0.10, 0.01, 0.01, 0.006),
)


def weekly_days(rng: np.random.Generator, days: float = 365.0, missed: float = 0.05) -> FloatArray:
    """Give moments about a week apart, up to a day early or late, some weeks left out."""
    weeks = np.arange(3.5, days, 7.0)
    moments = weeks + rng.uniform(-1.0, 1.0, weeks.size)
    return moments[rng.uniform(size=weeks.size) >= missed]


def wandering(rng: np.random.Generator, days: FloatArray, sd: float, memory: float) -> FloatArray:
    """Give a stationary random course (Ornstein-Uhlenbeck) at the given moments."""
    course = np.empty(days.size)
    course[0] = rng.normal(0.0, sd)
    kept = np.exp(-np.diff(days) / memory)
    kicks = rng.normal(0.0, 1.0, days.size - 1) * sd * np.sqrt(1 - kept**2)
    for i in range(1, days.size):
        course[i] = course[i - 1] * kept[i - 1] + kicks[i - 1]
    return course


def shown_by_kit(rng: np.random.Generator, truth: FloatArray, quantity: Quantity) -> FloatArray:
    """Give what a kit shows of true values: with its error, to the nearest step, not below 0."""
    shown = truth + rng.normal(0.0, quantity.kit_sd, truth.size)
    steps = np.round(shown / quantity.step)
    return np.maximum(0.0, steps * quantity.step)


def readings(
    rng: np.random.Generator,
    days: FloatArray,
    quantity: Quantity,
    change: Callable[[FloatArray], FloatArray] = np.zeros_like,
) -> FloatArray:
    """Give a year of tests of a stable quantity, plus a change that is a function of the day."""
    course = wandering(rng, days, quantity.wander_sd, quantity.wander_days)
    return shown_by_kit(rng, quantity.middle + course + change(days), quantity)


def shift(day: float, size: float) -> Callable[[FloatArray], FloatArray]:
    """Give a change of level from a day on."""
    return lambda days: np.where(days >= day, size, 0.0)


def drift(day: float, per_day: float) -> Callable[[FloatArray], FloatArray]:
    """Give a steady drift from a day on."""
    return lambda days: np.maximum(0.0, days - day) * per_day
