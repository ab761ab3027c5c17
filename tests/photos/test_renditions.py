"""The small pictures: their sizes, what is not in them, and their cache."""

from __future__ import annotations

import json
import struct
from pathlib import Path

import pytest
from PIL import ExifTags, Image, ImageCms

from journal_tools.cache import Cache
from journal_tools.photos import renditions

from .made_up import RED, XMP, cached_files, photo, plain, scene, telling_exif


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


def test_the_placeholder_has_the_colour_that_covers_most(folder: Path, cache: Cache) -> None:
    image = plain((90, 60))
    image.paste(RED, (0, 0, 30, 60))
    image.save(folder / "two.png")
    assert photo(folder, cache, "two.png").colour == "#2f6b4f"


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
    monkeypatch.setattr(renditions, "_RECIPE", "another")
    second = photo(folder, cache, "a.png")
    assert rendered == ["a.png"] * 2
    assert first.renditions[0].path != second.renditions[0].path
