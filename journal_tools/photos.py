"""Photos for the site: the user's pictures found, checked, made small and rid of all metadata.

Originals are only read. What is published are new pictures made from their pixels, so nothing
that a camera wrote beside the pixels (place, serial number, thumbnail) can reach the site.
"""

from __future__ import annotations

import contextlib
import difflib
import functools
import hashlib
import io
import json
import multiprocessing
import os
import re
import struct
import time
import unicodedata
import warnings
import zlib
from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path, PureWindowsPath
from typing import Literal, cast

import PIL
from PIL import ExifTags, Image, ImageCms, ImageFile, UnidentifiedImageError

from journal_tools import cache as cache_store
from journal_tools.cache import Cache
from journal_tools.problems import Problem

WIDTHS = (480, 1280)
"""Widths of the renditions in pixels; the first one is made as JPEG too."""

MAX_PIXELS = 120_000_000
MAX_FILE_BYTES = 80_000_000
MAX_DAYS_APART = 1
WARNING_CODES = frozenset({"photo-date"})
"""Codes of problems with which the photo is shown all the same."""

_WEBP_QUALITY, _WEBP_METHOD, _JPEG_QUALITY = 78, 4, 80
# A limit of the format: WebP stores width and height in 14 bits (RFC 9649, section 2.5).
_WEBP_MAX_SIDE = 16_383
# Raise the first number whenever the code below would make another picture of the same file.
_RECIPE = f"1 {WIDTHS} {_WEBP_QUALITY} {_WEBP_METHOD} {_JPEG_QUALITY} pillow {PIL.__version__}"

# Readers of other formats stay shut: some of them start other programs.
_FORMATS = ("JPEG", "MPO", "PNG", "WEBP", "TIFF", "GIF", "BMP", "AVIF")
_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
"""What puts a picture upright, by its orientation tag (Exif 2.32, tag 0x0112)."""

_SIDEWAYS = frozenset({5, 6, 7, 8})

# What Pillow's readers let through when the bytes of a file make no sense.
_BROKEN_FILE = (
    *(OSError, EOFError, SyntaxError, ValueError, TypeError, LookupError, ArithmeticError),
    *(RuntimeError, struct.error, zlib.error),
)

_RAW_SUFFIXES = frozenset(
    (".dng", ".raw", ".cr2", ".cr3", ".nef", ".arw", ".orf", ".raf", ".rw2", ".pef", ".srw")
)
"""Raw files open as TIFF files whose only picture is a stamp: the name has to tell."""

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

_SETTLED_NS = 2_000_000_000

# Below this number, starting worker processes costs more time than they save.
_POOL_FROM = 9
_MAX_WORKERS = 32


@dataclass(frozen=True, slots=True)
class PhotoRequest:
    """A photo that an entry names.

    Attributes:
        file: Name of the photo below the photos folder, as the user wrote it.
        entry_date: Date of the entry; None where a photo belongs to no day.
        place: File, line and column where it is named, for problems.
    """

    file: str
    entry_date: date | None
    place: tuple[str, int, int]


