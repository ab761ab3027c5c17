"""New salt water: how much salt a batch takes and how alike the batches are."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator

from journal_tools.metrics.gear import usual_water
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.parameters import PARAMETERS
from journal_tools.science.water.seawater import salt_in_seawater_kg
from journal_tools.tables import Tables, rows_of

_LAST_CHANGES = 6
_DRY_SHARE = 0.91


def _mass(tables: Tables, _done: Metrics) -> Iterator[Result]:
    changes, mix = tables.water_changes.tail(_LAST_CHANGES), tables.profile.salt_mix
    if changes.empty:
        return
    litres = float(changes["volume_l"].median())
    water = usual_water(tables)
    salinity = float(changes["fresh_salinity"].dropna().median()) if (
        changes["fresh_salinity"].notna().any()) else water.salinity  # fmt: skip
    inputs = [Input("usual change, median of the last six", f"{litres:.0f} L"),
              Input("salinity of the new water", f"{salinity:.1f} psu")]  # fmt: skip
    if mix is not None and mix.grams_per_litre is not None:
        value = litres * mix.grams_per_litre * salinity / 35 / 1000
        spread, note = 0.03, "By the grams per litre that the profile states."
        inputs.append(Input(f"grams per litre of {mix.name} at 35 psu", f"{mix.grams_per_litre:g}"))
    else:
        value = salt_in_seawater_kg(litres, salinity, water.temperature_c, _DRY_SHARE)
        spread, note = 0.06, "Weigh your own mix once and write 'grams_per_litre': it is surer."
    yield Result("batch_salt", value, "kg", 2, "", value * (1 - spread), value * (1 + spread),
                 inputs=tuple(inputs), note=note)  # fmt: skip


BATCH_SALT = Metric(
    "batch_salt", "Salt for a usual water change", "kg",
    "Litres times the mix's own grams per litre, by salinity; else the salt that such seawater "
    "holds, with 5 to 12 % water in a dry mix.",
    "Seawater by EOS-80 and reference salinity (IOC, SCOR & IAPSO 2010); water in the mix: common "
    "practice, no source.",
    "none", "likely range", _mass,
)  # fmt: skip


def _consistency(tables: Tables, _done: Metrics) -> Iterator[Result]:
    """Give how far fresh batches scatter where new water was measured three times or more."""
    for name, parameter in PARAMETERS.items():
        rows = [row for row in rows_of(tables.water_changes) if _measured(tables, row, name)]
        if len(rows) < 3:
            continue
        values = [getattr(row, f"fresh_{name}") for row in rows]
        inputs = tuple(
            Input(f"{row.time:%Y-%m-%d}", f"{value:.{parameter.decimals}f} {parameter.unit}",
                  row.entry, int(row.line))
            for row, value in zip(rows, values, strict=True)
        )  # fmt: skip
        yield Result("batch_scatter", statistics.stdev(values), parameter.unit,
                     parameter.decimals + 1, name, inputs=inputs)  # fmt: skip


def _measured(tables: Tables, row: object, parameter: str) -> bool:
    """Tell whether the value of a change differs from what the profile says of every batch."""
    mix = tables.profile.salt_mix
    usual = getattr(mix.fresh, parameter, None) if mix else None
    value = getattr(row, f"fresh_{parameter}")
    return not math.isnan(value) and (usual is None or value != usual.value)


BATCH_SCATTER = Metric(
    "batch_scatter", "Scatter from batch to batch", "",
    "Standard deviation of what new water measured, over three or more batches that were tested.",
    "Sample standard deviation.", "none", "", _consistency,
)  # fmt: skip
