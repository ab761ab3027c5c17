"""The address of a site, known or not, and links that do not need it."""

from __future__ import annotations

import posixpath
from urllib.parse import urljoin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.pages.address import Address

PATHS = [
    "",
    "water",
    "diary/index",
    "diary/2026-03",
    "e/2026-03-14/index.html",
    "photos/a-480.webp",
]


@pytest.mark.parametrize("site_url", [None, "", "  "])
def test_an_address_nobody_told_is_unknown(site_url: str | None) -> None:
    assert Address.of(site_url) == Address()
    assert Address().full("feed.xml") == "feed.xml"


@pytest.mark.parametrize("site_url", ["https://example.org/reef", "https://example.org/reef//"])
def test_a_known_address_ends_in_one_slash(site_url: str) -> None:
    assert Address.of(site_url).full("") == "https://example.org/reef/"


def test_places_as_the_site_generator_makes_them() -> None:
    folders = ["", "water/", "diary/", "diary/2026-03/", "e/2026-03-14/", "photos/a-480.webp"]
    files = ["index.html", "water.html", "diary/index.html", "diary/2026-03.html",
             "e/2026-03-14/index.html", "photos/a-480.webp"]  # fmt: skip
    assert [Address().place(path) for path in PATHS] == folders
    assert [Address(directory_urls=False).place(path) for path in PATHS] == files


@given(st.sampled_from(PATHS), st.integers(0, 3), st.booleans())
def test_a_relative_link_leads_where_the_whole_one_does(
    path: str, depth: int, directory_urls: bool
) -> None:
    address = Address.of("https://example.org/reef", directory_urls=directory_urls)
    here = urljoin(address.root, posixpath.join(*["x"] * depth, "index.html"))
    assert urljoin(here, address.from_below(path, depth)) == address.full(path)
