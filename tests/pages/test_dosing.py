"""The dosing page: what goes in and what is used up."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal_tools.pages.dosing import dosing_page
from tests import journals
from tests.pages.built import Built, Html, text_of


def product(page: Html, name: str) -> str:
    (found,) = [e for e in page.by_class("jt-product") if text_of(next(e.iter("h3"))) == name]
    return text_of(found)


def test_an_empty_journal_says_what_to_write(empty: Built) -> None:
    assert "Nothing is dosed yet." in empty.html["dosing"].text


@pytest.mark.parametrize(
    ("described", "recipe"),
    [
        ("{name: x, salts: {NaHCO3: 80 g}, made_up_to: 1 L}", "80 g NaHCO3 made up to 1 L"),
        ("{name: x, salts: {CaCl2.2H2O: 5 g}}", "5 g CaCl2·2H2O, dosed dry"),
        (
            "{name: x, potency: {by: 10 ml, water: 100 L, raises: {calcium: 4}}}",
            "10 ml in 100 L lifts calcium by 4 mg/L",
        ),
        ("{name: x, no_effect: true}", "Lifts nothing that is tested, as the profile says."),
        ("{name: x}", "The profile tells neither salts nor potency: what it lifts is unknown."),
    ],
)
def test_a_recipe_in_words(described: str, recipe: str, tmp_path: Path) -> None:
    site = journals.site(tmp_path, {"tank.yml": journals.TANK + f"supplements: [{described}]\n"})
    page = Html.of(dosing_page(site))
    assert product(page, "x") == f"x {recipe} Not dosed so far."
    # nothing dosed, so no figure that would want a caution
    assert page.by_class("jt-fact") == []


def test_what_was_dosed_and_what_it_lifts(three: Built) -> None:
    text = product(three.html["dosing"], "mix")
    # 30 ml and a top-off of 4 L in all, none of it in the last 30 days
    assert "In all 4 030 ml" in text
    assert "A day, last 30 days" not in text
    assert "secret" in [text_of(e) for e in three.html["dosing"].all("h3")]


def test_an_undescribed_supplement_is_said_to_be_unknown(tmp_path: Path) -> None:
    site = journals.site(tmp_path, {"log/2026-03-01.yml": "doses: {what: potion, amount: 5 ml}\n"})
    text = product(Html.of(dosing_page(site)), "potion")
    assert "Not described in the profile: its strength is unknown." in text


def test_consumption_comes_with_its_intervals_newest_first(demo: Built) -> None:
    page = demo.html["dosing"]
    (table,) = [e for e in page.by_class("jt-table") if text_of(e).startswith("Alkalinity: from")]
    rows = [[text_of(td) for td in tr.iter("td")] for tr in table.iter("tr")][1:]
    newest = demo.site.metrics.of("consumption_between_tests", "alkalinity")[-12:][::-1]
    assert len(rows) == 12
    assert [row[2] for row in rows] == [
        f"{result.value:.2f}".replace("-", "\u2212") for result in newest
    ]
    assert all(row[3] for row in rows)
