"""Which picture formats are read, and what a file is by its first bytes or its name."""

from __future__ import annotations

from pathlib import PurePath

# Readers of other formats stay shut: some of them start other programs.
_FORMATS = ("JPEG", "MPO", "PNG", "WEBP", "TIFF", "GIF", "BMP", "AVIF")

_RAW_SUFFIXES = frozenset(
    (".dng", ".raw", ".cr2", ".cr3", ".nef", ".arw", ".orf", ".raf", ".rw2", ".pef", ".srw")
)

_HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs", b"mif1")
_SIGNATURES = (
    (0, b"\xff\xd8\xff", "a JPEG picture", "JPEG"),
    (0, b"\x89PNG\r\n\x1a\n", "a PNG picture", "PNG"),
    (0, b"GIF8", "a GIF picture", "GIF"),
    (8, b"WEBP", "a WebP picture", "WEBP"),
    (0, b"II*\0", "a TIFF picture", "TIFF"),
    (0, b"MM\0*", "a TIFF picture", "TIFF"),
    *((4, b"ftyp" + brand, "a HEIC picture", "HEIF") for brand in _HEIC_BRANDS),
    (4, b"ftypavi", "an AVIF picture", "AVIF"),
    (4, b"ftyp", "a video", ""),
    (4, b"moov", "a video", ""),
    (8, b"AVI ", "a video", ""),
    (0, b"\x1a\x45\xdf\xa3", "a video", ""),
    (0, b"%PDF", "a PDF document", ""),
    (4, b"JXL ", "a JPEG XL picture", ""),
    (0, b"\xff\x0a", "a JPEG XL picture", ""),
    (4, b"jP  ", "a JPEG 2000 picture", ""),
)
"""How files begin: offset, bytes there, what it is, the reader it needs (by their standards)."""

_SVG_BEGINS = (b"<svg", b"<?xml", b"<!--", b"<!doctype svg")


def readable_formats() -> tuple[str, ...]:
    """Give the names of the readers that are installed; HEIF among them if its package is.

    >>> readable_formats()[0]
    'JPEG'
    """
    from PIL import Image

    Image.init()
    known = tuple(name for name in _FORMATS if name in Image.OPEN)
    try:
        import pi_heif
    except ImportError:
        return known
    pi_heif.register_heif_opener()
    return (*known, "HEIF")


def kind_by_content(data: bytes) -> tuple[str, str]:
    """Give what a file is, in words, and the name of the reader it needs; both may be empty.

    Args:
        data: The file, or at least its first 32 bytes (1,000 to know a drawing).

    >>> kind_by_content(b"GIF89a")
    ('a GIF picture', 'GIF')
    """
    for offset, signature, kind, reader in _SIGNATURES:
        if data.startswith(signature, offset):
            return kind, reader
    head = data[:1000].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if b"<svg" in head and head.startswith(_SVG_BEGINS):
        return "an SVG drawing", ""
    return "", ""


def is_raw(path: PurePath) -> bool:
    """Tell whether a file is a camera's raw file.

    Raw files open as TIFF files whose only picture is a stamp: the name has to tell.

    Args:
        path: Any path; only the end of its name counts.

    >>> is_raw(PurePath("shot.DNG")), is_raw(PurePath("shot.tif"))
    (True, False)
    """
    return path.suffix.lower() in _RAW_SUFFIXES
