"""Which photos the entries ask for, and where each is named."""

from __future__ import annotations

from collections.abc import Iterable

from journal_tools.logged import LoggedEntry
from journal_tools.photos import PhotoRequest


def photo_request(entry: LoggedEntry, position: int) -> PhotoRequest:
    """Give the request for one photo of an entry."""
    line, column = entry.document.place(("photos", position, "file"))
    photo = entry.record.photos[position]
    return PhotoRequest(photo.file, photo.taken or entry.day, (entry.file, line, column))


def photo_requests(entries: Iterable[LoggedEntry]) -> list[PhotoRequest]:
    """Give the requests for all photos of some entries."""
    return [
        photo_request(entry, position)
        for entry in entries
        for position in range(len(entry.record.photos))
    ]
