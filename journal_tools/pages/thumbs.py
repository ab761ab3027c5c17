"""Small square pictures for sheets and strips, cut from what is published anyway."""

from __future__ import annotations

import io
from pathlib import Path

import PIL
from PIL import Image, ImageOps

from journal_tools import cache as store
from journal_tools.pages.site import Shown, Site
from journal_tools.pages.tree import Asset

THUMB_PX = 112
_QUALITY = 72
_RECIPE = f"1 {THUMB_PX} {_QUALITY} pillow {PIL.__version__}"


def thumb_path(shown: Shown) -> str:
    """Give the place of the small picture of a photo."""
    return f"photos/{shown.photo.renditions[0].stem}-{THUMB_PX}.webp"


def thumb_assets(site: Site) -> list[Asset]:
    """Give the small picture of every photo, each once."""
    by_path = {thumb_path(shown): shown for shown in site.shown_photos}
    return [Asset(path, _thumb(site, shown)) for path, shown in by_path.items()]


def _thumb(site: Site, shown: Shown) -> Path:
    key = store.key("thumb", _RECIPE, shown.photo.digest)
    found = site.cache.get("thumbs", key, ".webp")
    if found is not None:
        return found
    with Image.open(shown.rendition(480).path) as picture:
        small = ImageOps.fit(picture.convert("RGB"), (THUMB_PX, THUMB_PX), Image.Resampling.LANCZOS)
    stream = io.BytesIO()
    small.save(stream, "WEBP", quality=_QUALITY, method=4)
    return site.cache.put_bytes("thumbs", key, ".webp", stream.getvalue())
