"""A stranger's journal let in: only files that a journal has, none larger than it may be.

Whatever is handed in is copied into a folder of our own under names that were looked at; nothing
is ever unpacked by a library, followed through a link, or believed of a ZIP file's directory.
"""

from __future__ import annotations

import hashlib
import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO

from journal_tools.journal import LOG_FOLDER, PHOTO_FOLDER, PROFILE_FILE
from journal_tools.problems import excerpt

_CHUNK = 1 << 16
_TEXTS = (".yml", ".yaml", ".csv")
_PICTURES = (".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif", ".avif", ".tif", ".tiff")
_ENDINGS = {LOG_FOLDER: (".yml", ".yaml"), PHOTO_FOLDER: _PICTURES, "probes": _TEXTS}
_RESERVED = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d)(\..*)?")
_BAD_SIGNS = re.compile(r'[\x00-\x1f\x7f<>:"|?*\\]')
_MOST_DEPTH, _LONGEST_NAME = 6, 200


@dataclass(frozen=True, slots=True)
class Bounds:
    """How much a member may hand in.

    Attributes:
        files: Most files.
        file_bytes: Most bytes of one file.
        text_bytes: Most bytes of one file that is not a picture.
        total_bytes: Most bytes of all files.
        ratio: Most times that a file of a ZIP may be larger than it is packed.
    """

    files: int = 20_000
    file_bytes: int = 60_000_000
    text_bytes: int = 5_000_000
    total_bytes: int = 2_000_000_000
    ratio: int = 200


@dataclass
class Admitted:
    """What was let in.

    Attributes:
        faults: What was left out and why, a sentence each; or why all was.
        digest: Hash of all that was let in.
        usable: Whether there is a journal to build.
    """

    faults: list[str] = field(default_factory=list)
    digest: str = ""
    usable: bool = False


@dataclass(frozen=True)
class _Offered:
    """A file that is offered: its name, its packed size (None if it is not packed), its bytes."""

    name: str
    packed: int | None
    source: Path | tuple[zipfile.ZipFile, zipfile.ZipInfo]

    def open(self) -> IO[bytes]:
        if isinstance(self.source, Path):
            return self.source.open("rb")
        archive, entry = self.source
        return archive.open(entry)


class _TooMuchError(ValueError):
    """More than a member may hand in."""


def admit(source: Path, target: Path, bounds: Bounds) -> Admitted:
    """Copy a journal out of a folder or ZIP file.

    Args:
        source: What a member has handed in.
        target: An empty folder for the journal: ``tank.yml`` and what belongs to it.
        bounds: How much it may be.
    """
    admitted = Admitted()
    try:
        if source.is_dir():
            _copy_all(list(_in_folder(source, admitted)), target, bounds, admitted)
        else:
            with zipfile.ZipFile(source) as archive:
                _copy_all(list(_in_archive(archive, admitted)), target, bounds, admitted)
    except _TooMuchError as error:
        admitted.faults.append(str(error))
        return admitted
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError) as error:
        admitted.faults.append(f"The file cannot be read: {excerpt(error, 200)}.")
        return admitted
    admitted.usable = (target / PROFILE_FILE).is_file()
    if not admitted.usable:
        admitted.faults.append(f"There is no {PROFILE_FILE} in it, nor in a folder 'content'.")
    return admitted


def _in_folder(folder: Path, admitted: Admitted) -> Iterator[_Offered]:
    if folder.is_symlink():
        admitted.faults.append("A link is not followed.")
        return
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if path.is_symlink():
            admitted.faults.append(f"'{excerpt(name)}' is a link and was left out.")
        elif path.is_file():
            yield _Offered(name, None, path)


def _in_archive(archive: zipfile.ZipFile, admitted: Admitted) -> Iterator[_Offered]:
    for entry in archive.infolist():
        kind = entry.external_attr >> 28
        if entry.is_dir():
            continue
        if kind not in (0, 0o10):
            admitted.faults.append(f"'{excerpt(entry.filename)}' is no plain file: left out.")
        elif entry.flag_bits & 1:
            admitted.faults.append(f"'{excerpt(entry.filename)}' is encrypted: left out.")
        else:
            yield _Offered(entry.filename, entry.compress_size, (archive, entry))


