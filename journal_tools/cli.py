"""The command line: start a journal, check it, build and serve its site.

Everything heavy is imported inside the commands, so that ``--help`` answers at once.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated
from zoneinfo import ZoneInfo, available_timezones

import typer

from journal_tools import __version__
from journal_tools.arguments import day_argument, failure, journal_argument
from journal_tools.sharing import commands as sharing
from journal_tools.words import counted
from journal_tools.writing import commands as writing

if TYPE_CHECKING:
    from journal_tools.journal import Journal
    from journal_tools.problems import Problem
    from journal_tools.starter import Answers

app = typer.Typer(
    help="A reef tank journal that publishes itself.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
_Folder = Annotated[Path, typer.Argument(help="Folder of the journal.", show_default="this one")]
_HERE = Path()
sharing.register(app)
writing.register(app)


def main() -> None:
    """Run the command line; output is UTF-8 wherever it goes."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    app()


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(__version__)
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    """Global options."""


def _zone(written: str) -> str:
    if written not in available_timezones():
        raise typer.BadParameter(f"'{written}' is no time zone; write it like Europe/Berlin")
    return written


@app.command(epilog='Example: journal-tools new my-reef --name "The hall tank" --units metric')
def new(  # noqa: PLR0913  (one option a question)
    folder: Annotated[Path, typer.Argument(help="Folder to make.")],
    name: Annotated[str, typer.Option(help="What you call the tank.")] = "My reef",
    keeper: Annotated[str, typer.Option(help="Your name as the site shows it.")] = "",
    start: Annotated[str | None, typer.Option(help="First day, like 2026-03-14.")] = None,
    zone: Annotated[str | None, typer.Option(help="Time zone, like Europe/Berlin.")] = None,
    units: Annotated[str, typer.Option(help="metric or us.")] = "metric",
    currency: Annotated[str, typer.Option(help="Three letters, like EUR.")] = "EUR",
    host: Annotated[
        str, typer.Option(help="Add what publishes it: github, gitlab, codeberg or folder.")
    ] = "",
    schema: Annotated[
        bool, typer.Option("--schema", help="Only renew the editor schemas of a journal.")
    ] = False,
) -> None:
    """Start a journal: a folder with a profile, a first entry and a site that builds."""
    from journal_tools.journal import build_day
    from journal_tools.schema import write_schemas
    from journal_tools.starter import Answers, local_time_zone

    if schema:
        written = write_schemas(journal_argument(folder))
    else:
        if units not in ("metric", "us"):
            raise typer.BadParameter(f"'{units}' is neither metric nor us")
        place = _zone(zone) if zone else local_time_zone()
        today = build_day(ZoneInfo(place))
        first = day_argument(start) or today
        if first > today:
            raise typer.BadParameter(f"'{first}' is still to come; write it into tank.yml later")
        written = _started(folder, Answers(name, keeper, first, place, units, currency), host)
    for path in written:
        typer.echo(f"wrote {path}")
    if not schema:
        typer.echo(f"\nNext: cd {folder}, fill in content/tank.yml, then: journal-tools serve")


def _started(folder: Path, answers: Answers, host: str) -> list[Path]:
    from journal_tools.starter import HOSTS, answer_problems, start_journal

    if host not in ("", *HOSTS):
        raise typer.BadParameter(f"'{host}' is not known; write {', '.join(HOSTS)}")
    if problems := answer_problems(answers):
        raise typer.BadParameter(f"{problems[0].what} {problems[0].hint}")
    try:
        return start_journal(folder, answers, host)
    except FileExistsError as error:
        raise failure(
            f"{error.filename or error} is there already; nothing was written."
        ) from error
    except OSError as error:
        raise failure(f"'{folder}' cannot be written: {error.strerror}.") from error


@app.command(epilog="Example: journal-tools check my-reef --json")
def check(
    folder: _Folder = _HERE,
    as_json: Annotated[bool, typer.Option("--json", help="Problems as JSON, for tools.")] = False,
    today: Annotated[str | None, typer.Option(help="Reckon as if it were this day.")] = None,
    fix: Annotated[bool, typer.Option("--fix", help="Propose mends, as a diff.")] = False,
    apply: Annotated[
        bool, typer.Option("--apply", help="With --fix: write the safe ones without asking.")
    ] = False,
) -> None:
    """Report every problem of a journal, by file and line. Exits 1 if there is one.

    With --fix, propose mends for what can be mended safely: shown first, written if you agree.
    """
    from journal_tools.journal import load_journal
    from journal_tools.problems import in_order

    if (apply and not fix) or (fix and as_json):
        raise typer.BadParameter("--apply goes with --fix, and --fix without --json")
    if fix:
        from journal_tools.writing.fixes import fix_journal

        place = journal_argument(folder)
        raise typer.Exit(fix_journal(place, day_argument(today), apply=apply))

    journal = load_journal(journal_argument(folder), day_argument(today))
    problems = list(in_order([*journal.problems, *_probe_problems(journal)]))
    if any(entry.record.photos for entry in journal.entries):
        from journal_tools.cache import Cache
        from journal_tools.photos import prepare
        from journal_tools.requests import photo_requests

        _, found = prepare(photo_requests(journal.entries), journal.photo_folder, Cache.default())
        problems = list(in_order([*problems, *found]))
    if as_json:
        whole = {"entries": len(journal.entries), "problems": [p.as_dict() for p in problems]}
        typer.echo(json.dumps(whole, ensure_ascii=False, indent=1))
    for problem in [] if as_json else problems:
        typer.echo(str(problem), err=True)
    if not as_json:
        typer.echo(f"{counted(len(journal.entries), 'entry', 'entries')}, "
                   f"{counted(len(problems), 'problem')}.")  # fmt: skip
    raise typer.Exit(1 if problems else 0)


