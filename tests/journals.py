"""Small invented journals, written as texts by path and read like a keeper's folder."""

from __future__ import annotations

import datetime as dt
import tempfile
from collections.abc import Mapping
from pathlib import Path

from PIL import Image

from journal_tools.cache import Cache
from journal_tools.journal import Journal, load_journal
from journal_tools.metrics import Metrics, compute_metrics
from journal_tools.pages.site import Site, gather_site
from journal_tools.tables import Tables, build_tables

TODAY = dt.date(2026, 3, 31)
TANK = "name: Test reef\nstart: 2026-01-01\ntime_zone: Europe/Berlin\n"
HUNDRED_LITRES = TANK + "vessels: {name: display, shape: stated, volume: 100 ± 2 L}\n"

Files = Mapping[str, str]


def write(folder: Path, files: Files) -> Path:
    """Write a journal; without a profile of its own it gets the shortest one."""
    for name, text in ({"tank.yml": TANK} | dict(files)).items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


def read(files: Files, today: dt.date = TODAY) -> Journal:
    with tempfile.TemporaryDirectory() as folder:
        return load_journal(write(Path(folder), files), today)


def tables(files: Files, today: dt.date = TODAY, *, but: tuple[str, ...] = ()) -> Tables:
    """Give the tables of a journal that has no problem but those of the named codes."""
    journal = read(files, today)
    assert [str(p) for p in journal.problems if p.code not in but] == []
    return build_tables(journal)


def metrics(files: Files, today: dt.date = TODAY, *, but: tuple[str, ...] = ()) -> Metrics:
    return compute_metrics(tables(files, today, but=but))


def site(folder: Path, files: Files, today: dt.date = TODAY) -> Site:
    """Give the site of a journal; its cache lies beside it."""
    journal = load_journal(write(folder / "journal", files), today)
    return gather_site(journal, Cache(folder / "cache"))


def photo(path: Path, size: tuple[int, int] = (1600, 1200), colour: str = "teal") -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    Image.new("RGB", size, colour).save(path)
