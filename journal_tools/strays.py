"""Files of a journal's folder that must not be published as they lie there."""

from __future__ import annotations

from pathlib import Path

# A name that only begins like the profile's is a copy of it, such as "tank.yml.bak".
_SOURCES = ("tank.yml", "tank.schema.json", "log/", "photos/", "probes/", "imports/")
# MkDocs would make the first page of its folder from such a file; the journal has one already.
_READMES = ("README.md", "diary/README.md")
_NOTES = (".yml", ".yaml")
_CAMERA = (".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff", ".heic", ".heif", ".avif")
_GPS_TAG = 0x8825  # GPSInfo, Exif 2.32 (JEITA CP-3451), table 4


def is_source(path: str) -> bool:
    """Tell whether a file of the journal's folder, by its path there, is no part of the site.

    >>> is_source("Photos/a.jpg"), is_source("about.md")
    (True, False)
    """
    # Some file systems take "Photos" for "photos": the originals stay private there, too.
    return path.casefold().startswith(_SOURCES) or path in _READMES


def reason_to_hide(path: Path) -> str:
    """Give why a file must stay off the site, or an empty text.

    A YAML file may be a copy of the profile or of entries, with all that these keep private. A
    picture straight from a camera may tell where the keeper lives.
    """
    kind = path.suffix.lower()
    if kind in _NOTES:
        return "it may hold what the journal keeps private"
    if kind in _CAMERA and _tells_place(path):
        return "it tells where it was taken; put it into photos/ and show it from an entry"
    return ""


def _tells_place(path: Path) -> bool:
    """Tell whether a picture holds a position, or cannot be looked into."""
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(path) as picture:
            return bool(picture.getexif().get_ifd(_GPS_TAG))
    except (OSError, UnidentifiedImageError, ValueError, SyntaxError, Image.DecompressionBombError):
        return True
