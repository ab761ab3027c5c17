"""What a balance is drawn from: the tests of a parameter, and everything that went in between."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from journal_tools.metrics.dosing import Strength, all_doses, strengths
from journal_tools.metrics.record import Result
from journal_tools.metrics.volume import relative_volume_error
from journal_tools.moments import epoch_days
from journal_tools.names import name_key
from journal_tools.parameters import PARAMETERS
from journal_tools.rows import reading_error
from journal_tools.science.measured import Readings, readings
from journal_tools.science.supply import (
    Change,
    Dose,
    Feed,
    Supply,
    Unknown,
    feeds_since_last,
)
from journal_tools.science.validity import FloatArray
from journal_tools.tables import Tables, rows_of

NEW_WATER = "new water"
UNTESTED_WATER = "new water that was not tested"

FRESH_GUESS: Mapping[str, tuple[float, float]] = {
    "alkalinity": (8.5, 1.5),
    "calcium": (425.0, 30.0),
    "magnesium": (1320.0, 60.0),
    "nitrate": (0.5, 1.0),
    "phosphate": (0.02, 0.02),
}
"""New water that nobody tested, with its error (1 sd). Common practice, no source: it is meant to
widen an estimate, not to be right."""

_NEAR_DAYS = 14.0
_INSTANT = 1e-6  # days: puts a test "after dose" behind the dose of the same minute
_WHOLE_DAY = 1.0


@dataclass(frozen=True)
class Balance:
    """Tests and supply of one parameter.

    Attributes:
        parameter: Its name.
        tests: Every reading, in its canonical unit.
        rows: The readings as table rows, in the order of ``tests``.
        supply: What went in.
    """

    parameter: str
    tests: Readings
    rows: list[Any]
    supply: Supply

    def last(self, days: float) -> Balance:
        """Give the balance of the tests of the last days before the newest one, that one counted.

        Args:
            days: How many days.
        """
        if not self.rows:
            return self
        there = self.tests.day >= self.tests.day[-1] - days
        kept = [row for row, keep in zip(self.rows, there, strict=True) if keep]
        return Balance(self.parameter, self.tests.where(there), kept, self.supply)


def balance_of(parameter: str, tables: Tables, net: Result) -> Balance:
    """Give tests and supply of a parameter.

    Args:
        parameter: A parameter of :data:`FRESH_GUESS`.
        tables: The journal's tables.
        net: The net volume.
    """
    rows = tables.readings_of(parameter)
    days = _ordered_days(rows, tables)
    order = np.argsort(days, kind="stable")
    listed = list(rows_of(rows))
    tests = _tests(rows, days, tables)
    level = float(np.median(rows["value"])) if len(rows) else 0.0
    return Balance(parameter, tests, [listed[i] for i in order],
                   _supply(parameter, tables, net, level))  # fmt: skip


def _tests(rows: pd.DataFrame, days: FloatArray, tables: Tables) -> Readings:
    if rows.empty:
        return readings(np.array([]), np.array([]))
    kits = {kit: number for number, kit in enumerate(dict.fromkeys(rows["kit"]))}
    step = rows["step"].to_numpy(dtype="float64")
    error = rows["error"].to_numpy(dtype="float64")
    # What is left of the error without the step; a hundredth keeps it above nothing.
    own = np.sqrt(np.maximum(error**2 - step**2 / 12, (error / 10) ** 2))
    limits = rows["censored"].map({"below": -1, "above": 1, "": 0}).to_numpy(dtype="int64")
    return readings(
        days,
        rows["value"].to_numpy(dtype="float64"),
        np.where(own > 0, own, np.nan),
        step,
        rows["kit"].map(kits).to_numpy(dtype="int64"),
        limits,
        _salinity_near(days, tables),
    )


def _salinity_near(days: FloatArray, tables: Tables) -> FloatArray:
    rows = tables.readings_of("salinity")
    rows = rows[rows["censored"] == ""]
    if rows.empty:
        return np.full(len(days), np.nan)
    known, values = epoch_days(rows["time"]), rows["value"].to_numpy(dtype="float64")
    after = np.clip(np.searchsorted(known, days), 0, len(known) - 1)
    before = np.maximum(after - 1, 0)
    nearest = np.where(np.abs(known[before] - days) <= np.abs(known[after] - days), before, after)
    near = np.abs(known[nearest] - days) <= _NEAR_DAYS
    return np.where(near, values[nearest], np.nan)


def _ordered_days(rows: pd.DataFrame, tables: Tables) -> FloatArray:
    """Give the moments of tests in days; "before" and "after" go by that day's doses or changes."""
    days = epoch_days(rows["time"])
    marked = (rows["when"] != "").to_numpy()
    if not marked.any():
        return days
    doses = all_doses(tables)
    times = {"dose": doses[~doses["spread"]]["time"], "change": tables.water_changes["time"]}
    return np.array([
        _ordered(float(day), row.when, row.time, times)
        for day, row in zip(days, rows_of(rows), strict=True)
    ])  # fmt: skip


