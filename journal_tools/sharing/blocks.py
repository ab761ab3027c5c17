"""What a keeper wrote as a few kinds of block that any forum can show.

Markdown has more than forums understand: nested lists become one list with dashes, tables become
aligned text, pictures in notes become their words. Nothing here knows how a forum writes bold.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

from markdown_it.token import Token

from journal_tools.markup import link_target, notes_parser

Style = Literal["strong", "emphasis", "strike", "code"]


@dataclass(frozen=True, slots=True)
class Span:
    """Some words in one style.

    Attributes:
        text: The words.
        styles: How they are set, from the outside in.
        href: Where they lead, or ``""``.
    """

    text: str
    styles: tuple[Style, ...] = ()
    href: str = ""


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph, a heading or a quotation.

    Attributes:
        kind: Which of them.
        spans: Its words; a span of ``"\\n"`` is a line break.
    """

    kind: Literal["paragraph", "heading", "subheading", "quote"]
    spans: tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class Items:
    """A list.

    Attributes:
        items: The words of each item.
        start: Number of the first one, or None for a list without numbers.
    """

    items: tuple[tuple[Span, ...], ...]
    start: int | None = None


@dataclass(frozen=True, slots=True)
class Fixed:
    """Lines of text in letters of one width.

    Attributes:
        lines: The lines.
        head: How many of them come again where the block is cut.
    """

    lines: tuple[str, ...]
    head: int = 0


@dataclass(frozen=True, slots=True)
class Illustration:
    """A picture file with its words.

    Attributes:
        file: Name of the file.
        words: What it shows.
    """

    file: str
    words: str


Block = Words | Items | Fixed | Illustration
"""Anything that a post consists of."""

_STYLES: dict[str, Style] = {"strong": "strong", "em": "emphasis", "s": "strike"}
_TABLE_COLUMNS = 60


def paragraph(*texts: str) -> Words:
    """Give plain words as a paragraph, one line each."""
    spans: list[Span] = []
    for text in texts:
        spans += [Span("\n")] if spans else []
        spans.append(Span(text))
    return Words("paragraph", tuple(spans))


def note_blocks(notes: str, entry_link: Callable[[str], str | None]) -> list[Block]:
    """Give Markdown notes as blocks; raw HTML stays text.

    Args:
        notes: Markdown.
        entry_link: Gives the address of an entry id, or None.
    """
    return list(_Reading(notes_parser().parse(notes), entry_link).blocks())


@dataclass
class _Reading:
    """One walk over the tokens of some notes."""

    tokens: Sequence[Token]
    entry_link: Callable[[str], str | None]
    lists: list[int | None] = field(default_factory=list)
    items: list[tuple[Span, ...]] = field(default_factory=list)
    rows: list[list[str]] = field(default_factory=list)
    quoted: int = 0

    def blocks(self) -> Iterator[Block]:
        """Give the blocks in order."""
        opening = Token("", "", 0)
        for before, token in pairwise([opening, *self.tokens]):
            if token.type in ("bullet_list_open", "ordered_list_open"):
                numbered = token.type.startswith("ordered")
                self.lists.append(int(str(token.attrs.get("start", 1))) if numbered else None)
            elif token.type in ("bullet_list_close", "ordered_list_close"):
                yield from self._list_ended()
            elif token.type in ("blockquote_open", "blockquote_close"):
                self.quoted += token.nesting
            elif token.type in ("fence", "code_block"):
                yield from self._items_so_far()
                yield Fixed(tuple(token.content.rstrip("\n").split("\n")))
            elif token.type == "html_block":
                yield from self._words(before, (Span(" ".join(token.content.split())),))
            elif token.type == "tr_open":
                self.rows.append([])
            elif token.type == "table_close":
                yield Fixed(tuple(aligned(self.rows)), 2)
                self.rows = []
            elif token.type == "inline":
                yield from self._words(before, tuple(self._spans(token.children or [])))

    def _list_ended(self) -> Iterator[Block]:
        if len(self.lists) == 1:
            yield from self._items_so_far()
        self.lists.pop()

    def _items_so_far(self) -> Iterator[Block]:
        """End a list, or interrupt it for a block of code that stands inside."""
        if self.items:
            start = self.lists[0]
            yield Items(tuple(self.items), start)
            self.lists[0] = None if start is None else start + len(self.items)
            self.items = []

    def _words(self, before: Token, spans: tuple[Span, ...]) -> Iterator[Block]:
        """Put words where they belong: into a cell, an item, a quotation or a paragraph."""
        if before.type in ("td_open", "th_open"):
            self.rows[-1].append("".join(span.text for span in spans))
        elif self.lists:
            dashes = "– " * (len(self.lists) - 1)
            self.items.append((Span(dashes), *spans) if dashes else spans)
        elif before.type == "heading_open":
            yield Words("subheading", spans)
        else:
            yield Words("quote" if self.quoted else "paragraph", spans)

    def _spans(self, children: Sequence[Token]) -> Iterator[Span]:
        styles: list[Style] = []
        hrefs: list[str] = []
        for token in children:
            if token.tag in _STYLES and token.nesting:
                if token.nesting > 0:
                    styles.append(_STYLES[token.tag])
                else:
                    styles.pop()
            elif token.type == "link_open":
                hrefs.append(link_target(str(token.attrs.get("href", "")), self.entry_link) or "")
            elif token.type == "link_close":
                hrefs.pop()
            elif token.type in ("softbreak", "hardbreak"):
                yield Span(" " if token.type == "softbreak" else "\n")
            elif token.content:
                own = (*styles, *(("code",) if token.type == "code_inline" else ()))
                yield Span(token.content, own, hrefs[-1] if hrefs else "")


def aligned(rows: Sequence[Sequence[str]], widest: int = _TABLE_COLUMNS) -> list[str]:
    """Give a table as lines of text with a rule below its first row.

    Args:
        rows: Cells; the first row holds the headings.
        widest: Most columns of a line; the first column is cut for it, then the line.

    >>> aligned([["What", "Last"], ["Alkalinity", "8.2"]])
    ['What        Last', '----------  ----', 'Alkalinity   8.2']
    """
    if not rows:
        return []
    count = max(len(row) for row in rows)
    cells = [[" ".join(c.split()) for c in row] + [""] * (count - len(row)) for row in rows]
    widths = [max(len(row[i]) for row in cells) for i in range(count)]
    others = sum(widths[1:]) + 2 * (count - 1)
    widths[0] = max(3, min(widths[0], widest - others))
    lines = []
    for row in [cells[0], ["-" * width for width in widths], *cells[1:]]:
        first = row[0] if len(row[0]) <= widths[0] else row[0][: widths[0] - 1] + "."
        rest = (cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True))
        lines.append("  ".join([first.ljust(widths[0]), *rest]).rstrip()[:widest])
    return lines
