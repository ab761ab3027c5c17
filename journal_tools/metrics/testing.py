"""When each parameter was tested, and how long it stayed in its target band."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass

import pandas as pd

from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.moments import epoch_days
from journal_tools.parameters import PARAMETERS
from journal_tools.science.series.in_band import time_in_band
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


def share_in_band(tables: Tables, parameter: str, since: pd.Timestamp | None = None) -> Share:
    """Give how long a parameter was inside its target band, in days.

    Each band counts for its own time; before the first one nothing is known.
    """
    rows = tables.readings_of(parameter)
    days, values = epoch_days(rows["time"]), rows["value"].to_numpy(dtype="float64")
    bands = tables.targets[tables.targets["parameter"] == parameter]
    starts = [float(day) for day in epoch_days(bands["start"])]
    first = -math.inf if since is None else float(epoch_days(pd.Series([since]))[0])
    inside = known = 0.0
    for start, end, low, high in zip(
        starts, [*starts[1:], math.inf][: len(starts)], bands["low"], bands["high"], strict=True
    ):
        limits = [None if math.isnan(limit) else float(limit) for limit in (low, high)]
        found = time_in_band(
            days, values, limits[0], limits[1], longest_gap_days(parameter),
            list(rows["censored"]), (max(start, first), end),
        )  # fmt: skip
        inside, known = inside + found.inside_days, known + found.known_days
    return Share(inside, known)


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
    "the usual retest interval (at least 14 days) count as unknown, and so does a result "
    "'below x' that may be inside or outside. Time-weighted, so that testing more often when "
    "things go wrong does not bend it."
)
TIME_IN_BAND = Metric(
    "time_in_band", f"Time in the target band, last {RECENT_DAYS} days", "%", _BAND_METHOD,
    "Linear interpolation; the choice of gap is common practice, no source.", "none", "", _recent,
)  # fmt: skip
TIME_IN_BAND_EVER = Metric(
    "time_in_band_ever", "Time in the target band, since the first test", "%", _BAND_METHOD,
    "Linear interpolation; the choice of gap is common practice, no source.", "none", "", _ever,
)  # fmt: skip
