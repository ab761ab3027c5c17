"""Net volume through a profile: shapes, fill, measured volume and errors."""

from __future__ import annotations

import math

import pytest

from tests.journals import TANK, metrics, read
from tests.science.check_values import read_rows

BOW_FRONT = "{name: d, shape: bow_front, length: 90, width: 35, bow: 12, water_height: 50}"


def reference(quantity: str) -> tuple[float, float]:
    """Give value and tolerance of a row of tests/reference/science_check_values.csv."""
    (row,) = [row for row in read_rows() if row.quantity == quantity]
    return row.value, row.tolerance


def gross(vessel: str) -> float:
    result = metrics({"tank.yml": TANK + f"vessels: {vessel}\n"}).one("gross_volume")
    assert result is not None
    return result.value


def test_a_bow_front_agrees_with_the_reference_table() -> None:
    value, tolerance = reference("bow-front volume")
    assert gross(BOW_FRONT) == pytest.approx(value, abs=tolerance)


def test_a_sand_bed_agrees_with_the_reference_table() -> None:
    value, tolerance = reference("water displaced by 10 L sand bed")
    profile = TANK + "fill: {sand: {bed_volume: 10 L}}\n"
    result = metrics({"tank.yml": profile}).one("displacement")
    assert result is not None and result.value == pytest.approx(value, abs=tolerance)
    # porosity 0.35 to 0.5: 10 L less half, 10 L less 35 %
    assert (result.low, result.high) == pytest.approx((5.0, 6.5))


@pytest.mark.parametrize(
    ("vessel", "litres"),
    [
        # plane geometry, by hand: 100 * 50 * 40 cm3
        ("{name: d, length: 1 m, width: 50, water_height: 40}", 200.0),
        # pi / 4 * 50 cm * 50 cm * 40 cm
        ("{name: d, shape: cylinder, diameter: 50, water_height: 40}", 25 * math.pi),
        # hexagon: 3/2 sqrt(3) * (30 cm)2 * 40 cm
        (
            "{name: d, shape: regular_polygon, sides: 6, side_length: 30, water_height: 40}",
            1.5 * math.sqrt(3) * 36,
        ),
        # a bow of half the chord is a half circle: 90 * 35 + pi / 2 * 45^2, times 50 cm
        (
            BOW_FRONT.replace("bow: 12", "bow: 45"),
            (90 * 35 + math.pi / 2 * 45**2) * 50 / 1000,
        ),
        ("{name: d, shape: stated, volume: 80 L}", 80.0),
        # 10 US gallons, exact by NIST SP 811
        ("{name: d, shape: stated, volume: 10 gal}", 37.85411784),
    ],
)
def test_each_shape(vessel: str, litres: float) -> None:
    assert gross(vessel) == pytest.approx(litres)


def test_a_volume_beside_measures_is_believed() -> None:
    assert gross("{name: d, length: 100, width: 50, water_height: 40, volume: 190 L}") == 190


def test_net_volume_adds_vessels_takes_off_fill_and_combines_errors() -> None:
    profile = TANK + (
        "vessels:\n"
        "  - {name: display, length: 100, width: 50, water_height: 40}\n"
        "  - {name: sump, shape: stated, volume: 50 ± 4 L}\n"
        "fill:\n"
        "  rock: {displaces: 8 ± 1 L}\n"
        "  sand: {bed_volume: 10 L}\n"
    )
    result = metrics({"tank.yml": profile}).one("net_volume")
    assert result is not None and result.value == pytest.approx(200 + 50 - 8 - 5.5)
    # JCGM 100:2008, 5.1.2: 1.5 % of 200 L, 4 L, 1 L and half of 5 to 6.5 L, as squares
    error = math.sqrt(3.0**2 + 4.0**2 + 1.0**2 + 0.75**2)
    assert (result.low, result.high) == pytest.approx((236.5 - error, 236.5 + error))
    assert [line.label for line in result.inputs] == ["+ display", "+ sump", "− rock", "− sand"]


@pytest.mark.parametrize(("written", "error"), [("180 ± 5 L", 5.0), ("180 L", 5.4)])
def test_a_measured_volume_wins(written: str, error: float) -> None:
    profile = TANK + f"vessels: {BOW_FRONT}\nfill: {{measured_volume: {written}}}\n"
    result = metrics({"tank.yml": profile}).one("net_volume")
    # 3 % without an error of its own, as the method text says
    assert result is not None
    assert (result.value, result.low, result.high) == (180, 180 - error, 180 + error)


def test_without_vessels_there_is_no_volume() -> None:
    found = metrics({"tank.yml": TANK + "fill: {rock: {mass: 5 kg}}\n"})
    assert found.of("gross_volume") == [] and found.one("net_volume") is None


def test_rock_that_leaves_no_water_gives_no_volume() -> None:
    profile = (
        TANK + "vessels: {name: d, shape: stated, volume: 10 L}\nfill: {rock: {mass: 90 kg}}\n"
    )
    assert metrics({"tank.yml": profile}).one("net_volume") is None


def test_rock_by_mass_lies_between_solid_and_porous() -> None:
    profile = TANK + "fill: {rock: {mass: 19.5 kg}, sand: {mass: 2.93 kg}}\n"
    rock, sand = metrics({"tank.yml": profile}).of("displacement")
    # 1.95 kg/L usual, 1.6 porous: common practice, no source; aragonite 2.93 from memory
    assert (rock.value, rock.low, rock.high) == pytest.approx((10, 19.5 / 2.93, 19.5 / 1.6))
    assert sand.value == pytest.approx(1.0)


@pytest.mark.parametrize(
    "vessel",
    [
        "{name: d, length: 0, width: 50, water_height: 40}",
        "{name: d, length: 30 m, width: 50, water_height: 40}",
        "{name: d, shape: stated, volume: 0}",
        BOW_FRONT.replace("bow: 12", "bow: 46"),
    ],
)
def test_a_vessel_that_cannot_be_is_a_problem_with_its_line(vessel: str) -> None:
    (problem,) = read({"tank.yml": TANK + f"vessels: {vessel}\n"}).problems
    assert (problem.file, problem.line, problem.code) == ("tank.yml", 4, "impossible-value")
