"""Before buying: candidates beside each other on this system."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal_tools.pages.checks.choices import choices_of, five_year_cost, with_candidate
from tests.pages.built import Built, text_of
from tests.pages.checks.finding import of

HEATERS = """\
tariff: 0.30
vessels: {name: d, length: 90, width: 40, water_height: 40}
room: {coldest: 17}
equipment:
  - {name: old, kind: heater, power: 100 W}
  - {name: glass, kind: heater, planned: true, choice: heater, power: 100 W, price: 30, lasts: 3 y}
  - {name: metal, kind: heater, planned: true, choice: heater, power: 200 W, price: 80}
  - {name: alone, kind: fan, planned: true, choice: a fan}
""".replace("3 y}", "3 years}")


def test_pumps_over_five_years(us_planned: Built) -> None:
    """40 W x 43 830 h x 0.16 = 280.51 and 55 W = 385.70; the small one is bought three times."""
    (choice,) = choices_of(us_planned.site)
    rows = dict(choice.rows)
    assert choice.candidates == ["big pump", "small pump"]
    assert rows["Electricity, 5 years"] == ["$280.51", "$385.70"]
    assert rows["In all, 5 years"] == ["$469.51", "$682.70"]
    assert rows["Price"] == ["$189.00", "$99.00"] and "gal/h" in rows["Real flow"][0]
    assert "Hours a day" not in rows and "Brightest place" not in rows
    assert choice.sentence == "Over 5 years the big pump costs $213 less than the small pump."


def test_heaters_against_the_coldest_room(tmp_path: Path) -> None:
    (choice,) = choices_of(of(tmp_path, HEATERS))
    rows = dict(choice.rows)
    # the glass one lasts three years, so it is bought twice; heat is the same for both
    assert rows["In all, 5 years"] == ["€60.00", "€80.00"]
    assert len(set(rows["Coldest room asks for"])) == 1
    assert "the glass costs €20 less than the metal; of what the coldest room" in choice.sentence
    assert "Heaters turn electricity" in choice.note and choice.hazards == ["mains"]


def test_a_candidate_takes_the_place_of_its_kind(tmp_path: Path) -> None:
    site = of(tmp_path, HEATERS)
    metal = next(p for p in site.journal.profile.equipment if p.name == "metal")
    tried = with_candidate(site.tables, metal).profile.equipment
    assert [piece.name for piece in tried] == ["alone", "metal"] and not tried[-1].planned


def test_hidden_costs_stay_hidden(tmp_path: Path) -> None:
    site = of(tmp_path, HEATERS + "privacy: {show_costs: false}\n")
    (choice,) = choices_of(site)
    assert not {"Price", "In all, 5 years"} & {label for label, _ in choice.rows}
    assert "€" not in choice.sentence


@pytest.mark.parametrize(("lasts", "times"), [("5 years", 1), ("2.5 years", 2), ("2 years", 3)])
def test_what_has_lasted_is_bought_again(lasts: str, times: int, tmp_path: Path) -> None:
    site = of(tmp_path, f"equipment: [{{name: x, price: 10, lasts: {lasts}}}]\n")
    assert five_year_cost(site.tables, site.journal.profile.equipment[0]) == 10 * times


def test_the_page_shows_them_with_a_caution(us_planned: Built) -> None:
    page = us_planned.html["build"]
    assert "big pump" in text_of(page.by_id("choice-apump"))
    section = next(s for s in page.all("section") if s.get("aria-labelledby") == "choices")
    assert "Caution. Mains electricity" in text_of(section)
