"""Feeds and sitemap: valid by their standards, whole, and the same entry under the same name."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as ET

import feedparser
import jsonschema
import pytest

from journal_tools.pages.address import Address
from journal_tools.pages.diary import entry_views
from journal_tools.pages.feeds import (
    NEWEST,
    atom_feed,
    entry_uuid,
    feed_assets,
    json_feed,
    with_entries,
)
from journal_tools.pages.site import Site
from tests import journals
from tests.pages.built import Built

ROOT = "https://example.org/reef/"
ATOM = "{http://www.w3.org/2005/Atom}"
URL = {"type": "string", "pattern": "^https://"}
TEXT = {"type": "string", "minLength": 1}
AUTHORS = {"type": "array", "minItems": 1, "items": {"anyOf": [{"required": ["name"]}]}}
# Written from the text of the standard (jsonfeed.org/version/1.1).
JSON_FEED = {
    "type": "object",
    "required": ["version", "title", "items"],
    "properties": {
        "version": {"const": "https://jsonfeed.org/version/1.1"},
        "title": TEXT, "home_page_url": URL, "feed_url": URL, "description": TEXT, "icon": URL,
        "favicon": URL, "language": {"type": "string", "pattern": "^[a-z]{2}"},
        "authors": AUTHORS, "expired": {"type": "boolean"},
        "items": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["id"],
                "anyOf": [{"required": ["content_html"]}, {"required": ["content_text"]}],
                "properties": {
                    "id": TEXT, "url": URL, "external_url": URL, "title": TEXT,
                    "content_html": TEXT, "content_text": TEXT, "summary": TEXT, "image": URL,
                    "banner_image": URL, "language": TEXT, "authors": AUTHORS,
                    "date_published": {"type": "string", "format": "date-time"},
                    "date_modified": {"type": "string", "format": "date-time"},
                    "tags": {"type": "array", "items": TEXT},
                    "attachments": {
                        "type": "array",
                        "items": {
                            "required": ["url", "mime_type"],
                            "properties": {
                                "url": URL, "mime_type": {"pattern": "^image/"}, "title": TEXT,
                                "size_in_bytes": {"type": "integer", "minimum": 1},
                            },
                            "additionalProperties": False,
                        },
                    },
                },
                "additionalProperties": False,
            },
        },
    },
    "additionalProperties": False,
}  # fmt: skip


def at(site: Site, root: str = ROOT) -> Site:
    return replace(site, address=Address.of(root))


def newest(site: Site) -> list:  # type: ignore[type-arg]
    return list(reversed(entry_views(site).values()))


def test_the_json_feed_keeps_its_standard(built: Built) -> None:
    site = at(built.site)
    assets = {a.path: a.read() for a in feed_assets(site, entry_views(site))}
    feed = json.loads(assets["feed.json"])
    jsonschema.validate(feed, JSON_FEED)
    ids = [entry.id for entry in site.journal.entries][: -NEWEST - 1 : -1]
    assert [item["url"] for item in feed["items"]] == [f"{ROOT}e/{entry}/" for entry in ids]


def test_the_schema_refuses_what_the_standard_does(three: Built) -> None:
    feed = json.loads(json_feed(at(three.site), newest(at(three.site))))
    for spoilt in (
        feed | {"version": "https://jsonfeed.org/version/1"},
        feed | {"items": [{"content_html": "a"}]},
        feed | {"items": [{"id": "a"}]},
        {key: value for key, value in feed.items() if key != "title"},
    ):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(spoilt, JSON_FEED)


def test_the_atom_feed_is_read_without_complaint(built: Built) -> None:
    site = at(built.site)
    text = atom_feed(site, newest(site)[:NEWEST])
    found = feedparser.parse(text)
    assert not found.bozo, found.get("bozo_exception")
    assert found.version == "atom10"
    views = newest(site)[:NEWEST]
    # feedparser cleans titles as if they were HTML: what it may drop is looked at by itself.
    plain = [view for view in views if "<" not in view.heading]
    titles = {entry.title for entry in found.entries}
    assert {view.heading for view in plain} <= titles
    assert [entry.id for entry in found.entries] == [entry_uuid(site, view) for view in views]
    assert all(entry.link.startswith(f"{ROOT}e/") for entry in found.entries)
    assert all(entry.updated_parsed and entry.published_parsed for entry in found.entries)
    pictures = sum(len(entry.get("enclosures", [])) for entry in found.entries)
    assert pictures == sum(len(view.photos) for view in views)


def test_the_atom_feed_has_what_rfc_4287_requires(built: Built) -> None:
    site = at(built.site)
    feed = ET.fromstring(atom_feed(site, newest(site)[:NEWEST]))
    for name in ("id", "title", "updated"):
        assert len(feed.findall(ATOM + name)) == 1 and feed.findtext(ATOM + name)
    assert feed.findtext(f"{ATOM}author/{ATOM}name")
    relations = [link.get("rel") for link in feed.findall(f"{ATOM}link")]
    assert relations == ["self", "alternate"]
    for entry in feed.findall(f"{ATOM}entry"):
        for name in ("id", "title", "updated", "content"):
            assert len(entry.findall(ATOM + name)) == 1, name
        alternates = [e for e in entry.findall(f"{ATOM}link") if e.get("rel") == "alternate"]
        assert len(alternates) == 1


def test_an_entry_in_a_feed_is_whole(three: Built) -> None:
    site = at(three.site)
    items = {item["url"]: item for item in json.loads(json_feed(site, newest(site)))["items"]}
    last = items[f"{ROOT}e/2026-03-30-photos/"]
    assert last["content_html"].count("<img ") == len(last["attachments"]) == 3
    assert "On site: the &lt;sump&gt;" in last["content_html"]
    first = items[f"{ROOT}e/2026-01-31/"]
    assert f'href="{ROOT}diary/2026-03/#2026-03-30-photos"' in first["content_html"]
    assert "site:diary" not in first["content_html"]
    assert (first["tags"], first["date_published"]) == (["a&b", "<i>"], "2026-01-31T23:59:00+01:00")
    assert "77.7" not in json.dumps(items)


def test_letters_that_xml_cannot_hold_are_left_out(tmp_path: Path) -> None:
    log = {"log/2026-03-10.yml": 'title: "a\\x01b\\uFFFE"\nnotes: "c\\x1f"\n'}
    site = at(journals.site(tmp_path, log))
    feed = ET.fromstring(atom_feed(site, newest(site)))
    assert feed.findtext(f"{ATOM}entry/{ATOM}title") == "ab"


def test_an_entry_keeps_its_name_when_the_site_moves(three: Built) -> None:
    view = newest(three.site)[0]
    assert entry_uuid(at(three.site), view) == entry_uuid(at(three.site, "https://b.org"), view)
    names = {entry_uuid(three.site, view) for view in newest(three.site)}
    assert len(names) == 3 and all(name.startswith("urn:uuid:") for name in names)


def test_the_sitemap_names_every_entry(three: Built) -> None:
    empty = '<urlset xmlns="http://www.sitemaps.org/schemas/sitemap/0.9">\n</urlset>'
    found = ET.fromstring(with_entries(empty, at(three.site)))
    places = [e.text for e in found.iter("{http://www.sitemaps.org/schemas/sitemap/0.9}loc")]
    assert places == [f"{ROOT}e/{entry.id}/" for entry in three.site.journal.entries]
    assert with_entries(empty, three.site) == empty
    assert with_entries("", at(three.site)) == ""