@dataclass(frozen=True, slots=True)
class Rendition:
    """A picture ready for the site.

    Attributes:
        width: Width in pixels.
        height: Height in pixels.
        format: Kind of file.
        path: The file, in the cache.
        stem: What its public name starts with: photo, then eight digits of the content's hash.
    """

    width: int
    height: int
    format: Literal["webp", "jpeg"]
    path: Path
    stem: str

    @property
    def name(self) -> str:
        """Give the path on the site.

        >>> Rendition(480, 360, "jpeg", Path("x.jpg"), "front-1f0c52aa").name
        'photos/front-1f0c52aa-480.jpg'
        """
        return f"photos/{self.stem}-{self.width}{_suffix(self.format)}"


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo of the journal and the pictures made of it.

    Attributes:
        source: Path of the original below the photos folder, with forward slashes.
        digest: SHA-256 of the original, 64 hexadecimal digits.
        width: Width of the upright original in pixels.
        height: Height of the upright original in pixels.
        taken: When the camera says it was taken, by the camera's clock; None if it does not say.
        colour: Dominant colour as ``#rrggbb``, to show until the picture is there.
        renditions: WebP from narrow to wide, then the JPEG.
    """

    source: str
    digest: str
    width: int
    height: int
    taken: datetime | None
    colour: str
    renditions: tuple[Rendition, ...]


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
        """Give the problem at the line that named the photo."""
        what = f'The photo "{request.file}" {self.what}'
        return Problem(*request.place, self.code, what, self.hint)


def prepare(
    requests: Sequence[PhotoRequest],
    photos_folder: Path,
    cache: Cache,
    workers: int | None = None,
) -> tuple[dict[str, Photo], list[Problem]]:
    """Give the photos by the names that the entries use, and what is wrong with the others.

    Args:
        requests: The photos wanted; one that is named twice is prepared once.
        photos_folder: Folder with the originals, which are only read.
        cache: Where the pictures are kept from one build to the next.
        workers: Worker processes, 1 or more; by default as many as the machine has cores.

    Raises:
        OSError: The cache cannot be written, or its disk is full.
    """
    listing = functools.cache(names_in)
    files = dict.fromkeys(request.file for request in requests)
    found = {file: find(photos_folder, file, listing) for file in files}
    paths = [path for path in dict.fromkeys(found.values()) if isinstance(path, Path)]
    outcomes = _prepared(paths, photos_folder, cache, _worker_count(workers))
    photos: dict[str, Photo] = {}
    problems: list[Problem] = []
    for request in requests:
        original = found[request.file]
        outcome = outcomes[original] if isinstance(original, Path) else original
        if isinstance(outcome, Photo):
            photos[request.file] = outcome
            problems.extend(_date_problems(outcome.taken, request))
        else:
            problems.append(outcome.at(request))
    return photos, problems


def _date_problems(taken: datetime | None, request: PhotoRequest) -> list[Problem]:
    if taken is None or request.entry_date is None:
        return []
    days = abs((taken.date() - request.entry_date).days)
    if days <= MAX_DAYS_APART:
        return []
    what = f"was taken on {taken.date()}, {days} days from the date of its entry."
    hint = "If the camera's clock was wrong, leave it; else move the photo to the right entry."
    return [Fault("photo-date", what, hint).at(request)]


# --- Finding the original ---------------------------------------------------------------------


def names_in(folder: Path) -> frozenset[str]:
    """Give the names in a folder exactly as they are stored; none if it is not a folder.

    Args:
        folder: Any path.
    """
    try:
        return frozenset(os.listdir(folder))  # noqa: PTH208 - bare names are what is compared
    except (FileNotFoundError, NotADirectoryError, PermissionError):
        return frozenset()


def find(
    photos_folder: Path, name: str, listing: Callable[[Path], frozenset[str]] = names_in
) -> Path | Fault:
    """Give the original that a name means, or why there is none.

    Names are compared with what the folder lists, because some file systems open ``front.jpg``
    when asked for ``Front.JPG``: such a journal would break on the next machine.

    Args:
        photos_folder: Folder that the photo must lie in, at any depth.
        name: Name below that folder, with slashes of either kind.
        listing: Gives the names in a folder; hand in one that remembers to ask for many photos.
    """
    # The Windows rules know both slashes and drive letters, so a name means the same everywhere.
    written = PureWindowsPath(name)
    if written.anchor or ".." in written.parts:
        return _outside("points outside the photos folder.")
    root, path = Path(os.path.realpath(photos_folder)), photos_folder
    for index, part in enumerate(written.parts):
        names = listing(path)
        stored = _stored_name(part, names)
        if stored is None:
            return _not_listed(written.parts, index, names)
        path /= stored
        if not Path(os.path.realpath(path)).is_relative_to(root):
            return _outside("is a link to a file outside the photos folder.")
    if not path.is_file():
        kind = "is a folder, not a photo." if path.is_dir() else "leads to no file."
        return Fault("photo-missing", kind, "Write the name of a photo in the photos folder.")
    return path


def _outside(what: str) -> Fault:
    hint = "Copy the photo into the photos folder and write its name below that folder."
    return Fault("photo-outside", what, hint)


def _stored_name(part: str, names: frozenset[str]) -> str | None:
    if part in names:
        return part
    # One system stores an accented letter as one character, another as two: to a person the
    # names are the same, so that is not held against the user.
    wanted = unicodedata.normalize("NFC", part)
    same = [name for name in names if unicodedata.normalize("NFC", name) == wanted]
    return min(same, default=None)


def _not_listed(parts: Sequence[str], index: int, names: frozenset[str]) -> Fault:
    def with_part(stored: str) -> str:
        return "/".join([*parts[:index], stored, *parts[index + 1 :]])

    part = parts[index]
    folded = _without_case(part)
    other_case = min((name for name in names if _without_case(name) == folded), default=None)
    if other_case is not None:
        right = with_part(other_case)
        what = f'is stored as "{right}": capital and small letters differ.'
        return Fault("photo-case", what, f"Write {right}.")
    near = difflib.get_close_matches(part, sorted(names), n=1)
    hint = f"Did you mean {with_part(near[0])}?" if near else "Copy it there, or mend its name."
    return Fault("photo-missing", "is not in the photos folder.", hint)


def _without_case(name: str) -> str:
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


# --- From originals to photos, by way of the cache --------------------------------------------


def _prepared(
    paths: Sequence[Path], folder: Path, cache: Cache, workers: int
) -> dict[Path, Photo | Fault]:
    digests = {path: _digest(path, cache) for path in paths}
    ready: dict[str, Photo | Fault | None] = {
        digest: _remembered(digest, cache)
        for digest in dict.fromkeys(digests.values())
        if isinstance(digest, str)
    }
    # Two files with the same content are one job.
    jobs = {
        digest: path
        for path, digest in digests.items()
        if isinstance(digest, str) and ready[digest] is None
    }
    job = functools.partial(_render, cache=cache)
    rendered = _render_all(list(jobs.values()), job, workers)
    for digest, path in jobs.items():
        result = rendered[path]
        if isinstance(result, str):
            # The worker hashed what it read: it may be a photo that was saved anew meanwhile.
            ready[digest] = _remembered(digest, cache) if result == digest else None
        else:
            ready[digest] = result
    outcomes = {
        path: ready[digest] if isinstance(digest, str) else digest
        for path, digest in digests.items()
    }
    return {path: _named(outcome, path.relative_to(folder)) for path, outcome in outcomes.items()}


def _named(outcome: Photo | Fault | None, source: Path) -> Photo | Fault:
    if outcome is None:
        what = "changed while it was being read, or the cache was emptied meanwhile."
        return Fault("photo-failed", what, "Build once more.")
    if isinstance(outcome, Fault):
        return outcome
    stem = f"{_slug(source.stem)}-{outcome.digest[:8]}"
    renditions = tuple(replace(rendition, stem=stem) for rendition in outcome.renditions)
    return replace(outcome, source=source.as_posix(), renditions=renditions)


def _slug(stem: str) -> str:
    plain = unicodedata.normalize("NFKD", stem).encode("ascii", "ignore").decode("ascii")
    return re.sub("[^a-z0-9]+", "-", plain.lower())[:60].strip("-") or "photo"


def _digest(path: Path, cache: Cache) -> str | Fault:
    if path.suffix.lower() in _RAW_SUFFIXES:
        return _wrong_format("a camera's raw file")
    try:
        before = path.stat()
        if before.st_size > MAX_FILE_BYTES:
            return _too_large(f"is a file of {before.st_size / 1e6:.0f} MB.")
        index_key = _index_key(path, before)
        known = cache.get_text("photo-index", index_key, ".txt") if index_key else None
        if known and re.fullmatch("[0-9a-f]{64}", known):
            return known
        started_ns = time.time_ns()
        with path.open("rb") as stream:
            digest = hashlib.file_digest(stream, "sha256").hexdigest()
        unchanged = index_key == _index_key(path, path.stat())
    except OSError as error:
        return _unreadable(error)
    # A file that was written in the last moments may be written again within the same tick of
    # the file system's clock, which would not show: until it has settled it is hashed every time.
    if index_key and unchanged and started_ns - before.st_ctime_ns > _SETTLED_NS:
        cache.put_text("photo-index", index_key, ".txt", digest)
    return digest


def _index_key(path: Path, stat: os.stat_result) -> str | None:
    """Give a key that no other content of this file can have, or None if there is no such key.

    Size and modification time do not suffice: programs that copy or tag photos set the time back,
    and turning a photo by its tag keeps the size. The time of the last change of the file's record
    (ctime) cannot be set by programs: every write, rename and resetting of times moves it. Windows
    keeps the time of creation in its place, and FAT drives and others that count in whole seconds
    or hundredths make one up: there the file is hashed at every build, which is never wrong.
    """
    if os.name != "posix" or stat.st_ctime_ns % 10_000_000 == 0:
        return None
    facts = (stat.st_dev, stat.st_ino, stat.st_size, stat.st_mtime_ns, stat.st_ctime_ns)
    return cache_store.key("photo-index 1", os.fsencode(path.absolute()), repr(facts))


def _remembered(digest: str, cache: Cache) -> Photo | None:
    """Give the photo, still without a name, if the cache holds it whole."""
    text = cache.get_text("photo-records", _record_key(digest), ".json")
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


def _cached_rendition(
    digest: str, cache: Cache, kind: Literal["webp", "jpeg"], width: int, height: int, size: int
) -> Rendition | None:
    path = cache.get("photos", _rendition_key(digest, kind, width), _suffix(kind))
    # The length is kept with the record because a disk may fail where a program did not.
    if path is None or path.stat().st_size != size:
        return None
    return Rendition(width, height, kind, path, "")


def _record_key(digest: str) -> str:
    return cache_store.key("photo record", _RECIPE, digest)


def _rendition_key(digest: str, kind: str, width: int) -> str:
    return cache_store.key("photo rendition", _RECIPE, digest, kind, str(width))


def _suffix(kind: str) -> str:
    return ".jpg" if kind == "jpeg" else f".{kind}"


# --- From the bytes of an original to small clean pictures ------------------------------------


@dataclass(frozen=True, slots=True)
class _Picture:
    """The widest rendition's pixels, and what is known of the original."""

    image: Image.Image
    width: int
    height: int
    taken: datetime | None


