from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest

from journal_tools.journal import Journal, load_journal
from journal_tools.writing.vocabulary import Vocabulary, vocabulary_of

TODAY = dt.date(2026, 3, 31)

TANK = """\
name: Test reef
start: 2026-01-01
time_zone: Europe/Berlin
animals:
  - {name: clownfish, group: fish}
  - {name: turbo snail, group: invertebrate}
  - {name: yellow goby, group: fish}
  - {name: lawn blenny, group: fish}
supplements:
  - {name: alk mix, no_effect: true}
  - {name: calcium mix, no_effect: true}
equipment:
  - {name: skimmer, kind: skimmer}
  - {name: first heater, kind: heater}
  - {name: hall lamp, kind: light}
upkeep:
  - {task: glass, every: 4 days}
  - {task: skimmer cup, every: 3 days}
  - {task: filter floss, every: 5 days}
"""


@pytest.fixture(autouse=True)
def today(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let it be noon on 31 March 2026."""
    noon = dt.datetime(2026, 3, 31, 12, tzinfo=dt.UTC)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(noon.timestamp())))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A journal with a profile and nothing else."""
    place = tmp_path / "reef"
    place.mkdir()
    (place / "tank.yml").write_text(TANK, encoding="utf-8")
    return place


@pytest.fixture
def journal(folder: Path) -> Journal:
    return load_journal(folder, TODAY)


@pytest.fixture
def vocabulary(journal: Journal) -> Vocabulary:
    return vocabulary_of(journal)


@pytest.fixture
def log(folder: Path) -> Callable[[], dict[str, str]]:
    """Give every file of the log by name."""

    def read() -> dict[str, str]:
        files = sorted((folder / "log").rglob("*.yml"))
        return {f.relative_to(folder / "log").as_posix(): f.read_text("utf-8") for f in files}

    return read
