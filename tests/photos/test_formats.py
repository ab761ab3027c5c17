"""The formats that are read, and what a file is whatever its name says."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from PIL import Image

from journal_tools.cache import Cache
from journal_tools.photos import workers

from .made_up import HEIC, photo, plain, problem


def test_a_picture_with_the_wrong_ending_is_shown(folder: Path, cache: Cache) -> None:
    plain().save(folder / "really-png.jpg", format="PNG")
    assert photo(folder, cache, "really-png.jpg").width == 60


def test_heic_without_its_reader_says_what_to_install(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pi_heif", None)
    monkeypatch.setattr(workers, "_READERS_THAT_CRASH", frozenset())
    (folder / "phone.heic").write_bytes(HEIC)
    found = problem(folder, cache, "phone.heic")
    assert found.code == "photo-format"
    assert 'pip install "journal-tools[heif]"' in found.hint


def test_a_raw_file_is_told_by_its_name(folder: Path, cache: Cache) -> None:
    plain((16, 12)).save(folder / "shot.DNG", format="TIFF")
    assert problem(folder, cache, "shot.DNG").code == "photo-format"


@pytest.mark.parametrize("kind", ["eps", "ppm", "tga", "pcx", "ico"])
def test_readers_of_other_formats_stay_shut(folder: Path, cache: Cache, kind: str) -> None:
    path = folder / f"a.{kind}"
    plain().save(path)
    with Image.open(path) as known_to_the_library:
        assert known_to_the_library.format == kind.upper()
    assert problem(folder, cache, path.name).code == "photo-not-image"
