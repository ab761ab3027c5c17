"""Electricity: what is drawn, what it costs, and the precautions."""

from __future__ import annotations

from pathlib import Path

from tests.pages.built import Built
from tests.pages.checks.finding import check, ids, of


def test_power_energy_and_cost(tmp_path: Path) -> None:
    """40 W all day and 120 W for 10 h is 90 W; 65.7 kWh a month; at 0.30 that is 19.72."""
    tank = "tariff: 0.30\ncurrency: USD\nequipment: [{name: p, power: 40 W}, {name: l, kind: light,"
    tank += ' power: 120 W, light: {on: "10:00", off: "20:00"}}]\n'
    found = check(of(tmp_path, tank), "electricity")
    assert found.sentence == (
        "The equipment draws 90 W on average over day and night, 66 kWh a month, which costs "
        "$19.72."
    )
    assert "l 50 W" in found.gauge and "p 40 W" in found.gauge


def test_precautions_defer_to_electrician_and_code(full: Built) -> None:
    found = check(full.site, "electricity")
    for word in ("esidual-current", "drip loops", "sockets", "licensed electrician", "local code"):
        assert word in found.practice
    assert "mains" in found.hazards


def test_planned_pieces_would_draw(us_planned: Built) -> None:
    found = check(us_planned.site, "electricity")
    assert "would draw" in found.sentence and found.planned and "$" in found.sentence


def test_without_power_there_is_no_figure(empty: Built) -> None:
    assert "electricity" not in ids(empty.site)


def test_a_tariff_is_asked_for(tmp_path: Path) -> None:
    found = check(of(tmp_path, "equipment: [{name: p, power: 40 W}]\n"), "electricity")
    assert found.missing == ["tariff: 0.31|for a kilowatt-hour"] and "cost" not in found.sentence
