"""What feeding brings into the water, and the oxygen that the fish use."""

from __future__ import annotations

import math
from collections.abc import Iterator

from journal_tools.metrics.gear import usual_water
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.stocking import fish_masses_g
from journal_tools.metrics.volume import relative_volume_error
from journal_tools.names import name_key
from journal_tools.science.oxygen_demand import fish_oxygen_demand_mg_h
from journal_tools.science.stocking import (
    excreted_ammonia_nitrogen_g,
    feed_nitrogen_g,
    nitrate_rise_mg_l,
)
from journal_tools.tables import Tables

_RECENT_DAYS = 30


def _fed(tables: Tables) -> tuple[dict[str, float], list[str]]:
    """Give grams of each food whose protein is told in the last days, and the other foods."""
    known = {name_key(f.name): f for f in tables.profile.foods if f.protein is not None}
    rows = tables.feedings
    rows = rows[(rows["time"] >= tables.days_ago(_RECENT_DAYS)) & (rows["time"] < tables.now)]
    grams: dict[str, float] = {}
    others: dict[str, None] = {}
    for what, amount in zip(rows["what"], rows["amount_g"], strict=True):
        food = known.get(name_key(what))
        if food is None or math.isnan(amount):
            others[what] = None
        else:
            grams[food.name] = grams.get(food.name, 0.0) + amount
    return grams, list(others)


def _rise(tables: Tables, done: Metrics) -> Iterator[Result]:
    net, (grams, others) = done.one("net_volume"), _fed(tables)
    if net is None or not grams:
        return
    protein = {f.name: f.protein.value / 100 for f in tables.profile.foods if f.protein}
    excreted = sum(excreted_ammonia_nitrogen_g(g, protein[name]) for name, g in grams.items())
    whole = sum(feed_nitrogen_g(g, protein[name]) for name, g in grams.items())
    value, most = (nitrate_rise_mg_l(n / _RECENT_DAYS, net.value) for n in (excreted, whole))
    error = relative_volume_error(net)
    inputs = (
        *(Input(name, f"{g:.0f} g in {_RECENT_DAYS} days, {100 * protein[name]:.0f} % protein")
          for name, g in grams.items()),
        Input("net volume", f"{net.value:.0f} L"),
    )  # fmt: skip
    note = "Only logged feedings with a mass count."
    if others:
        note += f" Without {', '.join(others)}: no mass or no protein is told."
    yield Result("nitrate_from_feed", value, "mg/L/day", 2, "", value * (1 - error) * 0.7,
                 most * (1 + error), end=tables.now, inputs=inputs, note=note)  # fmt: skip


NITRATE_FROM_FEED = Metric(
    "nitrate_from_feed", "Nitrate that feeding can make", "mg/L/day",
    "Protein of the food as fed, the share of it that fish excrete as ammonia, turned into nitrate "
    "in the net volume. What corals, algae and skimming take comes off it.",
    "Timmons & Ebeling, P = F x PC x 0.092, from memory; all feed nitrogen (protein / 6.25) is the "
    "upper end.",
    "none", "70 % of it to all feed nitrogen", _rise,
)  # fmt: skip


def _oxygen(tables: Tables, _done: Metrics) -> Iterator[Result]:
    masses, inputs = fish_masses_g(tables)
    if not masses:
        return
    found = fish_oxygen_demand_mg_h(masses, usual_water(tables).temperature_c)
    yield Result("fish_oxygen_use", found.value, "mg/h", -1, "", found.low, found.high,
                 end=tables.now, inputs=inputs)  # fmt: skip


FISH_OXYGEN_USE = Metric(
    "fish_oxygen_use", "Oxygen that the fish use", "mg/h",
    "Resting use of each fish by its mass, raised to the tank's temperature, and for activity.",
    "Clarke & Johnston 1999 (resting teleosts), from memory; Q10 and activity: common practice, no "
    "source.",
    "animal", "at rest to swimming", _oxygen,
)  # fmt: skip
