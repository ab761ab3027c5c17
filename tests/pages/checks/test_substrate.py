"""Sand and rock, and what a dry or a live start means."""

from __future__ import annotations

from pathlib import Path

from journal_tools.metrics.record import CAUTIONS
from journal_tools.pages.checks.record import cautions_of
from tests.pages.built import Built
from tests.pages.checks.finding import check, ids, of

TANK = "vessels: {name: d, length: 100, width: 50, water_height: 50}\n"


def test_mass_depth_and_start(full: Built) -> None:
    """20 kg / 2.93 kg/L / 0.55 over 0.5 m2 is 2.5 cm; 20 kg in 260 L is 7.7 kg for 100 L."""
    found = check(full.site, "substrate")
    assert found.sentence == (
        "20 kg of sand (1.5 mm grains) lies 2.5 cm deep if spread evenly; there are 20 kg of "
        "rock, 7.7 kg/100 L of water, dry at the start."
    )
    assert "starts without bacteria" in found.practice and "Live rock" not in found.practice
    assert found.missing == [] and found.gauge


def test_live_rock_brings_a_caution(us_planned: Built) -> None:
    found = check(us_planned.site, "substrate")
    assert "Live rock" in found.practice and "Dry rock" in found.practice
    told = cautions_of(us_planned.site, [found])["substrate"]
    assert [one.text for one in told] == [CAUTIONS["animal"]]
    assert "70 lb of rock" in found.sentence and "lb/gal" in found.practice


def test_what_is_not_told_is_asked_for(tmp_path: Path) -> None:
    found = check(of(tmp_path, TANK + "fill: {rock: {mass: 10 kg}, sand: {mass: 9}}\n"),
                  "substrate")  # fmt: skip
    assert [hint.partition(":")[0] for hint in found.missing] == ["fill", "fill"]


def test_several_sands_are_each_told(tmp_path: Path) -> None:
    sands = "fill: {sand: [{name: fine, mass: 10}, {name: coarse, mass: 5}]}\n"
    found = check(of(tmp_path, TANK + sands), "substrate")
    assert "of fine lies" in found.sentence and "of coarse lies" in found.sentence


def test_nothing_told_nothing_said(empty: Built) -> None:
    assert "substrate" not in ids(empty.site)
