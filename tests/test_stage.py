"""The page tree as Markdown files that outlive any one site generator."""

from __future__ import annotations

import json
import posixpath
import re
from pathlib import Path

import html5lib
import pytest
from markdown_it import MarkdownIt

from journal_tools.pages import build_tree
from journal_tools.pages.tree import Asset, Page, PageTree
from journal_tools.stage import page_source, source_path, write_tree
from tests.journals import TANK, photo, site

FILES = {
    "tank.yml": TANK + "about: |\n  # Hello\n\n      code\n\n  and *so* on\n",
    "log/2026-01-05.yml": "notes: |\n  ```\n  a\n\n\n    b\n  ```\n\n  - one\n\n  - two\n",
    "log/2026-02-05.yml": "readings: {alkalinity: 8}\nphotos: [front.jpg]\n"
    "notes: see [before](2026-01-05)\n",
    "log/2026-02-12.yml": "readings: {alkalinity: 8.4}\n",
}
FRONT = re.compile(r"---\n(.*?)\n---\n\n", re.DOTALL)


@pytest.fixture(scope="module")
def tree(tmp_path_factory: pytest.TempPathFactory) -> PageTree:
    folder = tmp_path_factory.mktemp("stage")
    photo(folder / "journal" / "photos" / "front.jpg", (640, 480))
    return build_tree(site(folder, FILES))


@pytest.fixture(scope="module")
def staged(tree: PageTree, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("staged")
    write_tree(tree, folder)
    return folder


def body(path: Path) -> str:
    text = path.read_text(encoding="utf-8")
    front = FRONT.match(text)
    assert front is not None
    return text[front.end() :]


def test_every_page_and_file_is_written(tree: PageTree, staged: Path) -> None:
    wanted = {source_path(page.path) for page in tree.pages} | {a.path for a in tree.assets}
    found = {p.relative_to(staged).as_posix() for p in staged.rglob("*") if p.is_file()}
    assert found == wanted
    for asset in tree.assets:
        assert (staged / asset.path).read_bytes() == asset.read()


def test_a_page_is_one_html_block_for_a_commonmark_reader(tree: PageTree, staged: Path) -> None:
    """CommonMark 0.31, 4.6: a block that begins with <div> ends at the first blank line."""
    for page in tree.pages:
        tokens = MarkdownIt("commonmark").parse(body(staged / source_path(page.path)))
        assert [token.type for token in tokens] == ["html_block"], page.path


def words(html: str) -> str:
    """Give the text; white space around <pre> says nothing."""
    html = re.sub(r"\s*(<pre|</pre>)\s*", r" \1", html)
    return " ".join("".join(html5lib.parseFragment(html).itertext()).split())


def test_staging_keeps_every_word(tree: PageTree, staged: Path) -> None:
    for page in tree.pages:
        assert words(body(staged / source_path(page.path))) == words(page.html), page.path


def test_code_keeps_its_lines(staged: Path) -> None:
    fragment = html5lib.parseFragment(
        body(staged / "diary/2026-01.md"), namespaceHTMLElements=False
    )
    (code,) = fragment.iter("code")
    assert "".join(code.itertext()) == "a\n\n\n  b\n"


def test_titles_and_descriptions_stand_in_front(tree: PageTree, staged: Path) -> None:
    for page in tree.pages:
        front = FRONT.match((staged / source_path(page.path)).read_text(encoding="utf-8"))
        assert front is not None
        values = dict(line.split(": ", 1) for line in front[1].splitlines())
        # a JSON string is a YAML string (YAML 1.2.2, 1.3)
        assert json.loads(values["title"]) == page.title
        assert json.loads(values["description"]) == page.description


def test_links_are_relative_and_lead_to_files(tree: PageTree, staged: Path) -> None:
    seen = 0
    for page in tree.pages:
        here = source_path(page.path)
        html = body(staged / here)
        assert '"site:' not in html and " site:" not in html
        links = re.findall(r'\s(?:href|src|data-src|data-vega)="([^"#]+)', html)
        links += [part.split()[0] for found in re.findall(r'srcset="([^"]+)"', html)
                  for part in found.split(",")]  # fmt: skip
        for link in links:
            assert not link.startswith("/")
            target = posixpath.normpath(posixpath.join(posixpath.dirname(here), link))
            assert (staged / target).is_file(), (page.path, link)
            seen += 1
    assert seen > 50


def test_nothing_is_rewritten_that_has_not_changed(tree: PageTree, tmp_path: Path) -> None:
    write_tree(tree, tmp_path)
    before = {p: (p.stat().st_mtime_ns, p.stat().st_ino) for p in tmp_path.rglob("*.md")}
    write_tree(tree, tmp_path)
    assert before == {p: (p.stat().st_mtime_ns, p.stat().st_ino) for p in tmp_path.rglob("*.md")}


def test_a_change_replaces_the_file_as_a_whole(tmp_path: Path) -> None:
    """A reader that holds the old file open sees the old one to its end."""
    first = PageTree([Page("a", "A", "<h1>A</h1>")], [Asset("x/y.txt", b"one")])
    write_tree(first, tmp_path)
    with (tmp_path / "x/y.txt").open("rb") as reader:
        write_tree(PageTree(first.pages, [Asset("x/y.txt", b"two")]), tmp_path)
        assert reader.read() == b"one"
    assert (tmp_path / "x/y.txt").read_bytes() == b"two"
    assert [p.name for p in tmp_path.rglob("*.tmp")] == []


def test_what_looks_like_markdown_stays_html() -> None:
    html = "<p>a</p>\n\n    <p>b</p>\n\n# no heading\n<pre>x\n\n  y</pre>\n"
    source = page_source(Page("a", 'A "b": c', html, "Ω"), html)
    assert source.startswith('---\ntitle: "A \\"b\\": c"\ndescription: "Ω"\n---\n\n<div>')
    (token,) = MarkdownIt("commonmark").parse(source.partition("---\n\n")[2])
    assert token.type == "html_block"
    assert "x&#10;&#10;  y</pre>" in source


def test_the_first_page_is_the_index() -> None:
    assert source_path("") == "index.md"
    assert source_path("diary/index") == "diary/index.md"
