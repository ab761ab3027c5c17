"""What follows from the consumption: a dose that holds, days left in a bottle, what a change does.

Arithmetic on the keeper's own figures. Whether to change a dose, and how fast, is theirs to judge.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from journal_tools.metrics.consumption import tracks
from journal_tools.metrics.dosing import Strength, all_doses, strengths
from journal_tools.metrics.inflow import FRESH_GUESS
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.volume import relative_volume_error
from journal_tools.parameters import PARAMETERS
from journal_tools.profile import Supplement
from journal_tools.quantities import Band
from journal_tools.science.dose_plan import DosePlan, days_left, dose_plan
from journal_tools.science.ratio import calcium_ratio
from journal_tools.science.regression import Z90
from journal_tools.science.supply import VOLUME
from journal_tools.science.tracking import Track
from journal_tools.science.volume_response import VolumeResponse, calibrate_volume
from journal_tools.science.water_change import after_change
from journal_tools.tables import Tables, rows_of

LARGEST_STEP: Mapping[str, float] = {"alkalinity": 0.5, "calcium": 15.0, "magnesium": 20.0}
"""Most that a level may be moved in a day, in its canonical unit. Common practice, no source."""

_RETEST_DAYS = 3
_STOCK_ERROR = 0.05
_RISE_IN_ERRORS = 5.0
_MOST_HOURS = 24.0


def _level(tables: Tables, done: Metrics) -> Iterator[Result]:
    for parameter, (balance, track, _net) in tracks(tables, done).items():
        value, sd = float(track.level[-1]), float(track.level_sd[-1])
        if math.isnan(value):
            continue
        row, last = PARAMETERS[parameter], balance.rows[-1]
        shown = f"{last.value:.{row.decimals}f} {row.unit}"
        inputs = (
            Input("newest test", shown, last.entry, int(last.line)),
            Input("days since", f"{track.day[-1] - balance.tests.day[-1]:.1f}"),
            Input("uptake a day", f"{track.rate[-1]:.{row.decimals + 1}f} {row.unit}"),
        )
        yield Result("level_now", value, row.unit, row.decimals, parameter, value - Z90 * sd,
                     value + Z90 * sd, end=tables.now, inputs=inputs)  # fmt: skip


LEVEL_NOW = Metric(
    "level_now", "Level today, as reckoned on", "",
    "The newest tests carried on to today by the consumption, the doses and the changes since. A "
    "test is better: this tells whether one is worth making.",
    "Kalman filter as for 'consumption now'.", "chemical", "90 % interval", _level, "level",
)  # fmt: skip


def _ratio(tables: Tables, done: Metrics) -> Iterator[Result]:
    found = tracks(tables, done)
    if "alkalinity" not in found or "calcium" not in found:
        return
    alkalinity, calcium = (done.one("consumption", name) for name in ("alkalinity", "calcium"))
    if alkalinity is None or calcium is None or alkalinity.value <= 0 or calcium.value < 0:
        return
    errors = [_own_error(result) for result in (calcium, alkalinity)]
    ratio = calcium_ratio(calcium.value, alkalinity.value, *errors)
    inputs = (
        Input("calcium consumed", f"{calcium.value:.1f} mg/L/day"),
        Input("alkalinity consumed", f"{alkalinity.value:.2f} dKH/day"),
    )
    if ratio.agrees:
        note = "Calcification alone may explain it."
    elif ratio.ratio.value > 7:
        note = (
            "More calcium than calcification takes: a calcium test that reads falling values, a "
            "calcium mix stronger than told, or an alkalinity mix weaker than told would "
            "explain it."
        )
    else:
        note = (
            "Less calcium than calcification takes: nitrification, precipitation on pumps and "
            "heaters, a calcium mix weaker than told, or an alkalinity mix stronger than told "
            "would explain it."
        )
    yield Result("calcium_ratio", ratio.ratio.value, "mg/L per dKH", 1, "", ratio.ratio.low,
                 ratio.ratio.high, alkalinity.start, alkalinity.end, inputs, note)  # fmt: skip


def _own_error(result: Result) -> float:
    """Give the error (1 sd) without the net volume's, which moves both rates alike."""
    assert result.high is not None
    total = (result.high - result.value) / Z90
    told = f"error by {VOLUME}"
    parts = (i.value for i in result.inputs if i.label.startswith(told))
    volume = next((float(part.split()[0]) for part in parts), 0.0)
    return math.sqrt(max(total**2 - volume**2, 0.0))


