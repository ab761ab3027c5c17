"""Evaporation as it was logged, how long the reservoir lasts, and what a failing top-off does."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from journal_tools.metrics.gear import in_use, planned_note, usual_water
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.warmth import room_air, warm_tank
from journal_tools.moments import epoch_days
from journal_tools.science.estimate import Estimate
from journal_tools.science.warmth import evaporation
from journal_tools.science.water import evaporation_salinity
from journal_tools.system import Equipment
from journal_tools.tables import Tables, rows_of

_RECENT_DAYS = 90
_FEWEST_DAYS = 5.0


def _logged(tables: Tables) -> tuple[Estimate, tuple[Input, ...], str] | None:
    """Give litres a day from the top-offs of the last days; several of one moment count as one."""
    rows = tables.top_offs
    rows = rows[(rows["time"] >= tables.days_ago(_RECENT_DAYS)) & (rows["time"] < tables.now)]
    litres = rows.groupby("time", sort=True)["volume_l"].sum()
    if len(litres) < 2:
        return None
    days = epoch_days(pd.Series(litres.index))
    if days[-1] - days[0] < _FEWEST_DAYS:
        return None
    found = evaporation.evaporation_from_top_off_l_d(days, litres.to_numpy(dtype="float64"))
    inputs = tuple(
        Input(f"{row.time:%Y-%m-%d}", f"{row.volume_l:.1f} L", row.entry, int(row.line))
        for row in rows_of(rows)
    )
    return found, inputs, f"From {len(rows)} top-offs; the first only starts the clock."


def _by_formula(tables: Tables) -> tuple[Estimate, tuple[Input, ...], str] | None:
    """Give litres a day by the equation for quiet pools, the mean of both ends of the room."""
    water = usual_water(tables)
    tank = warm_tank(tables, water)
    rooms = [room for which in ("coldest", "warmest") if (room := room_air(tables, which))]
    if tank is None or not rooms:
        return None
    found = [
        evaporation.evaporation_estimate_kg_d(
            water.temperature_c, tank.surface_m2, air, water.salinity
        )
        for air, _ in rooms
    ]
    count = len(found)
    mean = Estimate(
        sum(one.value for one in found) / count,
        min(one.low for one in found),
        max(one.high for one in found),
    )
    inputs = (*water.inputs, *(item for _, told in rooms for item in told),
              Input("water surface", f"{tank.surface_m2:.2f} m²"))  # fmt: skip
    return mean, inputs, "By formula: log the top-offs, and what is measured takes its place."


def _evaporation(tables: Tables, _done: Metrics) -> Iterator[Result]:
    found = _logged(tables) or _by_formula(tables)
    if found is not None and found[0].value > 0:
        rate, inputs, note = found
        yield Result("evaporation", rate.value, "L/day", 1, "", rate.low, rate.high,
                     end=tables.now, inputs=inputs, note=note)  # fmt: skip


EVAPORATION = Metric(
    "evaporation", "Water that evaporates", "L/day",
    "Logged top-offs of the last 90 days divided by the days between the first and the last of "
    "them. Where there are none, by the equation for quiet pools from the room at its coldest and "
    "warmest.",
    "Water balance; else Carrier 1918 / ASHRAE with the ratio of Smith, Löf & Jones 1998, good to "
    "40 %.",
    "none", "likely range", _evaporation,
)  # fmt: skip


def _reservoirs(tables: Tables) -> list[Equipment]:
    pieces = in_use(tables, "top-off")
    return [piece for piece in pieces if piece.reservoir is not None and piece.reservoir.value > 0]


def _reserve(tables: Tables, done: Metrics) -> Iterator[Result]:
    rate = done.one("evaporation")
    for piece in _reservoirs(tables):
        if rate is None or not rate.low or rate.high is None:
            continue
        assert piece.reservoir is not None
        litres = piece.reservoir.value
        days, least, most = (
            evaporation_salinity.top_off_reserve_days(litres, speed)
            for speed in (rate.value, rate.high, rate.low)
        )
        inputs = (Input("reservoir", piece.reservoir.said),
                  Input("evaporation", f"{rate.value:.1f} L a day"))  # fmt: skip
        yield Result("top_off_reserve", days, "days", 0, piece.name, least, most, inputs=inputs,
                     note=planned_note(tables, piece))  # fmt: skip


TOP_OFF_RESERVE = Metric(
    "top_off_reserve", "Days that a full reservoir lasts", "days",
    "What the reservoir holds divided by what evaporates a day.", "Definition.", "none",
    "by the range of the evaporation", _reserve,
)  # fmt: skip


def _drift(tables: Tables, done: Metrics) -> Iterator[Result]:
    rate, net = done.one("evaporation"), done.one("net_volume")
    if rate is None or net is None or rate.value > net.value / 4:
        return
    salinity = usual_water(tables).salinity
    drift = evaporation_salinity.salinity_drift_per_day(salinity, rate.value, net.value)
    shares = [end / rate.value for end in (rate.low, rate.high) if end is not None]
    inputs = (Input("evaporation", f"{rate.value:.1f} L a day"),
              Input("net volume", f"{net.value:.0f} L"),
              Input("salinity", f"{salinity:.1f} psu"))  # fmt: skip
    yield Result("salinity_drift", drift, "psu/day", 2, "", drift * min(shares),
                 drift * max(shares), inputs=inputs)  # fmt: skip


SALINITY_DRIFT = Metric(
    "salinity_drift", "Rise of salinity without top-off", "psu/day",
    "Evaporation takes only water: salinity rises by salinity times litres lost over net volume.",
    "Mass balance of salt.", "none", "by the range of the evaporation", _drift,
)  # fmt: skip


def _overfill(tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    for piece in _reservoirs(tables):
        assert piece.reservoir is not None
        if net is None or piece.reservoir.value > net.value:
            continue
        salinity = usual_water(tables).salinity
        value = evaporation_salinity.salinity_after_overfill(
            salinity, net.value, piece.reservoir.value
        )
        inputs = (Input("reservoir", piece.reservoir.said),
                  Input("net volume", f"{net.value:.0f} L"),
                  Input("salinity", f"{salinity:.1f} psu"))  # fmt: skip
        yield Result("overfill_salinity", value, "psu", 1, piece.name, inputs=inputs,
                     note=planned_note(tables, piece))  # fmt: skip


OVERFILL_SALINITY = Metric(
    "overfill_salinity", "Salinity if the whole reservoir runs in", "psu",
    "The salt stays, the water grows by the reservoir.", "Mass balance of salt.", "mains", "",
    _overfill,
)  # fmt: skip
