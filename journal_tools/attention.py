"""What a keeper might look at next: each point with its evidence, none with alarm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.tables import Tables
from journal_tools.tasks import tasks_of
from journal_tools.words import ago, as_heading, band_text, reading_text, span_text


@dataclass(frozen=True, slots=True)
class Notice:
    """One point of the list.

    Attributes:
        kind: ``outside``, ``untested`` or ``due``.
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


def notices(tables: Tables, parameters: Mapping[str, Parameter] = PARAMETERS) -> list[Notice]:
    """Give all points: readings outside their band, old tests, tasks that are due.

    Args:
        tables: The journal's tables, in the units of ``parameters``.
        parameters: The parameter table, with the units that are to be shown.
    """
    return [*_outside(tables, parameters), *_untested(tables), *_due(tables)]


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


def _untested(tables: Tables) -> Iterator[Notice]:
    for task in tasks_of(tables):
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


def _due(tables: Tables) -> Iterator[Notice]:
    for task in tasks_of(tables):
        over = task.days_over(tables.today)
        if task.kind == "test" or over < 0:
            continue
        since = f"Last done {ago(task.last.day, tables.today)}" if task.last else "Never logged"
        when = "is due today" if over == 0 else f"was due {span_text(over)} ago"
        yield Notice(
            "due", f"{as_heading(task.name)} {when}.",
            f"{since}; every {span_text(task.every_days)}.", task.last.entry if task.last else "",
        )  # fmt: skip
