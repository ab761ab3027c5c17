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

    The temperature is the highest set point of the heaters, which is the one that holds the water;
    without any it is the middle of the target band, as is the salinity. Both are what the system
    is built for, not the last reading.
    """
    salinity, of_salinity = _aimed_at(tables, "salinity")
    temperature, source = _aimed_at(tables, "temperature")
    for piece in in_use(tables, "heater"):
        point = piece.set_point
        if point and (point.value > temperature or not source.label.startswith("set point")):
            temperature, source = point.value, Input(f"set point of {piece.name}", point.said)
    return Water(temperature, salinity, (source, of_salinity))


def _aimed_at(tables: Tables, parameter: str) -> tuple[float, Input]:
    """Give the middle of a target band; for a band open on a side what is usual and lies in it."""
    words, band = PARAMETERS[parameter], tables.band(parameter, tables.today)
    if band and band.low is not None and band.high is not None:
        middle = (band.low + band.high) / 2
        label = f"middle of the {words.in_text} band"
    else:
        assert words.usual is not None
        middle = sum(end for end in words.usual if end is not None) / 2
        low, high = (band.low, band.high) if band else (None, None)
        middle = max(middle, low) if low is not None else middle
        middle = min(middle, high) if high is not None else middle
        label = f"{words.in_text} (assumed: the band is open)"
    return middle, Input(label, f"{middle:.1f} {words.unit}")


def combined(parts: list[Estimate]) -> Estimate:
    """Give a sum of independent parts; the errors are added as squares."""
    value = sum(part.value for part in parts)
    below = sum((part.value - part.low) ** 2 for part in parts) ** 0.5
    above = sum((part.high - part.value) ** 2 for part in parts) ** 0.5
    return Estimate(value, value - below, value + above)