def _render(path: Path, cache: Cache) -> str | Fault:
    """Store all renditions of an original and then its record; give the original's digest."""
    try:
        # One reading serves hash and pictures, so that the two can never disagree.
        data = path.read_bytes()
    except OSError as error:
        return _unreadable(error)
    picture = _decoded(data)
    if isinstance(picture, Fault):
        return picture
    digest = hashlib.sha256(data).hexdigest()
    _store(picture, digest, cache)
    return digest


def _store(picture: _Picture, digest: str, cache: Cache) -> None:
    sizes = _sizes(picture.width, picture.height)
    pictures: list[tuple[Literal["webp", "jpeg"], Image.Image]] = [
        ("webp", _resized(picture.image, size)) for size in sizes
    ]
    pictures.append(("jpeg", pictures[0][1]))
    renditions = []
    for kind, image in pictures:
        data = _encoded(image, kind)
        cache.put_bytes("photos", _rendition_key(digest, kind, image.width), _suffix(kind), data)
        renditions.append((kind, image.width, image.height, len(data)))
    record = {
        "width": picture.width,
        "height": picture.height,
        "taken": picture.taken.isoformat() if picture.taken else None,
        "colour": _dominant_colour(picture.image),
        "renditions": renditions,
    }
    cache.put_text("photo-records", _record_key(digest), ".json", json.dumps(record))


