"""The photos: same-view series first, then every picture by month."""

from __future__ import annotations

from itertools import groupby

from journal_tools.pages.site import Site
from journal_tools.pages.tree import Page
from journal_tools.words import counted, month_text

_SERIES_FROM = 3


def photos_page(site: Site) -> Page:
    """Give the gallery."""
    newest_first = list(reversed(site.shown_photos))
    months = [
        (month_text(month), month.strftime("%Y-%m"), list(group))
        for month, group in groupby(newest_first, lambda s: s.entry.day.replace(day=1))
    ]
    views = dict.fromkeys(shown.view for shown in site.shown_photos if shown.view)
    series = [(view, site.series(view)) for view in views]
    return site.page(
        "photos.html",
        "photos",
        "Photos",
        description=f"{counted(len(newest_first), 'photo')} of {site.journal.profile.name}.",
        months=months,
        series=[(view, shown) for view, shown in series if len(shown) >= _SERIES_FROM],
        count=len(newest_first),
    )
