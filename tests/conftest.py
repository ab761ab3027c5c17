from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from journal_tools.entries import Entry
from journal_tools.journal import Journal, load_journal
from journal_tools.profile import Profile
from journal_tools.quantities import BareUnits
from journal_tools.read import read_document
from journal_tools.validate import validate
from tests.site.browsing import launched

SHORTEST_PROFILE = "name: Test tank\nstart: 2026-01-01\n"

Files = Mapping[str, str | bytes]
ReadEntry = Callable[..., tuple[Entry | None, list[str]]]
ReadProfile = Callable[[str], tuple[Profile | None, list[str]]]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The one browser of all tests of a process: a second one beside it is refused."""
    with launched() as found:
        yield found


@pytest.fixture
def journal_folder(tmp_path: Path) -> Callable[[Files], Path]:
    """Write files by their path; without a ``tank.yml`` of its own it gets the shortest one."""

    def build(files: Files) -> Path:
        folder = tmp_path / "my-reef" / "content"
        for name, content in ({"tank.yml": SHORTEST_PROFILE} | dict(files)).items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content.encode() if isinstance(content, str) else content)
        return folder

    return build


@pytest.fixture
def load(journal_folder: Callable[[Files], Path]) -> Callable[[Files], Journal]:
    """Load a journal of some files, on 1 April 2026."""
    return lambda files: load_journal(journal_folder(files), dt.date(2026, 4, 1))


@pytest.fixture(scope="session")
def read_entry() -> ReadEntry:
    """Read the text of an entry and validate it; problems as a keeper sees them."""

    def read(text: str, units: BareUnits | None = None) -> tuple[Entry | None, list[str]]:
        document, problems = read_document("day.yml", text.encode())
        if document is None:
            return None, [str(problem) for problem in problems]
        context = {"units": units or BareUnits(), "currency": "EUR"}
        record, _, found = validate(Entry, document, context)
        return record, [str(problem) for problem in sorted([*problems, *found])]

    return read


@pytest.fixture(scope="session")
def read_profile() -> ReadProfile:
    """Read the text of a profile, to which name and start are added."""

    def read(text: str) -> tuple[Profile | None, list[str]]:
        document, problems = read_document(
            "tank.yml", f"{text}\nname: T\nstart: 2026-01-01".encode()
        )
        assert document is not None
        record, _, found = validate(Profile, document, {"units": BareUnits()})
        return record, [str(problem) for problem in sorted([*problems, *found])]

    return read
