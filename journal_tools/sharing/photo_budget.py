"""Photos of a built site made narrower, so that the whole is as small as it must be."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

STEPS = (1024, 800, 640, 480, 360)
"""Widths in pixels that are tried one after another for a size."""

_FORMATS = {".webp": ("WEBP", {"quality": 74, "method": 4}),
            ".jpg": ("JPEG", {"quality": 76, "optimize": True, "progressive": True})}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Narrowed:
    """What narrowing did.

    Attributes:
        count: Photos that are narrower now.
        before: Bytes of all photos before.
        after: Bytes of all photos now.
    """

    count: int
    before: int
    after: int


def narrow_photos(originals: Path, folder: Path, width_px: int) -> Narrowed:
    """Write every photo of a folder into another, at most so wide, under its old name.

    The pages name each file with the width that it had; browsers scale, so nothing breaks.

    Args:
        originals: The photos as the site was built with them.
        folder: The site's folder of photos.
        width_px: Most pixels across, 16 or more.
    """
    count = before = after = 0
    for path in sorted(p for p in originals.glob("*") if p.suffix in _FORMATS):
        old = path.read_bytes()
        new = _narrower(old, path.suffix, width_px)
        before += len(old)
        after += len(new)
        count += new is not old
        (folder / path.name).write_bytes(new)
    return Narrowed(count, before, after)


def _narrower(data: bytes, suffix: str, width_px: int) -> bytes:
    with Image.open(io.BytesIO(data)) as picture:
        if picture.width <= width_px:
            return data
        size = (width_px, max(1, round(picture.height * width_px / picture.width)))
        small = picture.convert("RGB").resize(size, Image.Resampling.LANCZOS)
    stream = io.BytesIO()
    kind, options = _FORMATS[suffix]
    small.save(stream, kind, **options)
    made = stream.getvalue()
    return made if len(made) < len(data) else data
