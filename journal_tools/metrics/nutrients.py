"""What feeding brings into the water, and the oxygen that the fish use."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass

from journal_tools.metrics.gear import usual_water
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.stocking import fish_masses_g
from journal_tools.metrics.volume import relative_volume_error
from journal_tools.names import name_key
from journal_tools.science.life.oxygen_demand import fish_oxygen_demand_mg_h
from journal_tools.science.life.stocking import (
    excreted_ammonia_nitrogen_g,
    feed_nitrogen_g,
    nitrate_rise_mg_l,
)
from journal_tools.tables import Tables, rows_of

_RECENT_DAYS = 30
_LEAST_SHARE = 0.7
_MASS_RANGE_G = (0.1, 1e4)


@dataclass(frozen=True, slots=True)
class _Fed:
    """Grams of a food in some days, its protein as a share, and where it was last fed."""

    name: str
    grams: float
    protein: float
    entry: str
    line: int


def _fed(tables: Tables) -> tuple[list[_Fed], list[str]]:
    """Give each food of the last days whose protein and mass are told, and the other foods."""
    known = {name_key(f.name): f for f in tables.profile.foods if f.protein is not None}
    rows = tables.feedings
    rows = rows[(rows["time"] >= tables.days_ago(_RECENT_DAYS)) & (rows["time"] < tables.now)]
    found: dict[str, _Fed] = {}
    others: dict[str, None] = {}
    for row in rows_of(rows):
        food = known.get(name_key(row.what))
        if food is None or food.protein is None or math.isnan(row.amount_g):
            others[row.what] = None
            continue
        before = found[food.name].grams if food.name in found else 0.0
        found[food.name] = _Fed(food.name, before + row.amount_g, food.protein.value / 100,
                                row.entry, int(row.line))  # fmt: skip
    return list(found.values()), list(others)


def _days_fed(tables: Tables) -> int:
    """Give the days that the sums are of: the last 30, or since the first feeding of all."""
    since: dt.date = tables.feedings["time"].iloc[0].date()
    return min(_RECENT_DAYS, max(1, (tables.today - since).days + 1))


def _rise(tables: Tables, done: Metrics) -> Iterator[Result]:
    net, (foods, others) = done.one("net_volume"), _fed(tables)
    if net is None or not foods:
        return
    days = _days_fed(tables)
    excreted = sum(excreted_ammonia_nitrogen_g(f.grams, f.protein) for f in foods)
    whole = sum(feed_nitrogen_g(f.grams, f.protein) for f in foods)
    value, most = (nitrate_rise_mg_l(n / days, net.value) for n in (excreted, whole))
    error = relative_volume_error(net)
    inputs = (
        *(Input(f.name, f"{f.grams:.1f} g in {days} days, {100 * f.protein:.0f} % protein",
                f.entry, f.line) for f in foods),
        Input("net volume", f"{net.value:.0f} L"),
    )  # fmt: skip
    note = "Only logged feedings with a mass count."
    if others:
        note += f" Without {', '.join(others)}: no mass or no protein is told."
    yield Result("nitrate_from_feed", value, "mg/L/day", 2, "",
                 value * max(0.0, 1 - error) * _LEAST_SHARE, most * (1 + error), end=tables.now,
                 inputs=inputs, note=note)  # fmt: skip


NITRATE_FROM_FEED = Metric(
    "nitrate_from_feed", "Nitrate that feeding can make", "mg/L/day",
    "Protein of the food as fed in the last 30 days (or since the first feeding), the share of it "
    "that fish excrete as ammonia, turned into nitrate in the net volume. What corals, algae and "
    "skimming take comes off it.",
    "Timmons & Ebeling, P = F x PC x 0.092, from memory; all feed nitrogen (protein / 6.25) is the "
    "upper end.",
    "none", "70 % of it to all feed nitrogen, and the error of the volume", _rise,
)  # fmt: skip


def _oxygen(tables: Tables, _done: Metrics) -> Iterator[Result]:
    weighed, inputs, unknown = fish_masses_g(tables)
    low_g, high_g = _MASS_RANGE_G
    masses = [mass for mass in weighed if low_g <= mass <= high_g]
    if not masses:
        return
    water = usual_water(tables)
    found = fish_oxygen_demand_mg_h(masses, water.temperature_c)
    left_out = [f"Without {', '.join(unknown)}: no usable length is known."] if unknown else []
    if len(masses) < len(weighed):
        left_out.append(f"Without {len(weighed) - len(masses)} fish below 0.1 g or above 10 kg.")
    yield Result("fish_oxygen_use", found.value, "mg/h", -1, "", found.low, found.high,
                 end=tables.now, inputs=(*inputs, water.inputs[0]),
                 note=" ".join(left_out))  # fmt: skip


FISH_OXYGEN_USE = Metric(
    "fish_oxygen_use", "Oxygen that the fish use", "mg/h",
    "Resting use of each fish by its mass, raised to the tank's temperature, and for activity.",
    "Clarke & Johnston 1999 (resting teleosts), from memory; Q10 and activity: common practice, no "
    "source.",
    "none", "at rest to swimming", _oxygen,
)  # fmt: skip
