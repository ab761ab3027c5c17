"""What follows from the consumption: a dose that holds the level, and what a water change does.

Arithmetic on the keeper's own figures. Whether to change a dose, and how fast, is theirs to judge.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from journal_tools.metrics.consumption import tracks
from journal_tools.metrics.dosing import Strength, dose_now, strengths
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.supplied import FRESH_GUESS
from journal_tools.parameters import PARAMETERS
from journal_tools.quantities import Band
from journal_tools.rows import reading_error
from journal_tools.science.additives.dose_plan import DosePlan, dose_plan
from journal_tools.science.estimation.regression import Z90
from journal_tools.science.estimation.supply import VOLUME
from journal_tools.science.estimation.tracking import Track
from journal_tools.science.water.water_change import after_change
from journal_tools.tables import Tables, rows_of
from journal_tools.words import counted, day_text, number_text

LARGEST_STEP: Mapping[str, float] = {"alkalinity": 0.5, "calcium": 15.0, "magnesium": 20.0}
"""Most that a level may be moved in a day, in its canonical unit. Common practice, no source."""

_RETEST_DAYS, _LATEST_DAYS = 3, 14
_WHOLE_FROM = 10.0
_CHANGES_LOOKED_AT, _TENTH = 6, 0.1


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


@dataclass(frozen=True, slots=True)
class Advice:
    """A dose worked out for one parameter.

    Attributes:
        parameter: What it is about.
        product: Supplement that it is worked out for.
        unit: ml or g.
        per_unit: What one of that unit lifts in this tank.
        plan: The arithmetic; its ``hold`` is what is missing beside all other supplements.
        present: Dose a day at present.
        by_others: What other supplements lift a day at present.
        target: Level that it aims at.
        outside: Whether the level is outside its band: True, False, or None if not certain.
        also: What else the product lifts a day at the holding dose, by parameter.
        again: Day on which to test again.
    """

    parameter: str
    product: str
    unit: str
    per_unit: float
    plan: DosePlan
    present: float
    by_others: float
    target: float
    outside: bool | None
    also: Mapping[str, float]
    again: dt.date

    @property
    def holds(self) -> bool:
        """Whether the present dose may well be the one that holds the level."""
        return self.plan.hold.low <= self.present <= self.plan.hold.high


def advice_of(parameter: str, tables: Tables, done: Metrics) -> Advice | None:
    """Give the dose that holds a parameter, and what brings it to the middle of its band.

    It is worked out for the supplement that lifts the parameter most at present, else for the
    first one of the profile that lifts it; what others bring is taken off first. None where the
    level or the consumption is not known.
    """
    found = tracks(tables, done).get(parameter)
    if found is None or parameter not in LARGEST_STEP:
        return None
    _balance, track, net = found
    level = float(track.level[-1])
    chosen = None if math.isnan(level) else _product(parameter, tables, level, net.value)
    if chosen is None:
        return None
    name, power, by_all = chosen
    per_unit = power.rise(parameter, 1.0, level, net.value)
    present = dose_now(name, tables, power.unit)
    by_others = by_all - present * per_unit
    band = tables.band(parameter, tables.today)
    outside = _outside(band, level, float(track.level_sd[-1]))
    target = level if outside is not True else _middle(band, level)
    plan = dose_plan(
        float(track.rate[-1]) - by_others, level, target, LARGEST_STEP[parameter], per_unit,
        present, _error_of_use(track, name),
    )  # fmt: skip
    also = {other: power.rise(other, plan.hold.value, 0.0, net.value)
            for other in power.lifts if other != parameter}  # fmt: skip
    again = _again(parameter, plan, per_unit, tables)
    return Advice(parameter, name, power.unit, per_unit, plan, present, by_others, target, outside,
                  also, again)  # fmt: skip


def _outside(band: Band | None, level: float, sd: float) -> bool | None:
    """Tell whether a level is outside its band, None where its error leaves that open."""
    if band is None or band.holds(level) is True:
        return False
    certain = [band.holds(level + way * Z90 * sd) is False for way in (-1, 1)]
    return True if all(certain) else None


def _middle(band: Band | None, level: float) -> float:
    """Give the middle of a band, the end that is met first where it is open, else the level."""
    ends = [] if band is None else [end for end in (band.low, band.high) if end is not None]
    return sum(ends) / len(ends) if ends else level


def _error_of_use(track: Track, product: str) -> float:
    """Give the error of the uptake (1 sd) in terms of this product: volume and potency cancel.

    The potency of other supplements cancels as well where their dose was the same all along; as
    it may not have been, it stays in.
    """
    others = [
        float(part[-1]) ** 2
        for name, part in track.systematic.items()
        if name not in (VOLUME, product)
    ]
    return math.sqrt(float(track.sd[-1]) ** 2 + sum(others))


def _product(
    parameter: str, tables: Tables, level: float, net_volume_l: float
) -> tuple[str, Strength, float] | None:
    """Give the supplement that lifts a parameter most now, and what all of them lift a day."""
    known = {
        name: power
        for name, power in strengths(tables.profile).items()
        if power.rise(parameter, 1.0, level, net_volume_l) > 0
    }
    rises = {
        name: power.rise(parameter, dose_now(name, tables, power.unit), level, net_volume_l)
        for name, power in known.items()
    }
    if not known:
        return None
    name = max(rises, key=lambda one: rises[one])
    return name, known[name], sum(rises.values())


def _again(parameter: str, plan: DosePlan, per_unit: float, tables: Tables) -> dt.date:
    """Give the day on which a test can tell whether the change of dose did what it should.

    That is when the level has moved by three errors of a test, within three days to two weeks;
    while a correction runs, after its third day at most.
    """
    if 0 < plan.days < math.inf:
        return tables.today + dt.timedelta(days=min(_RETEST_DAYS, math.ceil(plan.days)))
    error = reading_error(PARAMETERS[parameter], tables.profile, 0.0)
    moved = abs(plan.change) * per_unit
    days = 3 * error / moved if moved > 0 else math.inf
    return tables.today + dt.timedelta(days=round(min(max(days, _RETEST_DAYS), _LATEST_DAYS)))


def _suggested(tables: Tables, done: Metrics) -> Iterator[Result]:
    for parameter in LARGEST_STEP:
        advice = advice_of(parameter, tables, done)
        if advice is None:
            continue
        row, plan, unit = PARAMETERS[parameter], advice.plan, advice.unit
        balance = tracks(tables, done)[parameter][0]
        newest = balance.rows[-1]
        more = row.decimals + 1
        inputs = (
            Input("consumption now",
                  f"{plan.hold_rise_per_day + advice.by_others:.{more}f} {row.unit}/day",
                  newest.entry, int(newest.line)),
            Input("other supplements bring", f"{advice.by_others:.{more}f} {row.unit}/day"),
            Input(f"one {unit} of {advice.product} lifts",
                  f"{advice.per_unit:.3g} {row.unit}"),
            Input("dosed at present", f"{advice.present:.1f} {unit}/day"),
            Input("level today, as reckoned on",
                  f"{advice.target - plan.gap:.{row.decimals}f} {row.unit}"),
            Input("level aimed at", f"{advice.target:.{row.decimals}f} {row.unit}"),
            Input("most that the level should move in a day",
                  f"{LARGEST_STEP[parameter]:g} {row.unit} (common practice, no source)"),
            Input("test again on", f"{advice.again:%Y-%m-%d}"),
        )  # fmt: skip
        yield Result(
            "holding_dose", plan.hold.value, f"{unit}/day", _decimals(plan.hold.value),
            f"{advice.product}: {parameter}", plan.hold.low, plan.hold.high, end=tables.now,
            inputs=inputs, note=_in_words(advice),
        )  # fmt: skip


def _decimals(amount: float) -> int:
    return 0 if amount >= _WHOLE_FROM else 1


def _amount(value: float, unit: str = "") -> str:
    return f"{number_text(value, _decimals(abs(value)))} {unit}".strip()


def _in_words(advice: Advice) -> str:
    return " ".join((_on_holding(advice), *_on_the_level(advice), *_on_others(advice),
                     _on_testing(advice)))  # fmt: skip


def _on_holding(advice: Advice) -> str:
    plan, unit = advice.plan, advice.unit
    now = f"{_amount(advice.present, unit)} a day go in now"
    if not advice.present:
        now = f"No {advice.product} goes in now"
    low, high = _amount(plan.hold.low), _amount(plan.hold.high)
    between = f"{low} to {high} {unit}" if low != high else f"± less than 1 {unit}"
    if advice.holds:
        return f"{now}, which holds the level as far as the tests can tell ({between})."
    way = "more" if plan.change > 0 else "less"
    return (
        f"{now}; {_amount(plan.hold.value, unit)} a day ({between}) would hold the level, "
        f"{_amount(abs(plan.change), unit)} {way}."
    )


def _on_the_level(advice: Advice) -> Iterator[str]:
    plan, unit = advice.plan, advice.unit
    if advice.outside is False:
        yield "The level is inside its band, so there is nothing to correct."
    elif advice.outside is None:
        yield "The level may be just outside its band: test before correcting anything."
    elif plan.days and math.isfinite(plan.days):
        way = "raise" if plan.gap > 0 else "lower"
        yield (
            f"To {way} it to the middle of its band: {_amount(plan.dose, unit)} a day for "
            f"{counted(int(plan.days), 'day')}, then the holding dose."
        )
    elif plan.days:
        yield "Nothing in the tank uses it up, so only water changes lower it."


def _on_others(advice: Advice) -> Iterator[str]:
    if advice.also:
        parts = [f"{PARAMETERS[name].in_text} by "
                 f"{number_text(rise, PARAMETERS[name].decimals + 1)} {PARAMETERS[name].unit} a day"
                 for name, rise in advice.also.items()]  # fmt: skip
        yield f"That dose also lifts {' and '.join(parts)}."


def _on_testing(advice: Advice) -> str:
    label = PARAMETERS[advice.parameter].in_text
    return f"Measure {label} again on {day_text(advice.again)}."


HOLDING_DOSE = Metric(
    "holding_dose", "Dose that holds the level", "",
    "Consumption now, less what other supplements bring, divided by what one unit of this one "
    "lifts in this tank. Only a level that is certainly outside its band is corrected; the way to "
    "its middle is cut into days by the most that the level should move in one. Net volume and "
    "strength cancel, for the consumption was found with the same supplement. Water changes to "
    "come are left out.",
    "Mass balance of a stirred tank. The daily limit is common practice, no source.",
    "chemical", "90 % interval of the consumption", _suggested,
)  # fmt: skip


def _after_change(tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    if net is None:
        return
    litres, words = _usual_change(tables, net.value)
    share = min(1.0, litres / net.value)
    for parameter in FRESH_GUESS:
        level, fresh = done.one("level_now", parameter), _fresh(parameter, tables)
        if level is None or fresh is None:
            continue
        row, (new, source) = PARAMETERS[parameter], fresh
        value = after_change(level.value, share, new)
        ends = [after_change(end, share, new) for end in (level.low, level.high) if end is not None]
        inputs = (
            Input("level today, as reckoned on", f"{level.value:.{row.decimals}f} {row.unit}"),
            source,
            Input(words, f"{litres:.0f} L of {net.value:.0f} L"),
        )
        yield Result("after_change", value, row.unit, row.decimals, parameter, min(ends), max(ends),
                     end=tables.now, inputs=inputs)  # fmt: skip


def _usual_change(tables: Tables, net_volume_l: float) -> tuple[float, str]:
    """Give the litres of a usual water change, or a tenth of the water where none was made."""
    litres = tables.water_changes["volume_l"].tail(_CHANGES_LOOKED_AT)
    if litres.empty:
        return _TENTH * net_volume_l, "a tenth of the water (no change logged yet)"
    return float(litres.median()), "usual change"


def _fresh(parameter: str, tables: Tables) -> tuple[float, Input] | None:
    """Give what new water measures, by the last change that tells it, else by the profile."""
    row, column = PARAMETERS[parameter], f"fresh_{parameter}"
    told = tables.water_changes[tables.water_changes[column].notna()].tail(1)
    for last in rows_of(told):
        value = float(getattr(last, column))
        return value, Input("new water, as last told", f"{value:.{row.decimals}f} {row.unit}",
                            last.entry, int(last.line))  # fmt: skip
    mix = tables.profile.salt_mix
    stated = getattr(mix.fresh, parameter, None) if mix else None
    if stated is None:
        return None
    return stated.value, Input("new water, by the profile", stated.said)


AFTER_CHANGE = Metric(
    "after_change", "Level after a usual water change today", "",
    "The level as reckoned on, mixed with new water by the share of the net volume that is "
    "changed: the middle one of the last six changes, or a tenth where none was made.",
    "Batch dilution.", "none", "90 % interval of the level", _after_change, "level",
)  # fmt: skip
