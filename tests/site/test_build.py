"""The built site: clean, repeatable, whole, private; and the adapter's ways with odd journals."""

from __future__ import annotations

import gzip
import hashlib
import io
import json
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from PIL import Image

from journal_tools.schema import ENTRY_SCHEMA, PROFILE_SCHEMA
from tests.site.broken import ELSEWHERE, broken_journal, expected, kinds_in_the_code
from tests.site.journals import change_settings, copy_of_demo, new_journal, three_entries, write
from tests.site.links import BuiltSite, bare_name
from tests.site.program import ROOT, Demo, Program

PICTURES = (".webp", ".jpg", ".jpeg", ".png", ".avif", ".gif")


@pytest.fixture(scope="module")
def pages(demo: Demo) -> BuiltSite:
    return BuiltSite.read(demo.site)


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    return three_entries(tmp_path / "reef")


def contents(folder: Path) -> dict[str, str]:
    """Give the digest of every file by its path."""
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def times(folder: Path) -> dict[Path, int]:
    return {path: path.lstat().st_mtime_ns for path in sorted(folder.rglob("*"))}


def text_of(site: Path, page: str = "index.html") -> str:
    return (site / page).read_text(encoding="utf-8")


# --- The demo ----------------------------------------------------------------------------------


def test_strict_build_of_the_demo_is_clean(demo: Demo):
    assert demo.outcome.code == 0, demo.outcome.said
    assert demo.outcome.warnings == []
    assert "Traceback" not in demo.outcome.said
    assert "Warning" not in demo.outcome.said


def test_a_build_elsewhere_is_the_same_to_the_byte_and_leaves_the_journal_alone(
    demo: Demo, program: Program, tmp_path: Path
):
    copy = copy_of_demo(tmp_path / "another place")
    before, touched = contents(copy), times(copy)
    site = tmp_path / "site"
    outcome = program.run(
        "build", copy, "--strict", "--site", site,
        JOURNAL_TOOLS_CACHE=str(tmp_path / "cache"), PYTHONHASHSEED="4711", LC_ALL="C",
        TZ="Pacific/Kiritimati", PYTHONUTF8="0", PYTHONCOERCECLOCALE="0",
    )  # fmt: skip
    assert outcome.code == 0, outcome.said
    assert contents(copy) == before
    assert times(copy) == touched
    first, second = contents(demo.site), contents(site)
    assert [p for p in sorted({*first, *second}) if first.get(p) != second.get(p)] == []


def test_every_link_picture_script_and_style_of_the_demo_is_there(pages: BuiltSite):
    assert len(pages.documents) > 20
    assert pages.broken() == []


def test_no_page_of_the_demo_loads_anything_from_another_host(pages: BuiltSite):
    assert pages.fetched_elsewhere() == []


def test_ids_are_unique_and_those_named_exist(pages: BuiltSite):
    for document in pages.documents.values():
        assert [i for i, count in Counter(document.ids).items() if count > 1] == [], document.path
        # The theme labels the table of contents of a page that is in no menu for a switch of it.
        assert [lost for lost in document.lost_ids() if not lost.endswith("for=__toc")] == []


def test_search_and_site_map_lead_to_pages_that_exist(pages: BuiltSite):
    index = json.loads(text_of(pages.folder, "search/search_index.json"))
    assert len(index["docs"]) > 100
    for place in {entry["location"] for entry in index["docs"]}:
        path, _, anchor = place.partition("#")
        name = f"{path}index.html"
        assert name in pages.documents, place
        assert not anchor or unquote(anchor) in pages.documents[name].anchors, place


def test_search_gives_the_words_of_an_entry_to_that_entry(demo: Demo):
    index = json.loads(text_of(demo.site, "search/search_index.json"))
    found = [entry["location"] for entry in index["docs"] if "palytoxin" in entry["text"]]
    assert found == ["diary/2025-12/#2025-12-13-first-corals"]


def test_a_checker_of_links_sees_what_is_broken(tmp_path: Path):
    write(
        tmp_path, "a/index.html",
        '<h1 id="here">A</h1><a href="#here">ok</a><a href="../b.html#there">ok</a>'
        '<a href="#gone">x</a><a href="../b.html#gone">x</a><a href="c.html">x</a>'
        '<a href="../../up.html">x</a><a href="/a/">x</a><img srcset="no.webp 1w, no2.webp 2w">'
        '<script src="https://example.org/x.js"></script><a href="javascript:x()">x</a>'
        '<a href="https://example.org/">ok</a><p style="background:url(no.png)">x</p>',
    )  # fmt: skip
    write(tmp_path, "b.html", '<a name="there">B</a><p id="twice"></p><label for="nobody"></label>')
    write(tmp_path, "c.css", "@import 'no.css'; b{background:url(data:x)}")
    site = BuiltSite.read(tmp_path)
    addresses = [re.search(r"='(.*)'>", line)[1] for line in site.broken()]  # type: ignore[index]
    assert addresses == [
        "#gone", "../b.html#gone", "c.html", "../../up.html", "/a/", "no.webp", "no2.webp",
        "javascript:x()", "no.png", "no.css",
    ]  # fmt: skip
    assert len(site.fetched_elsewhere()) == 1
    assert site.documents["b.html"].lost_ids() == ["b.html: for=nobody"]


