"""Invented pictures for the photo tests, and the shortest ways to ask for them."""

from __future__ import annotations

import base64
import random
import struct
import zlib
from datetime import date
from pathlib import Path

import pytest
from PIL import ExifTags, Image

from journal_tools.cache import Cache
from journal_tools.photos import Photo, PhotoRequest, prepare
from journal_tools.problems import Problem

RED, GREEN, BLUE, WHITE = (255, 0, 0), (0, 255, 0), (0, 0, 255), (255, 255, 255)
KELP = (47, 107, 79)
ENTRY = date(2026, 3, 14)
PLACE = ("log/2026-03-14.yml", 7, 12)

# A green picture of 64 by 48 with a red corner, made by the x265 encoder for this test. It says
# that it was taken on 2026-03-14 18:40:00 and carries a position.
HEIC = base64.b64decode(
    "AAAAHGZ0eXBoZWljAAAAAG1pZjFoZWljbWlhZgAAAchtZXRhAAAAAAAAACFoZGxyAAAAAAAAAABwaWN0AAAAAAAA"
    "AAAAAAAAAAAAADRpbG9jAAAAAERAAAIAAQAAAAAB7AABAAAAAAAAAEEAAgAAAAACLQABAAAAAAAAAJgAAAA4aWlu"
    "ZgAAAAAAAgAAABVpbmZlAgAAAAABAABodmMxAAAAABVpbmZlAgAAAQACAABFeGlmAAAAAA5waXRtAAAAAAABAAAB"
    "B2lwcnAAAADmaXBjbwAAAHZodmNDAQNwAAAAkAAAAAAAHvAA/P34+AAADwNgAAEAGEABDAH//wNwAAADAJAAAAMA"
    "AAMAHroCQGEAAQAqQgEBA3AAAAMAkAAAAwAAAwAeoCCBBZbq5Ka5uAhoMCAAAAMDIAAAAwAhYgABAAZEAcFzwIkA"
    "AAATY29scm5jbHgAAQANAAaAAAAAFGlzcGUAAAAAAAAAQAAAAEAAAAAoY2xhcAAAAEAAAAABAAAAMAAAAAEAAAAA"
    "AAAAAv////AAAAACAAAAEHBpeGkAAAAAAwgICAAAAAlpcm90AwAAABlpcG1hAAAAAAAAAAEAAQaBAgMFhIYAAAAa"
    "aXJlZgAAAAAAAAAOY2RzYwACAAEAAQAAAOFtZGF0AAAAPSgBrxOA24Vbn/4io/7uzw5Knkxh9TteCdBLC7lHgHm0"
    "MYVzWfdoXmMguhamF5ONhoBP/lyVVTugpff1yPYAAAAGRXhpZgAATU0AKgAAAAgAAwESAAMAAAABAAYAAIdpAAQA"
    "AAABAAAAMoglAAQAAAABAAAAWAAAAAAAAZADAAIAAAAUAAAARAAAAAAyMDI2OjAzOjE0IDE4OjQwOjAwAAACAAEA"
    "AgAAAAJOAAAAAAIABQAAAAMAAAB2AAAAAAAAADQAAAABAAAAHgAAAAEAAAABAAAAAQ=="
)

XMP = (
    b'<x:xmpmeta xmlns:x="adobe:ns:meta/">'
    b"<exif:GPSLatitude>52,30N XMP</exif:GPSLatitude></x:xmpmeta>"
)


def plain(size: tuple[int, int] = (60, 40), colour: tuple[int, int, int] = KELP) -> Image.Image:
    return Image.new("RGB", size, colour)


def scene(width: int, height: int) -> Image.Image:
    """Give a picture with detail: a smooth ramp with noise, the same every time."""
    ramp = Image.linear_gradient("L").resize((width, height))
    grain = random.Random(1).randbytes(width * height)
    noise = Image.blend(ramp, Image.frombytes("L", (width, height), grain), 0.3)
    return Image.merge("RGB", (ramp, noise, ramp.transpose(Image.Transpose.FLIP_LEFT_RIGHT)))


def dated(original: str, **others: str) -> bytes:
    exif = Image.Exif()
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = original
    if "digitized" in others:
        exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeDigitized] = others["digitized"]
    if "changed" in others:
        exif[ExifTags.Base.DateTime] = others["changed"]
    # As bytes, because Pillow's writers skip an `Exif` whose first directory is empty.
    return exif.tobytes()


def oriented(orientation: int) -> Image.Exif:
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    return exif


def telling_exif() -> bytes:
    exif = Image.Exif()
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = "2026:03:14 18:40:00"
    exif[ExifTags.Base.Make] = "Invented Camera Works"
    exif[ExifTags.Base.ImageDescription] = "GPS of our house"
    place = exif.get_ifd(ExifTags.IFD.GPSInfo)
    place[ExifTags.GPS.GPSLatitudeRef] = "N"
    place[ExifTags.GPS.GPSLatitude] = (52.0, 30.0, 1.5)
    return exif.tobytes()


def png_chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def png(width: int, height: int, depth: int, colour_type: int, rows: bytes) -> bytes:
    """Give a PNG file by hand (W3C PNG specification, sections 5 and 11)."""
    header = struct.pack(">IIBBBBB", width, height, depth, colour_type, 0, 0, 0)
    return b"".join(
        [
            b"\x89PNG\r\n\x1a\n",
            png_chunk(b"IHDR", header),
            png_chunk(b"IDAT", zlib.compress(rows)),
            png_chunk(b"IEND", b""),
        ]
    )


def save_many(folder: Path, count: int) -> list[str]:
    names = [f"shot-{number:02}.png" for number in range(count)]
    for number, name in enumerate(names):
        plain(colour=(number, 100, 100)).save(folder / name)
    return names


def wanted(*names: str) -> list[PhotoRequest]:
    return [PhotoRequest(name, ENTRY, PLACE) for name in names]


def photo(folder: Path, cache: Cache, name: str) -> Photo:
    found, problems = prepare(wanted(name), folder, cache)
    assert problems == []
    return found[name]


def problem(folder: Path, cache: Cache, name: str) -> Problem:
    found, problems = prepare(wanted(name), folder, cache)
    assert found == {}
    (only,) = problems
    assert (only.file, only.line, only.column) == PLACE
    assert name in only.what
    return only


def widest(result: Photo) -> Image.Image:
    best = max(result.renditions, key=lambda rendition: rendition.width)
    return Image.open(best.path).convert("RGB")


def near(colour: object, expected: tuple[int, int, int], tolerance: int = 12) -> bool:
    assert isinstance(colour, tuple)
    return all(abs(a - b) <= tolerance for a, b in zip(colour, expected, strict=True))


def corner(image: Image.Image, name: str) -> object:
    x = 4 if "left" in name else image.width - 5
    y = 4 if "top" in name else image.height - 5
    return image.getpixel((x, y))


def cached_files(cache: Cache, kind: str) -> list[Path]:
    return sorted(path for path in (cache.root / kind).rglob("*") if path.is_file())


def forbid(monkeypatch: pytest.MonkeyPatch, owner: object, name: str) -> None:
    def forbidden(*args: object, **options: object) -> None:
        raise AssertionError(f"{name} must not be called")

    monkeypatch.setattr(owner, name, forbidden)
