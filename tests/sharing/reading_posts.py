"""What forums make of a text: a BBCode parser and two of Markdown, none of them ours."""

from __future__ import annotations

import bbcode
from markdown_it import MarkdownIt

BBCODE_TAGS = ("b", "i", "s", "u", "url", "quote", "code", "list", "*", "size", "img")


def shown_bbcode(text: str) -> str:
    """Give the HTML of a BBCode text, as a forum's program makes it."""
    parser = bbcode.Parser(replace_links=False, newline="\n", replace_cosmetic=False)
    parser.add_simple_formatter("img", '<img src="%(value)s">', replace_links=False)
    parser.add_simple_formatter("size", "<span>%(value)s</span>")
    return str(parser.format(text))


def open_tags(text: str) -> list[str]:
    """Give the BBCode tags that a text leaves open or closes without opening, by its own rules."""
    parser = bbcode.Parser()
    stack: list[str] = []
    wrong: list[str] = []
    in_code = False
    for kind, tag, _, source in parser.tokenize(text):
        if kind == bbcode.Parser.TOKEN_TAG_START and (not in_code):
            in_code = tag == "code"
            if tag != "*":
                stack.append(str(tag))
        elif kind == bbcode.Parser.TOKEN_TAG_END and (not in_code or tag == "code"):
            in_code = False
            if stack and stack[-1] == tag:
                stack.pop()
            else:
                wrong.append(str(source))
    return [*stack, *wrong]


def shown_markdown(text: str, *, html: bool = True) -> str:
    """Give the HTML of a Markdown text in the way of a forum that would let HTML through."""
    return MarkdownIt("commonmark", {"html": html}).enable(["strikethrough"]).render(text)
