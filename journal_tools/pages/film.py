"""A growth film of each view: photos of the same place, one after the other, as animated WebP."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path

import PIL
from PIL import Image, ImageOps

from journal_tools import cache as store
from journal_tools.names import name_key
from journal_tools.pages.site import Shown, Site
from journal_tools.pages.tree import Asset

MOST_FRAMES = 40
WIDTH_PX = 640
MOST_BYTES = 1_500_000
FRAME_MS, LAST_FRAME_MS = 500, 2_000
_QUALITIES = (70, 55, 40, 25, 10)
_RECIPE = f"1 {MOST_FRAMES} {WIDTH_PX} {MOST_BYTES} {_QUALITIES} pillow {PIL.__version__}"


def thinned(series: Sequence[Shown], most: int) -> list[Shown]:
    """Give at most so many photos of a series, evenly spread, the first and the last among them.

    Args:
        series: Photos in order of time.
        most: Number of photos, 2 or more.
    """
    if len(series) <= most:
        return list(series)
    step = (len(series) - 1) / (most - 1)
    return [series[round(place * step)] for place in range(most)]


def film_path(view: str, series: Sequence[Shown]) -> str:
    """Give the place of a view's film; it changes with the photos, so that no browser keeps it."""
    key = store.key(*(shown.photo.digest for shown in series))
    letters = "".join(c for c in name_key(view) if c.isascii() and c.isalnum())[:40]
    return f"photos/film-{letters or 'view'}-{key[:8]}.webp"


def film_asset(site: Site, view: str, series: Sequence[Shown]) -> Asset:
    """Give the film of a view, made now or kept from an earlier build.

    Args:
        site: The site.
        view: Name of the view.
        series: Its photos in order of time, two or more.
    """
    frames = thinned(series, MOST_FRAMES)
    key = store.key("film", _RECIPE, *(shown.photo.digest for shown in frames))
    found = site.cache.get("films", key, ".webp")
    if found is None:
        found = site.cache.put_bytes("films", key, ".webp", film([_file(s) for s in frames]))
    return Asset(film_path(view, series), found)


def _file(shown: Shown) -> Path:
    return shown.rendition(WIDTH_PX).path


def film(files: Sequence[Path]) -> bytes:
    """Give pictures as one animated WebP in the shape of the last, small enough for a phone.

    Args:
        files: Pictures in order of time, two or more.
    """
    with Image.open(files[-1]) as last:
        size = (WIDTH_PX, max(1, round(WIDTH_PX * last.height / last.width)))
    frames = [_frame(file, size) for file in files]
    data = b""
    for quality in _QUALITIES:
        data = _encoded(frames, quality)
        if len(data) <= MOST_BYTES:
            break
    return data


def _frame(file: Path, size: tuple[int, int]) -> Image.Image:
    with Image.open(file) as picture:
        return ImageOps.fit(picture.convert("RGB"), size, Image.Resampling.LANCZOS)


def _encoded(frames: Sequence[Image.Image], quality: int) -> bytes:
    stream = io.BytesIO()
    times = [FRAME_MS] * (len(frames) - 1) + [LAST_FRAME_MS]
    frames[0].save(
        stream, "WEBP", save_all=True, append_images=frames[1:], duration=times, loop=0,
        quality=quality, method=3,
    )  # fmt: skip
    return stream.getvalue()
