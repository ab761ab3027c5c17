"""Light by spot, its hours, its spread and its slow start."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.pages.built import Built, text_of
from tests.pages.checks.finding import check, of


def test_light_by_spot_with_ramp_and_spread(full: Built) -> None:
    """250 µmol/m2/s for 9 h of plateau and half ramps: 8.1 mol; 100 is 40 % of 250."""
    found = check(full.site, "light-lamp")
    assert found.sentence == (
        "It is lit for 10.0 h a day, 60 min of rise and of fall included; rock gets 8.1 "
        "mol/m²/day of light, and sand, the darkest of 2 places, 40 % of that."
    )
    assert "60 % blue, 40 % white" in found.changes and "25 cm above the water" in found.changes
    assert found.missing == [] and found.pictures and found.gauge


def test_the_slow_start_is_a_table(full: Built) -> None:
    """From 40 % in 30 even steps of 2 %: 50 % on the sixth day."""
    found = check(full.site, "light-lamp")
    rows = {row[0]: row[1] for row in found.table[1:]}
    assert rows["20 Mar 2026"] == "40 %" and rows["25 Mar 2026"] == "50 %"
    assert list(rows.items())[-1] == ("19 Apr 2026", "100 %") and len(rows) <= 9
    table = next(t for t in full.html["build"].by_class("jt-plansteps"))
    assert "Of full light" in text_of(table)


@pytest.mark.parametrize("days", ["0.5", "1", "7", "365"])
def test_any_length_of_a_slow_start(days: str, tmp_path: Path) -> None:
    light = f'{{on: "10:00", off: "20:00", acclimation: {{start: 2026-01-01, days: {days}, '
    light += "from_share: 30 %}}"
    found = check(of(tmp_path, f"equipment: [{{name: l, kind: light, light: {light}}}]\n"),
                  "light-l")  # fmt: skip
    assert found.table[1][1] == "30 %" and found.table[-1][1] == "100 %" and len(found.table) <= 10


def test_a_lamp_of_which_nothing_is_told(tmp_path: Path) -> None:
    found = check(of(tmp_path, "equipment: [{name: l, kind: light}]\n"), "light-l")
    assert "not told yet" in found.sentence and found.hazards == ["mains"] and found.missing


def test_a_dark_lamp_does_not_stop_a_build(tmp_path: Path) -> None:
    light = '{on: "10:00", off: "20:00", par: {a: 0, b: 0}}'
    found = check(of(tmp_path, f"equipment: [{{name: l, kind: light, light: {light}}}]\n"),
                  "light-l")  # fmt: skip
    assert "a gets 0.0 mol/m²/day" in found.sentence


def test_hints_are_the_facts_that_miss(us_planned: Built) -> None:
    hints = " ".join(check(us_planned.site, "light-lamp").missing)
    assert all(word in hints for word in ("par:", "height:", "spectrum:", "acclimation:"))
