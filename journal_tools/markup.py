"""What a keeper writes, as HTML that is safe to publish.

Entries may come from strangers (a club gathers many journals). Raw HTML stays text, and only
links to the web, to mail and to other entries survive; pictures belong under ``photos:``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import lru_cache

import nh3
from markdown_it import MarkdownIt
from markdown_it.token import Token

_WEB = re.compile(r"(https?://|mailto:)", re.IGNORECASE)
_TAGS = {
    "a", "blockquote", "br", "code", "del", "em", "h2", "h3", "h4", "h5", "h6", "hr", "li", "ol",
    "p", "pre", "s", "strong", "table", "tbody", "td", "th", "thead", "tr", "ul",
}  # fmt: skip
_SITE_SCHEME = "site"


@lru_cache(maxsize=1)
def notes_parser() -> MarkdownIt:
    """Give the one reader of notes: CommonMark with tables and strikethrough, raw HTML as text."""
    return MarkdownIt("commonmark", {"html": False}).enable(["table", "strikethrough"])


def render_notes(text: str, entry_link: Callable[[str], str | None], under: int = 2) -> str:
    """Give Markdown notes as HTML.

    Args:
        text: Markdown. Raw HTML is shown as text.
        entry_link: Gives the site link of an entry id, or None if there is no such entry.
        under: Level of the page's heading above the notes, 1 to 5.

    >>> render_notes("see **it** <b>", lambda _: None)
    '<p>see <strong>it</strong> &lt;b&gt;</p>'
    """
    tokens = notes_parser().parse(text)
    _fit_headings(tokens, under)
    for token in _flat(tokens):
        if token.type == "link_open":
            target = link_target(str(token.attrs.pop("href", "")), entry_link)
            token.attrs |= {"href": target} if target else {}
        elif token.type == "image":
            token.type, token.tag, token.content = "text", "", token.content
    html = notes_parser().renderer.render(tokens, notes_parser().options, {})
    return nh3.clean(
        html.strip(),
        tags=_TAGS,
        attributes={"*": set(), "a": {"href"}, "ol": {"start"}},
        url_schemes={"http", "https", "mailto", _SITE_SCHEME},
        link_rel="noopener nofollow",
    )


def _fit_headings(tokens: list[Token], under: int) -> None:
    """Put headings below the page's own, each at most one level deeper than the one before."""
    above: list[int] = []
    for token in tokens:
        if token.type == "heading_open":
            level = int(token.tag[1])
            above = [*(outer for outer in above if outer < level), level]
        if token.type in ("heading_open", "heading_close"):
            token.tag = f"h{min(6, under + len(above))}"


def note_faults(text: str, entry_link: Callable[[str], str | None]) -> list[tuple[int, str, str]]:
    """Give what of some notes will not be shown, as (0-based line in the notes, what, hint)."""
    if not any(sign in text for sign in ("](", "]:", "![", "<")):
        return []
    faults, line = [], 0
    for block in notes_parser().parse(text):
        line = block.map[0] if block.map else line
        for token in block.children or []:
            href = str(token.attrs.get("href", ""))
            if token.type in ("softbreak", "hardbreak"):
                line += 1
            elif token.type == "image":
                what = "A picture in the notes is not shown."
                faults.append((line, what, "List it under 'photos:' instead."))
            elif token.type == "link_open" and link_target(href, entry_link) is None:
                what = f"The link '{href}' leads nowhere."
                hint = "Link to https://… or to an entry by its id, such as 2026-03-14."
                faults.append((line, what, hint))
    return faults


def link_target(href: str, entry_link: Callable[[str], str | None]) -> str | None:
    """Give where a link of some notes may lead: to the web, to mail, to an entry, or None."""
    if _WEB.match(href):
        return href
    return entry_link(href.strip("/"))


def _flat(tokens: list[Token]) -> Iterator[Token]:
    for token in tokens:
        yield token
        yield from token.children or []