def _probe_problems(journal: Journal) -> tuple[Problem, ...]:
    if not (journal.folder / "probes").is_dir():
        return ()
    from journal_tools.cache import Cache
    from journal_tools.probes import load_probes

    found = load_probes(journal.folder, journal.profile, journal.today, Cache.default())
    return found.problems


@app.command(epilog='Example: journal-tools add "alk 8.2, ca 420, changed 20 l water, fed mysis"')
def add(
    words: Annotated[
        list[str] | None, typer.Argument(help="What happened; nothing shows how to say it.")
    ] = None,
    journal: Annotated[Path, typer.Option(help="Folder of the journal.")] = _HERE,
    photo: Annotated[list[Path] | None, typer.Option(help="A photo to copy into it.")] = None,
    yes: Annotated[bool, typer.Option("--yes", "-y", help="Write without asking.")] = False,
) -> None:
    """Write an entry from one line of plain words: understood, shown, and written if you agree."""
    from journal_tools.writing.add_command import add_entry

    raise typer.Exit(
        add_entry(journal_argument(journal), " ".join(words or []), photo or [], yes=yes)
    )


@app.command("import", epilog='Example: journal-tools import tests.xlsx --map "KH=alkalinity dKH"')
def import_(  # noqa: PLR0913  (one option a question)
    file: Annotated[
        Path, typer.Argument(help="CSV, xlsx, ods, a site's data folder, or phone.zip.")
    ],
    journal: Annotated[Path, typer.Option(help="Folder of the journal.")] = _HERE,
    columns: Annotated[
        list[str] | None, typer.Option("--map", help="What a column holds: 'Heading=calcium'.")
    ] = None,
    date_order: Annotated[str, typer.Option(help="dmy, mdy or ymd.")] = "",
    decimal: Annotated[str, typer.Option(help="Decimal sign: '.' or ','.")] = "",
    sheet: Annotated[str, typer.Option(help="Sheet of a spreadsheet.")] = "",
    yes: Annotated[bool, typer.Option("--yes", "-y", help="Write without asking.")] = False,
) -> None:
    """Make entries of a table, a site's data or the phone form's ZIP; nothing comes in twice."""
    from journal_tools.writing.import_command import Told, import_file

    if date_order not in ("", "dmy", "mdy", "ymd"):
        raise typer.BadParameter(f"'{date_order}' is no order; write dmy, mdy or ymd")
    if decimal not in ("", ".", ","):
        raise typer.BadParameter(f"'{decimal}' is no decimal sign; write '.' or ','")
    told = Told(tuple(columns or ()), date_order, decimal, sheet)
    raise typer.Exit(import_file(journal_argument(journal), file, told, yes=yes))


@app.command(epilog="Example: journal-tools build my-reef --strict")
def build(
    folder: _Folder = _HERE,
    strict: Annotated[bool, typer.Option("--strict", help="Fail if there is a problem.")] = False,
    site: Annotated[Path | None, typer.Option(help="Where to write the site.")] = None,
    markdown: Annotated[
        Path | None,
        typer.Option("--markdown", help="Write the pages there as Markdown files instead."),
    ] = None,
) -> None:
    """Build the site of a journal into its 'site' folder.

    With --markdown, write the same pages as Markdown files for another site generator.
    """
    if markdown is not None:
        _write_markdown(folder, markdown)
        return
    arguments = ["build", "-f", str(_settings(folder))]
    arguments += ["--strict"] if strict else []
    arguments += ["-d", str(site.resolve())] if site else []
    _mkdocs(arguments)


@app.command(epilog="Example: journal-tools serve my-reef --port 8001")
def serve(
    folder: _Folder = _HERE,
    port: Annotated[int, typer.Option(help="Port on this computer.", min=1, max=65535)] = 8000,
) -> None:
    """Show the site on this computer and renew it when a file changes."""
    if _is_taken(port):
        raise failure(f"Port {port} is in use by another program. Try: --port {port % 65535 + 1}")
    _mkdocs(["serve", "--livereload", "-f", str(_settings(folder)), "-a", f"127.0.0.1:{port}"])


def _write_markdown(folder: Path, target: Path) -> None:
    from jinja2 import TemplateError

    from journal_tools.cache import Cache
    from journal_tools.journal import load_journal
    from journal_tools.pages import build_tree
    from journal_tools.pages.site import gather_site
    from journal_tools.stage import write_tree
    from journal_tools.templates import template_problem

    journal = journal_argument(folder)
    own = folder / "site_templates"
    site = gather_site(load_journal(journal), Cache.default(), own)
    try:
        tree = build_tree(site, own)
    except TemplateError as error:
        typer.echo(str(template_problem(error, own)), err=True)
        raise typer.Exit(1) from error
    write_tree(tree, target)
    typer.echo(f"The pages are in {target}")


def _is_taken(port: int) -> bool:
    import socket

    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


def _settings(folder: Path) -> Path:
    settings = folder / "mkdocs.yml"
    if not settings.is_file():
        raise failure(
            f"There is no mkdocs.yml in '{folder}'. Go to the journal's folder, or start one "
            "with: journal-tools new my-reef"
        )
    return settings


def _mkdocs(arguments: list[str]) -> None:
    """Run MkDocs as its own command line would, so that its messages and exit codes hold."""
    import os

    os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")
    from mkdocs.__main__ import cli

    cli.main(args=arguments, prog_name="mkdocs", standalone_mode=True)
