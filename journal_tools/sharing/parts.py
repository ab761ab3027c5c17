"""A post in as many texts as a forum's length limit asks for, none of them cut inside a tag.

Blocks stay whole where they fit. One that does not is cut where it hurts least: a list between
its items, fixed text between its lines, words between words; what is bold or a link is written
anew on both sides of the cut.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TypeVar

from journal_tools.sharing.blocks import Block, Fixed, Illustration, Items, Span, Words
from journal_tools.sharing.markups import Markup

LEAST_CHARS = 500
_BETWEEN = "\n\n"

_Piece = TypeVar("_Piece")
Address = Callable[[str], str]


def parts(
    blocks: Iterable[Block], markup: Markup, max_chars: int, address: Address
) -> list[tuple[str, list[Block]]]:
    """Give the texts of a post in order, each with the blocks that it holds.

    A heading stays with what follows it.

    Args:
        blocks: The post.
        markup: How the forum writes.
        max_chars: Most characters of one text, :data:`LEAST_CHARS` or more.
        address: Gives the address of a picture file.

    Raises:
        ValueError: If ``max_chars`` is too small to hold a heading and a link.
    """
    if max_chars < LEAST_CHARS:
        raise ValueError(f"max_chars must be {LEAST_CHARS} or more, not {max_chars}")
    found: list[tuple[str, list[Block]]] = []
    text, held = "", list[Block]()
    for group in _groups(fitting(blocks, markup, max_chars, address), markup, max_chars, address):
        more = _BETWEEN.join(written(block, markup, address) for block in group)
        if held and len(text) + len(_BETWEEN) + len(more) > max_chars:
            found.append((text, held))
            text, held = "", []
        text = f"{text}{_BETWEEN}{more}" if held else more
        held = [*held, *group]
    return [*found, (text, held)] if held else found


def written(block: Block, markup: Markup, address: Address) -> str:
    """Give one block as text."""
    if isinstance(block, Items):
        return markup.items([markup.spans(item) for item in block.items], block.start)
    if isinstance(block, Fixed):
        return markup.fixed(block.lines)
    if isinstance(block, Illustration):
        return markup.picture(address(block.file), block.words)
    body = markup.spans(block.spans).strip()
    if block.kind in ("heading", "subheading"):
        return markup.heading(body, 1 if block.kind == "heading" else 2)
    return markup.quote(body) if block.kind == "quote" else markup.paragraph(body)


def _groups(
    blocks: Iterable[Block], markup: Markup, max_chars: int, address: Address
) -> Iterator[list[Block]]:
    """Give blocks one by one, but headings together with the next block if both fit one text."""
    waiting: list[Block] = []
    for block in blocks:
        texts = [written(b, markup, address) for b in [*waiting, block]]
        if waiting and len(_BETWEEN.join(texts)) > max_chars:
            yield waiting
            waiting = []
        waiting = [*waiting, block]
        if not (isinstance(block, Words) and block.kind in ("heading", "subheading")):
            yield waiting
            waiting = []
    if waiting:
        yield waiting


def fitting(
    blocks: Iterable[Block], markup: Markup, max_chars: int, address: Address
) -> Iterator[Block]:
    """Give blocks of which each fits one text: those that do as they are, the others in pieces."""

    def fits(block: Block) -> bool:
        return len(written(block, markup, address)) <= max_chars

    for block in blocks:
        yield from [block] if fits(block) else _cut(block, fits)


def _cut(block: Block, fits: Callable[[Block], bool]) -> Iterator[Block]:
    if isinstance(block, Fixed):
        head, lines = block.lines[: block.head], block.lines[block.head :]
        single = [piece for line in lines for piece in _short_lines(line)]
        for some in _filled(single, lambda some: fits(Fixed((*head, *some), block.head))):
            yield Fixed((*head, *some), block.head)
    elif isinstance(block, Items):
        yield from _cut_list(block, fits)
    elif isinstance(block, Words):
        yield from _cut_words(block, fits)
    else:
        # Only the words below a picture can be too long for a text.
        yield Illustration(block.file, block.words[: LEAST_CHARS // 5])


def _cut_list(block: Items, fits: Callable[[Block], bool]) -> Iterator[Block]:
    items = [
        piece.spans
        for item in block.items
        for piece in (
            _cut_words(Words("paragraph", item), lambda words: fits(_one_item(words, block.start)))
            if not fits(Items((item,), block.start))
            else [Words("paragraph", item)]
        )
    ]
    done = 0
    for some in _filled(items, lambda some: fits(Items(tuple(some), block.start))):
        yield Items(tuple(some), None if block.start is None else block.start + done)
        done += len(some)


def _one_item(block: Block, start: int | None) -> Items:
    assert isinstance(block, Words)
    return Items((block.spans,), start)


def _cut_words(block: Words, fits: Callable[[Block], bool]) -> Iterator[Words]:
    pieces = [piece for span in block.spans for piece in _pieces_of(span)]
    for some in _filled(pieces, lambda some: fits(Words(block.kind, _joined(some)))):
        yield Words(block.kind, _joined(some))


def _pieces_of(span: Span) -> Iterator[Span]:
    """Give a span word by word; words longer than any word are cut."""
    if len(span.href) > LEAST_CHARS // 5:
        span = Span(span.text, span.styles)
    for word in re.findall(r"\s*\S{1,40}|\s+$", span.text) or [span.text]:
        yield Span(word, span.styles, span.href)


def _joined(pieces: Sequence[Span]) -> tuple[Span, ...]:
    """Give pieces of the same style as one span again."""
    joined: list[Span] = []
    for piece in pieces:
        last = joined[-1] if joined else None
        broken = "\n" in (piece.text, last.text if last else "")
        if last and not broken and (last.styles, last.href) == (piece.styles, piece.href):
            joined[-1] = Span(last.text + piece.text, piece.styles, piece.href)
        else:
            joined.append(piece)
    return tuple(joined)


def _short_lines(line: str) -> list[str]:
    """Give a line in pieces of which each fits even where every sign is written as six."""
    size = LEAST_CHARS // 12
    return [line[i : i + size] for i in range(0, len(line), size)] if len(line) > size else [line]


def _filled(
    pieces: Sequence[_Piece], fits: Callable[[Sequence[_Piece]], bool]
) -> Iterator[list[_Piece]]:
    """Give runs of pieces, each as long as it fits and at least one piece long."""
    run: list[_Piece] = []
    for piece in pieces:
        if run and not fits([*run, piece]):
            yield run
            run = []
        run.append(piece)
    if run:
        yield run
