"""The timeline of equipment: a line for each piece, from the day it came to the day it went."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from journal_tools.names import name_key
from journal_tools.pages.site import Site
from journal_tools.tables import rows_of
from journal_tools.words import short_day

_WIDTH, _HEIGHT = 1000, 16
_MARKS = {"serviced": "service", "changed": "service", "failed": "failed"}

Span = tuple[str, dt.date | None, dt.date | None, str]
"""Name, first day, last day (None for today) and state of a piece."""


@dataclass(frozen=True)
class ServiceLine:
    """One row: the name, its line, and the same in words."""

    name: str
    svg: str
    words: str


def service_line(site: Site, spans: Sequence[Span]) -> tuple[list[ServiceLine], list[str]]:
    """Give the rows of the timeline, the oldest first, and the words at its two ends."""
    known = [(name, start, end, state) for name, start, end, state in spans if start is not None]
    if not known:
        return [], []
    first = min(start for _, start, _, _ in known)
    days = max(1, (site.today - first).days)

    def place(day: dt.date) -> int:
        return round(_WIDTH * min(1.0, max(0.0, (day - first).days / days)))

    rows = [
        _line(site, (name, start, end, state), place)
        for name, start, end, state in sorted(known, key=lambda span: (span[1], span[0]))
    ]
    return rows, [short_day(first), short_day(site.today)]


def _line(
    site: Site,
    span: tuple[str, dt.date, dt.date | None, str],
    place: Callable[[dt.date], int],
) -> ServiceLine:
    name, start, end, state = span
    events = site.tables.equipment
    rows = rows_of(events[events["name"].map(name_key) == name_key(name)])
    marks: dict[str, list[str]] = {"service": [], "failed": []}
    for row in rows:
        if row.event in _MARKS:
            marks[_MARKS[row.event]].append(f"M{place(row.time.date())} 2V{_HEIGHT - 2}")
    last = end or site.today
    middle = _HEIGHT // 2
    svg = (
        f'<svg class="jt-service" viewBox="0 0 {_WIDTH} {_HEIGHT}" preserveAspectRatio="none" '
        'aria-hidden="true" focusable="false">'
        f'<path class="jt-service__line" d="M{place(start)} {middle}H{max(place(last), 3)}"/>'
        f'<path class="jt-service__mark" d="{"".join(marks["service"])}"/>'
        f'<path class="jt-service__failed" d="{"".join(marks["failed"])}"/></svg>'
    )
    words = f"from {short_day(start)}" + (f" to {short_day(end)}" if end else f", {state}")
    return ServiceLine(name, svg, words)
