"""How long each bottle lasts, by what was counted or filled and what goes in a day."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator

import pandas as pd

from journal_tools.bottles import ML_PER_L, TOO_FAR_DAYS, full_bottle, lasting
from journal_tools.metrics.dosing import all_doses, dose_now
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.tables import Tables, rows_of
from journal_tools.words import day_text


def _left(tables: Tables, done: Metrics) -> Iterator[Result]:
    every = all_doses(tables)
    kinds = {(r.subject, r.unit.partition("/")[0]) for r in done.of("dose_per_day")}
    for product, unit in sorted(kinds):
        daily = dose_now(product, tables, unit)
        doses = every[(every["product"] == product) & (every["unit"] == unit)]
        stock = _stock(product, unit, tables, doses)
        if stock is None or daily <= 0:
            continue
        amount, since, source = stock
        used = float(doses[(doses["time"] > since) & (doses["time"] < tables.now)]["amount"].sum())
        found = lasting(amount, used, daily)
        inputs = (source, Input("dosed since", f"{used:.0f} {unit}"),
                  Input("dose a day at present", f"{daily:.1f} {unit}/day"))  # fmt: skip
        high = found.high if math.isfinite(found.high) else None
        yield Result("days_left", found.value, "days", 0, product, found.low, high,
                     end=tables.now, inputs=inputs,
                     note=_empty_on(tables, found.low, found.high))  # fmt: skip


def _stock(
    product: str, unit: str, tables: Tables, doses: pd.DataFrame
) -> tuple[float, pd.Timestamp, Input] | None:
    """Give the last known stock, its moment and where it stands; a bottle is full at first use."""
    rows = tables.stock[(tables.stock["product"] == product) & (tables.stock["unit"] == unit)]
    if not rows.empty:
        last = next(rows_of(rows.tail(1)))
        where = Input("stock", f"{last.amount:g} {last.unit}", last.entry, int(last.line))
        return float(last.amount), last.time, where
    bottle = full_bottle(tables.profile, product, unit, float(doses["amount"].sum()))
    if bottle is None or doses.empty:
        return None
    start = doses["time"].iloc[0] - pd.Timedelta(seconds=1)
    return ML_PER_L * bottle.value, start, Input("bottle, full at the first dose", bottle.said)


def _empty_on(tables: Tables, low: float, high: float) -> str:
    first = tables.today + dt.timedelta(days=int(max(0.0, min(low, TOO_FAR_DAYS))))
    if high > TOO_FAR_DAYS:
        return f"Empty on {day_text(first)} at the earliest."
    last = tables.today + dt.timedelta(days=int(high))
    if first == last:
        return f"Empty on {day_text(first)}."
    return f"Empty between {day_text(first)} and {day_text(last)}."


DAYS_LEFT = Metric(
    "days_left", "Days left in the bottle", "days",
    "What was there at the last count (or a full bottle at the first dose), less what was dosed "
    "since, by the dose a day at present: today's plan, and single doses of the last two weeks.",
    "Ratio with Fieller's interval; 5 % of the stock and 10 % of the dose: common practice, no "
    "source.",
    "none", "90 % interval", _left,
)  # fmt: skip
