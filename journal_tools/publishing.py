"""What of a journal may be published: all that its keeper hides is gone before a page is made.

Hiding happens here, once, and not in each page: what a table, a chart or a search index never
sees it cannot tell. Words that a keeper writes into notes, titles and names of files are theirs.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, TypeVar

from journal_tools.entries import Entry
from journal_tools.journal import Journal
from journal_tools.logged import LoggedEntry
from journal_tools.photos import Photo
from journal_tools.profile import Privacy, Profile
from journal_tools.records import Record
from journal_tools.units import Quantity

SMALL_PHOTO_PX = 640
"""Widest picture that is published where full-size photos are not."""

_MONEY = frozenset({"price", "costs", "tariff", "budget"})
_CLOCK = frozenset({"time"})
# Oxygen and pressure need the altitude, and change by 3 % over so many centimetres.
_ALTITUDE_STEP_CM = 25_000
_NOWHERE = "UTC"

_R = TypeVar("_R", bound=Record)


def published(journal: Journal, photos: Mapping[str, Photo]) -> tuple[Journal, dict[str, Photo]]:
    """Give a journal and its photos without what its profile keeps private.

    Args:
        journal: As read.
        photos: Its photos by the names that entries use.
    """
    privacy = journal.profile.privacy
    names = _public_names(photos) if _names_tell(privacy) else {file: file for file in photos}
    shown = {names[file]: _photo(photo, names[file], privacy) for file, photo in photos.items()}
    if privacy == Privacy():
        return journal, shown
    profile = _profile(journal.profile, names)
    entries = tuple(_entry(entry, profile, names) for entry in journal.entries)
    return replace(journal, profile=profile, entries=entries), shown


def without(record: _R, hidden: frozenset[str]) -> _R:
    """Give a record in which the hidden fields, however deep, are as if never written.

    Args:
        record: Any model.
        hidden: Names of fields.
    """
    changes: dict[str, Any] = {}
    for name, field in type(record).model_fields.items():
        value = getattr(record, name)
        changes[name] = (
            field.get_default(call_default_factory=True)
            if name in hidden
            else _within(value, hidden)
        )
    return record.model_copy(update=changes)


def _within(value: Any, hidden: frozenset[str]) -> Any:
    if isinstance(value, Record):
        return without(value, hidden)
    if isinstance(value, list):
        return [_within(one, hidden) for one in value]
    if isinstance(value, dict):
        return {key: _within(one, hidden) for key, one in value.items() if key not in hidden}
    return value


def _hidden(privacy: Privacy) -> frozenset[str]:
    money = frozenset() if privacy.show_costs else _MONEY
    return money if privacy.exact_times else money | _CLOCK


def _profile(profile: Profile, names: Mapping[str, str]) -> Profile:
    privacy = profile.privacy
    changes: dict[str, Any] = {}
    if not privacy.show_keeper:
        changes["keeper"] = None
    if not privacy.show_place:
        changes["time_zone"] = _NOWHERE
        changes["altitude"] = _rounded(profile.altitude)
    changes["equipment"] = [
        piece.model_copy(update={"photo": names.get(piece.photo)}) if piece.photo else piece
        for piece in profile.equipment
    ]
    # Times of day in a profile are schedules of lamps and pumps, not of a person.
    return without(profile.model_copy(update=changes), _hidden(privacy) - _CLOCK)


def _rounded(altitude: Quantity | None) -> Quantity | None:
    if altitude is None:
        return None
    value = _ALTITUDE_STEP_CM * round(altitude.value / _ALTITUDE_STEP_CM)
    return Quantity(value, text=f"{value / 100:g} m")


def _entry(entry: LoggedEntry, profile: Profile, names: Mapping[str, str]) -> LoggedEntry:
    record: Entry = without(entry.record, _hidden(profile.privacy))
    uses = [
        use.model_copy(update={"file": names[use.file]})
        for use in record.photos
        if use.file in names
    ]
    clock = entry.time.time() if profile.privacy.exact_times else dt.time(12)
    moment = dt.datetime.combine(entry.day, clock, tzinfo=profile.zone)
    record = record.model_copy(update={"photos": uses})
    return replace(entry, time=moment, record=record)


def _names_tell(privacy: Privacy) -> bool:
    """Tell whether names of files, as cameras give them, would tell what is to be hidden."""
    return not (privacy.exact_times and privacy.show_place)


def _public_names(photos: Mapping[str, Photo]) -> dict[str, str]:
    return {file: f"photo-{photo.digest[:12]}.jpg" for file, photo in photos.items()}


def _photo(photo: Photo, name: str, privacy: Privacy) -> Photo:
    renditions = photo.renditions
    if not privacy.full_photos:
        small = tuple(r for r in renditions if r.width <= SMALL_PHOTO_PX)
        renditions = small or (min(renditions, key=lambda r: r.width),)
    if _names_tell(privacy):
        stem = f"photo-{photo.digest[:8]}"
        renditions = tuple(replace(rendition, stem=stem) for rendition in renditions)
        photo = replace(photo, source=name, taken=None)
    return replace(photo, renditions=renditions)
