"""Stand, floor and glass: figures for asking, never verdicts."""

from __future__ import annotations

import re
from pathlib import Path

from tests.pages.built import Built
from tests.pages.checks.finding import check, ids, of


def test_stand_by_part_by_area_and_by_foot(full: Built) -> None:
    found = check(full.site, "stand")
    figures = {r.metric: r for r in found.results}
    assert set(figures) == {
        "system_weight", "stand_share", "footprint_pressure", "foot_load",
    }  # fmt: skip
    assert "% of what the stand is rated for" in found.sentence
    pressure = full.site.metrics.one("footprint_pressure")
    assert pressure is not None
    told = re.search(r"carries ([\d ]+) kg on each square metre \(([\d.]+) kPa\)", found.sentence)
    assert told is not None
    # 1 kPa is 101.97 kg/m2 at standard gravity
    assert abs(float(told[1].replace("\u202f", "")) - pressure.value * 101.97) <= 5
    for part in ("water", "walls of display", "stand", "dry rock", "sand"):
        assert part in found.gauge


def test_the_floor_is_left_to_an_engineer(full: Built, us_planned: Built) -> None:
    metric, us = (check(built.site, "stand").practice for built in (full, us_planned))
    assert "EN 1991-1-1" in metric and "1.5 to 2.0 kPa" in metric
    assert "ASCE 7" in us and "40 lb/ft²" in us
    assert all("Ask a structural engineer." in words for words in (metric, us))


def test_us_pressure_is_told_once_in_pounds(us_planned: Built) -> None:
    sentence = check(us_planned.site, "stand").sentence
    assert re.search(r"carries \d+ lb on each square foot, and about", sentence)


def test_an_unknown_rating_is_asked_for(tmp_path: Path) -> None:
    site = of(tmp_path, "vessels: {name: d, length: 90, width: 40, water_height: 40}\n")
    found = check(site, "stand")
    assert "rated_load" in found.missing[0] and "rated for" not in found.sentence
    assert "glass" not in ids(site)


def test_glass_is_for_comparing(full: Built) -> None:
    found = check(full.site, "glass")
    assert "MPa" in found.sentence and "not for judging" in found.practice
    assert "thickness of the glass 12.0 mm" in found.gauge and "bow of the pane" in found.gauge
    assert "jt-gauge--" not in found.gauge  # no range: it would be read as a verdict
