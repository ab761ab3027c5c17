"""What the phone form hands over, read as if a stranger had sent it: nothing in it is trusted.

A parcel is the ZIP file of the form, the folder that a browser has made of it, or one entry as a
YAML file. Only names of a known shape are read, each up to a limit, and nothing is unpacked.
"""

from __future__ import annotations

import re
import struct
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path, PurePosixPath

from journal_tools.read import MAX_BYTES

MAX_MEMBERS = 2_000
MAX_PHOTO_BYTES = 40_000_000
MAX_PARCEL_BYTES = 400_000_000
_ENTRY = re.compile(r"log/[\w.-]{1,120}\.ya?ml", re.IGNORECASE)
_PHOTO = re.compile(r"photos/[\w.-]{1,120}\.(?:jpe?g|png|webp)", re.IGNORECASE)
# What systems put beside the files of a person.
_OWN_OF_SYSTEMS = re.compile(r"(?:.*/)?(?:__MACOSX/.*|\.DS_Store|Thumbs\.db|desktop\.ini)")
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_LINK, _KIND = 0o120000, 0o170000
_BROKEN = (zipfile.BadZipFile, zlib.error, struct.error, EOFError, ValueError, RuntimeError)


class UnreadableParcelError(ValueError):
    """A file that is no parcel of the form, with the reason and what to do in words."""


@dataclass
class Parcel:
    """What was found, by name without its folder.

    Attributes:
        entries: Text of each entry file.
        photos: Bytes of each photo.
        refused: What was left out, a sentence each.
    """

    entries: dict[str, bytes] = field(default_factory=dict)
    photos: dict[str, bytes] = field(default_factory=dict)
    refused: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Member:
    """A file in a parcel: its name, why it must not be read, and how it is read."""

    name: str
    fault: str
    read: Callable[[int], bytes]


def is_parcel(file: Path) -> bool:
    """Tell whether a file looks like what the form hands over.

    >>> is_parcel(Path("phone.zip")), is_parcel(Path("tests.xlsx"))
    (True, False)
    """
    if file.is_dir():
        return (file / "log").is_dir() and not (file / "tank.yml").exists()
    return file.suffix.lower() in (".zip", ".yml", ".yaml")


def read_parcel(file: Path) -> Parcel:
    """Give what a parcel holds.

    Args:
        file: ZIP file, folder or YAML file.

    Raises:
        UnreadableParcelError: If it is none, or too large.
        OSError: If it cannot be read.
    """
    if file.is_dir():
        return _collected(_of_folder(file))
    if file.suffix.lower() != ".zip":
        with file.open("rb") as opened:
            return Parcel(entries={file.name: opened.read(MAX_BYTES + 1)})
    try:
        with zipfile.ZipFile(file) as archive:
            return _collected(_of_zip(archive))
    except _BROKEN as error:
        if isinstance(error, UnreadableParcelError):
            raise
        raise UnreadableParcelError(
            "The ZIP file is damaged, or none at all. Download it from the form again."
        ) from error


def _of_folder(folder: Path) -> Iterator[_Member]:
    for path in sorted(folder.rglob("*")):
        if path.is_dir() and not path.is_symlink():
            continue
        fault = "is a link" if path.is_symlink() else "" if path.is_file() else "is no plain file"
        yield _Member(path.relative_to(folder).as_posix(), fault, partial(_head, path))


def _head(path: Path, most: int) -> bytes:
    with path.open("rb") as opened:
        return opened.read(most)


def _of_zip(archive: zipfile.ZipFile) -> Iterator[_Member]:
    for info in archive.infolist():
        if not info.is_dir():
            yield _Member(info.filename, _zip_fault(info), partial(_part, archive, info))


def _zip_fault(info: zipfile.ZipInfo) -> str:
    if info.external_attr >> 16 & _KIND == _LINK:
        return "is a link"
    if info.flag_bits & 1:
        return "is encrypted"
    return "" if info.compress_type in _METHODS else "is packed in an unusual way"


def _part(archive: zipfile.ZipFile, info: zipfile.ZipInfo, most: int) -> bytes:
    """Unpack no more than a limit, whatever size the file claims to have."""
    with archive.open(info) as opened:
        return opened.read(most)


def _collected(members: Iterable[_Member]) -> Parcel:
    parcel, total = Parcel(), 0
    for number, member in enumerate(members):
        if number >= MAX_MEMBERS:
            raise UnreadableParcelError(
                f"It holds more than {MAX_MEMBERS} files. Hand over less at a time."
            )
        if _OWN_OF_SYSTEMS.fullmatch(member.name):
            continue
        total += _take(member, parcel)
        if total > MAX_PARCEL_BYTES:
            raise UnreadableParcelError(
                "Unpacked it is larger than 1 GB. Hand over less at a time."
            )
    return parcel


def _take(member: _Member, parcel: Parcel) -> int:
    """Put a file into the parcel, or say why not; give how many bytes were read."""
    shown = member.name[:60].encode("unicode_escape").decode("ascii")
    is_entry = _ENTRY.fullmatch(member.name) is not None
    if not is_entry and not _PHOTO.fullmatch(member.name):
        parcel.refused.append(f"'{shown}' is neither an entry nor a photo of the form: left out.")
        return 0
    name, into = PurePosixPath(member.name).name, parcel.entries if is_entry else parcel.photos
    most = MAX_BYTES if is_entry else MAX_PHOTO_BYTES
    fault = member.fault or ("is there twice" if name in into else "")
    content = b"" if fault else member.read(most + 1)
    if len(content) > most:
        fault = f"is larger than {most // 1_000_000} MB"
    if fault:
        parcel.refused.append(f"'{shown}' {fault}: left out.")
    else:
        into[name] = content
    return len(content)
