"""What was dosed, and what it did to the water."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.volume import relative_volume_error
from journal_tools.names import name_key
from journal_tools.parameters import PARAMETERS
from journal_tools.profile import Profile, Supplement
from journal_tools.science.additives.stoichiometry import effect_of_dose
from journal_tools.science.validity import FloatArray
from journal_tools.tables import Tables, rows_of

RECENT_DAYS = 30
_SINGLE_DAYS = 14
_SALT_FIELDS = {
    "alkalinity": "alkalinity_dkh", "calcium": "calcium_mg_l", "magnesium": "magnesium_mg_l",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Strength:
    """What one millilitre or gram of a supplement lifts in one litre of tank water.

    Attributes:
        unit: ``ml`` or ``g``, the unit of the dose.
        lifts: Rise by parameter in its canonical unit, for one ``unit`` in one litre.
        relative_error: One standard deviation as a share.
        outflow: Of a reactor: what its outflow measures, by parameter.
    """

    unit: str
    lifts: dict[str, float]
    relative_error: float
    outflow: dict[str, float] = field(default_factory=dict)

    def affects(self, parameter: str) -> bool:
        """Tell whether it changes a parameter."""
        return parameter in self.lifts or parameter in self.outflow

    def rises(
        self, parameter: str, amounts: FloatArray, levels: FloatArray, net_volume_l: float
    ) -> FloatArray:
        """Give what amounts lift a parameter in the tank.

        Water that goes round through a reactor brings only what it has gained there.

        Args:
            parameter: One that it affects.
            amounts: Dosed, in ``unit``.
            levels: What the tank has at the time, for a reactor.
            net_volume_l: Net volume in L.
        """
        if parameter in self.outflow:
            return amounts / 1000 * (self.outflow[parameter] - levels) / net_volume_l
        return amounts * self.lifts[parameter] / net_volume_l

    def rise(self, parameter: str, amount: float, level: float, net_volume_l: float) -> float:
        """Give what an amount lifts a parameter, or 0: as :meth:`rises`, for one amount."""
        if not self.affects(parameter):
            return 0.0
        found = self.rises(parameter, np.array([amount]), np.array([level]), net_volume_l)
        return float(found[0])

    def error_of(self, parameter: str, levels: FloatArray) -> float:
        """Give the relative error (1 sd) of what it lifts.

        What a reactor gains is a difference: its outflow's error counts in full against that.
        """
        if parameter not in self.outflow or not len(levels):
            return self.relative_error
        outflow = self.outflow[parameter]
        gained = abs(outflow - float(np.median(levels)))
        return self.relative_error * min(abs(outflow) / gained if gained else 10.0, 10.0)


_STATED_ERROR, _WEIGHED_ERROR = 0.10, 0.05
"""Relative errors (1 sd) where the profile states none. Common practice, no source."""


def strength(supplement: Supplement) -> Strength:
    """Give the strength of a supplement, by its salts or its stated potency.

    >>> mix = Supplement.model_validate(
    ...     {"name": "alk mix", "salts": {"NaHCO3": "80 g"}, "made_up_to": "1 L"})
    >>> round(strength(mix).lifts["alkalinity"], 3)
    2.67
    """
    if supplement.potency is not None:
        potency = supplement.potency
        scale = potency.water.value / potency.by.value
        lifts = {
            name: quantity.value * scale
            for name in type(potency.raises).model_fields
            if (quantity := getattr(potency.raises, name)) is not None
        }
        return Strength(potency.by.unit, lifts, _error(supplement, _STATED_ERROR))
    if supplement.effluent is not None:
        outflow = {
            name: quantity.value
            for name in type(supplement.effluent).model_fields
            if (quantity := getattr(supplement.effluent, name)) is not None
        }
        return Strength("ml", {}, _error(supplement, _STATED_ERROR), outflow)
    per_litre = {"alkalinity": 0.0, "calcium": 0.0, "magnesium": 0.0}
    total_g = sum(mass.value for mass in supplement.salts.values())
    dissolved = supplement.made_up_to
    unit, divisor = ("ml", dissolved.value * 1000) if dissolved else ("g", total_g or 1.0)
    for salt, mass in supplement.salts.items():
        of_a_gram = effect_of_dose(salt, 1.0, 1.0)
        for name, attribute in _SALT_FIELDS.items():
            per_litre[name] += mass.value * getattr(of_a_gram, attribute) / divisor
    lifts = {name: rise for name, rise in per_litre.items() if rise}
    return Strength(unit, lifts, _error(supplement, _WEIGHED_ERROR))


def _error(supplement: Supplement, default: float) -> float:
    return supplement.error.value / 100 if supplement.error else default


def strengths(profile: Profile) -> dict[str, Strength]:
    """Give the strength of every supplement whose effect the profile tells, by name."""
    told = (s for s in profile.supplements if s.salts or s.potency or s.effluent or s.no_effect)
    return {supplement.name: strength(supplement) for supplement in told}


def all_doses(tables: Tables) -> pd.DataFrame:
    """Give doses and top-offs with a supplement (limewater) in one table."""
    top_offs = tables.top_offs[tables.top_offs["product"] != ""]
    names = {name_key(s.name): s.name for s in tables.profile.supplements}
    as_doses = top_offs.assign(
        product=[names.get(name_key(name), name) for name in top_offs["product"]],
        amount=top_offs["volume_l"] * 1000,
        unit="ml",
        scheduled=False,
        spread=False,
    )[list(tables.doses.columns)]
    if as_doses.empty:
        return tables.doses
    both = pd.concat([tables.doses, as_doses], ignore_index=True)
    return both.sort_values("time", kind="stable", ignore_index=True)


def _window(tables: Tables) -> tuple[pd.Timestamp, pd.Timestamp]:
    return tables.days_ago(RECENT_DAYS), tables.now


def _per_day(tables: Tables, _done: Metrics) -> Iterator[Result]:
    start, end = _window(tables)
    doses = all_doses(tables)
    recent = doses[(doses["time"] >= start) & (doses["time"] < end)]
    for (product, unit), rows in recent.groupby(["product", "unit"], sort=True):
        first = doses[doses["product"] == product]["time"].iloc[0].normalize()
        since = max(start, first) if rows["scheduled"].any() else start
        days = round((end - since) / pd.Timedelta(days=1))
        daily = float(rows["amount"].sum()) / days
        inputs = (Input("days", str(days)), *_dose_inputs(rows))
        yield Result("dose_per_day", daily, f"{unit}/day", 1, str(product), start=since,
                     end=end - pd.Timedelta(seconds=1), inputs=inputs)  # fmt: skip


def _dose_inputs(rows: pd.DataFrame) -> tuple[Input, ...]:
    """Sum up the doses of each entry: a plan counts as one input, however many days it ran."""
    parts: dict[tuple[str, int], list[Any]] = {}
    for row in rows_of(rows):
        parts.setdefault((row.entry, row.line), []).append(row)
    return tuple(
        Input(
            f"{len(part)} doses by plan" if part[0].scheduled else "dose",
            f"{sum(row.amount for row in part):g} {part[0].unit}",
            entry,
            line,
        )
        for (entry, line), part in parts.items()
    )


DOSE_PER_DAY = Metric(
    "dose_per_day", f"Dose a day, last {RECENT_DAYS} days", "",
    f"Sum of all single and planned doses of the last {RECENT_DAYS} days, divided by "
    f"{RECENT_DAYS}, or by the days since a dosing plan of a new product began.",
    "Definition.", "chemical", "", _per_day,
)  # fmt: skip


def _total(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for (product, unit), rows in all_doses(tables).groupby(["product", "unit"], sort=True):
        yield Result("dose_total", rows["amount"].sum(), str(unit), 0, str(product),
                     start=rows["time"].iloc[0], end=rows["time"].iloc[-1],
                     inputs=_dose_inputs(rows))  # fmt: skip


DOSE_TOTAL = Metric(
    "dose_total", "Dosed in all", "", "Sum of all single and planned doses.", "Definition.",
    "chemical", "", _total,
)  # fmt: skip


def _effect(tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    if net is None:
        return
    known = strengths(tables.profile)
    for dose in done.of("dose_per_day"):
        power = known.get(dose.subject)
        if power is None or f"{power.unit}/day" != dose.unit:
            continue
        for parameter in (*power.lifts, *power.outflow):
            level = level_of_late(parameter, tables)
            value = power.rise(parameter, dose.value, level, net.value)
            relative = power.error_of(parameter, np.array([level]))
            error = abs(value) * math.hypot(relative, relative_volume_error(net))
            yield Result(
                "dose_effect", value, f"{_unit(parameter)}/day", 2, f"{dose.subject}: {parameter}",
                value - error, value + error, dose.start, dose.end,
                (Input("dose a day", f"{dose.value:.1f} {dose.unit}"),
                 _strength_input(power, parameter, level),
                 Input("net volume", f"{net.value:.0f} L")),
            )  # fmt: skip


def _strength_input(power: Strength, parameter: str, level: float) -> Input:
    if parameter in power.outflow:
        gained = f"{power.outflow[parameter]:.3g}, the tank {level:.3g} {_unit(parameter)}"
        return Input("the outflow measures", gained)
    lift = f"{power.lifts[parameter]:.3g} {_unit(parameter)}"
    return Input(f"one {power.unit} in one litre lifts", lift)


def dose_now(product: str, tables: Tables, unit: str) -> float:
    """Give what goes in a day at present, by today's plan and the single doses of late.

    Args:
        product: A supplement.
        tables: The journal's tables.
        unit: The unit of the dose: ml or g.
    """
    doses = all_doses(tables)
    doses = doses[(doses["product"] == product) & (doses["unit"] == unit)]
    planned = doses[doses["scheduled"] & (doses["time"] >= tables.days_ago(1))]
    single = doses[~doses["scheduled"] & (doses["time"] >= tables.days_ago(_SINGLE_DAYS))]
    return float(planned["amount"].sum()) + float(single["amount"].sum()) / _SINGLE_DAYS


def level_of_late(parameter: str, tables: Tables) -> float:
    """Give the middle one of the last three figures of a parameter, 0 where there is none."""
    rows = tables.readings_of(parameter)
    last = rows[rows["censored"] == ""]["value"].tail(3)
    return float(last.median()) if len(last) else 0.0


def _unit(parameter: str) -> str:
    return PARAMETERS[parameter].unit


DOSE_EFFECT = Metric(
    "dose_effect", f"What the doses lift, last {RECENT_DAYS} days", "",
    "Dose a day times the strength of the supplement (its salts by molar mass, or its stated "
    "potency) divided by net volume. Of a reactor: litres of outflow times what they gained.",
    "Molar masses from IUPAC 2021 atomic weights; alkalinity by equivalents "
    "(Wolf-Gladrow et al. 2007, Mar. Chem. 106:287).",
    "chemical", "one standard deviation of strength and volume", _effect,
)  # fmt: skip
