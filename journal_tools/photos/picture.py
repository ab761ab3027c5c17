"""From the bytes of an original to its pixels: upright, in sRGB, on white, without metadata."""

from __future__ import annotations

import io
import re
import struct
import warnings
import zlib
from dataclasses import dataclass
from datetime import datetime
from typing import cast

from PIL import ExifTags, Image, ImageCms, ImageFile, UnidentifiedImageError

from journal_tools.photos.faults import MAX_PIXELS, Fault, damaged, not_a_picture, too_large
from journal_tools.photos.formats import readable_formats

WIDTHS = (480, 1280)
"""Widths of the renditions in pixels; the first one is made as JPEG too."""

# A limit of the format: WebP stores width and height in 14 bits (RFC 9649, section 2.5).
_WEBP_MAX_SIDE = 16_383

_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
"""What puts a picture upright, by its orientation tag (Exif 2.32, tag 0x0112)."""

_SIDEWAYS = frozenset({5, 6, 7, 8})

# What Pillow's readers let through when the bytes of a file make no sense.
_BROKEN_FILE = (
    *(OSError, EOFError, SyntaxError, ValueError, TypeError, LookupError, ArithmeticError),
    *(RuntimeError, struct.error, zlib.error),
)


@dataclass(frozen=True, slots=True)
class Picture:
    """The widest rendition's pixels, and what is known of the original.

    Attributes:
        image: The pixels, upright, in RGB, without metadata.
        width: Width of the upright original in pixels.
        height: Height of the upright original in pixels.
        taken: When the camera says it was taken, by the camera's clock; None if it does not say.
    """

    image: Image.Image
    width: int
    height: int
    taken: datetime | None


def decoded(data: bytes) -> Picture | Fault:
    """Give the picture in a file, or why there is none.

    Args:
        data: The whole file.
    """
    formats = readable_formats()
    # Pillow warns of large pictures, for which there is a limit here, and of every oddity in
    # metadata that is thrown away.
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            with Image.open(io.BytesIO(data), formats=formats) as opened:
                if opened.width * opened.height > MAX_PIXELS:
                    return too_large(f"is {opened.width} by {opened.height} pixels.")
                return _clean(opened)
        except UnidentifiedImageError:
            return not_a_picture(data, formats)
        except (Image.DecompressionBombError, MemoryError):
            return too_large("has more pixels than can be held in memory.")
        except _BROKEN_FILE:
            return damaged()


def _clean(opened: ImageFile.ImageFile) -> Picture:
    """Give the picture upright, in sRGB, on white, no larger than needed and without metadata."""
    stored, orientation = _load(opened)
    small = resized(_resizable(opened), _widest(stored, orientation))
    image = _in_srgb(_on_white(small), opened.info.get("icc_profile"))
    if orientation in _TURNS:
        image = image.transpose(_TURNS[orientation])
    # Encoders write what they find here: comments, profiles, resolution, XMP.
    image.info.clear()
    width, height = _turned(stored, orientation)
    return Picture(image, width, height, _taken(opened))


def _load(opened: ImageFile.ImageFile) -> tuple[tuple[int, int], int]:
    """Decode the pixels; give the size that the file has them in and its orientation tag."""
    if opened.format in ("JPEG", "MPO"):
        # A JPEG can be decoded at a half, a quarter or an eighth of its size, and much faster.
        # The box has the picture's own aspect; in another one a smaller part is saved.
        stored, orientation = opened.size, _orientation(opened)
        opened.draft(None, _widest(stored, orientation))
        opened.load()
    else:
        # Only now, because TIFF files turn themselves and PNG files may end with their EXIF.
        opened.load()
        stored, orientation = opened.size, _orientation(opened)
    return stored, orientation


# --- Sizes ------------------------------------------------------------------------------------


