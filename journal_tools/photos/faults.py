"""What may be wrong with an original, in words for its owner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from journal_tools.photos.formats import kind_by_content
from journal_tools.photos.records import PhotoRequest
from journal_tools.problems import Problem

MAX_PIXELS = 120_000_000
"""Most pixels of an original: decoded, so many take some 500 MB."""

MAX_FILE_BYTES = 80_000_000
"""Largest file of an original, in bytes."""


@dataclass(frozen=True, slots=True)
class Fault:
    """Why a photo cannot be shown, before it is known which line named it.

    Attributes:
        code: Code of the problem.
        what: What is wrong, to be read after the name of the photo.
        hint: What to do instead.
    """

    code: str
    what: str
    hint: str = ""

    def at(self, request: PhotoRequest) -> Problem:
        """Give the problem at the line that named the photo.

        Args:
            request: The photo as the entry names it.
        """
        what = f'The photo "{request.file}" {self.what}'
        return Problem(*request.place, self.code, what, self.hint)


def outside(what: str) -> Fault:
    """Give the fault of a name that leads out of the photos folder.

    Args:
        what: How it does so, to be read after the name of the photo.
    """
    hint = "Copy the photo into the photos folder and write its name below that folder."
    return Fault("photo-outside", what, hint)


def too_large(what: str) -> Fault:
    """Give the fault of a file or a picture above the limits, which are told.

    Args:
        what: How large it is, to be read after the name of the photo.

    >>> too_large("is a file of 95 MB.").hint
    'Save a smaller copy: the limit is 120 million pixels and 80 MB.'
    """
    limit = f"{MAX_PIXELS // 1_000_000} million pixels and {MAX_FILE_BYTES // 1_000_000} MB"
    return Fault("photo-too-large", what, f"Save a smaller copy: the limit is {limit}.")


def unreadable(error: OSError) -> Fault:
    """Give the fault of a file that the system does not let us read.

    Args:
        error: What the system said.
    """
    what = f"cannot be read: {error.strerror or error}."
    return Fault("photo-failed", what, "Check that the file may be read and its disk is there.")


def damaged() -> Fault:
    """Give the fault of a picture whose bytes end early or make no sense."""
    what = "is damaged or cut short."
    return Fault("photo-truncated", what, "Copy it from the camera again, or save it anew as JPEG.")


def crashed() -> Fault:
    """Give the fault of a picture that ended the process of its reader."""
    what = "made the program that reads pictures stop."
    return Fault("photo-failed", what, "Save it anew as JPEG in another program.")


def changed() -> Fault:
    """Give the fault of a photo that was not the same, or was gone, at the second look."""
    what = "changed while it was being read, or the cache was emptied meanwhile."
    return Fault("photo-failed", what, "Build once more.")


def wrong_format(kind: str) -> Fault:
    """Give the fault of a file that is known but is no picture for a site.

    Args:
        kind: What it is, with its article: "a video".
    """
    hint = "Save the picture as JPEG, PNG or WebP and name that file."
    return Fault("photo-format", f"is {kind}, which cannot be shown as a photo.", hint)


def not_a_picture(data: bytes, formats: Sequence[str]) -> Fault:
    """Give the fault of a file that no reader takes for a picture.

    Args:
        data: The whole file.
        formats: Names of the readers that were tried.

    >>> not_a_picture(b"%PDF-1.7", ["JPEG"]).what
    'is a PDF document, which cannot be shown as a photo.'
    """
    if not data:
        return Fault("photo-not-image", "is an empty file.", "Copy it from the camera again.")
    kind, reader = kind_by_content(data)
    if reader in formats:
        return damaged()
    if reader == "HEIF":
        hint = 'Run: pip install "journal-tools[heif]" - or save the picture as JPEG.'
        return Fault("photo-format", "is a HEIC picture, whose reader is not installed.", hint)
    if kind:
        return wrong_format(kind)
    what = "is not a picture, whatever its name says."
    return Fault("photo-not-image", what, "Write the name of a JPEG, PNG or WebP picture.")
