"""What must hold on every page of every journal."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest

from journal_tools.cache import Cache
from journal_tools.metrics import METRICS, Result
from journal_tools.metrics.record import CAUTIONS
from journal_tools.pages import build_tree
from journal_tools.pages.site import interval_text, latest, month_path, unit_text
from journal_tools.pages.tree import linked_paths
from tests import journals
from tests.pages.built import Built, text_of

LINKING = ("href", "src", "srcset", "data-src", "data-vega")
ENTITY = re.compile(r"&(amp;)?(#\d+|[a-z]+);")


def test_every_page_parses_without_complaint(built: Built) -> None:
    for path, page in built.html.items():
        assert page.errors == [], path


def test_ids_are_unique_and_point_somewhere(built: Built) -> None:
    for path, page in built.html.items():
        ids = [e.get("id") for e in page.all() if e.get("id")]
        assert len(ids) == len(set(ids)), path
        for element in page.all():
            for attribute in ("aria-labelledby", "aria-describedby", "for"):
                for anchor in element.get(attribute, "").split():
                    assert anchor in ids, (path, attribute, anchor)


def test_every_link_leads_to_a_page_file_or_anchor(built: Built) -> None:
    anchors = {path: {e.get("id") for e in page.all()} for path, page in built.html.items()}
    files = {asset.path for asset in built.tree.assets}
    for path, page in built.html.items():
        for element in page.all():
            for link in (element.get(name, "") for name in LINKING):
                for target in re.findall(r"(?:^|, )site:(\S*)", link):
                    place, _, anchor = target.partition("#")
                    assert place in anchors or (place in files and not anchor), (path, link)
                    assert not anchor or anchor in anchors[place], (path, link)
            if element.get("href", "").startswith("#"):
                assert element.get("href", "")[1:] in anchors[path], (path, element.get("href"))
            assert element.tag != "a" or element.get("href") != "", path


def test_adapters_see_the_links_that_a_browser_sees(built: Built) -> None:
    files = {asset.path for asset in built.tree.assets} | built.html.keys()
    for path, page in built.html.items():
        seen = [t.partition("#")[0] for e in page.all() for name in LINKING
                for t in re.findall(r"(?:^|, )site:(\S*)", e.get(name, ""))]  # fmt: skip
        assert sorted(linked_paths(page.page.html)) == sorted(seen), path
        assert set(seen) <= files


def test_nothing_comes_from_another_host(built: Built) -> None:
    for path, page in built.html.items():
        for element in page.all("img", "script", "source", "link", "iframe", "object", "button"):
            for name in ("src", "srcset", "data", "data-src", "data-vega"):
                assert "//" not in element.get(name, ""), (path, element.attrib)
        assert list(page.all("iframe", "object", "style")) == [], path
        # The form for the keeper alone brings a script of its own.
        assert (list(page.all("script")) == []) == (path != "write"), path


def test_pictures_have_words_and_a_place(built: Built) -> None:
    for path, page in built.html.items():
        for image in page.all("img"):
            assert image.get("alt", "").strip(), path
            assert int(image.get("width", "0")) > 0 and int(image.get("height", "0")) > 0, path


def test_drawings_have_words_or_are_passed_over(built: Built) -> None:
    for path, page in built.html.items():
        hidden = {d for e in page.all() if e.get("aria-hidden") == "true" for d in e.iter()}
        for drawing in page.all("{http://www.w3.org/2000/svg}svg", "svg"):
            assert drawing in hidden or drawing.get("aria-label") or drawing.get(
                "aria-labelledby"
            ), path  # fmt: skip


def test_one_title_and_headings_without_jumps(built: Built) -> None:
    for path, page in built.html.items():
        levels = [int(e.tag[1]) for e in page.all(*(f"h{n}" for n in range(1, 7)))]
        assert levels.count(1) == 1 and levels[0] == 1, path
        jumps = [(a, b) for a, b in pairwise(levels) if b > a + 1]
        assert jumps == [], path
        assert all(text_of(e) for e in page.all("h1", "h2", "h3")), path


def test_every_page_has_a_title_a_description_and_a_place(built: Built) -> None:
    pages = built.tree.pages
    assert len({page.path for page in pages}) == len(pages)
    for page in pages:
        assert page.title and page.description, page.path
        assert len(page.description) <= 220 and "\n" not in page.description, page.path
        assert re.fullmatch(r"[a-z0-9/-]*", page.path)


def test_nothing_is_escaped_twice_or_left_out(built: Built) -> None:
    for path, page in built.html.items():
        words = page.text + " ".join(v for e in page.all() for v in e.attrib.values())
        assert not ENTITY.search(words), path
        assert not re.search(r"\{\{|\{%|\bUndefined\b|\bnan\b", words), path
        # None as a word of its own is Python's, unless a keeper wrote it
        assert not re.search(r"(?<!\w)None(?!\w)", page.text), path


def test_the_navigation_names_pages_in_order(built: Built) -> None:
    labels = [label for label, _ in built.tree.navigation]
    assert labels == [
        label for label in [
            "Today", "Diary", "Water", "Dosing", "Build", "Livestock", "Upkeep", "Costs",
            "Photos", "Second opinion", "Data",
        ] if label != "Costs" or "costs" in built.html
    ]  # fmt: skip
    assert {path for _, path in built.tree.navigation} <= built.html.keys()


def test_entry_ids_are_anchors_of_their_month(built: Built) -> None:
    for entry in built.site.journal.entries:
        heading = built.html[month_path(entry.day)].by_id(entry.id)
        assert heading.tag == "h2"
        assert re.fullmatch(r"\d{4}-\d{2}-\d{2}(-[a-z0-9-]+)?", entry.id)


def cautions_missing(built: Built) -> list[tuple[str, str]]:
    """Give page and metric where a figure stands without its caution."""
    missing = []
    for path, page in built.html.items():
        for figure in page.by_class("jt-fact"):
            how = text_of(figure)
            metric = next((m for m in METRICS if m.method in how), None)
            assert metric is not None, (path, how[:80])
            if metric.caution and metric.caution not in page.text:
                missing.append((path, metric.name))
    return missing


def test_what_can_hurt_has_its_caution_on_every_page_that_shows_it(demo: Built) -> None:
    assert cautions_missing(demo) == []
    for path, hazard in (("build", "mains"), ("dosing", "chemical"), ("livestock", "animal")):
        notes = [text_of(e) for e in demo.html[path].by_class("jt-caution")]
        assert f"Caution. {CAUTIONS[hazard]}" in notes


def test_every_figure_opens_its_working(demo: Built) -> None:
    seen = 0
    for path, page in demo.html.items():
        for figure in page.by_class("jt-fact"):
            assert [e.tag for e in figure].count("details") == 1, path
            assert any("Source:" in text_of(e) for e in figure.iter("p")), path
            seen += 1
    assert seen > 40


def test_a_private_price_is_nowhere(three: Built) -> None:
    for page in three.tree.pages:
        text = page.html.lower()
        assert "77.7" not in text, page.path
        # the form and the words for keys name prices, whoever reads the site
        assert page.path in ("write", "keys") or ("cost" not in text and "price" not in text), (
            page.path
        )
    for asset in three.tree.assets:
        if asset.path.startswith("data/"):
            assert b"77.7" not in asset.read() and b"cost" not in asset.read(), asset.path


def test_public_prices_are_shown(demo: Built) -> None:
    assert "€480.00" in demo.html["equipment"].text
    assert any(asset.path == "data/costs.csv" for asset in demo.tree.assets)


def test_what_a_keeper_wrote_is_text(three: Built) -> None:
    month = three.html["diary/2026-01"]
    assert "First <script>alert(1)</script> water" in text_of(month.by_id("2026-01-31"))
    tags = [text_of(e) for e in month.by_class("jt-tag")]
    assert tags == ["Water", "a&b", "<i>"]
    assert "kept by Ilse & Son." in three.html[""].text


def test_the_word_site_in_a_caption_is_no_link(three: Built) -> None:
    alts = {e.get("alt") for e in three.html["photos"].all("img")}
    assert alts == {'On site: the <sump> & "more"', "Front, 30 March 2026"}
    titles = {e.get("title") for e in three.html["diary/2026-02"].all("li")}
    assert "written 8.2 pH, on site: pen" in titles
    assert "" not in set(linked_paths(three.html["photos"].page.html))


def test_the_same_journal_gives_the_same_site(three: Built) -> None:
    again = build_tree(three.site)
    assert [page.html for page in again.pages] == [page.html for page in three.tree.pages]
    assert {a.path: a.read() for a in again.assets} == {a.path: a.read() for a in three.tree.assets}


def test_a_template_of_the_journals_own_replaces_ours(tmp_path: Path) -> None:
    from journal_tools.pages.site import gather_site

    own = tmp_path / "site_templates"
    (own / "pages").mkdir(parents=True)
    (own / "pages" / "water.html").write_text("<h1>Mine, {{ site.journal.profile.name }}</h1>")
    journal = journals.read({})
    found = gather_site(journal, Cache(tmp_path / "cache"), own)
    pages = {page.path: page.html for page in build_tree(found, own).pages}
    assert pages["water"] == "<h1>Mine, Test reef</h1>"
    assert "<h1>Dosing</h1>" in pages["dosing"]


@pytest.mark.parametrize(
    ("value", "low", "high", "decimals", "words"),
    [
        (10.0, 6.0, 14.0, 0, "± 4"),
        (10.0, 5.0, 20.0, 0, "5 to 20"),
        (10.0, None, None, 0, ""),
        (10.0, 9.99, 10.01, 1, ""),
        (0.0, -1.0, 2.0, 1, "\u22121.0 to 2.0"),
        (5.0, 5.0, 5.0, 0, ""),
    ],
)
def test_an_interval_in_words(
    value: float, low: float | None, high: float | None, decimals: int, words: str
) -> None:
    assert interval_text(Result("m", value, "L", decimals, "", low, high)) == words


def test_one_day_is_no_days() -> None:
    assert unit_text(Result("m", 1.0, "days", 0)) == "day"
    assert unit_text(Result("m", 2.0, "days", 0)) == "days"
    assert unit_text(Result("m", 1.0, "entries", 0)) == "entries"


def test_the_cover_is_the_newest_of_its_view(three: Built) -> None:
    shown = three.site.shown_photos
    assert latest(shown, "front") is shown[-1]
    assert latest(shown, "nowhere") is shown[-1]
    assert latest([], "front") is None
    assert three.site.series("FRONT") == shown
