"""What is to be done again and again, when it was done, and when it is next."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from journal_tools.names import name_key
from journal_tools.parameters import PARAMETERS
from journal_tools.profile import Profile
from journal_tools.rows import Row
from journal_tools.units import Quantity

if TYPE_CHECKING:
    from icalendar import Event

    from journal_tools.tables import Tables

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


@dataclass(frozen=True, slots=True)
class Once:
    """Something to be done on one day: what, when, and a word about it."""

    name: str
    day: dt.date
    note: str = ""


def _overlap(start: dt.date, end: dt.date, first: dt.date, last: dt.date) -> int:
    """Give how many days from ``start`` up to but not including ``end`` lie within a period."""
    return max(0, (min(end, last + dt.timedelta(days=1)) - max(start, first)).days)


@dataclass(frozen=True, slots=True)
class Deed:
    """Something that was done, bought, tested or compared, as an entry tells it.

    Attributes:
        name: Task, piece, instrument or parameter.
        time: The moment, in the keeper's time zone.
        entry: Id of the entry.
        event: What happened to a piece, or ``""``.
    """

    name: str
    time: dt.datetime
    entry: str
    event: str = ""


@dataclass(frozen=True)
class Work:
    """What tasks are made from: what is meant, and what was done, each by time.

    Attributes:
        profile: The tank.
        today: The day for which "due" is reckoned.
        upkeep: Tasks done.
        equipment: What happened to pieces.
        calibrations: Comparisons of instruments.
        readings: Tests.
    """

    profile: Profile
    today: dt.date
    upkeep: Sequence[Deed]
    equipment: Sequence[Deed]
    calibrations: Sequence[Deed]
    readings: Sequence[Deed]


_NAMED_BY = {"upkeep": "task", "equipment": "name", "calibrations": "instrument",
             "readings": "parameter"}  # fmt: skip


def tasks_of(tables: Tables) -> list[Task]:
    """Give every task of a journal, the soonest due first."""

    def deeds(table: str) -> list[Deed]:
        rows = getattr(tables, table)
        events = rows["event"] if table == "equipment" else [""] * len(rows)
        columns = (rows[_NAMED_BY[table]], rows["time"], rows["entry"], events)
        return [Deed(*row) for row in zip(*columns, strict=True)]

    return tasks_from(Work(tables.profile, tables.today, *map(deeds, _NAMED_BY)))


def work_of_rows(profile: Profile, today: dt.date, rows: Mapping[str, Sequence[Row]]) -> Work:
    """Give the work of a journal from its rows, for a program that has no time to make tables.

    Args:
        profile: The tank.
        today: The day for which "due" is reckoned.
        rows: Every fact, by table.
    """

    def deeds(table: str) -> list[Deed]:
        name = _NAMED_BY[table]
        found = [Deed(r[name], r["time"], r["entry"], r.get("event", "")) for r in rows[table]]
        return sorted(found, key=lambda deed: deed.time)

    return Work(profile, today, *map(deeds, _NAMED_BY))


def tasks_from(work: Work) -> list[Task]:
    """Give every task, the soonest due first."""
    tasks = [*_upkeep(work), *_equipment(work), *_calibrations(work), *_tests(work)]
    return sorted(tasks, key=lambda task: (task.due, task.name))


def _upkeep(work: Work) -> Iterator[Task]:
    for task in work.profile.upkeep:
        done = _done(_named(work.upkeep, task.task))
        yield Task("upkeep", task.task, _days(task.every), work.profile.start, done)


def _equipment(work: Work) -> Iterator[Task]:
    for piece in work.profile.equipment:
        if piece.planned_on(work.today) or _was_removed(work, piece.name):
            continue
        deeds = _named(work.equipment, piece.name)
        installed = [deed.time.date() for deed in deeds if deed.event == "installed"]
        begins = installed[-1] if installed else work.profile.start
        if piece.service_every is not None:
            done = _done(deed for deed in deeds if deed.event == "serviced")
            every = _days(piece.service_every)
            yield Task("service", f"service {piece.name}", every, begins, done, subject=piece.name)
        if piece.media is not None and piece.media.change_every is not None:
            name = f"{piece.media.what} in {piece.name}"
            changed = [deed for deed in deeds if deed.event in ("changed", "serviced")]
            both = [*changed, *_named(work.upkeep, piece.media.what)]
            done = _done(sorted(both, key=lambda deed: deed.time))
            every = _days(piece.media.change_every)
            yield Task("media", name, every, begins, done, subject=piece.name)


def _was_removed(work: Work, piece: str) -> bool:
    events = [deed.event for deed in work.equipment if deed.name == piece]
    moves = [event for event in events if event in ("installed", "removed", "failed")]
    return bool(moves) and moves[-1] == "removed"


def _calibrations(work: Work) -> Iterator[Task]:
    for instrument in work.profile.instruments:
        if instrument.calibrate_every is not None:
            done = _done(_named(work.calibrations, instrument.name))
            every = _days(instrument.calibrate_every)
            yield Task(
                "calibration", f"calibrate {instrument.name}", every, work.profile.start, done,
                subject=instrument.name,
            )  # fmt: skip


def _tests(work: Work) -> Iterator[Task]:
    """Give what is meant to be tested, or usually is and has been tested before."""
    by_parameter: dict[str, list[Deed]] = {}
    for deed in work.readings:
        by_parameter.setdefault(deed.name, []).append(deed)
    for name, parameter in PARAMETERS.items():
        test = getattr(work.profile.tests, name, None)
        deeds = by_parameter.get(name, [])
        label = f"test {parameter.in_text}"
        if test is not None and test.every is not None:
            every, meant = _days(test.every), True
        elif parameter.retest_days is not None and deeds:
            every, meant = parameter.retest_days, False
        else:
            continue
        yield Task("test", label, every, work.profile.start, _done(deeds), meant, name)


def _days(period: Quantity) -> int:
    return max(1, round(period.value))


def _named(deeds: Iterable[Deed], name: str) -> list[Deed]:
    """Give the deeds of a name, however it is written."""
    wanted = name_key(name)
    return [deed for deed in deeds if name_key(deed.name) == wanted]


def _done(deeds: Iterable[Deed]) -> tuple[Done, ...]:
    """Give one record a day: what was done twice a day counts once."""
    by_day = {deed.time.date(): Done(deed.time.date(), deed.entry) for deed in deeds}
    return tuple(by_day.values())


def due_by(tasks: Iterable[Task], day: dt.date) -> list[Task]:
    """Give the tasks that are due on a day or before it."""
    return [task for task in tasks if task.due <= day]


def calendar_text(
    tasks: Sequence[Task], name: str, today: dt.date, once: Sequence[Once] = ()
) -> str:
    """Give all tasks as a calendar file, each at its next day and then at its interval.

    Args:
        tasks: The tasks.
        name: Name of the calendar; the names of its events are unique within it.
        today: The day of the build: what is late is put on it.
        once: What comes on one day only.

    Source:
        RFC 5545, iCalendar.
    """
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", "-//journal-tools//upkeep//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", name)
    stamp = dt.datetime.combine(today, dt.time(0), dt.UTC)
    for task in tasks:
        every = f"every {task.every_days} day{'' if task.every_days == 1 else 's'}."
        note = f"Last done {task.last.day}; {every}" if task.last else every.capitalize()
        day = Once(task.name, max(task.due, today), note)
        event = _event(day, f"{name_key(name)}-{task.kind}", stamp)
        event.add("rrule", {"freq": "daily", "interval": task.every_days})
        calendar.add_component(event)
    for one in once:
        day = Once(one.name, max(one.day, today), one.note)
        calendar.add_component(_event(day, f"{name_key(name)}-once", stamp))
    text: bytes = calendar.to_ical()
    return text.decode("utf-8")


def _event(day: Once, family: str, stamp: dt.datetime) -> Event:
    from icalendar import Event, vDuration

    event = Event()
    event.add("uid", f"{family}-{name_key(day.name)}@journal-tools")
    event.add("dtstamp", stamp)
    event.add("summary", day.name)
    event.add("dtstart", day.day)
    event.add("duration", vDuration(dt.timedelta(days=1)))
    event.add("transp", "TRANSPARENT")
    if day.note:
        event.add("description", day.note)
    return event
