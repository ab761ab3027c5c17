"""What is to be done again and again, when it was done, and when it is next."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import pandas as pd

from journal_tools.names import name_key
from journal_tools.parameters import PARAMETERS
from journal_tools.tables import Tables, rows_of
from journal_tools.units import Quantity

TaskKind = Literal["upkeep", "service", "media", "calibration", "test"]


@dataclass(frozen=True, slots=True)
class Done:
    """One time that a task was done: the day, and the entry that says so."""

    day: dt.date
    entry: str


@dataclass(frozen=True)
class Task:
    """Something to be done at an interval.

    Attributes:
        kind: Where it comes from: the upkeep list, a piece of equipment, media in it, an
            instrument, or how often a parameter is meant to be tested.
        name: What to do, in a few words.
        every_days: The interval.
        begins: First day from which it is reckoned.
        done: Every time that it was done, in order.
        meant: False where the interval is only the usual one, not the keeper's own.
        subject: Parameter, piece or instrument that it is about, or ``""``.
    """

    kind: TaskKind
    name: str
    every_days: int
    begins: dt.date
    done: tuple[Done, ...] = ()
    meant: bool = True
    subject: str = ""

    @property
    def last(self) -> Done | None:
        """The last time it was done."""
        return self.done[-1] if self.done else None

    @property
    def due(self) -> dt.date:
        """The day on which it is next to be done."""
        since = self.last.day if self.last else self.begins
        return since + dt.timedelta(days=self.every_days)

    def days_over(self, today: dt.date) -> int:
        """Give how many days it is late; negative where it is still to come."""
        return (today - self.due).days

    def kept(self, today: dt.date, days: int = 365) -> float | None:
        """Give the share of recent days on which it was not late, or None where it is too new.

        A day counts as kept where the task had been done within its interval before it.

        Args:
            today: The last day that counts.
            days: How many days back are looked at, at most to the beginning.
        """
        first = max(self.begins, today - dt.timedelta(days=days - 1))
        span = (today - first).days + 1
        if span < self.every_days:
            return None
        moments = [self.begins, *(done.day for done in self.done), today + dt.timedelta(days=1)]
        late = sum(
            _overlap(start + dt.timedelta(days=self.every_days + 1), end, first, today)
            for start, end in pairwise(moments)
        )
        return 1 - late / span


def _overlap(start: dt.date, end: dt.date, first: dt.date, last: dt.date) -> int:
    """Give how many days from ``start`` up to but not including ``end`` lie within a period."""
    return max(0, (min(end, last + dt.timedelta(days=1)) - max(start, first)).days)


def tasks_of(tables: Tables) -> list[Task]:
    """Give every task of a journal, the soonest due first."""
    tasks = [*_upkeep(tables), *_equipment(tables), *_calibrations(tables), *_tests(tables)]
    return sorted(tasks, key=lambda task: (task.due, task.name))


def _upkeep(tables: Tables) -> Iterator[Task]:
    for task in tables.profile.upkeep:
        rows = _named(tables.upkeep, "task", task.task)
        yield Task("upkeep", task.task, _days(task.every), tables.profile.start, _done(rows))


def _equipment(tables: Tables) -> Iterator[Task]:
    for piece in tables.profile.equipment:
        if piece.planned_on(tables.today) or tables.state_of(piece.name) == "removed":
            continue
        rows = _named(tables.equipment, "name", piece.name)
        installed = rows[rows["event"] == "installed"]["time"]
        begins = installed.iloc[-1].date() if not installed.empty else tables.profile.start
        if piece.service_every is not None:
            done = rows[rows["event"] == "serviced"]
            every = _days(piece.service_every)
            yield Task(
                "service", f"service {piece.name}", every, begins, _done(done), subject=piece.name
            )
        if piece.media is not None and piece.media.change_every is not None:
            name = f"{piece.media.what} in {piece.name}"
            changed = rows[rows["event"].isin(("changed", "serviced"))]
            upkeep = _named(tables.upkeep, "task", piece.media.what)
            done = pd.concat([changed, upkeep]).sort_values("time", kind="stable")
            every = _days(piece.media.change_every)
            yield Task("media", name, every, begins, _done(done), subject=piece.name)


def _calibrations(tables: Tables) -> Iterator[Task]:
    for instrument in tables.profile.instruments:
        if instrument.calibrate_every is not None:
            rows = _named(tables.calibrations, "instrument", instrument.name)
            every = _days(instrument.calibrate_every)
            yield Task(
                "calibration", f"calibrate {instrument.name}", every, tables.profile.start,
                _done(rows), subject=instrument.name,
            )  # fmt: skip


def _tests(tables: Tables) -> Iterator[Task]:
    """Give what is meant to be tested, or usually is and has been tested before."""
    for name, parameter in PARAMETERS.items():
        test = getattr(tables.profile.tests, name, None)
        rows = tables.readings_of(name)
        label = f"test {parameter.label if name == 'ph' else parameter.label.lower()}"
        if test is not None and test.every is not None:
            every, meant = _days(test.every), True
        elif parameter.retest_days is not None and not rows.empty:
            every, meant = parameter.retest_days, False
        else:
            continue
        begins = tables.profile.start
        yield Task("test", label, every, begins, _done(rows), meant, name)


def _days(period: Quantity) -> int:
    return max(1, round(period.value))


def _named(table: pd.DataFrame, column: str, name: str) -> pd.DataFrame:
    """Give the rows of a name, however it is written."""
    wanted = name_key(name)
    return table[table[column].map(name_key) == wanted]


def _done(rows: pd.DataFrame) -> tuple[Done, ...]:
    """Give one record a day: what was done twice a day counts once."""
    by_day = {row.time.date(): Done(row.time.date(), row.entry) for row in rows_of(rows)}
    return tuple(by_day.values())


def due_by(tasks: Iterable[Task], day: dt.date) -> list[Task]:
    """Give the tasks that are due on a day or before it."""
    return [task for task in tasks if task.due <= day]


def calendar_text(tasks: Sequence[Task], name: str, today: dt.date) -> str:
    """Give all tasks as a calendar file, each at its next day and then at its interval.

    Args:
        tasks: The tasks.
        name: Name of the calendar; the names of its events are unique within it.
        today: The day of the build: what is late is put on it.

    Source:
        RFC 5545, iCalendar.
    """
    from icalendar import Calendar, Event, vDuration

    calendar = Calendar()
    calendar.add("prodid", "-//journal-tools//upkeep//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", name)
    stamp = dt.datetime.combine(today, dt.time(0), dt.UTC)
    for task in tasks:
        event = Event()
        event.add("uid", f"{name_key(name)}-{task.kind}-{name_key(task.name)}@journal-tools")
        event.add("dtstamp", stamp)
        event.add("summary", task.name)
        event.add("dtstart", max(task.due, today))
        event.add("duration", vDuration(dt.timedelta(days=1)))
        event.add("rrule", {"freq": "daily", "interval": task.every_days})
        event.add("transp", "TRANSPARENT")
        if task.last:
            event.add("description", f"Last done {task.last.day}; every {task.every_days} days.")
        calendar.add_component(event)
    text: bytes = calendar.to_ical()
    return text.decode("utf-8")
