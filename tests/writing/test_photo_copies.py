"""Photos handed in with a line: copied, never written over, named in the entry."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Callable
from pathlib import Path

from PIL import Image

from journal_tools.writing.photo_copies import NewPhoto, day_of_photos
from tests.command import Outcome

Log = Callable[[], dict[str, str]]


def picture(path: Path, taken: str = "", colour: str = "teal") -> Path:
    image = Image.new("RGB", (80, 60), colour)
    exif = Image.Exif()
    if taken:
        exif[0x0132] = taken
    buffer = io.BytesIO()
    image.save(buffer, "JPEG", exif=exif)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(buffer.getvalue())
    return path


def checked(folder: Path) -> None:
    run = Outcome("check", folder)
    assert (run.code, run.err) == (0, "")


def test_a_photo_is_copied_and_named(folder: Path, log: Log, tmp_path: Path) -> None:
    source = picture(tmp_path / "Front größer 1.JPG", "2026:03:31 10:00:00")
    run = Outcome("add", "alk 8.2", "--photo", source, "--journal", folder, "-y")
    assert (run.code, run.err) == (0, "")
    copy = folder / "photos" / "Front-größer-1.JPG"
    assert copy.read_bytes() == source.read_bytes()
    assert log()["2026-03-31.yml"] == (
        "readings:\n  alkalinity: 8.2\nphotos:\n  - Front-größer-1.JPG\n"
    )
    checked(folder)


def test_a_photo_alone_belongs_to_the_day_it_was_taken(
    folder: Path, log: Log, tmp_path: Path
) -> None:
    source = picture(tmp_path / "a.jpg", "2026:03:12 10:00:00")
    assert Outcome("add", "--photo", source, "--journal", folder, "-y").code == 0
    assert log() == {"2026-03-12.yml": "photos:\n  - a.jpg\n"}


def test_an_older_photo_says_its_day(folder: Path, log: Log, tmp_path: Path) -> None:
    (folder / "photos" / "2026-01").mkdir(parents=True)
    source = picture(tmp_path / "a.jpg", "2026:03:12 10:00:00")
    assert Outcome("add", "alk 8", "--photo", source, "--journal", folder, "-y").code == 0
    assert "  - {file: 2026-03/a.jpg, taken: 2026-03-12}\n" in log()["2026-03-31.yml"]
    assert (folder / "photos" / "2026-03" / "a.jpg").is_file()
    checked(folder)


def test_no_photo_is_overwritten(folder: Path, log: Log, tmp_path: Path) -> None:
    old = picture(folder / "photos" / "a.jpg", colour="red").read_bytes()
    source = picture(tmp_path / "a.jpg")
    for _ in range(2):
        assert Outcome("add", "alk 8", "--photo", source, "--journal", folder, "-y").code == 0
    assert (folder / "photos" / "a.jpg").read_bytes() == old
    assert sorted(p.name for p in (folder / "photos").iterdir()) == ["a-2.jpg", "a.jpg"]
    checked(folder)


def test_a_file_that_is_no_photo_is_told(folder: Path, log: Log, tmp_path: Path) -> None:
    (tmp_path / "a.jpg").write_text("no picture")
    run = Outcome("add", "alk 8", "--photo", tmp_path / "a.jpg", "--journal", folder, "-y")
    assert (run.code, log()) == (2, {})
    assert run.err.startswith(f"'{tmp_path / 'a.jpg'}': The photo is not a picture")
    missing = tmp_path / "b.jpg"
    run = Outcome("add", "alk 8", "--photo", missing, "--journal", folder, "-y")
    assert run.err == (
        f"'{missing}': The photo cannot be read: No such file or directory. Check its name and "
        "its folder.\nNothing was written.\n"
    )


def test_photos_agree_on_a_day_or_not() -> None:
    day = dt.date(2026, 3, 14)
    one, other = NewPhoto(Path("a"), b"", day), NewPhoto(Path("b"), b"", None)
    assert day_of_photos([one, one]) == day
    assert day_of_photos([one, other]) is None
    assert day_of_photos([]) is None
