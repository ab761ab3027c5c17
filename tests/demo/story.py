"""The story of the demo journal: chapters of entries as the keeper would write them.

A chapter holds entries after lines like ``=== 2025-08-23 a-tank-in-the-hall``. Where a number
comes from the simulation, the text has a mark: ``@alk`` is the alkalinity test of that entry,
``@alk#2`` a second one, ``@alk@19:40`` the test at another time, ``@alk~2025-10-04`` the one
written in the entry of that day, ``@topoff`` the water replaced
since the last such mark, ``@feed`` the grams of the day, ``@cm[anchor polyp]`` a width.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import Any

import yaml

CHAPTERS = Path(__file__).parent / "chapters"
_HEADING = re.compile(r"^=== (\d{4}-\d{2}-\d{2}) ?(\S*)\n", re.MULTILINE)
MARK = re.compile(
    r"@(?P<short>[a-z]+\d?)(?:#(?P<nth>\d))?(?:@(?P<clock>\d\d:\d\d))?"
    r"(?:~(?P<day>\d{4}-\d{2}-\d{2}))?(?:\[(?P<name>[^\]]+)\])?"
)


@dataclass(frozen=True)
class Told:
    """One entry as told, before the simulation fills in its numbers."""

    day: dt.date
    slug: str
    text: str

    @property
    def name(self) -> str:
        """Name of its file, without the ending."""
        return f"{self.day}-{self.slug}" if self.slug else f"{self.day}"

    @property
    def path(self) -> str:
        """Path of its file inside the journal."""
        return f"log/{self.day.year}/{self.name}.yml"

    @cached_property
    def data(self) -> dict[str, Any]:
        """What it says, every scalar as text and every mark as 1."""
        loaded = yaml.load(MARK.sub("1", self.text), Loader=yaml.BaseLoader)
        assert isinstance(loaded, dict), self.name
        return loaded

    @property
    def when(self) -> dt.datetime:
        """The keeper's time, noon where none is told."""
        clock = dt.time.fromisoformat(self.data.get("time", "12:00"))
        return dt.datetime.combine(self.day, clock)

    def moments(self) -> set[dt.datetime]:
        """Give every moment at which the entry looks at the water."""
        clocks = {match["clock"] for match in MARK.finditer(self.text) if match["clock"]}
        return {self.when} | {
            dt.datetime.combine(self.day, dt.time.fromisoformat(clock)) for clock in clocks
        }


@cache
def told() -> tuple[Told, ...]:
    """Give all entries of all chapters by time."""
    entries = [
        entry
        for path in sorted(CHAPTERS.glob("*.txt"))
        for entry in _entries(path.read_text(encoding="utf-8"))
    ]
    return tuple(sorted(entries, key=lambda entry: (entry.when, entry.name)))


def _entries(chapter: str) -> list[Told]:
    _, *parts = _HEADING.split(chapter)
    return [
        Told(dt.date.fromisoformat(day), slug, text.strip("\n") + "\n")
        for day, slug, text in zip(parts[::3], parts[1::3], parts[2::3], strict=True)
    ]
