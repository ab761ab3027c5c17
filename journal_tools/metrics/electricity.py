"""What the equipment draws from the mains, and what that costs."""

from __future__ import annotations

from collections.abc import Iterator

from journal_tools.metrics.gear import in_service, in_use, planned_note
from journal_tools.metrics.lighting import ramp_of
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.science.lighting.light import photoperiod_h
from journal_tools.science.warmth import electricity
from journal_tools.system import KINDS, Equipment
from journal_tools.tables import Tables

_BY_THERMOSTAT = ("heater", "chiller", "fan")


def running_hours(piece: Equipment) -> float | None:
    """Give the hours a day that a piece runs; None where a thermostat decides and none is told.

    A light whose day is told runs from on to off.
    """
    told = "hours_per_day" in piece.model_fields_set
    if piece.light is not None and not told:
        return photoperiod_h(ramp_of(piece.light, 100.0))
    return None if piece.kind in _BY_THERMOSTAT and not told else piece.hours_per_day


def _powered(tables: Tables) -> list[tuple[Equipment, float]]:
    """Give what draws power: the pieces in service, or all planned ones before anything is."""
    still_to_come = all(piece.planned_on(tables.today) for piece in tables.profile.equipment)
    there = in_use(tables, *KINDS) if still_to_come else in_service(tables, *KINDS)
    pieces = [piece for piece in there if piece.power is not None]
    return [(piece, hours) for piece in pieces if (hours := running_hours(piece)) is not None]


def _mean(tables: Tables, _done: Metrics) -> Iterator[Result]:
    total, inputs = 0.0, []
    for piece, hours in _powered(tables):
        assert piece.power is not None
        watts = electricity.mean_power_w(piece.power.value, hours)
        said = f"{piece.power.said}, {hours:g} h a day"
        total += watts
        inputs.append(Input(piece.name, f"{watts:.1f} W ({said})"))
        yield Result("mean_power", watts, "W", 1, piece.name, inputs=(Input(piece.name, said),),
                     note=planned_note(tables, piece))  # fmt: skip
    untold = [
        piece.name
        for piece in in_service(tables, *_BY_THERMOSTAT)
        if piece.power is not None and running_hours(piece) is None
    ]
    note = f"Without {', '.join(untold)}: 'hours_per_day' is not told." if untold else ""
    note = f"{note} {_planned(tables)}".strip()
    if inputs:
        yield Result("mean_power", total, "W", 0, inputs=tuple(inputs), note=note)


def _planned(tables: Tables) -> str:
    """Give the mark of planned pieces where nothing is in service yet."""
    pieces = [piece for piece, _ in _powered(tables)]
    return planned_note(tables, pieces[0]) if pieces else ""


MEAN_POWER = Metric(
    "mean_power", "Mean power over day and night", "W",
    "Power while it runs times hours a day, over 24; a light runs from on to off. A heater's "
    "hours are its thermostat's: read them from a plug-in meter.",
    "Definition. A name plate may say twice the truth: common practice, no source.",
    "mains", "", _mean,
)  # fmt: skip


def _energy(_tables: Tables, done: Metrics) -> Iterator[Result]:
    for power in done.of("mean_power"):
        value = electricity.energy_kwh(power.value, electricity.DAYS_PER_MONTH)
        yield Result("energy_per_month", value, "kWh", 1 if value < 10 else 0, power.subject,
                     inputs=(Input("mean power", f"{power.value:.1f} W"),),
                     note=power.note)  # fmt: skip


ENERGY_PER_MONTH = Metric(
    "energy_per_month", "Electricity a month", "kWh", "Mean power times 30.4 days.",
    "Definition.", "mains", "", _energy,
)  # fmt: skip


def _cost(tables: Tables, done: Metrics) -> Iterator[Result]:
    tariff, currency = tables.profile.tariff, tables.profile.currency
    if tariff is None or not tables.profile.privacy.show_costs:
        return
    for energy in done.of("energy_per_month"):
        inputs = (Input("electricity a month", f"{energy.value:.1f} kWh"),
                  Input("tariff", f"{tariff:.4g} {currency} a kWh"))  # fmt: skip
        cost = electricity.energy_cost(energy.value, tariff)
        yield Result("electricity_cost", cost, currency, 2, energy.subject, inputs=inputs,
                     note=energy.note)  # fmt: skip


ELECTRICITY_COST = Metric(
    "electricity_cost", "Electricity cost a month", "", "Energy times the tariff of the profile.",
    "Definition.", "mains", "", _cost,
)  # fmt: skip
