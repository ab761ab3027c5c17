"""Which entries are handed on: named ones, or those of a period."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from journal_tools.journal import Journal
from journal_tools.logged import LoggedEntry


@dataclass(frozen=True, slots=True)
class Selection:
    """Entries by time, and the days that they stand for.

    Attributes:
        entries: The entries, in order of time.
        first: First day.
        last: Last day.
    """

    entries: tuple[LoggedEntry, ...]
    first: dt.date
    last: dt.date


class SelectionError(ValueError):
    """Nothing can be chosen that way: the sentence says what to write instead."""


def select(
    journal: Journal, ids: Sequence[str], first: dt.date | None, last: dt.date | None
) -> Selection:
    """Give the entries of these ids or, without ids, of a period.

    Args:
        journal: The journal.
        ids: Ids of entries, or their dates.
        first: First day of the period; the first entry's if left out.
        last: Last day of the period; the day of the build if left out.

    Raises:
        SelectionError: If an id is unknown or the period holds no entry.
    """
    if ids and (first or last):
        raise SelectionError("Name entries or a period, not both.")
    if ids:
        found = [entry for name in dict.fromkeys(ids) for entry in _named(journal, name)]
        chosen = sorted({e.id: e for e in found}.values(), key=lambda e: (e.time, e.id))
        return Selection(tuple(chosen), chosen[0].day, chosen[-1].day)
    if first is None and last is None:
        raise SelectionError(
            "Say which entries: their ids, such as 2026-03-14, or --from 2026-03-01."
        )
    until = last or journal.today
    within = [e for e in journal.entries if (first is None or first <= e.day) and e.day <= until]
    if not within:
        raise SelectionError("There is no entry in that period.")
    return Selection(tuple(within), first or within[0].day, until)


def _named(journal: Journal, name: str) -> list[LoggedEntry]:
    """Give the entry of an id, or all entries of a date."""
    if name in journal.entry_by_id:
        return [journal.entry_by_id[name]]
    of_day = [entry for entry in journal.entries if entry.day.isoformat() == name]
    if not of_day:
        last = ", ".join(entry.id for entry in journal.entries[-3:]) or "none yet"
        raise SelectionError(f"There is no entry '{name}'. The last ones: {last}.")
    return of_day
