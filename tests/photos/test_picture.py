"""Decoding: upright, in the right colours, dated, no larger than needed."""

from __future__ import annotations

import io
import struct
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms, ImageFile

from journal_tools.cache import Cache
from journal_tools.photos import Fault, picture, prepare
from journal_tools.photos.picture import decoded, sizes

from .made_up import (
    BLUE,
    GREEN,
    HEIC,
    KELP,
    RED,
    WHITE,
    corner,
    dated,
    near,
    oriented,
    photo,
    plain,
    png,
    scene,
    telling_exif,
    wanted,
    widest,
)


@given(st.integers(1, 70_000), st.integers(1, 70_000))
def test_sizes_keep_the_shape_and_never_grow(width: int, height: int) -> None:
    found = sizes(width, height)
    assert len(found) in (1, 2)
    assert found == sorted(set(found))
    for new_width, new_height in found:
        assert 1 <= new_width <= min(width, 1280)
        assert 1 <= new_height <= min(height, 16_383)
        assert abs(new_width * height - new_height * width) <= max(width, height)


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


@pytest.fixture
def loaded(monkeypatch: pytest.MonkeyPatch) -> set[tuple[int, int]]:
    """Give the sizes at which pictures were decoded, as they are decoded."""
    seen: set[tuple[int, int]] = set()
    real = ImageFile.ImageFile.load

    def note(self: ImageFile.ImageFile) -> object:
        seen.add(self.size)
        return real(self)

    monkeypatch.setattr(ImageFile.ImageFile, "load", note)
    return seen


# Both are stored lying and shown upright. 4000 by 3000: a half suffices for a width of 1280 of
# 3000. 2600 by 1400: of the upright width of 1400 no half may be taken.
@pytest.mark.parametrize(
    ("stored", "expected", "shown"),
    [((4000, 3000), (2000, 1500), (1280, 1707)), ((2600, 1400), (2600, 1400), (1280, 2377))],
)
def test_a_jpeg_is_decoded_no_larger_than_needed(
    folder: Path,
    cache: Cache,
    loaded: set[tuple[int, int]],
    stored: tuple[int, int],
    expected: tuple[int, int],
    shown: tuple[int, int],
) -> None:
    plain(stored).save(folder / "big.jpg", exif=oriented(6))
    result = photo(folder, cache, "big.jpg")
    assert loaded == {expected}
    assert (result.width, result.height) == stored[::-1]
    assert (result.renditions[1].width, result.renditions[1].height) == shown


# From 5 on the stored rows are shown as columns. The widest rendition is 1280 wide once upright:
# of 2600 a half suffices, of 1400 nothing may be left out.
@pytest.mark.parametrize("orientation", LANDS)
@pytest.mark.parametrize(
    ("stored", "as_rows", "as_columns"),
    [((2600, 1400), (1300, 700), (2600, 1400)), ((1400, 2600), (1400, 2600), (700, 1300))],
)
def test_the_upright_width_decides_how_a_jpeg_is_decoded(
    loaded: set[tuple[int, int]],
    stored: tuple[int, int],
    as_rows: tuple[int, int],
    as_columns: tuple[int, int],
    orientation: int,
) -> None:
    stream = io.BytesIO()
    plain(stored).save(stream, "JPEG", exif=oriented(orientation))
    result = decoded(stream.getvalue())
    assert isinstance(result, picture.Picture)
    assert loaded == {as_rows if orientation < 5 else as_columns}
    assert result.image.size == sizes(result.width, result.height)[-1]
    assert result.image.width == 1280


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
    image.save(folder / f"turned.{kind}", exif=oriented(orientation), quality=95)
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
    plain().save(folder / "a.jpg", exif=oriented(orientation))
    assert photo(folder, cache, "a.jpg").width == 60


def test_heic_is_read_upright_and_dated(folder: Path, cache: Cache) -> None:
    (folder / "phone.heic").write_bytes(HEIC)
    result = photo(folder, cache, "phone.heic")
    assert (result.width, result.height) == (48, 64)
    assert result.taken == datetime(2026, 3, 14, 18, 40)
    assert near(corner(widest(result), "top right"), (200, 30, 30), 40)
    assert near(corner(widest(result), "bottom left"), (40, 120, 90), 20)


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
    assert picture._exif_time(when.strftime("%Y:%m:%d %H:%M:%S")) == when


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
    result = decoded(bytes(spoilt))
    if isinstance(result, Fault):
        assert result.code.startswith("photo-")
    else:
        assert result.image.mode == "RGB"
        assert result.image.info == {}
