"""Livestock: who lives here, since when, and who was lost."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

import pandas as pd

from journal_tools.metrics.record import CAUTIONS
from journal_tools.metrics.stocking import Living, population
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Page

_GROUPS = ("fish", "coral", "invertebrate", "plant", "other")
_HEADINGS = {
    "fish": "Fish", "coral": "Corals", "invertebrate": "Other invertebrates", "plant": "Plants",
    "other": "Others",
}  # fmt: skip


@dataclass(frozen=True)
class Resident:
    """A kind of animal that lives here, with its first day."""

    living: Living
    since: pd.Timestamp
    first_entry: str
    sizes: str


@dataclass(frozen=True)
class Happening:
    """What happened to a kind of animal on a day."""

    day: dt.date
    words: str
    entry: str


@dataclass(frozen=True)
class Life:
    """A kind of animal that lives or lived here, under a heading that links and search find."""

    name: str
    anchor: str
    happenings: list[Happening]


def lives(site: Site) -> list[Life]:
    """Give the story of each kind of animal, in the order of the alphabet."""
    table = site.tables.livestock
    names = sorted(dict.fromkeys(table["name"]), key=str.casefold)
    return [
        Life(name, f"animal-{number}", [_happening(site, row) for row in rows.itertuples()])
        for number, name in enumerate(names, 1)
        if len(rows := table[table["name"] == name])
    ]


def _happening(site: Site, row: Any) -> Happening:
    length = "" if pd.isna(row.length_cm) else f", {site.display.length_text(row.length_cm)}"
    count = f"{row.count} " if row.count > 1 else ""
    why = f": {row.why}" if row.why else ""
    return Happening(row.time.date(), f"{count}{row.event}{length}{why}", row.entry)


def livestock_page(site: Site) -> Page:
    """Give the livestock page."""
    table = site.tables.livestock
    return site.page(
        "livestock.html",
        "livestock",
        "Livestock",
        description=f"Animals of {site.journal.profile.name}.",
        groups=residents_by_group(site),
        undescribed=[kind.name for kind in population(site.tables) if kind.animal is None],
        biomass=site.shown.one("fish_biomass"),
        adult_length=site.shown.one("adult_length"),
        losses=list(table[table["event"] == "lost"].iloc[::-1].itertuples()),
        animal_caution=CAUTIONS["animal"],
        lives=lives(site),
        history=list(table[table["event"] != "measured"].iloc[::-1].itertuples()),
    )


def residents_by_group(site: Site) -> list[tuple[str, list[Resident]]]:
    """Give the animals of today under the heading of their group; empty groups are left out."""
    residents = [_resident(site, kind) for kind in population(site.tables)]
    groups = ((g, [r for r in residents if r.living.group == g]) for g in _GROUPS)
    return [(_HEADINGS[group], rows) for group, rows in groups if rows]


def _resident(site: Site, living: Living) -> Resident:
    table = site.tables.livestock
    rows = table[table["name"] == living.name]
    first = rows.iloc[0]
    lengths = rows["length_cm"].dropna().tolist()
    ends = [lengths[0], lengths[-1]] if lengths and lengths[0] != lengths[-1] else lengths[:1]
    sizes = site.display.length_text(*ends)
    return Resident(living, first["time"], str(first["entry"]), sizes)
