"""A store for results that are slow to make, each found again by what it was made from.

A value is a file ``<kind>/<first two digits of the key>/<key><suffix>`` below one folder. The key
is the hash of everything the value depends on, so a value never goes out of date: a new photo, a
new recipe or a new version of the code asks for another key. The folder may be deleted at any time.
"""

from __future__ import annotations

import hashlib
import os
import re
import secrets
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import platformdirs

FOLDER_VARIABLE = "JOURNAL_TOOLS_CACHE"

_KIND = re.compile(r"[a-z][a-z0-9-]*")
_KEY = re.compile(r"[0-9a-f]{64}")
_SUFFIX = re.compile(r"\.[a-z0-9]+")
_SHELF = re.compile(r"[0-9a-f]{2}")
_VALUE_NAME = re.compile(r"[0-9a-f]{64}\.[a-z0-9]+")
_UNFINISHED_NAME = re.compile(r"\.[0-9a-f]{64}-[0-9a-f]{16}\.tmp")

_SECONDS_PER_DAY = 86_400.0
# A write takes seconds at most: an hour-old unfinished file was left behind by a crash.
_UNFINISHED_KEPT_S = 3_600.0
_WRITE_ATTEMPTS = 3


def key(*parts: bytes | str) -> str:
    """Give the key of a value made from these parts, as 64 hexadecimal digits.

    The length of each part is hashed before it, so that ``("ab", "c")`` and ``("a", "bc")`` differ.

    Args:
        parts: Inputs, recipe and code version in a fixed order; text is hashed as UTF-8.

    >>> key("ab", "c") == key("a", "bc")
    False
    >>> key("ab", "c")[:12]
    '601d5476e2cc'

    Source: SHA-256, FIPS 180-4.
    """
    digest = hashlib.sha256()
    for part in parts:
        # Names of files may hold bytes that are not text; Python carries them as surrogates.
        data = part.encode("utf-8", "surrogatepass") if isinstance(part, str) else part
        digest.update(len(data).to_bytes(8, "big"))
        digest.update(data)
    return digest.hexdigest()


