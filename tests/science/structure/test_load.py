from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.estimate import Estimate
from journal_tools.science.structure.load import (
    FLOOR_LOADS,
    HAZARDS,
    KPA_PER_PSF,
    FloorLoad,
    foot_load_kg,
    footprint_pressure_kpa,
    glass_tank_mass_kg,
    pane_mass_kg,
    runner_load_kn_m,
    total_mass_kg,
    water_mass_kg,
    water_pressure_kpa,
    weight_kn,
)
from journal_tools.science.water.seawater import density_kg_m3

masses = st.floats(0.0, 5000.0)
measures = st.floats(10.0, 300.0)


@st.composite
def estimates(draw: st.DrawFn) -> Estimate:
    value = draw(masses)
    return Estimate(value, value * draw(st.floats(0.5, 1.0)), value * draw(st.floats(1.0, 1.5)))


def test_a_metre_of_seawater_presses_with_ten_kilopascals() -> None:
    # 10.04 kPa a metre and 6.0 kPa for 0.6 m: density by EOS-80 times standard gravity.
    assert water_pressure_kpa(100.0) == pytest.approx(10.04, abs=0.005)
    assert water_pressure_kpa(60.0, density_kg_m3(35.0, 25.0)) == pytest.approx(6.0, abs=0.03)
    # NIST SP 811: a metre of water at 4 °C is 9.80638 kPa.
    assert water_pressure_kpa(100.0, 999.972) == pytest.approx(9.80638, abs=1e-5)


@given(measures, measures, st.floats(1.0, 100.0))
def test_water_alone_presses_on_its_footprint_as_its_column(
    length: float, width: float, depth: float
) -> None:
    density = density_kg_m3(35.0, 25.0)
    mass = water_mass_kg(length * width * depth / 1000)
    found = footprint_pressure_kpa(mass, length * width)
    assert found == pytest.approx(water_pressure_kpa(depth, density))


def test_salt_water_is_heavier_than_fresh() -> None:
    assert water_mass_kg(100.0, 0.0) == pytest.approx(99.70, abs=0.01)
    assert water_mass_kg(100.0, 35.0) == pytest.approx(102.33, abs=0.01)


def test_the_panes_of_a_box_one_by_one() -> None:
    # By hand: front and back 122.4 × 55, sides 50 × 55, bottom 122.4 × 52.4 cm, 12 mm, 2.5 kg/L.
    panes = 2 * 122.4 * 55 + 2 * 50 * 55 + 122.4 * 52.4
    assert glass_tank_mass_kg(120.0, 50.0, 55.0, 12.0) == pytest.approx(panes * 1.2 * 2.5 / 1000)
    thick = glass_tank_mass_kg(120.0, 50.0, 55.0, 12.0, 15.0)
    assert thick - glass_tank_mass_kg(120.0, 50.0, 55.0, 12.0) == pytest.approx(
        pane_mass_kg(122.4 * 52.4, 3.0)
    )


@given(measures, measures, measures, st.floats(4.0, 25.0))
def test_the_glass_is_the_outer_box_less_the_inner(
    length: float, width: float, height: float, thickness: float
) -> None:
    t = thickness / 10
    outer = (length + 2 * t) * (width + 2 * t) * (height + t)
    glass_l = (outer - length * width * height) / 1000
    assert glass_tank_mass_kg(length, width, height, thickness) == pytest.approx(2.5 * glass_l)


@given(st.dictionaries(st.text(min_size=1), estimates(), max_size=6))
def test_a_total_is_the_sum_and_its_error_less_than_theirs(parts: dict[str, Estimate]) -> None:
    found = total_mass_kg(parts)
    assert found.value == pytest.approx(sum(part.value for part in parts.values()))
    assert found.low >= sum(part.low for part in parts.values()) - 1e-6
    assert found.high <= sum(part.high for part in parts.values()) + 1e-6


def test_errors_add_as_squares() -> None:
    found = total_mass_kg({"water": Estimate(300, 297, 303), "rock": Estimate(40, 36, 44)})
    assert (found.low, found.value, found.high) == pytest.approx((335, 340, 345))
    assert total_mass_kg({}) == Estimate(0.0, 0.0, 0.0)


