"""The photos: finding, checking, shrinking and cleaning. All pictures here are made up."""

from __future__ import annotations

import base64
import functools
import hashlib
import io
import json
import multiprocessing
import os
import random
import struct
import sys
import time
import zlib
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor
from datetime import date, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ExifTags, Image, ImageCms, ImageFile

from journal_tools import photos
from journal_tools.cache import Cache
from journal_tools.photos import Fault, Photo, PhotoRequest, find, prepare
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


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    path = tmp_path / "photos"
    path.mkdir()
    return path


@pytest.fixture
def cache(tmp_path: Path) -> Cache:
    return Cache(tmp_path / "cache")


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


# --- Renditions


def test_a_large_photo_gets_two_widths_and_a_jpeg(folder: Path, cache: Cache) -> None:
    scene(2000, 1500).save(folder / "Front View.jpg")
    result = photo(folder, cache, "Front View.jpg")
    assert (result.source, result.width, result.height) == ("Front View.jpg", 2000, 1500)
    made = [(r.format, r.width, r.height) for r in result.renditions]
    assert made == [("webp", 480, 360), ("webp", 1280, 960), ("jpeg", 480, 360)]
    for rendition in result.renditions:
        with Image.open(rendition.path) as image:
            assert image.format == rendition.format.upper()
            assert image.size == (rendition.width, rendition.height)
            assert image.mode == "RGB"


def test_names_tell_photo_content_and_width(folder: Path, cache: Cache) -> None:
    plain((600, 400)).save(folder / "Grüne Koralle (2).PNG")
    result = photo(folder, cache, "Grüne Koralle (2).PNG")
    content = hashlib.sha256((folder / "Grüne Koralle (2).PNG").read_bytes()).hexdigest()
    assert result.digest == content
    stem = f"photos/grune-koralle-2-{content[:8]}"
    names = [rendition.name for rendition in result.renditions]
    assert names == [f"{stem}-480.webp", f"{stem}-600.webp", f"{stem}-480.jpg"]


def test_a_name_without_a_latin_letter_is_called_photo(folder: Path, cache: Cache) -> None:
    plain().save(folder / "水槽.png")
    assert photo(folder, cache, "水槽.png").renditions[0].name.startswith("photos/photo-")


@pytest.mark.parametrize("size", [(3, 2), (480, 1), (1, 1)])
def test_a_small_photo_is_never_enlarged(folder: Path, cache: Cache, size: tuple[int, int]) -> None:
    plain(size).save(folder / "tiny.png")
    result = photo(folder, cache, "tiny.png")
    assert [(r.format, r.width, r.height) for r in result.renditions] == [
        ("webp", *size),
        ("jpeg", *size),
    ]
    assert result.renditions[0].name.endswith(f"-{size[0]}.webp")
    assert result.colour == "#2f6b4f"


def test_a_very_tall_picture_fits_the_format(folder: Path, cache: Cache) -> None:
    plain((20, 20_000)).save(folder / "tall.png")
    (webp, jpeg) = photo(folder, cache, "tall.png").renditions
    assert (webp.width, webp.height) == (16, 16_383)
    assert Image.open(webp.path).size == Image.open(jpeg.path).size == (16, 16_383)


@given(st.integers(1, 70_000), st.integers(1, 70_000))
def test_sizes_keep_the_shape_and_never_grow(width: int, height: int) -> None:
    sizes = photos._sizes(width, height)
    assert len(sizes) in (1, 2)
    assert sizes == sorted(set(sizes))
    for new_width, new_height in sizes:
        assert 1 <= new_width <= min(width, 1280)
        assert 1 <= new_height <= min(height, 16_383)
        assert abs(new_width * height - new_height * width) <= max(width, height)


def test_the_placeholder_has_the_colour_that_covers_most(folder: Path, cache: Cache) -> None:
    image = plain((90, 60))
    image.paste(RED, (0, 0, 30, 60))
    image.save(folder / "two.png")
    assert photo(folder, cache, "two.png").colour == "#2f6b4f"


