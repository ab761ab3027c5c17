"""What ``journal-tools pack`` does: a site packed, or one file written, and told."""

from __future__ import annotations

from pathlib import Path

import typer

from journal_tools.journal import load_journal
from journal_tools.sharing.offline import BuildError
from journal_tools.sharing.output import write_file
from journal_tools.sharing.pack import PackOptions, pack_site
from journal_tools.sharing.single_file import single_file
from journal_tools.sharing.sources import ended_on, open_site, settings_of


def pack_journal(folder: Path, target: Path, options: PackOptions) -> int:
    """Pack a journal's site and say what was done; give the exit code.

    Args:
        folder: Folder of the journal, with ``tank.yml``.
        target: The ZIP file to write.
        options: How to pack.
    """
    settings = settings_of(folder)
    if not settings.is_file():
        typer.echo(f"There is no mkdocs.yml beside '{folder}'.", err=True)
        return 2
    journal = load_journal(folder, ended_on(settings))
    try:
        packed = pack_site(journal, settings, target, options)
    except BuildError as error:
        typer.echo(f"The site does not build:\n{error}", err=True)
        return 1
    except OSError as error:
        typer.echo(f"'{target}' cannot be written: {error.strerror}.", err=True)
        return 2
    for line in packed.told:
        typer.echo(line, err=True)
    size_mb = packed.size / 1e6
    if not packed.fits:
        typer.echo(f"It cannot be smaller than {size_mb:.1f} MB; nothing was written. "
                   f"Allow more than --max-mb {options.max_mb:g}.", err=True)  # fmt: skip
        return 1
    typer.echo(f"{target}: {size_mb:.1f} MB. Unpack it and open index.html.")
    return 0


def mail_journal(folder: Path, target: Path, photo_width_px: int) -> int:
    """Write a journal's report as one HTML file and say so; give the exit code.

    Args:
        folder: Folder of the journal, with ``tank.yml``.
        target: The file to write.
        photo_width_px: Most pixels across of a photo.
    """
    data = single_file(open_site(folder), photo_width_px).encode()
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        write_file(target, data)
    except OSError as error:
        typer.echo(f"'{target}' cannot be written: {error.strerror}.", err=True)
        return 2
    typer.echo(f"{target}: {len(data) / 1e6:.1f} MB. It opens by a double click.")
    return 0
