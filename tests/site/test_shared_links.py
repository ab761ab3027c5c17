"""What others get of a published site: feeds, previews, and the place of every entry."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

import feedparser
import pytest

from tests.site.journals import change_settings, three_entries
from tests.site.program import Program

ROOT = "https://example.org/reef/"
ENTRIES = ("2026-03-14-the-first-day", "2026-03-21", "2026-04-02")


@pytest.fixture
def site(tmp_path: Path, program: Program) -> Path:
    journal = three_entries(tmp_path / "reef")
    change_settings(journal, site_url=ROOT)
    built, outcome = program.build(journal, "--strict")
    assert outcome.code == 0, outcome.said
    return built


def test_every_page_names_the_feeds_and_they_are_there(site: Path) -> None:
    for path, up in (("", ""), ("water/", "../"), ("diary/2026-03/", "../../")):
        page = (site / path / "index.html").read_text(encoding="utf-8")
        head = page.partition("</head>")[0]
        assert f'href="{up}feed.xml"' in head and f'href="{up}feed.json"' in head, path
        assert f'<meta property="og:url" content="{ROOT}{path}">' in head
    assert len(feedparser.parse((site / "feed.xml").read_bytes()).entries) == 3


def test_a_preview_finds_picture_and_page_by_their_whole_address(site: Path) -> None:
    for entry in ENTRIES:
        page = (site / "e" / entry / "index.html").read_text(encoding="utf-8")
        (picture,) = re.findall(r'<meta property="og:image" content="([^"]*)">', page)
        assert picture.startswith(f"{ROOT}e/")
        assert (site / picture.removeprefix(ROOT)).is_file()
        assert f'<link rel="canonical" href="{ROOT}e/{entry}/">' in page


def test_the_site_map_names_every_entry(site: Path) -> None:
    text = (site / "sitemap.xml").read_text(encoding="utf-8")
    places = re.findall("<loc>([^<]*)</loc>", text)
    assert {f"{ROOT}e/{entry}/" for entry in ENTRIES} <= set(places)
    assert len(places) == len(set(places))
    assert gzip.decompress((site / "sitemap.xml.gz").read_bytes()).decode() == text


def test_the_data_page_describes_the_tables(site: Path) -> None:
    page = (site / "data/index.html").read_text(encoding="utf-8")
    head = page.partition("</head>")[0]
    assert '"@type":"Dataset"' in head and f"{ROOT}data/readings.csv" in head
