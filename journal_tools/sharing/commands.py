"""The commands for handing a journal on, as the command line offers them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, cast

import typer

from journal_tools.arguments import day_argument, journal_argument

_HERE = Path()
_FORMATS = ("bbcode", "markdown", "html")


def register(app: typer.Typer) -> None:
    """Add the commands to the command line."""
    app.command(epilog="Example: journal-tools post --from 2026-03-01 --as bbcode")(post)
    app.command(epilog="Example: journal-tools pack --out my-reef.zip --max-mb 20")(pack)
    club = typer.Typer(help="Many journals as one site.", no_args_is_help=True)
    club.command("build", epilog="Example: journal-tools club build handed-in --out site")(
        club_build
    )
    app.add_typer(club, name="club")


def post(  # noqa: PLR0913  (one option a question)
    ids: Annotated[
        list[str] | None, typer.Argument(help="Entries by date or id.", show_default=False)
    ] = None,
    journal: Annotated[Path, typer.Option(help="Folder of the journal.")] = _HERE,
    first: Annotated[str | None, typer.Option("--from", help="First day of a period.")] = None,
    last: Annotated[str | None, typer.Option("--to", help="Last day of a period.")] = None,
    markup: Annotated[str, typer.Option("--as", help="bbcode, markdown or html.")] = "bbcode",
    out: Annotated[Path, typer.Option(help="Folder to write into.")] = Path("post"),
    max_width: Annotated[int, typer.Option(help="Most pixels across.", min=160)] = 1200,
    max_bytes: Annotated[int, typer.Option(help="Most bytes of a picture.", min=5000)] = 500_000,
    max_images: Annotated[int, typer.Option(help="Most pictures.", min=0)] = 10,
    max_chars: Annotated[int, typer.Option(help="Most characters of a text.", min=500)] = 20_000,
    picture_base: Annotated[
        str, typer.Option(help="Address where the pictures will be, if you know it.")
    ] = "",
) -> None:
    """Write chosen entries as a post for a forum, with pictures and a preview."""
    from journal_tools.sharing.markups import FormatName
    from journal_tools.sharing.pictures import Limits
    from journal_tools.sharing.post import PostOptions
    from journal_tools.sharing.post_command import post_entries

    if markup not in _FORMATS:
        raise typer.BadParameter(f"'{markup}' is not known; write {', '.join(_FORMATS)}")
    limits = Limits(max_width, max_bytes, max_images)
    options = PostOptions(cast("FormatName", markup), limits, max_chars, picture_base)
    days = (day_argument(first), day_argument(last))
    raise typer.Exit(post_entries(journal_argument(journal), ids or [], *days, options, out))


def pack(
    folder: Annotated[
        Path, typer.Argument(help="Folder of the journal.", show_default="this one")
    ] = _HERE,
    out: Annotated[Path | None, typer.Option(help="File to write.")] = None,
    max_mb: Annotated[
        float | None, typer.Option(help="Most megabytes; photos are made narrower for it.", min=0.1)
    ] = None,
    photo_width: Annotated[
        int | None, typer.Option(help="Most pixels across of a photo.", min=160)
    ] = None,
    one_file: Annotated[
        bool,
        typer.Option("--single-file", help="One HTML file for mail instead: the state in short."),
    ] = False,
) -> None:
    """Pack the whole site into a ZIP file that works without a server, by double click."""
    from journal_tools.sharing.pack import PackOptions
    from journal_tools.sharing.pack_command import mail_journal, pack_journal

    place = journal_argument(folder)
    if one_file:
        if max_mb is not None:
            raise typer.BadParameter("--max-mb is for the ZIP file; use --photo-width")
        target = out or Path("journal.html")
        raise typer.Exit(mail_journal(place, target, photo_width or 900))
    options = PackOptions(photo_width, max_mb)
    raise typer.Exit(pack_journal(place, out or Path("journal.zip"), options))


def club_build(  # noqa: PLR0913  (one option a question)
    folder: Annotated[Path, typer.Argument(help="A folder or ZIP file for each member.")],
    out: Annotated[Path, typer.Option(help="Folder for the site.")] = Path("club-site"),
    name: Annotated[str, typer.Option(help="Name of the club.")] = "The club",
    url: Annotated[str, typer.Option(help="Address where the site will be.")] = "",
    compare: Annotated[str, typer.Option(help="Parameter to compare.")] = "alkalinity",
    reports: Annotated[
        Path | None, typer.Option(help="Folder for owners' reports; beside the site if left out.")
    ] = None,
    today: Annotated[str | None, typer.Option(help="Reckon as if it were this day.")] = None,
    workers: Annotated[int | None, typer.Option(help="Processes.", min=1)] = None,
) -> None:
    """Build a site for each member's journal, and one for the club. Exits 1 if one is broken."""
    from journal_tools.parameters import PARAMETERS, find_alias
    from journal_tools.sharing.club.command import ClubOptions, build_club

    parameter = PARAMETERS.get(compare) or find_alias(compare)
    if parameter is None:
        raise typer.BadParameter(f"'{compare}' is not known; write {', '.join(PARAMETERS)}")
    beside = reports or out.with_name(f"{out.name}-reports")
    options = ClubOptions(name, url, parameter, beside, day_argument(today), workers)
    raise typer.Exit(build_club(folder, out, options))
