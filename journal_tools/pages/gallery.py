"""The photos: the tank through time, series of one view, and every picture by month."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from journal_tools.pages.compare import Frame, Row, frames, rows
from journal_tools.pages.film import film_asset, thinned
from journal_tools.pages.site import Shown, Site
from journal_tools.pages.thumbs import thumb_path
from journal_tools.pages.tree import Asset, Page
from journal_tools.words import counted, month_text

_SERIES_FROM = 3
_MOST_FRAMES = 60
_RIBBON_VIEW = "front"
_MOST_IN_RIBBON = 120


@dataclass(frozen=True)
class Series:
    """Photos of one view.

    Attributes:
        view: Its name.
        frames: Photos in order of time, thinned if there are very many.
        count: Number of all photos of the view.
        rows: Comparison of the first and the last.
        film: The growth film.
    """

    view: str
    frames: list[Frame]
    count: int
    rows: list[Row]
    film: Asset

    @property
    def film_megabytes(self) -> float:
        """Size of the film in MB."""
        return len(self.film.read()) / 1e6


Months = list[tuple[str, str, list[Shown]]]


def photo_pages(site: Site) -> tuple[list[Page], list[Asset]]:
    """Give the photos page, one more for each older year, and the films."""
    by_year = [
        (year, list(group))
        for year, group in groupby(reversed(site.shown_photos), lambda s: s.entry.day.year)
    ]
    series = series_of(site)
    count = counted(len(site.shown_photos), "photo")
    main = site.page(
        "photos.html",
        "photos",
        "Photos",
        description=f"{count} of {site.journal.profile.name}.",
        count=count if site.shown_photos else "",
        series=series,
        ribbon=ribbon(site),
        months=_months(by_year[0][1]) if by_year else [],
        years=[(year, year_of_photos(year), len(shown)) for year, shown in by_year[1:]],
        thumb_path=thumb_path,
    )
    older = [_year_page(site, year, shown) for year, shown in by_year[1:]]
    return [main, *older], [one.film for one in series]


def year_of_photos(year: int) -> str:
    """Give the place of the page with a year's photos."""
    return f"photos/{year}"


def _year_page(site: Site, year: int, shown: Sequence[Shown]) -> Page:
    count = counted(len(shown), "photo")
    return site.page(
        "photo_year.html",
        year_of_photos(year),
        f"Photos {year}",
        description=f"{count} of {site.journal.profile.name} in {year}.",
        year=year,
        count=count,
        months=_months(shown),
    )


def _months(newest_first: Sequence[Shown]) -> Months:
    grouped = groupby(newest_first, lambda shown: shown.entry.day.replace(day=1))
    return [(month_text(month), f"{month:%Y-%m}", list(group)) for month, group in grouped]


def series_of(site: Site) -> list[Series]:
    """Give the views of which there are photos enough to see a change."""
    views = dict.fromkeys(shown.view for shown in site.shown_photos if shown.view)
    found = ((view, site.series(view)) for view in views)
    return [_series(site, view, shown) for view, shown in found if len(shown) >= _SERIES_FROM]


def _series(site: Site, view: str, shown: Sequence[Shown]) -> Series:
    chosen = frames(site, thinned(shown, _MOST_FRAMES))
    return Series(view, chosen, len(shown), rows(site, chosen), film_asset(site, view, shown))


def ribbon(site: Site) -> list[tuple[dt.date | None, Shown]]:
    """Give the photos of the whole tank, each with its month where a new one begins."""
    chosen = thinned(site.series(_RIBBON_VIEW), _MOST_IN_RIBBON)
    months = [shown.entry.day.replace(day=1) for shown in chosen]
    starts = [month if month not in months[:place] else None for place, month in enumerate(months)]
    return list(zip(starts, chosen, strict=True)) if len(chosen) >= _SERIES_FROM else []
