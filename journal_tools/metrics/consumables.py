"""What is used up a month, in money: supplements, salt, filter media; and what running costs."""

from __future__ import annotations

from collections.abc import Iterator

from journal_tools.metrics.gear import in_service
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.science.warmth.electricity import DAYS_PER_MONTH
from journal_tools.system import KINDS
from journal_tools.tables import Tables

_RECENT_DAYS = 90
_STANDARD_SALINITY = 35.0

_Part = tuple[str, float, tuple[Input, ...]]
"""What is used up, what it costs a month, and what that is made from."""


def _supplements(tables: Tables, done: Metrics) -> Iterator[_Part]:
    """Give each supplement whose bottle and price are told."""
    bottles = {s.name: s for s in tables.profile.supplements}
    for dose in done.of("dose_per_day"):
        product = bottles.get(dose.subject)
        if product is None or product.bottle is None or product.price is None:
            continue
        if dose.unit != "ml/day" or not product.bottle.value:
            continue
        month_l = dose.value * DAYS_PER_MONTH / 1000
        yield product.name, month_l / product.bottle.value * product.price, (
            Input("dose a day", f"{dose.value:.1f} ml"),
            Input("bottle", product.bottle.said),
            Input("price of a bottle", f"{product.price:.2f} {tables.profile.currency}"),
        )  # fmt: skip


def _salt(tables: Tables) -> Iterator[_Part]:
    """Give the salt of the logged water changes, where the mix tells what a mass of it costs."""
    mix, changes = tables.profile.salt_mix, tables.water_changes
    recent = changes[(changes["time"] >= tables.days_ago(_RECENT_DAYS)) & (
        changes["time"] < tables.now)]  # fmt: skip
    if mix is None or mix.price is None or mix.mass is None or mix.grams_per_litre is None:
        return
    if recent.empty or not mix.mass.value:
        return
    salinity = recent["fresh_salinity"].fillna(_STANDARD_SALINITY)
    grams = float((recent["volume_l"] * salinity).sum()) / _STANDARD_SALINITY * mix.grams_per_litre
    month_g = grams / _RECENT_DAYS * DAYS_PER_MONTH
    yield mix.name, month_g / mix.mass.value * mix.price, (
        Input("changed", f"{recent['volume_l'].sum():.0f} L in {_RECENT_DAYS} days"),
        Input("grams per litre at 35 psu", f"{mix.grams_per_litre:g}"),
        Input("price of the mix", f"{mix.price:.2f} {tables.profile.currency} for {mix.mass.said}"),
    )  # fmt: skip


def _media(tables: Tables) -> Iterator[_Part]:
    """Give each filling with a price and an interval, as if it were changed on the day."""
    for piece in in_service(tables, *KINDS):
        media = piece.media
        if media is None or media.price is None or media.change_every is None:
            continue
        yield f"{media.what} in {piece.name}", (
            media.price * DAYS_PER_MONTH / media.change_every.value
        ), (
            Input("price of a filling", f"{media.price:.2f} {tables.profile.currency}"),
            Input("changed every", media.change_every.said),
        )  # fmt: skip


def _consumables(tables: Tables, done: Metrics) -> Iterator[Result]:
    if not tables.profile.privacy.show_costs:
        return
    currency = tables.profile.currency
    parts = [*_supplements(tables, done), *_salt(tables), *_media(tables)]
    for name, cost, inputs in parts:
        yield Result("consumables_cost", cost, currency, 2, name, inputs=inputs)
    if parts:
        inputs = tuple(Input(name, f"{cost:.2f} {currency}") for name, cost, _ in parts)
        yield Result("consumables_cost", sum(cost for _, cost, _ in parts), currency, 2,
                     inputs=inputs)  # fmt: skip


CONSUMABLES_COST = Metric(
    "consumables_cost", "Used up a month", "",
    "Dose a day of the last 30 days by bottle and its price; salt of the water changes of the last "
    "90 days by the mix's grams per litre and its price; fillings by their price and interval. "
    "What has no price in the profile is left out.",
    "Definition.", "none", "", _consumables,
)  # fmt: skip


def _running(tables: Tables, done: Metrics) -> Iterator[Result]:
    currency, names = tables.profile.currency, ("electricity_cost", "consumables_cost")
    parts = [result for name in names if (result := done.one(name, "")) is not None]
    if parts:
        inputs = tuple(
            Input(done.definitions[part.metric].title.lower(), f"{part.value:.2f} {currency}")
            for part in parts
        )
        note = " ".join(part.note for part in parts).strip()
        yield Result("running_cost", sum(part.value for part in parts), currency, 2,
                     inputs=inputs, note=note)  # fmt: skip


RUNNING_COST = Metric(
    "running_cost", "Running cost a month", "",
    "Electricity and what is used up. Food, tests, animals and repairs come on top.",
    "Definition.", "mains", "", _running,
)  # fmt: skip


def _each_litre(tables: Tables, done: Metrics) -> Iterator[Result]:
    net, currency = done.one("net_volume"), tables.profile.currency
    total = done.one("cost_total")
    if net is None or total is None or not net.value:
        return
    inputs = (Input("cost so far", f"{total.value:.2f} {currency}"),
              Input("net volume", f"{net.value:.0f} L"))  # fmt: skip
    yield Result("cost_per_litre", total.value / net.value, f"{currency} per L", 2, end=total.end,
                 inputs=inputs)  # fmt: skip


COST_PER_LITRE = Metric(
    "cost_per_litre", "Cost so far by volume", "", "Cost so far divided by net volume.",
    "Definition.", "none", "", _each_litre,
)  # fmt: skip
