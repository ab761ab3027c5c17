"""The small pictures for the site, and the cache that keeps them from one build to the next.

A record is stored after the pictures it lists, so that a record that is there tells that they are.
"""

from __future__ import annotations

import io
import json
from datetime import datetime

import PIL
from PIL import Image

from journal_tools import cache as cache_store
from journal_tools.cache import Cache
from journal_tools.photos.picture import WIDTHS, Picture, resized, sizes
from journal_tools.photos.records import Kind, Photo, Rendition, suffix

_WEBP_QUALITY, _WEBP_METHOD, _JPEG_QUALITY = 78, 4, 80
# Raise the first number whenever the code here or in `picture` would make another picture of the
# same file.
_RECIPE = f"1 {WIDTHS} {_WEBP_QUALITY} {_WEBP_METHOD} {_JPEG_QUALITY} pillow {PIL.__version__}"

_PICTURES, _RECORDS = "photos", "photo-records"


def store(picture: Picture, digest: str, cache: Cache) -> None:
    """Make all renditions of a picture and put them into the cache, their record last.

    Args:
        picture: The decoded original.
        digest: SHA-256 of the original, 64 hexadecimal digits.
        cache: Where they are kept.

    Raises:
        OSError: The cache cannot be written, or its disk is full.
    """
    renditions = []
    for kind, image in _renditions(picture):
        data = _encoded(image, kind)
        cache.put_bytes(_PICTURES, _rendition_key(digest, kind, image.width), suffix(kind), data)
        renditions.append((kind, image.width, image.height, len(data)))
    record = {
        "width": picture.width,
        "height": picture.height,
        "taken": picture.taken.isoformat() if picture.taken else None,
        "colour": _dominant_colour(picture.image),
        "renditions": renditions,
    }
    cache.put_text(_RECORDS, _record_key(digest), ".json", json.dumps(record))


def remembered(digest: str, cache: Cache) -> Photo | None:
    """Give the photo, still without a name, if the cache holds it whole.

    Args:
        digest: SHA-256 of the original, 64 hexadecimal digits.
        cache: Where renditions are kept.
    """
    text = cache.get_text(_RECORDS, _record_key(digest), ".json")
    try:
        record = json.loads(text or "")
        renditions = [_cached_rendition(digest, cache, *facts) for facts in record["renditions"]]
        taken = datetime.fromisoformat(record["taken"]) if record["taken"] else None
        width, height, colour = record["width"], record["height"], record["colour"]
    except (ValueError, LookupError, TypeError, FileNotFoundError):
        return None
    whole = tuple(rendition for rendition in renditions if rendition is not None)
    if not whole or len(whole) < len(renditions):
        return None
    return Photo("", digest, width, height, taken, colour, whole)


def _renditions(picture: Picture) -> list[tuple[Kind, Image.Image]]:
    small = [resized(picture.image, size) for size in sizes(picture.width, picture.height)]
    return [*(("webp", image) for image in small), ("jpeg", small[0])]


def _encoded(image: Image.Image, kind: Kind) -> bytes:
    stream = io.BytesIO()
    if kind == "webp":
        image.save(stream, "WEBP", quality=_WEBP_QUALITY, method=_WEBP_METHOD)
    else:
        image.save(stream, "JPEG", quality=_JPEG_QUALITY, optimize=True, progressive=True)
    return stream.getvalue()


def _dominant_colour(image: Image.Image) -> str:
    few = image.resize((32, 32), Image.Resampling.BOX).quantize(8)
    counts: list[tuple[int, int]] = few.getcolors() or []  # type: ignore[assignment]
    _, index = max(counts)
    palette = few.getpalette() or []
    return "#" + bytes(palette[3 * index : 3 * index + 3]).hex()


def _cached_rendition(
    digest: str, cache: Cache, kind: Kind, width: int, height: int, size: int
) -> Rendition | None:
    path = cache.get(_PICTURES, _rendition_key(digest, kind, width), suffix(kind))
    # The length is kept with the record because a disk may fail where a program did not.
    if path is None or path.stat().st_size != size:
        return None
    return Rendition(width, height, kind, path, "")


def _record_key(digest: str) -> str:
    return cache_store.key("photo record", _RECIPE, digest)


def _rendition_key(digest: str, kind: str, width: int) -> str:
    return cache_store.key("photo rendition", _RECIPE, digest, kind, str(width))
