"""What commands take: a day, the folder of a journal. Wrong usage ends with exit code 2."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import typer


def day_argument(written: str | None) -> dt.date | None:
    """Give a day from the command line, or None if none was given.

    Raises:
        typer.BadParameter: If it is no date.
    """
    if written is None:
        return None
    try:
        return dt.date.fromisoformat(written)
    except ValueError as error:
        raise typer.BadParameter(f"'{written}' is no date; write it like 2026-03-14") from error


def journal_argument(folder: Path) -> Path:
    """Give the folder with ``tank.yml``: this one, or its ``content`` folder.

    Raises:
        typer.Exit: If there is none; it has been said then.
    """
    from journal_tools.journal import find_journal

    place = find_journal(folder)
    if place is None:
        raise failure(
            f"There is no journal in '{folder}': no tank.yml there or in its content folder. "
            "Start one with: journal-tools new my-reef"
        )
    return place


def failure(message: str) -> typer.Exit:
    """Say what cannot be done, and give the exception that ends the command."""
    typer.echo(message, err=True)
    return typer.Exit(2)
