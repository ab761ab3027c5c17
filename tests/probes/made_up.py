"""Invented probe files, and the journal that holds them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from pathlib import Path

import pandas as pd

from journal_tools.cache import Cache
from journal_tools.journal import load_journal
from journal_tools.probes import Probes, load_probes
from tests.journals import TANK, write

TODAY = dt.date(2026, 3, 31)
PLAIN = "time: time\ncolumns: {temperature: T1}\n"
COLUMNS = "columns: {temperature: T1}\n"

Content = str | bytes


def rows(*values: object, start: str = "2026-03-01 00:00", step: str = "15min") -> str:
    """Give a CSV file of one column at equal steps."""
    times = pd.date_range(start, periods=len(values), freq=step)
    lines = (f"{time:%Y-%m-%d %H:%M},{value}" for time, value in zip(times, values, strict=True))
    return "\n".join(["time,T1", *lines]) + "\n"


def journal(folder: Path, files: Mapping[str, Content], tank: str = TANK) -> Path:
    """Write a journal with files in its probes folder."""
    place = write(folder, {"tank.yml": tank})
    for name, content in files.items():
        path = place / "probes" / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(content.encode() if isinstance(content, str) else content)
    return place


def load(
    folder: Path,
    files: Mapping[str, Content],
    tank: str = TANK,
    today: dt.date = TODAY,
    cache: Cache | None = None,
) -> Probes:
    """Give the probes of a journal with these files in its probes folder."""
    place = journal(folder, files, tank)
    return load_probes(place, load_journal(place, today).profile, today, cache)


def codes(found: Probes) -> list[str]:
    return [problem.code for problem in found.problems]


def said(found: Probes) -> list[str]:
    return [str(problem) for problem in found.problems]


def moments(texts: Iterable[str]) -> list[int]:
    """Give moments in UTC as nanoseconds."""
    return [int(pd.Timestamp(text, tz="UTC").as_unit("ns").value) for text in texts]
