"""How far a new tank has matured, as its ammonia and nitrite tests show."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pandas as pd

from journal_tools.metrics.dosing import all_doses, strengths
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.moments import epoch_days
from journal_tools.science.maturing import STAGES, Dose, MaturingStage, Reading, maturing_stage
from journal_tools.science.stoichiometry import mass_ratio
from journal_tools.tables import Tables, rows_of
from journal_tools.words import as_heading

_LEAST_LIMIT = 0.01
_DETECTED = 3.0
_DAY = re.compile(r"day (\d+(?:\.\d+)?)")


def _tests(tables: Tables, parameter: str, per_nitrogen: float) -> tuple[list[Reading], list[Any]]:
    """Give the tests in mg/L N; the limit of an uncensored one is three of its errors.

    Source:
        Limit of detection as three standard deviations: Currie 1995, Pure Appl. Chem. 67:1699.
    """
    rows = tables.readings_of(parameter)
    found = []
    for row, day in zip(rows_of(rows), epoch_days(rows["time"]), strict=True):
        below = row.censored == "below"
        limit = max(row.value if below else _DETECTED * row.error, _LEAST_LIMIT) / per_nitrogen
        found.append(Reading(float(day), row.value / per_nitrogen, below, limit))
    return found, list(rows_of(rows))


def _ammonia_doses(tables: Tables, net_volume_l: float) -> list[Dose]:
    """Give what supplements that lift ammonia were dosed."""
    known = strengths(tables.profile)
    doses = all_doses(tables)
    found = []
    for row, day in zip(rows_of(doses), epoch_days(doses["time"]), strict=True):
        power = known.get(row.product)
        if power is not None and row.unit == power.unit and "ammonia" in power.lifts:
            rise = row.amount * power.lifts["ammonia"] / net_volume_l
            found.append(Dose(float(day), min(rise, 1000.0)))
    return found


def stage_of(tables: Tables, net_volume_l: float | None) -> tuple[MaturingStage, list[Any]] | None:
    """Give the stage that the tests show, with the rows it rests on; None without any test."""
    ammonia, ammonia_rows = _tests(tables, "ammonia", 1.0)
    nitrite, nitrite_rows = _tests(tables, "nitrite", mass_ratio("NO2", of="N"))
    if not ammonia and not nitrite:
        return None
    doses = _ammonia_doses(tables, net_volume_l) if net_volume_l else []
    found = maturing_stage(ammonia, nitrite, doses)
    rows = [ammonia_rows[i] for i in found.ammonia] + [nitrite_rows[i] for i in found.nitrite]
    return found, rows


def _stage(tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    found = stage_of(tables, net.value if net else None)
    if found is None:
        return
    stage, rows = found
    inputs = tuple(
        Input(f"{row.parameter}, {row.time:%Y-%m-%d}",
              f"{'< ' if row.censored == 'below' else ''}{row.value:g} {row.unit}",
              row.entry, int(row.line))
        for row in rows
    )  # fmt: skip
    yield Result("maturing_stage", stage.stage, f"of {max(STAGES)}", 0,
                 end=max((row.time for row in rows), default=None),
                 inputs=inputs, note=_in_words(stage, tables))  # fmt: skip


def _in_words(stage: MaturingStage, tables: Tables) -> str:
    """Give the reason of the stage, days counted as the tank's own: the first is day 1."""
    start = tables.profile.start

    def of_tank(match: re.Match[str]) -> str:
        moment = pd.Timestamp(float(match[1]), unit="D", tz="UTC").tz_convert(
            tables.profile.time_zone
        )
        return f"day {(moment.date() - start).days + 1}"

    return as_heading(_DAY.sub(of_tank, f"{stage.reason}."))


MATURING_STAGE = Metric(
    "maturing_stage", "Stage of maturing", "",
    "From the tests of total ammonia and nitrite: 0 too few tests, 1 ammonia present, 2 ammonia "
    "falling with nitrite, 3 ammonia below the limit of the test, 4 both below it on two occasions "
    "a day apart, 5 two challenge doses of ammonia used up within a day. A reading below the limit "
    "is never taken as zero. It says what was measured, never that animals may go in.",
    "Order of the steps of nitrification; the challenge rule is common practice, no source.",
    "animal", "", _stage,
)  # fmt: skip
