"""The build: the drawn plan, every check, the register of equipment, and the printed report."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from journal_tools.metrics.record import CAUTIONS
from journal_tools.pages.checks import checks_of
from journal_tools.pages.checks.choices import choices_of
from journal_tools.pages.checks.readiness import readiness
from journal_tools.pages.checks.record import Check, cautions_of
from journal_tools.pages.plan import system_plan
from journal_tools.pages.register import Piece, by_state, check_links, pieces
from journal_tools.pages.service_line import service_line
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Page

__all__ = ["build_pages", "pieces"]


def build_pages(site: Site) -> list[Page]:
    """Give the build page, the register, and the report on one page."""
    groups, found = checks_of(site), pieces(site)
    checks = [check for _, group in groups for check in group]
    choices = choices_of(site)
    hazards = list(dict.fromkeys(hazard for choice in choices for hazard in choice.hazards))
    to_buy = Check("choices", "Before buying", "", hazards=hazards)
    shown = {
        "plan": system_plan(site),
        "groups": groups,
        "cautions": cautions_of(site, [*checks, to_buy]),
        "choices": choices,
        "readiness": readiness(site),
        "pieces": found,
        "beyond": site.metrics.beyond,
    }
    return [
        _checks_page(site, "build", "Build", shown),
        _register_page(site, found, checks),
        _checks_page(site, "report", "Build report", shown),
    ]


def _checks_page(site: Site, path: str, title: str, shown: Mapping[str, Any]) -> Page:
    name = site.journal.profile.name
    words = f"{title} of {name}: every piece of equipment held against this tank."
    return site.page(f"{path}.html", path, title, description=words, **shown)


def _register_page(site: Site, found: Sequence[Piece], checks: Sequence[Check]) -> Page:
    lines, ends = service_line(site, [(p.name, p.since, p.until, p.state) for p in found])
    return site.page(
        "equipment.html",
        "equipment",
        "Equipment",
        description=f"All equipment of {site.journal.profile.name}, with its history.",
        pieces=found,
        groups=by_state(found),
        checks=check_links(found, checks),
        lines=lines,
        ends=ends,
        mains_caution=CAUTIONS["mains"],
    )
