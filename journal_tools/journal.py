"""A journal: a folder read, checked and made into typed records, with every problem found."""

from __future__ import annotations

import datetime as dt
import itertools
import os
import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from journal_tools.check import check_journal
from journal_tools.entries import Entry
from journal_tools.kinds import FIRST_YEAR, LAST_YEAR
from journal_tools.logged import LoggedEntry
from journal_tools.names import name_key
from journal_tools.problems import Problem, in_order
from journal_tools.profile import Privacy, Profile
from journal_tools.quantities import BareUnits
from journal_tools.read import Document, read_document
from journal_tools.validate import validate

PROFILE_FILE, LOG_FOLDER, PHOTO_FOLDER = "tank.yml", "log", "photos"
_DATED = re.compile(r"(?P<date>\d{4}-\d{2}-\d{2})(?:[-_ ](?P<rest>.+))?")
_EPOCH_DIGITS = 11  # seconds up to the year 5138
_LONGEST_PLAN = dt.timedelta(days=730)
"""How far ahead a system may be planned before its start is taken for a slip."""
_YAML = (".yml", ".yaml")


@dataclass(frozen=True)
class Journal:
    """Everything that a folder says, and what is wrong with it.

    Attributes:
        folder: The folder that holds ``tank.yml`` and ``log/``.
        profile: The tank.
        profile_document: ``tank.yml`` with the lines of its values.
        entries: Usable entries by time; drafts and future days are left out.
        problems: Everything to mend, by file and line.
        today: The day for which ages and "due" are reckoned.
    """

    folder: Path
    profile: Profile
    profile_document: Document
    entries: tuple[LoggedEntry, ...]
    problems: tuple[Problem, ...]
    today: dt.date

    @property
    def photo_folder(self) -> Path:
        """Where pictures are looked up."""
        return self.folder / PHOTO_FOLDER

    @cached_property
    def entry_by_id(self) -> dict[str, LoggedEntry]:
        """Entries by their stable id."""
        return {entry.id: entry for entry in self.entries}


def build_day(zone: dt.tzinfo) -> dt.date:
    """Give the keeper's day now, or at ``SOURCE_DATE_EPOCH`` if that is set (builds repeat then).

    The day is the keeper's and not the computer's: a site is often built on a machine in another
    time zone, where this morning's entry would seem to lie in the future.
    """
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    given = epoch.isascii() and epoch.isdigit() and len(epoch) <= _EPOCH_DIGITS
    moment = dt.datetime.fromtimestamp(int(epoch), dt.UTC) if given else None
    return (moment or dt.datetime.now(dt.UTC)).astimezone(zone).date()


def find_journal(start: Path) -> Path | None:
    """Give the journal folder at ``start`` or in its ``content`` folder, or None."""
    candidates = (start, start / "content")
    return next((folder for folder in candidates if (folder / PROFILE_FILE).is_file()), None)


def load_journal(folder: Path, today: dt.date | None = None) -> Journal:
    """Read, check and type a journal folder. Never raises for what a user wrote.

    Args:
        folder: Folder with ``tank.yml`` and ``log/``.
        today: The day to reckon from (default: :func:`build_day`).
    """
    problems: list[Problem] = []
    document = _read(folder, folder / PROFILE_FILE, problems)
    drafts = _entry_documents(folder, problems)
    days = [day for name, _ in drafts if (day := _date_of_name(Path(name).stem)[0])]
    possible = (day for day in days if FIRST_YEAR <= day.year <= LAST_YEAR)
    first_day = min(possible, default=dt.date(2000, 1, 1))
    profile, document = _profile(document, folder, first_day, problems)
    today = today or build_day(profile.zone)
    if profile.start > today + _LONGEST_PLAN:
        what, hint = f"The start {profile.start} is years ahead.", "Correct the date."
        problems.append(document.problem(("start",), "date-range", what, hint))
    context = {
        "units": profile.bare_units,
        "currency": profile.currency,
    }
    logged = [
        entry
        for _, entry_document in drafts
        if (entry := _entry(entry_document, profile, context, today, problems))
    ]
    logged.sort(key=lambda entry: (entry.time, entry.id))
    problems.extend(check_journal(folder / PHOTO_FOLDER, profile, document, logged))
    published = _with_single_ids(entry for entry in logged if not entry.record.draft)
    return Journal(folder, profile, document, published, in_order(problems), today)


