"""What is no photo, or too large a one, and what its owner is told."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import ImageFile

from journal_tools.cache import Cache

from .made_up import photo, plain, png, problem, scene


@pytest.mark.parametrize(
    ("name", "data", "expected"),
    [
        ("notes.jpg", b"Fed the fish. All is well.\n", "photo-not-image"),
        ("empty.jpg", b"", "photo-not-image"),
        ("page.jpg", b"<!doctype html><svg></svg>", "photo-not-image"),
        ("zeros.png", b"\0" * 500, "photo-not-image"),
        (
            "a.svg",
            b'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg"/>',
            "photo-format",
        ),
        ("b.svg", b"\xef\xbb\xbf <svg/>", "photo-format"),
        ("clip.mp4", b"\0\0\0\x18ftypisom\0\0\2\0" + b"\0" * 50, "photo-format"),
        ("clip.mov", b"\0\0\0\x18ftypqt  \0\0\2\0" + b"\0" * 50, "photo-format"),
        ("clip.avi", b"RIFF\0\0\0\0AVI LIST" + b"\0" * 50, "photo-format"),
        ("clip.webm", b"\x1a\x45\xdf\xa3" + b"\0" * 50, "photo-format"),
        ("scan.pdf", b"%PDF-1.7\n" + b"\0" * 50, "photo-format"),
        ("new.jxl", b"\0\0\0\x0cJXL \r\n\x87\n", "photo-format"),
        ("start.jpg", b"\xff\xd8\xff\xe0", "photo-truncated"),
        ("start.png", b"\x89PNG\r\n\x1a\n", "photo-truncated"),
        ("start.heic", b"\0\0\0\x18ftypheic", "photo-truncated"),
    ],
)
def test_files_that_are_no_photos(
    folder: Path, cache: Cache, name: str, data: bytes, expected: str
) -> None:
    (folder / name).write_bytes(data)
    found = problem(folder, cache, name)
    assert found.code == expected
    assert found.hint


@pytest.mark.parametrize("kind", ["jpg", "png", "webp", "gif", "tif", "bmp", "avif"])
@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
def test_a_file_cut_short_is_told(folder: Path, cache: Cache, kind: str, share: float) -> None:
    scene(300, 200).save(folder / f"whole.{kind}")
    data = (folder / f"whole.{kind}").read_bytes()
    (folder / f"cut.{kind}").write_bytes(data[: int(len(data) * share)])
    assert problem(folder, cache, f"cut.{kind}").code == "photo-truncated"


def refuse_decoding(monkeypatch: pytest.MonkeyPatch) -> None:
    def decode(self: ImageFile.ImageFile) -> object:
        raise AssertionError("the header alone must decide")

    monkeypatch.setattr(ImageFile.ImageFile, "load", decode)


@pytest.mark.parametrize("side", [11_000, 20_000, 60_000])
def test_a_picture_bomb_is_known_by_its_header(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch, side: int
) -> None:
    (folder / "bomb.png").write_bytes(png(side, side, 8, 2, b"\0" * 100))
    refuse_decoding(monkeypatch)
    found = problem(folder, cache, "bomb.png")
    assert found.code == "photo-too-large"
    assert "120 million pixels and 80 MB" in found.hint


def test_the_limit_itself_is_allowed(folder: Path, cache: Cache) -> None:
    # 12,000 by 10,000 is 120 million: not too large, only cut short.
    (folder / "limit.png").write_bytes(png(12_000, 10_000, 1, 0, b"\0" * 100))
    assert problem(folder, cache, "limit.png").code == "photo-truncated"


def test_a_large_photo_within_the_limit_warns_nobody(
    folder: Path, cache: Cache, recwarn: pytest.WarningsRecorder
) -> None:
    # Pillow warns from some 89 million pixels on; this is 90 million in one bit each.
    row = b"\0" + b"\xff" * 1250
    (folder / "large.png").write_bytes(png(10_000, 9_000, 1, 0, row * 9_000))
    assert photo(folder, cache, "large.png").height == 9_000
    assert [str(warning.message) for warning in recwarn] == []


def test_a_file_of_more_than_80_mb_is_not_read(folder: Path, cache: Cache) -> None:
    with (folder / "heavy.jpg").open("wb") as stream:
        stream.truncate(80_000_001)
    found = problem(folder, cache, "heavy.jpg")
    assert found.code == "photo-too-large"
    with (folder / "heavy.jpg").open("wb") as stream:
        stream.truncate(80_000_000)
    assert problem(folder, cache, "heavy.jpg").code == "photo-not-image"


def test_too_little_memory_is_told_as_too_large(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    def exhausted(self: ImageFile.ImageFile) -> object:
        raise MemoryError

    plain().save(folder / "a.png")
    monkeypatch.setattr(ImageFile.ImageFile, "load", exhausted)
    assert problem(folder, cache, "a.png").code == "photo-too-large"


@pytest.mark.parametrize("method", ["open", "read_bytes"])
def test_a_file_that_cannot_be_read_is_told(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch, method: str
) -> None:
    real = getattr(Path, method)

    def refuse(self: Path, *args: object, **options: object) -> object:
        if self.name == "a.png":
            raise PermissionError(13, "Permission denied", str(self))
        return real(self, *args, **options)

    plain().save(folder / "a.png")
    monkeypatch.setattr(Path, method, refuse)
    found = problem(folder, cache, "a.png")
    assert found.code == "photo-failed"
    assert "Permission denied" in found.what
