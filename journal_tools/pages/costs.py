"""Costs: what was bought, what is used up and drawn every month, and what was meant to be spent."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from journal_tools.metrics import Result
from journal_tools.pages.figures import cost_figure
from journal_tools.pages.money import money_text
from journal_tools.pages.shares import shares_html
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Page
from journal_tools.tables import rows_of

_ITEMS = 8
_WIDE = 300.0
_RUNNING = ("electricity_cost", "consumables_cost", "running_cost")


@dataclass(frozen=True)
class CategoryView:
    """One category: what was spent, what was meant to be, and the dearest things in it."""

    name: str
    spent: float
    budget: float | None
    bar: str
    items: list[tuple[str, float, str]]


def costs_page(site: Site) -> Page | None:
    """Give the costs page, or None where the keeper does not show costs or has none."""
    profile, total = site.journal.profile, site.shown.one("cost_total")
    running = _running(site)
    if not profile.privacy.show_costs or not (total or running or profile.budget):
        return None
    months = site.shown.of("cost_per_month")
    return site.page(
        "costs.html",
        "costs",
        "Costs",
        description=f"What {profile.name} has cost to build and to run.",
        total=total,
        categories=_categories(site),
        months=months[-12:][::-1],
        each_month=sum(r.value for r in months) / len(months) if months else None,
        per_litre=site.shown.one("cost_per_litre"),
        running=running,
        used_up=_used_up(site),
        untold=_untold(site),
        budget=sum(profile.budget.values()),
        budget_spent=sum(v.spent for v in _categories(site) if v.budget is not None),
        cost_figure=cost_figure(site),
        currency=profile.currency,
    )


def _running(site: Site) -> list[Result]:
    found = [result for name in _RUNNING if (result := site.shown.one(name, "")) is not None]
    return found if len(found) > 2 else found[:1]


def _used_up(site: Site) -> str:
    """Draw what is used up a month by its parts."""
    parts = [(r.subject, r.value) for r in site.shown.of("consumables_cost") if r.subject]
    return shares_html(parts, lambda cost: money_text(cost, site.journal.profile.currency))


def _untold(site: Site) -> list[str]:
    """Say what to write so that the running cost is whole."""
    profile, hints = site.journal.profile, []
    if profile.tariff is None:
        hints.append("tariff: 0.31")
    dosed = {result.subject for result in site.shown.of("dose_per_day")}
    for supplement in profile.supplements:
        if supplement.name in dosed and (supplement.price is None or supplement.bottle is None):
            hints.append(f"bottle: 2 L, price: 9.90|of {supplement.name}")
    mix = profile.salt_mix
    if mix is not None and None in (mix.price, mix.mass, mix.grams_per_litre):
        hints.append("salt_mix: {price: 58, mass: 20 kg, grams_per_litre: 38}")
    for piece in profile.equipment:
        if piece.media is not None and piece.media.price is None:
            hints.append(f"media: {{what: {piece.media.what}, price: 6.50}}|of {piece.name}")
    return hints


def _categories(site: Site) -> list[CategoryView]:
    """Give every category that has costs or a budget, the dearest first."""
    costs, budget = site.tables.costs, site.journal.profile.budget
    names = dict.fromkeys([*budget, *costs["category"]])
    rows = {name: costs[costs["category"] == name] for name in names}
    spent = {name: float(found["amount"].sum()) for name, found in rows.items()}
    most = max([0.0, *spent.values(), *budget.values()])
    return [
        CategoryView(
            name, spent[name], budget.get(name), bar_svg(spent[name], budget.get(name), most),
            _items(rows[name]),
        )
        for name in sorted(names, key=lambda name: -spent[name])
    ]  # fmt: skip


def bar_svg(spent: float, budget: float | None, most: float) -> str:
    """Give a pencilled bar of what was spent, with a stroke where it was meant to end.

    Args:
        spent: What was spent.
        budget: What was meant to be spent, or None.
        most: The longest bar or stroke of all beside it.
    """
    width = round(_WIDE * spent / most, 1) if most else 0.0
    stroke = ""
    if budget is not None and most:
        stroke = f'<path class="jt-bar__meant" d="M{_WIDE * budget / most:.1f} 0V12"/>'
    over = budget is not None and spent > budget
    return (
        f'<svg class="jt-bar{" jt-bar--over" if over else ""}" viewBox="0 0 {_WIDE:g} 12" '
        'preserveAspectRatio="none" aria-hidden="true" focusable="false">'
        f'<path class="jt-bar__spent" d="M0 3H{width:g}V9H0Z"/>{stroke}</svg>'
    )


def _items(rows: pd.DataFrame) -> list[tuple[str, float, str]]:
    dearest = rows.sort_values("amount", ascending=False, kind="stable").head(_ITEMS)
    return [(row.what, row.amount, row.entry) for row in rows_of(dearest)]
