"""The records: the names that pictures have on the site."""

from __future__ import annotations

import hashlib
from pathlib import Path

from journal_tools.cache import Cache

from .made_up import photo, plain


def test_names_tell_photo_content_and_width(folder: Path, cache: Cache) -> None:
    plain((600, 400)).save(folder / "Grüne Koralle (2).PNG")
    result = photo(folder, cache, "Grüne Koralle (2).PNG")
    content = hashlib.sha256((folder / "Grüne Koralle (2).PNG").read_bytes()).hexdigest()
    assert result.digest == content
    stem = f"photos/grune-koralle-2-{content[:8]}"
    names = [rendition.name for rendition in result.renditions]
    assert names == [f"{stem}-480.webp", f"{stem}-600.webp", f"{stem}-480.jpg"]


def test_a_name_without_a_latin_letter_is_called_photo(folder: Path, cache: Cache) -> None:
    plain().save(folder / "水槽.png")
    assert photo(folder, cache, "水槽.png").renditions[0].name.startswith("photos/photo-")