def _ordered(day: float, when: str, time: pd.Timestamp, times: dict[str, pd.Series]) -> float:
    side, _, kind = when.partition(" ")
    if not kind:
        return day
    same_day = times[kind][times[kind].dt.date == time.date()]
    of_day = [float(event) for event in epoch_days(same_day)]
    if side == "after":
        return max([day, *(event + _INSTANT for event in of_day)])
    return min([day, *(event - _INSTANT for event in of_day)])


def _supply(parameter: str, tables: Tables, net: Result, level: float) -> Supply:
    """Gather what lifts or dilutes a parameter, with the errors that all of it shares."""
    known = strengths(tables.profile)
    doses: list[Dose] = []
    feeds: list[Feed] = []
    unknown: list[Unknown] = []
    for day, row in _dated(tables.doses):
        power = known.get(row.product)
        start = _midnight(row.time) if row.spread else day
        if power is None or (power.lifts_anything and power.unit != row.unit):
            unknown.append(Unknown(start, start + (_WHOLE_DAY if row.spread else 0.0)))
        elif (rise := power.rise(parameter, row.amount, level, net.value)) is not None:
            if row.spread:
                feeds.append(Feed(start, start + _WHOLE_DAY, rise, row.product))
            else:
                doses.append(Dose(day, rise, row.product))
    for day, row in _dated(tables.top_offs):
        if row.product and _told(row.product, tables, known) is None:
            unknown.append(Unknown(day, day))
    feeds += _top_offs(parameter, tables, net, known)
    return Supply(
        tuple(doses), tuple(feeds), tuple(_changes(parameter, tables, net.value)), tuple(unknown),
        {name: power.relative_error for name, power in known.items()},
        {NEW_WATER: _fresh_error(parameter, tables), UNTESTED_WATER: FRESH_GUESS[parameter][1]},
        relative_volume_error(net),
    )  # fmt: skip


def _dated(frame: pd.DataFrame) -> Iterator[tuple[float, Any]]:
    days = epoch_days(frame["time"])
    return zip((float(day) for day in days), rows_of(frame), strict=True)


def _midnight(time: pd.Timestamp) -> float:
    return float(epoch_days(pd.Series([time.normalize()]))[0])


def _told(product: str, tables: Tables, known: Mapping[str, Strength]) -> Strength | None:
    """Give the strength of what a top-off was mixed with, or None where it is not told in ml."""
    names = {name_key(s.name): s.name for s in tables.profile.supplements}
    power = known.get(names.get(name_key(product), product))
    return power if power is not None and power.unit == "ml" else None


def _top_offs(
    parameter: str, tables: Tables, net: Result, known: Mapping[str, Strength]
) -> Iterator[Feed]:
    """Spread top-offs with a supplement, such as limewater, over the time since the one before."""
    rows = tables.top_offs[tables.top_offs["product"] != ""]
    for product, of_one in rows.groupby("product", sort=True):
        power = _told(str(product), tables, known)
        if power is None:
            continue
        rises = [
            power.rise(parameter, 1000 * litres, 0.0, net.value) or 0.0
            for litres in of_one["volume_l"]
        ]
        if any(rises):
            yield from feeds_since_last(list(epoch_days(of_one["time"])), rises, str(product))


def _changes(parameter: str, tables: Tables, net_volume_l: float) -> Iterator[Change]:
    changes = tables.water_changes
    fresh = changes[f"fresh_{parameter}"].to_numpy(dtype="float64")
    for (day, row), value in zip(_dated(changes), fresh, strict=True):
        share = min(row.volume_l / net_volume_l, 1.0)
        if math.isnan(value):
            yield Change(day, share, FRESH_GUESS[parameter][0], UNTESTED_WATER)
        else:
            yield Change(day, share, float(value), NEW_WATER)


def _fresh_error(parameter: str, tables: Tables) -> float:
    """Give the error of new water: that of the keeper's own test."""
    row = PARAMETERS[parameter]
    return reading_error(row, tables.profile, FRESH_GUESS[parameter][0])