def _with_single_ids(entries: Iterable[LoggedEntry]) -> tuple[LoggedEntry, ...]:
    """Number the later ones of entries that share an id, so that each has a link of its own."""
    entries = list(entries)
    names, taken = {entry.id for entry in entries}, set[str]()
    single = []
    for entry in entries:
        free = entry.id
        if free in taken:
            numbered = (f"{entry.id}-{number}" for number in itertools.count(2))
            free = next(name for name in numbered if name not in taken | names)
        taken.add(free)
        single.append(replace(entry, id=free))
    return tuple(single)


def _read(folder: Path, path: Path, problems: list[Problem]) -> Document | None:
    name = path.relative_to(folder).as_posix()
    try:
        content = path.read_bytes()
    except FileNotFoundError:
        hint = "Start a journal with 'journal-tools new', or write the file."
        problems.append(Problem(name, 0, 0, "file-missing", "The file does not exist.", hint))
        return None
    except OSError as error:
        what = f"The file cannot be read: {error.strerror}."
        problems.append(Problem(name, 0, 0, "file-unreadable", what, "Check its permissions."))
        return None
    document, found = read_document(name, content)
    problems.extend(found)
    return document


def _entry_documents(folder: Path, problems: list[Problem]) -> list[tuple[str, Document]]:
    documents = []
    for path in _entry_paths(folder, problems):
        document = _read(folder, path, problems)
        if document is not None:
            documents.append((document.file, document))
    return documents


def _entry_paths(folder: Path, problems: list[Problem]) -> Iterable[Path]:
    log = folder / LOG_FOLDER
    root = folder.resolve()
    for path in sorted(log.rglob("*"), key=lambda p: p.as_posix()):
        if _hidden(path.relative_to(log)):
            continue
        if path.suffix.lower() not in _YAML:
            problems.extend(_not_an_entry(path, folder))
            continue
        if path.is_symlink() and not path.resolve().is_relative_to(root):
            name = path.relative_to(folder).as_posix()
            hint = "Copy the file into the journal instead of linking to it."
            what = "The link leads out of the journal folder."
            problems.append(Problem(name, 0, 0, "outside", what, hint))
        elif path.is_file():
            yield path


def _not_an_entry(path: Path, folder: Path) -> Iterator[Problem]:
    """Report what looks like an entry but is none, such as ``2026-03-14.yml.txt``, or a link."""
    name = path.relative_to(folder).as_posix()
    if path.is_dir() and path.is_symlink():
        what, hint = "A linked folder is not read.", "Copy the entries into the log folder."
        yield Problem(name, 0, 0, "not-an-entry", what, hint)
    elif path.is_file() and _DATED.match(path.name):
        what = "The file is named like an entry, but its name does not end in .yml."
        yield Problem(name, 0, 0, "not-an-entry", what, f"Rename it to {path.name[:10]}.yml.")


def _hidden(path: Path) -> bool:
    return any(part.startswith(".") for part in path.parts)


def _profile(
    document: Document | None, folder: Path, first_day: dt.date, problems: list[Problem]
) -> tuple[Profile, Document]:
    document = document or Document(PROFILE_FILE, {}, {}, {})
    if not isinstance(document.data, dict):
        hint = "Write 'key: value' lines, such as 'name: My reef'."
        problems.append(document.problem((), "bad-value", "Keys and values are wanted here.", hint))
        document = Document(PROFILE_FILE, {}, {}, {})
    units = document.data.get("units")
    context = {"units": _profile_units(units), "currency": ""}
    profile, used, found = validate(Profile, document, context)
    if document.data:
        problems.extend(found)
    written = document.data
    if profile is None:
        profile, used, found = _filled_in(document, used, folder, first_day, context)
        problems.extend(found if document.data else [])
    if _meant_to_hide(written, used.data, "privacy"):
        profile = profile.model_copy(update={"privacy": Privacy.nothing_shown()})
    return profile, used


def _meant_to_hide(written: dict[str, Any], used: dict[str, Any], key: str) -> bool:
    """Tell whether somebody wrote a switch that hides something, but not so that it could be used.

    What is published cannot be called back: a slip in such a switch hides until it is mended.
    """
    meant = [name for name in written if name_key(name).startswith(key[:5])]
    return any(name != key or written[name] != used.get(name) for name in meant)


