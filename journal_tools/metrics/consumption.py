"""How much of each parameter the tank uses up a day, by the balance between tests."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import groupby
from operator import itemgetter

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from journal_tools.metrics.balance import Event, Transition, transition
from journal_tools.metrics.dosing import Strength, all_doses, strengths
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.volume import relative_volume_error
from journal_tools.moments import epoch_days
from journal_tools.parameters import PARAMETERS
from journal_tools.tables import Tables, rows_of

CONSUMED = ("alkalinity", "calcium", "magnesium", "nitrate", "phosphate")
SHORTEST_DAYS, LONGEST_DAYS, WINDOW_DAYS = 1.0, 45.0, 30.0
_Z90 = 1.6449
_LEAST_SEEN_DAYS = 0.25  # of uptake that must show in the last test
_INSTANT = 1e-6  # days: puts a test "after dose" behind the dose of the same minute


@dataclass(frozen=True)
class _Supply:
    """Doses and changes of one parameter as arrays, so that intervals are cut out quickly."""

    events: tuple[Event, ...]
    days: NDArray[np.float64]
    dose_error: NDArray[np.float64]
    unknown_days: NDArray[np.float64]


def _supply(
    parameter: str, tables: Tables, net_volume_l: float, known: dict[str, Strength]
) -> _Supply:
    """Gather what lifts or dilutes a parameter; moments of unknown effect are kept apart."""
    rows: list[tuple[float, Event, float]] = []
    unknown: list[float] = []
    doses = all_doses(tables)
    fields = ("product", "amount", "unit")
    for day, product, amount, unit in zip(
        epoch_days(doses["time"]), *(doses[f] for f in fields), strict=True
    ):
        power = known.get(product)
        if power is None or (power.lifts and power.unit != unit):
            unknown.append(day)
        elif parameter in power.lifts:
            rise = amount * power.lifts[parameter] / net_volume_l
            rows.append((day, Event(day, "dose", rise), rise * power.relative_error))
    changes = tables.water_changes
    fresh = changes[f"fresh_{parameter}"]
    for day, volume, value in zip(
        epoch_days(changes["time"]), changes["volume_l"], fresh, strict=True
    ):
        if math.isnan(value):
            unknown.append(day)
        else:
            share = min(volume / net_volume_l, 1.0)
            rows.append((day, Event(day, "change", share, value), 0.0))
    rows.sort(key=lambda row: row[0])
    return _Supply(
        tuple(row[1] for row in rows),
        np.array([row[0] for row in rows]),
        np.array([row[2] for row in rows]),
        np.sort(np.array(unknown)),
    )


@dataclass(frozen=True)
class _Test:
    day: float
    time: pd.Timestamp
    value: float
    error: float
    entry: str
    line: int
    text: str


def _ordered_days(rows: pd.DataFrame, tables: Tables) -> list[float]:
    """Give the moments of tests in days; "before" and "after" go by that day's doses or changes."""
    days = epoch_days(rows["time"])
    marked = (rows["when"] != "").to_numpy()
    if not marked.any():
        return [float(day) for day in days]
    times = {"dose": all_doses(tables)["time"], "change": tables.water_changes["time"]}
    return [
        _ordered(float(day), row.when, row.time, times)
        for day, row in zip(days, rows_of(rows), strict=True)
    ]


def _ordered(day: float, when: str, time: pd.Timestamp, times: dict[str, pd.Series]) -> float:
    side, _, kind = when.partition(" ")
    if not kind:
        return day
    same_day = times[kind][times[kind].dt.date == time.date()]
    of_day = [float(event) for event in epoch_days(same_day)]
    if side == "after":
        return max([day, *(event + _INSTANT for event in of_day)])
    return min([day, *(event - _INSTANT for event in of_day)])


def _tests(parameter: str, tables: Tables) -> list[_Test]:
    """Give the uncensored readings, those of one moment as their mean, in order of time."""
    rows = tables.readings_of(parameter)
    rows = rows[rows["censored"] == ""]
    unit, decimals = PARAMETERS[parameter].unit, PARAMETERS[parameter].decimals
    tests = []
    days = _ordered_days(rows, tables)
    moments = zip(days, rows_of(rows), strict=True)
    for day, same in groupby(sorted(moments, key=itemgetter(0)), key=itemgetter(0)):
        readings = [row for _, row in same]
        last, n = readings[-1], len(readings)
        value = sum(row.value for row in readings) / n
        tests.append(_Test(
            float(day), last.time, value, last.error / n**0.5, last.entry, last.line,
            f"{value:.{decimals}f} {unit}",
        ))  # fmt: skip
    return tests


