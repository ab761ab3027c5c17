"""Several originals at a time, in processes of their own: faster, and safe from crashes."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path

from journal_tools.photos.faults import Fault, crashed
from journal_tools.photos.formats import kind_by_content

Job = Callable[[Path], str | Fault]
"""What is done with an original: gives its digest or what is wrong with it."""

# Below this number, starting worker processes costs more time than they save.
_POOL_FROM = 9
_MAX_WORKERS = 32

_READERS_THAT_CRASH = frozenset({"HEIF"})


def worker_count(wanted: int | None) -> int:
    """Give how many worker processes to use, from 1 to 32.

    Args:
        wanted: How many are asked for; None for as many as the machine has cores.
    """
    # One picture a worker; two a core at most, because a large one takes some 500 MB decoded.
    cores = os.cpu_count() or 1
    return max(1, min(wanted or cores, 2 * cores, _MAX_WORKERS))


def work_through(paths: Sequence[Path], job: Job, workers: int) -> dict[Path, str | Fault]:
    """Give the digest or the fault of each original, from worker processes if that pays.

    Args:
        paths: The originals, each one once.
        job: What to do with each; can be pickled.
        workers: Worker processes, 1 or more.

    Raises:
        OSError: The cache that the job writes to cannot be written, or its disk is full.
    """
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
        outcomes.update((path, _alone(path, job)) for path in in_hand)
    outcomes.update((path, job(path)) for path in waiting)
    return outcomes


def _may_crash(path: Path) -> bool:
    # One wrong byte in a HEIC file's list of metadata ends the whole process of its reader
    # (found with pi-heif 1.4.0), so that even a single one is read in another process.
    try:
        with path.open("rb") as stream:
            _, reader = kind_by_content(stream.read(32))
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
    job: Job,
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


def _alone(path: Path, job: Job) -> str | Fault:
    pool = _started_pool(1)
    if pool is not None:
        with pool, contextlib.suppress(BrokenProcessPool):
            return pool.submit(job, path).result()
    return crashed()
