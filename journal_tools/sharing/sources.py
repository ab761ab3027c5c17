"""The journal that is handed on: its settings, its own templates, its day, as a site is built."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import yaml

from journal_tools.cache import Cache
from journal_tools.journal import load_journal
from journal_tools.pages.site import Site, gather_site


def settings_of(journal: Path) -> Path:
    """Give the ``mkdocs.yml`` of a journal folder: beside it, or in it."""
    inside, beside = journal / "mkdocs.yml", journal.resolve().parent / "mkdocs.yml"
    return inside if inside.is_file() else beside


def open_site(journal: Path) -> Site:
    """Read a journal as its site would be built today.

    Args:
        journal: Folder of the journal, with ``tank.yml``.
    """
    settings = settings_of(journal)
    own = settings.parent / "site_templates"
    return gather_site(load_journal(journal, ended_on(settings)), Cache.default(), own)


def ended_on(settings: Path) -> dt.date | None:
    """Give the day that ``today:`` in a ``mkdocs.yml`` names, for a journal that has ended.

    Args:
        settings: The file; tags, which may run code, are left alone.
    """
    try:
        root = yaml.compose(settings.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)
    except (OSError, UnicodeDecodeError, yaml.YAMLError):
        return None
    own = _inside(_inside(root, "plugins"), "journal_tools")
    day = _inside(own, "today")
    try:
        return dt.date.fromisoformat(day.value) if isinstance(day, yaml.ScalarNode) else None
    except ValueError:
        return None


def _inside(node: yaml.Node | None, key: str) -> yaml.Node | None:
    """Give the value of a key in a mapping, or in a list of mappings of one key."""
    pairs = list(node.value) if isinstance(node, yaml.MappingNode) else []
    if isinstance(node, yaml.SequenceNode):
        pairs = [p for item in node.value if isinstance(item, yaml.MappingNode) for p in item.value]
    return next((value for name, value in pairs if name.value == key), None)
