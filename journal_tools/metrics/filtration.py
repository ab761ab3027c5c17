"""Skimmer and filter media against what this tank is fed and holds."""

from __future__ import annotations

from collections.abc import Iterator

from journal_tools.metrics.gear import in_use, planned_note
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.tables import Tables

_RECENT_DAYS = 30


def _skimmer(tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    for piece in in_use(tables, "skimmer"):
        facts = piece.skimming
        if net is None or facts is None or facts.rated_volume is None:
            continue
        share = 100 * facts.rated_volume.value / net.value
        inputs = (Input("rated for tanks up to", facts.rated_volume.said),
                  Input("net volume", f"{net.value:.0f} L"))  # fmt: skip
        yield Result("skimmer_rating", share, "%", 0, piece.name, inputs=inputs,
                     note=planned_note(tables, piece))  # fmt: skip


SKIMMER_RATING = Metric(
    "skimmer_rating", "Skimmer's rating against the water", "%",
    "The largest tank that its box names, by this tank's net volume. Boxes agree on no way to rate "
    "a skimmer; what it takes out is set by feeding, fish and air.",
    "The maker's figure, as the profile states it.", "mains", "", _skimmer,
)  # fmt: skip


def _air(tables: Tables, done: Metrics) -> Iterator[Result]:
    """Give the air drawn for each gram of fish: bioload and not tank size asks for it."""
    biomass, net = done.one("fish_biomass"), done.one("net_volume")
    if biomass is None or net is None or not biomass.value:
        return
    grams = biomass.value * net.value / 100
    for piece in in_use(tables, "skimmer"):
        if piece.skimming is None or piece.skimming.air is None:
            continue
        value = piece.skimming.air.value / grams
        inputs = (Input("air", piece.skimming.air.said), Input("fish", f"{grams:.0f} g in all"))
        yield Result("skimmer_air", value, "L/h per g", 1, piece.name, value / 2, value * 2,
                     inputs=inputs, note=planned_note(tables, piece))  # fmt: skip


SKIMMER_AIR = Metric(
    "skimmer_air", "Skimmer air for the fish", "L/h per g",
    "Air that the skimmer draws divided by the mass of all fish.",
    "Definition; no published figure says how much is enough. Compare your own tank over time.",
    "mains", "half to double, as the fish mass", _air,
)  # fmt: skip


def _feed(tables: Tables, done: Metrics) -> Iterator[Result]:
    rows = tables.feedings
    rows = rows[(rows["time"] >= tables.days_ago(_RECENT_DAYS)) & (rows["time"] < tables.now)]
    weighed, net = rows[rows["amount_g"].notna()], done.one("net_volume")
    if weighed.empty or net is None:
        return
    grams = float(weighed["amount_g"].sum())
    value = grams / _RECENT_DAYS / net.value * 100
    inputs = (Input("logged with a mass", f"{grams:.1f} g in {_RECENT_DAYS} days"),
              Input("net volume", f"{net.value:.0f} L"))  # fmt: skip
    unweighed = len(rows) - len(weighed)
    note = f"{unweighed} feedings without a mass are left out." if unweighed else ""
    yield Result("feed_load", value, "g/day per 100 L", 2, end=tables.now, inputs=inputs,
                 note=note)  # fmt: skip


FEED_LOAD = Metric(
    "feed_load", "Food for each 100 litres", "g/day per 100 L",
    "Mass of food logged in 30 days, wet or dry as given, by days and net volume. Days without an "
    "entry count as days without food.",
    "Definition.", "none", "", _feed,
)  # fmt: skip


def _media(tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    for piece in in_use(tables, "reactor", "filter", "other", "skimmer"):
        if net is None or piece.media is None or piece.media.mass is None:
            continue
        value = piece.media.mass.value / net.value * 100
        inputs = (Input(piece.media.what, piece.media.mass.said),
                  Input("net volume", f"{net.value:.0f} L"))  # fmt: skip
        yield Result("media_amount", value, "g/100 L", 0, piece.name, inputs=inputs,
                     note=planned_note(tables, piece))  # fmt: skip


MEDIA_AMOUNT = Metric(
    "media_amount", "Filter media for each 100 litres", "g/100 L",
    "Mass of the filling divided by net volume.",
    "Definition. 30 to 60 g of activated carbon for 100 L, changed every month, is common "
    "practice, no source.",
    "none", "", _media,
)  # fmt: skip
