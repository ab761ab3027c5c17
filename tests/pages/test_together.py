"""What several tests say together, in sentences with their unit."""

from __future__ import annotations

from pathlib import Path

from journal_tools.pages.together import Together, together
from tests import journals

TANK = (
    journals.TANK
    + """\
vessels: {name: d, shape: stated, volume: 200 L}
room: {coldest: 17, carbon_dioxide: 900 ppm}
"""
)


def of(tmp_path: Path, *readings: str) -> dict[str, Together]:
    log = {f"log/2026-03-{n:02}.yml": f"readings: {{{r}}}\n" for n, r in enumerate(readings, 28)}
    return {one.id: one for one in together(journals.site(tmp_path, {"tank.yml": TANK} | log))}


FIRST = "alkalinity: 8, ph: 8.1, temperature: 25, salinity: 35, calcium: 420"
SECOND = FIRST.replace("8.1", "8.0")


def test_carbon_dioxide_and_saturation(tmp_path: Path) -> None:
    found = of(tmp_path, FIRST, SECOND)
    gas, stone = found["carbon-dioxide"], found["saturation"]
    assert gas.result.unit in gas.sentence and "of 2 days ago the water held" in gas.sentence
    assert "outside air is near 425" in gas.sentence and len(gas.others) == 2
    assert gas.figure is not None and len(gas.figure.rows) == 2
    assert "times saturated 2 days ago" in stone.sentence
    assert all(one.sentence.endswith(".") for one in found.values())


def test_one_test_has_a_sentence_but_no_course(tmp_path: Path) -> None:
    found = of(tmp_path, FIRST)
    assert found["carbon-dioxide"].figure is None and found["saturation"].figure is None


def test_ammonia_and_oxygen(tmp_path: Path) -> None:
    found = of(tmp_path, f"{FIRST}, ammonia: 0.5, oxygen: 6.5")
    assert "un-ionised, the share that harms animals" in found["un-ionised-ammonia"].sentence
    assert "of the oxygen that air would give it" in found["oxygen-saturation"].sentence


def test_a_limit_of_the_test_says_at_most(tmp_path: Path) -> None:
    found = of(tmp_path, f"{FIRST}, ammonia: < 0.1")
    assert "at most" in found["un-ionised-ammonia"].sentence


def test_maturing_of_a_young_tank(tmp_path: Path) -> None:
    found = of(tmp_path, "ammonia: 1, nitrite: 0.5")
    assert (
        found["maturing"].sentence.startswith("Stage ") and " of 5." in found["maturing"].sentence
    )


def test_nothing_tested_nothing_said(tmp_path: Path) -> None:
    assert of(tmp_path) == {}
