"""Volume, surface and power cut."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.pages.built import Built
from tests.pages.checks.finding import check, of

TANKS = (
    "vessels: [{{name: display, length: 100, width: 50, water_height: 50, drains_down: {}}}, "
    "{{name: sump, length: 60, width: 40, water_height: 20, height: {}}}]\n"
)


def test_a_measured_volume_says_so(full: Built) -> None:
    found = check(full.site, "volume")
    assert found.sentence == "The system holds 260 L of water (± 5), measured when it was filled."
    # 100 x 50 x 50 and 60 x 40 x 20 cm: 298 L
    assert "water 260 L" in found.gauge and "38 L" in found.gauge and not found.missing


def test_a_tape_measure_says_so_and_asks_for_buckets(tmp_path: Path) -> None:
    found = check(of(tmp_path, TANKS.format("2 cm", "40")), "volume")
    assert "by tape measure" in found.sentence and "measured_volume" in found.missing[0]


def test_surface_for_the_volume(full: Built, us_planned: Built) -> None:
    # 0.50 + 0.24 m2 over 260 L
    found = check(full.site, "surface")
    assert "0.74 m² of water surface, 0.28 m² for each 100 L" in found.sentence
    assert found.figure is not None and found.figure.metric == "weir_height" and found.gauge
    assert "ft² for each 10 gal" in check(us_planned.site, "surface").sentence


@pytest.mark.parametrize(
    ("drains", "height", "words"),
    [
        ("2 cm", "40", "10 L runs down and the sump has room for 38 L more"),
        ("6 cm", "32", "the sump is short of 1 L of room: it may overflow"),
        ("5.7 cm", "32", "by the figures, and by their range none"),
    ],
)
def test_what_runs_down_against_the_room(
    drains: str, height: str, words: str, tmp_path: Path
) -> None:
    """0.5 m2 x 2, 6 and 5.7 cm; 0.24 m2 x 20 and 12 cm of free height."""
    assert words in check(of(tmp_path, TANKS.format(drains, height)), "power-cut").sentence


def test_cooling_is_told_in_the_unit_of_the_journal(full: Built, us_planned: Built) -> None:
    assert "falls by 1 °C in" in check(full.site, "power-cut").sentence
    assert "falls by 1.8 °F in" in check(us_planned.site, "power-cut").sentence


def test_what_is_not_told_is_asked_for(empty: Built, tmp_path: Path) -> None:
    found = check(empty.site, "power-cut")
    assert found.figure is None and len(found.missing) == 2
    us = check(of(tmp_path, "units: {system: us}\n"), "power-cut")
    assert "coldest: 63 °F" in us.missing[1]
    room = "room: {coldest: 17}\n"
    half = check(of(tmp_path / "b", TANKS.format("2 cm", "40") + room), "power-cut")
    assert half.missing == []