def _between(first: _Test, last: _Test, supply: _Supply) -> tuple[Transition, slice] | None:
    """Give the transition between two tests, or None where something unknown lies between.

    Of a test and a dose at the same moment, the test came first, unless it says otherwise. After
    a change of nearly all water the last test tells nothing of what was taken up before.
    """
    ends = (first.day, last.day)
    unknown = np.searchsorted(supply.unknown_days, ends, "left")
    if unknown[0] != unknown[1]:
        return None
    part = slice(*(int(place) for place in np.searchsorted(supply.days, ends, "left")))
    change = transition(first.day, last.day, supply.events[part])
    return (change, part) if -change.b >= _LEAST_SEEN_DAYS else None


def _volume_error(
    first: _Test, last: _Test, inside: tuple[Event, ...], rate: float, relative: float
) -> float:
    """Give how far the rate moves when the volume is off by one standard deviation.

    More water makes every dose lift less and every change a smaller share.
    """
    more = [replace(event, amount=event.amount / (1 + relative)) for event in inside]
    return abs(transition(first.day, last.day, more).rate(first.value, last.value) - rate)


def _result(
    metric: str, parameter: str, first: _Test, last: _Test, supply: _Supply, net: Result
) -> Result | None:
    found = _between(first, last, supply)
    if found is None:
        return None
    change, part = found
    days = last.day - first.day
    inside = supply.events[part]
    dosed = sum(event.amount for event in inside if event.kind == "dose")
    changes = sum(event.kind == "change" for event in inside)
    rate = change.rate(first.value, last.value)
    by_tests = change.rate_error(first.error, last.error)
    by_volume = _volume_error(first, last, inside, rate, relative_volume_error(net))
    by_strength = float(supply.dose_error[part].sum()) / days
    spread = _Z90 * math.hypot(by_tests, by_volume, by_strength)
    unit, decimals = PARAMETERS[parameter].unit, PARAMETERS[parameter].decimals
    inputs = (
        Input("first test", first.text, first.entry, first.line),
        Input("last test", last.text, last.entry, last.line),
        Input("days between", f"{days:.1f}"),
        Input("lifted by doses", f"{dosed:.3g} {unit}"),
        Input("water changes", str(changes)),
        Input("net volume", f"{net.value:.0f} ± {net.value * relative_volume_error(net):.0f} L"),
        Input("error by tests, by volume, by strength (1 sd)",
              f"{by_tests:.2g}, {by_volume:.2g}, {by_strength:.2g} {unit}/day"),
    )  # fmt: skip
    return Result(metric, rate, f"{unit}/day", decimals + 1, parameter, rate - spread,
                  rate + spread, first.time, last.time, inputs)  # fmt: skip


def _intervals(tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    if net is None:
        return
    known = strengths(tables.profile)
    for parameter in CONSUMED:
        tests = _tests(parameter, tables)
        supply = _supply(parameter, tables, net.value, known)
        first = tests[0] if tests else None
        for last in tests[1:]:
            assert first is not None
            if last.day - first.day < SHORTEST_DAYS:
                continue
            if last.day - first.day <= LONGEST_DAYS:
                name = "consumption_between_tests"
                if result := _result(name, parameter, first, last, supply, net):
                    yield result
            first = last


CONSUMPTION_BETWEEN_TESTS = Metric(
    "consumption_between_tests", "Consumption between two tests", "",
    "Mass balance from one test to the next at least a day later: what was there, plus what doses "
    "lifted, with water changes mixed in, less what is there now, by the days between. Negative "
    "means that the tank makes it. Left out where something of unknown strength was dosed, new "
    "water was not measured, or more than 45 days passed. Of a test and a dose at the same moment "
    "the test counts as first, unless it says 'after dose'. One interval is noisy: two tests of "
    "± 0.2 two days apart leave ± 0.14 a day.",
    "Mass balance of a stirred tank; errors added as squares (JCGM 100:2008, 5.1.2).",
    "chemical", "90 % interval", _intervals,
)  # fmt: skip


def _recent(tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    if net is None:
        return
    known = strengths(tables.profile)
    for parameter in CONSUMED:
        tests = _tests(parameter, tables)
        tests = [t for t in tests if t.day >= tests[-1].day - WINDOW_DAYS]
        if len(tests) < 2 or tests[-1].day - tests[0].day < SHORTEST_DAYS:
            continue
        supply = _supply(parameter, tables, net.value, known)
        if result := _result("consumption", parameter, tests[0], tests[-1], supply, net):
            yield result


CONSUMPTION = Metric(
    "consumption", f"Consumption, last {WINDOW_DAYS:.0f} days of tests", "",
    f"The same balance from the first to the last test of the {WINDOW_DAYS:.0f} days that end with "
    "the newest test. Errors of net volume and strength stay, however many tests there are: they "
    "grow with the dose, not with the consumption.",
    "Mass balance of a stirred tank; errors added as squares (JCGM 100:2008, 5.1.2).",
    "chemical", "90 % interval", _recent,
)  # fmt: skip
