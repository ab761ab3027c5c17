"""Every metric of a journal, in the order in which one may use another."""

from __future__ import annotations

from journal_tools.metrics import (
    activity,
    consumption,
    dosing,
    flow,
    spending,
    stocking,
    testing,
    volume,
)
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.tables import Tables

METRICS: tuple[Metric, ...] = (
    volume.GROSS_VOLUME,
    volume.DISPLACEMENT,
    volume.NET_VOLUME,
    flow.RATED_TURNOVER,
    flow.RETURN_FLOW,
    flow.REAL_TURNOVER,
    dosing.DOSE_PER_DAY,
    dosing.DOSE_TOTAL,
    dosing.DOSE_EFFECT,
    consumption.CONSUMPTION_BETWEEN_TESTS,
    consumption.CONSUMPTION,
    stocking.FISH_BIOMASS,
    stocking.ADULT_LENGTH,
    testing.DAYS_SINCE_TEST,
    testing.TIME_IN_BAND,
    testing.TIME_IN_BAND_EVER,
    spending.COST_TOTAL,
    spending.COST_BY_CATEGORY,
    spending.COST_PER_MONTH,
    activity.ENTRIES_PER_MONTH,
    activity.PHOTOS_PER_MONTH,
)
"""All metrics. A new one is written in its module and named here; pages and data follow."""


def compute_metrics(tables: Tables) -> Metrics:
    """Give all results for a journal's tables."""
    metrics = Metrics()
    for metric in METRICS:
        metrics.add(metric, metric.compute(tables, metrics))
    return metrics


__all__ = ["METRICS", "Input", "Metric", "Metrics", "Result", "compute_metrics"]
