"""The originals: found by name, known again by content."""

from __future__ import annotations

import hashlib
import io
import os
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.cache import Cache
from journal_tools.photos import Fault, find, names_in, originals

from .made_up import BLUE, RED, photo, plain, problem


def code(found: Path | Fault) -> str:
    assert isinstance(found, Fault)
    return found.code


def test_find_gives_the_file_in_any_sub_folder(folder: Path) -> None:
    (folder / "2026").mkdir()
    plain().save(folder / "2026" / "a b.jpg")
    for name in ("2026/a b.jpg", "./2026//a b.jpg", "2026\\a b.jpg"):
        assert find(folder, name) == folder / "2026" / "a b.jpg"


def test_a_missing_photo_is_told_with_the_nearest_name(folder: Path, cache: Cache) -> None:
    (folder / "2026").mkdir()
    plain().save(folder / "2026" / "front.jpg")
    found = problem(folder, cache, "2026/frnt.jpg")
    assert found.code == "photo-missing"
    assert found.hint == "Did you mean 2026/front.jpg?"
    assert problem(folder, cache, "2026/zzz.gif").hint == "Copy it there, or mend its name."


@pytest.mark.parametrize("name", ["", ".", "2026", "a\0b.jpg", "a" * 5000, "nowhere/a.jpg"])
def test_what_is_no_file_is_missing(folder: Path, cache: Cache, name: str) -> None:
    (folder / "2026").mkdir()
    assert problem(folder, cache, name).code == "photo-missing"


def test_a_folder_that_does_not_exist_holds_no_photos(tmp_path: Path, cache: Cache) -> None:
    assert problem(tmp_path / "none", cache, "a.jpg").code == "photo-missing"


def test_other_capitals_are_told_with_the_stored_name(folder: Path, cache: Cache) -> None:
    (folder / "Spring").mkdir()
    plain().save(folder / "Spring" / "Front.JPG", format="JPEG")
    for name in ("Spring/front.jpg", "Spring/FRONT.jpg"):
        found = problem(folder, cache, name)
        assert found.code == "photo-case"
        assert "Spring/Front.JPG" in found.what
        assert found.hint == "Write Spring/Front.JPG."
    assert problem(folder, cache, "spring/Front.JPG").hint == "Write Spring/Front.JPG."


def test_capitals_count_where_the_file_system_ignores_them(folder: Path) -> None:
    # Such a system opens the file under both names but lists it under one.
    plain().save(folder / "front.jpg")
    if not (folder / "Front.JPG").exists():
        os.link(folder / "front.jpg", folder / "Front.JPG")

    def listing(path: Path) -> frozenset[str]:
        return frozenset({"front.jpg"})

    assert code(find(folder, "Front.JPG", listing)) == "photo-case"
    assert find(folder, "front.jpg", listing) == folder / "front.jpg"


def test_accents_may_be_stored_in_one_character_or_two(folder: Path) -> None:
    plain().save(folder / "cafe\u0301.png")
    (stored,) = names_in(folder)
    assert find(folder, "caf\u00e9.png") == folder / stored
    assert code(find(folder, "CAF\u00c9.png")) == "photo-case"


@pytest.mark.parametrize(
    "name",
    [
        "../secret.png",
        "a/../../secret.png",
        "a/../a.png",
        "..\\secret.png",
        "..",
        "/etc/hostname",
        "C:\\a.png",
        "C:a.png",
        "\\\\server\\share\\a.png",
    ],
)
def test_paths_that_lead_outside_are_refused(
    folder: Path, cache: Cache, tmp_path: Path, name: str
) -> None:
    plain().save(tmp_path / "secret.png")
    (folder / "a").mkdir()
    assert problem(folder, cache, name).code == "photo-outside"


def test_an_absolute_path_is_refused_even_to_the_folder_itself(folder: Path, cache: Cache) -> None:
    plain().save(folder / "a.png")
    assert problem(folder, cache, str(folder / "a.png")).code == "photo-outside"


