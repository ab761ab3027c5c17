"""A post: words stay words, tags are whole, pictures and texts stay below the limits."""

from __future__ import annotations

import io
import re
from html import unescape
from pathlib import Path

import html5lib
import pytest
from PIL import Image
from playwright.sync_api import Browser

from journal_tools.pages.address import Address
from journal_tools.pages.site import Site
from journal_tools.sharing.blocks import aligned, note_blocks
from journal_tools.sharing.markups import MARKUPS, FormatName
from journal_tools.sharing.parts import parts
from journal_tools.sharing.pictures import Limits
from journal_tools.sharing.post import Post, PostOptions, make_post
from journal_tools.sharing.selection import SelectionError, select
from tests.sharing.reading_posts import open_tags, shown_bbcode, shown_markdown
from tests.site.browsing import Record
from tests.site.program import Program

HOME = Address.of("https://example.org/riff/")
FORMATS: tuple[FormatName, ...] = ("bbcode", "markdown", "html")


def post(site: Site, options: PostOptions, address: Address = HOME) -> Post:
    return make_post(site, select(site.journal, (), site.journal.entries[0].day, None), address,
                     options)  # fmt: skip


def whole(made: Post) -> str:
    return "\n".join(made.files[name].decode() for name in made.texts)


def shown(text: str, markup: FormatName) -> str:
    """Give a post as its readers see it, without tags."""
    html = {"bbcode": shown_bbcode, "markdown": shown_markdown, "html": str}[markup](text)
    tree = html5lib.parseFragment(html, namespaceHTMLElements=False)
    return " ".join("".join(tree.itertext()).replace("\u200b", "").split())


@pytest.mark.parametrize("markup", FORMATS)
def test_notes_from_strangers_stay_words(german_site: Site, markup: FormatName) -> None:
    said = shown(whole(post(german_site, PostOptions(markup))), markup)
    assert "Größe, Übermut & Äpfel: 5 < 6 > 4. [quote]kein Zitat[/quote]" in said
    assert "<b>nicht fett</b>" in said
    assert "[/code] ``` x" in said
    assert "Pumpe [/list]" in said


@pytest.mark.parametrize("markup", FORMATS)
def test_no_script_and_no_foreign_tag(german_site: Site, markup: FormatName) -> None:
    text = whole(post(german_site, PostOptions(markup)))
    html = {"bbcode": shown_bbcode, "markdown": shown_markdown, "html": str}[markup](text)
    tree = html5lib.parseFragment(html, namespaceHTMLElements=False)
    targets = [e.get("href") or e.get("src") or "" for e in tree.iter()]
    assert not [t for t in targets if t.lower().startswith("javascript")]
    quotes = list(tree.iter("blockquote"))
    assert quotes == []  # the only quotation is a tag that a note pretends to have
    assert "https://example.org/riff/diary/2026-03/#2026-03-14-the-first-day" in targets


def test_bbcode_tags_are_whole_in_every_part(german_site: Site) -> None:
    made = post(german_site, PostOptions("bbcode", max_chars=600))
    assert len(made.texts) > 2
    for name in made.texts:
        assert open_tags(made.files[name].decode()) == [], name


@pytest.mark.parametrize("markup", FORMATS)
@pytest.mark.parametrize("limit", [500, 900, 5000])
def test_parts_keep_the_limit_and_lose_nothing(
    german_site: Site, markup: FormatName, limit: int
) -> None:
    made = post(german_site, PostOptions(markup, max_chars=limit))
    one = post(german_site, PostOptions(markup, max_chars=100_000))
    assert all(len(made.files[name].decode()) <= limit + 1 for name in made.texts)
    words = re.findall(r"\w+", " ".join(shown(made.files[n].decode(), markup) for n in made.texts))
    wanted = re.findall(r"\w+", shown(whole(one), markup))
    assert set(wanted) <= set(words)
    assert made.texts[0] == f"part-1{MARKUPS[markup].suffix}"


LONG = """\
## A heading
Some **very {bold} words** and a [link](https://example.org/a?b=[c]) in a line.

1. one
2. two
   - inside

> quoted *text*

```js
if (a) { b(); }
```

| a | b |
|---|---|
| 1 | 2 |
"""


@pytest.mark.parametrize("markup", FORMATS)
def test_a_block_that_is_too_long_is_cut_between_words(markup: FormatName) -> None:
    notes = LONG.replace("{bold}", "bold " * 300) + "\n```\n" + "x" * 2000 + "\n```\n"
    blocks = note_blocks(notes + "\n- item " + "word " * 400, lambda _: None)
    found = parts(blocks, MARKUPS[markup], 500, str)
    assert all(len(text) <= 500 for text, _ in found)
    said = " ".join(shown(text, markup) for text, _ in found)
    assert said.count("bold") == 300 and said.split().count("word") == 400
    assert said.count("x") >= 2000
    if markup == "bbcode":
        assert [open_tags(text) for text, _ in found if open_tags(text)] == []


def test_markdown_keeps_its_kinds() -> None:
    blocks = note_blocks(LONG.replace("{bold}", "bold"), lambda _: None)
    ((text, _),) = parts(blocks, MARKUPS["markdown"], 10_000, str)
    html = shown_markdown(text)
    assert "<h3>A heading</h3>" in html
    assert "<strong>very bold words</strong>" in html
    assert 'href="https://example.org/a?b=%5Bc%5D"' in html
    assert "<ol>" in html and "<li>– inside</li>" in html
    assert "<blockquote>" in html and "<em>text</em>" in html
    assert unescape(html).count("if (a) { b(); }") == 1


