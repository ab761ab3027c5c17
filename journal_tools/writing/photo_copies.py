"""Photos copied into the journal beside a new entry."""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from journal_tools.journal import PHOTO_FOLDER, Journal
from journal_tools.photos import Fault
from journal_tools.photos.picture import decoded
from journal_tools.writing.entry_file import FileChange
from journal_tools.writing.understood import Unclear


@dataclass(frozen=True, slots=True)
class NewPhoto:
    """A picture that somebody hands in.

    Attributes:
        source: The file.
        content: Its bytes.
        taken: The day on which the camera says it was taken, or None.
    """

    source: Path
    content: bytes
    taken: dt.date | None


def read_photo(source: Path) -> NewPhoto | Unclear:
    """Give a picture, or why it cannot be used."""
    try:
        content = source.read_bytes()
    except OSError as error:
        what = f"The photo cannot be read: {error.strerror}."
        return Unclear(str(source), what, "Check its name and its folder.")
    picture = decoded(content)
    if isinstance(picture, Fault):
        return Unclear(str(source), f"The photo {picture.what}", picture.hint)
    return NewPhoto(source, content, picture.taken.date() if picture.taken else None)


def day_of_photos(photos: Iterable[NewPhoto]) -> dt.date | None:
    """Give the day on which all photos were taken, or None if they do not agree on one."""
    days = {photo.taken for photo in photos}
    return days.pop() if len(days) == 1 else None


def photo_change(journal: Journal, photo: NewPhoto, day: dt.date) -> FileChange:
    """Give the copy of a photo: under its own name, or with a number if that name is taken.

    Args:
        journal: The journal that it goes into.
        photo: The picture.
        day: Day of the entry.
    """
    folder = journal.folder / PHOTO_FOLDER
    month = f"{photo.taken or day:%Y-%m}"
    # A journal that keeps its photos by month goes on doing so.
    by_month = folder.is_dir() and any(
        re.fullmatch(r"\d{4}-\d{2}", path.name) for path in folder.iterdir() if path.is_dir()
    )
    place = folder / month if by_month else folder
    stem, ending = _name(photo.source)
    number = 1
    while True:
        path = place / (f"{stem}{ending}" if number == 1 else f"{stem}-{number}{ending}")
        if not path.exists():
            return FileChange(path, None, photo.content)
        if path.is_file() and path.read_bytes() == photo.content:
            return FileChange(path, photo.content, photo.content)
        number += 1


def photo_use(journal: Journal, photo: NewPhoto, copy: FileChange, day: dt.date) -> Any:
    """Give how an entry names the copied photo; with its day where that is another one."""
    name = copy.path.relative_to(journal.folder / PHOTO_FOLDER).as_posix()
    if photo.taken is None or photo.taken == day or photo.taken.year < 1950:
        return name
    return {"file": name, "taken": photo.taken.isoformat()}


def _name(source: Path) -> tuple[str, str]:
    """Give stem and ending of a name that every file system and every link can bear."""
    plain = unicodedata.normalize("NFC", source.stem)
    stem = re.sub(r"[^\w.-]+", "-", plain).strip("-.") or "photo"
    return stem[:80], source.suffix
