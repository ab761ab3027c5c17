from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.structure.geometry import (
    ARAGONITE_KG_L,
    SURFACES_CM2,
    bow_front_surface_cm2,
    cylinder_surface_cm2,
    quarter_cylinder_surface_cm2,
    rectangle_surface_cm2,
    regular_prism_surface_cm2,
    rock_displacement_l,
    sand_bed_displacement_l,
    sand_displacement_l,
    stated_volume_l,
    water_volume_l,
)
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "10 tank-structure"
CHECKS = {
    (TOPIC, "bow-front volume", "chord 0.90; side depth 0.35; bow 0.12; H 0.50 m"): Check(
        lambda: water_volume_l(bow_front_surface_cm2(90, 35, 12), 50)
    ),
    (TOPIC, "water displaced by 10 L sand bed", "porosity 0.45"): Check(
        lambda: sand_bed_displacement_l(10, 0.45).value
    ),
    (TOPIC, "aragonite density", ""): Check(lambda: ARAGONITE_KG_L),
}

lengths = st.floats(1.0, 500.0)
scales = st.floats(0.5, 3.0)
MEASURES = {
    "rectangle": {"length_cm": 90.0, "width_cm": 45.0},
    "cylinder": {"diameter_cm": 60.0},
    "bow-front": {"chord_width_cm": 90.0, "side_depth_cm": 35.0, "bow_rise_cm": 12.0},
    "quarter cylinder": {"radius_cm": 60.0},
}


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


def test_a_box_of_ten_centimetres_is_a_litre() -> None:
    assert water_volume_l(rectangle_surface_cm2(10, 10), 10) == 1


def test_a_hexagon_is_six_triangles() -> None:
    assert regular_prism_surface_cm2(6, 30) == pytest.approx(6 * math.sqrt(3) / 4 * 30**2)


@given(lengths)
def test_four_equal_sides_are_a_square(side: float) -> None:
    assert regular_prism_surface_cm2(4, side) == pytest.approx(rectangle_surface_cm2(side, side))


@given(lengths)
def test_many_sides_come_near_a_circle(diameter: float) -> None:
    side = diameter * math.tan(math.pi / 100)  # of the polygon around the circle
    polygon = regular_prism_surface_cm2(100, max(side, 0.1))
    assert polygon == pytest.approx(
        cylinder_surface_cm2(max(side, 0.1) / math.tan(math.pi / 100)), rel=4e-4
    )


@given(lengths)
def test_four_corner_vessels_make_a_cylinder(radius: float) -> None:
    four = 4 * quarter_cylinder_surface_cm2(radius)
    assert four == pytest.approx(cylinder_surface_cm2(2 * radius))


def test_a_flat_bow_is_a_rectangle_and_a_full_bow_a_half_circle() -> None:
    assert bow_front_surface_cm2(90, 35, 0) == rectangle_surface_cm2(90, 35)
    half = bow_front_surface_cm2(90, 35, 45) - rectangle_surface_cm2(90, 35)
    assert half == pytest.approx(cylinder_surface_cm2(90) / 2)


@given(lengths, st.floats(0.0, 0.5))
def test_the_bow_agrees_with_a_numerical_integral(chord: float, rise_share: float) -> None:
    rise = rise_share * chord
    bow = bow_front_surface_cm2(chord, 1.0, rise) - chord
    # A point of the arc every 1/4000 of the chord, spaced closely towards the steep ends.
    x = chord / 2 * np.cos(np.linspace(math.pi, 0.0, 4001))
    radius = (chord**2 / 4 + rise**2) / (2 * rise) if rise > 1e-9 * chord else math.inf
    arc = (
        np.sqrt(np.maximum(radius**2 - x**2, 0)) - (radius - rise)
        if math.isfinite(radius)
        else 0 * x
    )
    assert bow == pytest.approx(np.trapezoid(arc, x), rel=1e-5, abs=1e-6 * chord**2)


def test_the_segment_is_more_than_two_thirds_of_its_box() -> None:
    # Taking 2/3 of chord times rise is 1.4 % short at this bow.
    segment = bow_front_surface_cm2(90, 35, 12) - 90 * 35
    assert segment / (2 / 3 * 90 * 12) == pytest.approx(1.014, abs=5e-4)


@pytest.mark.parametrize("rise", [-1.0, 46.0, float("nan")])
def test_a_bow_deeper_than_a_half_circle_is_refused(rise: float) -> None:
    with pytest.raises(ValueError, match=r"bow rise .* is outside 0 to 45 cm"):
        bow_front_surface_cm2(90, 35, rise)


