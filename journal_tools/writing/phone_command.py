"""What ``journal-tools import phone.zip`` does: entries of the form shown, asked about, filed."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from unicodedata import category

import typer

from journal_tools.entries import Entry
from journal_tools.journal import Journal
from journal_tools.photos import Fault
from journal_tools.photos.picture import decoded
from journal_tools.problems import Problem
from journal_tools.read import read_document
from journal_tools.validate import validate
from journal_tools.words import counted
from journal_tools.writing import asking
from journal_tools.writing.asking import say, shown, usable_journal, write_all
from journal_tools.writing.entry_file import FileChange, new_file_name, schema_line, taken_names
from journal_tools.writing.phone import Parcel, UnreadableParcelError, read_parcel
from journal_tools.writing.photo_copies import NewPhoto, photo_change
from journal_tools.writing.remembered import Remembered, recall, record_change, with_rows
from journal_tools.writing.trial import new_problems
from journal_tools.writing.understood import describe
from journal_tools.writing.yaml_text import entry_text

_REMEMBERED = "phone-form"


@dataclass(frozen=True)
class Handed:
    """One entry of a parcel that can be filed.

    Attributes:
        name: Its file in the parcel.
        day: The keeper's day.
        data: What it says, as plain values, without its date.
        record: The same, typed.
        trace: By which it is known again.
    """

    name: str
    day: dt.date
    data: dict[str, Any]
    record: Entry
    trace: str


def import_parcel(folder: Path, file: Path, *, yes: bool) -> int:
    """File what the phone form handed over; give the exit code.

    Args:
        folder: Folder of the journal, with ``tank.yml``.
        file: The ZIP file, its folder, or one entry as a YAML file.
        yes: Do not ask.
    """
    journal = usable_journal(folder)
    if journal is None:
        return 1
    remembered, problems = recall(journal, _REMEMBERED)
    if problems:
        say(problems)
        return 1
    try:
        parcel = read_parcel(file)
    except (UnreadableParcelError, OSError) as error:
        reason = error.strerror if isinstance(error, OSError) else error
        say([f"{file.name}: {reason}"])
        return 2
    return _file(journal, parcel, remembered, yes=yes)


def _file(journal: Journal, parcel: Parcel, remembered: Remembered, *, yes: bool) -> int:
    untaken = list(parcel.refused)
    pictures = _usable(parcel.photos, untaken)
    handed = list(_handed(journal, parcel, untaken))
    copies = _copies(journal, handed, pictures)
    renamed = [_with_photos(one, journal, parcel, copies, untaken) for one in handed]
    fresh = [one for one in renamed if not _known(one, journal, remembered)]
    changes = list(_entry_changes(journal, fresh))
    used = {use.file for one in fresh for use in one.record.photos}
    new = [c for c in copies.values() if c.is_new and _in_photos(journal, c) in used]
    say(map(_safe, untaken))
    for one, change in zip(fresh, changes, strict=True):
        _show(journal, one, change)
    say(shown(new_problems(journal, {c.path: c.after for c in changes}, {c.path for c in new})))
    typer.echo(_summary(len(parcel.entries), len(handed) - len(fresh), len(fresh), len(new)))
    if not fresh:
        return 1 if untaken else 0
    refused = asking.may_write(yes=yes)
    if refused is not None:
        return refused
    taken = with_rows(remembered.taken, [one.trace for one in renamed])
    record = record_change(journal, replace(remembered, taken=taken))
    code = write_all(journal, [*new, *changes, record], quiet=len(changes) > 12)
    return code or (1 if untaken else 0)


# --- What was handed over ---------------------------------------------------------------------


def _handed(journal: Journal, parcel: Parcel, untaken: list[str]) -> Iterator[Handed]:
    context = {"units": journal.profile.bare_units, "currency": journal.profile.currency}
    for name, content in sorted(parcel.entries.items()):
        document, problems = read_document(name, content)
        if document is None:
            untaken += _left_out(name, problems)
            continue
        record, _, found = validate(Entry, document, context)
        if problems or found or record is None:
            untaken += _left_out(name, [*problems, *found])
            continue
        day = record.date or _named_day(name)
        data = {k: v for k, v in _told(document.data).items() if k != "date"}
        fault = _fault(day, record, data, journal.today)
        if day is None or fault:
            untaken.append(f"{name}: {fault} The entry is left out.")
            continue
        yield Handed(name, day, data, record.model_copy(update={"date": None}),
                     _trace(day, data, record, parcel.photos))  # fmt: skip


def _left_out(name: str, problems: list[Problem]) -> list[str]:
    mend = f"{name}: The entry is left out. Mend it in the form, or in a file of the log."
    return [*map(str, problems), mend]


def _named_day(name: str) -> dt.date | None:
    try:
        return dt.date.fromisoformat(name[:10])
    except ValueError:
        return None


def _fault(day: dt.date | None, record: Entry, data: dict[str, Any], today: dt.date) -> str:
    if day is None:
        return "It has no date; write 'date: 2026-03-14' into it."
    if day > today:
        return f"Its date {day} is in the future."
    if not record.says_something:
        return "It says nothing."
    again, problems = read_document("entry.yml", entry_text(data).encode())
    same = again is not None and not problems and _even(again.data) == _even(data)
    return "" if same else "It holds keys that cannot be written back."


def _even(data: dict[str, Any]) -> dict[str, Any]:
    """Give data without the line ends around notes, which say nothing."""
    return {k: str(v).strip() if k == "notes" else v for k, v in data.items()}


def _told(value: Any) -> Any:
    """Give plain values without the keys that say nothing."""
    if isinstance(value, dict):
        return {key: _told(item) for key, item in value.items() if item is not None}
    return [_told(item) for item in value if item is not None] if isinstance(value, list) else value


def _trace(day: dt.date, data: dict[str, Any], record: Entry, photos: Mapping[str, bytes]) -> str:
    """Give by what an entry is known again: all that it says, and its pictures."""
    pictures = [hashlib.sha256(photos.get(use.file, b"")).hexdigest() for use in record.photos]
    whole = json.dumps([str(day), data, pictures], sort_keys=True)
    return hashlib.sha256(whole.encode()).hexdigest()[:16]


def _known(one: Handed, journal: Journal, remembered: Remembered) -> bool:
    """Tell whether an entry came in before, or stands in the log as it is."""
    if remembered.taken[one.trace] > 0:
        return True
    return any(e.day == one.day and e.record.model_copy(update={"date": None}) == one.record
               for e in journal.entries)  # fmt: skip


# --- Photos -----------------------------------------------------------------------------------


def _usable(photos: Mapping[str, bytes], untaken: list[str]) -> dict[str, NewPhoto]:
    pictures = {}
    for name, content in photos.items():
        picture = decoded(content)
        if isinstance(picture, Fault):
            untaken.append(f"The photo '{name}' {picture.what} It is left out.")
        else:
            taken = picture.taken.date() if picture.taken else None
            pictures[name] = NewPhoto(Path(name), content, taken)
    return pictures


def _copies(
    journal: Journal, handed: list[Handed], pictures: Mapping[str, NewPhoto]
) -> dict[str, FileChange]:
    """Give where each photo goes, by its name in the parcel; no two go to one place."""
    copies: dict[str, FileChange] = {}
    for one in handed:
        for use in one.record.photos:
            if use.file in pictures and use.file not in copies:
                picture = replace(pictures[use.file], taken=use.taken or one.day)
                copies[use.file] = _copy(journal, picture, one.day, copies)
    return copies


def _copy(
    journal: Journal, picture: NewPhoto, day: dt.date, copies: Mapping[str, FileChange]
) -> FileChange:
    change, number, name = photo_change(journal, picture, day), 2, picture.source
    while any(c.path == change.path and c.after != change.after for c in copies.values()):
        source = Path(f"{name.stem}-{number}{name.suffix}")
        change, number = photo_change(journal, replace(picture, source=source), day), number + 1
    return change


def _in_photos(journal: Journal, change: FileChange) -> str:
    return change.path.relative_to(journal.photo_folder).as_posix()


def _with_photos(
    one: Handed, journal: Journal, parcel: Parcel, copies: Mapping[str, FileChange],
    untaken: list[str],
) -> Handed:  # fmt: skip
    """Give an entry with its photos under the names that they get; without those left out."""
    written = one.data.get("photos", [])
    items, uses = [], []
    for item, use in zip(written if isinstance(written, list) else [written], one.record.photos,
                         strict=True):  # fmt: skip
        if use.file in copies:
            name = _in_photos(journal, copies[use.file])
            items.append({**item, "file": name} if isinstance(item, dict) else name)
            uses.append(use.model_copy(update={"file": name}))
        elif use.file not in parcel.photos:
            untaken.append(f"{one.name}: The photo '{use.file}' is not in it. It is left out.")
    others = {key: value for key, value in one.data.items() if key != "photos"}
    data = others | ({"photos": items} if items else {})
    return replace(one, data=data, record=one.record.model_copy(update={"photos": uses}))


# --- What is written --------------------------------------------------------------------------


def _entry_changes(journal: Journal, handed: list[Handed]) -> Iterator[FileChange]:
    taken = taken_names(journal)
    for one in handed:
        clock = f"{one.record.time:%H:%M}" if one.record.time else ""
        path = journal.folder / new_file_name(journal, one.day, clock, taken=taken)
        taken.add(path.stem.casefold())
        yield FileChange(path, None, entry_text(one.data, schema_line(journal, path)).encode())


def _show(journal: Journal, one: Handed, change: FileChange) -> None:
    clock = f" at {one.record.time:%H:%M}" if one.record.time else ""
    place = change.path.relative_to(journal.folder).as_posix()
    typer.echo(f"{one.day:%A} {one.day}{clock} → {place}")
    for kind, text in describe(one.record, journal.profile):
        first, *more = _safe(text).split("\n")
        typer.echo(f"  {kind:<13} {first}")
        for line in more:
            typer.echo(f"  {'':<13} {line}".rstrip())


def _safe(text: str) -> str:
    """Give text without the signs by which it could command the terminal."""
    return "".join(c if c == "\n" or category(c) != "Cc" else "\ufffd" for c in text)


def _summary(found: int, known: int, new: int, photos: int) -> str:
    words = [counted(found, "entry", "entries")]
    words += [f"{known} of them in the journal already"] if known else []
    told = f"New: {counted(new, 'entry', 'entries')}, {counted(photos, 'photo')}."
    return f"{', '.join(words)}. {told if new else 'There is nothing new to write.'}"
