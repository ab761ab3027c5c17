"""What the tank has cost."""

from __future__ import annotations

from collections.abc import Iterator

from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.tables import Tables, rows_of

_MOST_INPUTS = 60


def _inputs(tables: Tables, category: str | None = None) -> tuple[Input, ...]:
    rows = tables.costs if category is None else tables.costs[tables.costs["category"] == category]
    dearest = rows.sort_values("amount", ascending=False, kind="stable").head(_MOST_INPUTS)
    return tuple(
        Input(row.what, f"{row.amount:.2f} {tables.profile.currency}", row.entry, int(row.line))
        for row in rows_of(dearest)
    )


def _total(tables: Tables, _done: Metrics) -> Iterator[Result]:
    """Give the running total at the end of each day on which money was spent."""
    costs = tables.costs
    if costs.empty:
        return
    by_day = costs.groupby(costs["time"].dt.date, sort=True)
    totals = by_day["amount"].sum().cumsum().tolist()
    moments = by_day["time"].last().tolist()
    whole = _inputs(tables)
    for n, (moment, value) in enumerate(zip(moments, totals, strict=True), 1):
        yield Result("cost_total", float(value), tables.profile.currency, 2, end=moment,
                     inputs=whole if n == len(totals) else ())  # fmt: skip


COST_TOTAL = Metric(
    "cost_total", "Cost so far", "", "Running sum of prices in the profile and costs in entries; "
    "planned pieces are left out.", "Definition.", "none", "", _total,
)  # fmt: skip


def _by_category(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for category, rows in tables.costs.groupby("category", sort=True):
        yield Result("cost_by_category", float(rows["amount"].sum()), tables.profile.currency, 2,
                     str(category), inputs=_inputs(tables, str(category)))  # fmt: skip


COST_BY_CATEGORY = Metric(
    "cost_by_category", "Cost by category", "", "Sum of costs by the keeper's own categories.",
    "Definition.", "none", "", _by_category,
)  # fmt: skip


def _per_month(tables: Tables, _done: Metrics) -> Iterator[Result]:
    costs = tables.costs
    for _, rows in costs.groupby(costs["time"].dt.strftime("%Y-%m"), sort=True):
        first = rows["time"].iloc[0].normalize().replace(day=1)
        yield Result("cost_per_month", float(rows["amount"].sum()), tables.profile.currency, 2,
                     start=first, end=rows["time"].iloc[-1])  # fmt: skip


COST_PER_MONTH = Metric(
    "cost_per_month", "Cost in each month", "", "Sum of costs by calendar month.", "Definition.",
    "none", "", _per_month,
)  # fmt: skip
