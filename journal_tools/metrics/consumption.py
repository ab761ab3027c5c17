"""How much of each parameter the tank uses up a day: over a window, now, and test to test."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from journal_tools.metrics.inflow import FRESH_GUESS, Balance, balance_of
from journal_tools.metrics.not_told import why_not
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.volume import relative_volume_error
from journal_tools.moments import epoch_days
from journal_tools.parameters import PARAMETERS
from journal_tools.science.estimation.measured import IntArray, one_a_moment
from journal_tools.science.estimation.regression import Z90
from journal_tools.science.estimation.supply import Timeline, Transitions
from journal_tools.science.estimation.tracking import Track, track_uptake
from journal_tools.science.estimation.uptake import LONGEST_GAP_DAYS, Uptake, uptake
from journal_tools.science.validity import FloatArray
from journal_tools.tables import Tables

CONSUMED = tuple(FRESH_GUESS)
SHORTEST_DAYS, WINDOW_DAYS = 1.0, 30.0
_LEAST_SEEN_DAYS = 0.25  # of uptake that must show in the last test
_MOST_TESTS_SHOWN = 40


def balances(tables: Tables, done: Metrics) -> list[tuple[Balance, Result]]:
    """Give the balance of every parameter that was tested; drawn once for all that ask."""
    if "balances" not in done.worked:
        net = done.one("net_volume")
        tested = () if net is None else (
            name for name in CONSUMED if not tables.readings_of(name).empty
        )  # fmt: skip
        done.worked["balances"] = [(balance_of(name, tables, net), net) for name in tested if net]
    found: list[tuple[Balance, Result]] = done.worked["balances"]
    return found


def _shown(value: float, parameter: str, more: int = 0) -> str:
    row = PARAMETERS[parameter]
    return f"{value:.{row.decimals + more}f} {row.unit}"


def _parts(sd: float, systematic: Mapping[str, float], parameter: str) -> tuple[Input, ...]:
    """Give the error by scatter and by each source that more tests do not make smaller."""
    unit = f"{PARAMETERS[parameter].unit}/day"
    told = {"the scatter of the tests": sd, **systematic}
    return tuple(
        Input(f"error by {name} (1 sd)", f"{part:.2g} {unit}")
        for name, part in told.items()
        if part
    )


def _volume(net: Result) -> Input:
    return Input("net volume", f"{net.value:.0f} ± {net.value * relative_volume_error(net):.0f} L")


@dataclass(frozen=True, slots=True)
class Window:
    """The constant uptake over the newest tests, and the balance of these tests."""

    balance: Balance
    found: Uptake


def windows(tables: Tables, done: Metrics) -> dict[str, Window]:
    """Give the constant uptake of every parameter; worked out once for all that ask."""
    if "uptakes" not in done.worked:
        cut = [whole.last(WINDOW_DAYS) for whole, _net in balances(tables, done)]
        done.worked["uptakes"] = {
            balance.parameter: Window(balance, uptake(balance.tests, balance.supply))
            for balance in cut
        }
    found: dict[str, Window] = done.worked["uptakes"]
    return found


def _window(tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    for parameter, window in windows(tables, done).items():
        if window.found.reason is not None:
            reason = why_not(window.found.reason, window.balance)
            done.beyond[f"consumption: {parameter}"] = reason
        elif net is not None:
            yield _rate("consumption", window.balance, window.found, net)


def _rate(metric: str, balance: Balance, found: Uptake, net: Result) -> Result:
    parameter, rows = balance.parameter, balance.rows
    aside = int(found.set_aside.sum())
    inputs = (
        Input("tests used", f"{found.used} of {len(found.tests)}"
              + (f", {aside} set aside as far off the line" if aside else "")),
        *(Input(f"{row.time:%Y-%m-%d}", _shown(row.value, parameter), row.entry, int(row.line))
          for row in rows[-_MOST_TESTS_SHOWN:]),
        _volume(net),
        *_parts(found.sd, found.systematic, parameter),
    )  # fmt: skip
    note = "The tests scatter more than their stated errors: those were enlarged."
    return Result(
        metric, found.rate, f"{PARAMETERS[parameter].unit}/day", PARAMETERS[parameter].decimals + 1,
        parameter, found.low, found.high, rows[0].time, rows[-1].time, inputs,
        note if found.strained else "",
    )  # fmt: skip


_BALANCE = (
    "Mass balance: what was there, plus what doses, plans, limewater and reactors brought, with "
    "water changes mixed in, less what is there. Negative means that the tank makes it. Where "
    "something of unknown strength went in, a new level begins; new water that was not tested "
    "counts with a wide error. Tests are not brought to one salinity, for most salinity tests are "
    "too coarse for that; where it certainly moved by more than 1 psu, nothing is told across it. "
    "Of a test and a dose at the same moment the test counts as first, unless it says 'after dose'."
)
CONSUMPTION = Metric(
    "consumption", f"Consumption, last {WINDOW_DAYS:.0f} days of tests", "",
    f"{_BALANCE} One constant rate for the {WINDOW_DAYS:.0f} days that end with the newest test, "
    "by weighted least squares; tests far off the line are set aside, tests that only gave a limit "
    "count as a limit. Errors of net volume and strength stay however many tests there are: they "
    "grow with the dose, not with the consumption.",
    "Weighted least squares (Bevington & Robinson 2003); limits as in Tobin 1958; errors by JCGM "
    "100:2008. Proof on simulated tanks: python -m benchmarks.uptake.",
    "chemical", "90 % interval, scatter and shared errors together", _window,
)  # fmt: skip


def tracks(tables: Tables, done: Metrics) -> dict[str, tuple[Balance, Track, Result]]:
    """Give the course of the uptake of every parameter; worked out once for all that ask."""
    if "tracks" not in done.worked:
        done.worked["tracks"] = {
            balance.parameter: (balance, track, net)
            for balance, track, net in _tracks(tables, done)
        }
    found: dict[str, tuple[Balance, Track, Result]] = done.worked["tracks"]
    return found


def _tracks(tables: Tables, done: Metrics) -> Iterator[tuple[Balance, Track, Result]]:
    now = float(epoch_days(pd.Series([tables.now]))[0])
    for balance, net in balances(tables, done):
        newest = float(balance.tests.day[-1])
        if now - newest > LONGEST_GAP_DAYS:
            reason = f"the last test is {now - newest:.0f} days old; a new one starts it again"
            done.beyond[f"consumption_now: {balance.parameter}"] = reason
            continue
        track = track_uptake(balance.tests, balance.supply, max(now, newest))
        if track.reason is not None:
            done.beyond[f"consumption_now: {balance.parameter}"] = why_not(track.reason, balance)
            continue
        yield balance, track, net


def _now(tables: Tables, done: Metrics) -> Iterator[Result]:
    for parameter, (balance, track, net) in tracks(tables, done).items():
        row, last = PARAMETERS[parameter], balance.rows[-1]
        parts = {name: float(part[-1]) for name, part in track.systematic.items()}
        inputs = (
            Input("tests used", f"{track.used} of {len(track.tests)}"),
            Input("newest test", _shown(last.value, parameter), last.entry, int(last.line)),
            Input("wandering of the rate in a day (1 sd)", f"{track.wander:.2g} {row.unit}/day"),
            _volume(net),
            *_parts(float(track.sd[-1]), parts, parameter),
        )
        yield Result(
            "consumption_now", float(track.rate[-1]), f"{row.unit}/day", row.decimals + 1,
            parameter, float(track.low[-1]), float(track.high[-1]), end=tables.now, inputs=inputs,
        )  # fmt: skip


CONSUMPTION_NOW = Metric(
    "consumption_now", "Consumption now", "",
    f"{_BALANCE} The rate may wander from day to day; how fast is found from all tests by maximum "
    "likelihood (Kalman filter and smoother); the interval grows from the newest test to today.",
    "Kalman 1960; Rauch, Tung & Striebel 1965; Durbin & Koopman 2012. The interval is on the wide "
    "side (98 of 100 instead of 90) where the rate is steady. Proof on simulated tanks: python -m "
    "benchmarks.uptake.",
    "chemical", "90 % interval, scatter and shared errors together", _now,
)  # fmt: skip


def _course(tables: Tables, done: Metrics) -> Iterator[Result]:
    for parameter, (balance, track, _net) in tracks(tables, done).items():
        row = PARAMETERS[parameter]
        times = _moments(track.day, tables)
        # Now is the end of today; a second later is tomorrow.
        times[-1] = min(times[-1], tables.now - pd.Timedelta(seconds=1))
        entries = _entry_at(balance, track.day)
        for place, (time, entry) in enumerate(zip(times, entries, strict=True)):
            yield Result(
                "consumption_course", float(track.rate[place]), f"{row.unit}/day", row.decimals + 1,
                parameter, float(track.low[place]), float(track.high[place]), time, time,
                (Input("test of that moment", "", *entry),) if entry else (),
            )  # fmt: skip


def _moments(days: FloatArray, tables: Tables) -> list[pd.Timestamp]:
    """Give days as moments of the keeper's zone, to the second: floating days are no finer."""
    utc = pd.to_datetime(np.rint(days * 86_400), unit="s", utc=True)
    found: list[pd.Timestamp] = utc.tz_convert(tables.profile.time_zone).to_list()
    return found