# Both are stored lying and shown upright. 4000 by 3000: a half suffices for a width of 1280 of
# 3000. 2600 by 1400: of the upright width of 1400 no half may be taken.
@pytest.mark.parametrize(
    ("stored", "decoded", "shown"),
    [((4000, 3000), (2000, 1500), (1280, 1707)), ((2600, 1400), (2600, 1400), (1280, 2377))],
)
def test_a_jpeg_is_decoded_no_larger_than_needed(
    folder: Path,
    cache: Cache,
    monkeypatch: pytest.MonkeyPatch,
    stored: tuple[int, int],
    decoded: tuple[int, int],
    shown: tuple[int, int],
) -> None:
    loaded: list[tuple[int, int]] = []
    real = ImageFile.ImageFile.load

    def note(self: ImageFile.ImageFile) -> object:
        loaded.append(self.size)
        return real(self)

    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = 6
    plain(stored).save(folder / "big.jpg", exif=exif)
    monkeypatch.setattr(ImageFile.ImageFile, "load", note)
    result = photo(folder, cache, "big.jpg")
    assert set(loaded) == {decoded}
    assert (result.width, result.height) == stored[::-1]
    assert (result.renditions[1].width, result.renditions[1].height) == shown


# --- Orientation

# Where the stored top left and top right corners land, by the meaning of each value (Exif 2.32,
# tag 0x0112: which visual side the stored first row and first column are).
LANDS = {
    1: ("top left", "top right"),
    2: ("top right", "top left"),
    3: ("bottom right", "bottom left"),
    4: ("bottom left", "bottom right"),
    5: ("top left", "bottom left"),
    6: ("top right", "bottom right"),
    7: ("bottom right", "top right"),
    8: ("bottom left", "top left"),
}


def corner(image: Image.Image, name: str) -> object:
    x = 4 if "left" in name else image.width - 5
    y = 4 if "top" in name else image.height - 5
    return image.getpixel((x, y))


@pytest.mark.parametrize("orientation", LANDS)
@pytest.mark.parametrize(
    ("kind", "size"),
    [
        ("jpg", (60, 40)),
        ("jpg", (3000, 2000)),
        ("png", (60, 40)),
        ("webp", (60, 40)),
        ("tif", (60, 40)),
        ("avif", (60, 40)),
    ],
)
def test_photos_are_put_upright(
    folder: Path, cache: Cache, kind: str, size: tuple[int, int], orientation: int
) -> None:
    image = plain(size)
    third, half = size[0] // 3, size[1] // 2
    image.paste(RED, (0, 0, third, half))
    image.paste(BLUE, (size[0] - third, 0, size[0], half))
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    image.save(folder / f"turned.{kind}", exif=exif, quality=95)
    result = photo(folder, cache, f"turned.{kind}")
    assert (result.width, result.height) == (size if orientation < 5 else size[::-1])
    shown = widest(result)
    assert (shown.width > shown.height) == (result.width > result.height)
    red, blue = LANDS[orientation]
    assert near(corner(shown, red), RED, 40)
    assert near(corner(shown, blue), BLUE, 40)


@pytest.mark.parametrize("orientation", [0, 9, 255])
def test_a_senseless_orientation_turns_nothing(
    folder: Path, cache: Cache, orientation: int
) -> None:
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    plain().save(folder / "a.jpg", exif=exif)
    assert photo(folder, cache, "a.jpg").width == 60


# --- Privacy


def telling_exif() -> bytes:
    exif = Image.Exif()
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = "2026:03:14 18:40:00"
    exif[ExifTags.Base.Make] = "Invented Camera Works"
    exif[ExifTags.Base.ImageDescription] = "GPS of our house"
    place = exif.get_ifd(ExifTags.IFD.GPSInfo)
    place[ExifTags.GPS.GPSLatitudeRef] = "N"
    place[ExifTags.GPS.GPSLatitude] = (52.0, 30.0, 1.5)
    return exif.tobytes()


