"""An entry together with where and when it was written."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from journal_tools.entries import Entry
from journal_tools.read import Document


@dataclass(frozen=True)
class LoggedEntry:
    """One entry of the log.

    Attributes:
        id: Stable name of the entry in links and tables, beginning with its date.
        day: The keeper's day.
        time: The moment, in the keeper's time zone (noon where none was written).
        record: What it says.
        document: The file it was read from, with the line of every value.
    """

    id: str
    day: dt.date
    time: dt.datetime
    record: Entry
    document: Document

    @property
    def file(self) -> str:
        """Path of the file inside the journal folder."""
        return self.document.file

    @property
    def title(self) -> str:
        """The entry's title, or its milestone, or an empty text."""
        return self.record.title or self.record.milestone or ""
