"""The diary's entries put into words, and one page for each month of them."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from markupsafe import Markup

from journal_tools.entries import Entry
from journal_tools.instruments import MEASURES, Calibration
from journal_tools.logged import LoggedEntry
from journal_tools.markup import render_notes
from journal_tools.pages.around import asks_for_window, window_figure
from journal_tools.pages.figures import Figure
from journal_tools.pages.glossary_terms import term_of_parameter
from journal_tools.pages.money import money_text
from journal_tools.pages.site import Shown, Site, month_path
from journal_tools.pages.tree import Page
from journal_tools.quantities import Amount
from journal_tools.words import counted, month_text, reading_text

_SENTENCE_END = re.compile(r"(?<=[.!?])[\"”’)]*\s")
_SUMMARY_LENGTH = 180


@dataclass(frozen=True)
class ReadingView:
    """One test result as an entry shows it."""

    parameter: str
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
        if not self.facts:
            return "Photos" if self.photos and not self.notes else "Note"
        return self.facts[0].kind.capitalize()

    @property
    def summary(self) -> str:
        """One sentence: the first of the notes, or what was tested and done."""
        said = " ".join(Markup(self.notes.replace("</p>", "</p> ")).striptags().split())
        if not said:
            tested = [f"{reading.label} {reading.text}" for reading in self.readings[:4]]
            done = [f"{fact.kind}: {fact.text}" for fact in self.facts[:3]]
            captions = [shown.caption for shown in self.photos if shown.caption]
            said = "; ".join([*tested, *done] or captions)
        sentence = _SENTENCE_END.split(said, maxsplit=1)[0]
        if len(sentence) <= _SUMMARY_LENGTH:
            return sentence
        return sentence[:_SUMMARY_LENGTH].rsplit(" ", 1)[0].rstrip(",;:") + " …"


Views = Mapping[str, EntryView]
"""The views of all entries by id, made once for all pages that show them."""

Days = Mapping[tuple[int, int], Sequence[LoggedEntry]]
"""Entries by month and day."""


def year_path(year: int) -> str:
    """Give the place of the page that lists a year's entries."""
    return f"diary/{year}"


def short_link(entry_id: str) -> str:
    """Give the place of the small page of one entry, made to be shared.

    >>> short_link("2026-03-14")
    'e/2026-03-14/index.html'
    """
    return f"e/{entry_id}/index.html"


def entry_views(site: Site) -> dict[str, EntryView]:
    """Give the views of all entries by id, in order of time."""
    return {entry.id: entry_view(site, entry) for entry in site.journal.entries}


def same_days(entries: Sequence[LoggedEntry]) -> Days:
    """Give the entries of each day of the year, by month and day."""
    found: dict[tuple[int, int], list[LoggedEntry]] = {}
    for entry in entries:
        found.setdefault((entry.day.month, entry.day.day), []).append(entry)
    return found


def of_other_years(entry: LoggedEntry, days: Days) -> list[LoggedEntry]:
    """Give the entries that other years have on an entry's day."""
    same = days[entry.day.month, entry.day.day]
    return [other for other in same if other.day.year != entry.day.year]


def month_pages(site: Site, views: Views) -> list[Page]:
    """Give one page for each month that has entries."""
    months = [
        (month, [views[entry.id] for entry in entries])
        for month, entries in groupby(site.journal.entries, lambda e: e.day.replace(day=1))
    ]
    days = same_days(site.journal.entries)
    return [_month_page(site, months, place, days) for place in range(len(months))]


def _month_page(
    site: Site, months: Sequence[tuple[dt.date, list[EntryView]]], position: int, days: Days
) -> Page:
    month, views = months[position]
    titles = "; ".join(view.entry.title for view in views if view.entry.title)
    count = counted(len(views), "entry", "entries")
    return site.page(
        "month.html",
        month_path(month),
        month_text(month),
        description=titles[:200] or f"{count} of {month_text(month)}.",
        month=month,
        views=views,
        before=months[position - 1][0] if position else None,
        after=months[position + 1][0] if position + 1 < len(months) else None,
        month_path=month_path,
        year_path=year_path,
        short_link=short_link,
        others={view.entry.id: of_other_years(view.entry, days) for view in views},
        terms=_terms(views),
        windows=_windows(site, views),
    )


def _windows(site: Site, views: Sequence[EntryView]) -> dict[str, Figure]:
    """Give the days around each entry of which a reader will ask what happened."""
    asked = (view.entry for view in views if asks_for_window(site, view.entry))
    drawn = ((entry.id, window_figure(site, entry)) for entry in asked)
    return {entry: figure for entry, figure in drawn if figure is not None}


def _terms(views: Sequence[EntryView]) -> list[str]:
    """Give the glossary's names of what was tested, each once."""
    names = (term_of_parameter(reading.parameter) for view in views for reading in view.readings)
    return list(dict.fromkeys(name for name in names if name))


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
                name,
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
    for stock in record.stock:
        yield Fact("stock", f"{_amount(stock.left)} of {stock.what} left")
    yield from _done_to_livestock_and_gear(record)
    if record.upkeep:
        yield Fact("upkeep", ", ".join(done.task + _note(done.note) for done in record.upkeep))
    if record.feed:
        amounts = (f"{f.what} {f.amount.said}" if f.amount else f.what for f in record.feed)
        yield Fact("fed", ", ".join(amounts))
    currency = site.journal.profile.currency
    if site.journal.profile.privacy.show_costs:
        for cost in record.costs:
            yield Fact("cost", f"{cost.what} {money_text(cost.amount, currency)}")


def _done_to_livestock_and_gear(record: Entry) -> Iterator[Fact]:
    for animal in record.livestock:
        count = f"{animal.count} × " if animal.count > 1 else ""
        size = f", {animal.length.said}" if animal.length else ""
        yield Fact(animal.event, f"{count}{animal.name}{size}" + _note(animal.why or animal.note))
    for piece in record.equipment:
        setting = f" to {_setting(piece.to)}" if piece.to else ""
        yield Fact(piece.event, f"{piece.name}{setting}" + _note(piece.note))
    for calibration in record.calibrations:
        done = "set right" if calibration.adjusted else "compared"
        said = ", ".join(_compared(calibration))
        yield Fact(
            "calibration", f"{calibration.instrument} {done}: {said}" + _note(calibration.note)
        )


def _compared(calibration: Calibration) -> Iterator[str]:
    for name in dict.fromkeys(MEASURES.values()):
        for point in getattr(calibration, name):
            shown = point.shown.said if point.shown else f"{point.millivolts:g} mV"
            yield f"{point.standard.said} read as {shown}"


def _note(text: str | None) -> str:
    return f" ({text})" if text else ""


def _setting(to: object) -> str:
    if isinstance(to, dict):
        return ", ".join(f"{key} {value}" for key, value in to.items())
    return str(to)
