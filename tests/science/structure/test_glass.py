from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.structure.glass import (
    FIFTY_YEARS_H,
    FLOAT_GLASS_STRENGTH_MPA,
    IGNORED,
    RATIO_CAUTION,
    Pane,
    Rim,
    bottom_stress_mpa,
    design_strength_mpa,
    load_duration_factor,
    pane_deflection_mm,
    pane_stress_mpa,
    pane_stress_range_mpa,
    share_of_design_strength,
    top_edge_deflection_mm,
)
from journal_tools.science.structure.load import water_pressure_kpa
from journal_tools.science.structure.plates import plate_coefficients
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "10 tank-structure"
RIMLESS = Pane(120.0, 55.0, 12.0)
BRACED = replace(RIMLESS, rim="braced")
CHECKS = {
    (TOPIC, "rimless pane stress", "L=1.2 H=0.55 t=12 mm nu=0.23"): Check(
        lambda: pane_stress_mpa(RIMLESS, 55.0)
    ),
    (TOPIC, "rimless pane top-edge deflection", "same, E=70 GPa"): Check(
        lambda: top_edge_deflection_mm(RIMLESS, 55.0)
    ),
    (TOPIC, "kmod glass permanent load", "50 y; kmod=0.663 t^(-1/16), t in h"): Check(
        lambda: load_duration_factor(FIFTY_YEARS_H)
    ),
}

heights = st.floats(20.0, 100.0)
aspects = st.floats(0.3, 5.0)
thicknesses = st.floats(4.0, 25.0)
fills = st.floats(0.1, 1.0)
rims: st.SearchStrategy[Rim] = st.sampled_from(("rimless", "rim", "braced"))


@st.composite
def panes(draw: st.DrawFn) -> Pane:
    height = draw(heights)
    return Pane(height * draw(aspects), height, draw(thicknesses), draw(rims))


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


def test_a_brace_that_holds_the_top_edge() -> None:
    # 3.81 MPa and 0.26 mm: an independent Levy series for the same pane.
    assert pane_stress_mpa(BRACED, 55.0) == pytest.approx(3.81, abs=0.01)
    assert pane_deflection_mm(BRACED, 55.0) == pytest.approx(0.26, abs=0.005)
    assert top_edge_deflection_mm(BRACED, 55.0) == 0


def test_trap_roark_free_edge_table_understates_a_rimless_pane() -> None:
    # Entries at 2 of the free-edge table, read as L/H and on H²: β 0.32, α 0.058 (recalled).
    pane = Pane(100.0, 50.0, 10.0, poisson_ratio=0.3)
    pressure_mpa = water_pressure_kpa(50.0) / 1000
    misread = 0.32 * pressure_mpa * (500 / 10) ** 2
    assert pane_stress_mpa(pane, 50.0) / misread == pytest.approx(1.5, abs=0.05)
    bent = 0.058 * pressure_mpa * 500**4 / (70_000 * 10**3)
    assert pane_deflection_mm(pane, 50.0) / bent == pytest.approx(7, abs=0.2)


def test_trap_short_term_strength_over_stress_is_no_safety_factor() -> None:
    stress = pane_stress_mpa(RIMLESS, 55.0)
    assert pytest.approx(8, abs=0.1) == FLOAT_GLASS_STRENGTH_MPA / stress
    # 50 years and the material factor leave 7.4 of the 45 MPa.
    assert design_strength_mpa(FIFTY_YEARS_H) == pytest.approx(7.36, abs=0.01)
    assert share_of_design_strength(stress) == pytest.approx(0.77, abs=0.01)
    assert 1 / share_of_design_strength(stress) < 1.4
    assert "no safety factor" in RATIO_CAUTION
    assert any("silicone" in what for what in IGNORED) and any("holes" in what for what in IGNORED)


@given(panes(), fills)
def test_stress_follows_the_coefficients(pane: Pane, filled: float) -> None:
    level = filled * pane.height_cm
    beta = pane.coefficients(filled).beta
    by_hand = beta * 1023.3 * 9.80665 * level / 100 * (pane.height_cm / 100) ** 2
    by_hand /= (pane.thickness_mm / 1000) ** 2
    assert pane_stress_mpa(pane, level) == pytest.approx(by_hand / 1e6)


@given(panes(), fills, st.floats(1.1, 2.0))
def test_glass_twice_as_thick_has_a_quarter_of_the_stress(
    pane: Pane, filled: float, factor: float
) -> None:
    level = filled * pane.height_cm
    thick = replace(pane, thickness_mm=pane.thickness_mm * factor)
    assert pane_stress_mpa(thick, level) * factor**2 == pytest.approx(pane_stress_mpa(pane, level))
    bent = pane_deflection_mm(pane, level)
    assert pane_deflection_mm(thick, level) * factor**3 == pytest.approx(bent)