@given(masses, st.integers(1, 12))
def test_all_feet_together_carry_everything(mass: float, feet: int) -> None:
    found = foot_load_kg(mass, feet)
    assert found.value * feet == pytest.approx(mass)
    assert found.low <= found.value <= found.high <= mass


def test_trap_four_feet_on_an_uneven_floor_are_two() -> None:
    found = foot_load_kg(500.0, 4)
    assert (found.low, found.high) == (0.0, 250.0)
    # Three feet never rock.
    assert foot_load_kg(600.0, 3) == Estimate(200.0, 200.0, 200.0)
    assert weight_kn(found.high) == pytest.approx(2.45, abs=0.005)


@given(masses, measures, st.floats(0.5, 1.0))
def test_both_runners_carry_everything(mass: float, length: float, share: float) -> None:
    heavier = runner_load_kn_m(mass, length, share) * length / 100
    assert heavier == pytest.approx(share * weight_kn(mass))
    assert heavier >= weight_kn(mass) / 2 * 0.999


def test_trap_a_design_load_is_for_comparison_never_a_verdict() -> None:
    # 0.6 m of water is 6 kPa, three to four times what floors of homes are designed for all over.
    homes = {load.name: load for load in FLOOR_LOADS}
    europe = homes["EN 1991-1-1, category A: floors of homes"]
    assert (europe.low_kpa, europe.high_kpa) == (1.5, 2.0)
    # 1 psf = 47.88026 Pa, NIST SP 811.
    assert homes["ASCE 7: rooms of homes"].low_kpa == pytest.approx(1.92, abs=0.005)
    assert pytest.approx(0.45359237 * 9.80665 / 0.3048**2 / 1000, rel=1e-6) == KPA_PER_PSF
    assert water_pressure_kpa(60.0) / europe.high_kpa > 3
    for load in FLOOR_LOADS:
        assert load.low_kpa <= load.high_kpa
        assert "from memory" in load.source
    fields = set(FloorLoad.__slots__)
    assert fields == {"name", "low_kpa", "high_kpa", "source"}
    assert any("patch" in hazard for hazard in HAZARDS)


@given(st.lists(masses, min_size=1, max_size=4), measures)
def test_an_array_gives_what_its_numbers_give(several: list[float], size: float) -> None:
    numbers = np.array(several)
    pairs = (
        (weight_kn(numbers), [weight_kn(n) for n in several]),
        (water_mass_kg(numbers), [water_mass_kg(n) for n in several]),
        (
            footprint_pressure_kpa(numbers, size),
            [footprint_pressure_kpa(n, size) for n in several],
        ),
        (runner_load_kn_m(numbers, size), [runner_load_kn_m(n, size) for n in several]),
        (pane_mass_kg(numbers, 10.0), [pane_mass_kg(n, 10.0) for n in several]),
        (
            glass_tank_mass_kg(numbers / 3 + 1, size, 50.0, 10.0),
            [glass_tank_mass_kg(n / 3 + 1, size, 50.0, 10.0) for n in several],
        ),
    )
    for together, alone in pairs:
        assert together == pytest.approx(alone, nan_ok=True)
        assert type(alone[0]) is float


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="depth 5000 cm"):
        water_pressure_kpa(5000.0)
    with pytest.raises(ValueError, match=r"water density 1\.02 kg/m3"):
        water_pressure_kpa(50.0, 1.02)
    with pytest.raises(ValueError, match="salinity 50 psu"):
        water_mass_kg(100.0, 50.0)
    with pytest.raises(ValueError, match="glass thickness 0 mm"):
        glass_tank_mass_kg(100.0, 50.0, 50.0, 0.0)
    with pytest.raises(ValueError, match="mass of rock -1 kg"):
        total_mass_kg({"rock": Estimate(0.0, -1.0, 1.0)})
    with pytest.raises(ValueError, match=r"number of feet 4\.5"):
        foot_load_kg(100.0, 4.5)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match=r"heavier share 0\.4"):
        runner_load_kn_m(100.0, 100.0, 0.4)
    assert weight_kn(np.array([100.0, -1.0])) == pytest.approx([0.980665, np.nan], nan_ok=True)