def sizes(width: int, height: int) -> list[tuple[int, int]]:
    """Give width and height in pixels of the renditions, from narrow to wide.

    Args:
        width: Width of the upright original in pixels, 1 or more.
        height: Height of the upright original in pixels, 1 or more.

    >>> sizes(4000, 3000)
    [(480, 360), (1280, 960)]
    """
    found = []
    for wanted in WIDTHS:
        scale = min(1.0, wanted / width, _WEBP_MAX_SIDE / height)
        found.append((max(1, round(width * scale)), max(1, round(height * scale))))
    return list(dict.fromkeys(found))


def resized(image: Image.Image, size: tuple[int, int]) -> Image.Image:
    """Give the picture in another size, or itself if it has that size.

    Args:
        image: A picture in a mode that can be resized smoothly.
        size: Width and height in pixels, 1 or more.
    """
    if image.size == size:
        return image
    return image.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0)


def _widest(stored: tuple[int, int], orientation: int) -> tuple[int, int]:
    """Give the size of the widest rendition before it is turned upright."""
    return _turned(sizes(*_turned(stored, orientation))[-1], orientation)


def _turned(size: tuple[int, int], orientation: int) -> tuple[int, int]:
    return size[::-1] if orientation in _SIDEWAYS else size


# --- What the camera wrote --------------------------------------------------------------------


def _orientation(opened: ImageFile.ImageFile) -> int:
    try:
        orientation = opened.getexif().get(ExifTags.Base.Orientation)
    except _BROKEN_FILE:
        return 1
    return orientation if isinstance(orientation, int) else 1


def _taken(opened: ImageFile.ImageFile) -> datetime | None:
    try:
        exif = opened.getexif()
        details = exif.get_ifd(ExifTags.IFD.Exif)
    except _BROKEN_FILE:
        return None
    values = (
        details.get(ExifTags.Base.DateTimeOriginal),
        details.get(ExifTags.Base.DateTimeDigitized),
        exif.get(ExifTags.Base.DateTime),
    )
    return next((taken for value in values if (taken := _exif_time(value))), None)


def _exif_time(value: object) -> datetime | None:
    # "2026:03:14 18:40:00" by the standard (Exif 2.32, tag 0x9003); cameras without a set clock
    # write zeros or blanks, and programs write other separators.
    match = re.match(r"(\d{4})[:/.-](\d\d)[:/.-](\d\d)[ T](\d\d):(\d\d):(\d\d)", str(value))
    if match is None:
        return None
    try:
        return datetime.strptime("".join(match.groups()), "%Y%m%d%H%M%S")
    except ValueError:
        return None


# --- Kinds of pixels --------------------------------------------------------------------------


def _resizable(image: Image.Image) -> Image.Image:
    if image.mode.startswith(("I", "F")):
        return _in_8_bits(image)
    if image.mode in ("LA", "RGBA"):
        return image
    if image.has_transparency_data:
        return image.convert("RGBA")
    if image.mode == "1":
        return image.convert("L")
    return image if image.mode in ("L", "RGB", "CMYK") else image.convert("RGB")


def _in_8_bits(image: Image.Image) -> Image.Image:
    # Pillow's own conversion of deep greys cuts off all above 255. Whole numbers are taken for
    # 16 bits; the range of fractions is not written in the file, so their brightest tells it.
    deep, top = image.convert("F"), 65535.0
    if image.mode == "F":
        _, brightest = cast("tuple[float, float]", deep.getextrema())
        top = next((top for top in (1.0, 255.0) if brightest <= top), top)
    return deep.point(lambda value: value * (255.0 / top) + 0.5).convert("L")


def _on_white(image: Image.Image) -> Image.Image:
    if image.mode not in ("LA", "RGBA"):
        return image
    page = Image.new("L" if image.mode == "LA" else "RGB", image.size, "white")
    page.paste(image.convert(page.mode), mask=image.getchannel("A"))
    return page


def _in_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    if not profile:
        return image.convert("RGB")
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        target = ImageCms.createProfile("sRGB")
        converted = ImageCms.profileToProfile(image, source, target, outputMode="RGB")
    except (ImageCms.PyCMSError, OSError):
        # A profile that is broken, or made for another kind of picture, says nothing about it.
        converted = None
    return converted or image.convert("RGB")
