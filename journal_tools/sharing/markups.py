"""How forums write: BBCode, CommonMark and HTML, each made so that words stay words.

Text comes from strangers. In BBCode, which has no way to write a bracket as such, an invisible
mark (U+200B) after the bracket keeps what looks like a tag from being one; in CommonMark a
backslash does, in HTML a character reference.
"""

from __future__ import annotations

import re
from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from html import escape
from typing import ClassVar, Literal
from urllib.parse import quote

from journal_tools.sharing.blocks import Span, Style

FormatName = Literal["bbcode", "markdown", "html"]

_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")
_URL_SAFE = "%/:?#@!$&*+,;=~-._"
_TAG_LIKE = re.compile(r"\[(?=[/*\w])")
_INVISIBLE = "\u200b"
_MARKS = re.compile(r"([\\`*_\[\]<>&~|#])")
_FIRST_WORD = re.compile(r"(?<!\S)(\S+)")
# At the start of a line these would begin a list, a heading or a rule.
_STARTS = re.compile(r"^([-+=])|^(\d{1,9})([.)])$")


def plain(text: str) -> str:
    """Give a text without characters that cannot be printed."""
    return _CONTROL.sub("", text)


def safe_address(href: str) -> str:
    """Give a web or mail address in which no character can end an attribute or a tag."""
    return quote(plain(href), safe=_URL_SAFE)


class Markup(ABC):
    """One way of writing; every method gives a text that is whole in itself."""

    name: FormatName
    suffix: str
    styles: ClassVar[Mapping[Style, tuple[str, str]]]

    def spans(self, spans: Sequence[Span]) -> str:
        """Give some words with their styles and links."""
        return "".join(self.span(span) for span in spans)

    def span(self, span: Span) -> str:
        """Give some words of one style."""
        if span.text == "\n":
            return self.line_break
        text = self.code(span.text) if "code" in span.styles else self.text(span.text)
        if not span.text.strip():
            return text
        for style in reversed([s for s in span.styles if s != "code"]):
            before, after = self.styles[style]
            text = f"{before}{text}{after}"
        return self.link(span.href, text) if span.href else text

    line_break = "\n"

    @abstractmethod
    def text(self, words: str) -> str:
        """Give words that stay what they are."""

    @abstractmethod
    def code(self, words: str) -> str:
        """Give a word or two in letters of one width."""

    @abstractmethod
    def link(self, href: str, label: str) -> str:
        """Give a link; the label is written already."""

    @abstractmethod
    def paragraph(self, body: str) -> str:
        """Give a paragraph."""

    @abstractmethod
    def heading(self, body: str, level: int) -> str:
        """Give a heading of the first or second level."""

    @abstractmethod
    def quote(self, body: str) -> str:
        """Give a quotation."""

    @abstractmethod
    def items(self, bodies: Sequence[str], start: int | None) -> str:
        """Give a list, numbered from ``start`` or not at all."""

    @abstractmethod
    def fixed(self, lines: Sequence[str]) -> str:
        """Give lines in letters of one width."""

    @abstractmethod
    def picture(self, address: str, words: str) -> str:
        """Give a picture with its words."""


class BBCode(Markup):
    """BBCode, in the tags that every forum program knows."""

    name = "bbcode"
    suffix = ".txt"
    styles: ClassVar[Mapping[Style, tuple[str, str]]] = {
        "strong": ("[b]", "[/b]"),
        "emphasis": ("[i]", "[/i]"),
        "strike": ("[s]", "[/s]"),
    }

    def text(self, words: str) -> str:
        """Put an invisible mark after each bracket that might begin a tag."""
        return _TAG_LIKE.sub(f"[{_INVISIBLE}", plain(words))

    def code(self, words: str) -> str:
        """Give it as text: inside a line, ``[code]`` makes a box of its own."""
        return self.text(words)

    def link(self, href: str, label: str) -> str:
        """Give a link."""
        return f"[url={safe_address(href)}]{label}[/url]"

    def paragraph(self, body: str) -> str:
        """Give a paragraph: its lines are the forum's lines."""
        return body

    def heading(self, body: str, level: int) -> str:
        """Give a heading in bold; the first level stands out by a size that all forums know."""
        return f"[b]{body}[/b]" if level > 1 else f"[size=5][b]{body}[/b][/size]"

    def quote(self, body: str) -> str:
        """Give a quotation."""
        return f"[quote]{body}[/quote]"

    def items(self, bodies: Sequence[str], start: int | None) -> str:
        """Give a list; numbers are written out, since few forums can begin elsewhere than at 1."""
        marks = ["" if start is None else f"{start + i}. " for i in range(len(bodies))]
        if start is not None:
            return "\n".join(m + b for m, b in zip(marks, bodies, strict=True))
        return "[list]\n" + "\n".join(f"[*]{body}" for body in bodies) + "\n[/list]"

    def fixed(self, lines: Sequence[str]) -> str:
        """Give lines in a code box."""
        return "[code]\n" + "\n".join(self.text(line) for line in lines) + "\n[/code]"

    def picture(self, address: str, words: str) -> str:
        """Give a picture, its words below it."""
        caption = f"\n[i]{self.text(words)}[/i]" if words else ""
        return f"[img]{safe_address(address)}[/img]{caption}"


