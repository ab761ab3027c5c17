"""Journal blocks inside hand-written pages."""

from __future__ import annotations

from pathlib import Path

import html5lib
import pytest

from journal_tools.embed import EmbedError, render_embed
from journal_tools.metrics.record import CAUTIONS
from journal_tools.pages.site import Site
from tests.journals import HUNDRED_LITRES, photo, site

FILES = {
    "tank.yml": HUNDRED_LITRES
    + "supplements: [{name: mix, potency: {by: 1 ml, water: 100 L, raises: {calcium: 4}}}]\n"
    + "animals: [{name: snail, group: invertebrate}]\n",
    "log/2026-03-01.yml": "readings: {alkalinity: 8}\nlivestock: {added: snail, count: 3}\n"
    "dosing_plan: {what: mix, per_day: 3 ml}\n",
    "log/2026-03-08.yml": "readings: {alkalinity: 8.4}\n"
    "photos: [{file: a.jpg, view: front, caption: 'A <b>'}, {file: b.jpg}, {file: c.jpg}]\n"
    "costs: [{what: salt, amount: 5}]\n",
}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Site:
    folder = tmp_path_factory.mktemp("embed")
    for name in "abc":
        photo(folder / "journal" / "photos" / f"{name}.jpg", (640, 480))
    found = site(folder, FILES)
    assert [str(problem) for problem in found.problems] == []
    return found


def test_a_chart_by_name_or_short_name(made: Site) -> None:
    html = render_embed(made, "chart: alkalinity")
    assert html == render_embed(made, "chart: KH")
    assert '<figure class="jt-figure" id="chart-alkalinity"' in html and "<svg" in html


def test_a_number_shows_unit_interval_and_working(made: Site) -> None:
    html = render_embed(made, "number: net_volume")
    assert "<strong>100</strong>" in html and ">L</span>" in html and "± 2" in html
    assert "<details" in html and "JCGM 100:2008" in html


def test_a_number_about_a_subject_carries_its_caution(made: Site) -> None:
    html = render_embed(made, "number: dose_per_day\nof: mix")
    assert "<strong>3.0</strong>" in html
    assert CAUTIONS["chemical"] in html.replace("&#39;", "'")


def test_photos_of_a_view_or_all(made: Site) -> None:
    assert render_embed(made, "photos: Front").count("<img") == 1
    assert render_embed(made, "photos: all").count("<img") == 3
    assert render_embed(made, "photos: all\nlast: 2").count("<img") == 2
    assert "A &lt;b&gt;" in render_embed(made, "photos: front")


def test_a_table_of_livestock(made: Site) -> None:
    html = render_embed(made, "table: livestock")
    assert "snail" in html and "<td>3</td>" in html


@pytest.mark.parametrize(
    "source", ["chart: alkalinity", "number: net_volume", "photos: all", "table: livestock"]
)
def test_embeds_are_whole_html(made: Site, source: str) -> None:
    parser = html5lib.HTMLParser()
    parser.parseFragment(render_embed(made, source))
    assert parser.errors == []


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("", "Write one line"),
        ("alkalinity", "Write one line"),
        ("chart: [", "Write one line"),
        ("chart: a\nchart: b", "Write one line"),
        ("graph: alkalinity", "Name one of chart, number, photos, table"),
        ("chart: alkalinity\ntable: livestock", "Name one of"),
        ("chart: calcium", "This journal has readings of alkalinity."),
        ("chart: nonsense", "No chart 'nonsense'"),
        ("chart: alkalinity\nsize: 5", "'size' is not known here. Known: nothing."),
        ("number: nonsense", "No number 'nonsense'. Known: gross_volume"),
        ("number: net_volume\nsize: 5", "'size' is not known here. Known: of."),
        ("number: turnover", "does not say enough for 'turnover'."),
        ("number: dose_per_day\nof: other", "Add 'of:' with one of mix."),
        ("photos: back", "No photos of view 'back'. Views: front, or all."),
        ("photos: all\nlast: 0", "a number from 1 to 60"),
        ("photos: all\nlast: true", "a number from 1 to 60"),
        ("photos: all\nlast: many", "a number from 1 to 60"),
        ("table: costs", "No table 'costs'. Known: livestock."),
    ],
)
def test_what_cannot_be_shown_says_what_to_write(made: Site, source: str, words: str) -> None:
    with pytest.raises(EmbedError) as raised:
        render_embed(made, source)
    assert words in str(raised.value)


def test_private_costs_cannot_be_embedded(made: Site, tmp_path: Path) -> None:
    assert "<strong>€5.00</strong>" in render_embed(made, "number: cost_total")
    log = {"log/2026-03-08.yml": "costs: [{what: salt, amount: 5}]\n"}
    tank = {"tank.yml": HUNDRED_LITRES + "privacy: {show_costs: false}\n"}
    with pytest.raises(EmbedError):
        render_embed(site(tmp_path, tank | log), "number: cost_total")
