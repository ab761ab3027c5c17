"""The livestock page: who lives here, who was lost, and when."""

from __future__ import annotations

from pathlib import Path

from journal_tools.metrics.record import CAUTIONS
from journal_tools.pages.livestock import livestock_page, residents_by_group
from tests import journals
from tests.pages.built import Built, Html, text_of

TANK = (
    journals.HUNDRED_LITRES
    + """\
animals:
  - {name: goby, species: Gobiodon sp., group: fish}
  - {name: branch, group: coral}
"""
)
LOG = {
    "tank.yml": TANK,
    "log/2026-02-01.yml": "livestock: [{added: branch, length: 3 cm}, {added: goby, count: 2}]\n",
    "log/2026-02-08.yml": "livestock: [{lost: goby, why: jumped}, {added: odd crab}]\n",
    "log/2026-03-01.yml": "livestock: [{measured: branch, length: 45 mm}]\n",
}


def cells(page: Html) -> list[list[str]]:
    return [[text_of(cell) for cell in row] for table in page.by_class("jt-residents")
            for row in table.iter("tr") if any(cell.tag == "td" for cell in row)]  # fmt: skip


def test_residents_by_group_with_size_and_first_day(tmp_path: Path) -> None:
    site = journals.site(tmp_path, LOG)
    assert [heading for heading, _ in residents_by_group(site)] == ["Fish", "Corals", "Others"]
    page = Html.of(livestock_page(site))
    assert cells(page) == [
        ["goby Gobiodon sp.", "1", "", "1 Feb 2026"],
        ["branch", "1", "3.0 → 4.5 cm", "1 Feb 2026"],
        ["odd crab", "1", "", "8 Feb 2026"],
    ]


def test_losses_and_comings_newest_first(tmp_path: Path) -> None:
    page = Html.of(livestock_page(journals.site(tmp_path, LOG)))
    (losses,) = page.by_class("jt-losses")
    assert text_of(losses) == "8 Feb 2026 1 × goby: jumped"
    (history,) = page.by_class("jt-history")
    assert [text_of(e) for e in history] == [
        "8 Feb 2026 added odd crab",
        "8 Feb 2026 lost goby",
        "1 Feb 2026 added 2 × goby",
        "1 Feb 2026 added branch",
    ]


def test_each_animal_has_its_heading_and_its_story(tmp_path: Path) -> None:
    page = Html.of(livestock_page(journals.site(tmp_path, LOG)))
    stories = {text_of(next(e.iter("h3"))): [text_of(row) for row in e.iter("li")]
               for e in page.by_class("jt-life")}  # fmt: skip
    assert stories == {
        "branch": ["1 Feb 2026 added, 3.0 cm", "1 Mar 2026 measured, 4.5 cm"],
        "goby": ["1 Feb 2026 2 added", "8 Feb 2026 lost: jumped"],
        "odd crab": ["8 Feb 2026 added"],
    }
    anchors = [e.get("id", "") for e in page.all("h3") if e.get("id")]
    assert anchors == ["animal-1", "animal-2", "animal-3"]


def test_an_empty_tank_says_how_to_fill_it(empty: Built) -> None:
    page = empty.html["livestock"]
    assert "Nobody yet." in page.text
    assert page.by_class("jt-caution") == []


def test_animals_carry_their_caution(three: Built) -> None:
    notes = [text_of(e) for e in three.html["livestock"].by_class("jt-caution")]
    assert notes == [f"Caution. {CAUTIONS['animal']}"]


def test_the_demo_adds_up(demo: Built) -> None:
    shown = {row[0]: int(row[1]) for row in cells(demo.html["livestock"])}
    table = demo.site.tables.livestock
    signs = table["event"].map({"added": 1, "lost": -1, "removed": -1, "measured": 0})
    left = (signs * table["count"]).groupby(table["name"]).sum()
    assert sum(shown.values()) == left[left > 0].sum()
    assert len(shown) == (left > 0).sum()
