"""What probes saw in the last thirty days, and whether they agree with the kits."""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.moments import epoch_days
from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.probes import ProbeSeries
from journal_tools.science.series.disagreement import Disagreement, disagreement
from journal_tools.science.validity import FloatArray
from journal_tools.tables import Tables
from journal_tools.words import band_text

RECENT_DAYS = 30
PAIR_DAYS = 90
WITHIN_H = 2.0
"""Hours that a kit's reading and the rows of a probe may lie apart. Common practice, no source."""

_WHOLE_DAY_H = 18.0
_NS_PER_DAY = 86_400e9

LEVELS = ("probe_lowest", "probe_highest")
"""Metrics whose values are values of the parameter, to be shown in the keeper's own unit."""
DIFFERENCES = ("probe_swing", "probe_rate", "probe_disagreement")
"""Metrics whose values are differences of values, or differences an hour."""


@dataclass(frozen=True, slots=True)
class Recent:
    """One series and its last days.

    Attributes:
        series: The series.
        subject: What results are about: the parameter, with the file where there are several.
        days: Rows of the table of days.
    """

    series: ProbeSeries
    subject: str
    days: pd.DataFrame

    @property
    def parameter(self) -> Parameter:
        """What is measured."""
        return PARAMETERS[self.series.parameter]

    def shown(self, value: float, finer: int = 0) -> str:
        """Give a value with its unit, with some decimals more than usual."""
        return f"{value:.{self.parameter.decimals + finer}f} {self.parameter.unit}"

    def moments(self) -> tuple[dt.datetime, dt.datetime]:
        """Give the start of the first day and the last row's moment."""
        start: dt.datetime = self.days["time"].iloc[0]
        last = pd.Timestamp(int(self.series.data.recent_ns[-1]), unit="ns", tz="UTC")
        return start, last.as_unit("us").tz_convert(self.days["time"].dt.tz).to_pydatetime()


def subject_of(tables: Tables, series: ProbeSeries) -> str:
    """Give what results about a series are about: its parameter, and its file if it needs that."""
    many = Counter(one.parameter for one in tables.probes.series)[series.parameter] > 1
    return f"{series.source}: {series.parameter}" if many else series.parameter


def recent_days(tables: Tables) -> Iterator[Recent]:
    """Give every series that has a usable row in the last thirty days."""
    frame = tables.probe_days
    late = frame[(frame["time"] >= tables.days_ago(RECENT_DAYS)) & (frame["count"] > 0)]
    for series in tables.probes.series:
        own = (late["source"] == series.source) & (late["parameter"] == series.parameter)
        if own.any():
            yield Recent(series, subject_of(tables, series), late[own])


def _when(moment: dt.datetime, tables: Tables) -> str:
    """Give a moment in words, without the time of day where the keeper hides it."""
    form = "%Y-%m-%d %H:%M" if tables.profile.privacy.exact_times else "%Y-%m-%d"
    return f"{moment:{form}}"


