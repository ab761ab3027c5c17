"""Drawings of an invented reef tank, in the manner of a hand-tinted field notebook.

Nothing here is a photograph, and no real tank sat for it. A picture depends on its scene, view and
size alone: drawn twice, it is the same to the last pixel.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from fractions import Fraction
from pathlib import Path
from typing import Literal

from PIL import Image, ImageOps

from .closeups import macro, top
from .front import front
from .scene import ALL_GEAR, Coral, Fish, Scene, View
from .sheet import Sheet
from .sump import sump
from .workbench import bench, pump

__all__ = ["ALL_GEAR", "Coral", "Fish", "Scene", "View", "contact_sheet", "draw", "save_jpeg"]

FULL = (1200, 900)
VIEWS: dict[str, Callable[[Sheet, Scene], None]] = {
    "front": front,
    "sump": sump,
    "macro": macro,
    "top": top,
    "bench": bench,
    "pump": pump,
}
Orientation = Literal[1, 6, 8]
STORED = {6: Image.Transpose.ROTATE_90, 8: Image.Transpose.ROTATE_270}
EXIF_IFD, GPS_IFD = 0x8769, 0x8825


def draw(scene: Scene, view: View, size: tuple[int, int] = FULL) -> Image.Image:
    """The picture of a scene.

    Args:
        scene: what is to be seen.
        view: from where.
        size: width and height in pixels, 4 to 3.
    """
    sheet = Sheet(size, scene.seed)
    VIEWS[view](sheet, scene)
    return sheet.image()


def save_jpeg(
    image: Image.Image,
    path: Path,
    taken: datetime,
    *,
    orientation: Orientation = 1,
    position: tuple[float, float] | None = None,
    quality: int = 75,
) -> None:
    """Write a JPEG as a camera would have left it.

    Args:
        image: the picture, upright.
        path: where to write it.
        taken: the moment that the file claims; an offset is written too if it has one.
        orientation: 6 and 8 store the picture lying on its side, as a turned camera does.
        position: an invented latitude and longitude in degrees, north and east positive.
        quality: of the JPEG, 1 to 95.
    """
    exif = Image.Exif()
    exif[0x010E] = "A drawing of an invented tank"
    exif[0x0112] = orientation
    details = exif.get_ifd(EXIF_IFD)
    details[0x9003] = details[0x9004] = f"{taken:%Y:%m:%d %H:%M:%S}"
    if taken.utcoffset() is not None:
        details[0x9011] = _offset(taken)
    if position is not None:
        exif.get_ifd(GPS_IFD).update(_gps(*position))
    stored = image.transpose(STORED[orientation]) if orientation in STORED else image
    stored.save(path, "JPEG", quality=quality, optimize=True, progressive=True, exif=exif)


def _offset(taken: datetime) -> str:
    text = f"{taken:%z}"
    return f"{text[:3]}:{text[3:5]}"


def _gps(latitude: float, longitude: float) -> dict[int, object]:
    return {
        1: "N" if latitude >= 0 else "S",
        2: _degrees(abs(latitude)),
        3: "E" if longitude >= 0 else "W",
        4: _degrees(abs(longitude)),
    }


def _degrees(angle: float) -> tuple[Fraction, Fraction, Fraction]:
    """Whole degrees, whole minutes, and seconds to a hundredth."""
    hundredths = round(angle * 360_000)
    degrees, rest = divmod(hundredths, 360_000)
    minutes, seconds = divmod(rest, 6000)
    return Fraction(degrees), Fraction(minutes), Fraction(seconds, 100)


def contact_sheet(
    images: Sequence[Image.Image], *, columns: int = 3, width: int = 600
) -> Image.Image:
    """All pictures side by side, each fitted to one width in pixels."""
    cell = (width, width * FULL[1] // FULL[0])
    rows = -(-len(images) // columns)
    page = Image.new("RGB", (columns * cell[0], rows * cell[1]), "white")
    for number, image in enumerate(images):
        small = ImageOps.fit(image, cell, Image.Resampling.LANCZOS)
        page.paste(small, (number % columns * cell[0], number // columns * cell[1]))
    return page
