"""What the tank has cost."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.moments import local_time, months_between, months_of, next_month
from journal_tools.tables import Tables, rows_of

_MOST_INPUTS = 60


def _published(tables: Tables) -> pd.DataFrame:
    """Give the costs, or none of them where the keeper does not show them."""
    return tables.costs if tables.profile.privacy.show_costs else tables.costs.iloc[:0]


def _inputs(tables: Tables, rows: pd.DataFrame) -> tuple[Input, ...]:
    dearest = rows.sort_values("amount", ascending=False, kind="stable").head(_MOST_INPUTS)
    return tuple(
        Input(row.what, f"{row.amount:.2f} {tables.profile.currency}", row.entry, int(row.line))
        for row in rows_of(dearest)
    )


def _total(tables: Tables, _done: Metrics) -> Iterator[Result]:
    """Give the running total at the end of each day on which money was spent."""
    costs = _published(tables)
    if costs.empty:
        return
    by_day = costs.groupby(costs["time"].dt.date, sort=True)
    totals = by_day["amount"].sum().cumsum().tolist()
    moments = by_day["time"].last().tolist()
    whole = _inputs(tables, costs)
    for n, (moment, value) in enumerate(zip(moments, totals, strict=True), 1):
        yield Result("cost_total", float(value), tables.profile.currency, 2, end=moment,
                     inputs=whole if n == len(totals) else ())  # fmt: skip


COST_TOTAL = Metric(
    "cost_total", "Cost so far", "",
    "Running sum of the prices of equipment in the profile and of prices and costs in entries; "
    "planned pieces are left out.", "Definition.", "none", "", _total,
)  # fmt: skip


def _by_category(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for category, rows in _published(tables).groupby("category", sort=True):
        yield Result("cost_by_category", float(rows["amount"].sum()), tables.profile.currency, 2,
                     str(category), inputs=_inputs(tables, rows))  # fmt: skip


COST_BY_CATEGORY = Metric(
    "cost_by_category", "Cost by category", "", "Sum of costs by the keeper's own categories.",
    "Definition.", "none", "", _by_category,
)  # fmt: skip


def _per_month(tables: Tables, _done: Metrics) -> Iterator[Result]:
    costs = _published(tables)
    if costs.empty:
        return
    months = months_of(costs["time"])
    sums = costs.groupby(months)["amount"].sum()
    for month in months_between(months.min(), months.max()):
        start = local_time(month, tables.profile)
        end = local_time(next_month(month), tables.profile)
        spent = float(sums.get(month, 0.0))
        yield Result("cost_per_month", spent, tables.profile.currency, 2, start=start, end=end)


COST_PER_MONTH = Metric(
    "cost_per_month", "Cost in each month", "", "Sum of costs by calendar month, from the "
    "first to the last with any.", "Definition.", "none", "", _per_month,
)  # fmt: skip
