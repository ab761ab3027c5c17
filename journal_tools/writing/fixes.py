"""What ``journal-tools check --fix`` does: mends tried on a copy, shown as a diff, and written.

A mend is offered only if the whole journal has fewer problems with it and not a single new one.
"""

from __future__ import annotations

import datetime as dt
import difflib
import os
import shutil
import tempfile
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import typer

from journal_tools.journal import LOG_FOLDER, PHOTO_FOLDER, PROFILE_FILE, load_journal
from journal_tools.problems import Problem
from journal_tools.words import counted
from journal_tools.writing import asking
from journal_tools.writing.asking import say
from journal_tools.writing.entry_file import ChangedMeanwhileError, FileChange, write_change
from journal_tools.writing.mends import Mend, mend

_MOST_STEPS = 500
_BOM = "\ufeff"


@dataclass
class Copy:
    """A copy of a journal in which mends are tried.

    Attributes:
        folder: Where the copy lies.
        today: The day to reckon from.
        problems: What a check says of it as it is.
    """

    folder: Path
    today: dt.date | None
    problems: tuple[Problem, ...] = ()

    def check(self) -> tuple[Problem, ...]:
        """Give what a check says of the copy."""
        return load_journal(self.folder, self.today).problems

    def text(self, file: str) -> str | None:
        """Give the text of a file, or None if it cannot be read as text."""
        try:
            return (self.folder / file).read_bytes().decode("utf-8")
        except (OSError, UnicodeDecodeError):
            return None

    def tried(self, change: Mend) -> bool:
        """Put a mend into the copy and keep it there if it helps; tell whether it does."""
        path = self.folder / change.file
        before, target = path.read_bytes(), self.folder / (change.name or change.file)
        if change.name and target.exists():
            return False
        _put(path, target, change.text.encode())
        after = self.check()
        if len(after) < len(self.problems) and not Counter(map(_told, after)) - Counter(
            map(_told, self.problems)
        ):
            self.problems = after
            return True
        _put(target, path, before)
        return False


def _put(path: Path, target: Path, content: bytes) -> None:
    if path != target:
        path.unlink()
    target.write_bytes(content)


def _told(problem: Problem) -> tuple[str, str, str]:
    return problem.file, problem.code, problem.what


@dataclass
class Outcome:
    """What came of trying.

    Attributes:
        names: New name of each renamed file.
        doubts: Problems whose mend only the keeper can judge, with that mend as a diff.
    """

    names: dict[str, str] = field(default_factory=dict)
    doubts: list[tuple[Problem, str]] = field(default_factory=list)


def fix_journal(folder: Path, today: dt.date | None, *, apply: bool) -> int:
    """Propose mends, show them, and write them if that is wanted; give the exit code.

    Args:
        folder: Folder of the journal, with ``tank.yml``.
        today: The day to reckon from; the day of the build if None.
        apply: Write without asking, but nothing that only the keeper can judge.
    """
    with tempfile.TemporaryDirectory(prefix="journal-tools-") as place:
        copy = _copied(folder, Path(place), today)
        before = _texts(copy.folder)
        found = len(copy.problems)
        outcome = _mended(copy, ask=not apply and asking.is_terminal())
        changes = dict(_changes(before, _texts(copy.folder), outcome.names))
        left = len(copy.problems)
    for name, (old, new) in changes.items():
        typer.echo(_diff(name, outcome.names.get(name, name), old, new), nl=False)
    for problem, diff in outcome.doubts:
        say([f"Only you can tell: {problem}"])
        typer.echo(diff, nl=False)
    if not changes:
        say([_nothing(found, len(outcome.doubts))])
        return 1 if found else 0
    mended = f"{counted(found - left, 'problem')} of {found} mended, {left} left."
    if not (apply or _wanted()):
        say([f"Nothing was written. With this, {mended} To write it, add --apply."])
        return 1
    code = _written(folder, changes, outcome.names)
    if code == 0:
        say([mended])
    return code or (1 if left else 0)


def _nothing(found: int, doubts: int) -> str:
    if not found:
        return "There is no problem."
    what = "Nothing was written: what can be mended is yours to judge. Run it at a terminal."
    return (
        what if doubts else f"None of {counted(found, 'problem')} can be mended safely by itself."
    )


def _wanted() -> bool:
    return asking.is_terminal() and typer.confirm("Write this?", default=True)


# --- The copy ---------------------------------------------------------------------------------


def _copied(folder: Path, place: Path, today: dt.date | None) -> Copy:
    """Copy the texts of a journal; of photos, whose names alone count here, only the names."""
    target = place / "journal"
    target.mkdir()
    for name, content in _texts(folder).items():
        _at(target, name).write_bytes(content)
    for path in _files(folder / PHOTO_FOLDER):
        _at(target, path.relative_to(folder).as_posix()).touch()
    copy = Copy(target, today)
    copy.problems = copy.check()
    return copy


def _at(target: Path, name: str) -> Path:
    place = target / name
    place.parent.mkdir(parents=True, exist_ok=True)
    return place


