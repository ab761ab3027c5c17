"""The reference of keys as a page: for the keeper who writes, kept away from search engines."""

from __future__ import annotations

from dataclasses import dataclass, replace

from journal_tools.keys import FILES, Key, all_keys
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Page

KEYS_PATH = "keys"


@dataclass(frozen=True)
class Section:
    """A key at the top of a file, with all keys inside it.

    Attributes:
        anchor: Id of its heading.
        key: The key.
        inside: The keys inside it, at any depth.
    """

    anchor: str
    key: Key
    inside: tuple[Key, ...]


def keys_page(site: Site) -> Page:
    """Give the page of all keys."""
    page = site.page(
        "keys.html",
        KEYS_PATH,
        "Every key",
        description="Every key of a journal's files in plain words, with an example.",
        files=[(file, sections_of(file)) for file in FILES],
    )
    return replace(page, head='<meta name="robots" content="noindex">')


def sections_of(file: str) -> list[Section]:
    """Give the keys at the top of a file, each with those inside it."""
    keys = [key for key in all_keys() if key.file == file]
    prefix = file.rpartition(" ")[2].partition(".")[0]
    return [
        Section(f"{prefix}-{key.path}", key,
                tuple(one for one in keys if one.path.startswith(f"{key.path}.")))
        for key in keys if "." not in key.path
    ]  # fmt: skip
