"""What a club knows of a member: few facts, all of them published on the member's own site."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from statistics import median
from typing import Any

import pandas as pd

from journal_tools.names import name_key
from journal_tools.pages.site import Site, latest, month_path
from journal_tools.tables import rows_of

COMPARED_DAYS = 90
_DAYS_PER_YEAR = 365.25


@dataclass(frozen=True)
class Level:
    """Where one parameter of a tank was lately: the median of its readings, and how many."""

    value: float
    readings: int


@dataclass(frozen=True)
class Kept:
    """A kind of animal in one tank: counts of animals since the journal began."""

    name: str
    added: int
    lost: int
    given_away: int


@dataclass(frozen=True)
class Served:
    """A kind of equipment in one tank: pieces, their years in service together, failures."""

    kind: str
    pieces: int
    years: float
    failures: int


@dataclass(frozen=True)
class MonthFacts:
    """One month of a journal: entries, photos, what was worth a title."""

    month: str
    entries: int
    photos: int
    titles: list[str]
    path: str


@dataclass(frozen=True)
class Facts:
    """Everything that the club's pages say of a member.

    Attributes:
        name: Name of the tank.
        keeper: Name that the keeper shows, or ``""``.
        start: First day, ISO.
        last: Day of the last entry, ISO, or ``""``.
        entries: How many there are.
        volume_l: Net volume in litres, or None.
        cover: Place of a picture on the member's site, or ``""``.
        cover_alt: Its words.
        compared: Whether the tank counts in comparisons.
        levels: Levels of the last 90 days by parameter.
        kept: Animals.
        served: Equipment.
        months: Months with entries, in order.
    """

    name: str
    keeper: str
    start: str
    last: str
    entries: int
    volume_l: float | None
    cover: str
    cover_alt: str
    compared: bool
    levels: dict[str, Level] = field(default_factory=dict)
    kept: list[Kept] = field(default_factory=list)
    served: list[Served] = field(default_factory=list)
    months: list[MonthFacts] = field(default_factory=list)


def facts_of(site: Site) -> Facts:
    """Give the facts of a member's site, from which all that is private is gone."""
    journal, profile = site.journal, site.journal.profile
    cover = latest(site.shown_photos, "front")
    volume = site.metrics.one("net_volume")
    shown = profile.privacy.in_comparisons
    return Facts(
        name=profile.name,
        keeper=(profile.keeper or "") if profile.privacy.show_keeper else "",
        start=profile.start.isoformat(),
        last=journal.entries[-1].day.isoformat() if journal.entries else "",
        entries=len(journal.entries),
        volume_l=volume.value if volume else None,
        cover=cover.rendition(480).name if cover else "",
        cover_alt=cover.alt if cover else "",
        compared=shown,
        levels=dict(_levels(site)) if shown else {},
        kept=list(_kept(site)) if shown else [],
        served=list(_served(site)) if shown else [],
        months=list(_months(site)),
    )


def _levels(site: Site) -> Iterator[tuple[str, Level]]:
    since = site.tables.days_ago(COMPARED_DAYS)
    readings = site.tables.readings
    recent = readings[(readings["time"] >= since) & (readings["censored"] == "")]
    for name, rows in recent.groupby("parameter"):
        yield str(name), Level(float(median(rows["value"])), len(rows))


def _kept(site: Site) -> Iterator[Kept]:
    species = {name_key(a.name): a.species or a.name for a in site.journal.profile.animals}
    counts: dict[str, dict[str, int]] = {}
    names: dict[str, str] = {}
    for row in rows_of(site.tables.livestock):
        name = species.get(name_key(row.name), row.name)
        names.setdefault(name_key(name), name)
        events = counts.setdefault(name_key(name), {})
        events[row.event] = events.get(row.event, 0) + int(row.count)
    for key, events in counts.items():
        if events.get("added"):
            numbers = (events.get(event, 0) for event in ("added", "lost", "removed"))
            yield Kept(names[key], *numbers)


def _served(site: Site) -> Iterator[Served]:
    kinds: dict[str, list[tuple[float, int]]] = {}
    table = site.tables.equipment
    for name in dict.fromkeys(table["name"]):
        rows = table[table["name"] == name]
        kind = next((str(k) for k in rows["kind"] if k), "other")
        years = _years_in_service(rows, site.tables.now)
        failures = int((rows["event"] == "failed").sum())
        kinds.setdefault(kind, []).append((years, failures))
    for kind, pieces in sorted(kinds.items()):
        years, failures = (sum(values) for values in zip(*pieces, strict=True))
        yield Served(kind, len(pieces), round(float(years), 3), int(failures))


def _years_in_service(rows: pd.DataFrame, now: pd.Timestamp) -> float:
    """Give how long a piece has worked: from installed to removed or failed, else to now."""
    since: pd.Timestamp | None = None
    days = 0.0
    for row in rows_of(rows):
        if row.event == "installed" and since is None:
            since = row.time
        elif row.event in ("removed", "failed") and since is not None:
            days, since = days + (row.time - since) / pd.Timedelta(days=1), None
    if since is not None and now > since:
        days += (now - since) / pd.Timedelta(days=1)
    return days / _DAYS_PER_YEAR


def _months(site: Site) -> Iterator[MonthFacts]:
    months: dict[dt.date, list[Any]] = {}
    for entry in site.journal.entries:
        months.setdefault(entry.day.replace(day=1), []).append(entry)
    for month, entries in months.items():
        photos = sum(len(site.photos_of(entry)) for entry in entries)
        titles = [entry.title for entry in entries if entry.title][:3]
        yield MonthFacts(f"{month:%Y-%m}", len(entries), photos, titles, month_path(month))


def as_json(facts: Facts) -> str:
    """Give facts as text to keep."""
    return json.dumps(asdict(facts), ensure_ascii=False, sort_keys=True)


def from_json(text: str) -> Facts:
    """Give facts that were kept.

    Raises:
        ValueError: If it is no such text.
        TypeError: If it was kept by another version.
        KeyError: If it was kept by another version.
    """
    kept = json.loads(text)
    return Facts(**kept | {
        "levels": {name: Level(**level) for name, level in kept["levels"].items()},
        "kept": [Kept(**one) for one in kept["kept"]],
        "served": [Served(**one) for one in kept["served"]],
        "months": [MonthFacts(**one) for one in kept["months"]],
    })  # fmt: skip
