"""The small page of an entry: whole by itself, with links that hold and words for previews."""

from __future__ import annotations

import posixpath
from dataclasses import replace

import html5lib
import pytest

from journal_tools.pages.address import Address
from journal_tools.pages.diary import EntryView, entry_views, short_link
from journal_tools.pages.entry_page import entry_assets, entry_html
from journal_tools.pages.preview import card_paths
from journal_tools.pages.site import Site
from tests.pages.built import Built, text_of

ROOT = "https://example.org/reef/"


def parsed(html: str):  # type: ignore[no-untyped-def]
    parser = html5lib.HTMLParser(namespaceHTMLElements=False)
    root = parser.parse(html)
    assert [code for _, code, _ in parser.errors] == []
    return root


def meta(root) -> dict[str, str]:  # type: ignore[no-untyped-def]
    return {e.get("property"): e.get("content") for e in root.iter("meta") if e.get("property")}


def page_of(site: Site, view: EntryView) -> str:
    return entry_html(site, view, card_paths(entry_views(site))[view.entry.id])


def test_every_entry_has_its_page(built: Built) -> None:
    paths = {a.path for a in built.tree.assets if a.path.startswith("e/") and "card" not in a.path}
    assert paths == {short_link(entry.id) for entry in built.site.journal.entries}
    assert entry_assets(built.site, {}) == []


@pytest.mark.parametrize("directory_urls", [True, False])
def test_links_lead_to_pages_and_files_that_exist(built: Built, directory_urls: bool) -> None:
    address = Address(directory_urls=directory_urls)
    site = replace(built.site, address=address)
    files = {asset.path for asset in built.tree.assets}
    places = {address.place(path) for path in [*built.html, *files]}
    for view in list(entry_views(site).values())[:40]:
        root = parsed(page_of(site, view))
        found = 0
        for element in root.iter():
            for name in ("href", "src", "srcset"):
                for part in element.get(name, "").split(", "):
                    link = part.split(" ")[0].partition("#")[0]
                    if not link or link.startswith(("data:", "https:", "./")):
                        continue
                    joined = posixpath.normpath(posixpath.join(f"e/{view.entry.id}", link))
                    target = "" if joined == "." else joined + "/" * link.endswith("/")
                    assert target in places, (view.entry.id, link)
                    found += 1
        assert found >= 4


def test_an_entry_is_shown_whole(three: Built) -> None:
    views = entry_views(three.site)
    first = parsed(page_of(three.site, views["2026-01-31"]))
    assert text_of(next(first.iter("h1"))) == "First <script>alert(1)</script> water"
    words = text_of(first)
    for said in ("Alkalinity 8.0 dKH", "Big words", 'Why is it "green"?', "31 January 2026, 23:59"):
        assert said in words
    photos = parsed(page_of(three.site, views["2026-03-30-photos"]))
    alts = [e.get("alt") for e in photos.iter("img")]
    assert alts == [shown.alt for shown in three.site.shown_photos]
    assert "77.7" not in page_of(three.site, views["2026-02-10"])


def test_what_a_preview_shows(three: Built) -> None:
    site = replace(three.site, address=Address.of(ROOT))
    view = entry_views(site)["2026-01-31"]
    root = parsed(page_of(site, view))
    found = meta(root)
    assert found["og:title"] == "First <script>alert(1)</script> water"
    assert found["og:description"] == view.summary != ""
    assert found["og:url"] == f"{ROOT}e/2026-01-31/"
    assert found["og:image"] == f"{ROOT}e/2026-01-31/card.png"
    canonical = [e.get("href") for e in root.iter("link") if e.get("rel") == "canonical"]
    assert canonical == [f"{ROOT}e/2026-01-31/"]


def test_without_an_address_the_picture_is_near_and_the_page_says_why(three: Built) -> None:
    html = page_of(three.site, entry_views(three.site)["2026-01-31"])
    assert meta(parsed(html))["og:image"] == "../../e/2026-01-31/card.png"
    assert "og:url" not in html
    assert "<!-- Set site_url in mkdocs.yml" in html


def test_nothing_is_asked_of_another_host(built: Built) -> None:
    for view in list(entry_views(built.site).values())[:40]:
        root = parsed(page_of(built.site, view))
        for element in root.iter():
            for name in ("src", "srcset", *(["href"] if element.tag == "link" else [])):
                assert "//" not in element.get(name, "")


def test_one_can_walk_from_page_to_page(three: Built) -> None:
    views = list(entry_views(three.site).values())
    root = parsed(page_of(three.site, views[1]))
    links = {e.get("rel"): e.get("href") for e in root.iter("a") if e.get("rel")}
    assert links == {"prev": "../../e/2026-01-31/", "next": "../../e/2026-03-30-photos/"}
