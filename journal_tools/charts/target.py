"""Target bands: which one was in force, whether a reading lies inside, and how to say it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Protocol, TypeAlias

import pandas as pd

from journal_tools.bands import holds
from journal_tools.charts.scale import TimeSpan, wall_time

Band: TypeAlias = tuple[float | None, float | None]
Bands: TypeAlias = Sequence[tuple[date | None, date | None, float | None, float | None]]


class Charted(Protocol):
    """What a chart needs to know of a parameter."""

    @property
    def name(self) -> str:
        """Name in files and ids."""

    @property
    def label(self) -> str:
        """Name for readers."""

    @property
    def unit(self) -> str:
        """Unit of every value, may be empty."""

    @property
    def decimals(self) -> int:
        """Decimals in which values are written."""


@dataclass(frozen=True, slots=True)
class Period:
    """A target band and the time it was in force.

    Attributes:
        start: First moment, wall time.
        end: Moment from which it no longer held, wall time.
        low: Least good value, None if open.
        high: Greatest good value, None if open.
    """

    start: pd.Timestamp
    end: pd.Timestamp
    low: float | None
    high: float | None

    def holds(self, value: float, censored: str = "") -> bool | None:
        """Say whether a reading lies in the band; None if a "below" or "above" cannot tell."""
        return holds(self.low, self.high, value, censored)


def always(band: Band | None) -> Bands:
    """Give a band that holds for all time in the form the charts take.

    Args:
        band: Low and high value, None where open.

    Returns:
        One period without ends, or none.

    >>> always((7.5, 8.5))
    [(None, None, 7.5, 8.5)]
    """
    return [] if band is None else [(None, None, band[0], band[1])]


def periods(bands: Bands, span: TimeSpan) -> list[Period]:
    """Give the bands that were in force within a stretch of time, cut to it.

    Args:
        bands: (start, end, low, high); a date as an end is that day's midnight, None is open.
        span: The stretch.

    Returns:
        Periods in order of time; those without any limit are left out.
    """
    cut = [
        Period(
            span.start if start is None else max(span.start, wall_time(start)),
            span.end if end is None else min(span.end, wall_time(end)),
            low,
            high,
        )
        for start, end, low, high in bands
        if low is not None or high is not None
    ]
    return sorted((p for p in cut if p.start < p.end), key=lambda period: period.start)


def period_at(found: Sequence[Period], moment: pd.Timestamp) -> Period | None:
    """Give the band in force at a moment; of two that overlap the later one.

    Args:
        found: Periods in order of time.
        moment: Wall time.

    Returns:
        The period, or None.
    """
    return next((p for p in reversed(found) if p.start <= moment < p.end), None)


def amount(parameter: Charted, value: float) -> str:
    """Give a value with its unit, in the parameter's decimals.

    Args:
        parameter: What is measured.
        value: In the parameter's unit.

    Returns:
        Text with a no-break space before the unit.
    """
    return _with_unit(f"{value:.{parameter.decimals}f}", parameter)


def band_words(parameter: Charted, low: float | None, high: float | None) -> str:
    """Give a target band in words with its unit.

    Args:
        parameter: What is measured.
        low: Least good value, None if open.
        high: Greatest good value, None if open.

    Returns:
        "target 7.5–8.5 dKH", "target at most 10 ppm" or "target at least 1 ppm".

    Raises:
        ValueError: If both sides are open, which is no band.
    """
    if low is None and high is None:
        raise ValueError("a band needs at least one limit")
    texts = _alike([limit for limit in (low, high) if limit is not None])
    if len(texts) == 2:
        return _with_unit(f"target {texts[0]}–{texts[1]}", parameter)
    return _with_unit(f"target at {'most' if low is None else 'least'} {texts[0]}", parameter)


def _with_unit(text: str, parameter: Charted) -> str:
    """Give a text with the parameter's unit, if it has one."""
    return f"{text}\u00a0{parameter.unit}" if parameter.unit else text


def _alike(limits: Sequence[float]) -> list[str]:
    """Give limits without needless zeros but all with as many decimals: 0.02 and 0.10."""
    decimals = max(len(f"{limit:.6g}".partition(".")[2]) for limit in limits)
    return [f"{limit:.{decimals}f}" for limit in limits]