@pytest.mark.parametrize("markup", FORMATS)
def test_the_table_survives_plain_text(german_site: Site, markup: FormatName) -> None:
    text = unescape(whole(post(german_site, PostOptions(markup))))
    text = text.replace("<pre>", "").replace("</pre>", "")
    lines = text.split("\n")
    first = next(i for i, line in enumerate(lines) if re.fullmatch(r"-+(  -+)+", line))
    rows = lines[first + 1 : first + 5]
    assert max(len(line) for line in [lines[first - 1], *rows]) <= len(lines[first]) <= 60
    gaps = [i for i, sign in enumerate(lines[first]) if sign == " "]
    assert {row.ljust(60)[i] for row in rows for i in gaps} == {" "}
    assert any(row.startswith("Temperature, °F") and "78.0" in row for row in rows)
    assert any(row.startswith("Nitrate") and "<0.25" in row for row in rows)


def test_a_table_of_long_words_fits() -> None:
    lines = aligned([["A very long heading indeed, is it not so?" * 2, "b"], ["x", "y" * 30]])
    assert max(map(len, lines)) <= 60 and len({len(line) for line in lines[1:2]}) == 1


@pytest.mark.parametrize("limits", [Limits(320, 20_000, 2), Limits(900, 60_000, 10)])
def test_pictures_keep_the_limits(german_site: Site, limits: Limits) -> None:
    made = post(german_site, PostOptions(limits=limits))
    assert 0 < len(made.pictures) <= limits.count
    for number, picture in enumerate(made.pictures, 1):
        assert picture.name.startswith(f"picture-{number:02d}-")
        assert len(picture.data) <= limits.size_bytes
        with Image.open(io.BytesIO(picture.data)) as image:
            assert image.width == picture.width <= limits.width_px
            assert not image.getexif()
        assert picture.name in whole(made)


def test_no_pictures_if_none_are_allowed(german_site: Site) -> None:
    made = post(german_site, PostOptions(limits=Limits(count=0)))
    assert made.pictures == [] and made.left_out > 0 and "[img]" not in whole(made)


def test_charts_are_light_and_carry_no_variables(german_site: Site) -> None:
    made = post(german_site, PostOptions())
    chart = next(p for p in made.pictures if p.name.endswith(".png"))
    with Image.open(io.BytesIO(chart.data)) as image:
        corner = image.convert("RGB").getpixel((1, 1))
    assert all(abs(a - b) <= 6 for a, b in zip(corner, (0xFB, 0xF8, 0xF1), strict=True))


def test_no_links_without_a_site(german_site: Site) -> None:
    text = whole(post(german_site, PostOptions("bbcode"), Address()))
    assert "[url=" not in text


def test_the_choice_of_entries(german_site: Site) -> None:
    journal = german_site.journal
    one = select(journal, ["2026-03-20"], None, None)
    assert [entry.id for entry in one.entries] == ["2026-03-20"]
    with pytest.raises(SelectionError, match="There is no entry '2020-01-01'"):
        select(journal, ["2020-01-01"], None, None)
    with pytest.raises(SelectionError, match="no entry in that period"):
        select(journal, [], journal.today, journal.today)
    with pytest.raises(SelectionError, match="Say which entries"):
        select(journal, [], None, None)


@pytest.mark.parametrize(
    ("name", "markup"), [("plain", "html"), ("german", "markdown"), ("demo", "bbcode")]
)
def test_the_command(
    name: str, markup: str, request: pytest.FixtureRequest, program: Program, tmp_path: Path
) -> None:
    journal, out = request.getfixturevalue(name), tmp_path / "post"
    period = ("--from", "2026-03-15", "--to", "2026-04-03")
    made = program.run("post", "--journal", journal, *period, "--as", markup, "--out", out)
    assert made.code == 0, made.said
    assert "No links to your site" in made.out
    written = {line.partition(":")[0] for line in made.out.splitlines()}
    assert {str(path) for path in out.iterdir()} - written == {str(out / "preview.html")}
    assert bool(list(out.glob("picture-*.jpg"))) == (name != "plain")


def test_a_second_post_replaces_the_first(plain: Path, program: Program, tmp_path: Path) -> None:
    program.run("post", "2026-03-21", "2026-03-28", "--journal", plain, "--out", tmp_path)
    assert list(tmp_path.glob("picture-*"))
    made = program.run("post", "2026-03-21", "--journal", plain, "--out", tmp_path, "--as", "html")
    assert made.code == 0, made.said
    assert sorted(p.name for p in tmp_path.iterdir()) == ["part-1.html", "preview.html"]


def test_a_folder_with_other_files_is_left_alone(
    plain: Path, program: Program, tmp_path: Path
) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    made = program.run("post", "2026-03-21", "--journal", plain, "--out", tmp_path)
    assert made.code == 2 and "holds other files" in made.err
    assert [p.name for p in tmp_path.iterdir()] == ["mine.txt"]


def test_the_preview_opens_from_a_folder(
    german_site: Site, tmp_path: Path, browser: Browser
) -> None:
    made = post(german_site, PostOptions("bbcode"))
    for name, data in made.files.items():
        (tmp_path / name).write_bytes(data)
    context = browser.new_context()
    record = Record.of(context, tmp_path.as_uri())
    page = context.new_page()
    page.goto((tmp_path / "preview.html").as_uri())
    widths = page.evaluate("[...document.images].map(image => image.naturalWidth)")
    assert widths == [picture.width for picture in made.pictures]
    text = page.locator("textarea").first.input_value()
    assert text == made.files[made.texts[0]].decode().removesuffix("\n")
    assert record.elsewhere == [] and record.complaints == []
    context.close()
