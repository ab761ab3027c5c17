"""Many requests: each original prepared once, each problem at its place."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import pytest
from PIL import Image

from journal_tools.cache import Cache
from journal_tools.photos import WARNING_CODES, Fault, PhotoRequest, preparation, prepare

from .made_up import (
    BLUE,
    ENTRY,
    PLACE,
    RED,
    dated,
    forbid,
    photo,
    plain,
    problem,
    scene,
    telling_exif,
    wanted,
)


def test_problems_come_in_order_and_at_every_place(folder: Path, cache: Cache) -> None:
    plain().save(folder / "a.jpg", exif=dated("2020:01:01 00:00:00"))
    requests = [
        PhotoRequest("none.jpg", ENTRY, ("log/1.yml", 1, 2)),
        PhotoRequest("a.jpg", ENTRY, ("log/2.yml", 3, 4)),
        PhotoRequest("none.jpg", ENTRY, ("log/3.yml", 5, 6)),
        PhotoRequest("a.jpg", date(2020, 1, 1), ("log/4.yml", 7, 8)),
    ]
    found, problems = prepare(requests, folder, cache)
    assert list(found) == ["a.jpg"]
    assert [(p.file, p.line, p.column, p.code) for p in problems] == [
        ("log/1.yml", 1, 2, "photo-missing"),
        ("log/2.yml", 3, 4, "photo-date"),
        ("log/3.yml", 5, 6, "photo-missing"),
    ]


def test_nothing_asked_gives_nothing(folder: Path, cache: Cache) -> None:
    assert prepare([], folder, cache) == ({}, [])


def test_the_same_photo_is_prepared_once(folder: Path, cache: Cache, rendered: list[str]) -> None:
    plain().save(folder / "a.png")
    (folder / "copy.png").write_bytes((folder / "a.png").read_bytes())
    found, problems = prepare(wanted("a.png", "a.png", "./a.png", "copy.png"), folder, cache)
    assert problems == []
    assert len(rendered) == 1
    assert {name: p.source for name, p in found.items()} == {
        "a.png": "a.png",
        "./a.png": "a.png",
        "copy.png": "copy.png",
    }
    assert found["copy.png"].renditions[0].name.startswith("photos/copy-")
    assert found["copy.png"].renditions[0].path == found["a.png"].renditions[0].path


def test_originals_are_only_read(folder: Path, cache: Cache) -> None:
    scene(700, 500).save(folder / "a.jpg", exif=telling_exif())
    (folder / "broken.jpg").write_bytes((folder / "a.jpg").read_bytes()[:5000])
    before = {p.name: (p.read_bytes(), p.stat().st_mtime_ns) for p in folder.iterdir()}
    prepare(wanted("a.jpg", "broken.jpg", "none.jpg"), folder, cache)
    assert {p.name: (p.read_bytes(), p.stat().st_mtime_ns) for p in folder.iterdir()} == before


@pytest.mark.parametrize(
    ("taken", "days"),
    [
        ("2026:03:14 18:40:00", 0),
        ("2026:03:13 00:00:00", 1),
        ("2026:03:15 23:59:59", 1),
        ("2026:03:12 23:59:59", 2),
        ("2026:03:16 00:00:00", 2),
        ("2025:03:14 12:00:00", 365),
    ],
)
def test_a_photo_of_another_day_is_shown_with_a_warning(
    folder: Path, cache: Cache, taken: str, days: int
) -> None:
    plain().save(folder / "a.jpg", exif=dated(taken))
    found, problems = prepare(wanted("a.jpg"), folder, cache)
    assert found["a.jpg"].taken == datetime.strptime(taken, "%Y:%m:%d %H:%M:%S")
    assert [p.code for p in problems] == (["photo-date"] if days > 1 else [])
    assert all(f"{days} days" in p.what and p.code in WARNING_CODES for p in problems)


def test_without_a_day_of_its_own_a_photo_is_never_late(folder: Path, cache: Cache) -> None:
    plain().save(folder / "a.jpg", exif=dated("1999:01:01 00:00:00"))
    _, problems = prepare([PhotoRequest("a.jpg", None, PLACE)], folder, cache)
    assert problems == []


def test_a_second_build_decodes_nothing(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    scene(700, 500).save(folder / "a.jpg", exif=telling_exif())
    first = photo(folder, cache, "a.jpg")
    forbid(monkeypatch, Image, "open")
    forbid(monkeypatch, Cache, "put_bytes")
    assert photo(folder, cache, "a.jpg") == first


def test_a_full_disk_is_not_blamed_on_the_photo(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*args: object) -> Path:
        raise OSError(28, "No space left on device")

    plain().save(folder / "a.png")
    monkeypatch.setattr(Cache, "put_bytes", full)
    with pytest.raises(OSError, match="No space"):
        prepare(wanted("a.png"), folder, cache)


def test_a_cache_emptied_during_the_build_is_told(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain().save(folder / "a.png")
    monkeypatch.setattr(preparation, "store", lambda picture, digest, cache: None)
    assert problem(folder, cache, "a.png").code == "photo-failed"


def test_a_photo_saved_anew_during_the_build_is_told(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain(colour=RED).save(folder / "a.png")
    real = preparation._render

    def save_first(path: Path, cache: Cache) -> str | Fault:
        plain(colour=BLUE).save(path)
        return real(path, cache)

    monkeypatch.setattr(preparation, "_render", save_first)
    assert problem(folder, cache, "a.png").code == "photo-failed"
    monkeypatch.setattr(preparation, "_render", real)
    assert photo(folder, cache, "a.png").colour == "#0000ff"
