"""The build: the drawn plan, every check, the register of equipment, and the printed report."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from journal_tools.metrics.record import CAUTIONS
from journal_tools.names import name_key
from journal_tools.pages.checks import checks_of
from journal_tools.pages.checks.choices import choices_of
from journal_tools.pages.checks.readiness import readiness
from journal_tools.pages.plan import system_plan
from journal_tools.pages.service_line import service_line
from journal_tools.pages.site import Shown, Site
from journal_tools.pages.tree import Page
from journal_tools.system import Equipment
from journal_tools.tables import rows_of
from journal_tools.tasks import tasks_of
from journal_tools.words import ago


@dataclass(frozen=True)
class Piece:
    """A piece of equipment with its history."""

    name: str
    kind: str
    facts: Equipment | None
    history: list[tuple[str, str, str]]
    state: str
    since: dt.date | None
    until: dt.date | None
    next_service: str
    photo: Shown | None


def build_pages(site: Site) -> list[Page]:
    """Give the build page, the register, and the report on one page."""
    return [_checks_page(site, "build"), _register_page(site), _checks_page(site, "report")]


def _checks_page(site: Site, path: str) -> Page:
    groups, name = checks_of(site), site.journal.profile.name
    title = {"build": "Build", "report": "Build report"}[path]
    return site.page(
        f"{path}.html",
        path,
        title,
        description=f"{title} of {name}: every piece of equipment held against this tank.",
        plan=system_plan(site),
        groups=groups,
        results=[result for _, found in groups for check in found for result in check.results],
        choices=choices_of(site),
        readiness=readiness(site),
        pieces=pieces(site) if path == "report" else [],
        beyond=site.metrics.beyond,
    )


def _register_page(site: Site) -> Page:
    found = pieces(site)
    lines, months = service_line(site, [(p.name, p.since, p.until, p.state) for p in found])
    return site.page(
        "equipment.html",
        "equipment",
        "Equipment",
        description=f"All equipment of {site.journal.profile.name}, with its history.",
        pieces=found,
        lines=lines,
        months=months,
        mains_caution=CAUTIONS["mains"],
    )


def pieces(site: Site) -> list[Piece]:
    """Give every piece that the profile or an entry names, with what happened to it."""
    declared = {piece.name: piece for piece in site.journal.profile.equipment}
    events = site.tables.equipment
    names = [*declared, *(n for n in dict.fromkeys(events["name"]) if n not in declared)]
    due = {task.subject: task for task in tasks_of(site.tables) if task.kind == "service"}
    found = []
    for name in names:
        rows = list(rows_of(events[events["name"] == name]))
        history = [(row.event, row.entry, _told(row)) for row in rows]
        facts = declared.get(name)
        planned = facts is not None and facts.planned_on(site.today)
        state = "planned" if planned else site.tables.state_of(name)
        starts = [row.time.date() for row in rows if row.event == "installed"]
        ends = [row.time.date() for row in rows if row.event == "removed"]
        task = due.get(name)
        found.append(Piece(
            name, facts.kind if facts else "other", facts, history, state,
            starts[0] if starts and not planned else None, ends[-1] if ends else None,
            "" if task is None else _next(task.due, site.today), _photo(site, facts),
        ))  # fmt: skip
    return found


def _told(row: Any) -> str:
    return f"{row.time:%Y-%m-%d}" + (f": {row.detail}" if row.detail else "")


def _next(due: dt.date, today: dt.date) -> str:
    return f"service was due {ago(due, today)}" if due < today else f"service {ago(due, today)}"


def _photo(site: Site, facts: Equipment | None) -> Shown | None:
    """Give the picture that the profile names, where an entry publishes it."""
    if facts is None or facts.photo is None:
        return None
    wanted = name_key(facts.photo)
    return next(
        (shown for shown in site.shown_photos if name_key(shown.photo.source) == wanted), None
    )
