"""The journal's state in one HTML file for mail: no script, nothing beside it, nothing fetched."""

from __future__ import annotations

import base64
import datetime as dt
import re
from html import unescape
from typing import Any

from markupsafe import Markup
from PIL import Image

from journal_tools.charts.render import stylesheet
from journal_tools.charts.theme import variables_css
from journal_tools.metrics import Result
from journal_tools.pages.build import pieces
from journal_tools.pages.checks import checks_of
from journal_tools.pages.diary import entry_view
from journal_tools.pages.figures import parameter_figure
from journal_tools.pages.site import Shown, Site, latest
from journal_tools.pages.today import slips
from journal_tools.sharing.pictures import Limits, fitting_photo

DAYS = 90
_PHOTO_BYTES = 120_000
_MOST_PHOTOS = 12
_LINK = re.compile(r'\shref="site:[^"]*"')
_ELEMENT_OF_SITE = re.compile(r"<(?:img|source)\b[^>]*\bsite:[^>]*>")


def single_file(site: Site, photo_width_px: int = 900) -> str:
    """Give today's state, the last 90 days and the build in short as one HTML page.

    Args:
        site: The journal.
        photo_width_px: Most pixels across of a photo.
    """
    since = site.today - dt.timedelta(days=DAYS)
    entries = [entry for entry in site.journal.entries if entry.day > since]
    limits = Limits(photo_width_px, _PHOTO_BYTES, _MOST_PHOTOS)
    shown = [shown for entry in entries for shown in site.photos_of(entry)][-_MOST_PHOTOS:]
    cover = latest(site.shown_photos, "front")
    groups = checks_of(site)
    html = site.templates.get_template("sharing/single_file.html").render(
        site=site,
        days=DAYS,
        cover=cover,
        picture=lambda one: _inlined(one, limits),
        slips=slips(site),
        figures=_figures(site, since),
        views=[entry_view(site, entry) for entry in reversed(entries)],
        kept={id_of(one) for one in shown},
        id_of=id_of,
        groups=groups,
        pieces=pieces(site),
        results=_results(groups),
        css=Markup(f"{stylesheet()}:root{{{variables_css('light')}}}"),
        dark=Markup(variables_css("dark")),
    )
    return without_site_links(html)


def without_site_links(html: str) -> str:
    """Give HTML whose links into the site are plain words.

    >>> without_site_links('<a class="x" href="site:water#ph">pH</a>')
    '<a class="x">pH</a>'
    """
    return _ELEMENT_OF_SITE.sub("", _LINK.sub("", html))


def id_of(shown: Shown) -> tuple[str, str]:
    """Give what tells one use of a photo from another."""
    return shown.entry.id, shown.photo.source


def _figures(site: Site, since: dt.date) -> list[tuple[str, Markup, str]]:
    """Give label, drawing and words of each parameter that was tested in the last days."""
    times = site.tables.readings
    recent = set(times[times["time"].dt.date > since]["parameter"])
    found = [(p, parameter_figure(site, p)) for p in site.tested if p.name in recent]
    return [(p.label, Markup(figure.svg), unescape(figure.description)) for p, figure in found]


def _results(groups: Any) -> list[Result]:
    return [result for _, found in groups for check in found for result in check.results]


def _inlined(shown: Shown, limits: Limits) -> Markup:
    """Give a photo as an element that holds its own bytes."""
    with Image.open(shown.rendition(limits.width_px).path) as picture:
        data, width = fitting_photo(picture, limits)
        height = round(picture.height * width / picture.width)
    source = f"data:image/jpeg;base64,{base64.b64encode(data).decode()}"
    return Markup('<img src="{}" alt="{}" width="{}" height="{}">').format(
        source, shown.alt, width, height
    )
