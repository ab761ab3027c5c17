"""Where templates lie, and the environment that fills them."""

from __future__ import annotations

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

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
