"""Checks that need more than one value: names, dates in a row, photos, doubles."""

from __future__ import annotations

import functools
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from journal_tools.correction import corrections_of
from journal_tools.logged import LoggedEntry
from journal_tools.markup import note_faults
from journal_tools.names import name_key, same_but_for_a_slip
from journal_tools.photos import Fault, find, names_in
from journal_tools.problems import Problem
from journal_tools.profile import Profile
from journal_tools.read import Document, Location
from journal_tools.requests import photo_request


def check_journal(
    photo_folder: Path, profile: Profile, document: Document, entries: Sequence[LoggedEntry]
) -> list[Problem]:
    """Give every problem that shows only when the journal is seen as a whole."""
    return [
        *_double_ids(entries),
        *_missing_photos(photo_folder, entries),
        *_names(profile, document, entries),
        *_unknown_supplements(profile, entries),
        *corrections_of(profile, entries)[1],
        *_notes(profile, document, entries),
    ]


def _notes(
    profile: Profile, document: Document, entries: Sequence[LoggedEntry]
) -> Iterator[Problem]:
    """Report links that lead nowhere and pictures in what the keeper wrote as Markdown."""
    published = {entry.id for entry in entries if not entry.record.draft}

    def entry_link(entry_id: str) -> str | None:
        return entry_id if entry_id in published else None

    texts = [(entry.document, "notes", entry.record.notes) for entry in entries]
    for source, key, text in [(document, "about", profile.about), *texts]:
        for line, what, hint in note_faults(text or "", entry_link):
            at = _first_line(source, key) + line
            yield Problem(source.file, at, 0, "note-link", what, hint)


def _first_line(document: Document, key: str) -> int:
    """Give the line on which a text begins; that of a block (``|``) is below its key."""
    line, raw = document.place((key,))[0], str(document.data[key])
    blank = len(raw) - len(raw.lstrip("\n"))
    return line + blank + ("\n" in raw)


def _double_ids(entries: Iterable[LoggedEntry]) -> Iterator[Problem]:
    seen: dict[str, str] = {}
    for entry in entries:
        if entry.id in seen:
            what = f"This entry and {seen[entry.id]} would share the link '{entry.id}'."
            hint = "Add a word to one file name: 2026-03-14-evening.yml."
            yield entry.document.problem((), "double-entry", what, hint)
        seen[entry.id] = entry.file


def _missing_photos(photo_folder: Path, entries: Iterable[LoggedEntry]) -> Iterator[Problem]:
    listing = functools.cache(names_in)
    for entry in entries:
        for position, photo in enumerate(entry.record.photos):
            found = find(photo_folder, photo.file, listing)
            if isinstance(found, Fault):
                yield found.at(photo_request(entry, position))


@dataclass(frozen=True, slots=True)
class _Use:
    """A name used for a thing of some kind, and where."""

    kind: str
    name: str
    document: Document
    location: Location
    declared: bool = False


def _uses(profile: Profile, document: Document, entries: Iterable[LoggedEntry]) -> Iterator[_Use]:
    declared = {
        "supplement": ("supplements", "name"),
        "equipment": ("equipment", "name"),
        "animal": ("animals", "name"),
        "task": ("upkeep", "task"),
        "instrument": ("instruments", "name"),
        "food": ("foods", "name"),
    }
    for kind, (section, key) in declared.items():
        for i, item in enumerate(getattr(profile, section)):
            yield _Use(kind, getattr(item, key), document, (section, i, key), declared=True)
    for entry in entries:
        record, where = entry.record, entry.document
        for section in ("doses", "dosing_plan", "stock"):
            for i, dose in enumerate(getattr(record, section)):
                yield _Use("supplement", dose.what, where, (section, i, "what"))
        for i, animal in enumerate(record.livestock):
            yield _Use("animal", animal.name, where, ("livestock", i, animal.event))
        for i, piece in enumerate(record.equipment):
            yield _Use("equipment", piece.name, where, ("equipment", i, piece.event))
        for i, calibration in enumerate(record.calibrations):
            at = ("calibrations", i, "instrument")
            yield _Use("instrument", calibration.instrument, where, at)
        for i, food in enumerate(record.feed):
            yield _Use("food", food.what, where, ("feed", i, "what"))
        for i, done in enumerate(record.upkeep):
            yield _Use("task", done.task, where, ("upkeep", i, "task"))


def _names(
    profile: Profile, document: Document, entries: Sequence[LoggedEntry]
) -> Iterator[Problem]:
    """Report the rarer of two spellings once, where it is first used."""
    uses = list(_uses(profile, document, entries))
    for kind in dict.fromkeys(use.kind for use in uses):
        of_kind = [use for use in uses if use.kind == kind]
        counts = Counter(use.name for use in of_kind)
        declared = {use.name for use in of_kind if use.declared}
        ranked = sorted(counts, key=lambda n: (n not in declared, -counts[n], n))
        for place, name in enumerate(ranked):
            better = next((n for n in ranked[:place] if same_but_for_a_slip(n, name)), None)
            if better is None or (name in declared and name_key(name) != name_key(better)):
                continue
            use = next(use for use in of_kind if use.name == name)
            what = f"'{name}' and '{better}' look like two spellings of one {kind}."
            hint = f"Write '{better}' if you mean the same."
            yield use.document.problem(use.location, "two-spellings", what, hint)


def _unknown_supplements(profile: Profile, entries: Sequence[LoggedEntry]) -> Iterator[Problem]:
    known = {name_key(s.name) for s in profile.supplements}
    for entry in entries:
        for section in ("doses", "dosing_plan", "stock"):
            for i, dose in enumerate(getattr(entry.record, section)):
                key = name_key(dose.what)
                if key in known or any(
                    same_but_for_a_slip(dose.what, s.name) for s in profile.supplements
                ):
                    continue
                known.add(key)
                what = f"The supplement '{dose.what}' is not described in tank.yml."
                hint = "Add it under 'supplements:' so that its strength can be reckoned with."
                yield entry.document.problem((section, i, "what"), "unknown-supplement", what, hint)
