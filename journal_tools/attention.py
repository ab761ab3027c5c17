"""What a keeper might look at next: each point with its evidence, none with alarm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from journal_tools.metrics import Metrics, Result
from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.tables import Tables
from journal_tools.tasks import Task, tasks_of
from journal_tools.words import (
    ago,
    as_heading,
    band_text,
    day_text,
    number_text,
    reading_text,
    span_text,
)

_STILL_NEWS_DAYS = 45
_SAME_EVENT_DAYS = 7


@dataclass(frozen=True, slots=True)
class Notice:
    """One point of the list.

    Attributes:
        kind: ``outside``, ``trend``, ``odd``, ``jump``, ``disagree``, ``pair``, ``stock``,
            ``untested`` or ``due``.
        what: One sentence.
        evidence: What it rests on.
        entry: Entry that shows it, or ``""``.
        parameter: Parameter it is about, or ``""``.
    """

    kind: str
    what: str
    evidence: str
    entry: str = ""
    parameter: str = ""


def notices(
    tables: Tables, metrics: Metrics, parameters: Mapping[str, Parameter] = PARAMETERS
) -> list[Notice]:
    """Give all points: readings outside their band, old tests, tasks that are due.

    Args:
        tables: The journal's tables, in the units of ``parameters``.
        metrics: Its results, in the same units.
        parameters: The parameter table, with the units that are to be shown.
    """
    tasks = tasks_of(tables)
    return [
        *_outside(tables, parameters), *_leaving(metrics, parameters), *_odd(metrics, parameters),
        *_jumps(metrics, parameters), *_disagreeing(tables, metrics, parameters),
        *_impossible(tables, metrics), *_running_out(metrics), *_untested(tasks, tables),
        *_due(tasks, tables),
    ]  # fmt: skip


def _entry_of(result: Result) -> str:
    return next((item.entry for item in reversed(result.inputs) if item.entry), "")


def _leaving(metrics: Metrics, parameters: Mapping[str, Parameter]) -> Iterator[Notice]:
    for result in metrics.of("leaves_band"):
        what = f"{parameters[result.subject].label} is on its way out of its band."
        yield Notice("trend", what, result.note, _entry_of(result), result.subject)


def _odd(metrics: Metrics, parameters: Mapping[str, Parameter]) -> Iterator[Notice]:
    for result in metrics.of("odd_reading"):
        row = parameters[result.subject]
        assert result.end is not None
        if _of_a_jump(result, metrics):
            continue
        what = f"One {row.in_text} test stands out: "
        what += f"{reading_text(result.value, row)} on {day_text(result.end.date())}."
        yield Notice("odd", what, result.note, _entry_of(result), result.subject)


def _of_a_jump(odd: Result, metrics: Metrics) -> bool:
    """Tell whether a jump of the same parameter explains a reading that stands out."""
    assert odd.end is not None
    return any(
        jump.end is not None and abs((jump.end - odd.end).days) <= _SAME_EVENT_DAYS
        for jump in metrics.of("level_jump", odd.subject)
    )


def _jumps(metrics: Metrics, parameters: Mapping[str, Parameter]) -> Iterator[Notice]:
    for result in metrics.of("level_jump"):
        row = parameters[result.subject]
        assert result.start is not None and result.end is not None
        way = "up" if result.value > 0 else "down"
        what = (
            f"{row.label} went {way} by {number_text(abs(result.value), row.decimals)} {row.unit} "
        )
        first, last = result.start.date(), result.end.date()
        same = f"on {day_text(last)}."
        what += same if first == last else f"between {day_text(first)} and {day_text(last)}."
        evidence = result.note or "What else happened in those days is on its chart."
        evidence = f"The tests fit two levels. {evidence}"
        yield Notice("jump", what, evidence, _entry_of(result), result.subject)


def _disagreeing(
    tables: Tables, metrics: Metrics, parameters: Mapping[str, Parameter]
) -> Iterator[Notice]:
    """Report two kits, or probe and kit, whose difference is certainly more than an error."""
    for result in metrics.of("tests_disagree"):
        what = f"Two {parameters[result.subject].in_text} tests do not agree."
        yield Notice("disagree", what, result.note, _entry_of(result), result.subject)
    for result in metrics.of("probe_disagreement"):
        name = result.subject.rpartition(": ")[2]
        if name not in parameters or not _beyond(result, tables.readings_of(name)["error"]):
            continue
        row = parameters[name]
        more = number_text(abs(result.value), result.decimals)
        way = "more" if result.value > 0 else "less"
        what = f"The {row.in_text} probe reads {more} {row.unit} {way} than the tests."
        yield Notice("disagree", what, result.note, _entry_of(result), name)


def _beyond(result: Result, errors: pd.Series) -> bool:
    """Tell whether the whole interval of a difference lies beyond the usual error of a test."""
    if result.low is None or result.high is None:
        return False
    error = float(errors.median())
    return result.low > error or result.high < -error


_POSSIBLE_UATM = (150.0, 3000.0)


def _impossible(tables: Tables, metrics: Metrics) -> Iterator[Notice]:
    """Report a pH and an alkalinity that would mean a carbon dioxide that no room has."""
    result = metrics.one("pco2")
    if result is None or result.end is None or result.low is None or result.high is None:
        return
    if (tables.today - result.end.date()).days > _STILL_NEWS_DAYS:
        return
    if result.high < _POSSIBLE_UATM[0] or result.low > _POSSIBLE_UATM[1]:
        what = f"pH and alkalinity of {day_text(result.end.date())} hardly go together."
        evidence = f"They would mean {number_text(result.value, -1)} µatm of carbon dioxide; a pH "
        evidence += "probe that needs a calibration is the usual reason."
        yield Notice("pair", what, evidence, _entry_of(result), "ph")


_SOON_DAYS = 14


def _running_out(metrics: Metrics) -> Iterator[Notice]:
    for result in metrics.of("days_left"):
        if result.value <= _SOON_DAYS:
            yield Notice("stock", f"{as_heading(result.subject)} is running out.", result.note)


def _outside(tables: Tables, parameters: Mapping[str, Parameter]) -> Iterator[Notice]:
    for name, parameter in parameters.items():
        rows = tables.readings_of(name)
        band = tables.band(name, tables.today)
        if rows.empty or band is None:
            continue
        last = rows.iloc[-1]
        value, censored = float(last["value"]), str(last["censored"])
        if band.holds(value, censored) is not False:
            continue
        side = "above" if band.high is not None and value >= band.high else "below"
        shown = reading_text(value, parameter, censored)
        yield Notice(
            "outside",
            f"{parameter.label} was {side} its band in the last test.",
            f"{shown} {ago(last['time'].date(), tables.today)}; band {band_text(band, parameter)}.",
            str(last["entry"]),
            name,
        )


def _untested(tasks: Sequence[Task], tables: Tables) -> Iterator[Notice]:
    for task in tasks:
        if task.kind != "test" or task.last is None or task.days_over(tables.today) <= 0:
            continue
        days = (tables.today - task.last.day).days
        often = f"every {span_text(task.every_days)}"
        yield Notice(
            "untested",
            f"{PARAMETERS[task.subject].label} was last tested {span_text(days)} ago.",
            f"Meant to be tested {often}." if task.meant else f"Usually tested {often}.",
            task.last.entry,
            task.subject,
        )


def _due(tasks: Sequence[Task], tables: Tables) -> Iterator[Notice]:
    for task in tasks:
        over = task.days_over(tables.today)
        if task.kind == "test" or over < 0:
            continue
        since = f"Last done {ago(task.last.day, tables.today)}" if task.last else "Never logged"
        when = "is due today" if over == 0 else f"was due {span_text(over)} ago"
        yield Notice(
            "due", f"{as_heading(task.name)} {when}.",
            f"{since}; every {span_text(task.every_days)}.", task.last.entry if task.last else "",
        )  # fmt: skip
