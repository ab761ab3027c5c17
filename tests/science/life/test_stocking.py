from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.additives.stoichiometry import mass_ratio
from journal_tools.science.life.stocking import (
    BODY_SHAPES,
    BodyShape,
    adult_length_cm_per_100_l,
    biomass_g_per_100_l,
    body_mass_estimate_g,
    body_mass_g,
    excreted_ammonia_nitrogen_g,
    feed_nitrogen_g,
    feed_phosphorus_mg,
    nitrate_rise_mg_l,
    phosphate_rise_mg_l,
    resting_oxygen_use_mg_kg_h,
    steady_nitrate_mg_l,
)
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "13 stocking"
_CALLS = {
    ("TAN production", "F=1 kg/d; PC=0.35"): lambda: excreted_ammonia_nitrogen_g(1000.0, 0.35),
    ("NO3 rise from feed, TAN route", "2 g/d dry, 45 % protein, 300 L"):
        lambda: nitrate_rise_mg_l(excreted_ammonia_nitrogen_g(2.0, 0.45), 300),
    ("NO3 rise upper bound, all feed N", "same"):
        lambda: nitrate_rise_mg_l(feed_nitrogen_g(2.0, 0.45), 300),
    ("resting O2 use", "50 g fish, ~15 degC mean regression"):
        lambda: resting_oxygen_use_mg_kg_h(50.0),
}  # fmt: skip
CHECKS = {(TOPIC, *key): Check(call) for key, call in _CALLS.items()}

lengths = st.floats(1.0, 100.0)
volumes = st.floats(1.0, 1e4)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


# Worked by hand from W = a L^b with the default coefficients, which are from memory.
@pytest.mark.parametrize(
    ("length_cm", "shape", "mass_g"),
    [(8, "generic", 10.24), (8, "small and stout", 9.33), (15, "deep-bodied", 79.6)],
)
def test_default_shapes(length_cm: float, shape: str, mass_g: float) -> None:
    assert body_mass_g(float(length_cm), BODY_SHAPES[shape]) == pytest.approx(mass_g, rel=1e-3)


def test_a_default_shape_leaves_a_factor_of_two_open() -> None:
    estimate = body_mass_estimate_g(8.0)
    assert estimate.low * 2 == estimate.value == estimate.high / 2
    with pytest.raises(ValueError, match="body shape 'eel' is not one of generic"):
        body_mass_estimate_g(8.0, "eel")


@given(lengths, st.floats(0.005, 0.05), st.floats(2.5, 3.5))
def test_mass_rises_with_length(length_cm: float, a: float, b: float) -> None:
    shape = BodyShape(a, b)
    assert body_mass_g(length_cm * 1.1, shape) > 1.2 * body_mass_g(length_cm, shape)


def test_the_same_length_in_fewer_fish_weighs_more() -> None:
    small, large = [5.0] * 4, [20.0]
    assert adult_length_cm_per_100_l(small, 200) == adult_length_cm_per_100_l(large, 200) == 10
    masses = [[body_mass_g(cm) for cm in group] for group in (small, large)]
    assert biomass_g_per_100_l(masses[1], 200) == pytest.approx(
        16 * biomass_g_per_100_l(masses[0], 200)
    )


@given(st.lists(st.floats(0.0, 500.0), max_size=20), volumes, st.floats(1.0, 10.0))
def test_load_is_per_volume(masses: list[float], volume_l: float, scale: float) -> None:
    assert biomass_g_per_100_l(masses, scale * volume_l) == pytest.approx(
        biomass_g_per_100_l(masses, volume_l) / scale
    )


@given(st.floats(0.0, 1000.0), st.floats(0.0, 0.9))
def test_fish_excrete_less_nitrogen_than_they_eat(feed_g: float, protein: float) -> None:
    eaten, excreted = feed_nitrogen_g(feed_g, protein), excreted_ammonia_nitrogen_g(feed_g, protein)
    assert excreted <= eaten
    assert excreted == pytest.approx(0.575 * eaten)


@given(st.floats(0.0, 1000.0), volumes)
def test_all_nitrogen_is_found_in_the_nitrate(nitrogen_g: float, volume_l: float) -> None:
    nitrate_g = nitrate_rise_mg_l(nitrogen_g, volume_l) * volume_l / 1000
    assert nitrate_g * mass_ratio("N", "NO3") == pytest.approx(nitrogen_g)


def test_protein_is_a_share_of_the_feed_as_given() -> None:
    with pytest.raises(ValueError, match=r"protein fraction 45 is outside 0 to 0\.9"):
        feed_nitrogen_g(2.0, 45)
    # 10 g of frozen food is not 10 g of dry food.
    assert feed_nitrogen_g(10.0, 0.10) < feed_nitrogen_g(10.0, 0.45) / 4


def test_small_fish_use_more_oxygen_for_their_mass() -> None:
    rates = resting_oxygen_use_mg_kg_h(np.array([5.0, 50.0, 500.0, 0.0]))
    assert list(np.diff(rates[:3]) < 0) == [True, True]
    assert np.isnan(rates[3])


@pytest.mark.parametrize("length_cm", [0.0, -5.0, 300.0])
def test_an_impossible_length_is_refused(length_cm: float) -> None:
    with pytest.raises(ValueError, match=r"length .* is outside 0.5 to 200 cm"):
        body_mass_g(length_cm)


def test_all_phosphorus_of_feed_is_found_in_the_water_or_the_fish() -> None:
    # 2 g with 1.25 % phosphorus (from memory: 1 to 1.5 %) are 25 mg.
    phosphorus = feed_phosphorus_mg(2.0, 0.0125)
    assert phosphorus == pytest.approx(25)
    kept, freed = 0.4, phosphate_rise_mg_l(phosphorus, 300.0, 0.4) * 300 * mass_ratio("P", "PO4")
    assert freed + kept * phosphorus == pytest.approx(phosphorus)
    assert phosphate_rise_mg_l(phosphorus, 300.0, 0.0) * 0.6 == pytest.approx(
        phosphate_rise_mg_l(phosphorus, 300.0, 0.4)
    )
    with pytest.raises(ValueError, match=r"phosphorus fraction 1\.2 is outside 0 to 0\.05"):
        feed_phosphorus_mg(2.0, 1.2)


@given(st.floats(0.01, 5.0), volumes, st.floats(0.02, 0.5), st.floats(1.0, 30.0))
def test_nitrate_settles_where_changes_take_what_feed_brings(
    nitrogen_g: float, volume_l: float, fraction: float, days: float
) -> None:
    settled = steady_nitrate_mg_l(nitrogen_g, volume_l, fraction, days)
    brought = nitrate_rise_mg_l(nitrogen_g, volume_l) * days
    assert settled * fraction == pytest.approx(brought)


def test_steady_nitrate_of_a_worked_example() -> None:
    # 1.2218 mg/L a day with 10 % a week settles at 85.5 mg/L.
    settled = steady_nitrate_mg_l(excreted_ammonia_nitrogen_g(2.0, 0.45), 300, 0.1, 7)
    assert settled == pytest.approx(85.5, abs=0.05)
    found = steady_nitrate_mg_l(np.array([0.0, -1.0]), 300, 0.1, 7, 5.0)
    assert found == pytest.approx([5.0, np.nan], nan_ok=True)
