"""The newest entries for readers of feeds, and all entries for search engines.

Sources: RFC 4287 (Atom); JSON Feed 1.1 (jsonfeed.org/version/1.1); sitemaps.org protocol 0.9.
"""

from __future__ import annotations

import json
import mimetypes
import re
import uuid
from collections.abc import Sequence
from typing import Any
from xml.etree import ElementTree as ET
from xml.sax.saxutils import escape

from journal_tools.pages.diary import EntryView, Views, short_link
from journal_tools.pages.linked_data import author_of
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Asset, resolve_links

ATOM, JSON_FEED = "feed.xml", "feed.json"
NEWEST = 30
_ATOM_SPACE = "http://www.w3.org/2005/Atom"
# XML 1.0 has no way to write these at all, not even escaped.
_NOT_IN_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def feed_assets(site: Site, views: Views) -> list[Asset]:
    """Give both feeds."""
    newest = list(views.values())[: -NEWEST - 1 : -1]
    return [
        Asset(ATOM, atom_feed(site, newest)),
        Asset(JSON_FEED, json_feed(site, newest)),
    ]


def entry_uuid(site: Site, view: EntryView) -> str:
    """Give the name of an entry for ever: it stays when the site moves to another address."""
    profile = site.journal.profile
    journal = uuid.uuid5(uuid.NAMESPACE_OID, f"{profile.name}\n{profile.start}")
    return uuid.uuid5(journal, view.entry.id).urn


def content_html(site: Site, view: EntryView) -> str:
    """Give what an entry says and shows, with links that hold outside the site."""
    template = site.templates.get_template("parts/feed_entry.html")
    return resolve_links(template.render(site=site, view=view).strip(), site.address.full)


def atom_feed(site: Site, views: Sequence[EntryView]) -> bytes:
    """Give the Atom feed of some entries, newest first."""
    profile = site.journal.profile
    journal = uuid.uuid5(uuid.NAMESPACE_OID, f"{profile.name}\n{profile.start}").urn
    feed = ET.Element("feed", xmlns=_ATOM_SPACE)
    _add(feed, "title", profile.name)
    _add(feed, "id", journal)
    newest = views[0].entry.time.isoformat() if views else f"{profile.start}T00:00:00Z"
    _add(feed, "updated", newest)
    _add(_add(feed, "author"), "name", author_of(site))
    _add(feed, "link", rel="self", type="application/atom+xml", href=site.address.full(ATOM))
    _add(feed, "link", rel="alternate", type="text/html", href=site.address.full("diary/index"))
    for view in views:
        _add_entry(_add(feed, "entry"), site, view)
    ET.indent(feed)
    text: bytes = ET.tostring(feed, encoding="utf-8", xml_declaration=True)
    return text


def _add_entry(element: ET.Element, site: Site, view: EntryView) -> None:
    moment = view.entry.time.isoformat()
    _add(element, "title", view.heading)
    _add(element, "id", entry_uuid(site, view))
    _add(element, "published", moment)
    _add(element, "updated", moment)
    address = site.address.full(short_link(view.entry.id))
    _add(element, "link", rel="alternate", type="text/html", href=address)
    for tag in view.entry.record.tags:
        _add(element, "category", term=tag)
    if view.summary:
        _add(element, "summary", view.summary)
    _add(element, "content", content_html(site, view), type="html")
    for shown in view.photos:
        picture = shown.rendition(480, "jpeg")
        href, size = site.address.full(picture.name), str(picture.path.stat().st_size)
        _add(element, "link", rel="enclosure", type="image/jpeg", length=size, href=href)


def _add(parent: ET.Element, tag: str, text: str = "", **attributes: str) -> ET.Element:
    clean = {name: _NOT_IN_XML.sub("", value) for name, value in attributes.items()}
    element = ET.SubElement(parent, tag, clean)
    element.text = _NOT_IN_XML.sub("", text) or None
    return element


def json_feed(site: Site, views: Sequence[EntryView]) -> bytes:
    """Give the JSON Feed of some entries, newest first."""
    feed: dict[str, Any] = {
        "version": "https://jsonfeed.org/version/1.1",
        "title": site.journal.profile.name,
        "language": "en",
        "authors": [{"name": author_of(site)}],
    }
    if site.address.root:
        feed["home_page_url"] = site.address.full("")
        feed["feed_url"] = site.address.full(JSON_FEED)
    feed["items"] = [_item(site, view) for view in views]
    return json.dumps(feed, ensure_ascii=False, indent=1).encode()


def _item(site: Site, view: EntryView) -> dict[str, Any]:
    item: dict[str, Any] = {
        "id": entry_uuid(site, view),
        "url": site.address.full(short_link(view.entry.id)),
        "title": view.heading,
        "content_html": content_html(site, view),
        "date_published": view.entry.time.isoformat(),
    }
    if view.summary:
        item["summary"] = view.summary
    if view.entry.record.tags:
        item["tags"] = list(view.entry.record.tags)
    pictures = [shown.rendition(480, "jpeg") for shown in view.photos]
    if pictures:
        item["image"] = site.address.full(pictures[0].name)
        item["attachments"] = [
            {
                "url": site.address.full(picture.name),
                "mime_type": mimetypes.guess_type(picture.name)[0] or "image/jpeg",
                "size_in_bytes": picture.path.stat().st_size,
            }
            for picture in pictures
        ]
    return item


def with_entries(sitemap: str, site: Site) -> str:
    """Give a sitemap with the small page of every entry in it, if the address is known.

    Args:
        sitemap: What the site generator made, a ``urlset`` element.
        site: The site.
    """
    if not site.address.root or "</urlset>" not in sitemap:
        return sitemap
    rows = "".join(
        f"<url><loc>{escape(site.address.full(short_link(entry.id)))}</loc></url>\n"
        for entry in site.journal.entries
    )
    return sitemap.replace("</urlset>", f"{rows}</urlset>")