@given(panes(), st.floats(0.1, 0.9), st.floats(0.01, 0.1))
def test_more_water_bends_more(pane: Pane, filled: float, more: float) -> None:
    low, high = filled * pane.height_cm, (filled + more) * pane.height_cm
    assert pane_stress_mpa(pane, high) > pane_stress_mpa(pane, low) * 0.999
    assert pane_deflection_mm(pane, high) > pane_deflection_mm(pane, low)


@given(panes(), fills)
def test_the_top_edge_bends_no_more_than_the_pane(pane: Pane, filled: float) -> None:
    level = filled * pane.height_cm
    top, most = top_edge_deflection_mm(pane, level), pane_deflection_mm(pane, level)
    assert 0 <= top <= most * 1.0001
    assert (top == 0) == (pane.rim != "rimless")


@given(panes(), st.lists(fills, min_size=1, max_size=3))
def test_an_array_gives_what_its_numbers_give(pane: Pane, shares: list[float]) -> None:
    levels = np.array(shares) * pane.height_cm
    for function in (pane_stress_mpa, pane_deflection_mm, top_edge_deflection_mm):
        alone = [function(pane, float(level)) for level in levels]
        assert function(pane, levels).tolist() == pytest.approx(alone, rel=1e-12)
    assert type(pane_stress_mpa(pane, float(levels[0]))) is float


@given(panes(), fills, st.floats(0.0, 2.0))
def test_the_range_of_a_stress_holds_it(pane: Pane, filled: float, error_cm: float) -> None:
    level = filled * pane.height_cm
    found = pane_stress_range_mpa(pane, level, water_height_error_cm=error_cm)
    assert found.value == pane_stress_mpa(pane, level)
    loose = pane_stress_mpa(replace(pane, rim="rimless"), level)
    assert found.low <= 0.94 * found.value and found.high >= 1.06 * max(found.value, loose) * 0.999


def test_a_brace_that_fails_leaves_a_rimless_pane() -> None:
    found = pane_stress_range_mpa(BRACED, 55.0, water_height_error_cm=0.0)
    assert found.high == pytest.approx(1.06 * pane_stress_mpa(RIMLESS, 55.0))


def test_a_bottom_on_its_edges_is_an_evenly_loaded_plate() -> None:
    # Roark's Formulas 7th ed., table 11.4 case 1a: β 0.2874 for a square plate, ν 0.3.
    square = Pane(50.0, 50.0, 10.0, poisson_ratio=0.3)
    expected = 0.2874 * water_pressure_kpa(40.0) / 1000 * (500 / 10) ** 2
    assert bottom_stress_mpa(square, 40.0) == pytest.approx(expected, rel=1e-3)
    # Turned on its side it is the same pane.
    turned = bottom_stress_mpa(Pane(55.0, 120.0, 12.0), 55.0)
    assert bottom_stress_mpa(RIMLESS, 55.0) == pytest.approx(turned, rel=1e-3)


@given(st.floats(1e-3, 1e7), st.floats(1.0, 10.0))
def test_glass_loses_strength_with_time(hours: float, factor: float) -> None:
    later = min(hours * factor, 1e7)
    assert 0.25 <= load_duration_factor(later) <= load_duration_factor(hours) <= 1
    assert design_strength_mpa(hours) == pytest.approx(25 * load_duration_factor(hours))


def test_one_hour_and_an_instant() -> None:
    assert load_duration_factor(1.0) == pytest.approx(0.663)
    assert load_duration_factor(1e-3) == 1
    found = load_duration_factor(np.array([1.0, 0.0, FIFTY_YEARS_H]))
    assert found == pytest.approx([0.663, np.nan, 0.2944], abs=1e-4, nan_ok=True)


def test_other_materials_bend_as_they_are_stiff() -> None:
    soft = replace(RIMLESS, youngs_modulus_gpa=7.0)
    bent = pane_deflection_mm(RIMLESS, 55.0)
    assert pane_deflection_mm(soft, 55.0) == pytest.approx(10 * bent)
    assert pane_stress_mpa(soft, 55.0) == pane_stress_mpa(RIMLESS, 55.0)
    assert plate_coefficients(2.0, 0.4, "free").beta != plate_coefficients(2.0, 0.2, "free").beta


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match=r"water height 60 cm is outside 5\.5 to 55 cm"):
        pane_stress_mpa(RIMLESS, 60.0)
    with pytest.raises(ValueError, match=r"length over height 10 is outside"):
        Pane(500.0, 50.0, 12.0)
    with pytest.raises(ValueError, match=r"glass thickness 0\.012 mm"):
        Pane(120.0, 55.0, 0.012)
    with pytest.raises(ValueError, match="rim 'glued' is not one of"):
        Pane(120.0, 55.0, 12.0, "glued")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match=r"water density 1\.025 kg/m3"):
        pane_stress_mpa(RIMLESS, 55.0, 1.025)
    with pytest.raises(ValueError, match="stress -1 MPa"):
        share_of_design_strength(-1.0)
    found = pane_stress_mpa(RIMLESS, np.array([55.0, 60.0]))
    assert found == pytest.approx([5.657, np.nan], abs=1e-3, nan_ok=True)
