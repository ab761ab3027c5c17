"""The page tree on disk as Markdown files with HTML bodies, for any site generator.

A journal must outlive the generator that publishes it today. Each page becomes ``path.md`` with
a title and description in front matter; a CommonMark reader takes the body as HTML blocks.
"""

from __future__ import annotations

import json
import os
import posixpath
import re
from pathlib import Path

from journal_tools.pages.tree import Page, PageTree, resolve_links

_BLANK_LINES = re.compile(r"\n\s*\n+")
_PRE = re.compile(r"(<pre\b.*?</pre>)", re.DOTALL)


def source_path(page_path: str) -> str:
    """Give the Markdown file of a page.

    >>> source_path(""), source_path("diary/2026-03")
    ('index.md', 'diary/2026-03.md')
    """
    return f"{page_path or 'index'}.md"


def page_source(page: Page, body: str) -> str:
    """Give a page as Markdown text: front matter and one block of HTML without blank lines.

    A blank line would end an HTML block in CommonMark, and an indented line begin code.
    """
    front = {"title": page.title, "description": page.description}
    lines = [f"{key}: {json.dumps(value, ensure_ascii=False)}" for key, value in front.items()]
    return "---\n" + "\n".join(lines) + f"\n---\n\n<div>{_one_block(body)}</div>\n"


def _one_block(body: str) -> str:
    parts = _PRE.split(body)
    for i, part in enumerate(parts):
        if i % 2:
            parts[i] = part.replace("\n", "&#10;")
        else:
            lines = (line.strip() for line in _BLANK_LINES.sub("\n", part).splitlines())
            parts[i] = "\n".join(line for line in lines if line)
    return "".join(parts)


def write_tree(tree: PageTree, folder: Path) -> None:
    """Write every page and file of a tree below a folder, replacing what has changed."""
    pages = {page.path for page in tree.pages}
    for page in tree.pages:
        here = source_path(page.path)

        def relative(path: str, here: str = here) -> str:
            target = source_path(path) if path in pages else path
            return posixpath.relpath(target, posixpath.dirname(here) or ".")

        body = resolve_links(page.html, relative)
        _write(folder / here, page_source(page, body).encode())
    for asset in tree.assets:
        _write(folder / asset.path, asset.read())


def _write(path: Path, content: bytes) -> None:
    if path.is_file() and path.read_bytes() == content:
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(f".{path.name}.{os.getpid()}.tmp")
    unfinished.write_bytes(content)
    unfinished.replace(path)
