"""Finds a check of a site by its anchor."""

from __future__ import annotations

from pathlib import Path

from journal_tools.pages.checks import checks_of
from journal_tools.pages.checks.record import Check
from journal_tools.pages.site import Site
from tests import journals


def check(site: Site, anchor: str) -> Check:
    (found,) = (c for _, group in checks_of(site) for c in group if c.id == anchor)
    return found


def ids(site: Site) -> set[str]:
    return {c.id for _, group in checks_of(site) for c in group}


def of(folder: Path, tank: str, log: dict[str, str] | None = None) -> Site:
    """Give the site of a profile to which name, start and time zone are added."""
    return journals.site(folder, {"tank.yml": journals.TANK + tank} | (log or {}))
