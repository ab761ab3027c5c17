"""Heater and chiller for the worst room."""

from __future__ import annotations

from pathlib import Path

from tests.pages.built import Built
from tests.pages.checks.finding import check, ids, of

TANK = "vessels: {name: d, length: 90, width: 40, water_height: 40}\nroom: {coldest: 17, warmest: "


def test_heaters_set_points_and_guard(full: Built) -> None:
    found = check(full.site, "heater")
    assert "2 heaters with 300 W are fitted (heater one at 25.5 °C, heater two" in found.sentence
    assert "1 of them with a second device that can switch it off" in found.sentence
    assert {"heater_needed", "heat_loss", "heat_without"} == {r.metric for r in found.results}
    assert "25 to 26 °C (77 to 79 °F)" in found.practice and "Two smaller heaters" in found.practice


def test_a_planned_heater_in_fahrenheit(us_planned: Built) -> None:
    found = check(us_planned.site, "heater")
    assert "1 heater with 300 W is planned (heater at 78 °F), none of them" in found.sentence
    assert found.planned


def test_an_unknown_room_is_asked_for_in_the_units_of_the_journal(tmp_path: Path) -> None:
    us = check(of(tmp_path, "units: {system: us}\n"), "heater")
    assert us.missing == ["room: {coldest: 63 °F, warmest: 84 °F, humidity: 50 %}"]
    assert us.hazards == ["mains"]


def test_no_heater_is_told(tmp_path: Path) -> None:
    found = check(of(tmp_path, TANK + "29}\n"), "heater")
    assert found.sentence.endswith("; no heater is described.") and found.gauge == ""


def test_all_guarded(tmp_path: Path) -> None:
    gear = "equipment: [{name: h, kind: heater, power: 99 W, set_point: 25, controlled: true}]\n"
    found = check(of(tmp_path, TANK + "29}\n" + gear), "heater")
    assert "with a second device that can switch off" in found.sentence and found.missing == []


def test_cooling_against_what_is_fitted(us_planned: Built, full: Built) -> None:
    us = check(us_planned.site, "cooling")
    assert "300 W of cooling are there and no fan" in us.sentence
    assert "cooling fitted 300 W" in us.gauge and "107 W for each gallon" in us.changes
    metric = check(full.site, "cooling")
    assert "there is no chiller and no fan" in metric.sentence
    assert "heat of lamp 20 W" in metric.gauge  # a fifth of 100 W
    assert "28 W for each litre" in metric.changes


def test_a_cool_room_needs_no_cooling(tmp_path: Path) -> None:
    found = check(of(tmp_path, TANK + "18}\n"), "cooling")
    assert found.sentence.startswith("Evaporation outweighs")


def test_without_a_room_there_is_no_cooling(empty: Built) -> None:
    assert "cooling" not in ids(empty.site)