def _encoded(image: Image.Image, kind: Literal["webp", "jpeg"]) -> bytes:
    stream = io.BytesIO()
    if kind == "webp":
        image.save(stream, "WEBP", quality=_WEBP_QUALITY, method=_WEBP_METHOD)
    else:
        image.save(stream, "JPEG", quality=_JPEG_QUALITY, optimize=True, progressive=True)
    return stream.getvalue()


def _sizes(width: int, height: int) -> list[tuple[int, int]]:
    sizes = []
    for wanted in WIDTHS:
        scale = min(1.0, wanted / width, _WEBP_MAX_SIDE / height)
        sizes.append((max(1, round(width * scale)), max(1, round(height * scale))))
    return list(dict.fromkeys(sizes))


def _resized(image: Image.Image, size: tuple[int, int]) -> Image.Image:
    if image.size == size:
        return image
    return image.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0)


def _dominant_colour(image: Image.Image) -> str:
    few = image.resize((32, 32), Image.Resampling.BOX).quantize(8)
    counts: list[tuple[int, int]] = few.getcolors() or []  # type: ignore[assignment]
    _, index = max(counts)
    palette = few.getpalette() or []
    return "#" + bytes(palette[3 * index : 3 * index + 3]).hex()


def _decoded(data: bytes) -> _Picture | Fault:
    formats = _readable_formats()
    # Pillow warns of large pictures, for which there is a limit here, and of every oddity in
    # metadata that is thrown away.
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            with Image.open(io.BytesIO(data), formats=formats) as opened:
                if opened.width * opened.height > MAX_PIXELS:
                    return _too_large(f"is {opened.width} by {opened.height} pixels.")
                return _clean(opened)
        except UnidentifiedImageError:
            return _not_a_picture(data, formats)
        except (Image.DecompressionBombError, MemoryError):
            return _too_large("has more pixels than can be held in memory.")
        except _BROKEN_FILE:
            return _damaged()


