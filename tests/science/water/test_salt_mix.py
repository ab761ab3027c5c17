from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.water.salt_mix import (
    salinity_of_mixture,
    salt_to_raise_kg,
    water_to_lower_l,
    water_to_swap_l,
)
from journal_tools.science.water.seawater import (
    density_kg_m3,
    salt_for_water_kg,
    salt_in_seawater_kg,
)

salinities = st.floats(1.0, 42.0)
volumes = st.floats(1.0, 2000.0)


def ordered(one: float, other: float) -> tuple[float, float]:
    return min(one, other), max(one, other)


@given(volumes, salinities)
def test_salting_pure_water_is_the_usual_mix(volume_l: float, salinity: float) -> None:
    assert salt_to_raise_kg(volume_l, 0.0, salinity) == pytest.approx(
        salt_for_water_kg(volume_l, salinity)
    )


@given(volumes, salinities, salinities)
def test_raising_conserves_water_and_salt(volume_l: float, one: float, other: float) -> None:
    low, high = ordered(one, other)
    added = salt_to_raise_kg(volume_l, low, high)
    mass = volume_l / 1000 * density_kg_m3(low, 25.0) + added
    finished_l = mass / density_kg_m3(high, 25.0) * 1000
    held = salt_in_seawater_kg(volume_l, low) + added
    assert salt_in_seawater_kg(finished_l, high) == pytest.approx(held)


@given(volumes, salinities, salinities)
def test_lowering_is_undone_by_mixing(volume_l: float, one: float, other: float) -> None:
    low, high = ordered(one, other)
    water_l = water_to_lower_l(volume_l, high, low)
    mixed = salinity_of_mixture(np.array([volume_l, water_l]), np.array([high, 0.0]))
    assert mixed == pytest.approx(low)


@given(volumes, salinities, salinities)
def test_swapping_takes_the_salt_out(volume_l: float, one: float, other: float) -> None:
    low, high = ordered(one, other)
    swapped_l = water_to_swap_l(volume_l, high, low)
    left = salt_in_seawater_kg(volume_l - swapped_l, high)
    assert left == pytest.approx(salt_in_seawater_kg(volume_l, low))
    assert swapped_l <= water_to_lower_l(volume_l, high, low) + 1e-9


def test_correcting_a_batch() -> None:
    # Worked by hand: 102.18 kg at 33 psu (33.16 g/kg) to 35 psu (35.17 g/kg): 0.2128 kg.
    assert salt_to_raise_kg(100.0, 33.0, 35.0) == pytest.approx(0.2128, abs=2e-4)
    # Two psu are not two grams for each litre of dry salt as sold.
    assert salt_to_raise_kg(100.0, 33.0, 35.0, dry_fraction=0.9) > 0.2128 / 0.9
    assert water_to_lower_l(100.0, 37.0, 35.0) == pytest.approx(5.87, abs=0.01)


def test_a_batch_is_not_corrected_in_the_wrong_direction() -> None:
    with pytest.raises(ValueError, match="salinity wanted 33 psu is outside 35 to 42 psu"):
        salt_to_raise_kg(100.0, 35.0, 33.0)
    with pytest.raises(ValueError, match=r"salinity wanted 35 psu is outside 0\.1 to 33 psu"):
        water_to_lower_l(100.0, 33.0, 35.0)


def test_outside_is_refused_or_blank() -> None:
    with pytest.raises(ValueError, match="no water to mix"):
        salinity_of_mixture(np.array([0.0]), np.array([35.0]))
    with pytest.raises(ValueError, match="dry fraction 92"):
        salt_to_raise_kg(100.0, 33.0, 35.0, dry_fraction=92)
    found = salt_to_raise_kg(np.array([100.0, -1.0]), 33.0, 35.0)
    assert list(np.isnan(found)) == [False, True]