def _entry_at(balance: Balance, days: FloatArray) -> list[tuple[str, int] | None]:
    """Give entry and line of the test at each moment; None for the last one, which is now."""
    known = balance.tests.day
    places = np.clip(np.searchsorted(known, days[:-1], side="right") - 1, 0, len(known) - 1)
    rows = (balance.rows[place] for place in places)
    return [*((row.entry, int(row.line)) for row in rows), None]


CONSUMPTION_COURSE = Metric(
    "consumption_course", "Consumption over time", "",
    f"{_BALANCE} As 'consumption now', at the moment of each test, by the tests before and after.",
    "As for 'consumption now'.", "chemical", "90 % interval, scatter and shared errors together",
    _course,
)  # fmt: skip


def _between_tests(tables: Tables, done: Metrics) -> Iterator[Result]:
    for balance, net in balances(tables, done):
        timeline = Timeline(balance.supply)
        tests = one_a_moment(balance.tests, timeline.event_days())
        tests = tests.where(tests.censored == 0)
        chosen = _a_day_apart(tests.day)
        if len(chosen) < 2:
            continue
        tests = tests.where(chosen)
        between = timeline.transitions(tests.day)
        rates = _rates(between, tests.value)
        shared = np.zeros(len(rates))
        for name, sd in timeline.sources_of_error():
            moved = _rates(timeline.transitions(tests.day, name, sd), tests.value)
            shared += (moved - rates) ** 2
        variance = np.where(np.isnan(tests.variance()), 0.0, tests.variance())
        scatter = (between.a**2 * variance[:-1] + variance[1:]) / between.b**2
        half = Z90 * np.sqrt(scatter + shared)
        yield from _intervals(tables, balance, tests.day, between, (rates, half), net)


