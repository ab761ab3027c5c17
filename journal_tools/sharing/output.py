"""Writing what is handed on: into a folder that holds nothing else, or one file at once."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from pathlib import Path


class OutputError(ValueError):
    """There is no place to write to: the sentence says why."""


def write_folder(folder: Path, files: Mapping[str, bytes], ours: re.Pattern[str]) -> None:
    """Write files into a folder, in place of those that an earlier run left there.

    Args:
        folder: The folder; it is made if it is not there.
        files: Name and bytes.
        ours: Names that an earlier run may have written.

    Raises:
        OutputError: If the folder holds anything else, or cannot be written.
    """
    try:
        there = sorted(folder.iterdir()) if folder.exists() else []
        if strangers := [p.name for p in there if not ours.fullmatch(p.name) or p.is_dir()]:
            raise OutputError(
                f"'{folder}' holds other files, such as '{strangers[0]}'; nothing was written. "
                "Name a new folder with --out."
            )
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in files.items():
            write_file(folder / name, data)
        for path in there:
            if path.name not in files:
                path.unlink()
    except OSError as error:
        raise OutputError(f"'{folder}' cannot be written: {error.strerror}.") from error


def write_file(path: Path, data: bytes) -> None:
    """Write a file so that it is whole or as it was before.

    Raises:
        OSError: If it cannot be written.
    """
    unfinished = path.with_name(f".{path.name}.{os.getpid()}.tmp")
    try:
        unfinished.write_bytes(data)
        unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)
