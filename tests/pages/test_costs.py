"""The costs page: bought, used up, running, budget, in the journal's currency."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.pages.costs import bar_svg, costs_page
from tests import journals
from tests.pages.built import Built, Html, text_of


def page(tmp_path: Path, tank: str, log: dict[str, str] | None = None) -> Html | None:
    site = journals.site(tmp_path, {"tank.yml": journals.TANK + tank} | (log or {}))
    found = costs_page(site)
    return Html.of(found) if found is not None else None


def facts(found: Html) -> dict[str, str]:
    rows = (text_of(e) for e in found.by_class("jt-fact"))
    return {row.partition(" €")[0]: row for row in rows}


def test_bought_by_litre_and_by_month(full: Built) -> None:
    """120 for the pump and 12.50 for food; 260 L; January to March."""
    found = full.html["costs"]
    assert "€132.50" in facts(found)["Bought so far"]
    assert "€0.51 per L" in facts(found)["Cost so far by volume"]
    assert "On average €44.17 a month." in found.text


def test_what_runs_and_what_is_used_up(full: Built) -> None:
    """Alk mix 20 ml x 30.4375 d / 2 L x 10 = 3.04; salt 78 L in 90 d x 38 g x 30.4375 d / 20 kg
    x 60 = 3.01; carbon 8 / 28 d x 30.4375 = 8.70."""
    found = full.html["costs"]
    assert "€14.75" in facts(found)["Used up a month"]
    parts = [text_of(e) for e in found.by_class("jt-parts")]
    assert parts == ["activated carbon in reactor €8.70alk mix €3.04salt €3.01"]
    electricity = full.site.metrics.one("electricity_cost", "")
    assert electricity is not None
    assert f"€{electricity.value + 14.75:.2f}" in facts(found)["Running cost a month"]


def test_budget_against_what_was_spent(full: Built) -> None:
    items = [e for e in full.html["costs"].all("li") if list(e.iter("h3"))]
    told = {text_of(next(e.iter("h3"))): text_of(next(e.iter("p"))) for e in items}
    assert told == {
        "Equipment": "€120.00 of €1,000.00 meant (12 %)", "Food": "€12.50",
        "Livestock": "€0.00 of €200.00 meant (0 %)",
    }  # fmt: skip
    assert "€120.00 of €1,200.00 is spent" in full.html["costs"].text


def test_dollars_and_gallons(tmp_path: Path) -> None:
    tank = "units: {system: us}\ncurrency: USD\nequipment: [{name: box, price: 100}]\n"
    tank += "vessels: {name: d, shape: stated, volume: 100 gal}\n"
    found = page(tmp_path, tank)
    assert found is not None and "$100.00" in found.text and "$1.00 per gal" in found.text


def test_a_title_keeps_its_capitals(tmp_path: Path) -> None:
    log = {"log/2026-03-01.yml": "costs: [{what: lamp, amount: 5, category: LED parts}]\n"}
    found = page(tmp_path, "", log)
    assert found is not None and "LED parts" in found.text


def test_no_page_where_costs_are_hidden_or_nothing_is_known(tmp_path: Path) -> None:
    assert page(tmp_path / "a", "") is None
    hidden = "privacy: {show_costs: false}\nequipment: [{name: box, price: 5}]\n"
    assert page(tmp_path / "b", f"{hidden}budget: {{equipment: 5}}\n") is None


def test_running_costs_alone_make_a_page(tmp_path: Path) -> None:
    found = page(tmp_path, "tariff: 0.3\nequipment: [{name: box, power: 10 W}]\n")
    assert found is not None and "Nothing has been bought so far." in found.text
    assert list(facts(found)) == ["Electricity cost a month"]


def test_it_asks_for_the_prices_that_are_missing(tmp_path: Path) -> None:
    tank = "supplements: [{name: mix, no_effect: true}]\nbudget: {equipment: 5}\n"
    log = {"log/2026-03-20.yml": "doses: [{what: mix, amount: 30 ml}]\n"}
    found = page(tmp_path, tank, log)
    assert found is not None
    (hint,) = (text_of(e) for e in found.by_class("jt-check__missing"))
    assert "tariff: 0.31" in hint and "bottle: 2 L, price: 9.90 of mix" in hint


def test_electricity_brings_its_caution(full: Built) -> None:
    assert any("licensed electrician" in text_of(e)
               for e in full.html["costs"].by_class("jt-check__caution"))  # fmt: skip


@pytest.mark.parametrize(("spent", "over"), [(99, False), (100, False), (101, True)])
def test_a_bar_turns_where_more_was_spent_than_meant(spent: float, over: bool) -> None:
    assert ("jt-bar--over" in bar_svg(spent, 100, 200)) == over


@given(st.floats(0, 1e7), st.none() | st.floats(0, 1e7))
def test_a_bar_stays_on_its_paper(spent: float, budget: float | None) -> None:
    most = max(spent, budget or 0.0)
    svg = bar_svg(spent, budget, most)
    width = float(svg.partition("M0 3H")[2].partition("V9")[0])
    assert 0 <= width <= 300
