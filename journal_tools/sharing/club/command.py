"""What ``journal-tools club build`` does: members built, the club's pages made, owners told."""

from __future__ import annotations

import datetime as dt
import os
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import typer

from journal_tools.journal import build_day
from journal_tools.parameters import Parameter
from journal_tools.sharing.club.admission import Bounds
from journal_tools.sharing.club.member import Outcome
from journal_tools.sharing.club.pages import Club, club_files, report_path, report_text
from journal_tools.sharing.club.together import MEMBERS, build_all, jobs_of
from journal_tools.sharing.output import write_file
from journal_tools.words import counted

_STAMP = ".built"


@dataclass(frozen=True, slots=True)
class ClubOptions:
    """How a club's site is made.

    Attributes:
        name: Name of the club.
        home: Address of its site, or ``""``.
        parameter: What is compared.
        reports: Folder for the owners' reports.
        today: The day to reckon from, or None for today.
        workers: Processes, or None for one a core.
    """

    name: str
    home: str
    parameter: Parameter
    reports: Path
    today: dt.date | None = None
    workers: int | None = None


def build_club(folder: Path, out: Path, options: ClubOptions) -> int:
    """Build a site for each member and one for the club; give the exit code.

    Args:
        folder: What the members have handed in.
        out: Folder for the site.
        options: How to make it.
    """
    if not folder.is_dir():
        typer.echo(f"'{folder}' is no folder.", err=True)
        return 2
    today = options.today or build_day(dt.UTC)
    jobs = jobs_of(folder, out, today, Bounds())
    if not jobs:
        typer.echo(f"There is no folder and no ZIP file in '{folder}'.", err=True)
        return 2
    try:
        outcomes = build_all(jobs, options.workers or os.cpu_count() or 1, _tell)
        _remove_departed(out, {job.slug for job in jobs})
        names = {job.slug: job.source.name for job in jobs}
        _write_reports(options.reports, outcomes, names)
        members = {o.slug: o.facts for o in outcomes if o.facts is not None}
        home = f"{options.home.rstrip('/')}/" if options.home else ""
        club = Club(options.name, home, today, options.parameter, members)
        for name, data in club_files(club).items():
            out.mkdir(parents=True, exist_ok=True)
            write_file(out / name, data)
    except OSError as error:
        typer.echo(f"'{error.filename or out}' cannot be written: {error.strerror}.", err=True)
        return 2
    broken = sum(outcome.state == "broken" for outcome in outcomes)
    typer.echo(f"{counted(len(members), 'member')} in {out}, {counted(broken, 'broken journal')}; "
               f"what owners should know is in {options.reports}")  # fmt: skip
    return 1 if broken else 0


def _tell(outcome: Outcome) -> None:
    to_mend = f", {counted(len(outcome.told), 'thing')} to mend" if outcome.told else ""
    typer.echo(f"{outcome.slug}: {outcome.state}{to_mend}")


def _remove_departed(out: Path, slugs: set[str]) -> None:
    """Remove the sites of those who have left: only folders that this program made."""
    members = out / MEMBERS
    for folder in sorted(members.iterdir()) if members.is_dir() else []:
        if folder.name not in slugs and (folder / _STAMP).is_file() and not folder.is_symlink():
            shutil.rmtree(folder)


def _write_reports(reports: Path, outcomes: Sequence[Outcome], names: dict[str, str]) -> None:
    for outcome in outcomes:
        path = report_path(reports, outcome.slug)
        path.parent.mkdir(parents=True, exist_ok=True)
        built = outcome.state != "broken"
        text = report_text(names[outcome.slug], outcome.told, built=built)
        write_file(path, text.encode("utf-8", "replace"))
