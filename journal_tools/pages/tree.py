"""The page tree: what a site consists of before any site generator sees it."""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

_HEADING = re.compile(r'<h([23])[^>]*\bid="([^"]+)"[^>]*>(.*?)</h\1>', re.DOTALL)
_TAG = re.compile(r"<[^>]+>")
_SITE_LINK = re.compile(r'(?<=["\s,])site:([^"#\s]*)')
# Only in attributes that link: a keeper's text and captions may well hold the word "site:".
_LINKING_TAG = re.compile(r'<[a-z][^<>]*[" ,]site:[^<>]*>')
_LINKING_ATTRIBUTE = re.compile(r'\s(?:href|src|srcset|data-src|data-vega)="[^"]*"')


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading that a table of contents can point to."""

    level: int
    id: str
    title: str


@dataclass(frozen=True)
class Page:
    """One page.

    Attributes:
        path: Place on the site without ending: ``""`` is the first page, ``diary/2026-03`` one
            below the diary.
        title: For the browser and the navigation.
        html: Body, with links written as ``site:path#anchor``.
        description: One sentence for search engines and link previews.
        head: Elements for the head of the page, with ``site:`` links like the body.
    """

    path: str
    title: str
    html: str
    description: str = ""
    head: str = ""

    @property
    def headings(self) -> list[Heading]:
        """Second and third level headings that have an id, in order."""
        return [
            Heading(int(level), anchor, html.unescape(_TAG.sub("", title)).strip())
            for level, anchor, title in _HEADING.findall(self.html)
        ]


@dataclass(frozen=True)
class Asset:
    """A file of the site that is not a page: its place, and its bytes or where they lie."""

    path: str
    content: bytes | Path

    def read(self) -> bytes:
        """Give the bytes."""
        return self.content.read_bytes() if isinstance(self.content, Path) else self.content


@dataclass
class PageTree:
    """All pages and files of a site, and which pages the navigation names, in order."""

    pages: list[Page] = field(default_factory=list)
    assets: list[Asset] = field(default_factory=list)
    navigation: list[tuple[str, str]] = field(default_factory=list)


def nested_headings(page: Page) -> list[Any]:
    """Give headings in the form of Markdown's contents: third level under second."""
    tokens: list[Any] = []
    for heading in page.headings:
        name = html.escape(heading.title)  # themes print it as it is
        token = {"level": heading.level, "id": heading.id, "name": name, "children": []}
        parent = tokens[-1]["children"] if heading.level == 3 and tokens else tokens
        parent.append(token)
    return tokens


def site_link(path: str, anchor: str = "") -> str:
    """Give a link inside the site that an adapter turns into a relative one.

    >>> site_link("diary/2026-03", "2026-03-14")
    'site:diary/2026-03#2026-03-14'
    """
    return f"site:{path}" + (f"#{anchor}" if anchor else "")


def resolve_links(body: str, relative: Callable[[str], str]) -> str:
    """Give HTML with every ``site:`` link replaced by what ``relative`` makes of its path.

    >>> resolve_links('<a href="site:water#ph">site:water</a>', lambda path: f"../{path}/")
    '<a href="../water/#ph">site:water</a>'
    """

    def target(link: re.Match[str]) -> str:
        return relative(html.unescape(link[1]))

    def within(tag: re.Match[str]) -> str:
        return _LINKING_ATTRIBUTE.sub(lambda found: _SITE_LINK.sub(target, found[0]), tag[0])

    return _LINKING_TAG.sub(within, body)


def linked_paths(body: str) -> Iterator[str]:
    """Give the paths of all ``site:`` links of some HTML."""
    for tag in _LINKING_TAG.finditer(body):
        for attribute in _LINKING_ATTRIBUTE.finditer(tag[0]):
            yield from (html.unescape(link[1]) for link in _SITE_LINK.finditer(attribute[0]))
