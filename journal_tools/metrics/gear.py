"""Which equipment is there, and in what water it works: what several metrics ask first."""

from __future__ import annotations

from dataclasses import dataclass

from journal_tools.metrics.record import Input
from journal_tools.parameters import PARAMETERS
from journal_tools.science.estimate import Estimate
from journal_tools.system import Equipment
from journal_tools.tables import Tables

PLANNED = "Planned, not yet in service."


def in_service(tables: Tables, *kinds: str) -> list[Equipment]:
    """Give the pieces of some kinds that are in service today, in the profile's order."""
    return [
        piece
        for piece in tables.profile.equipment
        if piece.kind in kinds
        and not piece.planned_on(tables.today)
        and tables.state_of(piece.name) == "in service"
    ]


def in_use(tables: Tables, *kinds: str) -> list[Equipment]:
    """Give the pieces in service, or, where there is none of the kinds yet, the planned ones.

    Of planned pieces that are a choice between each other only the first counts.
    """
    there = in_service(tables, *kinds)
    if there:
        return there
    planned = [
        piece
        for piece in tables.profile.equipment
        if piece.kind in kinds and piece.planned_on(tables.today)
    ]
    first_of = {piece.choice: piece for piece in reversed(planned) if piece.choice}
    return [p for p in planned if not p.choice or first_of[p.choice] is p]


def planned_note(tables: Tables, piece: Equipment) -> str:
    """Give the mark of a planned piece, or nothing."""
    return PLANNED if piece.planned_on(tables.today) else ""


@dataclass(frozen=True, slots=True)
class Water:
    """The usual temperature and salinity that equipment works in, and where they are from."""

    temperature_c: float
    salinity: float
    inputs: tuple[Input, ...]


def usual_water(tables: Tables) -> Water:
    """Give the temperature that is aimed at and the usual salinity.

    The temperature is a heater's set point, else the middle of the target band; the salinity is
    the middle of its band. Both are what the system is built for, not the last reading.
    """
    heaters = [piece for piece in in_use(tables, "heater") if piece.set_point is not None]
    if heaters and heaters[0].set_point is not None:
        temperature = heaters[0].set_point.value
        source = Input(f"set point of {heaters[0].name}", heaters[0].set_point.said)
    else:
        temperature = _middle(tables, "temperature")
        source = Input("middle of the temperature band", f"{temperature:.1f} °C")
    salinity = _middle(tables, "salinity")
    return Water(
        temperature, salinity, (source, Input("middle of the salinity band", f"{salinity:.1f} psu"))
    )


def _middle(tables: Tables, parameter: str) -> float:
    band = tables.band(parameter, tables.today)
    usual = PARAMETERS[parameter].usual
    assert usual is not None
    low, high = (band.low, band.high) if band else usual
    ends = [end for end in (low, high) if end is not None]
    return sum(ends) / len(ends) if ends else sum(e for e in usual if e is not None) / 2


def combined(parts: list[Estimate]) -> Estimate:
    """Give a sum of independent parts; the errors are added as squares."""
    value = sum(part.value for part in parts)
    below = sum((part.value - part.low) ** 2 for part in parts) ** 0.5
    above = sum((part.high - part.value) ** 2 for part in parts) ** 0.5
    return Estimate(value, value - below, value + above)
