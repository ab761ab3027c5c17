"""The diary: one page a month, an overview of all months, and a timeline of milestones."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from journal_tools.logged import LoggedEntry
from journal_tools.markup import render_notes
from journal_tools.pages.site import Shown, Site, month_path
from journal_tools.pages.tree import Page
from journal_tools.quantities import Amount
from journal_tools.words import counted, month_text, reading_text


@dataclass(frozen=True)
class ReadingView:
    """One test result as an entry shows it."""

    label: str
    text: str
    title: str
    outside: bool


@dataclass(frozen=True)
class Fact:
    """One line of what was done: its kind and its words."""

    kind: str
    text: str


@dataclass(frozen=True)
class EntryView:
    """An entry as its month page shows it."""

    entry: LoggedEntry
    readings: list[ReadingView]
    facts: list[Fact]
    photos: list[Shown]
    notes: str
    earlier: LoggedEntry | None
    later: LoggedEntry | None

    @property
    def heading(self) -> str:
        """Title, or what the entry is about in a word or two."""
        if self.entry.title:
            return self.entry.title
        if self.readings and not self.facts:
            return "Tests"
        return self.facts[0].kind.capitalize() if self.facts else "Note"


@dataclass(frozen=True)
class MonthCard:
    """A month in the overview."""

    day: dt.date
    path: str
    count: int
    photos: int
    cover: Shown | None
    titles: list[str]


def _entries(count: int) -> str:
    return counted(count, "entry", "entries")


def diary_pages(site: Site) -> list[Page]:
    """Give the overview and one page for each month that has entries."""
    months = [
        (month, list(entries))
        for month, entries in groupby(site.journal.entries, lambda e: e.day.replace(day=1))
    ]
    overview = site.page(
        "diary.html",
        "diary/index",
        "Diary",
        description=f"{_entries(len(site.journal.entries))} of {site.journal.profile.name}.",
        years=_years(site, months),
        milestones=[e for e in site.journal.entries if e.record.milestone],
    )
    return [overview, *(_month_page(site, months, i) for i in range(len(months)))]


def _years(
    site: Site, months: Sequence[tuple[dt.date, list[LoggedEntry]]]
) -> list[tuple[int, list[MonthCard]]]:
    cards = [_card(site, month, entries) for month, entries in months]
    by_year = groupby(reversed(cards), lambda card: card.day.year)
    return [(year, list(group)) for year, group in by_year]


def _card(site: Site, month: dt.date, entries: Sequence[LoggedEntry]) -> MonthCard:
    photos = [shown for entry in entries for shown in site.photos_of(entry)]
    front = [shown for shown in photos if shown.view == "front"]
    titles = [entry.title for entry in entries if entry.title]
    shown = front or photos
    cover = shown[-1] if shown else None
    return MonthCard(month, month_path(month), len(entries), len(photos), cover, titles[:3])


def _month_page(
    site: Site, months: Sequence[tuple[dt.date, list[LoggedEntry]]], position: int
) -> Page:
    month, entries = months[position]
    before = months[position - 1][0] if position else None
    after = months[position + 1][0] if position + 1 < len(months) else None
    titles = "; ".join(entry.title for entry in entries if entry.title)
    return site.page(
        "month.html",
        month_path(month),
        month_text(month),
        description=titles[:200] or f"{_entries(len(entries))} of {month_text(month)}.",
        views=[entry_view(site, entry) for entry in entries],
        before=before,
        after=after,
        month_path=month_path,
    )


def entry_view(site: Site, entry: LoggedEntry) -> EntryView:
    """Give an entry with everything in it put into words."""
    everything = site.journal.entries
    place = site.positions[entry.id]
    notes = entry.record.notes
    return EntryView(
        entry=entry,
        readings=list(_readings(site, entry)),
        facts=list(_facts(site, entry)),
        photos=site.photos_of(entry),
        notes=render_notes(notes, site.entry_link) if notes else "",
        earlier=everything[place - 1] if place else None,
        later=everything[place + 1] if place + 1 < len(everything) else None,
    )


def _readings(site: Site, entry: LoggedEntry) -> Iterator[ReadingView]:
    for name, parameter in site.display.parameters.items():
        for reading in getattr(entry.record.readings, name, ()):
            quantity = reading.value
            value = site.display.value(name, quantity.value)
            band = site.shown_tables.band(name, entry.day)
            outside = band is not None and band.holds(value, quantity.censored) is False
            details = [f"written {quantity.said}", reading.kit or "", reading.when or ""]
            yield ReadingView(
                parameter.label,
                reading_text(value, parameter, quantity.censored),
                ", ".join(part for part in details if part),
                outside,
            )


def _amount(amount: Amount) -> str:
    return f"{amount.value:g} {amount.unit}"


def _facts(site: Site, entry: LoggedEntry) -> Iterator[Fact]:
    """Give what was done, in the order a keeper would tell it."""
    record = entry.record
    for change in record.water_change:
        yield Fact(
            "water change", f"{site.display.volume_text(change.volume.value, 0)} of new salt water"
        )
    for top_off in record.top_off:
        kind = f" with {top_off.what}" if top_off.what else ""
        yield Fact("top-off", f"{site.display.volume_text(top_off.volume.value, 1)}{kind}")
    for dose in record.doses:
        yield Fact("dose", f"{_amount(dose.amount)} {dose.what}" + _note(dose.note))
    for plan in record.dosing_plan:
        daily = f"{_amount(plan.per_day)} a day" if plan.per_day else "stopped"
        yield Fact("dosing plan", f"{plan.what}: {daily}")
    for animal in record.livestock:
        count = f"{animal.count} × " if animal.count > 1 else ""
        size = f", {animal.length.said}" if animal.length else ""
        yield Fact(animal.event, f"{count}{animal.name}{size}" + _note(animal.why or animal.note))
    for piece in record.equipment:
        setting = f" to {_setting(piece.to)}" if piece.to else ""
        yield Fact(piece.event, f"{piece.name}{setting}" + _note(piece.note))
    if record.upkeep:
        yield Fact("upkeep", ", ".join(done.task + _note(done.note) for done in record.upkeep))
    if record.feed:
        amounts = (f"{f.what} {f.amount.said}" if f.amount else f.what for f in record.feed)
        yield Fact("fed", ", ".join(amounts))
    if site.journal.profile.privacy.show_costs:
        for cost in record.costs:
            yield Fact("cost", f"{cost.what} {cost.amount:.2f} {site.journal.profile.currency}")


def _note(text: str | None) -> str:
    return f" ({text})" if text else ""


def _setting(to: object) -> str:
    if isinstance(to, dict):
        return ", ".join(f"{key} {value}" for key, value in to.items())
    return str(to)
