"""Costs: what was bought, what it costs to run, and what was meant to be spent."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from journal_tools.metrics import Result
from journal_tools.pages.figures import cost_figure
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Page
from journal_tools.tables import rows_of

_ITEMS = 8
_WIDE = 300.0


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
    if not profile.privacy.show_costs or (total is None and not profile.budget):
        return None
    return site.page(
        "costs.html",
        "costs",
        "Costs",
        description=f"What {profile.name} has cost to build and to run.",
        total=total,
        categories=_categories(site),
        months=site.shown.of("cost_per_month")[-12:][::-1],
        per_litre=site.shown.one("cost_per_litre"),
        running=_running(site),
        cost_figure=cost_figure(site),
        currency=profile.currency,
    )


def _running(site: Site) -> list[Result]:
    names = ("electricity_cost", "consumables_cost")
    return [result for name in names if (result := site.shown.one(name, "")) is not None]


def _categories(site: Site) -> list[CategoryView]:
    """Give every category that has costs or a budget, the dearest first."""
    costs, budget = site.tables.costs, site.journal.profile.budget
    names = dict.fromkeys([*budget, *costs["category"]])
    rows = {name: costs[costs["category"] == name] for name in names}
    spent = {name: float(found["amount"].sum()) for name, found in rows.items()}
    most = max([*spent.values(), *budget.values()])
    return [
        CategoryView(
            name, spent[name], budget.get(name), bar_svg(spent[name], budget.get(name), most),
            _items(rows[name]),
        )
        for name in sorted(names, key=lambda name: -spent[name])
    ]  # fmt: skip


def bar_svg(spent: float, budget: float | None, most: float) -> str:
    """Give a pencilled bar of what was spent, with a stroke where it was meant to end."""
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
