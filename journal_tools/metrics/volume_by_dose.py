"""The net volume asked of the tank itself: what one known dose did to the tests."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from journal_tools.metrics.consumption import balances
from journal_tools.metrics.dosing import Strength, strengths
from journal_tools.metrics.inflow import Balance
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.volume import relative_volume_error
from journal_tools.moments import epoch_days
from journal_tools.science.additives.volume_response import VolumeResponse, calibrate_volume
from journal_tools.science.estimation.regression import Z90
from journal_tools.science.estimation.supply import Supply, Timeline, Unknown
from journal_tools.science.estimation.uptake import Uptake, uptake
from journal_tools.tables import Tables, rows_of

_RISE_IN_ERRORS = 5.0
_MOST_DAYS = 1.0
_MIXED_DAYS = 1 / 24
_BESIDE_DAYS = 30.0


@dataclass(frozen=True)
class _Trial:
    """A single dose with a test on both sides.

    Attributes:
        balance: Of the parameter that it lifts.
        dose: Row of the dose.
        day: Its moment in days.
        places: The tests before and after it.
        lift: What it lifts in one litre.
        potency_sd: Relative error of the strength.
        clear: Expected rise by its error; what the tests read has no say in it.
    """

    balance: Balance
    dose: Any
    day: float
    places: tuple[int, int]
    lift: float
    potency_sd: float
    clear: float


def _by_response(tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    if net is None:
        return
    trials = [trial for balance, _net in balances(tables, done)
              for trial in _trials(balance, tables, net.value)]  # fmt: skip
    # Chosen by the rise that is expected: by the one that was read, lucky scatter would win.
    for trial in sorted(trials, key=lambda one: -one.clear):
        found = _response(trial)
        if found is not None:
            yield _result(trial, found, net)
            return


def _trials(balance: Balance, tables: Tables, net_volume_l: float) -> Iterator[_Trial]:
    tests, known = balance.tests, strengths(tables.profile)
    singles = tables.doses[~tables.doses["scheduled"]]
    for dose, day in zip(rows_of(singles), epoch_days(singles["time"]), strict=True):
        power = known.get(dose.product)
        if power is None or power.unit != dose.unit or balance.parameter not in power.lifts:
            continue
        places = _around(tests.day, float(day))
        if places is None or tests.censored[list(places)].any():
            continue
        trial = _trial(balance, dose, float(day), places, power, net_volume_l)
        if tests.kit[places[0]] == tests.kit[places[1]] and trial.clear > _RISE_IN_ERRORS:
            yield trial


def _around(days: np.ndarray, day: float) -> tuple[int, int] | None:
    """Give the tests before and after a dose, within a day, the later one once it is mixed in."""
    before = int(np.searchsorted(days, day, "right")) - 1
    after = int(np.searchsorted(days, day + _MIXED_DAYS))
    if before < 0 or after == len(days):
        return None
    near = day - days[before] <= _MOST_DAYS and days[after] - day <= _MOST_DAYS
    return (before, after) if near else None


def _trial(
    balance: Balance,
    dose: Any,
    day: float,
    places: tuple[int, int],
    power: Strength,
    net_volume_l: float,
) -> _Trial:
    lift = power.lifts[balance.parameter] * dose.amount
    error = math.sqrt(float(balance.tests.variance()[list(places)].sum()))
    return _Trial(balance, dose, day, places, lift, power.relative_error,
                  lift / net_volume_l / error)  # fmt: skip


def _response(trial: _Trial) -> VolumeResponse | None:
    """Give what a dose says of the volume; None where more than doses came in between."""
    tests, places = trial.balance.tests, list(trial.places)
    days, values = tests.day[places], tests.value[places]
    between = Timeline(_without(trial)).transitions(days)
    if not between.known[0] or between.a[0] < 1:
        return None
    rate = _rate_beside(trial)
    if rate.reason is not None:
        return None
    span = float(days[1] - days[0])
    error = math.sqrt(float(tests.variance()[places].mean()))
    found = calibrate_volume(
        trial.lift, float(values[0]), float(values[1]), error, span,
        rate.rate - float(between.d[0]) / span, rate.total_sd, trial.potency_sd,
    )  # fmt: skip
    return found if math.isfinite(found.volume_l) and math.isfinite(found.high_l) else None


def _rate_beside(trial: _Trial) -> Uptake:
    """Give the uptake in the weeks around a dose by all tests but the step over the dose.

    Else a wrong volume would first bend the uptake, and that would hide the wrong volume.
    """
    tests = trial.balance.tests
    there = np.abs(tests.day - trial.day) <= _BESIDE_DAYS
    whole = _without(trial)
    broken = (*whole.unknown, Unknown(trial.day, trial.day))
    return uptake(tests.where(there), replace(whole, unknown=broken))


def _without(trial: _Trial) -> Supply:
    """Give all that went in around a dose but the dose itself."""
    nearby = trial.balance.supplied.since(trial.day - _BESIDE_DAYS).supply
    doses = list(nearby.doses)
    own = next(d for d in doses if d.day == trial.day and d.product == trial.dose.product)
    doses.remove(own)
    return replace(nearby, doses=tuple(doses))


def _result(trial: _Trial, found: VolumeResponse, net: Result) -> Result:
    dose, rows = trial.dose, trial.balance.rows
    before, after = (rows[place] for place in trial.places)
    error = net.value * relative_volume_error(net)
    apart = abs(found.volume_l - net.value) / math.hypot(found.sd_l, error)
    note = "That fits the volume of the profile." if apart <= Z90 else (
        "That does not fit the volume of the profile: look at its measures, at the strength of the "
        "supplement, and repeat it once before believing it."
    )  # fmt: skip
    inputs = (
        Input("dose", f"{dose.amount:g} {dose.unit} {dose.product}", dose.entry, int(dose.line)),
        Input("test before", f"{before.value:g} {before.unit}", before.entry, int(before.line)),
        Input("test after", f"{after.value:g} {after.unit}", after.entry, int(after.line)),
        Input("uptake and other doses in between, added back",
              f"{found.rise - (after.value - before.value):.2g} {after.unit}"),
        Input("net volume of the profile", f"{net.value:.0f} ± {error:.0f} L"),
    )  # fmt: skip
    return Result("volume_by_dose", found.volume_l, "L", 0, "", found.low_l, found.high_l,
                  end=after.time, inputs=inputs, note=note)  # fmt: skip


VOLUME_BY_DOSE = Metric(
    "volume_by_dose", "Net volume by what a dose did", "L",
    "What the dose lifts in one litre, divided by the rise between the tests before and after it "
    "(each within a day, the later one an hour after it at least), consumption (by the other tests "
    "of the month around it) and other doses in between reckoned out. Only doses whose expected "
    "rise is five times its error; the one with the clearest is shown.",
    "Dilution; errors by JCGM 100:2008, 5.1.2; interval by Fieller 1954.",
    "chemical", "90 % interval", _by_response,
)  # fmt: skip
