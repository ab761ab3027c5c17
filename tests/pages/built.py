"""A built site with its pages parsed as a browser would."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from xml.etree.ElementTree import Element

import html5lib

from journal_tools.pages.site import Site
from journal_tools.pages.tree import Page, PageTree


@dataclass(frozen=True)
class Html:
    """One page: its elements in order, and the parser's complaints."""

    page: Page
    root: Element
    errors: list[str]

    @classmethod
    def of(cls, page: Page) -> Html:
        parser = html5lib.HTMLParser(namespaceHTMLElements=False)
        text = f"<!doctype html><html lang=en><title>x</title><main>{page.html}</main></html>"
        root = parser.parse(text)
        return cls(page, root, [code for _, code, _ in parser.errors])

    def all(self, *tags: str) -> Iterator[Element]:
        """Give the elements of some tags, or all, in the order of the page."""
        for element in self.root.iter():
            if isinstance(element.tag, str) and (not tags or element.tag in tags):
                yield element

    def by_class(self, name: str) -> list[Element]:
        return [e for e in self.all() if name in e.get("class", "").split()]

    def by_id(self, anchor: str) -> Element:
        (found,) = [e for e in self.all() if e.get("id") == anchor]
        return found

    @property
    def text(self) -> str:
        return text_of(self.root)


def text_of(element: Element) -> str:
    """Give the words inside an element, spaces evened out."""
    return " ".join("".join(element.itertext()).split())


@dataclass(frozen=True)
class Built:
    """A site and its page tree."""

    site: Site
    tree: PageTree

    @cached_property
    def html(self) -> dict[str, Html]:
        return {page.path: Html.of(page) for page in self.tree.pages}
