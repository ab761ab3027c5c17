"""What commands that write have in common: saying, asking, writing."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path

import typer

from journal_tools.journal import PROFILE_FILE, Journal, load_journal
from journal_tools.problems import Problem
from journal_tools.read import read_document
from journal_tools.writing.entry_file import FileChange, write_change

_NEEDED = ("units", "time_zone", "currency")


def is_terminal() -> bool:
    """Tell whether somebody is there to answer."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def say(lines: Iterable[object]) -> None:
    """Say something on standard error, a line each."""
    for line in lines:
        typer.echo(str(line), err=True)


def may_write(*, yes: bool) -> int | None:
    """Ask whether to write; give the exit code if not, None if so."""
    if yes:
        return None
    if not is_terminal():
        say(["Nothing was written: nobody can be asked here. If this is right, add --yes."])
        return 2
    if typer.confirm("Write this?", default=True):
        return None
    say(["Nothing was written."])
    return 0


def usable_journal(folder: Path) -> Journal | None:
    """Give a journal whose units and time zone can be relied on; else say why not.

    With a slip in ``units:`` every bare number would be taken in another unit than was meant.
    """
    journal = load_journal(folder)
    document, problems = read_document(PROFILE_FILE, (folder / PROFILE_FILE).read_bytes())
    used = journal.profile_document.data
    if document is not None and isinstance(document.data, dict):
        written = document.data
        dropped = [key for key in _NEEDED if key in written and written[key] != used.get(key)]
        if not dropped:
            return journal
        problems = [problem for problem in journal.problems if problem.file == PROFILE_FILE]
    say(problems)
    say(["Nothing was written: first mend units, time zone and currency in tank.yml."])
    return None


def write_all(journal: Journal, changes: Iterable[FileChange], *, quiet: bool = False) -> int:
    """Write files one after another; give the exit code. Quiet: only tell how many."""
    written = 0
    for change in changes:
        try:
            write_change(change)
        except OSError as error:
            name = change.path.relative_to(journal.folder).as_posix()
            reason = error.strerror or "it was changed by another program meanwhile"
            say([f"{name} was not written: {reason}. Run the command again."])
            return 1
        written += 1
        if not quiet:
            typer.echo(f"wrote {change.path.relative_to(journal.folder).as_posix()}")
    if quiet:
        typer.echo(f"wrote {written} files")
    return 0


def shown(problems: Iterable[Problem], longest: int = 20) -> list[str]:
    """Give problems as lines; of very many, the first ones and how many more there are."""
    lines = [str(problem) for problem in problems]
    more = len(lines) - longest
    return [*lines[:longest], f"… and {more} more."] if more > 0 else lines