def _swing(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for recent in recent_days(tables):
        whole = recent.days[recent.days["known_h"] >= _WHOLE_DAY_H]
        if whole.empty:
            continue
        swings = whole["maximum"] - whole["minimum"]
        low, middle, high = (float(swings.quantile(q)) for q in (0.25, 0.5, 0.75))
        start, end = recent.moments()
        inputs = (
            Input("days with at least 18 known hours", str(len(whole))),
            Input("widest day", recent.shown(float(swings.max()), 1)),
            Input("quietest day", recent.shown(float(swings.min()), 1)),
        )
        yield Result(
            "probe_swing", middle, recent.parameter.unit, recent.parameter.decimals + 1,
            recent.subject, low, high, start, end, inputs,
        )  # fmt: skip


PROBE_SWING = Metric(
    "probe_swing", "Daily swing", "",
    "Highest less lowest value of each of the keeper's days of the last 30 with at least 18 known "
    "hours; the median of these.",
    "Definition.", "none", "the middle half of the days", _swing,
)  # fmt: skip


def _extreme(tables: Tables, name: str) -> Iterator[Result]:
    column, at = ("minimum", "lowest_at") if name == "probe_lowest" else ("maximum", "highest_at")
    for recent in recent_days(tables):
        values = recent.days[column]
        numbers = values.to_numpy(np.float64)
        place = np.nanargmin(numbers) if column == "minimum" else np.nanargmax(numbers)
        row = recent.days.iloc[int(place)]
        moment = row[at].to_pydatetime()
        inputs = [
            Input("when", _when(moment, tables)),
            Input("values", f"{int(recent.days['count'].sum()):,}"),
        ]
        flagged, failed = (int(recent.days[each].sum()) for each in ("flagged", "failed"))
        if flagged:
            inputs.append(Input("of them doubted", f"{flagged - failed:,}"))
            inputs.append(Input("left out as wrong", f"{failed:,}"))
        yield Result(
            name, float(row[column]), recent.parameter.unit, recent.parameter.decimals,
            recent.subject, start=moment, end=moment, inputs=tuple(inputs),
        )  # fmt: skip


def _lowest(tables: Tables, _done: Metrics) -> Iterator[Result]:
    return _extreme(tables, "probe_lowest")


def _highest(tables: Tables, _done: Metrics) -> Iterator[Result]:
    return _extreme(tables, "probe_highest")


PROBE_LOWEST = Metric(
    "probe_lowest", "Lowest of the probe", "",
    "Lowest single value of the last 30 days that did not fail a test of quality.",
    "Definition; tests of quality after the IOOS QARTOD manuals.", "none", "", _lowest,
)  # fmt: skip
PROBE_HIGHEST = Metric(
    "probe_highest", "Highest of the probe", "",
    "Highest single value of the last 30 days that did not fail a test of quality.",
    "Definition; tests of quality after the IOOS QARTOD manuals.", "none", "", _highest,
)  # fmt: skip


def _outside(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for recent in recent_days(tables):
        told = recent.days[recent.days["outside_h"].notna()]
        known = float(told["known_h"].sum())
        band = tables.band(recent.series.parameter, tables.today)
        if known <= 0 or band is None:
            continue
        start, end = recent.moments()
        inputs = (
            Input("hours known", f"{known:.0f}"),
            Input("band today", band_text(band, recent.parameter)),
        )
        hours = float(told["outside_h"].sum())
        yield Result("probe_outside_h", hours, "h", 1, recent.subject, start=start, end=end,
                     inputs=inputs)  # fmt: skip


PROBE_OUTSIDE = Metric(
    "probe_outside_h", "Hours outside the band", "h",
    "Hours of the last 30 days in which straight lines between the probe's values lay outside the "
    "target band of the day. Longer gaps count as unknown.",
    "Exact crossing of the linear interpolant.", "none", "", _outside,
)  # fmt: skip


def _rate(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for recent in recent_days(tables):
        rates = recent.days["largest_rate_per_h"].dropna()
        if rates.empty:
            continue
        place = int(np.nanargmax(recent.days["largest_rate_per_h"].to_numpy(np.float64)))
        day: dt.datetime = recent.days["time"].iloc[place].to_pydatetime()
        inputs = (Input("on the day", f"{day:%Y-%m-%d}"),)
        yield Result(
            "probe_rate", float(rates.max()), f"{recent.parameter.unit}/h",
            recent.parameter.decimals + 1, recent.subject, start=day, end=day, inputs=inputs,
        )  # fmt: skip


PROBE_RATE = Metric(
    "probe_rate", "Fastest change", "",
    "Largest change an hour of the last 30 days, without sign, between means of half an hour; a "
    "lone odd value is smoothed out by the median of three.",
    "Definition.", "none", "", _rate,
)  # fmt: skip


def _gaps(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for recent in recent_days(tables):
        start, end = recent.moments()
        hours = (end - start).total_seconds() / 3600
        unknown = max(0.0, hours - float(recent.days["known_h"].sum()))
        longest = float(recent.days["longest_gap_h"].max())
        inputs = (
            Input("longest time between two values", f"{longest:.2f} h"),
            Input("last value", _when(end, tables)),
        )
        yield Result("probe_gaps_h", unknown, "h", 1, recent.subject, start=start, end=end,
                     inputs=inputs)  # fmt: skip


PROBE_GAPS = Metric(
    "probe_gaps_h", "Hours that the probe missed", "h",
    "From the first of the last 30 days with a value to the newest value: hours that lie in gaps, "
    "which are four times as long as the usual time between two values, at least 2 hours.",
    "Definition; the length of a gap is common practice, no source.", "none", "", _gaps,
)  # fmt: skip


def compared(tables: Tables, series: ProbeSeries) -> Disagreement | None:
    """Compare a probe with the kits' readings of the last 90 days; None with fewer than 3 pairs.

    Readings that were taken with the probe's own instrument are no second opinion.
    """
    rows = tables.readings_of(series.parameter)
    late = rows["time"] >= tables.days_ago(PAIR_DAYS)
    rows = rows[late & (rows["censored"] == "")]
    if series.instrument:
        rows = rows[rows["kit"].str.casefold() != series.instrument.casefold()]
    days, kit = epoch_days(rows["time"]), rows["value"].to_numpy(np.float64)
    probe = value_at(series, days)
    there = ~np.isnan(probe)
    if there.sum() < 1:
        return None
    days, kit, errors = days[there], kit[there], rows["error"].to_numpy(np.float64)[there]
    # Two readings of one moment would be one pair: the later one is moved by a second.
    days = days + np.arange(days.size) / 86_400e3
    floor = math.sqrt(float(np.mean(errors**2)))
    return disagreement(
        (days, probe[there]), (days, kit), within_h=WITHIN_H,
        tolerance=PARAMETERS[series.parameter].test_error, floor=floor,
    )  # fmt: skip


def value_at(series: ProbeSeries, days: FloatArray) -> FloatArray:
    """Give what a probe showed at moments, NaN where it has no rows within two hours.

    Args:
        series: The series.
        days: Moments in days since 1970-01-01 UTC.

    Uncertainty:
        Straight lines between means of an hour; shorter changes are averaged out.
    """
    hours, means = series.data.hour_ns / _NS_PER_DAY, series.data.hour_mean
    right = np.clip(np.searchsorted(hours, days), 0, hours.size - 1)
    left = np.clip(right - 1, 0, hours.size - 1)
    reach = WITHIN_H / 24
    near_left, near_right = (
        np.abs(days - hours[left]) <= reach,
        np.abs(hours[right] - days) <= reach,
    )
    found = np.interp(days, hours, means)
    found = np.where(near_left & ~near_right, means[left], found)
    found = np.where(near_right & ~near_left, means[right], found)
    return np.where(near_left | near_right, found, np.nan)


def _disagreement(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for series in tables.probes.series:
        found = compared(tables, series)
        if found is None:
            continue
        parameter = PARAMETERS[series.parameter]
        inputs = (
            Input("pairs", str(len(found.pairs))),
            Input("usual error of a test", f"{found.tolerance:g} {parameter.unit}"),
        )
        note = (
            "The difference is larger than the usual error of a test. One of the two needs a "
            "calibration; this does not tell which."
            if found.is_certain
            else "The difference may well be the usual error of a test."
        )
        yield Result(
            "probe_disagreement", found.bias, parameter.unit, parameter.decimals + 1,
            subject_of(tables, series), found.low, found.high, tables.days_ago(PAIR_DAYS),
            tables.now, inputs, note,
        )  # fmt: skip


PROBE_DISAGREEMENT = Metric(
    "probe_disagreement", "Probe less kit", "",
    "Mean difference of the probe's value at the moment of each kit's reading of the last 90 days "
    "and that reading; at least 3 pairs within 2 hours. Readings with the probe's own instrument "
    "and those beyond the limit of a test are left out.",
    "Mean of paired differences (Bland & Altman 1986, Lancet 327:307) with Student's interval.",
    "none", "95 % confidence of the mean difference", _disagreement,
)  # fmt: skip
