"""The day of a lamp: how the light at a place rises, stays and falls, round the clock.

Light is PPFD in µmol/(m2 s), measured at the place itself: it differs from place to place, so
there is a number (or an array element) for each. Percent of a channel are not light.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Generic, Literal, get_args

import numpy as np

from journal_tools.science.validity import FloatArray, Number, in_range, in_scalar_range

PPFD_RANGE = (0.0, 3000.0)
PPFD_UNIT = "µmol/(m2 s)"
Shape = Literal["linear", "half sine"]
"""How a ramp rises and falls."""

_DAY_H = 24.0
_STEP_H = 1e-6


@dataclass(frozen=True, slots=True)
class Ramp(Generic[Number]):
    """A day of a lamp that rises, stays and falls; off at or before on runs over midnight.

    Attributes:
        plateau_ppfd: Light at its brightest in µmol/(m2 s), 0 to 3000; an array for several places.
        on_h: Clock hour at which the rise begins, 0 to 24.
        off_h: Clock hour at which the fall ends, 0 to 24; the same as ``on_h`` is 24 h of light.
        ramp_minutes: Length of the rise, and of the fall, at most half the lit time; none means 0
            where it is linear, and half the lit time (no plateau) where it is a half sine.
        shape: How it rises and falls: evenly, or as the sides of a half sine.

    Raises:
        ValueError: If a value is out of range.
    """

    plateau_ppfd: Number
    on_h: float
    off_h: float
    ramp_minutes: float | None = None
    shape: Shape = "linear"

    def __post_init__(self) -> None:
        in_range("light", self.plateau_ppfd, *PPFD_RANGE, PPFD_UNIT)
        in_scalar_range("on", self.on_h, 0.0, _DAY_H, "h")
        in_scalar_range("off", self.off_h, 0.0, _DAY_H, "h")
        if self.shape not in get_args(Shape):
            raise ValueError(f"shape '{self.shape}' is not one of {', '.join(get_args(Shape))}")
        if self.ramp_minutes is not None:
            longest = 30 * self.lit_h
            in_scalar_range("ramp", self.ramp_minutes, 0.0, longest * (1 + 1e-12), "min")

    @property
    def start_h(self) -> float:
        """Clock hour from which ``light_hours_from_start`` counts."""
        return self.on_h

    @property
    def lit_h(self) -> float:
        """Hours from on to off."""
        return (self.off_h - self.on_h) % _DAY_H or _DAY_H

    @property
    def ramp_h(self) -> float:
        """Hours of the rise."""
        if self.ramp_minutes is None:
            return self.lit_h / 2 if self.shape == "half sine" else 0.0
        ramp_h = min(self.ramp_minutes / 60, self.lit_h / 2)
        return ramp_h if ramp_h > _STEP_H else 0.0

    @property
    def places(self) -> FloatArray:
        """Light at the brightest, for each place."""
        return in_range("light", self.plateau_ppfd, *PPFD_RANGE, PPFD_UNIT)

    def ppfd_after_start(self, hours: FloatArray) -> FloatArray:
        """Give the light in µmol/(m2 s), a row for each of ``hours`` (0 to 24) after the start."""
        inside = np.minimum(hours, self.lit_h - hours)
        if self.ramp_h == 0:
            share = np.where(inside >= 0, 1.0, 0.0)
        else:
            share = np.clip(inside / self.ramp_h, 0.0, 1.0)
        if self.shape == "half sine":
            share = np.sin(math.pi / 2 * share)
        return np.multiply.outer(share, self.places)

    def light_hours_from_start(self, hours: FloatArray) -> FloatArray:
        """Give the light up to ``hours`` (0 to 24) after the start in µmol h/(m2 s)."""
        rise, lit = self.ramp_h, self.lit_h
        # The fall is the rise seen from its end.
        flat = np.clip(hours - rise, 0.0, lit - 2 * rise)
        fall = self._rise_hours(rise) - self._rise_hours(np.clip(lit - hours, 0.0, rise))
        full_h = self._rise_hours(np.clip(hours, 0.0, rise)) + flat + fall
        return np.multiply.outer(full_h, self.places)

    def _rise_hours(self, hours: float | FloatArray) -> FloatArray:
        if self.ramp_h == 0:
            return np.zeros(np.shape(hours))
        share = np.asarray(hours) / self.ramp_h
        if self.shape == "linear":
            return np.asarray(self.ramp_h * share**2 / 2)
        return np.asarray(self.ramp_h * 2 / math.pi * (1 - np.cos(math.pi / 2 * share)))

    def hours_above(self, ppfd: float) -> FloatArray:
        """Give the hours a day with more light than ``ppfd``, for each place."""
        bright = self.places > ppfd
        share = np.divide(ppfd, self.places, out=np.ones(bright.shape), where=bright)
        low = share if self.shape == "linear" else np.arcsin(share) * 2 / math.pi
        hours = np.where(bright, self.lit_h - 2 * self.ramp_h * low, 0.0)
        return np.where(np.isnan(self.places), np.nan, hours)


@dataclass(frozen=True, slots=True)
class Breakpoints(Generic[Number]):
    """A day of a lamp by points of clock hour and light, straight between them, round the clock.

    Attributes:
        points: Clock hour, 0 to 24, and light in µmol/(m2 s), 0 to 3000 (an array for several
            places); two or more in the order of the day, which may begin anywhere in it. The same
            hour twice is a step.

    Raises:
        ValueError: If a value is out of range or the points are not in order.
    """

    points: Sequence[tuple[float, Number]]

    def __post_init__(self) -> None:
        if len(self.points) < 2:
            raise ValueError("a schedule needs two points or more")
        for hour, ppfd in self.points:
            in_scalar_range("clock hour", hour, 0.0, _DAY_H, "h")
            in_range("light", ppfd, *PPFD_RANGE, PPFD_UNIT)
        clock: list[float] = [hour for hour, _ in self.points]
        if sum(later < earlier for earlier, later in pairwise([*clock, clock[0]])) > 1:
            raise ValueError("the points of a schedule are not in the order of the day")

    def _knots(self) -> tuple[FloatArray, FloatArray]:
        """Give hours from the start, 0 to 24, and the light at each, first and last the same."""
        clock = np.array([hour for hour, _ in self.points])
        ppfd = np.stack([in_range("light", light, *PPFD_RANGE) for _, light in self.points])
        midnights = np.cumsum(np.diff(clock, prepend=clock[0]) < 0)
        return np.append(clock + _DAY_H * midnights - clock[0], _DAY_H), np.concatenate(
            [ppfd, ppfd[:1]]
        )

    @property
    def start_h(self) -> float:
        """Clock hour from which ``light_hours_from_start`` counts."""
        return self.points[0][0]

    def ppfd_after_start(self, hours: FloatArray) -> FloatArray:
        """Give the light in µmol/(m2 s), a row for each of ``hours`` (0 to 24) after the start."""
        knots, ppfd = self._knots()
        columns = [np.interp(hours, knots, place) for place in ppfd.reshape(len(ppfd), -1).T]
        return np.stack(columns, axis=-1).reshape(np.shape(hours) + ppfd.shape[1:])

    def light_hours_from_start(self, hours: FloatArray) -> FloatArray:
        """Give the light up to ``hours`` (0 to 24) after the start in µmol h/(m2 s)."""
        knots, ppfd = self._knots()
        lengths = np.diff(knots)
        mean = (ppfd[1:] + ppfd[:-1]) / 2
        before = np.concatenate([np.zeros_like(ppfd[:1]), np.cumsum((mean.T * lengths).T, axis=0)])
        index = np.clip(np.searchsorted(knots, hours, side="right") - 1, 0, len(lengths) - 1)
        into = np.asarray(hours - knots[index])
        length = np.where(lengths[index] > 0, lengths[index], 1.0)
        slope = ((ppfd[index + 1] - ppfd[index]).T / length.T).T
        return np.asarray(before[index] + (ppfd[index].T * into.T).T + (slope.T * into.T**2).T / 2)

    def hours_above(self, ppfd: float) -> FloatArray:
        """Give the hours a day with more light than ``ppfd``, for each place."""
        knots, light = self._knots()
        high, low = np.maximum(light[1:], light[:-1]), np.minimum(light[1:], light[:-1])
        sloping = high > low
        share = np.divide(high - ppfd, high - low, out=1.0 * (high > ppfd), where=sloping)
        hours = np.tensordot(np.diff(knots), np.clip(share, 0.0, 1.0), axes=1)
        return np.asarray(np.where(np.isnan(light).any(axis=0), np.nan, hours))


def clock_hour(time: dt.time) -> float:
    """Give a time of day as clock hour, 0 up to 24.

    Args:
        time: Time on the wall clock.

    Source:
        Arithmetic.

    >>> clock_hour(dt.time(18, 30))
    18.5
    """
    return time.hour + time.minute / 60 + time.second / 3600
