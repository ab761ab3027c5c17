"""What comes next: tests, water changes, bottles and tasks as dates, each with its reason."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from journal_tools.metrics import Metrics
from journal_tools.parameters import PARAMETERS
from journal_tools.tables import Tables
from journal_tools.tasks import tasks_of
from journal_tools.words import as_heading, counted, span_text

_AHEAD_DAYS = 14
_FEWEST_CHANGES = 3
_CHANGES_LOOKED_AT = 7


@dataclass(frozen=True, slots=True)
class Coming:
    """One thing to come.

    Attributes:
        day: The day on which it is next to be done; today where it is late.
        what: What to do.
        why: The reason, with its figure.
        late: Whether its day is past.
    """

    day: dt.date
    what: str
    why: str
    late: bool = False


def outlook(tables: Tables, metrics: Metrics) -> list[Coming]:
    """Give what comes within two weeks, the soonest first.

    Args:
        tables: The journal's tables.
        metrics: Its results.
    """
    found = [*_tests(tables, metrics), *_change(tables), *_bottles(tables, metrics),
             *_tasks(tables)]  # fmt: skip
    last = tables.today + dt.timedelta(days=_AHEAD_DAYS)
    return sorted((one for one in found if one.day <= last), key=lambda one: (one.day, one.what))


def _from_today(day: dt.date, tables: Tables) -> tuple[dt.date, bool]:
    return max(day, tables.today), day < tables.today


def _tests(tables: Tables, metrics: Metrics) -> Iterator[Coming]:
    """Give each test at its interval, or earlier where a trend leads out of the band."""
    for task in tasks_of(tables):
        if task.kind != "test" or task.last is None:
            continue
        often = "meant" if task.meant else "usual"
        why = f"Every {span_text(task.every_days)} is {often}; the last was {task.last.day}."
        day = task.due
        trend = metrics.one("leaves_band", task.subject)
        if trend is not None and trend.low is not None:
            early = tables.today + dt.timedelta(days=max(1, int(trend.low)))
            if early < day:
                day, why = early, f"It may leave its band. {trend.note}"
        label = PARAMETERS[task.subject].label
        name = label if task.subject == "ph" else label.lower()
        day, late = _from_today(day, tables)
        yield Coming(day, f"Test {name}", why, late)


def _change(tables: Tables) -> Iterator[Coming]:
    """Give the next water change by the usual time between the last ones."""
    days = sorted({time.date() for time in tables.water_changes["time"]})[-_CHANGES_LOOKED_AT:]
    if len(days) < _FEWEST_CHANGES:
        return
    gaps = sorted((later - earlier).days for earlier, later in pairwise(days))
    usual = gaps[len(gaps) // 2]
    litres = float(tables.water_changes["volume_l"].tail(_CHANGES_LOOKED_AT).median())
    day, late = _from_today(days[-1] + dt.timedelta(days=usual), tables)
    why = f"The last ones were {counted(usual, 'day')} apart, of {litres:.0f} L; the newest was "
    yield Coming(day, "Change water", f"{why}{days[-1]}.", late)


def _bottles(tables: Tables, metrics: Metrics) -> Iterator[Coming]:
    for result in metrics.of("days_left"):
        days = result.low if result.low is not None else result.value
        day = tables.today + dt.timedelta(days=max(0, int(days)))
        yield Coming(day, f"Make or buy {result.subject}", result.note)


def _tasks(tables: Tables) -> Iterator[Coming]:
    for task in tasks_of(tables):
        if task.kind == "test":
            continue
        day, late = _from_today(task.due, tables)
        since = f"last on {task.last.day}" if task.last else "not yet done"
        yield Coming(
            day, as_heading(task.name), f"Every {span_text(task.every_days)}; {since}.", late
        )
