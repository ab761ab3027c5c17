"""Notes from strangers as HTML that is safe to publish."""

from __future__ import annotations

import re

import html5lib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.markup import note_faults, render_notes
from tests.journals import TANK, read

KNOWN = {"2026-03-14": "site:diary/2026-03#2026-03-14"}
WHATWG = "{http://www.w3.org/1999/xhtml}"


def render(text: str, under: int = 2) -> str:
    return render_notes(text, KNOWN.get, under)


def elements(html: str) -> list[tuple[str, dict[str, str]]]:
    tree = html5lib.parseFragment(html)
    return [(e.tag.removeprefix(WHATWG), dict(e.attrib)) for e in tree.iter()
            if isinstance(e.tag, str) and e.tag != "DOCUMENT_FRAGMENT"]  # fmt: skip


# Ways past a filter, after the OWASP Cross Site Scripting Prevention and Filter Evasion sheets.
ATTACKS = (
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "<svg/onload=alert(1)>",
    "<iframe src=https://evil.example></iframe>",
    "<style>*{display:none}</style>",
    "<a href='javascript:alert(1)'>x</a>",
    "[x](javascript:alert(1))",
    "[x](JaVaScRiPt:alert(1))",
    "[x](  javascript:alert(1))",
    "[x](&#106;avascript:alert(1))",
    "[x](java&Tab;script:alert(1))",
    "[x](data:text/html;base64,PHNjcmlwdD4=)",
    "[x](vbscript:msgbox(1))",
    "[x](file:///etc/passwd)",
    "[x](//evil.example/x)",
    "[x](site:build)",
    "![x](https://evil.example/pixel.gif)",
    "![x](data:image/svg+xml;base64,PHN2Zz4=)",
    "[![x](https://evil.example/p.gif)](https://ok.example)",
    "<javascript:alert(1)>",
    '[x](https://ok.example "onclick=alert(1)")',
    "[x]: javascript:alert(1)\n\n[x]",
    "<!-- <script> -->",
    "<details open ontoggle=alert(1)>",
    "<math><mtext><table><mglyph><style><img src=x onerror=alert(1)>",
    "```html\n<script>alert(1)</script>\n```",
)
ALLOWED = {
    "a", "blockquote", "br", "code", "del", "em", "h2", "h3", "h4", "h5", "h6", "hr", "li", "ol",
    "p", "pre", "s", "strong", "table", "tbody", "td", "th", "thead", "tr", "ul",
}  # fmt: skip


def assert_safe(html: str) -> None:
    for tag, attributes in elements(html):
        assert tag in ALLOWED, html
        assert attributes.keys() <= {"href", "rel", "start"}, html
        link = attributes.get("href", "https://")
        assert re.match(r"https?://|mailto:", link, re.I) or link in KNOWN.values(), html


@pytest.mark.parametrize("text", ATTACKS)
def test_attacks_do_nothing(text: str) -> None:
    assert_safe(render(text))


@given(st.lists(st.sampled_from([*ATTACKS, "# a", "- b", "\n\n", "`", "**", "<", "](", "> "])))
def test_nor_do_they_together(parts: list[str]) -> None:
    for glue in ("", "\n", "\n\n"):
        assert_safe(render(glue.join(parts)))


@given(st.text(max_size=300))
def test_no_text_breaks_out(text: str) -> None:
    assert_safe(render(text))


def test_raw_html_is_shown_as_text() -> None:
    assert render("a <b>c</b>") == "<p>a &lt;b&gt;c&lt;/b&gt;</p>"
    assert "&lt;script&gt;" in render("<script>x</script>")


def test_what_markdown_can_say_is_kept() -> None:
    html = render("*a* **b** ~~c~~ `d`\n\n> e\n\n3. f\n\n| g | h |\n|---|---|\n| i | j |\n")
    tags = {tag for tag, _ in elements(html)}
    assert tags >= {"em", "strong", "s", "code", "blockquote", "ol", "li", "table", "th", "td"}
    assert '<ol start="3">' in html


def test_links_to_the_web_and_to_entries() -> None:
    web = render("[a](https://a.example/b?c=d&e=f)")
    assert 'href="https://a.example/b?c=d&amp;e=f"' in web and 'rel="noopener nofollow"' in web
    assert 'href="mailto:a@b.example"' in render("<a@b.example>")
    for written in ("2026-03-14", "/2026-03-14", "2026-03-14/"):
        assert f'href="{KNOWN["2026-03-14"]}"' in render(f"[a]({written})")


@pytest.mark.parametrize("text", ["[gone](2026-03-15)", "[x](javascript:alert(1))"])
def test_a_link_that_leads_nowhere_is_no_link(text: str) -> None:
    assert "href" not in render(text)
    assert "gone" in render(text) or "javascript" in render(text)