XMP = (
    b'<x:xmpmeta xmlns:x="adobe:ns:meta/">'
    b"<exif:GPSLatitude>52,30N XMP</exif:GPSLatitude></x:xmpmeta>"
)
TELLTALES = (b"Exif", b"EXIF", b"GPS", b"XMP", b"xmp", b"ICC", b"Invented", b"52,30N", b"a comment")


@pytest.mark.parametrize("kind", ["jpg", "png", "webp", "tif", "avif"])
@pytest.mark.parametrize("size", [(60, 40), (1500, 1000)])
def test_no_metadata_reaches_the_site(
    folder: Path, cache: Cache, kind: str, size: tuple[int, int]
) -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    original = folder / f"home.{kind}"
    options: dict[str, object] = {"exif": telling_exif(), "icc_profile": profile, "dpi": (300, 300)}
    if kind == "jpg":
        options["comment"] = b"a comment"
    if kind in ("jpg", "webp", "avif"):
        options["xmp"] = XMP
    Image.radial_gradient("L").resize(size).convert("RGB").save(original, **options)  # type: ignore[arg-type]
    assert b"Invented" in original.read_bytes()
    with Image.open(original) as image:
        assert image.getexif().get_ifd(ExifTags.IFD.GPSInfo)

    for rendition in photo(folder, cache, original.name).renditions:
        data = rendition.path.read_bytes()
        assert [word for word in TELLTALES if word in data] == []
        with Image.open(rendition.path) as image:
            assert dict(image.getexif()) == {}
            assert image.getexif().get_ifd(ExifTags.IFD.GPSInfo) == {}
            assert not {"exif", "xmp", "icc_profile", "comment", "photoshop"} & set(image.info)


def test_chunks_of_a_webp_rendition_hold_pixels_only(folder: Path, cache: Cache) -> None:
    plain().save(folder / "a.jpg", exif=telling_exif(), xmp=XMP)
    data = photo(folder, cache, "a.jpg").renditions[0].path.read_bytes()
    # The simple lossy layout (RFC 9649, section 2.5): one chunk "VP8 " and nothing else.
    assert (data[:4], data[8:16]) == (b"RIFF", b"WEBPVP8 ")
    (length,) = struct.unpack("<I", data[16:20])
    assert len(data) == 20 + length + length % 2


def test_markers_of_a_jpeg_rendition_hold_pixels_only(folder: Path, cache: Cache) -> None:
    plain().save(folder / "a.jpg", exif=telling_exif(), xmp=XMP, comment=b"a comment")
    data = photo(folder, cache, "a.jpg").renditions[-1].path.read_bytes()
    markers, position = [], 2
    while data[position + 1] != 0xDA:
        markers.append(data[position + 1])
        position += 2 + int.from_bytes(data[position + 2 : position + 4], "big")
    # APP0 (JFIF) alone of the application markers E0 to EF, no comment FE (ITU-T T.81, table B.1).
    assert [marker for marker in markers if marker >= 0xE0] == [0xE0]


def test_originals_are_only_read(folder: Path, cache: Cache) -> None:
    scene(700, 500).save(folder / "a.jpg", exif=telling_exif())
    (folder / "broken.jpg").write_bytes((folder / "a.jpg").read_bytes()[:5000])
    before = {p.name: (p.read_bytes(), p.stat().st_mtime_ns) for p in folder.iterdir()}
    prepare(wanted("a.jpg", "broken.jpg", "none.jpg"), folder, cache)
    assert {p.name: (p.read_bytes(), p.stat().st_mtime_ns) for p in folder.iterdir()} == before


# --- Kinds of pictures


def swapped_profile() -> bytes:
    """Give an sRGB profile whose red and green primaries changed places (ICC.1, tag table)."""
    data = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    for index in range(int.from_bytes(data[128:132], "big")):
        name = slice(132 + 12 * index, 136 + 12 * index)
        data[name] = {b"rXYZ": b"gXYZ", b"gXYZ": b"rXYZ"}.get(bytes(data[name]), data[name])
    return bytes(data)


