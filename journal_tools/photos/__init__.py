"""Photos for the site: the user's pictures found, checked, made small and rid of all metadata.

Originals are only read. What is published are new pictures made from their pixels, so nothing
that a camera wrote beside the pixels (place, serial number, thumbnail) can reach the site.

In the order of the work: `originals` finds the file that an entry names, `formats` and `picture`
open and clean it, `renditions` makes the small pictures and keeps them in the cache, `workers`
does so for several at a time, `preparation` puts it all together. `records` and `faults` are what
comes out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from journal_tools.photos.faults import Fault
from journal_tools.photos.originals import find, names_in
from journal_tools.photos.records import Photo, PhotoRequest, Rendition

if TYPE_CHECKING:
    from journal_tools.photos.preparation import WARNING_CODES, prepare
else:

    def __getattr__(name: str) -> Any:
        """Load what opens pictures only where it is used: quick commands open none."""
        if name in ("WARNING_CODES", "prepare"):
            from journal_tools.photos import preparation

            return getattr(preparation, name)
        raise AttributeError(name)


__all__ = [
    "WARNING_CODES",
    "Fault",
    "Photo",
    "PhotoRequest",
    "Rendition",
    "find",
    "names_in",
    "prepare",
]
