"""All members at once, in processes of their own: one that fails never stops the others."""

from __future__ import annotations

import datetime as dt
import multiprocessing
import re
import unicodedata
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path

from journal_tools.sharing.club.admission import Bounds
from journal_tools.sharing.club.member import Job, Outcome, build_member

MEMBERS = "members"


def jobs_of(folder: Path, out: Path, today: dt.date, bounds: Bounds) -> list[Job]:
    """Give what is to be done: one job for each sub-folder and each ZIP file.

    Args:
        folder: What the members have handed in.
        out: Folder of the club's site.
        today: The day to reckon from.
        bounds: How much each may hand in.
    """
    found = [
        path for path in sorted(folder.iterdir())
        if not path.name.startswith(".") and (path.is_dir() or path.suffix.lower() == ".zip")
    ]  # fmt: skip
    taken: set[str] = set()
    jobs = []
    for path in found:
        slug = _free(slug_of(path.stem if path.is_file() else path.name), taken)
        taken.add(slug)
        jobs.append(Job(slug, path, out / MEMBERS / slug, today, bounds))
    return jobs


def slug_of(name: str) -> str:
    """Give a name for a folder of the web.

    >>> slug_of("Größenwahn am Riff!")
    'grossenwahn-am-riff'
    """
    spelled = unicodedata.normalize("NFKD", name.replace("ß", "ss"))
    plain = spelled.encode("ascii", "ignore").decode().lower()
    return re.sub("[^a-z0-9]+", "-", plain).strip("-")[:60] or "member"


def _free(slug: str, taken: set[str]) -> str:
    number, free = 1, slug
    while free in taken:
        number += 1
        free = f"{slug}-{number}"
    return free


def build_all(
    jobs: Sequence[Job], workers: int, done: Callable[[Outcome], None],
    build: Callable[[Job], Outcome] = build_member,
) -> list[Outcome]:  # fmt: skip
    """Give how it went for each member, in the order of the jobs.

    Args:
        jobs: What is to be done.
        workers: Processes, 1 or more.
        done: Called with each outcome as it comes.
        build: What builds one member; can be pickled.
    """
    outcomes: dict[str, Outcome] = {}
    waiting = _at_once(jobs, workers, done, build, outcomes)
    # A process that dies takes the others of its pool along: those are tried again, each alone.
    for job in waiting:
        if _at_once([job], 1, done, build, outcomes):
            words = "Building it ended the program; nothing of it was published."
            outcomes[job.slug] = Outcome(job.slug, "broken", None, [words])
            done(outcomes[job.slug])
    return [outcomes[job.slug] for job in jobs]


def _at_once(
    jobs: Sequence[Job], workers: int, done: Callable[[Outcome], None],
    build: Callable[[Job], Outcome], outcomes: dict[str, Outcome],
) -> list[Job]:  # fmt: skip
    """Work off jobs in a pool; give those that a dead process has left undone."""
    spawn = multiprocessing.get_context("spawn")
    undone = []
    with ProcessPoolExecutor(max(1, min(workers, len(jobs) or 1)), mp_context=spawn) as pool:
        futures = {pool.submit(build, job): job for job in jobs}
        for future in as_completed(futures):
            job = futures[future]
            if isinstance(future.exception(), BrokenProcessPool):
                undone.append(job)
            else:
                outcomes[job.slug] = _outcome(job, future)
                done(outcomes[job.slug])
    return sorted(undone, key=lambda job: job.slug)


def _outcome(job: Job, future: Future[Outcome]) -> Outcome:
    error = future.exception()
    if error is None:
        return future.result()
    # A fault of the program, not of the keeper: the others' sites do not wait for its repair.
    words = f"The program failed on it: {type(error).__name__}: {error}"
    return Outcome(job.slug, "broken", None, [words])
