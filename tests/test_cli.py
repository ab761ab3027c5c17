from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from journal_tools import __version__
from journal_tools.cli import app
from journal_tools.journal import load_journal
from journal_tools.schema import entry_schema, profile_schema, schema_text
from tests.command import Outcome
from tests.conftest import Files

TODAY = ["--today", "2026-04-01"]


@pytest.fixture(autouse=True)
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("JOURNAL_TOOLS_CACHE", str(tmp_path / "cache"))


def test_a_clean_journal(journal_folder: Callable[[Files], Path]) -> None:
    folder = journal_folder({"log/2026-03-14.yml": "title: x"})
    run = Outcome("check", folder, *TODAY)
    assert (run.code, run.out, run.err) == (0, "1 entry, 0 problems.\n", "")
    assert Outcome("check", folder.parent, *TODAY).out == run.out


def test_problems_go_to_standard_error(journal_folder: Callable[[Files], Path]) -> None:
    folder = journal_folder({"log/2026-03-14.yml": "titel: x", "log/2026-03-15.yml": "title: y"})
    run = Outcome("check", folder, *TODAY)
    assert (run.code, run.out) == (1, "2 entries, 1 problem.\n")
    assert run.err == (
        "log/2026-03-14.yml:1:1: The key 'titel' is not known here. Did you mean 'title'?\n"
    )


def test_problems_for_other_programs(journal_folder: Callable[[Files], Path]) -> None:
    folder = journal_folder({"log/2026-03-14.yml": "titel: ü"})
    run = Outcome("check", folder, "--json", *TODAY)
    assert (run.code, run.err) == (1, "")
    assert json.loads(run.out) == {
        "entries": 1,
        "problems": [
            {
                "file": "log/2026-03-14.yml", "line": 1, "column": 1, "code": "unknown-key",
                "what": "The key 'titel' is not known here.", "hint": "Did you mean 'title'?",
            }
        ],
    }  # fmt: skip
    clean = journal_folder({"log/2026-03-14.yml": "title: x"})
    run = Outcome("check", clean, "--json", *TODAY)
    assert (run.code, json.loads(run.out)) == (0, {"entries": 1, "problems": []})


def test_photos_are_opened(journal_folder: Callable[[Files], Path]) -> None:
    folder = journal_folder({"photos/a.jpg": b"no picture", "log/2026-03-14.yml": "photos: a.jpg"})
    run = Outcome("check", folder, *TODAY)
    assert run.code == 1
    assert run.err.startswith('log/2026-03-14.yml:1:9: The photo "a.jpg" is not a picture')
    Image.new("RGB", (80, 60)).save(folder / "photos" / "a.jpg")
    assert Outcome("check", folder, *TODAY).code == 0


def test_a_later_day_lets_more_entries_in(journal_folder: Callable[[Files], Path]) -> None:
    folder = journal_folder({"log/2026-04-02.yml": "title: x"})
    assert Outcome("check", folder, *TODAY).code == 1
    assert Outcome("check", folder, "--today", "2026-04-02").code == 0


@pytest.mark.parametrize("arguments", [["check"], ["check", "--json"], ["new", "--schema"]])
def test_no_journal_there(tmp_path: Path, arguments: list[str]) -> None:
    run = Outcome(*arguments, tmp_path)
    assert (run.code, run.out) == (2, "")
    assert run.err == (
        f"There is no journal in '{tmp_path}': no tank.yml there or in its content folder. "
        "Start one with: journal-tools new my-reef\n"
    )


@pytest.mark.parametrize("command", ["build", "serve"])
def test_no_site_there(tmp_path: Path, command: str) -> None:
    run = Outcome(command, tmp_path)
    assert (run.code, run.out) == (2, "")
    assert run.err == (
        f"There is no mkdocs.yml in '{tmp_path}'. Go to the journal's folder, or start one with: "
        "journal-tools new my-reef\n"
    )


def test_a_new_journal(tmp_path: Path) -> None:
    folder = tmp_path / "mein Riff 🐠"
    options = {
        "--name": 'The "hall" tank',
        "--start": "2026-03-14",
        "--keeper": "Someone",
        "--zone": "Europe/Berlin",
        "--units": "us",
        "--currency": "usd",
    }
    run = Outcome("new", folder, *(word for option in options.items() for word in option))
    assert (run.code, run.err) == (0, "")
    assert f"wrote {folder / 'content' / 'tank.yml'}\n" in run.out
    assert run.out.endswith(
        f"Next: cd {folder}, fill in content/tank.yml, then: journal-tools serve\n"
    )
    profile = load_journal(folder / "content").profile
    assert (profile.name, profile.keeper) == ('The "hall" tank', "Someone")
    assert (profile.time_zone, profile.units.system) == ("Europe/Berlin", "us")
    assert profile.currency == "USD"
    assert Outcome("check", folder).code == 0


