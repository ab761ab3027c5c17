"""The register of equipment: every piece with its dates, its price, its history, its service."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from journal_tools.names import name_key
from journal_tools.pages.checks.record import Check
from journal_tools.pages.site import Shown, Site
from journal_tools.system import Equipment
from journal_tools.tables import rows_of
from journal_tools.words import ago, short_day, span_text

_HEADINGS = {
    "in service": "In service",
    "planned": "Planned",
    "failed": "Failed",
    "removed": "No longer in use",
}


@dataclass(frozen=True)
class Piece:
    """A piece of equipment with its history.

    Attributes:
        name: Its name.
        kind: What it is.
        facts: What the profile says of it, or None.
        history: What happened to it: event, entry and words.
        state: A key of the headings: in service, planned, failed, removed.
        since: First day in service, or None.
        until: Last day, or None.
        served: Its days in words.
        price: What was paid for it, or None.
        replaced_by: The piece that took its place, or ``""``.
        next_service: When it is next to be serviced, or ``""``.
        photo: Its picture, or None.
    """

    name: str
    kind: str
    facts: Equipment | None
    history: Sequence[tuple[str, str, str]]
    state: str
    since: dt.date | None = None
    until: dt.date | None = None
    served: str = ""
    price: float | None = None
    replaced_by: str = ""
    next_service: str = ""
    photo: Shown | None = None


def pieces(site: Site) -> list[Piece]:
    """Give every piece that the profile or an entry names, with what happened to it."""
    declared = {piece.name: piece for piece in site.journal.profile.equipment}
    events = site.tables.equipment
    names = [*declared, *(n for n in dict.fromkeys(events["name"]) if n not in declared)]
    due = {task.subject: task.due for task in site.tasks if task.kind == "service"}
    takers = {name_key(p.replaces): p.name for p in declared.values() if p.replaces}
    return [
        _piece(
            site, name, declared.get(name), list(rows_of(events[events["name"] == name])),
            due.get(name), takers.get(name_key(name), ""),
        )
        for name in names
    ]  # fmt: skip


def _piece(
    site: Site,
    name: str,
    facts: Equipment | None,
    rows: list[Any],
    due: dt.date | None,
    taker: str,
) -> Piece:
    planned = facts is not None and facts.planned_on(site.today)
    state = "planned" if planned else site.tables.state_of(name)
    starts = [row.time.date() for row in rows if row.event == "installed"]
    ends = [row.time.date() for row in rows if row.event == "removed"]
    since = starts[0] if starts and not planned else None
    until = ends[-1] if ends and state == "removed" else None
    return Piece(
        name, facts.kind if facts else "other", facts,
        [(row.event, row.entry, _told(row)) for row in rows], state, since, until,
        _served(since, until, site.today), _price(site, name, facts), taker,
        _next(due, site.today), _photo(site, facts),
    )  # fmt: skip


def by_state(found: Sequence[Piece]) -> list[tuple[str, list[Piece]]]:
    """Give the pieces under a heading for each state, what is in service first."""
    groups = [(words, [p for p in found if p.state == state]) for state, words in _HEADINGS.items()]
    return [(words, there) for words, there in groups if there]


def check_links(found: Sequence[Piece], checks: Sequence[Check]) -> dict[str, str]:
    """Give the anchor of the check of each piece, by the piece's name, where there is one."""
    anchors = {check.id for check in checks}
    links: dict[str, str] = {}
    for piece in found:
        ids = [f"{family}-{name_key(piece.name)}" for family in _FAMILIES]
        if piece.state in ("in service", "planned"):
            ids.append(_SHARED.get(piece.kind, ""))
        anchor = next((one for one in ids if one in anchors), "")
        links |= {piece.name: anchor} if anchor else {}
    return links


_FAMILIES = ("return", "skimmer", "light", "media", "instrument")
_SHARED = {
    "circulation pump": "circulation", "heater": "heater", "chiller": "cooling", "fan": "cooling",
    "top-off": "top-off", "stand": "stand", "vessel": "volume",
}  # fmt: skip


def _told(row: Any) -> str:
    return short_day(row.time.date()) + (f": {row.detail}" if row.detail else "")


def _served(since: dt.date | None, until: dt.date | None, today: dt.date) -> str:
    if since is None:
        return ""
    if until is None:
        return f"since {short_day(since)}, {span_text((today - since).days)}"
    return f"{short_day(since)} to {short_day(until)}, {span_text((until - since).days)}"


def _price(site: Site, name: str, facts: Equipment | None) -> float | None:
    """Give what was paid for it, by entry or profile; for a planned piece what it would cost."""
    if not site.journal.profile.privacy.show_costs:
        return None
    costs = site.tables.costs
    mine = costs[(costs["what"].map(name_key) == name_key(name)) & (
        costs["category"] == "equipment")]  # fmt: skip
    if not mine.empty:
        return float(mine["amount"].sum())
    return facts.price if facts is not None else None


def _next(due: dt.date | None, today: dt.date) -> str:
    if due is None:
        return ""
    return f"was due {ago(due, today)}" if due < today else ago(due, today)


def _photo(site: Site, facts: Equipment | None) -> Shown | None:
    """Give the picture that the profile names, where an entry publishes it."""
    if facts is None or facts.photo is None:
        return None
    wanted = name_key(facts.photo)
    return next(
        (shown for shown in site.shown_photos if name_key(shown.photo.source) == wanted), None
    )