def _filled_in(
    document: Document, used: Document, folder: Path, first_day: dt.date, context: dict[str, Any]
) -> tuple[Profile, Document, list[Problem]]:
    """Give the profile with a stand-in for the name or the first day, whichever cannot be used."""
    name = folder.resolve().parent.name[:100].strip() or "Tank"
    stand_in = {"name": name, "start": first_day.isoformat()}
    known = {key: value for key, value in document.data.items() if key in Profile.model_fields}
    lacking = {key: value for key, value in stand_in.items() if key not in used.data}
    filled = Document(document.file, known | lacking, document.values, document.keys)
    profile, used, found = validate(Profile, filled, context)
    if profile is None:
        # One of the two was there and could not be used: this time it is filled in as well.
        profile, used, more = _filled_in(filled, used, folder, first_day, context)
        found += more
    return profile, used, found


def _profile_units(written: Any) -> BareUnits:
    """Read the units first: the rest of the profile is written in them."""
    if not isinstance(written, dict):
        return BareUnits()
    chosen = {key: str(value) for key, value in written.items() if key != "system"}
    document = Document(
        PROFILE_FILE, {"units": written, "name": "-", "start": "2000-01-01"}, {}, {}
    )
    profile, _, _ = validate(Profile, document, {"units": BareUnits()})
    known = profile.units.chosen() if profile else {}
    return BareUnits(written.get("system") == "us", {k: v for k, v in chosen.items() if k in known})


def _entry(
    document: Document, profile: Profile, context: dict[str, Any], today: dt.date,
    problems: list[Problem],
) -> LoggedEntry | None:  # fmt: skip
    record, used, found = validate(Entry, document, context)
    problems.extend(found)
    if record is None:
        return None
    if _meant_to_hide(document.data, used.data, "draft"):
        record = record.model_copy(update={"draft": True})
    date_told = document.data.get("date") is not None and record.date is None
    document = used
    day = _day(document, record, today, problems, date_told=date_told)
    if day is None:
        return None
    if not record.says_something and not found:
        hint = "Add readings, notes, photos or any other key."
        problems.append(document.problem((), "empty", "The entry says nothing.", hint))
    clock = record.time or dt.time(12)
    moment = dt.datetime.combine(day, clock, tzinfo=profile.zone)
    return LoggedEntry(_entry_id(document.file, day), day, moment, record, document)


def _date_of_name(stem: str) -> tuple[dt.date | None, bool]:
    """Give the date that a file name begins with, and whether it looks like one at all."""
    match = _DATED.fullmatch(stem)
    if not match:
        return None, False
    try:
        return dt.date.fromisoformat(match["date"]), True
    except ValueError:
        return None, True


def _day(
    document: Document, record: Entry, today: dt.date, problems: list[Problem], *, date_told: bool
) -> dt.date | None:
    """Give the day of an entry; ``date_told`` if a problem with its date has been told already."""
    day = _stated_day(document, record, problems)
    if day is None:
        if not date_told and not _date_of_name(Path(document.file).stem)[1]:
            what = "The entry has no date."
            hint = "Name the file like 2026-03-14.yml, or write 'date: 2026-03-14'."
            problems.append(document.problem((), "no-date", what, hint))
        return None
    if day.year >= FIRST_YEAR and day <= today:
        return day
    what = f"The date {day} is {'in the future' if day > today else 'too long ago'}."
    hint = "Correct the date; the entry is left out until then."
    problems.append(document.problem(("date",), "date-range", what, hint))
    return None


def _stated_day(document: Document, record: Entry, problems: list[Problem]) -> dt.date | None:
    stem = Path(document.file).stem
    named, looks_dated = _date_of_name(stem)
    if looks_dated and named is None:
        what, hint = f"The date in the name '{stem}' does not exist.", "Rename the file."
        problems.append(document.problem((), "bad-date", what, hint))
    if named and record.date and named != record.date:
        what = f"The file name says {named}, the entry says {record.date}."
        hint = "Make them agree, or remove 'date:'; until then the file name counts."
        problems.append(document.problem(("date",), "date-mismatch", what, hint))
    return named or record.date


def _entry_id(file: str, day: dt.date) -> str:
    """Give the stable id of an entry: its date and, if the file name says more, that too."""
    stem = Path(file).stem
    match = _DATED.fullmatch(stem)
    rest = (match["rest"] or "") if match else stem
    # Some systems store "ö" as two characters: the id must not depend on the computer.
    slug = re.sub(r"[\W_]+", "-", unicodedata.normalize("NFC", rest).casefold()).strip("-")
    return f"{day.isoformat()}-{slug}" if slug else day.isoformat()
