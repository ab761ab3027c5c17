"""A post for a forum: chosen entries as texts with pictures and a preview."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from markupsafe import Markup as SafeHtml

from journal_tools.charts.theme import variables_css
from journal_tools.logged import LoggedEntry
from journal_tools.pages.address import Address
from journal_tools.pages.diary import entry_view
from journal_tools.pages.site import Site
from journal_tools.sharing.blocks import (
    Block,
    Fixed,
    Illustration,
    Items,
    Span,
    Words,
    note_blocks,
    paragraph,
)
from journal_tools.sharing.markups import MARKUPS, FormatName
from journal_tools.sharing.parts import parts, written
from journal_tools.sharing.pictures import Limits, PictureFile, post_pictures
from journal_tools.sharing.reading_summary import summary_lines
from journal_tools.sharing.selection import Selection
from journal_tools.sharing.site_address import entry_address
from journal_tools.words import as_heading, day_text

PREVIEW_FILE = "preview.html"


@dataclass(frozen=True, slots=True)
class PostOptions:
    """How a post is to be written.

    Attributes:
        markup: What the forum understands.
        limits: What it allows of pictures.
        max_chars: Most characters of one text.
        picture_base: Address of the folder into which the pictures will be uploaded, or ``""``.
    """

    markup: FormatName = "bbcode"
    limits: Limits = field(default_factory=Limits)
    max_chars: int = 20_000
    picture_base: str = ""

    def picture_address(self, name: str) -> str:
        """Give the address of a picture in the post."""
        return f"{self.picture_base.rstrip('/')}/{name}" if self.picture_base else name


@dataclass(frozen=True)
class Post:
    """What a post consists of.

    Attributes:
        files: Name and bytes of every file: texts, pictures, preview.
        texts: Names of the texts, in order.
        pictures: The pictures, in order.
        left_out: Pictures that the limit kept out.
    """

    files: dict[str, bytes]
    texts: list[str]
    pictures: list[PictureFile]
    left_out: int


def make_post(site: Site, selection: Selection, address: Address, options: PostOptions) -> Post:
    """Give the files of a post.

    Args:
        site: The journal.
        selection: Its entries that are handed on.
        address: Where its site is, for links.
        options: How to write it.
    """
    pictures, left_out = post_pictures(site, selection, options.limits)
    blocks = list(post_blocks(site, selection, address, pictures))
    markup = MARKUPS[options.markup]
    found = parts(blocks, markup, options.max_chars, options.picture_address)
    names = [f"part-{i}{markup.suffix}" for i in range(1, len(found) + 1)]
    files = {name: text.encode() + b"\n" for name, (text, _) in zip(names, found, strict=True)}
    files |= {picture.name: picture.data for picture in pictures}
    shown = [(name, text, held) for name, (text, held) in zip(names, found, strict=True)]
    files[PREVIEW_FILE] = _preview(site, shown, options).encode()
    return Post(files, names, pictures, left_out)


def post_blocks(
    site: Site, selection: Selection, address: Address, pictures: Sequence[PictureFile]
) -> Iterator[Block]:
    """Give a post as blocks: what it is about, a table, charts, then entry by entry."""
    name = site.journal.profile.name
    yield Words("heading", (Span(name, (), address.root),))
    age = (selection.last - site.journal.profile.start).days + 1
    days = day_text(selection.first)
    if selection.last != selection.first:
        days += f" to {day_text(selection.last)}"
    yield paragraph(f"{days} (day {age})" if age > 0 else days)
    if lines := summary_lines(site, selection):
        yield Fixed(tuple(lines), 2)
    for picture in pictures:
        if not picture.entry:
            yield Illustration(picture.name, picture.words)
    for entry in selection.entries:
        own = [picture for picture in pictures if picture.entry == entry.id]
        yield from _entry_blocks(site, entry, address, own)


def _entry_blocks(
    site: Site, entry: LoggedEntry, address: Address, pictures: Sequence[PictureFile]
) -> Iterator[Block]:
    def address_of(entry_id: str) -> str | None:
        known = site.journal.entry_by_id.get(entry_id)
        return entry_address(address, known) or None if known else None

    view = entry_view(site, entry)
    title = f"{day_text(entry.day)}: {view.heading}"
    yield Words("subheading", (Span(title, (), entry_address(address, entry)),))
    if view.readings:
        tests = (f"{reading.label} {reading.text}" for reading in view.readings)
        yield paragraph("Tests: " + ", ".join(tests))
    if view.facts:
        yield Items(tuple((Span(f"{as_heading(f.kind)}: {f.text}"),) for f in view.facts))
    if entry.record.notes:
        yield from note_blocks(entry.record.notes, address_of)
    if entry.record.questions:
        yield Items(tuple((Span(question),) for question in entry.record.questions))
    for picture in pictures:
        yield Illustration(picture.name, picture.words)


def _preview(
    site: Site, found: Sequence[tuple[str, str, Sequence[Block]]], options: PostOptions
) -> str:
    """Give a page that shows every part as it will look, and its text to copy."""
    html = MARKUPS["html"]
    shown = [
        (name, text, SafeHtml("\n".join(written(b, html, lambda file: file) for b in held)))
        for name, text, held in found
    ]
    template = site.templates.get_template("sharing/post_preview.html")
    return template.render(
        name=site.journal.profile.name, parts=shown, format=options.markup,
        max_chars=options.max_chars, light=SafeHtml(variables_css("light")),
        dark=SafeHtml(variables_css("dark")),
    )  # fmt: skip
