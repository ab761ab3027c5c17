"""How steady each parameter is, and what stands out: odd readings, jumps, certain trends."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.testing import longest_gap_days
from journal_tools.moments import epoch_days, local_time, months_between, next_month
from journal_tools.names import name_key
from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.science.series.anomalies import find_anomalies
from journal_tools.science.series.changes import find_change_points
from journal_tools.science.series.disagreement import disagreement
from journal_tools.science.series.forecast import forecast
from journal_tools.science.series.stability import (
    comparable_swing,
    noise_floor,
    robust_spread,
    time_weighted_mean,
)
from journal_tools.science.validity import FloatArray
from journal_tools.tables import Tables, rows_of

RECENT_DAYS = 90
_LOOKED_BACK_DAYS = 365
_STILL_NEWS_DAYS = 45
_FEWEST = 5
_SWING_TESTS = 4


@dataclass(frozen=True)
class _Series:
    """The figures of one parameter as arrays, without limits, means where two are of one moment."""

    days: FloatArray
    values: FloatArray
    floor: float
    entries: list[tuple[str, int]]
    times: list[pd.Timestamp]
    kits: list[str]


def _series(parameter: str, tables: Tables, since_days: int) -> _Series:
    rows = tables.readings_of(parameter)
    rows = rows[(rows["censored"] == "") & (rows["time"] >= tables.days_ago(since_days))]
    if rows.empty:
        return _Series(np.array([]), np.array([]), 0.0, [], [], [])
    by_moment = rows.groupby("time", sort=True)
    first = by_moment.first()
    step, error = float(rows["step"].median()), float(rows["error"].median())
    own = math.sqrt(max(error**2 - step**2 / 12, 0.0))
    entries = [(str(entry), int(line)) for entry, line in zip(first["entry"], first["line"],
                                                               strict=True)]  # fmt: skip
    return _Series(
        epoch_days(pd.Series(first.index)), by_moment["value"].mean().to_numpy(dtype="float64"),
        noise_floor(step, own), entries, list(first.index), [name_key(kit) for kit in first["kit"]],
    )  # fmt: skip


def _input(label: str, series: _Series, place: int, row: Parameter) -> Input:
    shown = f"{series.values[place]:.{row.decimals}f} {row.unit}".removesuffix(" pH")
    return Input(label, shown, *series.entries[place])


def _means(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for name, row in PARAMETERS.items():
        series = _series(name, tables, RECENT_DAYS)
        if len(series.days) < _FEWEST:
            continue
        try:
            value = time_weighted_mean(series.days, series.values, longest_gap_days(name))
        except ValueError:
            continue  # every gap is too long: nothing is known
        spread = robust_spread(series.values, 0.0, series.floor)
        inputs = (Input("tests", str(len(series.days))),
                  Input("robust spread", f"{spread:.{row.decimals + 1}f} {row.unit}"))  # fmt: skip
        yield Result("mean_level", value, row.unit, row.decimals, name, value - spread,
                     value + spread, series.times[0], series.times[-1], inputs)  # fmt: skip


MEAN_LEVEL = Metric(
    "mean_level", f"Mean of the last {RECENT_DAYS} days", "",
    "Straight lines between tests, weighted by time, so that testing more often when something is "
    "wrong does not bend it; long gaps are left out. The interval is the usual spread of a test: "
    "1.4826 times the median distance from the median, never below what the test itself scatters.",
    "Trapezoid rule; median absolute deviation (Hampel 1974).", "none", "usual spread (1 sd)",
    _means, "level",
)  # fmt: skip


def _swings(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for name, row in PARAMETERS.items():
        series = _series(name, tables, 100_000)
        if len(series.days) < _FEWEST:
            continue
        first, last = (series.times[place].date().replace(day=1) for place in (0, -1))
        months = list(months_between(first, next_month(last)))
        starts = [local_time(month, tables.profile) for month in months]
        edges = epoch_days(pd.Series(starts))
        cuts = np.searchsorted(series.days, edges)
        for place in range(len(months) - 1):
            within = slice(cuts[place], cuts[place + 1])
            value = comparable_swing(series.days[within], series.values[within], edges[place],
                                     edges[place + 1], _SWING_TESTS)  # fmt: skip
            if value is not None:
                yield Result("monthly_swing", value, row.unit, row.decimals + 1, name,
                             start=starts[place],
                             end=starts[place + 1] - pd.Timedelta(seconds=1))  # fmt: skip


MONTHLY_SWING = Metric(
    "monthly_swing", "Swing of a month", "",
    "How far apart the highest and the lowest of four tests would be: the spread of all tests of "
    "the month brought to that number, so that months with many and with few tests compare.",
    "Expected range of normal samples (Tippett 1925); checked by simulation in the tests.",
    "none", "", _swings, "difference",
)  # fmt: skip


def _recent(day: float, tables: Tables, days: int = _STILL_NEWS_DAYS) -> bool:
    return day >= float(epoch_days(pd.Series([tables.days_ago(days)]))[0])


def _odd(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for name, row in PARAMETERS.items():
        series = _series(name, tables, _LOOKED_BACK_DAYS)
        for found in find_anomalies(series.days, series.values, series.floor):
            if found.kind == "shift" or not _recent(found.day, tables):
                continue
            inputs = (
                _input("reading", series, found.index, row),
                Input(
                    "expected by its neighbours", f"{found.expected:.{row.decimals}f} {row.unit}"
                ),
                Input("usual distance of a reading", f"{found.spread:.{row.decimals + 1}f}"),
            )
            note = "The next test tells whether it was a slip." if found.kind == "newest" else (
                "The tests after it are back where they were."
            )  # fmt: skip
            yield Result("odd_reading", found.value, row.unit, row.decimals, name,
                         end=series.times[found.index], inputs=inputs, note=note)  # fmt: skip


ODD_READING = Metric(
    "odd_reading", "Reading that stands out", "",
    "A reading more than 3.5 usual distances from a robust line through its neighbours in time; "
    "the usual distance is never below what the test itself scatters.",
    "Iglewicz & Hoaglin 1993 (3.5 with a scaled median deviation). On simulated steady years fewer "
    "than one such finding a quarter in all, with jumps and trends: python -m "
    "benchmarks.false_alarms.",
    "none", "", _odd, "level",
)  # fmt: skip


def _jumps(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for name, row in PARAMETERS.items():
        series = _series(name, tables, _LOOKED_BACK_DAYS)
        for found in find_change_points(series.days, series.values, series.floor):
            if found.is_drift or not _recent(found.day, tables):
                continue
            inputs = (
                Input("level before", f"{found.before:.{row.decimals}f} {row.unit}, "
                      f"{found.count_before} tests"),
                Input("level after", f"{found.after:.{row.decimals}f} {row.unit}, "
                      f"{found.count_after} tests"),
                _input("first test of the new level", series, found.index, row),
            )  # fmt: skip
            other_kit = series.kits[found.index] != series.kits[max(0, found.index - 1)]
            note = "Another test was used from then on, which may be all." if other_kit else ""
            yield Result("level_jump", found.step, row.unit, row.decimals, name,
                         start=series.times[max(0, found.index - 1)],
                         end=series.times[found.index], inputs=inputs, note=note)  # fmt: skip


LEVEL_JUMP = Metric(
    "level_jump", "Jump of the level", "",
    "The tests fit two levels with a cut between them so much better than one that chance is ruled "
    "out; a straight drift is not counted.",
    "Penalised least squares cuts (Killick et al. 2012), own small search for irregular tests.",
    "none", "", _jumps, "difference",
)  # fmt: skip


def _leaving(tables: Tables, _done: Metrics) -> Iterator[Result]:
    today = float(epoch_days(pd.Series([tables.now]))[0])
    for name, row in PARAMETERS.items():
        band = tables.band(name, tables.today)
        series = _series(name, tables, _LOOKED_BACK_DAYS)
        if band is None or len(series.days) < _FEWEST or today - series.days[-1] > 14:
            continue
        found = forecast(series.days, series.values, band.low, band.high, series.floor, today)
        if found.leaves is None or found.slope is None or found.limit is None:
            continue
        dates = [_date(day, tables) for day in (found.leaves.low, found.leaves.high)]
        inputs = (
            Input("drift", f"{found.slope.per_day:+.2g} {row.unit}/day, "
                  f"{found.slope.count} tests".replace("-", "−")),
            Input("end of the band", f"{found.limit:.{row.decimals}f} {row.unit}"),
            _input("newest test", series, -1, row),
        )  # fmt: skip
        yield Result(
            "leaves_band", max(0.0, found.leaves.value - today), "days", 0, name,
            max(0.0, found.leaves.low - today), max(0.0, found.leaves.high - today),
            end=tables.now, inputs=inputs,
            note=f"Between {dates[0]:%Y-%m-%d} and {dates[1]:%Y-%m-%d}, if it goes on like this.",
        )  # fmt: skip


def _date(day: float, tables: Tables) -> dt.date:
    moment = pd.Timestamp(day, unit="D", tz="UTC").tz_convert(tables.profile.time_zone)
    found: dt.date = moment.date()
    return found


LEAVES_BAND = Metric(
    "leaves_band", "Days until it leaves its band", "days",
    "A robust line through the newest tests, only where its slope is certain and cannot be the "
    "scatter of the tests; at most three weeks ahead.",
    "Theil 1950, Sen 1968 (slope); windows, certainty and horizon are own choices, tried on "
    "simulated years.",
    "none", "90 % for slope and level each", _leaving,
)  # fmt: skip


def _kits(tables: Tables, _done: Metrics) -> Iterator[Result]:
    """Compare two tests of one parameter that were made within two hours of each other."""
    for name, row in PARAMETERS.items():
        rows = tables.readings_of(name)
        rows = rows[(rows["censored"] == "") & (rows["kit"] != "")]
        rows = rows.assign(kit=_one_spelling(rows["kit"]))
        kits = rows["kit"].value_counts().index.tolist()[:2]
        if len(kits) < 2:
            continue
        pairs = [rows[rows["kit"] == kit].drop_duplicates("time") for kit in sorted(kits)]
        first, second = (
            (epoch_days(r["time"]), r["value"].to_numpy(dtype="float64")) for r in pairs
        )
        tolerance = float(rows["error"].median())
        found = disagreement(first, second, tolerance=tolerance)
        if found is None or not found.is_certain:
            continue
        inputs = tuple(
            Input(f"{kit}, {one.time:%Y-%m-%d}", f"{one.value:.{row.decimals}f} {row.unit}",
                  one.entry, int(one.line))
            for kit, frame, index in zip(sorted(kits), pairs, zip(*found.pairs, strict=True),
                                         strict=True)
            for one in rows_of(frame.iloc[list(index)].tail(6))
        )  # fmt: skip
        yield Result("tests_disagree", found.bias, row.unit, row.decimals + 1, name, found.low,
                     found.high, end=rows["time"].iloc[-1], inputs=inputs,
                     note=f"{sorted(kits)[0]} reads that much more than {sorted(kits)[1]}, over "
                     f"{len(found.pairs)} pairs.")  # fmt: skip


def _one_spelling(names: pd.Series) -> list[str]:
    """Give each name as it was first written, however its case and spaces are written later."""
    first: dict[str, str] = {}
    return [first.setdefault(name_key(name), name) for name in names]


TESTS_DISAGREE = Metric(
    "tests_disagree", "Two tests that disagree", "",
    "Mean difference of two tests of one parameter made within two hours, where its interval lies "
    "beyond the error of a test.",
    "Student's t on paired differences.", "none", "95 % interval", _kits, "difference",
)  # fmt: skip
