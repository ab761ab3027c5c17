"""When each parameter was tested, and how long it stayed in its target band."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import pandas as pd

from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.moments import epoch_days
from journal_tools.parameters import PARAMETERS
from journal_tools.quantities import Band
from journal_tools.tables import Tables
from journal_tools.words import band_text

RECENT_DAYS = 90


def _days_since(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for name in PARAMETERS:
        rows = tables.readings_of(name)
        if rows.empty:
            continue
        last = rows.iloc[-1]
        days = (tables.today - last["time"].date()).days
        shown = f"{last['value']:.{PARAMETERS[name].decimals}f} {PARAMETERS[name].unit}"
        inputs = (Input("last test", shown, last["entry"], int(last["line"])),)
        yield Result("days_since_test", days, "days", 0, name, end=last["time"], inputs=inputs)


DAYS_SINCE_TEST = Metric(
    "days_since_test", "Days since the last test", "days",
    "Days from the newest reading to the day of the build, in the keeper's time zone.",
    "Definition.", "none", "", _days_since,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Share:
    """How long a parameter was known, and how much of that inside its band, in days."""

    inside: float
    known: float


def longest_gap_days(parameter: str) -> float:
    """Give the gap between tests beyond which the time between is unknown.

    Twice the usual retest interval, at least 14 days. Common practice, no source.
    """
    return max(14.0, 2.0 * (PARAMETERS[parameter].retest_days or 0))


def share_inside(y0: float, y1: float, band: Band) -> float:
    """Give the share of a straight line from y0 to y1 that lies inside a band, 0 to 1.

    >>> round(share_inside(8.0, 10.0, Band(7.0, 9.0)), 3)
    0.5
    """
    if y0 == y1:
        return float(y0 in band)
    low, high = sorted((y0, y1))
    bottom = low if band.low is None else max(low, band.low)
    top = high if band.high is None else min(high, band.high)
    return max(0.0, top - bottom) / (high - low)


@dataclass(frozen=True, slots=True)
class Step:
    """A band and the day (in days since 1970) from which it holds."""

    day: float
    band: Band


def time_in_band(
    days: Sequence[float],
    values: Sequence[float],
    steps: Sequence[Step],
    longest_gap: float,
    since: float = -math.inf,
) -> Share:
    """Give how long a quantity was inside its band, by straight lines between tests.

    Args:
        days: Moments of the tests in days, rising.
        values: Results, in the unit of the bands.
        steps: Bands by the day from which each holds, rising; before the first nothing is known.
        longest_gap: Days between tests beyond which the time between is unknown.
        since: Day before which nothing counts.

    Source:
        Exact crossing of the linear interpolant.

    >>> share = time_in_band([0, 1, 3], [8.0, 8.2, 7.6], [Step(0, Band(7.8, 8.3))], 14)
    >>> round(share.inside, 3), share.known
    (2.333, 3.0)
    """
    ends = [*(step.day for step in steps), math.inf][1:]
    inside = known = 0.0
    for t0, t1, y0, y1 in zip(days, days[1:], values, values[1:], strict=False):
        if not 0 < t1 - t0 <= longest_gap:
            continue
        slope = (y1 - y0) / (t1 - t0)
        for step, end in zip(steps, ends, strict=True):
            left, right = max(t0, step.day, since), min(t1, end)
            if right > left:
                known += right - left
                y_left, y_right = y0 + slope * (left - t0), y0 + slope * (right - t0)
                inside += (right - left) * share_inside(y_left, y_right, step.band)
    return Share(inside, known)


def share_in_band(tables: Tables, parameter: str, since: pd.Timestamp | None = None) -> Share:
    """Give how long a parameter was inside its target band.

    A result "below x" counts as x/2, "above x" as just above x (common practice, no source).
    """
    rows = tables.readings_of(parameter)
    factors = rows["censored"].map({"below": 0.5, "above": 1.001}).fillna(1.0)
    values = (rows["value"] * factors).tolist()
    bands = tables.targets[tables.targets["parameter"] == parameter]
    limits = zip(epoch_days(bands["start"]), bands["low"], bands["high"], strict=True)
    steps = [
        Step(float(day), Band(*(None if math.isnan(end) else end for end in ends)))
        for day, *ends in limits
    ]
    start = -math.inf if since is None else float(epoch_days(pd.Series([since]))[0])
    gap = longest_gap_days(parameter)
    return time_in_band(epoch_days(rows["time"]).tolist(), values, steps, gap, start)


def _in_band(tables: Tables, name: str, start: pd.Timestamp | None) -> Iterator[Result]:
    for parameter in PARAMETERS:
        share = share_in_band(tables, parameter, start)
        band = tables.band(parameter, tables.today)
        if share.known <= 0 or band is None:
            continue
        since: dt.datetime = start or tables.readings_of(parameter)["time"].iloc[0]
        inputs = (
            Input("time known", f"{share.known:.0f} days"),
            Input("days inside", f"{share.inside:.1f}"),
            Input("band today", band_text(band, PARAMETERS[parameter])),
        )
        yield Result(name, 100 * share.inside / share.known, "%", 0, parameter, start=since,
                     end=tables.now, inputs=inputs)  # fmt: skip


def _recent(tables: Tables, _done: Metrics) -> Iterator[Result]:
    return _in_band(tables, "time_in_band", tables.days_ago(RECENT_DAYS))


def _ever(tables: Tables, _done: Metrics) -> Iterator[Result]:
    return _in_band(tables, "time_in_band_ever", None)


_BAND_METHOD = (
    "Straight lines between tests, cut exactly where they cross the band; gaps of more than twice "
    "the usual retest interval (at least 14 days) count as unknown. 'Below x' counts as x/2. "
    "Time-weighted, so that testing more often when things go wrong does not bend it."
)
TIME_IN_BAND = Metric(
    "time_in_band", f"Time in the target band, last {RECENT_DAYS} days", "%", _BAND_METHOD,
    "Linear interpolation; the choice of gap is common practice, no source.", "none", "", _recent,
)  # fmt: skip
TIME_IN_BAND_EVER = Metric(
    "time_in_band_ever", "Time in the target band, since the first test", "%", _BAND_METHOD,
    "Linear interpolation; the choice of gap is common practice, no source.", "none", "", _ever,
)  # fmt: skip