def _files(folder: Path) -> Iterator[Path]:
    """Give the files below a folder; of links, those that stay inside the journal."""
    root = folder.parent.resolve()
    return (path for path in folder.rglob("*")
            if path.is_file() and path.resolve().is_relative_to(root))  # fmt: skip


def _texts(folder: Path) -> dict[str, bytes]:
    paths = [folder / PROFILE_FILE, *_files(folder / LOG_FOLDER)]
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in paths if p.is_file()}


# --- Trying -----------------------------------------------------------------------------------


def _mended(copy: Copy, *, ask: bool) -> Outcome:
    """Try a mend for each problem until none helps any more."""
    outcome, passed = Outcome(), set[tuple[str, str, str]]()
    for _ in range(_MOST_STEPS):
        waiting = [p for p in copy.problems if _told(p) not in passed]
        if not waiting:
            break
        problem = waiting[0]
        passed.add(_told(problem))
        _try(problem, copy, outcome, ask=ask)
    return outcome


def _try(problem: Problem, copy: Copy, outcome: Outcome, *, ask: bool) -> None:
    saved = _texts(copy.folder), copy.problems
    change = _everywhere(problem, copy)
    if change is None:
        _back(copy, *saved)
        return
    new = _texts(copy.folder)
    if change.name:
        outcome.names[change.file] = change.name
    if not change.doubtful:
        return
    diffs = "".join(_diff(n, n, saved[0][n], new[n]) for n in new if new[n] != saved[0][n])
    if ask:
        typer.echo(diffs, nl=False)
        if typer.confirm(f"{problem.what} Mend it so?", default=False):
            return
    else:
        outcome.doubts.append((problem, diffs))
    _back(copy, *saved)


def _everywhere(problem: Problem, copy: Copy) -> Mend | None:
    """Mend a problem; one that is only told at its first place, at every place.

    Gives the last mend, or None if none helps: the copy may be changed then.
    """
    for _ in range(_MOST_STEPS):
        text = copy.text(problem.file)
        change = None if text is None else mend(problem, text.removeprefix(_BOM))
        if text is None or change is None:
            return None
        if text.startswith(_BOM):
            change = Mend(change.file, _BOM + change.text, change.doubtful, change.name)
        if copy.tried(change):
            return change
        if problem.code != "two-spellings":
            return None
        (copy.folder / change.file).write_bytes(change.text.encode())
        after = copy.check()
        same = [p for p in after if (p.code, p.what) == (problem.code, problem.what)]
        if len(same) != 1 or _told_more(after, copy.problems, same[0], problem):
            return None
        copy.problems, problem = after, same[0]
    return None


def _told_more(
    after: tuple[Problem, ...], before: tuple[Problem, ...], now: Problem, then: Problem
) -> bool:
    """Tell whether there is any problem beside the one that has moved to its next place."""
    others = [Counter(map(_told, every)) - Counter([_told(one)]) for every, one in
              ((after, now), (before, then))]  # fmt: skip
    return bool(others[0] - others[1])


def _back(copy: Copy, texts: Mapping[str, bytes], problems: tuple[Problem, ...]) -> None:
    for name in _texts(copy.folder).keys() - texts.keys():
        (copy.folder / name).unlink()
    for name, content in texts.items():
        (copy.folder / name).write_bytes(content)
    copy.problems = problems


# --- Showing and writing ----------------------------------------------------------------------


def _changes(
    before: Mapping[str, bytes], after: Mapping[str, bytes], names: Mapping[str, str]
) -> Iterator[tuple[str, tuple[bytes, bytes]]]:
    for name, old in before.items():
        new = after[names.get(name, name)]
        if new != old or name in names:
            yield name, (old, new)


def _diff(name: str, target: str, old: bytes, new: bytes) -> str:
    """Give a change as a unified diff; a new name alone as one line."""
    if old == new:
        return f"rename {name} to {target}\n"
    a, b = (content.decode("utf-8").splitlines(keepends=True) for content in (old, new))
    lines = difflib.unified_diff(a, b, name, target, n=1)
    return "".join(line if line.endswith("\n") else f"{line}\n" for line in lines)


def _written(
    folder: Path, changes: Mapping[str, tuple[bytes, bytes]], names: Mapping[str, str]
) -> int:
    for name, (old, new) in changes.items():
        try:
            if name in names:
                _rename(folder / name, folder / names[name], old)
            if old != new:
                write_change(FileChange(folder / names.get(name, name), old, new))
        except OSError as error:
            reason = error.strerror or "it was changed by another program meanwhile"
            say([f"{name} was not written: {reason}. Run the command again."])
            return 1
        typer.echo(f"wrote {names.get(name, name)}")
    return 0


def _rename(path: Path, target: Path, content: bytes) -> None:
    """Give a file another name, if it is as it was and no file has that name."""
    if path.read_bytes() != content or target.exists():
        raise ChangedMeanwhileError(f"{path} was changed by another program meanwhile")
    try:
        os.link(path, target)  # unlike a rename, never in place of another file
        path.unlink()
    except OSError:
        if target.exists():
            raise
        shutil.move(path, target)  # a drive without links, such as FAT