def _readable_formats() -> tuple[str, ...]:
    Image.init()
    known = tuple(name for name in _FORMATS if name in Image.OPEN)
    try:
        import pi_heif
    except ImportError:
        return known
    pi_heif.register_heif_opener()
    return (*known, "HEIF")


def _clean(opened: ImageFile.ImageFile) -> _Picture:
    """Give the picture upright, in sRGB, on white, no larger than needed and without metadata."""
    if opened.format in ("JPEG", "MPO"):
        # A JPEG can be decoded at a half, a quarter or an eighth of its size, and much faster.
        # The box has the picture's own aspect; in another one a smaller part is saved.
        stored, orientation = opened.size, _orientation(opened)
        opened.draft(None, _widest(stored, orientation))
        opened.load()
    else:
        # Only now, because TIFF files turn themselves and PNG files may end with their EXIF.
        opened.load()
        stored, orientation = opened.size, _orientation(opened)
    small = _resized(_resizable(opened), _widest(stored, orientation))
    image = _in_srgb(_on_white(small), opened.info.get("icc_profile"))
    if orientation in _TURNS:
        image = image.transpose(_TURNS[orientation])
    # Encoders write what they find here: comments, profiles, resolution, XMP.
    image.info.clear()
    width, height = _turned(stored, orientation)
    return _Picture(image, width, height, _taken(opened))


def _widest(stored: tuple[int, int], orientation: int) -> tuple[int, int]:
    """Give the size of the widest rendition before it is turned upright."""
    return _turned(_sizes(*_turned(stored, orientation))[-1], orientation)


def _orientation(opened: ImageFile.ImageFile) -> int:
    try:
        orientation = opened.getexif().get(ExifTags.Base.Orientation)
    except _BROKEN_FILE:
        return 1
    return orientation if isinstance(orientation, int) else 1


def _turned(size: tuple[int, int], orientation: int) -> tuple[int, int]:
    return size[::-1] if orientation in _SIDEWAYS else size


