"""What ``journal-tools add`` does: a line understood, shown, asked about and written."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from pathlib import Path

import typer

from journal_tools.journal import Journal
from journal_tools.names import name_key
from journal_tools.writing import asking
from journal_tools.writing.asking import say, usable_journal, write_all
from journal_tools.writing.entry_file import FileChange, entry_change
from journal_tools.writing.photo_copies import (
    NewPhoto,
    day_of_photos,
    photo_change,
    photo_use,
    read_photo,
)
from journal_tools.writing.sentence import GRAMMAR, Understood, understand
from journal_tools.writing.trial import new_problems
from journal_tools.writing.understood import Unclear, describe, merge, read_fragment
from journal_tools.writing.vocabulary import Vocabulary, vocabulary_of


def add_entry(folder: Path, line: str, photos: Iterable[Path], *, yes: bool) -> int:
    """Understand a line, show it, ask, and write it; give the exit code.

    Args:
        folder: Folder of the journal, with ``tank.yml``.
        line: The line of plain words; may be empty if there are photos.
        photos: Pictures to copy into the journal.
        yes: Do not ask.
    """
    read = [read_photo(path) for path in photos]
    pictures = [photo for photo in read if isinstance(photo, NewPhoto)]
    if not line.strip() and not read:
        say(["Say what happened, for example: journal-tools add \"alk 8.2, changed 20 l water\"",
             "", GRAMMAR])  # fmt: skip
        return 2
    journal = usable_journal(folder)
    if journal is None:
        return 1
    understood = _asked_about(line, vocabulary_of(journal), journal.today)
    faults = [fault for fault in read if isinstance(fault, Unclear)]
    day = understood.day or (None if line.strip() else day_of_photos(pictures)) or journal.today
    copies = [photo_change(journal, picture, day) for picture in pictures]
    data = _with_photos(journal, understood, pictures, copies, day)
    _preview(journal, data, day)
    if faults or understood.unclear:
        say([*faults, *understood.unclear, "Nothing was written."])
        return 2
    change = entry_change(journal, day, data)
    problems = new_problems(journal, {change.path: change.after}, copied={c.path for c in copies})
    if problems:
        say([*problems, "Nothing was written."])
        return 2
    typer.echo(_where(journal, change, day, timed="time" in data))
    refused = asking.may_write(yes=yes)
    if refused is not None:
        return refused
    return write_all(journal, [*(copy for copy in copies if copy.is_new), change])


def _asked_about(line: str, vocabulary: Vocabulary, today: dt.date) -> Understood:
    """Understand a line; ask about each name that is nearly right, if somebody is there."""
    understood = understand(line, vocabulary, today)
    asked: set[str] = set()
    while asking.is_terminal():
        doubts = [u for u in understood.unclear if u.meant and u.name not in asked]
        if not doubts:
            break
        doubt = doubts[0]
        asked.add(doubt.name)
        for name in doubt.meant:
            if typer.confirm(f"'{doubt.name}': did you mean '{name}'?", default=False):
                vocabulary.meant[name_key(doubt.name)] = name
                understood = understand(line, vocabulary, today)
                break
    return understood


def _with_photos(
    journal: Journal, understood: Understood, pictures: list[NewPhoto],
    copies: list[FileChange], day: dt.date,
) -> dict[str, object]:  # fmt: skip
    uses = [
        photo_use(journal, picture, copy, day)
        for picture, copy in zip(pictures, copies, strict=True)
    ]
    return merge([understood.data, {"photos": uses}]) if uses else understood.data


def _preview(journal: Journal, data: dict[str, object], day: dt.date) -> None:
    record, _ = read_fragment(data, journal.profile)
    facts = describe(record, journal.profile) if record else []
    clock = f" at {record.time:%H:%M}" if record and record.time else ""
    ago = (journal.today - day).days
    when = {0: " (today)", 1: " (yesterday)"}.get(ago, "")
    typer.echo(f"{day:%A} {day}{clock}{when}")
    for kind, text in facts:
        first, *more = text.splitlines()
        typer.echo(f"  {kind:<13} {first}")
        for line in more:
            typer.echo(f"  {'':<13} {line}".rstrip())


def _where(journal: Journal, change: FileChange, day: dt.date, *, timed: bool) -> str:
    """Tell where it goes and, for a second file of a day, why not into the first."""
    name = change.path.relative_to(journal.folder).as_posix()
    if not change.is_new:
        return f"added to {name}"
    others = [entry.file for entry in journal.entries if entry.day == day]
    if not others:
        return f"into the new file {name}"
    reason = "it has a time of its own" if timed else f"lines of {others[-1]} would have to change"
    return f"into the new file {name}, because {reason}"
