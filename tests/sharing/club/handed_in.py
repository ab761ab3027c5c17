"""What members hand in, good and bad, and builders of a member that fail on purpose."""

from __future__ import annotations

import os
import stat
import zipfile
from pathlib import Path

from journal_tools.sharing.club.member import Job, Outcome

TANK = "name: Test reef\nstart: 2026-01-01\n"


def archive(
    path: Path, files: dict[str, bytes | str], *, modes: dict[str, int] | None = None
) -> Path:
    """Write a ZIP file with any names, also such as no honest program writes."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = (modes or {}).get(name, stat.S_IFREG | 0o644) << 16
            made.writestr(entry, data)
    return path


def zipped(folder: Path, target: Path) -> Path:
    """Pack a folder as a member would."""
    with zipfile.ZipFile(target, "w") as made:
        for path in sorted(folder.rglob("*")):
            if path.is_file():
                made.write(path, f"my-reef/{path.relative_to(folder).as_posix()}")
    return target


def fails_or_dies(job: Job) -> Outcome:
    """Build nothing: raise for one name, end the process for another."""
    if job.slug == "raises":
        raise ValueError("a fault of the program")
    if job.slug == "dies":
        os._exit(1)
    return Outcome(job.slug, "built")