def _taken(opened: ImageFile.ImageFile) -> datetime | None:
    try:
        exif = opened.getexif()
        details = exif.get_ifd(ExifTags.IFD.Exif)
    except _BROKEN_FILE:
        return None
    values = (
        details.get(ExifTags.Base.DateTimeOriginal),
        details.get(ExifTags.Base.DateTimeDigitized),
        exif.get(ExifTags.Base.DateTime),
    )
    return next((taken for value in values if (taken := _exif_time(value))), None)


def _exif_time(value: object) -> datetime | None:
    # "2026:03:14 18:40:00" by the standard (Exif 2.32, tag 0x9003); cameras without a set clock
    # write zeros or blanks, and programs write other separators.
    match = re.match(r"(\d{4})[:/.-](\d\d)[:/.-](\d\d)[ T](\d\d):(\d\d):(\d\d)", str(value))
    if match is None:
        return None
    try:
        return datetime.strptime("".join(match.groups()), "%Y%m%d%H%M%S")
    except ValueError:
        return None


def _resizable(image: Image.Image) -> Image.Image:
    if image.mode.startswith(("I", "F")):
        return _in_8_bits(image)
    if image.mode in ("LA", "RGBA"):
        return image
    if image.has_transparency_data:
        return image.convert("RGBA")
    if image.mode == "1":
        return image.convert("L")
    return image if image.mode in ("L", "RGB", "CMYK") else image.convert("RGB")


def _in_8_bits(image: Image.Image) -> Image.Image:
    # Pillow's own conversion of deep greys cuts off all above 255. Whole numbers are taken for
    # 16 bits; the range of fractions is not written in the file, so their brightest tells it.
    deep, top = image.convert("F"), 65535.0
    if image.mode == "F":
        _, brightest = cast("tuple[float, float]", deep.getextrema())
        top = next((top for top in (1.0, 255.0) if brightest <= top), top)
    return deep.point(lambda value: value * (255.0 / top) + 0.5).convert("L")


def _on_white(image: Image.Image) -> Image.Image:
    if image.mode not in ("LA", "RGBA"):
        return image
    page = Image.new("L" if image.mode == "LA" else "RGB", image.size, "white")
    page.paste(image.convert(page.mode), mask=image.getchannel("A"))
    return page


def _in_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    if not profile:
        return image.convert("RGB")
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        target = ImageCms.createProfile("sRGB")
        converted = ImageCms.profileToProfile(image, source, target, outputMode="RGB")
    except (ImageCms.PyCMSError, OSError):
        # A profile that is broken, or made for another kind of picture, says nothing about it.
        converted = None
    return converted or image.convert("RGB")


# --- What is wrong with an original ------------------------------------------------------------


def _too_large(what: str) -> Fault:
    limit = f"{MAX_PIXELS // 1_000_000} million pixels and {MAX_FILE_BYTES // 1_000_000} MB"
    return Fault("photo-too-large", what, f"Save a smaller copy: the limit is {limit}.")


def _unreadable(error: OSError) -> Fault:
    what = f"cannot be read: {error.strerror or error}."
    return Fault("photo-failed", what, "Check that the file may be read and its disk is there.")


def _damaged() -> Fault:
    what = "is damaged or cut short."
    return Fault("photo-truncated", what, "Copy it from the camera again, or save it anew as JPEG.")


def _wrong_format(kind: str) -> Fault:
    hint = "Save the picture as JPEG, PNG or WebP and name that file."
    return Fault("photo-format", f"is {kind}, which cannot be shown as a photo.", hint)


def _not_a_picture(data: bytes, formats: Sequence[str]) -> Fault:
    if not data:
        return Fault("photo-not-image", "is an empty file.", "Copy it from the camera again.")
    kind, reader = _kind_by_content(data)
    if reader in formats:
        return _damaged()
    if reader == "HEIF":
        hint = 'Run: pip install "journal-tools[heif]" - or save the picture as JPEG.'
        return Fault("photo-format", "is a HEIC picture, whose reader is not installed.", hint)
    if kind:
        return _wrong_format(kind)
    what = "is not a picture, whatever its name says."
    return Fault("photo-not-image", what, "Write the name of a JPEG, PNG or WebP picture.")


