"""Everything that pages are made from, gathered once for one build."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

import pandas as pd
from jinja2 import Environment

from journal_tools.attention import Notice, notices
from journal_tools.cache import Cache
from journal_tools.display import Display, display_of
from journal_tools.events import chart_events
from journal_tools.journal import Journal
from journal_tools.logged import LoggedEntry
from journal_tools.metrics import METRICS, Metric, Metrics, Result, compute_metrics
from journal_tools.pages.address import NOWHERE, Address
from journal_tools.pages.glossary_terms import term_link
from journal_tools.pages.money import money_of, money_text
from journal_tools.pages.tree import Page, site_link
from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.photos import Photo, Rendition, prepare
from journal_tools.problems import Problem, in_order
from journal_tools.publishing import published
from journal_tools.requests import photo_requests
from journal_tools.tables import Tables, build_tables
from journal_tools.tasks import Task, tasks_of
from journal_tools.templates import environment
from journal_tools.words import (
    ago,
    as_heading,
    day_text,
    month_text,
    number_text,
    reading_text,
    short_day,
    span_text,
)

_COUNTED_UNITS = ("days", "photos")


@dataclass(frozen=True)
class Shown:
    """A photo where it is used: which entry shows it and with what words."""

    photo: Photo
    entry: LoggedEntry
    view: str
    caption: str

    @property
    def alt(self) -> str:
        """Text for readers who do not see it."""
        return self.caption or as_heading(f"{self.view or 'photo'}, {day_text(self.entry.day)}")

    def rendition(self, width: int, kind: str = "webp") -> Rendition:
        """Give the picture of a kind that is nearest to a width from above, or the widest."""
        found = [r for r in self.photo.renditions if r.format == kind]
        return next((r for r in found if r.width >= width), found[-1])


@dataclass(frozen=True)
class Site:
    """A journal with its tables, metrics and photos, and the templates to show them."""

    journal: Journal
    tables: Tables
    metrics: Metrics
    photos: dict[str, Photo]
    problems: tuple[Problem, ...]
    cache: Cache
    templates: Environment
    address: Address = field(default_factory=Address)

    @property
    def today(self) -> dt.date:
        """The day from which ages are reckoned."""
        return self.journal.today

    @cached_property
    def display(self) -> Display:
        """The units in which the pages speak."""
        return display_of(self.journal.profile)

    @cached_property
    def shown_tables(self) -> Tables:
        """The tables in these units."""
        return self.display.tables(self.tables)

    @cached_property
    def shown(self) -> Metrics:
        """All results in these units."""
        return self.display.metrics(self.metrics)

    @cached_property
    def events(self) -> pd.DataFrame:
        """What charts mark on their axis."""
        return chart_events(self.tables, self.display.volume_text)

    @cached_property
    def notices(self) -> list[Notice]:
        """What might be looked at next."""
        return notices(self.shown_tables, self.shown, self.display.parameters)

    @cached_property
    def tasks(self) -> list[Task]:
        """What is to be done again and again."""
        return tasks_of(self.tables)

    @cached_property
    def tested(self) -> list[Parameter]:
        """The parameters that have readings, in the order of the parameter table."""
        present = set(self.tables.readings["parameter"])
        return [p for name, p in self.display.parameters.items() if name in present]

    @cached_property
    def shown_photos(self) -> list[Shown]:
        """Every usable photo in order of time."""
        return [shown for entry in self.journal.entries for shown in self.photos_of(entry)]

    @cached_property
    def positions(self) -> dict[str, int]:
        """Place of each entry in the order of time, by id."""
        return {entry.id: place for place, entry in enumerate(self.journal.entries)}

    def photos_of(self, entry: LoggedEntry) -> list[Shown]:
        """Give the usable photos of an entry."""
        return [
            Shown(self.photos[use.file], entry, use.view or "", use.caption or "")
            for use in entry.record.photos
            if use.file in self.photos
        ]

    def series(self, view: str) -> list[Shown]:
        """Give the photos of one view in order of time."""
        return [shown for shown in self.shown_photos if shown.view.casefold() == view.casefold()]

    def entry_link(self, entry_id: str) -> str | None:
        """Give the link of an entry, or None if there is no such entry."""
        if entry_id not in self.journal.entry_by_id:
            return None
        return site_link(month_path(self.journal.entry_by_id[entry_id].day), entry_id)

    def page(self, template: str, path: str, title: str, **values: Any) -> Page:
        """Fill a template and give the page."""
        description = values.pop("description", "")
        html = self.templates.get_template(f"pages/{template}").render(
            site=self, title=title, **values
        )
        return Page(path, title, html, description)


def month_path(day: dt.date) -> str:
    """Give the place of the page that holds a day's entries."""
    return f"diary/{day:%Y-%m}"


def gather_site(
    journal: Journal,
    cache: Cache,
    own_templates: Path | None = None,
    address: Address = NOWHERE,
) -> Site:
    """Compute tables, metrics and photos of a journal."""
    photos, found = prepare_photos(journal, cache)
    journal, photos = published(journal, photos)
    tables = build_tables(journal, cache)
    site = Site(
        journal=journal,
        tables=tables,
        metrics=compute_metrics(tables),
        photos=photos,
        problems=in_order([*journal.problems, *found, *tables.probes.problems]),
        cache=cache,
        templates=environment(own_templates),
        address=address,
    )
    _teach(site)
    return site


def prepare_photos(journal: Journal, cache: Cache) -> tuple[dict[str, Photo], list[Problem]]:
    """Give the photos that entries name, sized and cleaned, and what is wrong with the others."""
    requests = photo_requests(journal.entries)
    return prepare(requests, journal.photo_folder, cache) if requests else ({}, [])


def _teach(site: Site) -> None:
    """Give templates the words and links that they may use."""
    definitions = {metric.name: metric for metric in METRICS}

    def metric_of(result: Result) -> Metric:
        return definitions[result.metric]

    def money(amount: float) -> str:
        return money_text(amount, site.journal.profile.currency)

    def age(day: dt.date) -> str:
        return ago(day, site.today)

    site.templates.globals.update(
        link=site_link, entry_link=site.entry_link, metric_of=metric_of, parameters=PARAMETERS,
        interval=interval_text, term=term_link,
        unit_text=unit_text,
    )  # fmt: skip
    site.templates.filters.update(
        day=day_text, short_day=short_day, month=month_text, ago=age, number=number_text,
        reading=reading_text, as_heading=as_heading, span=span_text,
        metric_caution=lambda result: metric_of(result).caution, money_of=money_of, money=money,
    )  # fmt: skip


def unit_text(result: Result) -> str:
    """Give the unit of a result as it is said after its value: 1 day, 2 days."""
    single = number_text(result.value, result.decimals) == "1" and result.unit in _COUNTED_UNITS
    return result.unit.removesuffix("s") if single else result.unit


def interval_text(result: Result) -> str:
    """Give the interval of a result: ``± 4`` where it is even, else ``12 to 48``."""
    if result.low is None or result.high is None:
        return ""
    below, above = result.value - result.low, result.high - result.value
    digits = result.decimals
    low, half = number_text(result.low, digits), number_text((below + above) / 2, digits)
    if abs(below - above) <= 0.02 * max(below, above, 1e-12):
        return f"± {half}" if half.strip("0.") else ""
    return f"{low} to {number_text(result.high, digits)}"


def latest(shown: Sequence[Shown], view: str) -> Shown | None:
    """Give the newest photo of a view, or the newest of all."""
    of_view = [s for s in shown if s.view.casefold() == view]
    found = of_view or [*shown]
    return found[-1] if found else None
