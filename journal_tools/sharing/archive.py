"""A folder as a ZIP file that is the same byte for byte whenever its content is the same."""

from __future__ import annotations

import datetime as dt
import os
import stat
import zipfile
from pathlib import Path

# The first day that the format can write (PKWARE APPNOTE 4.4.6, MS-DOS date).
_FIRST = dt.datetime(1980, 1, 1, tzinfo=dt.UTC)
_LAST = dt.datetime(2107, 12, 31, 23, 59, 58, tzinfo=dt.UTC)
_COMPRESSED_ALREADY = (".webp", ".jpg", ".png", ".gz", ".woff2")
_UNIX = 3
_FILE_MODE = stat.S_IFREG | 0o644


def stamp_of(last_day: dt.date) -> dt.datetime:
    """Give the moment that the files of an archive carry.

    It is ``SOURCE_DATE_EPOCH`` if that is set, else noon (UTC) of the last entry's day, so that
    two archives of the same journal are the same.

    Args:
        last_day: Day of the last entry.
    """
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    if epoch.isascii() and epoch.isdigit() and len(epoch) < 12:
        moment = dt.datetime.fromtimestamp(int(epoch), dt.UTC)
    else:
        moment = dt.datetime.combine(last_day, dt.time(12), dt.UTC)
    return min(max(moment, _FIRST), _LAST)


def write_archive(folder: Path, top: str, target: Path, stamp: dt.datetime) -> int:
    """Write all files of a folder into a ZIP file and give its size in bytes.

    Names are sorted, moments and permissions fixed; links are not followed.

    Args:
        folder: What to pack.
        top: Name of the one folder at the top of the archive.
        target: The file, replaced if it is there.
        stamp: Moment of every file.

    Raises:
        OSError: If it cannot be written.
    """
    paths = sorted(
        (p.relative_to(folder).as_posix(), p) for p in folder.rglob("*")
        if p.is_file() and not p.is_symlink()
    )  # fmt: skip
    unfinished = target.with_name(f".{target.name}.{os.getpid()}.tmp")
    try:
        with zipfile.ZipFile(unfinished, "w") as archive:
            for name, path in paths:
                archive.writestr(_entry(f"{top}/{name}", stamp), path.read_bytes())
        unfinished.replace(target)
    finally:
        unfinished.unlink(missing_ok=True)
    return target.stat().st_size


def _entry(name: str, stamp: dt.datetime) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, stamp.timetuple()[:6])
    entry.create_system = _UNIX
    entry.external_attr = _FILE_MODE << 16
    stored = name.endswith(_COMPRESSED_ALREADY)
    entry.compress_type = zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
    return entry
