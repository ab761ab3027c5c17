"""How far a new tank has matured, as its ammonia and nitrite tests show."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pandas as pd

from journal_tools.metrics.dosing import all_doses, strengths
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.moments import epoch_days
from journal_tools.science.additives.stoichiometry import mass_ratio
from journal_tools.science.life.maturing import STAGES, Dose, MaturingStage, Reading, maturing_stage
from journal_tools.science.life.nitrification import nitrate_balance
from journal_tools.tables import Tables, rows_of
from journal_tools.words import as_heading

_LEAST_LIMIT = 0.01
_PRESENT = 1.645
_SIGNS = {"below": "< ", "above": "> "}
_DAY = re.compile(r"day (\d+(?:\.\d+)?)")


def _tests(tables: Tables, parameter: str, per_nitrogen: float) -> tuple[list[Reading], list[Any]]:
    """Give the tests in mg/L N; from 1.645 of its errors on a reading shows that there is some.

    Source:
        Critical value for a risk of 5 % to see what is not there: Currie 1995, Pure Appl. Chem.
        67:1699. The detection limit, twice that, would call a weak colour none.
    """
    rows = tables.readings_of(parameter)
    found = []
    for row, day in zip(rows_of(rows), epoch_days(rows["time"]), strict=True):
        below = row.censored == "below"
        limit = max(row.value if below else _PRESENT * row.error, _LEAST_LIMIT) / per_nitrogen
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
              f"{_SIGNS.get(row.censored, '')}{row.value:g} {row.unit}", row.entry, int(row.line))
        for row in rows
    )  # fmt: skip
    yield Result("maturing_stage", stage.stage, f"of {max(STAGES)}", 0,
                 end=max((row.time for row in rows), default=None),
                 inputs=inputs, note=_in_words(stage, tables))  # fmt: skip


def _in_words(stage: MaturingStage, tables: Tables) -> str:
    """Give the reason of the stage, days counted as the tank's own: the first is day 1.

    The reason rounds the days; each is one of a test, whose date is known to the minute.
    """
    tests = pd.concat([tables.readings_of(name) for name in ("ammonia", "nitrite")])
    dates = {f"{day:g}": time.date() for day, time in zip(epoch_days(tests["time"]), tests["time"],
                                                          strict=True)}  # fmt: skip

    def of_tank(match: re.Match[str]) -> str:
        return f"day {(dates[match[1]] - tables.profile.start).days + 1}"

    return as_heading(_DAY.sub(of_tank, f"{stage.reason}."))


MATURING_STAGE = Metric(
    "maturing_stage", "Stage of maturing", "",
    "From the tests of total ammonia and nitrite: 0 too few tests, 1 ammonia present, 2 ammonia "
    "falling with nitrite, 3 ammonia below the limit of the test, 4 both below it on two occasions "
    "a day apart, 5 two challenge doses of ammonia used up within a day. A number counts as below "
    "the limit where it is less than 1.6 times the error of its test, and what is below the limit "
    "is never taken as zero. It says what was measured, never that animals may go in.",
    "Order of the steps of nitrification; critical value by Currie 1995, Pure Appl. Chem. 67:1699; "
    "the challenge rule (2 mg/L N within 24 hours) is common practice, no source.",
    "chemical", "", _stage,
)  # fmt: skip


def _formed(tables: Tables, done: Metrics) -> Iterator[Result]:
    """Compare nitrate with dosed ammonia while nothing was fed and no water changed."""
    net = done.one("net_volume")
    doses = _ammonia_doses(tables, net.value) if net else []
    rows = tables.readings_of("nitrate")
    rows = rows[rows["censored"] != "above"]
    if not doses or rows.empty:
        return
    end = _end_of_balance(tables)
    days = epoch_days(rows["time"])
    before = rows[days <= doses[0].day].tail(1)
    after = rows[(days > doses[0].day) & (days <= end)].tail(1)
    if before.empty or after.empty:
        return
    first, last = next(rows_of(before)), next(rows_of(after))
    until = float(epoch_days(after["time"])[0])
    dosed = sum(dose.nitrogen_mg_l for dose in doses if dose.day <= until)
    # Before anything was dosed "below x" is anywhere from nothing to x.
    start = first.value / 2 if first.censored else first.value
    found = nitrate_balance(dosed, last.value - start, *_left(tables, until))
    if found.expected_mg_l <= 0:
        return
    inputs = (
        Input("ammonia dosed", f"{dosed:.1f} mg/L N"),
        Input("nitrate before", f"{start:.1f} mg/L", first.entry, int(first.line)),
        Input("nitrate after", f"{last.value:.1f} mg/L", last.entry, int(last.line)),
        Input("nitrate expected of it", f"{found.expected_mg_l:.1f} mg/L"),
    )
    high = "Nitrite was in the water, with which nitrate tests read high."
    note = high if found.nitrite_interferes else ""
    yield Result("nitrate_formed", 100 * found.measured_mg_l / found.expected_mg_l, "%", -1, "",
                 start=first.time, end=last.time, inputs=inputs, note=note)  # fmt: skip


def _end_of_balance(tables: Tables) -> float:
    """Give the day from which food or a water change bends the balance; infinite without."""
    times = [frame["time"].iloc[0] for frame in (tables.feedings, tables.water_changes)
             if not frame.empty]  # fmt: skip
    return float(epoch_days(pd.Series([min(times)]))[0]) if times else float("inf")


def _left(tables: Tables, until: float) -> tuple[float, float]:
    """Give ammonia and nitrite still there, in mg/L N; a limit counts as none."""
    left = []
    for parameter, per_nitrogen in (("ammonia", 1.0), ("nitrite", mass_ratio("NO2", of="N"))):
        rows = tables.readings_of(parameter)
        rows = rows[epoch_days(rows["time"]) <= until].tail(1)
        there = not rows.empty and rows["censored"].iloc[0] == ""
        left.append(float(rows["value"].iloc[0]) / per_nitrogen if there else 0.0)
    return left[0], left[1]


NITRATE_FORMED = Metric(
    "nitrate_formed", "Nitrate found of the ammonia dosed", "%",
    "Rise of nitrate from the test before the first ammonia dose to the last test before anything "
    "was fed or any water changed, by what the dosed nitrogen that is gone would make.",
    "Nitrogen balance and molar masses; a nitrate test is good to 20 to 30 %: common practice, no "
    "source.",
    "chemical", "", _formed,
)  # fmt: skip
