"""Where templates lie, and the environment that fills them."""

from __future__ import annotations

import traceback
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined, TemplateError

from journal_tools.problems import Problem

_PACKAGE = Path(__file__).parent


def shipped_folder() -> Path:
    """Give the folder of templates that comes with the program.

    In a wheel it lies inside the package, in a checkout beside it.
    """
    inside = _PACKAGE / "site_templates"
    return inside if inside.is_dir() else _PACKAGE.parent / "site_templates"


def template_folders(own: Path | None) -> list[Path]:
    """Give the folders in which templates are looked up, the journal's own first."""
    folders = [own] if own is not None and own.is_dir() else []
    return [*folders, shipped_folder()]


def find_template(name: str, own: Path | None) -> Path:
    """Give the file that a template name means: the journal's own, or the shipped one."""
    return next(p for f in template_folders(own) if (p := f / name).is_file())


def environment(own: Path | None) -> Environment:
    """Give a Jinja environment that escapes all text and stops at unknown names."""
    return Environment(
        loader=FileSystemLoader(template_folders(own)),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def template_problem(error: TemplateError, own: Path) -> Problem:
    """Give what is wrong with a template, by its file and line.

    Args:
        error: What Jinja raised; it puts the template's line into the traceback.
        own: Folder of the journal's own templates.
    """
    folders = {own: own.name, shipped_folder(): shipped_folder().name}
    file, line = own.name, 0
    for frame in traceback.extract_tb(error.__traceback__):
        for folder, name in folders.items():
            if Path(frame.filename).is_relative_to(folder):
                path = Path(frame.filename).relative_to(folder)
                file, line = f"{name}/{path.as_posix()}", frame.lineno or 0
    said = " ".join(str(error.message).split()).rstrip(".")
    what = f"This template cannot be used: {said}."
    hint = "Mend it, or remove the file: the shipped template is used then."
    return Problem(file, line, 0, "template", what, hint)
