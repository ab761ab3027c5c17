"""The diary by years: a sheet of days, the list of entries, milestones, this day in other years."""

from __future__ import annotations

import calendar
import datetime as dt
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from journal_tools.entries import Entry
from journal_tools.logged import LoggedEntry
from journal_tools.pages.diary import EntryView, Views, year_path
from journal_tools.pages.site import Shown, Site, month_path
from journal_tools.pages.thumbs import thumb_path
from journal_tools.pages.tree import Page
from journal_tools.words import counted, span_text

_SAID_OF_KIND: dict[str, Callable[[Entry], object]] = {
    "tests": lambda record: record.readings,
    "dosing": lambda record: record.doses or record.dosing_plan or record.stock,
    "water": lambda record: record.water_change or record.top_off,
    "animals": lambda record: record.livestock or record.feed,
    "equipment": lambda record: record.equipment or record.upkeep or record.calibrations,
    "photos": lambda record: record.photos,
    "notes": lambda record: record.notes or record.questions,
}
KINDS = tuple(_SAID_OF_KIND)
"""What an entry can be about, in the order in which pages name it."""

_NEAR_DAYS = 3
_COMMON_TAGS = 40


@dataclass(frozen=True)
class Listed:
    """An entry in a list: what it is called, what it is about, its first photo."""

    entry: LoggedEntry
    heading: str
    kinds: tuple[str, ...]
    photo: Shown | None

    @property
    def tags(self) -> list[str]:
        """Its tags in small letters, as filters compare them."""
        return [tag.casefold() for tag in self.entry.record.tags]


@dataclass(frozen=True)
class Day:
    """A day on the sheet; ``number`` is 0 for the blanks before the first."""

    number: int
    listed: tuple[Listed, ...] = ()
    ahead: bool = False

    @property
    def kinds(self) -> list[str]:
        """Everything that its entries are about."""
        return list(dict.fromkeys(kind for one in self.listed for kind in one.kinds))

    @property
    def tags(self) -> list[str]:
        """All tags of its entries."""
        return list(dict.fromkeys(tag for one in self.listed for tag in one.tags))

    @property
    def photo(self) -> Shown | None:
        """A photo of the day."""
        return next((one.photo for one in self.listed if one.photo), None)

    @property
    def milestone(self) -> bool:
        """Whether one of its entries is a milestone."""
        return any(one.entry.record.milestone for one in self.listed)

    @property
    def words(self) -> str:
        """What its entries are called."""
        return "; ".join(one.heading for one in self.listed)


@dataclass(frozen=True)
class Sheet:
    """A month of days in weeks of seven, Monday first."""

    month: dt.date
    path: str
    weeks: list[list[Day]]


@dataclass(frozen=True)
class Milestone:
    """An entry that counts, and how long after the one before it came."""

    listed: Listed
    after: str


@dataclass(frozen=True)
class MonthCard:
    """A month in the overview."""

    day: dt.date
    path: str
    count: int
    photos: int
    cover: Shown | None
    titles: list[str]


def kinds_of(record: Entry) -> tuple[str, ...]:
    """Give what an entry is about, in the order of ``KINDS``."""
    return tuple(kind for kind, said in _SAID_OF_KIND.items() if said(record))


def year_pages(site: Site, views: Views) -> list[Page]:
    """Give the overview of the diary and one page for each year that has entries."""
    listed = [_listed(view) for view in views.values()]
    years = [(year, list(group)) for year, group in groupby(listed, lambda one: one.entry.day.year)]
    numbers = [year for year, _ in years]
    pages = [_year_page(site, year, entries, numbers) for year, entries in years]
    return [_overview(site, listed, years), *pages]


def _listed(view: EntryView) -> Listed:
    photo = next((shown for shown in view.photos), None)
    return Listed(view.entry, view.heading, kinds_of(view.entry.record), photo)


def _overview(
    site: Site, listed: Sequence[Listed], years: Sequence[tuple[int, list[Listed]]]
) -> Page:
    count = counted(len(listed), "entry", "entries")
    newest = years[-1] if years else None
    return site.page(
        "diary.html",
        "diary/index",
        "Diary",
        description=f"{count} of {site.journal.profile.name}.",
        count=count,
        newest=newest,
        sheets=sheets(newest[0], newest[1], site.today) if newest else [],
        years=[(year, year_path(year), len(entries)) for year, entries in reversed(years)],
        cards=_cards(site),
        milestones=milestones(listed),
        around=around(listed, site.today),
        kinds=KINDS,
        tags=common_tags(listed),
        thumb_path=thumb_path,
    )