class CommonMark(Markup):
    """Markdown by the CommonMark standard (0.31), with strikethrough."""

    name = "markdown"
    suffix = ".md"
    styles: ClassVar[Mapping[Style, tuple[str, str]]] = {
        "strong": ("**", "**"),
        "emphasis": ("*", "*"),
        "strike": ("~~", "~~"),
    }
    line_break = "\\\n"

    def span(self, span: Span) -> str:
        """Keep spaces outside of the marks: ``** a**`` would not be bold."""
        if not span.styles or not span.text.strip():
            return super().span(span)
        words = span.text.strip()
        before, _, after = span.text.partition(words)
        return before + super().span(Span(words, span.styles, span.href)) + after

    def text(self, words: str) -> str:
        """Give each sign that means something a backslash."""
        if not words.strip():
            return plain(words)
        space, first, rest = _FIRST_WORD.split(_MARKS.sub(r"\\\1", plain(words)), 1)
        return f"{space}{_STARTS.sub(_escaped_start, first)}{rest}"

    def code(self, words: str) -> str:
        """Give code between more backticks than it holds."""
        fence = "`" * (_longest_run(words, "`") + 1)
        space = " " if words.startswith("`") or words.endswith("`") else ""
        return f"{fence}{space}{plain(words)}{space}{fence}"

    def link(self, href: str, label: str) -> str:
        """Give a link."""
        return f"[{label}](<{safe_address(href)}>)"

    def paragraph(self, body: str) -> str:
        """Give a paragraph."""
        return body

    def heading(self, body: str, level: int) -> str:
        """Give a heading; forums keep the first level for the thread."""
        return f"{'#' * (level + 1)} {body}"

    def quote(self, body: str) -> str:
        """Give a quotation."""
        return "\n".join(f"> {line}" for line in body.split("\n"))

    def items(self, bodies: Sequence[str], start: int | None) -> str:
        """Give a list."""
        marks = ["- " if start is None else f"{start + i}. " for i in range(len(bodies))]
        pairs = zip(marks, bodies, strict=True)
        return "\n".join(m + b.replace("\n", "\n" + " " * len(m)) for m, b in pairs)

    def fixed(self, lines: Sequence[str]) -> str:
        """Give a fenced block whose fence is longer than any in it."""
        fence = "`" * max(3, *(_longest_run(line, "`") + 1 for line in lines))
        return "\n".join([fence + "text", *map(plain, lines), fence])

    def picture(self, address: str, words: str) -> str:
        """Give a picture; its words are its text alternative and stand below it."""
        caption = f"\\\n*{self.text(words)}*" if words else ""
        return f"![{self.text(words)}](<{safe_address(address)}>){caption}"


class Html(Markup):
    """HTML of plain tags, without style or script."""

    name = "html"
    suffix = ".html"
    styles: ClassVar[Mapping[Style, tuple[str, str]]] = {
        "strong": ("<strong>", "</strong>"), "emphasis": ("<em>", "</em>"),
        "strike": ("<del>", "</del>"),
    }  # fmt: skip
    line_break = "<br>\n"

    def text(self, words: str) -> str:
        """Give words with their special signs as references."""
        return escape(plain(words))

    def code(self, words: str) -> str:
        """Give code."""
        return f"<code>{self.text(words)}</code>"

    def link(self, href: str, label: str) -> str:
        """Give a link."""
        return f'<a href="{escape(safe_address(href))}" rel="noopener nofollow">{label}</a>'

    def paragraph(self, body: str) -> str:
        """Give a paragraph."""
        return f"<p>{body}</p>"

    def heading(self, body: str, level: int) -> str:
        """Give a heading below that of the thread."""
        return f"<h{level + 1}>{body}</h{level + 1}>"

    def quote(self, body: str) -> str:
        """Give a quotation."""
        return f"<blockquote><p>{body}</p></blockquote>"

    def items(self, bodies: Sequence[str], start: int | None) -> str:
        """Give a list."""
        tag, first = ("ul", "") if start is None else ("ol", f' start="{start}"')
        return "\n".join([f"<{tag}{first}>", *(f"<li>{body}</li>" for body in bodies), f"</{tag}>"])

    def fixed(self, lines: Sequence[str]) -> str:
        """Give lines as they stand."""
        return "<pre>" + "\n".join(self.text(line) for line in lines) + "</pre>"

    def picture(self, address: str, words: str) -> str:
        """Give a figure."""
        said, source = self.text(words), escape(safe_address(address))
        caption = f"<figcaption>{said}</figcaption>" if words else ""
        return f'<figure><img src="{source}" alt="{said}">{caption}</figure>'


MARKUPS: dict[FormatName, Markup] = {m.name: m for m in (BBCode(), CommonMark(), Html())}


def _longest_run(text: str, sign: str) -> int:
    return max((len(run) for run in re.findall(f"{re.escape(sign)}+", text)), default=0)


def _escaped_start(found: re.Match[str]) -> str:
    return f"\\{found[1]}" if found[1] else f"{found[2]}\\{found[3]}"
