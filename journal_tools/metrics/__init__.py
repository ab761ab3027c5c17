"""Every metric of a journal, in the order in which one may use another."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from journal_tools.metrics import (
    activity,
    calcium_ratio,
    chemistry,
    consumables,
    consumption,
    days_left,
    dose_advice,
    dosing,
    electricity,
    electrodes,
    fill,
    filtration,
    flow,
    growth,
    lighting,
    maturing,
    nutrients,
    power_cut,
    probes,
    salt,
    side_effects,
    spending,
    stability,
    stocking,
    structure,
    surface,
    testing,
    top_off,
    volume,
    volume_by_dose,
    warmth,
)
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.tables import Tables

METRICS: tuple[Metric, ...] = (
    volume.GROSS_VOLUME,
    volume.DISPLACEMENT,
    volume.NET_VOLUME,
    flow.RATED_TURNOVER,
    flow.RETURN_FLOW,
    flow.FLOW_LOST,
    flow.FLOW_GAINED,
    flow.REAL_TURNOVER,
    surface.WATER_SURFACE,
    surface.WEIR_HEIGHT,
    surface.CIRCULATION,
    fill.SAND_DEPTH,
    fill.ROCK_AMOUNT,
    salt.BATCH_SALT,
    salt.BATCH_SCATTER,
    power_cut.BACK_SIPHON,
    power_cut.SUMP_MARGIN,
    structure.SYSTEM_WEIGHT,
    structure.FOOTPRINT_PRESSURE,
    structure.FOOT_LOAD,
    structure.STAND_SHARE,
    structure.PANE_STRESS,
    structure.PANE_DEFLECTION,
    warmth.HEAT_LOSS,
    warmth.HEATER_NEEDED,
    warmth.HEAT_WITHOUT,
    warmth.COOLING_NEEDED,
    warmth.HOURS_TO_COOL,
    top_off.EVAPORATION,
    top_off.TOP_OFF_RESERVE,
    top_off.SALINITY_DRIFT,
    top_off.OVERFILL_SALINITY,
    lighting.DAILY_LIGHT,
    lighting.PHOTOPERIOD,
    electricity.MEAN_POWER,
    electricity.ENERGY_PER_MONTH,
    electricity.ELECTRICITY_COST,
    chemistry.PCO2,
    chemistry.ARAGONITE_SATURATION,
    chemistry.EQUILIBRIUM_PH,
    chemistry.UNIONISED_AMMONIA,
    chemistry.OXYGEN_SATURATION,
    electrodes.ELECTRODE_SLOPE,
    electrodes.ELECTRODE_OFFSET,
    maturing.MATURING_STAGE,
    maturing.NITRATE_FORMED,
    dosing.DOSE_PER_DAY,
    dosing.DOSE_TOTAL,
    dosing.DOSE_EFFECT,
    side_effects.DOSE_PH,
    side_effects.SALT_LEFT,
    consumption.CONSUMPTION_BETWEEN_TESTS,
    consumption.CONSUMPTION,
    consumption.CONSUMPTION_NOW,
    consumption.CONSUMPTION_COURSE,
    dose_advice.LEVEL_NOW,
    calcium_ratio.CALCIUM_RATIO,
    dose_advice.HOLDING_DOSE,
    days_left.DAYS_LEFT,
    dose_advice.AFTER_CHANGE,
    volume_by_dose.VOLUME_BY_DOSE,
    stocking.FISH_BIOMASS,
    stocking.ADULT_LENGTH,
    growth.GROWTH,
    nutrients.NITRATE_FROM_FEED,
    nutrients.FISH_OXYGEN_USE,
    filtration.FEED_LOAD,
    filtration.SKIMMER_RATING,
    filtration.SKIMMER_AIR,
    filtration.MEDIA_AMOUNT,
    testing.DAYS_SINCE_TEST,
    testing.TIME_IN_BAND,
    testing.TIME_IN_BAND_EVER,
    stability.MEAN_LEVEL,
    stability.MONTHLY_SWING,
    stability.ODD_READING,
    stability.LEVEL_JUMP,
    stability.LEAVES_BAND,
    stability.TESTS_DISAGREE,
    probes.PROBE_SWING,
    probes.PROBE_LOWEST,
    probes.PROBE_HIGHEST,
    probes.PROBE_OUTSIDE,
    probes.PROBE_RATE,
    probes.PROBE_GAPS,
    probes.PROBE_DISAGREEMENT,
    spending.COST_TOTAL,
    spending.COST_BY_CATEGORY,
    spending.COST_PER_MONTH,
    consumables.COST_PER_LITRE,
    consumables.CONSUMABLES_COST,
    consumables.RUNNING_COST,
    activity.ENTRIES_PER_MONTH,
    activity.PHOTOS_PER_MONTH,
)
"""All metrics. A new one is written in its module and named here; pages and data follow."""


BUILD_METRICS: tuple[Metric, ...] = (
    volume.GROSS_VOLUME,
    volume.DISPLACEMENT,
    volume.NET_VOLUME,
    flow.RATED_TURNOVER,
    flow.RETURN_FLOW,
    flow.REAL_TURNOVER,
    surface.CIRCULATION,
    warmth.HEAT_LOSS,
    warmth.HEATER_NEEDED,
    warmth.COOLING_NEEDED,
    lighting.DAILY_LIGHT,
    lighting.PHOTOPERIOD,
    electricity.MEAN_POWER,
)
"""What a change of equipment changes, for comparing candidates."""


def compute_metrics(tables: Tables, chosen: Sequence[Metric] = METRICS) -> Metrics:
    """Give all results for a journal's tables, or those of some metrics in their order."""
    metrics = Metrics()
    with collector_paused():
        for metric in chosen:
            metrics.add(metric, metric.compute(tables, metrics))
    return metrics


@contextmanager
def collector_paused() -> Iterator[None]:
    """Keep the garbage collector from looking for cycles while many small records are made.

    Results hold no cycles, and looking through a hundred thousand of them again and again takes
    a third of the time of ten years' metrics.
    """
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


__all__ = ["METRICS", "Input", "Metric", "Metrics", "Result", "collector_paused", "compute_metrics"]
