"""A new journal: a folder that builds at once, ready to be filled in."""

from __future__ import annotations

import datetime as dt
import json
import os
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import available_timezones

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from journal_tools.problems import Problem
from journal_tools.profile import Profile
from journal_tools.read import read_document
from journal_tools.schema import ENTRY_SCHEMA, PROFILE_SCHEMA, modeline, write_schemas
from journal_tools.templates import shipped_folder
from journal_tools.validate import validate


@dataclass(frozen=True, slots=True)
class Answers:
    """What a new journal must know.

    Attributes:
        name: Name of the tank.
        keeper: Name that the site shows, or ``""``.
        start: First day.
        time_zone: IANA name.
        units: ``metric`` or ``us``.
        currency: Three letters.
    """

    name: str
    keeper: str
    start: dt.date
    time_zone: str
    units: str = "metric"
    currency: str = "EUR"


def local_time_zone() -> str:
    """Give the computer's time zone by its IANA name, or UTC if it does not tell."""
    link = Path("/etc/localtime")
    named = [os.environ.get("TZ", "")]
    if link.is_symlink():
        named.append(link.resolve().as_posix().partition("zoneinfo/")[2])
    known = available_timezones()
    return next((name for name in named if name in known), "UTC")


def starter_files(answers: Answers) -> dict[str, str]:
    """Give the files of a new journal by their path in its folder."""
    environment = Environment(
        loader=FileSystemLoader(shipped_folder() / "starter"),
        undefined=StrictUndefined,
        keep_trailing_newline=True,
        trim_blocks=True,
        autoescape=False,
    )
    environment.filters["quoted"] = lambda text: json.dumps(text, ensure_ascii=False)
    files = {
        "mkdocs.yml": "mkdocs.yml",
        "content/tank.yml": "tank.yml",
        f"content/log/{answers.start}-the-first-day.yml": "first-entry.yml",
        "content/photos/README.txt": "photos-readme.txt",
        ".gitignore": "gitignore",
    }
    values = {
        "answers": answers,
        "profile_modeline": modeline(PROFILE_SCHEMA),
        "entry_modeline": modeline(ENTRY_SCHEMA),
    }
    return {path: environment.get_template(name).render(values) for path, name in files.items()}


HOSTS: dict[str, dict[str, str]] = {
    "github": {".github/workflows/site.yml": "github.yml"},
    "gitlab": {".gitlab-ci.yml": "gitlab.yml"},
    "codeberg": {".woodpecker/site.yml": "codeberg.yml"},
    "folder": {f"hosting/{n}": n for n in ("folder.txt", "nginx.conf", "apache.conf")},
}
"""Where a site can be published, and the files that a journal needs for it."""


def hosting_files(host: str) -> dict[str, str]:
    """Give the files with which a journal is published, by their path in its folder.

    Args:
        host: A key of :data:`HOSTS`, or ``""`` for none.
    """
    folder = shipped_folder() / "hosting"
    files = HOSTS[host] if host else {}
    return {path: (folder / name).read_text(encoding="utf-8") for path, name in files.items()}


def answer_problems(answers: Answers) -> list[Problem]:
    """Give what is wrong with the answers, as problems of the profile that they would make."""
    content = starter_files(answers)["content/tank.yml"].encode()
    document, problems = read_document("tank.yml", content)
    if document is not None:
        _, _, found = validate(Profile, document, {})
        problems += found
    return problems


def start_journal(folder: Path, answers: Answers, host: str = "") -> list[Path]:
    """Write a new journal and give its files.

    Args:
        folder: Where; it is made if it is not there.
        answers: What the journal must know.
        host: Where its site will be published, a key of :data:`HOSTS`, or ``""``.

    Raises:
        FileExistsError: If one of the files is there already; then nothing is written.
    """
    texts = starter_files(answers) | hosting_files(host)
    files = {folder / path: text for path, text in texts.items()}
    for path in files:
        if path.exists():
            raise FileExistsError(str(path))
    for path, text in files.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    return [*files, *write_schemas(folder / "content")]