# --- What stays private ------------------------------------------------------------------------


def test_no_source_of_the_journal_is_published(demo: Demo):
    published = contents(demo.site)
    assert not {*published.values()} & {*contents(ROOT / "content").values()}
    names = {Path(path).name for path in published}
    assert not [n for n in names if n.endswith((".yml", ".yaml", ".schema.json", ".md"))]


def test_copies_and_other_spellings_of_sources_are_not_published_either(
    journal: Path, program: Program
):
    assert (journal / "content" / PROFILE_SCHEMA).is_file()
    assert (journal / "content/log" / ENTRY_SCHEMA).is_file()
    for path in ("tank.yml.bak", "Photos/IMG_1.jpg", "LOG/old.yml", "probes/ph.csv", "README.md"):
        write(journal, f"content/{path}", "secret words")
    write(journal, "content/downloads/plan.txt", "for all to see")
    site, outcome = program.build(journal)
    assert outcome.code == 0, outcome.said
    published = contents(site)
    assert "downloads/plan.txt" in published
    assert [p for p in published if re.search(r"\.ya?ml|schema|IMG_1|probes|README", p)] == []
    assert not any(b"secret words" in path.read_bytes() for path in _files(site))
    assert "The test tank" in text_of(site)


def _files(folder: Path) -> Iterator[Path]:
    return (path for path in sorted(folder.rglob("*")) if path.is_file())


def test_pictures_do_not_tell_where_or_with_what_they_were_taken(demo: Demo):
    originals = [p for p in _files(ROOT / "content/photos") if p.suffix.lower() in PICTURES]
    assert sum(_tells_place(path.read_bytes()) for path in originals) > 0
    pictures = [p for p in _files(demo.site / "photos") if p.suffix.lower() in PICTURES]
    assert len(pictures) >= 2 * len(originals)
    for path in pictures:
        data = path.read_bytes()
        assert not _tells_place(data), path
        with Image.open(io.BytesIO(data)) as picture:
            assert not {"exif", "xmp", "comment", "photoshop"} & {*picture.info}, path
        assert b"Exif\0\0" not in data
        assert b"ns.adobe.com" not in data


def _tells_place(data: bytes) -> bool:
    with Image.open(io.BytesIO(data)) as picture:
        return bool(picture.getexif().get_ifd(0x8825))


# --- Journals that are short, empty or broken --------------------------------------------------


def test_a_new_journal_builds_at_once(tmp_path: Path, program: Program):
    site, outcome = program.build(new_journal(tmp_path / "reef"), "--strict")
    assert (outcome.code, outcome.warnings) == (0, [])
    assert BuiltSite.read(site).broken() == []
    assert "The first day" in text_of(site, "diary/2026-03/index.html")


@pytest.mark.parametrize("profile", ["name: Bare\nstart: 2026-03-14\n", ""])
def test_an_empty_journal_builds(tmp_path: Path, program: Program, profile: str):
    journal = new_journal(tmp_path / "reef")
    for path in (journal / "content/log").iterdir():
        path.unlink()
    (journal / "content/log").rmdir()
    write(journal, "content/tank.yml", profile)
    site, outcome = program.build(journal)
    assert outcome.code == 0, outcome.said
    assert [w for w in outcome.warnings if "tank.yml" not in w] == []
    assert bool(outcome.warnings) == (not profile)
    assert BuiltSite.read(site).broken() == []
    assert "No entries yet" in text_of(site)


def test_a_journal_of_three_entries_builds(journal: Path, program: Program):
    site, outcome = program.build(journal, "--strict")
    assert outcome.code == 0, outcome.said
    pages = BuiltSite.read(site)
    assert pages.broken() == []
    assert pages.fetched_elsewhere() == []
    assert "The glass has arrived" in text_of(site, "diary/2026-03/index.html")
    assert "A quiet fortnight" in text_of(site, "diary/2026-04/index.html")
    assert "<svg" in text_of(site, "water/index.html")


