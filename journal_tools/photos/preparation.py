"""From the photos that entries name to photos for the site, each original decoded once for all."""

from __future__ import annotations

import functools
import hashlib
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from journal_tools.cache import Cache
from journal_tools.photos.faults import Fault, changed, unreadable
from journal_tools.photos.originals import digest_of, find, names_in
from journal_tools.photos.picture import decoded
from journal_tools.photos.records import Photo, PhotoRequest
from journal_tools.photos.renditions import remembered, store
from journal_tools.photos.workers import work_through, worker_count
from journal_tools.problems import Problem

MAX_DAYS_APART = 1
"""Days that a photo may have been taken before or after the date of its entry."""

WARNING_CODES = frozenset({"photo-date"})
"""Codes of problems with which the photo is shown all the same."""


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
    outcomes = _prepared(paths, photos_folder, cache, worker_count(workers))
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
    hint = (
        f"Move it to the right entry, or write 'taken: {taken.date()}' beside it if that is meant."
    )
    return [Fault("photo-date", what, hint).at(request)]


def _prepared(
    paths: Sequence[Path], folder: Path, cache: Cache, workers: int
) -> dict[Path, Photo | Fault]:
    digests = {path: digest_of(path, cache) for path in paths}
    ready = _by_digest(digests, cache, workers)
    outcomes = {
        path: ready[digest] if isinstance(digest, str) else digest
        for path, digest in digests.items()
    }
    return {path: _named(outcome, path.relative_to(folder)) for path, outcome in outcomes.items()}


def _by_digest(
    digests: dict[Path, str | Fault], cache: Cache, workers: int
) -> dict[str, Photo | Fault]:
    """Give photos, still without a name, from the cache or else from their originals."""
    # Two files with the same content are one job.
    originals = {digest: path for path, digest in digests.items() if isinstance(digest, str)}
    kept = {digest: remembered(digest, cache) for digest in originals}
    ready: dict[str, Photo | Fault] = {
        digest: photo for digest, photo in kept.items() if photo is not None
    }
    missing = {digest: path for digest, path in originals.items() if digest not in ready}
    job = functools.partial(_render, cache=cache)
    rendered = work_through(list(missing.values()), job, workers)
    made = {digest: _made(digest, rendered[path], cache) for digest, path in missing.items()}
    return ready | made


def _render(path: Path, cache: Cache) -> str | Fault:
    """Store all renditions of an original and then its record; give the original's digest."""
    try:
        # One reading serves hash and pictures, so that the two can never disagree.
        data = path.read_bytes()
    except OSError as error:
        return unreadable(error)
    picture = decoded(data)
    if isinstance(picture, Fault):
        return picture
    digest = hashlib.sha256(data).hexdigest()
    store(picture, digest, cache)
    return digest


def _made(digest: str, result: str | Fault, cache: Cache) -> Photo | Fault:
    if isinstance(result, Fault):
        return result
    # The worker hashed what it read: it may be a photo that was saved anew meanwhile.
    photo = remembered(digest, cache) if result == digest else None
    return photo or changed()


def _named(outcome: Photo | Fault, source: Path) -> Photo | Fault:
    if isinstance(outcome, Fault):
        return outcome
    stem = f"{_slug(source.stem)}-{outcome.digest[:8]}"
    renditions = tuple(replace(rendition, stem=stem) for rendition in outcome.renditions)
    return replace(outcome, source=source.as_posix(), renditions=renditions)


def _slug(stem: str) -> str:
    plain = unicodedata.normalize("NFKD", stem).encode("ascii", "ignore").decode("ascii")
    return re.sub("[^a-z0-9]+", "-", plain.lower())[:60].strip("-") or "photo"