@dataclass(frozen=True, slots=True)
class Cache:
    """A folder of values; nothing is ever written outside it.

    Attributes:
        root: The folder; it is made when the first value is stored.
    """

    root: Path

    @classmethod
    def default(cls) -> Cache:
        """Give the user's own cache.

        It is the folder that the variable ``JOURNAL_TOOLS_CACHE`` names, else the place that the
        operating system keeps for caches.
        """
        named = os.environ.get(FOLDER_VARIABLE, "")
        if named:
            return cls(Path(named).expanduser().absolute())
        return cls(platformdirs.user_cache_path("journal-tools", appauthor=False))

    def get(self, kind: str, key: str, suffix: str) -> Path | None:
        """Give the file of a stored value and note that it was used; None if there is none.

        Args:
            kind: Sort of value, a lower-case word such as ``photos``.
            key: What :func:`key` gave for it.
            suffix: End of the file's name with its dot, such as ``.webp``.

        Raises:
            ValueError: A name does not have that form.
        """
        path = self._path(kind, key, suffix)
        if not path.is_file():
            return None
        try:
            os.utime(path)
        except FileNotFoundError:
            return None
        except PermissionError:
            # A cache that may only be read still serves; whoever owns it does the pruning.
            return path
        return path

    def get_text(self, kind: str, key: str, suffix: str) -> str | None:
        """Give a stored text and note that it was used; None if there is none.

        Args:
            kind: Sort of value, a lower-case word such as ``charts``.
            key: What :func:`key` gave for it.
            suffix: End of the file's name with its dot, such as ``.json``.

        Raises:
            ValueError: A name does not have that form.
        """
        path = self.get(kind, key, suffix)
        if path is None:
            return None
        try:
            return path.read_bytes().decode("utf-8")
        except (FileNotFoundError, UnicodeDecodeError):
            # Deleted meanwhile, or spoilt by something other than this class.
            return None

    def put_bytes(self, kind: str, key: str, suffix: str, data: bytes) -> Path:
        """Store a value and give its file, which is either whole or not there at all.

        Args:
            kind: Sort of value, a lower-case word such as ``photos``.
            key: What :func:`key` gave for it.
            suffix: End of the file's name with its dot, such as ``.webp``.
            data: The value.

        Raises:
            ValueError: A name does not have that form.
            OSError: The folder cannot be written, or the disk is full.
        """
        path = self._path(kind, key, suffix)
        if self._holds(kind, key, suffix, data):
            return path
        for attempt in range(1, _WRITE_ATTEMPTS + 1):
            try:
                _write_whole(path, data)
            except FileNotFoundError:
                # Somebody deleted the cache under our hands: make the folders once more.
                if attempt == _WRITE_ATTEMPTS:
                    raise
            else:
                break
        return path

    def _holds(self, kind: str, key: str, suffix: str, data: bytes) -> bool:
        """Tell whether the value is there already: reading costs less than a write to the disk."""
        found = self.get(kind, key, suffix)
        try:
            return found is not None and found.read_bytes() == data
        except FileNotFoundError:
            return False

    def put_text(self, kind: str, key: str, suffix: str, text: str) -> Path:
        """Store a text as UTF-8 with its line ends unchanged, and give its file.

        Args:
            kind: Sort of value, a lower-case word such as ``photos``.
            key: What :func:`key` gave for it.
            suffix: End of the file's name with its dot, such as ``.json``.
            text: The value.

        Raises:
            ValueError: A name does not have that form.
            OSError: The folder cannot be written, or the disk is full.
        """
        return self.put_bytes(kind, key, suffix, text.encode("utf-8"))

    def prune(self, older_than_days: float) -> int:
        """Delete the values that were not used lately and give their number.

        Only files that carry the name of a cached value are touched, so a cache folder that was
        set to a folder with other files in it loses none of those.

        Args:
            older_than_days: Days without use after which a value goes, 0 or more.

        Raises:
            ValueError: The number of days is negative.
        """
        if not older_than_days >= 0:
            raise ValueError(f"older_than_days must be 0 or more, not {older_than_days}")
        now_s = time.time()
        value_limit_s = now_s - older_than_days * _SECONDS_PER_DAY
        for path in _files(self.root, _UNFINISHED_NAME):
            _delete_unused(path, min(value_limit_s, now_s - _UNFINISHED_KEPT_S))
        return sum(_delete_unused(path, value_limit_s) for path in _files(self.root, _VALUE_NAME))

    def _path(self, kind: str, key: str, suffix: str) -> Path:
        for name, form in ((kind, _KIND), (key, _KEY), (suffix, _SUFFIX)):
            if not form.fullmatch(name):
                raise ValueError(f"not a name for a cached value: {name!r}")
        return self.root / kind / key[:2] / f"{key}{suffix}"


def _write_whole(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    # Not `tempfile`: its files are readable by their owner alone, and a site is copied from here.
    unfinished = path.with_name(f".{path.stem}-{secrets.token_hex(8)}.tmp")
    try:
        with unfinished.open("xb") as stream:
            stream.write(data)
            stream.flush()
            # Without it a power cut can leave the final name on a file whose data never arrived.
            os.fsync(stream.fileno())
        _take_name(unfinished, path)
    finally:
        unfinished.unlink(missing_ok=True)


def _take_name(unfinished: Path, path: Path) -> None:
    try:
        unfinished.replace(path)
    except PermissionError:
        # Windows refuses to replace a file that another process is reading. The same key means
        # the same value, so the one that is there serves as well.
        if not path.is_file():
            raise


def _files(root: Path, form: re.Pattern[str]) -> Iterator[Path]:
    # Symbolic links are not followed: what they lead to is not ours to delete. Folders are left
    # standing even when empty, because another process may be about to write into them.
    for kind in _folders(root, _KIND):
        for shelf in _folders(kind, _SHELF):
            for path in _listed(shelf):
                if form.fullmatch(path.name) and not path.is_symlink():
                    yield path


def _folders(parent: Path, form: re.Pattern[str]) -> Iterator[Path]:
    for path in _listed(parent):
        if form.fullmatch(path.name) and path.is_dir() and not path.is_symlink():
            yield path


def _listed(folder: Path) -> list[Path]:
    try:
        return sorted(folder.iterdir())
    except FileNotFoundError:
        return []


def _delete_unused(path: Path, limit_s: float) -> bool:
    try:
        if path.stat().st_mtime > limit_s:
            return False
        path.unlink()
    except (FileNotFoundError, PermissionError):
        # Another process was quicker, or is reading it right now.
        return False
    return True
