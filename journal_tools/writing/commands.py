"""The commands that read a journal for its keeper, as the command line offers them."""

from __future__ import annotations

import gc
from pathlib import Path
from typing import Annotated

import typer

from journal_tools.arguments import day_argument, journal_argument

_HERE = Path()


def register(app: typer.Typer) -> None:
    """Add the commands to the command line."""
    app.command(epilog="Example: journal-tools due my-reef --days 3")(due)
    app.command(epilog="Example: journal-tools explain equipment.plumbing")(explain)


def due(
    folder: Annotated[
        Path, typer.Argument(help="Folder of the journal.", show_default="this one")
    ] = _HERE,
    days: Annotated[int, typer.Option(help="How many days to look ahead.", min=0, max=3650)] = 0,
    as_json: Annotated[bool, typer.Option("--json", help="As JSON, for tools.")] = False,
    today: Annotated[str | None, typer.Option(help="Reckon as if it were this day.")] = None,
) -> None:
    """Say what is due: tasks, tests and bottles. Exits 1 if anything is, and is silent if not."""
    # So short a program ends before a collection pays: making the models sets off hundreds, and
    # its end one of all that is there.
    gc.disable()
    try:
        from journal_tools.writing.due_command import due_now

        place = journal_argument(folder)
        code = due_now(place, day_argument(today), days, as_json=as_json)
    finally:
        gc.freeze()
        gc.enable()
    raise typer.Exit(code)


def explain(
    key: Annotated[str, typer.Argument(help="A key, such as readings or equipment.plumbing.")] = "",
    every: Annotated[bool, typer.Option("--all", help="Every key of both files.")] = False,
    markdown: Annotated[bool, typer.Option("--markdown", help="As a page of Markdown.")] = False,
) -> None:
    """Explain a key of tank.yml or of an entry: what it means, its units, words and an example."""
    from journal_tools.writing.explain_command import explain_key

    raise typer.Exit(explain_key(key, every=every, markdown=markdown))