@pytest.mark.parametrize("kind", ["jpg", "png", "webp", "tif"])
def test_colours_follow_the_embedded_profile(folder: Path, cache: Cache, kind: str) -> None:
    plain(colour=RED).save(folder / f"a.{kind}", icc_profile=swapped_profile(), quality=95)
    assert near(widest(photo(folder, cache, f"a.{kind}")).getpixel((30, 20)), GREEN)


@pytest.mark.parametrize("profile", [b"no profile at all", b"\0" * 200])
def test_a_broken_profile_is_ignored(folder: Path, cache: Cache, profile: bytes) -> None:
    plain().save(folder / "a.jpg", icc_profile=profile)
    assert near(widest(photo(folder, cache, "a.jpg")).getpixel((30, 20)), KELP)


def test_a_profile_for_another_kind_of_picture_is_ignored(folder: Path, cache: Cache) -> None:
    Image.new("L", (60, 40), 100).save(folder / "grey.jpg", icc_profile=swapped_profile())
    assert near(widest(photo(folder, cache, "grey.jpg")).getpixel((30, 20)), (100, 100, 100))


def half_clear(mode: str) -> Image.Image:
    image = Image.new("RGBA", (60, 40), (*RED, 255))
    image.paste((*BLUE, 0), (30, 0, 60, 40))
    return image.convert(mode)


def save_cmyk(path: Path) -> None:
    Image.new("CMYK", (60, 40), (0, 255, 0, 0)).save(path, quality=95)


def save_palette(path: Path) -> None:
    image = Image.new("P", (60, 40), 0)
    image.putpalette([*RED, *BLUE])
    image.paste(1, (30, 0, 60, 40))
    image.save(path, transparency=1)


def save_keyed_rgb(path: Path) -> None:
    image = plain(colour=RED)
    image.paste(BLUE, (30, 0, 60, 40))
    image.save(path, transparency=BLUE)


def save_frames(path: Path) -> None:
    frames = [plain(colour=colour) for colour in (GREEN, BLUE)]
    plain(colour=RED).save(path, save_all=True, append_images=frames, duration=100)


def save_deep_rgb(path: Path) -> None:
    row = b"\0" + struct.pack(">HHH", 0xFFFF, 0x8080, 0) * 60
    path.write_bytes(png(60, 40, 16, 2, row * 40))


def save_deep_grey(path: Path) -> None:
    row = b"\0" + struct.pack(">H", 0x8080) * 60
    path.write_bytes(png(60, 40, 16, 0, row * 40))


def save_bilevel(path: Path) -> None:
    Image.new("1", (60, 40), 1).save(path)


GREY = (128, 128, 128)
KINDS: list[tuple[str, Callable[[Path], None], tuple[int, int, int], tuple[int, int, int]]] = [
    ("cmyk.jpg", save_cmyk, (255, 0, 255), (255, 0, 255)),
    ("cmyk.tif", save_cmyk, (255, 0, 255), (255, 0, 255)),
    ("palette.png", save_palette, RED, WHITE),
    ("palette.gif", save_palette, RED, WHITE),
    ("keyed.png", save_keyed_rgb, RED, WHITE),
    ("alpha.png", lambda path: half_clear("RGBA").save(path), RED, WHITE),
    ("alpha.webp", lambda path: half_clear("RGBA").save(path, lossless=True), RED, WHITE),
    ("grey-alpha.png", lambda path: half_clear("LA").save(path), (76, 76, 76), WHITE),
    ("frames.gif", save_frames, RED, RED),
    ("frames.webp", save_frames, RED, RED),
    ("frames.png", save_frames, RED, RED),
    ("deep-rgb.png", save_deep_rgb, (255, 128, 0), (255, 128, 0)),
    ("deep-grey.png", save_deep_grey, GREY, GREY),
    ("deep-grey.tif", lambda path: Image.new("I;16", (60, 40), 0x8080).save(path), GREY, GREY),
    ("whole.tif", lambda path: Image.new("I", (60, 40), 0x8080).save(path), GREY, GREY),
    ("unit.tif", lambda path: Image.new("F", (60, 40), 0.502).save(path), GREY, GREY),
    ("byte.tif", lambda path: Image.new("F", (60, 40), 128.0).save(path), GREY, (128,) * 3),
    ("bilevel.png", save_bilevel, WHITE, WHITE),
    ("lab.tif", lambda path: Image.new("LAB", (60, 40), (255, 128, 128)).save(path), WHITE, WHITE),
    ("plain.bmp", lambda path: plain(colour=RED).save(path), RED, RED),
    ("plain.avif", lambda path: plain(colour=RED).save(path, quality=90), RED, RED),
]