def _kind_by_content(data: bytes) -> tuple[str, str]:
    """Give what a file is, in words, and the name of the reader it needs; both may be empty."""
    for offset, signature, kind, reader in _SIGNATURES:
        if data.startswith(signature, offset):
            return kind, reader
    head = data[:1000].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if b"<svg" in head and head.startswith((b"<svg", b"<?xml", b"<!--", b"<!doctype svg")):
        return "an SVG drawing", ""
    return "", ""


# --- Several at a time --------------------------------------------------------------------------

_READERS_THAT_CRASH = frozenset({"HEIF"})

_Job = Callable[[Path], str | Fault]


def _worker_count(wanted: int | None) -> int:
    # One picture a worker; two a core at most, because a large one takes some 500 MB decoded.
    cores = os.cpu_count() or 1
    return max(1, min(wanted or cores, 2 * cores, _MAX_WORKERS))


def _render_all(paths: Sequence[Path], job: _Job, workers: int) -> dict[Path, str | Fault]:
    """Give the digest or the fault of each original, from worker processes if that pays."""
    outcomes: dict[Path, str | Fault] = {}
    waiting = deque(paths)
    pays = workers > 1 and len(paths) >= _POOL_FROM
    apart = pays or any(_may_crash(path) for path in paths)
    while apart and waiting:
        pool = _started_pool(workers)
        if pool is None:
            break
        with pool:
            in_hand = _work_off(waiting, pool, workers, job, outcomes)
        # One of these made a worker die; which one shows when each is tried alone.
        outcomes.update((path, _render_alone(path, job)) for path in in_hand)
    outcomes.update((path, job(path)) for path in waiting)
    return outcomes


def _may_crash(path: Path) -> bool:
    # One wrong byte in a HEIC file's list of metadata ends the whole process of its reader
    # (found with pi-heif 1.4.0), so that even a single one is read in another process.
    try:
        with path.open("rb") as stream:
            _, reader = _kind_by_content(stream.read(32))
    except OSError:
        return False
    return reader in _READERS_THAT_CRASH


def _started_pool(workers: int) -> ProcessPoolExecutor | None:
    """Give worker processes, or None where the system or the way we were started allows none."""
    try:
        # A fresh process each ("spawn"): a copy of a process that runs threads, as a site
        # server does, may hang.
        context = multiprocessing.get_context("spawn")
        pool = ProcessPoolExecutor(workers, mp_context=context)
        pool.submit(os.getpid).result()
    except (BrokenProcessPool, OSError, NotImplementedError, ImportError):
        return None
    return pool


def _work_off(
    waiting: deque[Path],
    pool: ProcessPoolExecutor,
    workers: int,
    job: _Job,
    outcomes: dict[Path, str | Fault],
) -> list[Path]:
    """Empty the queue into the outcomes; give the originals in hand if a worker died, else none."""
    in_hand: dict[Future[str | Fault], Path] = {}
    try:
        while waiting or in_hand:
            # Handed out one by one, so that a death leaves few suspects.
            while waiting and len(in_hand) < workers:
                in_hand[pool.submit(job, waiting[0])] = waiting[0]
                waiting.popleft()
            for future in wait(in_hand, return_when=FIRST_COMPLETED).done:
                outcomes[in_hand[future]] = future.result()
                del in_hand[future]
    except BrokenProcessPool:
        return list(in_hand.values())
    return []


def _render_alone(path: Path, job: _Job) -> str | Fault:
    pool = _started_pool(1)
    if pool is not None:
        with pool, contextlib.suppress(BrokenProcessPool):
            return pool.submit(job, path).result()
    what = "made the program that reads pictures stop."
    return Fault("photo-failed", what, "Save it anew as JPEG in another program.")
