"""The page tree: headings, links, and what adapters make of them."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.pages.tree import (
    Asset,
    Heading,
    Page,
    linked_paths,
    resolve_links,
    site_link,
)


def relative(path: str) -> str:
    return f"../{path}/"


@pytest.mark.parametrize(
    ("html", "resolved"),
    [
        ('<a href="site:water">x</a>', '<a href="../water/">x</a>'),
        ('<a href="site:water#ph">x</a>', '<a href="../water/#ph">x</a>'),
        ('<a href="site:">x</a>', '<a href="..//">x</a>'),
        ('<a class="b" href="site:a" rel="c">', '<a class="b" href="../a/" rel="c">'),
        (
            '<source srcset="site:a.webp 480w, site:b.webp 1280w">',
            '<source srcset="../a.webp/ 480w, ../b.webp/ 1280w">',
        ),
        ('<button data-src="site:c.js" data-vega="site:v.js">', '<button data-src="../c.js/" '
         'data-vega="../v.js/">'),
        # the word is no link: in text, in code, in attributes that hold words
        ("<p>on site: here, site:water</p>", "<p>on site: here, site:water</p>"),
        ('<p>href="site:x"</p>', '<p>href="site:x"</p>'),
        ('<img alt="on site: x" src="site:a.jpg">', '<img alt="on site: x" src="../a.jpg/">'),
        ('<li title="site:x, site:y">', '<li title="site:x, site:y">'),
        ('<a href="https://a.example/site:x">x</a>', '<a href="https://a.example/site:x">x</a>'),
        # escaped in the template, plain in the path
        ('<a href="site:a&amp;b">x</a>', '<a href="../a&b/">x</a>'),
    ],
)  # fmt: skip
def test_links_of_the_site(html: str, resolved: str) -> None:
    assert resolve_links(html, relative) == resolved


@pytest.mark.parametrize(
    ("html", "paths"),
    [
        ('<a href="site:water#ph">x</a><a href="site:">y</a>', ["water", ""]),
        ('<source srcset="site:a 1w, site:b 2w">', ["a", "b"]),
        ('<img alt="on site: x" src="site:a.jpg"> site:z', ["a.jpg"]),
        ("<p>nothing</p>", []),
    ],
)
def test_paths_that_are_linked(html: str, paths: list[str]) -> None:
    assert list(linked_paths(html)) == paths


@given(st.from_regex(r"[a-z0-9/.-]*", fullmatch=True), st.from_regex(r"[a-z0-9-]*", fullmatch=True))
def test_a_link_made_is_a_link_found(path: str, anchor: str) -> None:
    html = f'<a href="{site_link(path, anchor)}">x</a>'
    assert list(linked_paths(html)) == [path]
    tail = f"#{anchor}" if anchor else ""
    assert resolve_links(html, lambda found: f"[{found}]") == f'<a href="[{path}]{tail}">x</a>'


def test_headings_for_a_table_of_contents() -> None:
    html = (
        '<h1 id="t">T</h1><h2 id="a">A &amp; <em>b</em></h2><h3 class="x" id="c">C</h3>'
        '<h2>none</h2><h4 id="d">D</h4>\n<h2 id="e"><a href="#e">E\nf</a></h2>'
    )
    assert Page("p", "P", html).headings == [
        Heading(2, "a", "A & b"), Heading(3, "c", "C"), Heading(2, "e", "E\nf"),
    ]  # fmt: skip


def test_a_file_is_bytes_or_lies_somewhere(tmp_path: Path) -> None:
    path = tmp_path / "x.bin"
    path.write_bytes(b"there")
    assert Asset("a", b"here").read() == b"here"
    assert Asset("b", path).read() == b"there"
