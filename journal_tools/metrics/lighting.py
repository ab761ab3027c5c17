"""How much light each place gets in a day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from journal_tools.gear import Lighting
from journal_tools.metrics.gear import in_use, planned_note
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.science.lighting.light import daily_light_integral, photoperiod_h
from journal_tools.science.lighting.light_schedule import Ramp, clock_hour
from journal_tools.tables import Tables

_METER_ERROR = 0.15


def ramp_of(light: Lighting, plateau: float) -> Ramp[float]:
    """Give the day of a lamp at a place that gets ``plateau`` µmol/(m2 s) at its brightest."""
    minutes = None if light.ramp is None else light.ramp.value * 1440
    on, off = clock_hour(light.on), clock_hour(light.off)
    return Ramp(plateau, on, off, minutes, light.shape)


def _inputs(light: Lighting) -> tuple[Input, ...]:
    ramp = f", {light.ramp.said} of rise and fall ({light.shape})" if light.ramp else ""
    return (Input("lit", f"{light.on:%H:%M} to {light.off:%H:%M}{ramp}"),)


def _slow_start(light: Lighting, today: dt.date) -> str:
    """Tell of a slow start that is still going on, for its share is not in the figure."""
    start = light.acclimation
    if start is None or not 0 <= (today - start.start).days < start.days:
        return ""
    return "At full strength; the slow start that is going on gives less."


def _integrals(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for piece in in_use(tables, "light"):
        if piece.light is None:
            continue
        for place, plateau in piece.light.par.items():
            value = daily_light_integral(ramp_of(piece.light, plateau))
            error = value * _METER_ERROR
            inputs = (Input(f"measured at {place}", f"{plateau:g} µmol/m²/s"),
                      *_inputs(piece.light))  # fmt: skip
            notes = planned_note(tables, piece), _slow_start(piece.light, tables.today)
            yield Result("daily_light", value, "mol/m²/day", 1, f"{piece.name}: {place}",
                         value - error, value + error, inputs=inputs,
                         note=" ".join(notes).strip())  # fmt: skip


DAILY_LIGHT = Metric(
    "daily_light", "Daily light by place", "mol/m²/day",
    "Light at the brightest times the hours of it, ramps by their area. Light differs from place "
    "to place, so each has its own figure; channel percentages are not light.",
    "Exact integral; 1 µmol/m²/s for 24 h is 0.0864 mol/m². Broadband meters misread blue-heavy "
    "lamps by 10 to 15 %: common practice, no source.",
    "mains", "± 15 % of the meter", _integrals,
)  # fmt: skip


def _photoperiod(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for piece in in_use(tables, "light"):
        if piece.light is not None:
            yield Result("photoperiod", photoperiod_h(ramp_of(piece.light, 100.0)), "h", 1,
                         piece.name, inputs=_inputs(piece.light),
                         note=planned_note(tables, piece))  # fmt: skip


PHOTOPERIOD = Metric(
    "photoperiod", "Hours of light a day", "h", "From on to off, ramps included.", "Definition.",
    "mains", "", _photoperiod,
)  # fmt: skip