def test_a_picture_leaves_its_words() -> None:
    assert render("see ![the crab](crab.jpg)") == "<p>see the crab</p>"


def levels(text: str, under: int) -> list[int]:
    return [int(tag[1]) for tag, _ in elements(render(text, under)) if re.match("h[1-6]$", tag)]


@pytest.mark.parametrize(
    ("text", "under", "expected"),
    [
        ("# a", 2, [3]),
        ("# a", 1, [2]),
        ("### a", 2, [3]),
        ("# a\n## b\n# c", 2, [3, 4, 3]),
        ("# a\n### b\n## c\n#### d", 2, [3, 4, 4, 5]),
        ("## a\n# b", 2, [3, 3]),
        ("a\n===\n\nb\n---\n", 2, [3, 4]),
        ("# a\n## b\n### c\n#### d\n##### e\n###### f", 2, [3, 4, 5, 6, 6, 6]),
        ("> # a\n\n# b\n- ## c", 2, [3, 3, 4]),
    ],
)
def test_headings_go_below_the_pages_own(text: str, under: int, expected: list[int]) -> None:
    assert levels(text, under) == expected


@given(st.lists(st.integers(1, 6), max_size=12), st.integers(1, 5))
def test_headings_never_jump(written: list[int], under: int) -> None:
    above = under
    for level in levels("\n\n".join(f"{'#' * n} x" for n in written), under):
        assert under < level <= max(above + 1, under + 1) or level == 6
        above = level


NOWHERE = "The link '{}' leads nowhere."
NOT_SHOWN = "A picture in the notes is not shown."


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        ("nothing", []),
        ("[a](https://a.example) and [b](2026-03-14)", []),
        ("one\ntwo [a](2026-03-15)\nthree [b](gone)", [(1, "2026-03-15"), (2, "gone")]),
        ("one\n\n- [a](x)\n- b\n- [c](y)", [(2, "x"), (4, "y")]),
        ("> a\n> [b](x)", [(1, "x")]),
        ("# a\n\n[b]\n\n[b]: x\n", [(2, "x")]),
        ("<ftp://a.example>", [(0, "ftp://a.example")]),
        ("| a |\n|---|\n| [b](x) |\n| [c](y) |", [(2, "x"), (3, "y")]),
    ],
)
def test_dead_links_are_told_with_their_line(text: str, faults: list[tuple[int, str]]) -> None:
    found = note_faults(text, KNOWN.get)
    assert [(line, what) for line, what, _ in found] == [
        (line, NOWHERE.format(href)) for line, href in faults
    ]
    assert all("2026-03-14" in hint for _, _, hint in found)


def test_a_picture_is_told_where_it_belongs() -> None:
    assert note_faults("a\n![b](c.jpg)", KNOWN.get) == [
        (1, NOT_SHOWN, "List it under 'photos:' instead.")
    ]


NOTES = {
    "block": ("title: A\nnotes: |\n  one\n  two [a](gone)\n", 4),
    "blank lines first": ("notes: |\n\n\n  one [a](gone)\n", 4),
    "stripped": ("notes: |-\n  one\n  [a](gone)\n", 3),
    "after a comment": ("# hello\nnotes: |\n  [a](gone)\ntitle: A\n", 3),
    "one line": ("title: A\nnotes: see [a](gone)\n", 2),
    "quoted": ('notes: "see [a](gone)"\n', 1),
}


@pytest.mark.parametrize(("text", "line"), NOTES.values(), ids=NOTES)
def test_the_check_points_at_the_line(text: str, line: int) -> None:
    (problem,) = read({"log/2026-03-01.yml": text}).problems
    assert (problem.file, problem.line, problem.code) == ("log/2026-03-01.yml", line, "note-link")
    assert problem.what == NOWHERE.format("gone")


def test_the_check_knows_entries_and_drafts() -> None:
    files = {
        "log/2026-03-01.yml": "notes: see [then](2026-03-02-party) and [now](2026-03-03)\n",
        "log/2026-03-02-party.yml": "notes: Cake.\n",
        "log/2026-03-03.yml": "draft: true\nnotes: Not yet.\n",
    }
    (problem,) = read(files).problems
    assert problem.what == NOWHERE.format("2026-03-03")


def test_the_text_about_the_tank_is_checked_too() -> None:
    about = "about: |\n  A tank.\n  ![front](front.jpg)\n"
    (problem,) = read({"tank.yml": TANK + about}).problems
    assert (problem.file, problem.line, problem.what) == ("tank.yml", 6, NOT_SHOWN)