@pytest.mark.parametrize(("name", "save", "left", "right"), KINDS, ids=[k[0] for k in KINDS])
def test_every_kind_of_picture_is_shown(
    folder: Path,
    cache: Cache,
    name: str,
    save: Callable[[Path], None],
    left: tuple[int, int, int],
    right: tuple[int, int, int],
) -> None:
    save(folder / name)
    result = photo(folder, cache, name)
    assert (result.width, result.height) == (60, 40)
    for rendition in result.renditions:
        shown = Image.open(rendition.path).convert("RGB")
        assert near(shown.getpixel((8, 20)), left, 20)
        assert near(shown.getpixel((52, 20)), right, 20)


def test_a_picture_with_the_wrong_ending_is_shown(folder: Path, cache: Cache) -> None:
    plain().save(folder / "really-png.jpg", format="PNG")
    assert photo(folder, cache, "really-png.jpg").width == 60


# --- HEIC


def test_heic_is_read_upright_and_dated(folder: Path, cache: Cache) -> None:
    (folder / "phone.heic").write_bytes(HEIC)
    result = photo(folder, cache, "phone.heic")
    assert (result.width, result.height) == (48, 64)
    assert result.taken == datetime(2026, 3, 14, 18, 40)
    assert near(corner(widest(result), "top right"), (200, 30, 30), 40)
    assert near(corner(widest(result), "bottom left"), (40, 120, 90), 20)


def test_heic_without_its_reader_says_what_to_install(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pi_heif", None)
    monkeypatch.setattr(photos, "_READERS_THAT_CRASH", frozenset())
    (folder / "phone.heic").write_bytes(HEIC)
    found = problem(folder, cache, "phone.heic")
    assert found.code == "photo-format"
    assert 'pip install "journal-tools[heif]"' in found.hint


def test_a_heic_that_crashes_its_reader_does_not_end_the_build(folder: Path, cache: Cache) -> None:
    # This byte, the second of the first metadata item's type, ends the process of pi-heif 1.4.0.
    spoilt = bytearray(HEIC)
    at = HEIC.index(b"Exif") + 1
    spoilt[at] ^= 0xFF
    (folder / "spoilt.heic").write_bytes(spoilt)
    plain().save(folder / "a.png")
    found, problems = prepare(wanted("spoilt.heic", "a.png"), folder, cache)
    assert "a.png" in found
    assert ("spoilt.heic" in found) == (problems == [])
    assert {p.code for p in problems} <= {"photo-failed", "photo-truncated"}


# --- Finding


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
    (stored,) = photos.names_in(folder)
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


# --- What is no photo


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


def test_a_raw_file_is_told_by_its_name(folder: Path, cache: Cache) -> None:
    plain((16, 12)).save(folder / "shot.DNG", format="TIFF")
    assert problem(folder, cache, "shot.DNG").code == "photo-format"


@pytest.mark.parametrize("kind", ["jpg", "png", "webp", "gif", "tif", "bmp", "avif"])
@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
def test_a_file_cut_short_is_told(folder: Path, cache: Cache, kind: str, share: float) -> None:
    scene(300, 200).save(folder / f"whole.{kind}")
    data = (folder / f"whole.{kind}").read_bytes()
    (folder / f"cut.{kind}").write_bytes(data[: int(len(data) * share)])
    assert problem(folder, cache, f"cut.{kind}").code == "photo-truncated"


def sample_files() -> list[bytes]:
    files = []
    for kind in ("JPEG", "PNG", "WEBP", "GIF", "BMP"):
        stream = io.BytesIO()
        scene(40, 30).save(stream, kind, exif=telling_exif())
        files.append(stream.getvalue())
    return files


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from(sample_files()),
    st.lists(st.tuples(st.floats(0, 1, exclude_max=True), st.binary(max_size=4)), min_size=1),
)
def test_spoilt_bytes_never_raise(data: bytes, changes: list[tuple[float, bytes]]) -> None:
    spoilt = bytearray(data)
    for where, what in changes:
        at = int(where * len(spoilt))
        spoilt[at : at + len(what)] = what
    result = photos._decoded(bytes(spoilt))
    if isinstance(result, Fault):
        assert result.code.startswith("photo-")
    else:
        assert result.image.mode == "RGB"
        assert result.image.info == {}


