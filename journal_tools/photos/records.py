"""A photo that is asked for, and the photo that is given: records without any work in them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Literal

Kind = Literal["webp", "jpeg"]
"""Kinds of files that are published."""


@dataclass(frozen=True, slots=True)
class PhotoRequest:
    """A photo that an entry names.

    Attributes:
        file: Name of the photo below the photos folder, as the user wrote it.
        entry_date: Date of the entry; None where a photo belongs to no day.
        place: File, line and column where it is named, for problems.
    """

    file: str
    entry_date: date | None
    place: tuple[str, int, int]


@dataclass(frozen=True, slots=True)
class Rendition:
    """A picture ready for the site.

    Attributes:
        width: Width in pixels.
        height: Height in pixels.
        format: Kind of file.
        path: The file, in the cache.
        stem: What its public name starts with: photo, then eight digits of the content's hash.
    """

    width: int
    height: int
    format: Kind
    path: Path
    stem: str

    @property
    def name(self) -> str:
        """Give the path on the site.

        >>> Rendition(480, 360, "jpeg", Path("x.jpg"), "front-1f0c52aa").name
        'photos/front-1f0c52aa-480.jpg'
        """
        return f"photos/{self.stem}-{self.width}{suffix(self.format)}"


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo of the journal and the pictures made of it.

    Attributes:
        source: Path of the original below the photos folder, with forward slashes.
        digest: SHA-256 of the original, 64 hexadecimal digits.
        width: Width of the upright original in pixels.
        height: Height of the upright original in pixels.
        taken: When the camera says it was taken, by the camera's clock; None if it does not say.
        colour: Dominant colour as ``#rrggbb``, to show until the picture is there.
        renditions: WebP from narrow to wide, then the JPEG.
    """

    source: str
    digest: str
    width: int
    height: int
    taken: datetime | None
    colour: str
    renditions: tuple[Rendition, ...]


def suffix(kind: Kind) -> str:
    """Give how the name of such a file ends.

    Args:
        kind: Kind of file.

    >>> suffix("jpeg"), suffix("webp")
    ('.jpg', '.webp')
    """
    return ".jpg" if kind == "jpeg" else f".{kind}"
