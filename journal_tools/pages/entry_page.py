"""A small page for each entry, made to be shared: it needs nothing else of the site but a style.

These pages are files and not pages of the site generator: thousands of them cost it minutes, and
a reader who follows a link from a forum wants the entry and not a navigation.
"""

from __future__ import annotations

from pathlib import Path

from markupsafe import Markup

from journal_tools.charts.theme import variables_css
from journal_tools.pages.diary import EntryView, Views, short_link
from journal_tools.pages.linked_data import blog_posting, json_script, open_graph
from journal_tools.pages.preview import HEIGHT, WIDTH, card_paths
from journal_tools.pages.site import Site, month_path
from journal_tools.pages.tree import Asset, resolve_links
from journal_tools.templates import find_template
from journal_tools.words import day_text, month_text

ENTRY_STYLE, _BOX_STYLE = "assets/entry.css", "assets/box.css"
_DEPTH = 2  # e/<id>/


def entry_assets(site: Site, views: Views, own_templates: Path | None = None) -> list[Asset]:
    """Give the small page of every entry, and the style that they share."""
    cards = card_paths(views)
    pages = [
        Asset(short_link(entry), entry_html(site, view, cards[entry]).encode())
        for entry, view in views.items()
    ]
    return [*pages, Asset(ENTRY_STYLE, _style(own_templates))] if pages else []


def entry_html(site: Site, view: EntryView, card: str) -> str:
    """Give the whole HTML of an entry's page; ``card`` is the place of its picture."""
    html = site.templates.get_template("pages/entry.html").render(
        site=site,
        view=view,
        entry=view.entry,
        month=month_text(view.entry.day),
        month_path=month_path(view.entry.day),
        short_link=short_link,
        style=ENTRY_STYLE,
        script="assets/journal.js",
        head=_head(site, view, card),
    )
    return resolve_links(html, lambda path: site.address.from_below(path, _DEPTH))


def _head(site: Site, view: EntryView, card: str) -> Markup:
    """Give what other programs read of an entry."""
    known = bool(site.address.root)
    picture = site.address.full(card) if known else site.address.from_below(card, _DEPTH)
    properties = {
        "og:type": "article",
        "og:site_name": site.journal.profile.name,
        "og:title": view.heading,
        "og:description": view.summary or day_text(view.entry.day),
        "og:url": site.address.full(short_link(view.entry.id)) if known else "",
        "og:image": picture,
        "og:image:width": str(WIDTH),
        "og:image:height": str(HEIGHT),
        "og:image:alt": view.photos[0].alt if view.photos else view.heading,
        "article:published_time": view.entry.time.isoformat(),
    }
    parts = open_graph(properties)
    if not known:
        note = "Set site_url in mkdocs.yml: a preview shows its picture by a whole address only."
        parts.append(Markup(f"<!-- {note} -->"))
    # The one name that Open Graph has no word for: show the picture large.
    parts.append(Markup('<meta name="twitter:card" content="summary_large_image">'))
    parts.append(json_script(blog_posting(site, view, card)))
    return Markup("\n").join(parts)


def _style(own_templates: Path | None) -> bytes:
    """Put the palette before the style: these pages follow the system's light or dark."""
    files = (find_template(name, own_templates) for name in (ENTRY_STYLE, _BOX_STYLE))
    own = "\n".join(file.read_text(encoding="utf-8") for file in files)
    light, dark = variables_css("light"), variables_css("dark")
    palette = (
        f":root{{{light}}}\n@media (prefers-color-scheme: dark){{:root{{{dark}}}}}\n"
        f"@media print{{:root{{{light}}}}}\n"
    )
    return f"{palette}{own}".encode()
