"""What a keeper might look at next: each point with its evidence, none with alarm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from journal_tools.metrics.record import Metrics
from journal_tools.names import name_key
from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.profile import Test
from journal_tools.tables import Tables
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


def notices(
    tables: Tables, metrics: Metrics, parameters: Mapping[str, Parameter] = PARAMETERS
) -> list[Notice]:
    """Give all points: readings outside their band, old tests, tasks that are due.

    Args:
        tables: The journal's tables, in the units of ``parameters``.
        metrics: Its results.
        parameters: The parameter table, with the units that are to be shown.
    """
    return [*_outside(tables, parameters), *_untested(tables, metrics), *_due(tables)]


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


def _untested(tables: Tables, metrics: Metrics) -> Iterator[Notice]:
    for result in metrics.of("days_since_test"):
        limit = retest_days(tables, result.subject)
        if limit is not None and result.value > limit:
            label = PARAMETERS[result.subject].label
            yield Notice(
                "untested",
                f"{label} was last tested {span_text(int(result.value))} ago.",
                f"Meant to be tested every {span_text(limit)}.",
                parameter=result.subject,
            )


def retest_days(tables: Tables, parameter: str) -> int | None:
    """Give how often a parameter is meant to be tested: by the profile, else as is usual."""
    test: Test | None = getattr(tables.profile.tests, parameter, None)
    if test is not None and test.every is not None:
        return round(test.every.value)
    return PARAMETERS[parameter].retest_days


def _due(tables: Tables) -> Iterator[Notice]:
    done = tables.upkeep.assign(key=tables.upkeep["task"].map(name_key))
    for task in tables.profile.upkeep:
        rows = done[done["key"] == name_key(task.task)]
        every = round(task.every.value)
        last = rows["time"].iloc[-1].date() if not rows.empty else tables.profile.start
        over = (tables.today - last).days - every
        if over >= 0:
            since = f"Last done {ago(last, tables.today)}" if not rows.empty else "Never logged"
            entry = str(rows["entry"].iloc[-1]) if not rows.empty else ""
            when = "is due today" if over == 0 else f"was due {span_text(over)} ago"
            yield Notice(
                "due", f"{as_heading(task.task)} {when}.", f"{since}; every {task.every.said}.",
                entry,
            )  # fmt: skip
