"""Time and peak memory of one child process, and medians of several."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Run:
    """One finished child process.

    Attributes:
        wall_s: Seconds from its start to its end, by the clock.
        peak_bytes: Largest memory that it, or the largest of its own children, held at once;
            None where the operating system does not tell.
    """

    wall_s: float
    peak_bytes: int | None


class FailedRunError(RuntimeError):
    """A child process ended with an error, so its time means nothing."""


def timed(arguments: Sequence[str], folder: Path, environment: dict[str, str]) -> Run:
    """Run Python with some arguments to its end and give its time in seconds and its memory.

    Args:
        arguments: What follows ``python`` on the command line.
        folder: Working folder of the process.
        environment: Variables on top of those of this process.

    Raises:
        FailedRunError: It did not exit with 0; the message holds what it printed.
    """
    # A file takes any amount of output; a pipe that nobody reads would stop the child.
    with tempfile.TemporaryFile() as output:
        begin_s = time.perf_counter()
        child = subprocess.Popen(
            [sys.executable, *arguments],
            cwd=folder,
            env=os.environ | environment,
            stdout=output,
            stderr=subprocess.STDOUT,
        )
        peak_bytes = _wait(child)
        wall_s = time.perf_counter() - begin_s
        if child.returncode:
            output.seek(0)
            said = output.read().decode("utf-8", "replace")
            command = " ".join(arguments)
            raise FailedRunError(f"'{command}' ended with {child.returncode}:\n{said}")
    return Run(wall_s, peak_bytes)


def median_s(runs: Sequence[Run]) -> float:
    """Give the median time of one run or more, in seconds.

    >>> median_s([Run(3.0, None), Run(1.0, None), Run(2.0, None)])
    2.0
    """
    return statistics.median(run.wall_s for run in runs)


def peak_mib(runs: Sequence[Run]) -> float | None:
    """Give the largest memory of any run in MiB, or None where it is not known.

    >>> peak_mib([Run(1.0, 2**20), Run(1.0, 3 * 2**20)])
    3.0
    """
    known = [run.peak_bytes for run in runs if run.peak_bytes is not None]
    return max(known) / 2**20 if known else None


def _wait(child: subprocess.Popen[bytes]) -> int | None:
    if sys.platform == "win32":
        child.wait()
        return None
    _, status, usage = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    # getrusage(2): kilobytes on Linux and the BSDs, bytes on macOS.
    return usage.ru_maxrss * (1 if sys.platform == "darwin" else 1024)
