"""What the site says about itself to other programs: schema.org records and link previews."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from markupsafe import Markup

from journal_tools.pages.diary import EntryView, short_link
from journal_tools.pages.preview import GENERAL_CARD, HEIGHT, WIDTH
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Asset, Page, site_link

_SCHEMA = "https://schema.org"
# Inside a script element only these could end it or be taken for something else.
_ESCAPES = {
    "<": "\\u003c",
    ">": "\\u003e",
    "&": "\\u0026",
    "\u2028": "\\u2028",
    "\u2029": "\\u2029",
}


def json_script(record: Mapping[str, Any]) -> Markup:
    """Give a record as a JSON-LD element in which no text can end the element.

    >>> json_script({"name": "</script>"})
    Markup('<script type="application/ld+json">{"name":"\\\\u003c/script\\\\u003e"}</script>')
    """
    text = json.dumps(record, ensure_ascii=False, separators=(",", ":"))
    for sign, written in _ESCAPES.items():
        text = text.replace(sign, written)
    return Markup(f'<script type="application/ld+json">{text}</script>')


def author_of(site: Site) -> str:
    """Give who writes: the keeper, or the tank where the keeper stays unnamed."""
    profile = site.journal.profile
    return (profile.keeper if profile.privacy.show_keeper else None) or profile.name


def _author(site: Site) -> dict[str, str]:
    profile = site.journal.profile
    named = bool(profile.keeper and profile.privacy.show_keeper)
    return {"@type": "Person" if named else "Organization", "name": author_of(site)}


def blog(site: Site) -> dict[str, Any]:
    """Give the record of the diary as a blog."""
    record: dict[str, Any] = {
        "@context": _SCHEMA,
        "@type": "Blog",
        "name": site.journal.profile.name,
        "author": _author(site),
    }
    return record | _addressed(site, "diary/index")


def blog_posting(site: Site, view: EntryView, card: str) -> dict[str, Any]:
    """Give the record of an entry; ``card`` is the place of its picture."""
    address = short_link(view.entry.id)
    record: dict[str, Any] = {
        "@context": _SCHEMA,
        "@type": "BlogPosting",
        "headline": view.heading,
        "description": view.summary,
        "datePublished": view.entry.time.isoformat() if view.entry.record.time
        else view.entry.day.isoformat(),
        "author": _author(site),
        "isPartOf": {"@type": "Blog", "name": site.journal.profile.name},
    }  # fmt: skip
    if view.entry.record.tags:
        record["keywords"] = list(view.entry.record.tags)
    if site.address.root:
        record["image"] = site.address.full(card)
        record["mainEntityOfPage"] = site.address.full(address)
    return record | _addressed(site, address)


def dataset(site: Site, files: Sequence[Asset]) -> dict[str, Any]:
    """Give the record of the published tables."""
    name = site.journal.profile.name
    record: dict[str, Any] = {
        "@context": _SCHEMA,
        "@type": "Dataset",
        "name": f"{name}: readings, doses and everything else that was logged",
        "description": f"All tables of the tank journal {name}, in stated units, with the day and "
        "the entry of each row.",
        "creator": _author(site),
    }
    if site.journal.entries:
        first, last = site.journal.entries[0].day, site.journal.entries[-1].day
        record["temporalCoverage"] = f"{first}/{last}"
    if site.address.root:
        record["distribution"] = [
            {"@type": "DataDownload", "contentUrl": site.address.full(file.path)} for file in files
        ]
    return record | _addressed(site, "data")


def _addressed(site: Site, path: str) -> dict[str, str]:
    """Give the address of a page as a record's own, where it is known."""
    return {"url": site.address.full(path)} if site.address.root else {}


def with_head(site: Site, page: Page, records: Mapping[str, Mapping[str, Any]]) -> Page:
    """Give a page with its head: feeds, words and picture for previews, its record if it has one.

    Args:
        site: The site.
        page: The page.
        records: Records by the path of the page that they are about.
    """
    name = site.journal.profile.name
    # A feed without an address cannot be subscribed to, and the theme asks the server about links.
    parts = [feed_links(name)] if site.address.root else []
    parts += open_graph(
        {
            "og:type": "website",
            "og:site_name": name,
            "og:title": page.title,
            "og:description": page.description,
            **_picture(site),
        }
    )
    if site.address.root:
        parts += open_graph({"og:url": site.address.full(page.path)})
    if page.path in records:
        parts.append(json_script(records[page.path]))
    return replace(page, head=str(Markup("\n").join(parts)))


def _picture(site: Site) -> dict[str, str]:
    """Give the general card; previews take a whole address only."""
    if not site.address.root:
        return {}
    return {
        "og:image": site.address.full(GENERAL_CARD),
        "og:image:width": str(WIDTH),
        "og:image:height": str(HEIGHT),
    }


def feed_links(name: str) -> Markup:
    """Give the elements by which a reader of feeds finds them."""
    link = Markup('<link rel="alternate" type="{}" title="{}" href="{}">')
    kinds = (("application/atom+xml", "feed.xml"), ("application/feed+json", "feed.json"))
    return Markup("\n").join(link.format(kind, name, site_link(path)) for kind, path in kinds)


def open_graph(properties: Mapping[str, str]) -> list[Markup]:
    """Give the elements of the Open Graph protocol (ogp.me)."""
    meta = Markup('<meta property="{}" content="{}">')
    return [meta.format(name, value) for name, value in properties.items() if value]