def test_without_a_profile_the_build_says_how_to_begin(journal: Path, program: Program):
    (journal / "content/tank.yml").unlink()
    site, outcome = program.build(journal)
    assert outcome.code != 0
    assert "There is no tank.yml" in outcome.said
    assert "journal-tools new" in outcome.said
    assert "Traceback" not in outcome.said
    assert not (site / "index.html").exists()


@pytest.fixture(scope="module")
def broken(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return broken_journal(tmp_path_factory.mktemp("broken") / "reef")


def test_the_broken_journal_makes_every_kind_of_mistake(broken: Path, program: Program):
    outcome = program.run("check", broken, "--json")
    assert outcome.code == 1
    problems = json.loads(outcome.out)["problems"]
    made = {(problem["code"], problem["file"]) for problem in problems}
    assert {*expected().items()} - made == set()
    assert kinds_in_the_code() - ELSEWHERE - {code for code, _ in made} == set()


def test_a_broken_journal_builds_and_its_problems_are_warnings(broken: Path, program: Program):
    site, outcome = program.build(broken)
    assert outcome.code == 0, outcome.said
    assert "Traceback" not in outcome.said
    for file in expected().values():
        assert any(file in warning for warning in outcome.warnings), file
    assert BuiltSite.read(site).broken() == []
    page = text_of(site, "diary/2026-05/index.html")
    assert "Fine." in page
    assert "<script>alert" not in page
    assert 'href="javascript' not in page
    assert "jt-problems" not in text_of(site)


def test_a_strict_build_of_a_broken_journal_fails_and_names_them(broken: Path, program: Program):
    _, outcome = program.build(broken, "--strict")
    assert outcome.code == 1
    assert "Traceback" not in outcome.said
    for file in expected().values():
        assert any(file in warning for warning in outcome.warnings), file


def test_titles_are_text_wherever_the_theme_prints_them(tmp_path: Path, program: Program):
    """Heads, tables of contents and page titles come from the theme, which escapes nothing."""
    hostile = '"><img src=x onerror=alert(1)>'
    folder = new_journal(tmp_path / "reef")
    profile = {"name": hostile, "start": "2026-01-01"}
    entry = {"title": hostile, "milestone": hostile, "notes": "x"}
    write(folder, "content/tank.yml", json.dumps(profile))
    write(folder, "content/log/2026-01-02.yml", json.dumps(entry))
    site, outcome = program.build(folder)
    assert outcome.code == 0, outcome.said
    pages = [page.read_text(encoding="utf-8") for page in site.rglob("*.html")]
    assert any("&lt;img src=x" in page for page in pages)
    assert not any("<img src=x" in page for page in pages)


def test_what_lies_about_in_the_folder_is_not_published(tmp_path: Path, program: Program):
    """Copies of notes stay off the site, and so do pictures that tell their place."""
    folder = new_journal(tmp_path / "reef")
    write(folder, "content/old-tank.yml", "keeper: SECRET\n")
    for name, tells in (("with.jpg", True), ("without.jpg", False)):
        exif = Image.Exif()
        if tells:
            exif.get_ifd(0x8825)[1] = "N"
        Image.new("RGB", (40, 30)).save(folder / "content" / name, exif=exif)
    site, outcome = program.build(folder)
    published = {path.name for path in site.rglob("*")}
    assert "without.jpg" in published
    assert not {"with.jpg", "old-tank.yml"} & published
    assert sum("kept off the site" in warning for warning in outcome.warnings) == 2


# --- Pages written by hand ---------------------------------------------------------------------

EMBEDS = """
# By hand

```journal
number: gross_volume
of: display
```

1. In a list:

    ```journal
    chart: alkalinity
    ```

=== "A tab"

    ```journal
    photos: front
    last: 1
    ```

=== "Another"

    ```journal
    table: livestock
    ```
"""


def test_hand_written_pages_show_charts_numbers_photos_and_tables(journal: Path, program: Program):
    write(journal, "content/notes/by-hand.md", EMBEDS)
    site, outcome = program.build(journal, "--strict")
    assert outcome.code == 0, outcome.said
    pages = BuiltSite.read(site)
    assert pages.broken() == []
    tree = pages.documents["notes/by-hand/index.html"].tree
    article = next(e for e in tree.iter("article") if "md-content__inner" in e.get("class", ""))
    kinds = [
        c.split("--")[1] for e in article.iter("div") if "jt-embed--" in (c := e.get("class", ""))
    ]
    assert kinds == ["number", "chart", "photos", "livestock"]
    assert [e for li in article.iter("li") for e in li.iter() if bare_name(e) == "svg"]
    tabs = [e for e in article.iter("div") if e.get("class") == "tabbed-block"]
    assert [len([*tab.iter("img")]) for tab in tabs] == [1, 0]
    assert "clownfish" in "".join(tabs[1].itertext())
    assert "by-hand" in text_of(site)  # the navigation of the first page


def test_the_same_chart_twice_on_a_page_keeps_its_ids_apart(journal: Path, program: Program):
    block = "```journal\nchart: alkalinity\n```\n"
    write(journal, "content/by-hand.md", f"# By hand\n\n{block * 3}")
    write(journal, "content/another.md", f"# Another\n\n{block}")
    site, outcome = program.build(journal, "--strict")
    assert outcome.code == 0, outcome.said
    pages = BuiltSite.read(site)
    thrice = pages.documents["by-hand/index.html"]
    assert {*Counter(thrice.ids).values()} == {1}
    assert {"chart-alkalinity", "chart-alkalinity-2", "chart-alkalinity-3"} <= {*thrice.ids}
    assert thrice.lost_ids() == []
    assert "chart-alkalinity-2" not in pages.documents["another/index.html"].ids


WRONG_EMBEDS = {
    "chart: alkalinty": "No chart 'alkalinty'. This journal has readings of",
    "number: happiness": "No number 'happiness'. Known:",
    "photos: behind": "No photos of view 'behind'. Views: front",
    "photos: front\nlast: many": "Write 'last:' with a number",
    "table: fish": "No table 'fish'. Known: livestock.",
    "chart: alkalinity\ncolour: red": "'colour' is not known here.",
    "alkalinity": "Write one line inside the block",
    "chart: [": "Write one line inside the block",
    "": "Write one line inside the block",
    "chart: alkalinity\nnumber: net_volume": "Name one of chart, number, photos, table",
}


def test_wrong_embeds_say_what_to_write_on_the_page_and_in_the_log(journal: Path, program: Program):
    blocks = "\n\n".join(f"```journal\n{source}\n```" for source in WRONG_EMBEDS)
    write(journal, "content/by-hand.md", f"# By hand\n\n{blocks}\n")
    site, outcome = program.build(journal)
    assert outcome.code == 0, outcome.said
    page = BuiltSite.read(site).documents["by-hand/index.html"].tree
    shown = [
        "".join(e.itertext()) for e in page.iter("p") if "jt-embed--error" in e.get("class", "")
    ]
    assert len(shown) == len(WRONG_EMBEDS)
    for text, message in zip(shown, WRONG_EMBEDS.values(), strict=True):
        assert message in text
        assert any(message in warning for warning in outcome.warnings), message
    assert program.build(journal, "--strict")[1].code == 1


@pytest.mark.parametrize("name", ["water", "index", "diary/index", "diary/2026-03"])
def test_a_hand_written_page_of_a_generated_name_wins(journal: Path, program: Program, name: str):
    write(journal, f"content/{name}.md", "# My own words\n\n```journal\nchart: alkalinity\n```\n")
    site, outcome = program.build(journal)
    assert outcome.code == 0, outcome.said
    assert "Traceback" not in outcome.said
    pages = BuiltSite.read(site)
    page = "index.html" if name == "index" else f"{name.removesuffix('/index')}/index.html"
    assert "My own words" in text_of(site, page)
    tree = pages.documents["photos/index.html"].tree
    tabs = next(e for e in tree.iter("nav") if e.get("class") == "md-tabs")
    assert Counter(a.get("href") for a in tabs.iter("a")).most_common(1)[0][1] == 1


# --- Settings ----------------------------------------------------------------------------------


def test_addresses_that_end_in_html_have_no_broken_link(program: Program, tmp_path: Path):
    copy = copy_of_demo(tmp_path / "reef")
    change_settings(copy, use_directory_urls=False)
    site, outcome = program.build(copy, "--strict")
    assert outcome.code == 0, outcome.said
    assert (site / "diary/2026-05.html").is_file()
    pages = BuiltSite.read(site)
    assert pages.broken() == []
    assert pages.fetched_elsewhere() == []


def test_a_site_with_an_address_works_below_a_sub_path(journal: Path, program: Program):
    change_settings(journal, site_url="https://example.org/reef/my-journal/")
    site, outcome = program.build(journal, "--strict")
    assert outcome.code == 0, outcome.said
    pages = BuiltSite.read(site, "/reef/my-journal/")
    assert pages.broken() == []
    named = [r for r in pages.references() if r.tag == "link" and r.external]
    assert {urlsplit(r.address).netloc for r in named} == {"example.org"}
    site_map = text_of(site, "sitemap.xml")
    places = re.findall("<loc>https://example.org/reef/my-journal/(.*?)</loc>", site_map)
    assert {"", "water/", "diary/2026-03/"} <= {*places}
    assert all((site / place / "index.html").is_file() for place in places)
    assert gzip.decompress((site / "sitemap.xml.gz").read_bytes()).decode() == site_map


@pytest.mark.parametrize("font", [{"text": "Roboto", "code": "Roboto Mono"}, ...])
def test_fonts_of_another_host_are_not_loaded_and_the_log_says_so(
    journal: Path, program: Program, font: object
):
    theme = {"name": "material", **({"font": font} if font is not ... else {})}
    change_settings(journal, theme=theme)
    site, outcome = program.build(journal)
    assert outcome.code == 0
    assert any("font: false" in warning for warning in outcome.warnings)
    assert BuiltSite.read(site).fetched_elsewhere() == []


def test_a_navigation_of_ones_own_holds(journal: Path, program: Program):
    write(journal, "content/by-hand.md", "# By hand\n\nSee [the water](water.md#alkalinity).\n")
    more = ["by-hand.md", "diary/2026-03.md"]
    change_settings(journal, nav=[{"Home": "index.md"}, {"Tests": "water.md"}, {"More": more}])
    site, outcome = program.build(journal)
    assert (outcome.code, outcome.warnings) == (0, [])
    pages = BuiltSite.read(site)
    assert pages.broken() == []
    tree = pages.documents["index.html"].tree
    tabs = next(e for e in tree.iter("nav") if e.get("class") == "md-tabs")
    assert ["".join(a.itertext()).strip() for a in tabs.iter("a")] == ["Home", "Tests", "More"]
    assert "build/index.html" in pages.documents


def test_a_day_that_is_no_date_is_said_in_one_line(journal: Path, program: Program):
    change_settings(journal, plugins=["search", {"journal_tools": {"today": "soon"}}])
    _, outcome = program.build(journal)
    assert outcome.code != 0
    assert "'today: soon' in mkdocs.yml is no date" in outcome.said
    assert "Traceback" not in outcome.said


# --- Templates of the user's own ---------------------------------------------------------------


def test_a_template_of_ones_own_replaces_the_shipped_one(journal: Path, program: Program):
    write(journal, "site_templates/pages/photos.html", "<h1>Mine: {{ count }}</h1>")
    write(journal, "site_templates/assets/journal.css", "h1{color:tomato}")
    site, outcome = program.build(journal, "--strict")
    assert outcome.code == 0, outcome.said
    assert "<h1>Mine: 2 photos</h1>" in text_of(site, "photos/index.html")
    assert "h1{color:tomato}" in text_of(site, "assets/journal.css")
    assert 'id="alkalinity"' in text_of(site, "water/index.html")


@pytest.mark.parametrize(
    ("template", "text", "said"),
    [
        ("pages/water.html", "<h1>Water</h1>\n{% edn %}", "pages/water.html:2: This template"),
        ("pages/photos.html", "\n\n{{ nobody.knows }}", "pages/photos.html:3: This template"),
        ("parts/macros.html", "{% macro chart(", "parts/macros.html:1: This template"),
    ],
)
def test_a_broken_template_is_said_in_one_line(
    journal: Path, program: Program, template: str, text: str, said: str
):
    write(journal, f"site_templates/{template}", text)
    site, outcome = program.build(journal)
    assert outcome.code != 0
    assert "Traceback" not in outcome.said
    lines = [line for line in outcome.said.splitlines() if f"site_templates/{said}" in line]
    assert len(lines) == 1, outcome.said
    assert not (site / "index.html").exists()


def test_a_broken_template_of_embeds_is_said_where_it_is_used(journal: Path, program: Program):
    write(journal, "site_templates/parts/embed.html", "{{ oops }}")
    write(journal, "content/by-hand.md", "```journal\nchart: alkalinity\n```\n")
    site, outcome = program.build(journal)
    assert "site_templates/parts/embed.html:1: This template" in text_of(site, "by-hand/index.html")
    assert any("site_templates/parts/embed.html:1" in warning for warning in outcome.warnings)
    assert program.build(journal, "--strict")[1].code == 1


def test_pages_as_markdown_name_a_broken_template_too(journal: Path, program: Program):
    write(journal, "site_templates/pages/water.html", "{% edn %}")
    outcome = program.run("build", journal, "--markdown", journal / "pages")
    assert outcome.code == 1
    assert "site_templates/pages/water.html:1: This template" in outcome.err
    assert "Traceback" not in outcome.err
