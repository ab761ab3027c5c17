"""What ``journal-tools post`` does: entries chosen, a post made and written, and told."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from pathlib import Path

import typer

from journal_tools.sharing.output import OutputError, write_folder
from journal_tools.sharing.post import PREVIEW_FILE, Post, PostOptions, make_post
from journal_tools.sharing.selection import SelectionError, select
from journal_tools.sharing.site_address import site_address
from journal_tools.sharing.sources import open_site, settings_of
from journal_tools.words import counted

_OURS = re.compile(r"part-\d+\.(txt|md|html)|picture-\d+-[a-z0-9-]+\.(png|jpg)|preview\.html")


def post_entries(
    journal: Path,
    ids: Sequence[str],
    first: dt.date | None,
    last: dt.date | None,
    options: PostOptions,
    target: Path,
) -> int:
    """Write a post into a folder and say what it holds; give the exit code.

    Args:
        journal: Folder of the journal, with ``tank.yml``.
        ids: Entries by id or date; empty for a period.
        first: First day of the period.
        last: Last day of the period.
        options: How to write it.
        target: Folder to write into.
    """
    site = open_site(journal)
    try:
        selection = select(site.journal, ids, first, last)
        settings = settings_of(journal)
        address = site_address(settings)
        post = make_post(site, selection, address, options)
        write_folder(target, post.files, _OURS)
    except (SelectionError, OutputError) as error:
        typer.echo(str(error), err=True)
        return 2
    _tell(post, target, options, linked=bool(address.root))
    return 0


def _tell(post: Post, target: Path, options: PostOptions, *, linked: bool) -> None:
    for name in post.texts:
        size = len(post.files[name].decode()) - 1
        typer.echo(f"{target / name}: {counted(size, 'character')}")
    for picture in post.pictures:
        kilobytes = len(picture.data) / 1000
        typer.echo(f"{target / picture.name}: {picture.width} px wide, {kilobytes:.0f} kB")
        if len(picture.data) > options.limits.size_bytes:
            typer.echo(f"  {picture.name} cannot be made that small; leave it out.", err=True)
    if post.left_out:
        left = counted(post.left_out, "picture")
        typer.echo(f"{left} left out: the limit is {options.limits.count} (--max-images).")
    if not linked:
        typer.echo("No links to your site: set site_url in mkdocs.yml to have them.")
    typer.echo(f"How it will look: {target / PREVIEW_FILE}")
