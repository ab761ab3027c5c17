"""Everything that the pages of a built site point to, and what of it is not there."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from urllib.parse import unquote, urlsplit
from xml.etree.ElementTree import Element

import html5lib

LOADED = ("link", "script", "img", "source", "iframe", "image", "use", "button", "object", "video")
"""Elements whose address a browser fetches by itself, or a script of the page does."""
_ATTRIBUTES = ("href", "src", "srcset", "action", "poster", "data", "data-src", "data-vega")
_ID_LISTS = ("for", "aria-labelledby", "aria-describedby", "aria-controls", "headers")
_CSS_URL = re.compile(r"""url\(\s*['"]?([^'")]+)|@import\s+['"]([^'"]+)""")


@dataclass(frozen=True)
class Reference:
    """An address in a page: by which element and attribute, and its words."""

    page: str
    tag: str
    attribute: str
    address: str

    def __str__(self) -> str:
        return f"{self.page}: <{self.tag} {self.attribute}={self.address!r}>"

    @property
    def external(self) -> bool:
        parts = urlsplit(self.address)
        return bool(parts.netloc) or parts.scheme in ("http", "https", "mailto")


@dataclass(frozen=True)
class Document:
    """One HTML page of a site."""

    path: str
    tree: Element

    @cached_property
    def ids(self) -> list[str]:
        return [element.attrib["id"] for element in self.tree.iter() if "id" in element.attrib]

    @cached_property
    def anchors(self) -> set[str]:
        return {*self.ids, *(e.attrib["name"] for e in self.tree.iter("a") if "name" in e.attrib)}

    def references(self) -> Iterator[Reference]:
        for element in self.tree.iter():
            for name in _ATTRIBUTES:
                for address in _addresses(name, element.attrib.get(name)):
                    yield Reference(self.path, bare_name(element), name, address)
            for address in _css_addresses(element.attrib.get("style", "")):
                yield Reference(self.path, "link", "style", address)

    def lost_ids(self) -> list[str]:
        """Ids that labels and descriptions name and no element of the page has."""
        named = {
            (name, one)
            for element in self.tree.iter()
            for name in _ID_LISTS
            for one in element.attrib.get(name, "").split()
        }
        return [f"{self.path}: {name}={one}" for name, one in named if one not in self.ids]


def bare_name(element: Element) -> str:
    """Give the tag without the namespace that drawings carry."""
    return str(element.tag).rpartition("}")[2]


def _addresses(name: str, value: str | None) -> list[str]:
    if value is None:
        return []
    if name == "srcset":
        return [part.split()[0] for part in value.split(", ")]
    return [value.strip()]


def _css_addresses(text: str) -> list[str]:
    return [a or b for a, b in _CSS_URL.findall(text) if not (a or b).startswith(("data:", "#"))]


@dataclass(frozen=True)
class BuiltSite:
    """A site in a folder, published below ``prefix``."""

    folder: Path
    prefix: str = "/"
    documents: dict[str, Document] = field(default_factory=dict)

    @classmethod
    def read(cls, folder: Path, prefix: str = "/") -> BuiltSite:
        documents = {}
        for path in sorted(folder.rglob("*.html")):
            name = path.relative_to(folder).as_posix()
            tree = html5lib.parse(path.read_bytes(), namespaceHTMLElements=False)
            documents[name] = Document(name, tree)
        return cls(folder, prefix, documents)

    def references(self) -> Iterator[Reference]:
        for document in self.documents.values():
            yield from document.references()
        for sheet in sorted(self.folder.rglob("*.css")):
            name = sheet.relative_to(self.folder).as_posix()
            for address in _css_addresses(sheet.read_text(encoding="utf-8")):
                yield Reference(name, "link", "css", address)

    def broken(self) -> list[str]:
        """Every reference inside the site that leads nowhere."""
        inside = (r for r in self.references() if not r.external)
        return [str(r) for r in inside if not self._resolves(r)]

    def fetched_elsewhere(self) -> list[str]:
        """Everything that a browser would fetch from another host."""
        return [str(r) for r in self.references() if r.tag in LOADED and r.external]

    def _resolves(self, reference: Reference) -> bool:
        parts = urlsplit(reference.address)
        if parts.scheme:
            return parts.scheme == "data" and reference.tag in LOADED
        target = self._target(reference.page, unquote(parts.path))
        if target is None or not (self.folder / target).is_file():
            return False
        anchor = unquote(parts.fragment)
        return not anchor or target not in self.documents or self._has(target, anchor)

    def _has(self, page: str, anchor: str) -> bool:
        return anchor in self.documents[page].anchors

    def _target(self, page: str, path: str) -> str | None:
        """Give the file that a path means on a page, or None outside the site."""
        if not path:
            return page
        if path.startswith("/"):
            # Only the page for unknown addresses cannot know its own depth.
            if page != "404.html" or not path.startswith(self.prefix):
                return None
            joined = posixpath.normpath(path.removeprefix(self.prefix) or ".")
        else:
            joined = posixpath.normpath(posixpath.join(posixpath.dirname(page), path))
        if joined.startswith(".."):
            return None
        whole = self.folder / joined
        return posixpath.normpath(f"{joined}/index.html") if whole.is_dir() else joined
