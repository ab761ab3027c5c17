"""What went into the tank of one parameter: doses, plans, limewater, reactors, water changes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from journal_tools.metrics.dosing import Strength, strengths
from journal_tools.metrics.record import Result
from journal_tools.metrics.volume import relative_volume_error
from journal_tools.moments import epoch_days
from journal_tools.names import name_key
from journal_tools.parameters import PARAMETERS
from journal_tools.rows import reading_error
from journal_tools.science.estimation.supply import (
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
    "salinity": (35.0, 1.0),
}
"""New water that nobody tested, with its error (1 sd). Common practice, no source: it is meant to
widen an estimate, not to be right."""

_LONGEST_TOP_OFF_DAYS = 7.0
_NO_POWDER_COUNTS = frozenset({"salinity"})
"""What an untold supplement does not move: a few millilitres are no salt water."""


@dataclass(frozen=True, slots=True)
class Untold:
    """A supplement whose effect is not known, and over which days, from first to last."""

    product: str
    start_day: float
    end_day: float


@dataclass(frozen=True)
class Supplied:
    """What went in, and what of it cannot be reckoned with."""

    supply: Supply
    untold: tuple[Untold, ...] = ()

    def since(self, day: float) -> Supplied:
        """Give what still counts from a day on, in days."""
        whole = self.supply
        cut = Supply(
            tuple(dose for dose in whole.doses if dose.day >= day),
            tuple(feed for feed in whole.feeds if feed.end_day >= day),
            tuple(change for change in whole.changes if change.day >= day),
            tuple(time for time in whole.unknown if time.end_day >= day),
            whole.potency_sd, whole.fresh_sd, whole.volume_sd,
        )  # fmt: skip
        return Supplied(cut, tuple(one for one in self.untold if one.end_day >= day))


@dataclass(frozen=True)
class Levels:
    """The course of a parameter, by which a reactor's outflow is judged: days and values."""

    days: FloatArray
    values: FloatArray

    def at(self, days: FloatArray) -> FloatArray:
        """Give the level at moments, by straight lines between tests; 0 where none is known."""
        if not len(self.days):
            return np.zeros(len(days))
        return np.interp(days, self.days, self.values)


def supplied(parameter: str, tables: Tables, net: Result, levels: Levels) -> Supplied:
    """Gather what lifts or dilutes a parameter, with the errors that all of it shares.

    Args:
        parameter: A parameter of :data:`FRESH_GUESS`.
        tables: The journal's tables.
        net: The net volume.
        levels: The tests of the parameter.
    """
    known = strengths(tables.profile)
    doses: list[Dose] = []
    feeds: list[Feed] = []
    untold: list[Untold] = []
    for key, rows in tables.doses.groupby(["product", "unit", "spread"], sort=True):
        product, unit, spread = str(key[0]), str(key[1]), bool(key[2])
        power = known.get(product)
        begin, end = _spans(rows["time"], whole_day=spread)
        if power is None or (power.affects(parameter) and power.unit != unit):
            untold += [Untold(product, *span) for span in zip(begin, end, strict=True)]
        elif power.affects(parameter):
            amounts = rows["amount"].to_numpy(dtype="float64")
            rises = power.rises(parameter, amounts, levels.at((begin + end) / 2), net.value)
            if spread:
                feeds += _runs(begin, end, rises, product)
            else:
                doses += [Dose(*dose, product) for dose in zip(begin, rises, strict=True)]
    topped, unknown_tops = _top_offs(parameter, tables, net.value, known)
    found = () if parameter in _NO_POWDER_COUNTS else (*untold, *unknown_tops)
    return Supplied(
        Supply(
            tuple(doses), (*feeds, *topped), tuple(_changes(parameter, tables, net.value)),
            tuple(Unknown(one.start_day, one.end_day) for one in found),
            {name: power.error_of(parameter, levels.values) for name, power in known.items()},
            {NEW_WATER: _fresh_error(parameter, tables), UNTESTED_WATER: FRESH_GUESS[parameter][1]},
            relative_volume_error(net),
        ),
        found,
    )  # fmt: skip