@pytest.mark.parametrize("shape", sorted(MEASURES))
@given(scale=scales)
def test_a_vessel_twice_as_large_each_way_holds_eight_times(shape: str, scale: float) -> None:
    surface, measures = SURFACES_CM2[shape], MEASURES[shape]
    small = water_volume_l(surface(**measures), 40)
    large = water_volume_l(
        surface(**{name: value * scale for name, value in measures.items()}), 40 * scale
    )
    assert large == pytest.approx(scale**3 * small)


def test_every_shape_can_be_called_by_name() -> None:
    assert set(SURFACES_CM2) == {*MEASURES, "regular prism"}
    assert SURFACES_CM2["regular prism"](sides=6, side_length_cm=30) > 0


@pytest.mark.parametrize("sides", [2, 101, 5.5])
def test_an_impossible_number_of_sides_is_refused(sides: float) -> None:
    with pytest.raises(ValueError, match="number of sides"):
        regular_prism_surface_cm2(sides, 30)  # type: ignore[arg-type]


def test_a_measure_in_millimetres_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match=r"length 2500 cm is outside 0\.1 to 2000 cm"):
        rectangle_surface_cm2(2500, 60)


def test_a_stated_volume_keeps_its_error() -> None:
    stated = stated_volume_l(200, 0.1)
    assert (stated.low, stated.value, stated.high) == pytest.approx((180, 200, 220))


def test_rock_is_not_solid_aragonite() -> None:
    rock = rock_displacement_l(20)
    assert rock.low == pytest.approx(6.83, abs=0.005)
    assert rock.high == pytest.approx(12.5)
    assert rock.value > 1.3 * rock.low


def test_measured_rock_has_a_narrow_range() -> None:
    rock = rock_displacement_l(20, 2.0)
    assert (rock.low, rock.value, rock.high) == pytest.approx((9, 10, 11))


def test_a_sand_bed_does_not_displace_its_own_volume() -> None:
    bed = sand_bed_displacement_l(10)
    assert bed.high < 10
    # 10 L at 0.45 is 5.5 L of grains, about 16 kg.
    assert bed.value * ARAGONITE_KG_L == pytest.approx(16, abs=0.2)
    assert sand_displacement_l(bed.value * ARAGONITE_KG_L).value == pytest.approx(bed.value)


@given(st.floats(0.0, 1000.0), st.floats(0.2, 0.7), st.floats(2.5, 3.0))
def test_displacements_lie_in_their_own_range(
    amount: float, porosity: float, density: float
) -> None:
    for found in (
        sand_bed_displacement_l(amount, porosity),
        sand_displacement_l(amount, density),
        rock_displacement_l(amount),
    ):
        assert found.low <= found.value <= found.high


@given(st.floats(0.0, 500.0), st.floats(0.0, 500.0))
def test_rock_displacement_adds_up(one_kg: float, other_kg: float) -> None:
    apart = rock_displacement_l(one_kg).value + rock_displacement_l(other_kg).value
    assert rock_displacement_l(one_kg + other_kg).value == pytest.approx(apart)


@given(st.lists(st.tuples(lengths, lengths, st.floats(0.0, 0.5)), min_size=1, max_size=4))
def test_an_array_gives_what_its_numbers_give(several: list[tuple[float, float, float]]) -> None:
    first, second, share = np.array(several).T
    rises = share * first
    pairs = (
        (rectangle_surface_cm2(first, second), map(rectangle_surface_cm2, first, second)),
        (cylinder_surface_cm2(first), map(cylinder_surface_cm2, first)),
        (bow_front_surface_cm2(first, second, rises),
         map(bow_front_surface_cm2, first, second, rises)),
        (quarter_cylinder_surface_cm2(first), map(quarter_cylinder_surface_cm2, first)),
        (regular_prism_surface_cm2(6, first),
         [regular_prism_surface_cm2(6, float(side)) for side in first]),
        (water_volume_l(first, second), map(water_volume_l, first, second)),
    )  # fmt: skip
    for together, alone in pairs:
        assert together.tolist() == list(alone)


def test_a_number_gives_a_plain_number() -> None:
    for shape, measures in MEASURES.items():
        assert type(SURFACES_CM2[shape](**measures)) is float
    assert type(water_volume_l(5000.0, 40.0)) is float


def test_a_measure_of_an_array_out_of_range_gives_nan() -> None:
    found = rectangle_surface_cm2(np.array([100.0, 2500.0]), 50.0)
    assert found == pytest.approx([5000, np.nan], nan_ok=True)
    bows = bow_front_surface_cm2(np.full(3, 90.0), 35.0, np.array([0.0, 12.0, 46.0]))
    assert bows == pytest.approx([3150, 3880.14, np.nan], abs=0.01, nan_ok=True)
    heights = water_volume_l(np.full(2, 5000.0), np.array([40.0, -1.0]))
    assert heights == pytest.approx([200, np.nan], nan_ok=True)