CALCIUM_RATIO = Metric(
    "calcium_ratio", "Calcium used for each dKH", "mg/L per dKH",
    "Consumption of calcium divided by that of alkalinity, last 30 days of tests. Calcification "
    "takes 6 to 7.15 mg/L for each dKH, by the magnesium in the skeleton. The net volume moves "
    "both alike and is left out of the interval.",
    "Ca + 2 HCO3 = CaCO3 + CO2 + H2O with IUPAC 2021 weights; Wolf-Gladrow et al. 2007, Mar. Chem. "
    "106:287; interval by Fieller 1954.",
    "chemical", "90 % interval", _ratio,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Advice:
    """A dose worked out for one parameter.

    Attributes:
        product: Supplement that it is worked out for.
        unit: ml or g.
        plan: The arithmetic.
        present: Dose a day at present.
        target: Level that it aims at.
        inside: Whether the level is inside its band, so that nothing has to be corrected.
    """

    product: str
    unit: str
    plan: DosePlan
    present: float
    target: float
    inside: bool


def advice_of(parameter: str, tables: Tables, done: Metrics) -> Advice | None:
    """Give the dose that holds a parameter, and what brings it to the middle of its band.

    It is worked out for the supplement that lifts the parameter most at present, else for the
    first one of the profile that lifts it. None where the level or the consumption is not known.
    """
    found = tracks(tables, done).get(parameter)
    band = tables.band(parameter, tables.today)
    target = _middle(band)
    product = _product(parameter, tables, done)
    if found is None or product is None or target is None or parameter not in LARGEST_STEP:
        return None
    _balance, track, net = found
    level = float(track.level[-1])
    if math.isnan(level):
        return None
    name, power = product
    per_unit = power.lifts[parameter] / net.value
    dose = done.one("dose_per_day", name)
    present = dose.value if dose is not None else 0.0
    plan = dose_plan(
        float(track.rate[-1]), level, target, LARGEST_STEP[parameter], per_unit, present,
        _error_of_use(track, name),
    )  # fmt: skip
    inside = band is not None and band.holds(level) is True
    return Advice(name, power.unit, plan, present, target, inside)


def _middle(band: Band | None) -> float | None:
    if band is None or band.low is None or band.high is None:
        return None
    return (band.low + band.high) / 2


def _error_of_use(track: Track, product: str) -> float:
    """Give the error of the uptake (1 sd) in terms of this product: volume and potency cancel."""
    others = [
        float(part[-1]) ** 2
        for name, part in track.systematic.items()
        if name not in (VOLUME, product)
    ]
    return math.sqrt(float(track.sd[-1]) ** 2 + sum(others))


def _product(parameter: str, tables: Tables, done: Metrics) -> tuple[str, Strength] | None:
    known = {
        name: power
        for name, power in strengths(tables.profile).items()
        if power.lifts.get(parameter, 0.0) > 0
    }
    effects = {
        name: effect.value
        for name in known
        if (effect := done.one("dose_effect", f"{name}: {parameter}")) is not None
    }
    if effects:
        name = max(effects, key=lambda one: effects[one])
        return name, known[name]
    return next(iter(known.items()), None)


def _suggested(tables: Tables, done: Metrics) -> Iterator[Result]:
    for parameter in LARGEST_STEP:
        advice = advice_of(parameter, tables, done)
        if advice is None:
            continue
        row, plan, unit = PARAMETERS[parameter], advice.plan, advice.unit
        inputs = (
            Input("consumption now",
                  f"{plan.hold_rise_per_day:.{row.decimals + 1}f} {row.unit}/day"),
            Input("dosed at present", f"{advice.present:.1f} {unit}/day"),
            Input("level today, as reckoned on",
                  f"{advice.target - plan.gap:.{row.decimals}f} {row.unit}"),
            Input("middle of the band", f"{advice.target:.{row.decimals}f} {row.unit}"),
            Input("most that the level should move in a day",
                  f"{LARGEST_STEP[parameter]:g} {row.unit} (common practice, no source)"),
        )  # fmt: skip
        yield Result(
            "holding_dose", plan.hold.value, f"{unit}/day", 1, f"{advice.product}: {parameter}",
            plan.hold.low, plan.hold.high, end=tables.now, inputs=inputs, note=_in_words(advice),
        )  # fmt: skip


def _in_words(advice: Advice) -> str:
    plan, unit = advice.plan, advice.unit
    words = f"{advice.present:.0f} {unit} a day are dosed now, "
    if plan.hold.low <= advice.present <= plan.hold.high:
        words += "which holds the level as far as can be told."
    else:
        much = f"{abs(plan.change):.0f} {unit} {'less' if plan.change > 0 else 'more'}"
        words += f"{much} than holds the level."
    if advice.inside:
        words += " The level is inside its band, so there is nothing to correct."
    elif plan.days and math.isfinite(plan.days):
        way = "raise" if plan.gap > 0 else "lower"
        words += f" To {way} it to the middle of its band: {plan.dose:.0f} {unit} a day for "
        words += f"{plan.days:.0f} {'day' if plan.days == 1 else 'days'}, then the holding dose."
    elif plan.days:
        words += " It can only fall to the middle of its band by what the tank uses up."
    return f"{words} Test again after {_RETEST_DAYS} days."


HOLDING_DOSE = Metric(
    "holding_dose", "Dose that holds the level", "",
    "Consumption now divided by what one unit of the supplement lifts in this tank. The way to the "
    "middle of the band is cut into days by the most that the level should move in one. Net volume "
    "and strength cancel, for the consumption was found with the same supplement.",
    "Mass balance of a stirred tank. The daily limit is common practice, no source.",
    "chemical", "90 % interval of the consumption", _suggested,
)  # fmt: skip


def _left(tables: Tables, done: Metrics) -> Iterator[Result]:
    for supplement in tables.profile.supplements:
        daily = done.one("dose_per_day", supplement.name)
        stock = _stock(supplement, tables)
        if daily is None or stock is None or daily.value <= 0:
            continue
        amount, since, source = stock
        doses = all_doses(tables)
        used = doses[(doses["product"] == supplement.name) & (doses["time"] > since)
                     & (doses["time"] < tables.now)]  # fmt: skip
        left = max(0.0, amount - float(used["amount"].sum()))
        found = days_left(left, daily.value, _STOCK_ERROR * amount, 0.1 * daily.value)
        unit = daily.unit.partition("/")[0]
        inputs = (source, Input("dosed since", f"{float(used['amount'].sum()):.0f} {unit}"),
                  Input("dose a day", f"{daily.value:.1f} {daily.unit}"))  # fmt: skip
        high = found.high if math.isfinite(found.high) else None
        note = _empty_on(tables, found.low, found.high)
        yield Result("days_left", found.value, "days", 0, supplement.name, found.low, high,
                     end=tables.now, inputs=inputs, note=note)  # fmt: skip


def _stock(supplement: Supplement, tables: Tables) -> tuple[float, pd.Timestamp, Input] | None:
    """Give the last known stock, its moment and where it stands; a bottle is full at first use."""
    rows = tables.stock[tables.stock["product"] == supplement.name]
    if not rows.empty:
        last = next(rows_of(rows.tail(1)))
        where = Input("stock", f"{last.amount:g} {last.unit}", last.entry, int(last.line))
        return float(last.amount), last.time, where
    doses = all_doses(tables)
    doses = doses[doses["product"] == supplement.name]
    if supplement.bottle is None or doses.empty:
        return None
    full_ml = 1000 * supplement.bottle.value
    if float(doses["amount"].sum()) > full_ml:
        return None  # refilled without a word: nobody knows
    start = doses["time"].iloc[0] - pd.Timedelta(seconds=1)
    return full_ml, start, Input("bottle, full at the first dose", supplement.bottle.said)


def _empty_on(tables: Tables, low: float, high: float) -> str:
    first = (tables.now + pd.Timedelta(days=max(0.0, low))).date()
    if not math.isfinite(high) or high > 3650:
        return f"Empty on {first:%Y-%m-%d} at the earliest."
    last = (tables.now + pd.Timedelta(days=high)).date()
    return f"Empty between {first:%Y-%m-%d} and {last:%Y-%m-%d}."


DAYS_LEFT = Metric(
    "days_left", "Days left in the bottle", "days",
    "What was there at the last count (or a full bottle at the first dose), less what was dosed "
    "since, by the dose a day.",
    "Ratio with Fieller's interval; 5 % of the stock and 10 % of the dose: common practice, no "
    "source.",
    "none", "90 % interval", _left,
)  # fmt: skip


def _after_change(tables: Tables, done: Metrics) -> Iterator[Result]:
    net, changes = done.one("net_volume"), tables.water_changes
    if net is None or changes.empty:
        return
    litres = float(changes["volume_l"].tail(6).median())
    share = min(1.0, litres / net.value)
    for parameter in FRESH_GUESS:
        level = done.one("level_now", parameter)
        fresh = changes[f"fresh_{parameter}"].dropna()
        if level is None or fresh.empty:
            continue
        row, new = PARAMETERS[parameter], float(fresh.iloc[-1])
        value = after_change(level.value, share, new)
        ends = [after_change(end, share, new) for end in (level.low, level.high) if end is not None]
        inputs = (
            Input("level today, as reckoned on", f"{level.value:.{row.decimals}f} {row.unit}"),
            Input("new water, as last told", f"{new:.{row.decimals}f} {row.unit}"),
            Input("usual change", f"{litres:.0f} L of {net.value:.0f} L"),
        )
        yield Result("after_change", value, row.unit, row.decimals, parameter, min(ends), max(ends),
                     end=tables.now, inputs=inputs)  # fmt: skip


AFTER_CHANGE = Metric(
    "after_change", "Level after a usual water change today", "",
    "The level as reckoned on, mixed with new water by the share of the net volume that is "
    "changed.",
    "Batch dilution.", "none", "90 % interval of the level", _after_change, "level",
)  # fmt: skip


def _by_response(tables: Tables, done: Metrics) -> Iterator[Result]:
    """Look for the largest single dose that has a test on both sides within a day."""
    net = done.one("net_volume")
    if net is None:
        return
    known = strengths(tables.profile)
    best: _Found | None = None
    for parameter, (balance, track, _net) in tracks(tables, done).items():
        for row in rows_of(tables.doses[~tables.doses["scheduled"]]):
            power = known.get(row.product)
            if power is None or power.unit != row.unit or parameter not in power.lifts:
                continue
            found = _response(balance.rows, row, power.lifts[parameter] * row.amount, (
                float(np.median(track.rate)), float(np.median(track.sd)), power.relative_error,
            ))  # fmt: skip
            if found is not None and (best is None or found[0].sd_l < best[0].sd_l):
                best = found
    if best is None:
        return
    response, dose, before, after = best
    inputs = (
        Input("dose", f"{dose.amount:g} {dose.unit} {dose.product}", dose.entry, int(dose.line)),
        Input("test before", f"{before.value:g} {before.unit}", before.entry, int(before.line)),
        Input("test after", f"{after.value:g} {after.unit}", after.entry, int(after.line)),
        Input(
            "net volume so far", f"{net.value:.0f} ± {net.value * relative_volume_error(net):.0f} L"
        ),
    )  # fmt: skip
    yield Result("volume_by_dose", response.volume_l, "L", 0, "", response.low_l, response.high_l,
                 end=after.time, inputs=inputs)  # fmt: skip


_Found = tuple[VolumeResponse, Any, Any, Any]
"""A response, its dose, and the tests before and after it."""


def _response(
    rows: Sequence[Any], dose: Any, lift: float, uptake: tuple[float, float, float]
) -> _Found | None:
    rate, rate_sd, potency_sd = uptake
    near = [r for r in rows if r.censored == ""]
    before = [r for r in near if 0 < (dose.time - r.time).total_seconds() / 3600 <= _MOST_HOURS]
    after = [r for r in near if 1 <= (r.time - dose.time).total_seconds() / 3600 <= _MOST_HOURS]
    if not before or not after:
        return None
    first, last = before[-1], after[0]
    error = math.hypot(first.error, last.error) / 2**0.5
    days = (last.time - first.time).total_seconds() / 86_400
    found = calibrate_volume(lift, first.value, last.value, max(error, 1e-6), days, rate, rate_sd,
                             potency_sd)  # fmt: skip
    clear = found.rise > _RISE_IN_ERRORS * found.rise_sd and math.isfinite(found.high_l)
    return (found, dose, first, last) if clear else None


VOLUME_BY_DOSE = Metric(
    "volume_by_dose", "Net volume by what a dose did", "L",
    "What the dose lifts in one litre, divided by the rise between the tests before and after it "
    "(within a day), the consumption in between added back. Only doses whose rise is five times "
    "its error; the surest one is shown.",
    "Dilution; errors by JCGM 100:2008, 5.1.2; interval by Fieller 1954.",
    "chemical", "90 % interval", _by_response,
)  # fmt: skip
