"""The program as a user runs it: a process of its own, with its exit code and its messages."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
# Noon of 23 November 2026 in UTC, the day on which the demo ends.
EPOCH = "1795435200"
_INHERITED = ("PYTHONPATH", "PYTHONUTF8", "PYTHONHASHSEED", "LC_ALL", "LANG", "TZ", "COLUMNS")
_LONGEST_S = 300


@dataclass(frozen=True)
class Outcome:
    """How a run ended and what it said."""

    code: int
    out: str
    err: str

    @property
    def said(self) -> str:
        return self.out + self.err

    @property
    def warnings(self) -> list[str]:
        """Lines that MkDocs counts as warnings, without their level."""
        return re.findall(r"^(?:WARNING|ERROR) +- +(.*)$", self.said, re.MULTILINE)


@dataclass(frozen=True)
class Demo:
    """The built demo and how its build went."""

    site: Path
    outcome: Outcome


@dataclass(frozen=True)
class Program:
    """Runs the program with a cache of the test session's own."""

    cache: Path

    def environment(self, **changes: str) -> dict[str, str]:
        kept = {name: value for name, value in os.environ.items() if name not in _INHERITED}
        ours = {"JOURNAL_TOOLS_CACHE": str(self.cache), "SOURCE_DATE_EPOCH": EPOCH}
        return kept | ours | {"PYTHONIOENCODING": "utf-8"} | changes

    def run(self, *arguments: object, cwd: Path = ROOT, **environment: str) -> Outcome:
        command = [sys.executable, "-m", "journal_tools", *map(str, arguments)]
        return run_command(command, cwd, self.environment(**environment))

    def build(self, journal: Path, *options: str) -> tuple[Path, Outcome]:
        """Build a journal beside its folder and give the site and how it went."""
        site = journal.with_name(f"{journal.name}-site")
        return site, self.run("build", journal, "--site", site, *options)


def run_command(command: list[str], cwd: Path, environment: dict[str, str]) -> Outcome:
    done = subprocess.run(
        command, cwd=cwd, env=environment, capture_output=True, encoding="utf-8", errors="replace",
        timeout=_LONGEST_S, check=False,
    )  # fmt: skip
    return Outcome(done.returncode, done.stdout, done.stderr)
