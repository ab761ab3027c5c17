"""The user's own files: found by the names in the entries, known again by their content."""

from __future__ import annotations

import difflib
import hashlib
import os
import re
import time
import unicodedata
from collections.abc import Callable, Sequence
from pathlib import Path, PureWindowsPath

from journal_tools import cache as cache_store
from journal_tools.cache import Cache
from journal_tools.photos.faults import (
    MAX_FILE_BYTES,
    Fault,
    outside,
    too_large,
    unreadable,
    wrong_format,
)
from journal_tools.photos.formats import is_raw

_INDEX = "photo-index"
_SETTLED_NS = 2_000_000_000


# --- By name ----------------------------------------------------------------------------------


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
        return outside("points outside the photos folder.")
    root, path = Path(os.path.realpath(photos_folder)), photos_folder
    for index, part in enumerate(written.parts):
        names = listing(path)
        stored = _stored_name(part, names)
        if stored is None:
            return _not_listed(written.parts, index, names)
        path /= stored
        if not Path(os.path.realpath(path)).is_relative_to(root):
            return outside("is a link to a file outside the photos folder.")
    return path if path.is_file() else _no_file(path)


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


def _no_file(path: Path) -> Fault:
    kind = "is a folder, not a photo." if path.is_dir() else "leads to no file."
    return Fault("photo-missing", kind, "Write the name of a photo in the photos folder.")


# --- By content -------------------------------------------------------------------------------


def digest_of(path: Path, cache: Cache) -> str | Fault:
    """Give the SHA-256 of an original as 64 hexadecimal digits, or why it is no photo.

    Args:
        path: An existing file.
        cache: Remembers the digests of files that have not changed since.

    Raises:
        OSError: The cache cannot be written, or its disk is full.

    Source: SHA-256, FIPS 180-4.
    """
    if is_raw(path):
        return wrong_format("a camera's raw file")
    try:
        before = path.stat()
        if before.st_size > MAX_FILE_BYTES:
            return too_large(f"is a file of {before.st_size / 1e6:.0f} MB.")
        index_key = _index_key(path, before)
        known = cache.get_text(_INDEX, index_key, ".txt") if index_key else None
        if known and re.fullmatch("[0-9a-f]{64}", known):
            return known
        started_ns = time.time_ns()
        with path.open("rb") as stream:
            digest = hashlib.file_digest(stream, "sha256").hexdigest()
        unchanged = index_key == _index_key(path, path.stat())
    except OSError as error:
        return unreadable(error)
    # A file that was written in the last moments may be written again within the same tick of
    # the file system's clock, which would not show: until it has settled it is hashed every time.
    if index_key and unchanged and started_ns - before.st_ctime_ns > _SETTLED_NS:
        cache.put_text(_INDEX, index_key, ".txt", digest)
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