# --- Too large


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


# --- Dates


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
    assert all(f"{days} days" in p.what and p.code in photos.WARNING_CODES for p in problems)


def test_without_a_day_of_its_own_a_photo_is_never_late(folder: Path, cache: Cache) -> None:
    plain().save(folder / "a.jpg", exif=dated("1999:01:01 00:00:00"))
    _, problems = prepare([PhotoRequest("a.jpg", None, PLACE)], folder, cache)
    assert problems == []


@pytest.mark.parametrize(
    ("exif", "expected"),
    [
        (dated("2026:03:14 01:02:03", digitized="2020:01:01 00:00:00"), (2026, 3, 14, 1, 2, 3)),
        (dated("0000:00:00 00:00:00", digitized="2026:03:14 05:06:07"), (2026, 3, 14, 5, 6, 7)),
        (dated("    :  :     :  :  ", changed="2026:03:14 08:09:10"), (2026, 3, 14, 8, 9, 10)),
        (dated("2026-03-14T18:40:00+01:00"), (2026, 3, 14, 18, 40, 0)),
        (dated("2026:02:30 10:00:00"), None),
        (dated("yesterday"), None),
        (dated(""), None),
        (b"", None),
    ],
)
@pytest.mark.parametrize("kind", ["jpg", "png", "webp", "tif"])
def test_the_first_sound_date_counts(
    folder: Path, cache: Cache, kind: str, exif: bytes, expected: tuple[int, ...] | None
) -> None:
    plain().save(folder / f"a.{kind}", exif=exif)
    found, _ = prepare(wanted(f"a.{kind}"), folder, cache)
    when = None if expected is None else datetime(*expected)  # type: ignore[arg-type]
    assert found[f"a.{kind}"].taken == when


@given(st.datetimes(min_value=datetime(1000, 1, 1)).map(lambda d: d.replace(microsecond=0)))
def test_dates_are_read_as_the_standard_writes_them(when: datetime) -> None:
    assert photos._exif_time(when.strftime("%Y:%m:%d %H:%M:%S")) == when


@pytest.mark.parametrize(
    "junk", [b"\xff" * 40, b"MM\0*\xff\xff\xff\xff", b"II*\0\x08\0\0\0\xff\xff"]
)
def test_broken_exif_costs_only_the_date(folder: Path, cache: Cache, junk: bytes) -> None:
    plain().save(folder / "a.jpg", exif=b"Exif\0\0" + junk)
    result = photo(folder, cache, "a.jpg")
    assert (result.taken, result.width) == (None, 60)


def test_exif_cut_in_the_middle_costs_only_the_date(folder: Path, cache: Cache) -> None:
    plain().save(folder / "a.jpg", exif=telling_exif()[:70])
    assert photo(folder, cache, "a.jpg").width == 60


# --- Several requests


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


