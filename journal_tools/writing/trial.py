"""What a check of the journal would say if some files were written."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping
from pathlib import Path

from journal_tools.check import check_journal
from journal_tools.entries import Entry
from journal_tools.journal import Journal
from journal_tools.logged import LoggedEntry
from journal_tools.problems import Problem, in_order
from journal_tools.read import read_document
from journal_tools.validate import validate


def new_problems(
    journal: Journal, files: Mapping[Path, bytes], copied: Collection[Path] = ()
) -> tuple[Problem, ...]:
    """Give the problems that the journal would have with some files, and has not now.

    Args:
        journal: The journal as it is.
        files: Content of new or changed entry files.
        copied: Photos that will be there by then.
    """
    found: list[Problem] = []
    tried: list[LoggedEntry] = []
    context = {"units": journal.profile.bare_units, "currency": journal.profile.currency}
    for path, content in files.items():
        name = path.relative_to(journal.folder).as_posix()
        document, problems = read_document(name, content)
        found += problems
        if document is None:
            continue
        record, used, problems = validate(Entry, document, context)
        found += problems
        if record is not None:
            day = record.date or dt.date.fromisoformat(path.stem[:10])
            moment = dt.datetime.combine(day, record.time or dt.time(12), journal.profile.zone)
            tried.append(LoggedEntry(path.stem, day, moment, record, used))
    written = {entry.file for entry in tried}
    others = [entry for entry in journal.entries if entry.file not in written]
    entries = sorted([*others, *tried], key=lambda entry: (entry.time, entry.id))
    found += check_journal(journal.photo_folder, journal.profile, journal.profile_document, entries)
    there = {_told(problem) for problem in journal.problems}
    names = {path.name for path in copied}
    return in_order(
        problem
        for problem in found
        if _told(problem) not in there
        and not (problem.code == "photo-missing" and any(name in problem.what for name in names))
    )


def _told(problem: Problem) -> tuple[str, str]:
    """Give what makes a problem the same one after lines were added above it."""
    return problem.code, problem.what
