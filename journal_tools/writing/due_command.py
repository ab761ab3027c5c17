"""What ``journal-tools due`` does: what is to be done, as a few lines for a morning's mail."""

from __future__ import annotations

import datetime as dt
import json
import sys
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path

import typer

from journal_tools.bottles import Bottle, bottles_of
from journal_tools.journal import Journal, load_journal
from journal_tools.rows import journal_rows
from journal_tools.tasks import Task, due_by, tasks_from, work_of_rows
from journal_tools.words import number_text, span_text


@dataclass(frozen=True, slots=True)
class Due:
    """One thing to do.

    Attributes:
        kind: Kind of task, or ``bottle``.
        what: What to do.
        day: The day on which it is due.
        days_late: How many days ago that was; negative where it is still to come.
        why: The reason.
        entry: Entry that tells when it was last done, or ``""``.
    """

    kind: str
    what: str
    day: dt.date
    days_late: int
    why: str
    entry: str = ""


def due_now(folder: Path, today: dt.date | None, ahead: int, *, as_json: bool) -> int:
    """Say what is due; give the exit code: 1 if anything is, else 0.

    Args:
        folder: Folder of the journal, with ``tank.yml``.
        today: The day to reckon from; the day of the build if None.
        ahead: How many days to look ahead, 0 or more.
        as_json: Say it for a program.
    """
    journal = load_journal(folder, today)
    found = list(due_of(journal, ahead))
    if as_json:
        whole = {"tank": journal.profile.name, "today": str(journal.today),
                 "due": [asdict(one) | {"day": str(one.day)} for one in found]}  # fmt: skip
        typer.echo(json.dumps(whole, ensure_ascii=False, indent=1))
    elif found:
        typer.echo(f"{journal.profile.name}, {journal.today}")
        width = max(len(_when(one)) for one in found)
        for one in found:
            typer.echo(f"  {_when(one):<{width}}  {one.what} ({one.why})")
    elif sys.stdout.isatty():
        typer.echo("Nothing is due.")  # to a mail program, silence says so
    return 1 if found else 0


def due_of(journal: Journal, ahead: int = 0) -> Iterator[Due]:
    """Give what is due by a day, the longest due first.

    Args:
        journal: The journal.
        ahead: How many days to look ahead, 0 or more.
    """
    profile, today, rows = journal.profile, journal.today, journal_rows(journal)
    last = today + dt.timedelta(days=ahead)
    tasks = due_by(tasks_from(work_of_rows(profile, today, rows)), last)
    orders = [one for one in bottles_of(profile, today, rows) if one.order_by <= last]
    found = [*(_of_task(one, today) for one in tasks), *(_of_bottle(one, today) for one in orders)]
    yield from sorted(found, key=lambda one: (one.day, one.what))


def _of_task(task: Task, today: dt.date) -> Due:
    often = f"{'' if task.meant else 'usually '}every {span_text(task.every_days)}"
    done = f"last done {task.last.day}" if task.last else "not done yet"
    entry = task.last.entry if task.last else ""
    return Due(task.kind, task.name, task.due, task.days_over(today), f"{often}; {done}", entry)


def _of_bottle(bottle: Bottle, today: dt.date) -> Due:
    lasts = f"lasts {number_text(bottle.lasts.value, 0)} days"
    least = number_text(bottle.lasts.low, 0)
    late = (today - bottle.order_by).days
    return Due(
        "bottle", f"order {bottle.name}", bottle.order_by, late, f"{lasts}, at least {least}"
    )


def _when(one: Due) -> str:
    if one.days_late > 0:
        return f"{span_text(one.days_late)} late"
    return "today" if one.days_late == 0 else f"in {span_text(-one.days_late)}"