def test_links_may_lead_inside_but_not_out(folder: Path, cache: Cache, tmp_path: Path) -> None:
    (tmp_path / "private").mkdir()
    plain().save(tmp_path / "private" / "secret.png")
    plain().save(folder / "a.png")
    (folder / "alias.png").symlink_to(folder / "a.png")
    (folder / "link.png").symlink_to(tmp_path / "private" / "secret.png")
    (folder / "way").symlink_to(tmp_path / "private", target_is_directory=True)
    (folder / "dangling.png").symlink_to(folder / "gone.png")
    (folder / "loop.png").symlink_to(folder / "loop.png")
    assert photo(folder, cache, "alias.png").source == "alias.png"
    assert problem(folder, cache, "link.png").code == "photo-outside"
    # No hint may tell what else lies out there.
    for name in ("way/secret.png", "way/secrets.png"):
        found = problem(folder, cache, name)
        assert found.code == "photo-outside"
        assert "secret.png" not in found.hint
    assert problem(folder, cache, "dangling.png").code == "photo-missing"
    assert problem(folder, cache, "loop.png").code == "photo-missing"


def test_the_photos_folder_itself_may_be_a_link(tmp_path: Path, cache: Cache) -> None:
    (tmp_path / "elsewhere").mkdir()
    plain().save(tmp_path / "elsewhere" / "a.png")
    (tmp_path / "photos").symlink_to(tmp_path / "elsewhere", target_is_directory=True)
    assert photo(tmp_path / "photos", cache, "a.png").width == 60


@given(st.text(max_size=12), st.sampled_from(["", "sub/", "../", "/", "a.png/", "\\"]))
def test_find_never_leaves_the_folder(
    tmp_path_factory: pytest.TempPathFactory, name: str, before: str
) -> None:
    root = tmp_path_factory.getbasetemp() / "kept"
    (root / "photos" / "sub").mkdir(parents=True, exist_ok=True)
    (root / "photos" / "a.png").write_bytes(b"x")
    found = find(root / "photos", before + name)
    assert isinstance(found, Fault) or found.resolve().is_relative_to((root / "photos").resolve())


@pytest.mark.usefixtures("later")
def test_a_settled_photo_is_not_even_hashed(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain().save(folder / "a.png")
    first = photo(folder, cache, "a.png")
    hashed: list[str] = []
    real = hashlib.file_digest

    def note(stream: io.BufferedReader, kind: str) -> object:
        hashed.append(kind)
        return real(stream, kind)

    monkeypatch.setattr(hashlib, "file_digest", note)
    assert photo(folder, cache, "a.png") == first
    assert hashed == ([] if os.name == "posix" else ["sha256"])


def test_a_photo_that_has_just_been_written_is_hashed_each_time(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain().save(folder / "a.png")
    now = (folder / "a.png").stat().st_ctime_ns
    monkeypatch.setattr(time, "time_ns", lambda: now + 1_900_000_000)
    photo(folder, cache, "a.png")
    assert not (cache.root / "photo-index").exists()


@pytest.mark.usefixtures("later")
def test_no_stale_photo_is_shown_when_size_and_time_were_kept(folder: Path, cache: Cache) -> None:
    path = folder / "a.bmp"
    plain(colour=RED).save(path)
    before = path.stat()
    assert photo(folder, cache, "a.bmp").colour == "#ff0000"
    plain(colour=BLUE).save(path)
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    after = path.stat()
    assert (after.st_size, after.st_mtime_ns) == (before.st_size, before.st_mtime_ns)
    assert photo(folder, cache, "a.bmp").colour == "#0000ff"


@pytest.mark.usefixtures("later")
def test_no_stale_photo_is_shown_when_two_change_names(folder: Path, cache: Cache) -> None:
    for name, colour in (("a.bmp", RED), ("b.bmp", BLUE)):
        plain(colour=colour).save(folder / name)
        os.utime(folder / name, (1_000_000_000, 1_000_000_000))
    assert photo(folder, cache, "a.bmp").colour == "#ff0000"
    (folder / "b.bmp").replace(folder / "a.bmp")
    assert photo(folder, cache, "a.bmp").colour == "#0000ff"


def stat_with(path: Path, ctime_ns: int) -> os.stat_result:
    real = path.stat()
    fields = {name: getattr(real, name) for name in dir(real) if name.startswith("st_")}
    return os.stat_result(tuple(real), {**fields, "st_ctime_ns": ctime_ns})


def test_clocks_that_only_count_hundredths_are_not_trusted(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = folder / "a.png"
    plain().save(path)
    fine = stat_with(path, 1_700_000_000_123_456_789)
    coarse = stat_with(path, 1_700_000_000_120_000_000)
    monkeypatch.setattr(os, "name", "posix")
    assert originals._index_key(path, fine) is not None
    assert originals._index_key(path, coarse) is None