def _spans(times: pd.Series, *, whole_day: bool) -> tuple[FloatArray, FloatArray]:
    """Give begin and end of doses in days: one moment, or from midnight to midnight."""
    if not whole_day:
        days = epoch_days(times)
        return days, days
    midnight = times.dt.normalize()
    # A day of a clock change has 23 or 25 hours; 36 hours on it is the next day for certain.
    following = (midnight + pd.Timedelta(hours=36)).dt.normalize()
    return epoch_days(midnight), epoch_days(following)


def _runs(begin: FloatArray, end: FloatArray, rises: FloatArray, product: str) -> Iterator[Feed]:
    """Join days that follow each other with the same dose: a plan is one feed, not hundreds."""
    changed = (begin[1:] != end[:-1]) | (rises[1:] != rises[:-1])
    first = np.flatnonzero(np.append(True, changed))
    last = np.append(first[1:], len(rises)) - 1
    sums = np.add.reduceat(rises, first)
    for start, stop, rise in zip(begin[first], end[last], sums, strict=True):
        yield Feed(float(start), float(stop), float(rise / (stop - start)), product)


def _top_offs(
    parameter: str, tables: Tables, net_volume_l: float, known: Mapping[str, Strength]
) -> tuple[list[Feed], list[Untold]]:
    """Spread top-offs with a supplement, such as limewater, over the time since the one before."""
    rows = tables.top_offs
    names = {name_key(s.name): s.name for s in tables.profile.supplements}
    products = [names.get(name_key(name), name) if name else "" for name in rows["product"]]
    days, litres = list(epoch_days(rows["time"])), rows["volume_l"].to_numpy(dtype="float64")
    feeds: list[Feed] = []
    untold: list[Untold] = []
    for product in sorted({product for product in products if product}):
        with_it = np.array([one == product for one in products])
        power = known.get(product)
        if power is None or (power.affects(parameter) and power.unit != "ml"):
            untold += [Untold(product, *span) for span in _since_last(days, with_it)]
        elif power.affects(parameter):
            # Water that replaces evaporated water is a gain in whole: nothing is taken out for it.
            rises = power.rises(parameter, 1000 * litres * with_it, np.zeros(len(days)),
                                net_volume_l)  # fmt: skip
            every = feeds_since_last(days, list(rises), product, _LONGEST_TOP_OFF_DAYS)
            feeds += [feed for feed in (*every, *_going_on(every)) if feed.rise_per_day]
    return feeds, untold


def _going_on(feeds: Sequence[Feed]) -> Iterator[Feed]:
    """Let the last of several top-offs go on for as long as it took: the next is not logged yet."""
    for last in feeds[1:][-1:]:
        length = last.end_day - last.start_day
        yield Feed(last.end_day, last.end_day + length, last.rise_per_day, last.product)


def _since_last(days: list[float], chosen: np.ndarray) -> Iterator[tuple[float, float]]:
    """Give for each chosen top-off the time since the one before it."""
    for place in np.flatnonzero(chosen).tolist():
        before = days[place - 1] if place else days[place] - 1.0
        yield max(before, days[place] - _LONGEST_TOP_OFF_DAYS), days[place]


def _changes(parameter: str, tables: Tables, net_volume_l: float) -> Iterator[Change]:
    changes = tables.water_changes
    fresh = changes[f"fresh_{parameter}"].to_numpy(dtype="float64")
    for day, row, value in zip(epoch_days(changes["time"]), rows_of(changes), fresh, strict=True):
        share = min(row.volume_l / net_volume_l, 1.0)
        if math.isnan(value):
            yield Change(float(day), share, FRESH_GUESS[parameter][0], UNTESTED_WATER)
        else:
            yield Change(float(day), share, float(value), NEW_WATER)


def _fresh_error(parameter: str, tables: Tables) -> float:
    """Give the error of new water: that of the keeper's own test."""
    row = PARAMETERS[parameter]
    return reading_error(row, tables.profile, FRESH_GUESS[parameter][0])