def _a_day_apart(days: FloatArray) -> IntArray:
    """Give the places of moments each of which is at least a day after the one before it."""
    chosen: list[int] = []
    for place, day in enumerate(days):
        if not chosen or day - days[chosen[-1]] >= SHORTEST_DAYS:
            chosen.append(place)
    return np.array(chosen, dtype=np.int64)


def _rates(between: Transitions, values: FloatArray) -> FloatArray:
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray((between.a * values[:-1] + between.d - values[1:]) / -between.b)


def _intervals(
    tables: Tables,
    balance: Balance,
    days: FloatArray,
    between: Transitions,
    rates: tuple[FloatArray, FloatArray],
    net: Result,
) -> Iterator[Result]:
    row = PARAMETERS[balance.parameter]
    entries = _entry_at(balance, np.append(days, days[-1]))
    times = _moments(days, tables)
    seen = (-between.b >= _LEAST_SEEN_DAYS) & (between.days <= LONGEST_GAP_DAYS) & between.known
    by_line = {(test.entry, int(test.line)): test for test in balance.rows}
    for place in np.flatnonzero(seen & np.isfinite(rates[0])).tolist():
        ends = [by_line[entry] for entry in (entries[place], entries[place + 1]) if entry]
        inputs = (
            *(Input(label, _shown(test.value, row.name), test.entry, int(test.line))
              for label, test in zip(("first test", "last test"), ends, strict=True)),
            Input("days between", f"{between.days[place]:.1f}"),
            Input("brought by doses and changes", f"{between.d[place]:.3g} {row.unit}"),
            _volume(net),
        )  # fmt: skip
        value, half = float(rates[0][place]), float(rates[1][place])
        yield Result(
            "consumption_between_tests", value, f"{row.unit}/day", row.decimals + 1, row.name,
            value - half, value + half, times[place], times[place + 1], inputs,
        )  # fmt: skip


CONSUMPTION_BETWEEN_TESTS = Metric(
    "consumption_between_tests", "Consumption between two tests", "",
    f"{_BALANCE} From one test to the next at least a day later. Left out where something of "
    "unknown strength was dosed or more than 45 days passed. One interval is noisy: two tests of "
    "± 0.2 two days apart leave ± 0.14 a day.",
    "Mass balance of a stirred tank; errors added as squares (JCGM 100:2008, 5.1.2).",
    "chemical", "90 % interval", _between_tests,
)  # fmt: skip
