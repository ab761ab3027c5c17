"""The whole site as one ZIP file that opens by a double click, within a size if one is set."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from journal_tools.journal import Journal
from journal_tools.names import name_key
from journal_tools.sharing.archive import stamp_of, write_archive
from journal_tools.sharing.offline import build_site, make_offline
from journal_tools.sharing.photo_budget import STEPS, narrow_photos
from journal_tools.words import counted

_PHOTOS = "photos"
_MEGABYTE = 1_000_000


@dataclass(frozen=True, slots=True)
class PackOptions:
    """How a site is to be packed.

    Attributes:
        photo_width_px: Most pixels across of a photo, or None for those of the site.
        max_mb: Most megabytes (of 10^6 bytes) of the file, or None.
    """

    photo_width_px: int | None = None
    max_mb: float | None = None


@dataclass
class Packed:
    """How packing went.

    Attributes:
        size: Bytes of the file; it is left out if it is larger than was asked for.
        fits: Whether it is as small as was asked for.
        told: What was done, a sentence each.
    """

    size: int = 0
    fits: bool = True
    told: list[str] = field(default_factory=list)


def pack_site(journal: Journal, settings: Path, target: Path, options: PackOptions) -> Packed:
    """Build a journal's site for opening from a folder and pack it.

    Args:
        journal: The journal.
        settings: Its ``mkdocs.yml``.
        target: The ZIP file to write.
        options: How to pack.

    Raises:
        BuildError: If the site does not build.
        OSError: If the file cannot be written.
    """
    with tempfile.TemporaryDirectory(prefix="journal-pack-") as folder:
        site, draft = Path(folder, "site"), Path(folder, "site.zip")
        warned = build_site(settings, site, as_files=True)
        make_offline(site, settings.parent / "site_templates")
        photos, originals = site / _PHOTOS, Path(folder, "originals")
        if photos.is_dir():
            shutil.copytree(photos, originals)
        packed = Packed()
        told: list[str] = []
        last = journal.entries[-1].day if journal.entries else journal.profile.start
        for width in _widths(options):
            if width is not None:
                # From the originals each time: a picture coded twice gets no better.
                told = _narrowed(originals, photos, width)
            packed.size = write_archive(site, _top(journal), draft, stamp_of(last))
            packed.fits = options.max_mb is None or packed.size <= options.max_mb * _MEGABYTE
            if packed.fits:
                break
        if packed.fits:
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(draft.read_bytes())
        packed.told = [*([warned] if warned else []), *told]
    return packed


def _widths(options: PackOptions) -> Iterator[int | None]:
    """Give the widths of photos to try, widest first; None leaves them as they are."""
    yield options.photo_width_px
    if options.max_mb is not None:
        yield from (w for w in STEPS if w < (options.photo_width_px or STEPS[0] + 1))


def _narrowed(originals: Path, photos: Path, width_px: int) -> list[str]:
    done = narrow_photos(originals, photos, width_px)
    if not done.count:
        return []
    megabytes = f"{done.before / _MEGABYTE:.1f} to {done.after / _MEGABYTE:.1f} MB"
    return [f"{counted(done.count, 'photo')} made {width_px} px wide: {megabytes} of photos."]


def _top(journal: Journal) -> str:
    return name_key(journal.profile.name)[:40] or "journal"
