"""What a balance is drawn from: the tests of a parameter, and everything that went in between."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import pandas as pd

from journal_tools.metrics.dosing import strengths
from journal_tools.metrics.record import Result
from journal_tools.metrics.supplied import FRESH_GUESS, Levels, Supplied, supplied
from journal_tools.moments import epoch_days
from journal_tools.names import name_key
from journal_tools.parameters import PARAMETERS
from journal_tools.science.estimation.measured import Readings, readings
from journal_tools.science.estimation.supply import Supply
from journal_tools.science.validity import FloatArray
from journal_tools.tables import Tables

__all__ = ["FRESH_GUESS", "Balance", "balance_of"]

_NEAR_DAYS = 14.0
_INSTANT = 1e-6  # days: puts a test "after dose" behind the dose of the same minute
_SALINITY_ERROR = 0.15
"""Error (1 sd, psu) at which a salinity may tell that everything dissolved moved by 1 psu."""

_MOST_SALINITIES = 9


class Tested(NamedTuple):
    """A reading as a balance shows it: the columns of the table of readings that it needs."""

    time: pd.Timestamp
    value: float
    unit: str
    censored: str
    entry: str
    line: int


@dataclass(frozen=True)
class Balance:
    """Tests and supply of one parameter.

    Attributes:
        parameter: Its name.
        tests: Every reading, in its canonical unit.
        rows: The readings as table rows, in the order of ``tests``.
        supplied: What went in.
    """

    parameter: str
    tests: Readings
    rows: list[Tested]
    supplied: Supplied

    @property
    def supply(self) -> Supply:
        """What went in and is reckoned with."""
        return self.supplied.supply

    def last(self, days: float) -> Balance:
        """Give the balance of the tests of the last days before the newest one, that one counted.

        Args:
            days: How many days.
        """
        if not self.rows:
            return self
        there = self.tests.day >= self.tests.day[-1] - days
        kept = [row for row, keep in zip(self.rows, there, strict=True) if keep]
        tests = self.tests.where(there)
        return Balance(self.parameter, tests, kept, self.supplied.since(float(tests.day[0])))


def balance_of(parameter: str, tables: Tables, net: Result) -> Balance:
    """Give tests and supply of a parameter.

    Args:
        parameter: A parameter of :data:`FRESH_GUESS`.
        tables: The journal's tables.
        net: The net volume.
    """
    rows = tables.readings_of(parameter)
    days = _ordered_days(parameter, rows, tables)
    columns = (rows[name].to_list() for name in Tested._fields)
    listed = [Tested(*row) for row in zip(*columns, strict=True)]
    tests = _tests(parameter, rows, days, tables)
    figures = tests.where(tests.censored == 0)
    went_in = supplied(parameter, tables, net, Levels(figures.day, figures.value))
    return Balance(parameter, tests, [listed[i] for i in np.argsort(days, kind="stable")], went_in)


def _tests(parameter: str, rows: pd.DataFrame, days: FloatArray, tables: Tables) -> Readings:
    if rows.empty:
        return readings(np.array([]), np.array([]))
    names = [name_key(kit) for kit in rows["kit"]]
    kits = {kit: number for number, kit in enumerate(dict.fromkeys(names))}
    step = rows["step"].to_numpy(dtype="float64")
    error = rows["error"].to_numpy(dtype="float64")
    # Nobody's test is without any error, whatever was written.
    error = np.where(error > 0, error, PARAMETERS[parameter].test_error)
    # What is left of the error without the step; a tenth of it keeps it above nothing.
    own = np.sqrt(np.maximum(error**2 - step**2 / 12, (error / 10) ** 2))
    limits = rows["censored"].map({"below": -1, "above": 1, "": 0}).to_numpy(dtype="int64")
    return readings(
        days,
        rows["value"].to_numpy(dtype="float64"),
        own,
        step,
        np.array([kits[name] for name in names]),
        limits,
        # Salinity cannot be judged by itself.
        np.nan if parameter == "salinity" else _salinity_near(days, tables),
    )


def _salinity_near(days: FloatArray, tables: Tables) -> FloatArray:
    """Give the salinity of each moment, by as many tests around it as make it certain enough.

    Two tests by a hydrometer may differ by 1 psu of the same water: that is no shift.
    """
    rows = tables.readings_of("salinity")
    rows = rows[rows["censored"] == ""]
    if rows.empty:
        return np.full(len(days), np.nan)
    known, values = epoch_days(rows["time"]), rows["value"].to_numpy(dtype="float64")
    error = float(rows["error"].median())
    count = min(max(1, math.ceil((error / _SALINITY_ERROR) ** 2)), _MOST_SALINITIES, len(known))
    first = np.clip(np.searchsorted(known, days) - (count + 1) // 2, 0, len(known) - count)
    if count == 1:
        after = np.minimum(first + 1, len(known) - 1)
        first = np.where(np.abs(known[after] - days) < np.abs(known[first] - days), after, first)
    around = first[:, None] + np.arange(count)
    near = np.min(np.abs(known[around] - days[:, None]), axis=1) <= _NEAR_DAYS
    return np.where(near, np.median(values[around], axis=1), np.nan)


def _ordered_days(parameter: str, rows: pd.DataFrame, tables: Tables) -> FloatArray:
    """Give the moments of tests in days; "before" and "after" go by that day's doses or changes."""
    days = epoch_days(rows["time"])
    marked = np.flatnonzero((rows["when"] != "").to_numpy())
    if not len(marked):
        return days
    known = strengths(tables.profile)
    doses = tables.doses[~tables.doses["spread"]]
    counts = {product: product not in known or known[product].affects(parameter)
              for product in doses["product"].unique()}  # fmt: skip
    events = {
        "dose": _by_date(doses[doses["product"].map(counts).astype("bool")]["time"]),
        "change": _by_date(tables.water_changes["time"]),
    }
    dates, sides = rows["time"].dt.date.to_list(), rows["when"].to_list()
    for place in marked.tolist():
        side, _, kind = sides[place].partition(" ")
        of_day = events[kind].get(dates[place], [])
        days[place] = _ordered(float(days[place]), side, of_day)
    return days


def _by_date(times: pd.Series) -> Mapping[dt.date, list[float]]:
    found: dict[dt.date, list[float]] = {}
    for date, day in zip(times.dt.date, epoch_days(times), strict=True):
        found.setdefault(date, []).append(float(day))
    return found


def _ordered(day: float, side: str, events: list[float]) -> float:
    """Move a test past the nearest event of its day, unless its own time says so already."""
    if side == "after" and events and min(events) >= day:
        return min(events) + _INSTANT
    if side == "before" and events and max(events) < day:
        return max(events) - _INSTANT
    return day
