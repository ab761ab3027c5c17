"""The dosing page: what goes in and what is used up."""

from __future__ import annotations

import datetime as dt
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
        (
            "{name: x, effluent: {alkalinity: 28 dKH, calcium: 500}}",
            "A reactor whose outflow measures alkalinity 28 dKH, calcium 500 mg/L.",
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
    (table,) = [
        e
        for e in page.by_class("jt-table")
        if text_of(e).startswith("From test to test: Alkalinity")
    ]
    rows = [[text_of(td) for td in tr.iter("td")] for tr in table.iter("tr")][1:]
    newest = demo.site.metrics.of("consumption_between_tests", "alkalinity")[-12:][::-1]
    assert len(rows) == 12
    assert [row[2] for row in rows] == [
        f"{result.value:.2f}".replace("-", "\u2212") for result in newest
    ]
    assert all(row[3] for row in rows)


MIX = "{name: mix, potency: {by: 10 ml, water: 100 L, raises: {alkalinity: 0.5}}}"
REEF = journals.HUNDRED_LITRES + f"supplements: [{MIX}]\n"
REEF += "tests: {alkalinity: {repeatability: 0.05}, salinity: {repeatability: 0.05}}\n"


def on_a_line(per_day: float, of: str = "alkalinity", start: float = 8.0) -> dict[str, str]:
    return {
        f"log/2026-03-{day:02}.yml": f"readings: {{{of}: {start - per_day * day:.2f}}}\n"
        for day in range(1, 32, 3)
    }


def article(page: Html, anchor: str) -> str:
    return text_of(page.by_id(anchor))


def dosing(tmp_path: Path, files: dict[str, str], today: dt.date = journals.TODAY) -> Html:
    return Html.of(dosing_page(journals.site(tmp_path, {"tank.yml": REEF} | files, today)))


def test_a_beginner_reads_one_sentence_and_one_number(tmp_path: Path) -> None:
    text = article(dosing(tmp_path, on_a_line(0.05)), "used-alkalinity")
    assert text.startswith(
        "Alkalinity The tank uses up 0.05 dKH of alkalinity a day; today it should stand at about "
    )
    assert "0.05 dKH/day" in text
    assert "Why" not in text.partition("The figures")[0]


@pytest.mark.parametrize(
    ("of", "per_day", "start", "words"),
    [
        ("nitrate", -0.6, 5.0, "The tank makes 0.60 mg/L of nitrate a day"),
        ("alkalinity", 0.0, 8.0, "Alkalinity hardly changes by itself"),
        ("salinity", 0.03, 35.5, "Salinity falls by 0.03 psu a day by itself (skimmer cup"),
        ("salinity", -0.03, 34.5, "Salinity rises by 0.03 psu a day by itself (supplements"),
    ],
)
def test_what_the_tank_does_in_words(
    of: str, per_day: float, start: float, words: str, tmp_path: Path
) -> None:
    assert words in article(dosing(tmp_path, on_a_line(per_day, of, start)), f"used-{of}")


def test_a_young_journal_reads_what_is_missing(tmp_path: Path) -> None:
    files = {f"log/2026-03-2{day}.yml": "readings: {alkalinity: 8}\n" for day in (2, 8)}
    text = article(dosing(tmp_path, files), "used-alkalinity")
    assert "How much alkalinity the tank uses up is not known yet." in text
    assert "Why: it takes three tests within a month or so, and fewer are there." in text


def test_an_old_figure_is_not_said_of_today(tmp_path: Path) -> None:
    page = dosing(tmp_path, on_a_line(0.05), journals.TODAY + dt.timedelta(days=100))
    text = article(page, "used-alkalinity")
    assert "When last tested often enough, around 31 March 2026: The tank uses up 0.05" in text
    assert "today it should stand" not in text
    assert "Why not today: the last test is 100 days old" in text


def test_an_untold_supplement_is_named_with_what_to_write(tmp_path: Path) -> None:
    files = on_a_line(0.05)
    files["log/2026-03-01.yml"] += "dosing_plan: {what: potion, per_day: 5 ml}\n"
    text = article(dosing(tmp_path, files), "used-alkalinity")
    assert "nobody knows what potion did to it" in text and "no_effect: true" in text


def test_a_dose_comes_with_its_arithmetic_and_a_date(tmp_path: Path) -> None:
    files = on_a_line(0.0)
    files["log/2026-03-01.yml"] += "dosing_plan: {what: mix, per_day: 16 ml}\n"
    text = article(dosing(tmp_path, files), "used-alkalinity")
    assert "Dose. 16 ml a day go in now, which holds the level" in text
    assert "Measure alkalinity again on 14 April 2026." in text
    for label in ("dosed at present", "level aimed at", "most that the level should move in a day"):
        assert label in text


def test_a_ratio_is_shown_in_the_keepers_unit(tmp_path: Path) -> None:
    files = {
        f"log/2026-03-{day:02}.yml":
        f"readings: {{alkalinity: {3.5 - 0.03 * day:.3f}, calcium: {440 - 0.6 * day:.1f}}}\n"
        for day in range(1, 32, 3)
    }  # fmt: skip
    tank = REEF.replace("repeatability: 0.05}, sal", "repeatability: 0.02}, sal")
    files["tank.yml"] = tank + "units: {alkalinity: meq/L}\n"
    text = article(dosing(tmp_path, files), "calcium-ratio")
    # 6 and 7.15 mg/L per dKH, 2.8039 dKH to the meq/L (DIN 38409-7)
    assert "Corals and coralline algae take 16.82 to 20.04 mg/L per meq/L." in text


def test_the_caution_stands_below_every_dosing_page(demo: Built, three: Built) -> None:
    for built in (demo, three):
        assert "Supplements can be caustic" in built.html["dosing"].text