def test_a_new_journal_begins_today(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1774994400")  # 2026-03-31 22:00 UTC
    assert Outcome("new", tmp_path / "a", "--zone", "Europe/Berlin").code == 0
    assert (tmp_path / "a" / "content" / "log" / "2026-04-01-the-first-day.yml").is_file()


def test_new_writes_the_schemas_and_renews_them(tmp_path: Path) -> None:
    assert Outcome("new", tmp_path / "reef").code == 0
    files = {
        tmp_path / "reef" / "content" / "tank.schema.json": schema_text(profile_schema()),
        tmp_path / "reef" / "content" / "log" / "entry.schema.json": schema_text(entry_schema()),
    }
    assert {path: path.read_text(encoding="utf-8") for path in files} == files
    for path in files:
        path.write_text("old", encoding="utf-8")
    run = Outcome("new", "--schema", tmp_path / "reef")
    assert (run.code, run.out) == (0, "".join(f"wrote {path}\n" for path in files))
    assert {path: path.read_text(encoding="utf-8") for path in files} == files


def test_new_overwrites_nothing(tmp_path: Path) -> None:
    (tmp_path / "mkdocs.yml").write_text("mine", encoding="utf-8")
    run = Outcome("new", tmp_path)
    assert (run.code, run.out) == (2, "")
    assert run.err == f"{tmp_path / 'mkdocs.yml'} is there already; nothing was written.\n"
    assert [path.name for path in tmp_path.iterdir()] == ["mkdocs.yml"]


@pytest.mark.parametrize("below", ["", "reef"])
def test_new_in_place_of_a_file(tmp_path: Path, below: str) -> None:
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    run = Outcome("new", tmp_path / "file" / below)
    assert (run.code, run.out) == (2, "")
    assert re.fullmatch(r".+ (is there already; nothing was|cannot be) written.*\.\n", run.err)
    assert (tmp_path / "file").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (["--units", "imperial"], "'imperial' is neither metric nor us"),
        (["--zone", "Mars/Base"], "'Mars/Base' is no time zone; write it like Europe/Berlin"),
        (["--start", "14.3.2026"], "'14.3.2026' is no date; write it like 2026-03-14"),
        (["--start", "2026-02-30"], "'2026-02-30' is no date; write it like 2026-03-14"),
        (["--start", "2999-01-01"], "'2999-01-01' is still to come; write it into tank.yml later"),
        (["--currency", "EURO"], "'EURO' is no currency code. Write EUR, USD, GBP, …"),
        (["--name", " "], "The text is empty. Write a few words or remove the key."),
        (["--colour", "red"], "No such option"),
    ],
)
def test_wrong_answers_to_new(tmp_path: Path, options: list[str], message: str) -> None:
    run = Outcome("new", tmp_path / "reef", *options)
    assert (run.code, run.out) == (2, "")
    assert message in run.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "arguments", [["check", "--today", "soon"], ["chekc"], ["serve", "--port", "0"], ["new"]]
)
def test_wrong_usage(tmp_path: Path, arguments: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "tank.yml").write_text("name: x\nstart: 2026-01-01", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    run = Outcome(*arguments)
    assert (run.code, run.out) == (2, "")
    assert re.search(r"^Try '.+ --help' for help\.$", run.err, re.MULTILINE)


COMMANDS = [
    command.name or command.callback.__name__
    for command in app.registered_commands
    if command.callback
]


@pytest.mark.parametrize("command", COMMANDS)
def test_help_shows_an_example_that_works(command: str) -> None:
    run = Outcome(command, "--help")
    assert run.code == 0
    example = re.search(rf"Example: journal-tools {command} (.+)", run.out)
    assert example is not None
    options = set(re.findall(r"--[a-z]+", example[1]))
    assert options <= set(re.findall(r"--[a-z]+", run.out.partition("Example:")[0]))


def test_help_names_every_command() -> None:
    run = Outcome("--help")
    assert run.code == 0
    assert {"new", "check", "build", "serve"} <= set(COMMANDS)
    for command in COMMANDS:
        assert re.search(rf"^ +{command} +\S", run.out, re.MULTILINE)
    assert Outcome("--version").out == f"{__version__}\n"


HEAVY = ("pandas", "altair", "mkdocs", "numpy", "pydantic", "vl_convert", "scipy", "PIL", "yaml")


def test_help_loads_nothing_heavy() -> None:
    arguments = [sys.executable, "-X", "importtime", "-m", "journal_tools", "--help"]
    run = subprocess.run(arguments, capture_output=True, text=True, encoding="utf-8", check=True)
    loaded = {line.rpartition("|")[2].strip().partition(".")[0] for line in run.stderr.splitlines()}
    assert "typer" in loaded
    assert loaded.isdisjoint(HEAVY)


def test_output_is_utf_8_on_any_terminal(journal_folder: Callable[[Files], Path]) -> None:
    folder = journal_folder({"log/2026-03-14.yml": "tütel: x"})
    arguments = [sys.executable, "-m", "journal_tools", "check", str(folder), *TODAY]
    plain = os.environ | {"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0", "LC_ALL": "C"}
    run = subprocess.run(arguments, capture_output=True, env=plain, check=False)
    assert run.returncode == 1
    assert run.stdout.decode() == "1 entry, 1 problem.\n"
    assert run.stderr.decode() == (
        "log/2026-03-14.yml:1:1: The key 'tütel' is not known here. Did you mean 'title'?\n"
    )