def _copy_all(offered: list[_Offered], target: Path, bounds: Bounds, admitted: Admitted) -> None:
    if len(offered) > bounds.files:
        raise _TooMuchError(f"There are more than {bounds.files} files in it.")
    prefix = _prefix(file.name for file in offered)
    left, digests, taken = bounds.total_bytes, [], set[str]()
    for file in offered:
        name = file.name.removeprefix(prefix) if file.name.startswith(prefix) else ""
        if (fault := name_fault(file.name)) is not None:
            admitted.faults.append(fault)
        elif not _belongs(name):
            continue
        elif name.casefold() in taken:
            admitted.faults.append(f"'{excerpt(name)}' is there twice; the first one counts.")
        else:
            taken.add(name.casefold())
            size, digest = _copy(file, target / name, bounds, left)
            left -= size
            digests.append(f"{name} {digest}")
    admitted.digest = hashlib.sha256("\n".join(sorted(digests)).encode()).hexdigest()


def _prefix(names: Iterator[str]) -> str:
    """Give the folder in which the profile lies, with a slash: the top one if there are several."""
    found = [n.removesuffix(PROFILE_FILE) for n in names if f"/{n}".endswith(f"/{PROFILE_FILE}")]
    return min(found, key=lambda folder: (folder.count("/"), folder), default="")


def name_fault(name: str) -> str | None:
    """Give why a file of that name is not let in, or None if nothing speaks against it.

    >>> name_fault("log/2026-03-14.yml")
    >>> name_fault("../../etc/passwd")
    "'../../etc/passwd' leads out of the journal: left out."
    """
    parts = name.split("/")
    said = excerpt(name.encode("unicode_escape", "surrogatepass").decode())
    if name.startswith("/") or ".." in parts or re.match(r"[A-Za-z]:", name):
        return f"'{said}' leads out of the journal: left out."
    if _BAD_SIGNS.search(name) or any(0xD800 <= ord(sign) < 0xE000 for sign in name):
        return f"'{said}' has a sign in its name that not every computer knows: left out."
    if len(parts) > _MOST_DEPTH or len(name.encode()) > _LONGEST_NAME:
        return f"'{said}' has too long a name: left out."
    odd = any(p in ("", ".") or p != p.strip(" ") or p.endswith(".") for p in parts)
    if odd or any(_RESERVED.fullmatch(part) for part in parts):
        return f"'{said}' has a name that not every computer can write: left out."
    return None


def _belongs(name: str) -> bool:
    """Tell whether a journal has such a file; others, such as pages and templates, are code."""
    if name == PROFILE_FILE:
        return True
    folder, _, inside = name.partition("/")
    hidden = any(part.startswith(".") for part in name.split("/"))
    return bool(inside) and not hidden and name.lower().endswith(_ENDINGS.get(folder, ("\n",)))


def _copy(file: _Offered, target: Path, bounds: Bounds, left: int) -> tuple[int, str]:
    """Copy a file piece by piece, as far as it may be; give its size and hash."""
    picture = target.suffix.lower() in _PICTURES
    most = bounds.file_bytes if picture else bounds.text_bytes
    if file.packed is not None:
        # What the archive says of itself is not believed: only what comes out is counted.
        most = min(most, max(bounds.ratio * file.packed, io.DEFAULT_BUFFER_SIZE))
    digest, size = hashlib.sha256(), 0
    target.parent.mkdir(parents=True, exist_ok=True)
    with file.open() as stream, target.open("xb") as copy:
        while chunk := stream.read(_CHUNK):
            size += len(chunk)
            if size > most:
                raise _TooMuchError(f"'{excerpt(file.name)}' is larger than it may be.")
            if size > left:
                raise _TooMuchError("It is larger in all than it may be.")
            digest.update(chunk)
            copy.write(chunk)
    return size, digest.hexdigest()