@pytest.fixture
def rendered(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Give the names of the files that were decoded, as they are decoded in this process."""
    names: list[str] = []
    real = photos._render

    def note(path: Path, cache: Cache) -> str | Fault:
        names.append(path.name)
        return real(path, cache)

    monkeypatch.setattr(photos, "_render", note)
    return names


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


# --- The cache


@pytest.fixture
def later(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the files of a test count as settled."""
    real = time.time_ns
    monkeypatch.setattr(time, "time_ns", lambda: real() + 10_000_000_000)


def forbid(monkeypatch: pytest.MonkeyPatch, owner: object, name: str) -> None:
    def forbidden(*args: object, **options: object) -> None:
        raise AssertionError(f"{name} must not be called")

    monkeypatch.setattr(owner, name, forbidden)


def test_a_second_build_decodes_nothing(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    scene(700, 500).save(folder / "a.jpg", exif=telling_exif())
    first = photo(folder, cache, "a.jpg")
    forbid(monkeypatch, Image, "open")
    forbid(monkeypatch, Cache, "put_bytes")
    assert photo(folder, cache, "a.jpg") == first


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
    assert photos._index_key(path, fine) is not None
    assert photos._index_key(path, coarse) is None


def cached_files(cache: Cache, kind: str) -> list[Path]:
    return sorted(path for path in (cache.root / kind).rglob("*") if path.is_file())


@pytest.mark.usefixtures("later")
@pytest.mark.parametrize("kind", ["photos", "photo-records", "photo-index"])
@pytest.mark.parametrize("harm", ["cut", "empty", "junk", "gone"])
def test_a_spoilt_cache_is_mended(folder: Path, cache: Cache, kind: str, harm: str) -> None:
    plain().save(folder / "a.png")
    first = photo(folder, cache, "a.png")
    good = {path: path.read_bytes() for path in cached_files(cache, "photos")}
    spoilt = cached_files(cache, kind)
    assert spoilt
    for path in spoilt:
        data = path.read_bytes()
        path.write_bytes({"cut": data[:-3], "empty": b"", "junk": b"\xff{", "gone": b""}[harm])
        if harm == "gone":
            path.unlink()
    assert photo(folder, cache, "a.png") == first
    assert {path: path.read_bytes() for path in cached_files(cache, "photos")} == good


@pytest.mark.parametrize(
    "record",
    ["[]", "{}", '{"renditions": []}', '{"renditions": [1]}', "3", '{"renditions": [["png", 1]]}'],
)
def test_a_record_of_another_shape_is_made_anew(folder: Path, cache: Cache, record: str) -> None:
    plain().save(folder / "a.png")
    first = photo(folder, cache, "a.png")
    for path in cached_files(cache, "photo-records"):
        assert json.loads(path.read_text())["colour"] == "#2f6b4f"
        path.write_text(record)
    assert photo(folder, cache, "a.png") == first


def test_a_new_recipe_makes_new_pictures(
    folder: Path, cache: Cache, rendered: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    plain().save(folder / "a.png")
    first = photo(folder, cache, "a.png")
    monkeypatch.setattr(photos, "_RECIPE", "another")
    second = photo(folder, cache, "a.png")
    assert rendered == ["a.png"] * 2
    assert first.renditions[0].path != second.renditions[0].path


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
    monkeypatch.setattr(photos, "_store", lambda picture, digest, cache: None)
    assert problem(folder, cache, "a.png").code == "photo-failed"


def test_a_photo_saved_anew_during_the_build_is_told(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain(colour=RED).save(folder / "a.png")
    real = photos._render

    def save_first(path: Path, cache: Cache) -> str | Fault:
        plain(colour=BLUE).save(path)
        return real(path, cache)

    monkeypatch.setattr(photos, "_render", save_first)
    assert problem(folder, cache, "a.png").code == "photo-failed"
    monkeypatch.setattr(photos, "_render", real)
    assert photo(folder, cache, "a.png").colour == "#0000ff"


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


# --- Several processes


def save_many(folder: Path, count: int) -> list[str]:
    names = [f"shot-{number:02}.png" for number in range(count)]
    for number, name in enumerate(names):
        plain(colour=(number, 100, 100)).save(folder / name)
    return names


def test_many_photos_come_from_worker_processes(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    names = save_many(folder, 10)
    (folder / names[3]).write_bytes(b"no picture")
    # What is patched here is not patched in a new process: nothing may be decoded in this one.
    forbid(monkeypatch, photos, "_decoded")
    found, problems = prepare(wanted(*names), folder, cache, workers=2)
    assert [p.code for p in problems] == ["photo-not-image"]
    assert list(found) == [name for name in names if name != names[3]]
    assert [p.colour[:3] for p in found.values()] == [f"#{n:02x}" for n in range(10) if n != 3]


def test_few_photos_start_no_process(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    forbid(monkeypatch, photos, "ProcessPoolExecutor")
    names = save_many(folder, 9)
    assert len(prepare(wanted(*names[:8]), folder, cache)[0]) == 8
    assert len(prepare(wanted(*names), folder, cache, workers=1)[0]) == 9


def test_a_system_without_processes_still_builds(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*args: object, **options: object) -> None:
        raise NotImplementedError("this system has no semaphores")

    monkeypatch.setattr(photos, "ProcessPoolExecutor", refuse)
    names = save_many(folder, 10)
    assert len(prepare(wanted(*names), folder, cache, workers=2)[0]) == 10


def die_on_the_fourth(path: Path) -> str | Fault:
    if path.name == "shot-04.png":
        os._exit(11)
    return path.name


def die_once(path: Path, marker: Path) -> str | Fault:
    if path.name == "shot-04.png" and not marker.exists():
        marker.touch()
        os._exit(11)
    return path.name


def test_a_worker_that_dies_costs_only_the_photo_that_kills_it(folder: Path) -> None:
    paths = [folder / f"shot-{number:02}.png" for number in range(12)]
    outcomes = photos._render_all(paths, die_on_the_fourth, 2)
    assert set(outcomes) == set(paths)
    failed = outcomes.pop(paths[4])
    assert isinstance(failed, Fault)
    assert failed.code == "photo-failed"
    assert outcomes == {path: path.name for path in paths if path != paths[4]}


def test_a_worker_that_dies_by_accident_costs_nothing(folder: Path, tmp_path: Path) -> None:
    paths = [folder / f"shot-{number:02}.png" for number in range(12)]
    job = functools.partial(die_once, marker=tmp_path / "died")
    outcomes = photos._render_all(paths, job, 2)
    assert (tmp_path / "died").exists()
    assert outcomes == {path: path.name for path in paths}


def prepare_as_another_process(folders: tuple[Path, Path]) -> dict[str, Photo]:
    names: Iterable[str] = sorted(path.name for path in folders[0].iterdir())
    found, problems = prepare(wanted(*names), folders[0], Cache(folders[1]))
    assert problems == []
    return found


def test_two_builds_at_once_share_a_cache(folder: Path, cache: Cache) -> None:
    for number in range(6):
        scene(900 + number, 600).save(folder / f"{number}.jpg")
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        one, other = pool.map(prepare_as_another_process, [(folder, cache.root)] * 2)
    assert one == other
    for result in one.values():
        for rendition in result.renditions:
            assert Image.open(rendition.path).convert("RGB").width == rendition.width
    assert len(cached_files(cache, "photos")) == 6 * 3


@pytest.mark.parametrize(
    ("asked", "cores", "expected"),
    [(None, 4, 4), (3, 4, 3), (100, 4, 8), (0, 4, 4), (-2, 4, 1), (None, None, 1), (99, 64, 32)],
)
def test_no_more_workers_than_memory_allows(
    monkeypatch: pytest.MonkeyPatch, asked: int | None, cores: int | None, expected: int
) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: cores)
    assert photos._worker_count(asked) == expected
