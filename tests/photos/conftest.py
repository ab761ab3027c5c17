"""What the photo tests start from."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from journal_tools.cache import Cache
from journal_tools.photos import Fault, preparation


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    path = tmp_path / "photos"
    path.mkdir()
    return path


@pytest.fixture
def cache(tmp_path: Path) -> Cache:
    return Cache(tmp_path / "cache")


@pytest.fixture
def rendered(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Give the names of the files that were decoded, as they are decoded in this process."""
    names: list[str] = []
    real = preparation._render

    def note(path: Path, cache: Cache) -> str | Fault:
        names.append(path.name)
        return real(path, cache)

    monkeypatch.setattr(preparation, "_render", note)
    return names


@pytest.fixture
def later(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the files of a test count as settled."""
    real = time.time_ns
    monkeypatch.setattr(time, "time_ns", lambda: real() + 10_000_000_000)