def _year_page(site: Site, year: int, listed: Sequence[Listed], years: Sequence[int]) -> Page:
    place = years.index(year)
    count = counted(len(listed), "entry", "entries")
    months = groupby(listed, lambda one: one.entry.day.replace(day=1))
    return site.page(
        "year.html",
        year_path(year),
        f"Diary {year}",
        description=f"{count} of {site.journal.profile.name} in {year}.",
        year=year,
        count=count,
        total=len(listed),
        before=years[place - 1] if place else None,
        after=years[place + 1] if place + 1 < len(years) else None,
        year_path=year_path,
        sheets=sheets(year, listed, site.today),
        months=[(month, month_path(month), list(entries)) for month, entries in months],
        kinds=KINDS,
        tags=common_tags(listed),
        thumb_path=thumb_path,
    )


def sheets(year: int, listed: Sequence[Listed], today: dt.date) -> list[Sheet]:
    """Give the months of a year from the first with an entry to the last.

    Args:
        year: The year.
        listed: Its entries in order of time.
        today: Days after it are still ahead.
    """
    if not listed:
        return []
    first, last = listed[0].entry.day.month, listed[-1].entry.day.month
    by_day: dict[dt.date, list[Listed]] = {}
    for one in listed:
        by_day.setdefault(one.entry.day, []).append(one)

    def day(number: int, month: int) -> Day:
        if not number:
            return Day(0)
        date = dt.date(year, month, number)
        return Day(number, tuple(by_day.get(date, ())), date > today)

    weeks = {month: calendar.monthcalendar(year, month) for month in range(first, last + 1)}
    return [
        Sheet(
            dt.date(year, month, 1),
            month_path(dt.date(year, month, 1)),
            [[day(number, month) for number in week] for week in rows],
        )
        for month, rows in weeks.items()
    ]


def milestones(listed: Sequence[Listed]) -> list[Milestone]:
    """Give the milestones, each with the time since the one before."""
    found = [one for one in listed if one.entry.record.milestone]
    gaps = [""] + [
        f"{span_text(days)} later" if (days := (b.entry.day - a.entry.day).days) else "same day"
        for a, b in pairwise(found)
    ]
    return [Milestone(one, gap) for one, gap in zip(found, gaps, strict=False)]


def around(listed: Sequence[Listed], day: dt.date) -> list[Listed]:
    """Give of each other year the entry nearest to a day of the year, at most three days off.

    Args:
        listed: Entries in order of time.
        day: The day, of which only month and day count.
    """
    found: dict[int, Listed] = {}
    for one in listed:
        year = one.entry.day.year
        off = _days_off(one.entry.day, day)
        best = found.get(year)
        nearer = best is None or off < _days_off(best.entry.day, day)
        if year != day.year and off <= _NEAR_DAYS and nearer:
            found[year] = one
    return [found[year] for year in sorted(found, reverse=True)]


def _days_off(one: dt.date, other: dt.date) -> int:
    """Give how many days two days of the year lie apart, whatever their years."""
    # A leap day counts as the last of February: it comes back in three years of four.
    days = [dt.date(2001, d.month, min(d.day, 28 if d.month == 2 else 31)) for d in (one, other)]
    apart = abs((days[0] - days[1]).days)
    return min(apart, 365 - apart)


def common_tags(listed: Sequence[Listed]) -> list[tuple[str, str]]:
    """Give the most used tags with their count in words, in the order of the alphabet."""
    counts = Counter(tag for one in listed for tag in one.tags)
    return sorted((tag, f"{tag} ({count})") for tag, count in counts.most_common(_COMMON_TAGS))


def _cards(site: Site) -> list[MonthCard]:
    months = groupby(site.journal.entries, lambda entry: entry.day.replace(day=1))
    return [_card(site, month, list(entries)) for month, entries in months][::-1]


def _card(site: Site, month: dt.date, entries: Sequence[LoggedEntry]) -> MonthCard:
    photos = [shown for entry in entries for shown in site.photos_of(entry)]
    front = [shown for shown in photos if shown.view == "front"]
    titles = [entry.title for entry in entries if entry.title]
    cover = next(reversed(front or photos), None)
    return MonthCard(month, month_path(month), len(entries), len(photos), cover, titles[:3])
