"""The floor: a plain MkDocs folder with the pages and the visible text of a journal's site.

MkDocs with Material needs some time for so many pages and so much text, whatever else is done;
that is what a journal's build is held against. Each page keeps its title, description and place
in the navigation; its text becomes Markdown headings and paragraphs. Pictures, drawings and
scripts are left out: making them is what the journal does on top.
"""

from __future__ import annotations

import json
import re
import sys
from html.parser import HTMLParser
from pathlib import Path
from textwrap import indent
from typing import Any

import yaml

from journal_tools.cache import Cache
from journal_tools.embed import render_embed
from journal_tools.journal import LOG_FOLDER, PHOTO_FOLDER, find_journal, load_journal
from journal_tools.pages import build_tree
from journal_tools.pages.site import Site, gather_site
from journal_tools.pages.tree import Page, PageTree
from journal_tools.stage import source_path

_UNSEEN = frozenset({"svg", "script", "style", "template", "head"})
_INLINE = re.compile(
    "a|abbr|b|bdi|cite|code|data|del|dfn|em|i|img|input|ins|kbd|label|mark|picture|q|s|samp|small"
    "|source|span|strong|sub|sup|time|u|var|wbr"
)
_HEADING = re.compile(r"h[1-6]")
_MARKS = re.compile(r"([\\`*_{}\[\]()>#+\-.!])")
_FENCE = re.compile(r"^(?P<indent> *)```+ *journal *\n(?P<body>.*?)^ *```+ *$", re.M | re.S)
_NOT_PAGES = (LOG_FOLDER, PHOTO_FOLDER, "probes")


class _Text(HTMLParser):
    """Collects the visible text of HTML, block by block."""

    def __init__(self) -> None:
        super().__init__()
        self.blocks: list[str] = []
        self._words: list[str] = []
        self._unseen = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._unseen += tag in _UNSEEN
        self._turn(tag, "")

    def handle_endtag(self, tag: str) -> None:
        self._unseen -= tag in _UNSEEN
        self._turn(tag, tag)

    def handle_data(self, data: str) -> None:
        if not self._unseen:
            self._words.append(data)

    def close(self) -> None:
        super().close()
        self._turn("", "")

    def _turn(self, tag: str, ended: str) -> None:
        """End the block at hand unless a tag stands inside a line."""
        if self._unseen or _INLINE.fullmatch(tag):
            return
        if tag in ("td", "th"):
            self._words.append(" ")
            return
        text = " ".join("".join(self._words).split())
        self._words = []
        if text:
            level = int(ended[1]) if _HEADING.fullmatch(ended) else 0
            self.blocks.append(("#" * level + " " if level else "") + escaped(text))


def escaped(text: str) -> str:
    r"""Give text as Markdown that shows exactly this text.

    >>> escaped("1. a_b <c>")
    '1\\. a\\_b &lt;c\\>'
    """
    marked = _MARKS.sub(r"\\\1", text.replace("&", "&amp;").replace("<", "&lt;"))
    # "=== " opens a tab and ": " a definition where the settings ask for such extensions.
    return f"&#{ord(marked[0])};{marked[1:]}" if marked[:1] in ("=", ":", "~", "|") else marked


def to_markdown(html: str) -> str:
    """Give the visible text of HTML as Markdown headings and paragraphs.

    >>> to_markdown("<h2 id='x'>Tests</h2><p>pH <b>8.1</b><svg><text>8</text></svg></p>")
    '## Tests\\n\\npH 8\\\\.1\\n'
    """
    parser = _Text()
    parser.feed(html)
    parser.close()
    return "\n\n".join(parser.blocks) + "\n"


def write_floor(settings_file: Path, folder: Path, cache: Cache) -> int:
    """Write the plain MkDocs folder for a journal and give its number of pages.

    Args:
        settings_file: The journal's ``mkdocs.yml``.
        folder: Where ``mkdocs.yml`` and ``docs/`` are written.
        cache: Where the journal's photos and charts are kept, which saves time here.

    Raises:
        ValueError: There is no journal beside the settings.
    """
    settings = yaml.safe_load(settings_file.read_text(encoding="utf-8"))
    content = find_journal(settings_file.parent)
    if content is None:
        raise ValueError(f"there is no journal in {settings_file.parent}")
    options = _journal_options(settings)
    site = gather_site(load_journal(content, options.get("today")), cache)
    tree = build_tree(site)
    pages = {source_path(page.path): _floor_page(page) for page in tree.pages}
    for name, text in _hand_written(content, site).items():
        pages.setdefault(name, text)
    for name, text in pages.items():
        path = folder / "docs" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")
    plain = _plain_settings(settings, tree, sorted(pages))
    (folder / "mkdocs.yml").write_text(yaml.safe_dump(plain, sort_keys=False), encoding="utf-8")
    return len(pages)


def _journal_options(settings: dict[str, Any]) -> dict[str, Any]:
    named = [plugin for plugin in settings["plugins"] if isinstance(plugin, dict)]
    return next((p["journal_tools"] for p in named if p.get("journal_tools")), {})


def _floor_page(page: Page) -> str:
    # The journal's pages have no navigation at their side, which saves half the HTML.
    front = {"title": page.title, "description": page.description, "hide": ["navigation"]}
    return f"---\n{json.dumps(front, ensure_ascii=False)}\n---\n\n{to_markdown(page.html)}"


def _hand_written(content: Path, site: Site) -> dict[str, str]:
    """Give the keeper's own pages with the text of what they embed."""

    def shown(fence: re.Match[str]) -> str:
        return indent(to_markdown(render_embed(site, fence["body"])), fence["indent"])

    return {
        path.relative_to(content).as_posix(): _FENCE.sub(shown, path.read_text(encoding="utf-8"))
        for path in sorted(content.rglob("*.md"))
        if path.relative_to(content).parts[0] not in _NOT_PAGES
    }


def _plain_settings(settings: dict[str, Any], tree: PageTree, names: list[str]) -> dict[str, Any]:
    """Give the journal's settings without the journal, with the same pages in the navigation."""
    own = {source_path(page.path) for page in tree.pages}
    nav: list[Any] = [{label: source_path(path)} for label, path in tree.navigation]
    nav += [name for name in names if name not in own]
    plugins = [p for p in settings["plugins"] if "journal_tools" not in p]
    return settings | {"docs_dir": "docs", "nav": settings.get("nav", nav), "plugins": plugins}


if __name__ == "__main__":
    write_floor(Path(sys.argv[1]), Path(sys.argv[2]), Cache.default())
