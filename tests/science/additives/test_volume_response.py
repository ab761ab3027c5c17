from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.additives.stoichiometry import effect_of_dose
from journal_tools.science.additives.volume_response import calibrate_volume

volumes = st.floats(20.0, 2000.0)
rises = st.floats(0.5, 3.0)


@given(volumes, rises, st.floats(0.0, 2.0), st.floats(0.0, 2.0))
def test_the_volume_that_made_the_rise_is_found(
    volume: float, rise: float, days: float, uptake: float
) -> None:
    after = 7.0 + rise - uptake * days
    found = calibrate_volume(volume * rise, 7.0, after, 0.05, days, uptake)
    assert found.volume_l == pytest.approx(volume)
    assert found.rise == pytest.approx(rise)
    assert found.low_l < volume < found.high_l


# 2.996 g of NaHCO3 raise 100 L by 1 dKH (IUPAC weights).
def test_a_weighed_dose_of_bicarbonate() -> None:
    lift = effect_of_dose("NaHCO3", 14.98, 1.0).alkalinity_dkh
    assert calibrate_volume(lift, 7.0, 9.0, 0.1).volume_l == pytest.approx(250.0, rel=1e-3)


def test_a_rise_of_ten_errors_is_good_to_14_per_cent() -> None:
    found = calibrate_volume(300.0, 7.0, 8.0, 0.1)
    assert found.sd_l / found.volume_l == pytest.approx(0.1 * 2**0.5)


def test_errors_of_potency_and_uptake_add_as_squares() -> None:
    found = calibrate_volume(600.0, 7.0, 8.0, 0.05, 1.0, 1.0, uptake_sd=0.1, potency_sd=0.05)
    rise_sd = math.hypot(0.05 * 2**0.5, 0.1)
    assert found.rise_sd == pytest.approx(rise_sd)
    assert found.sd_l == pytest.approx(300 * math.hypot(rise_sd / 2, 0.05))


def test_the_interval_covers_nine_times_in_ten() -> None:
    rng = np.random.default_rng(1)
    covered = []
    for _ in range(2000):
        before, after = 7 + rng.normal(0, 0.1), 8 + rng.normal(0, 0.1)
        lift = 300.0 * (1 + rng.normal(0, 0.05))
        found = calibrate_volume(lift, before, after, 0.1, potency_sd=0.05)
        covered.append(found.low_l <= 300 <= found.high_l)
    assert np.mean(covered) == pytest.approx(0.9, abs=0.02)


def test_a_rise_within_its_error_has_no_upper_end() -> None:
    assert calibrate_volume(60.0, 7.0, 7.2, 0.2).high_l == math.inf


def test_no_rise_gives_no_volume() -> None:
    found = calibrate_volume(60.0, 7.0, 6.9, 0.2)
    assert math.isnan(found.volume_l)
    assert found.rise == pytest.approx(-0.1)


@pytest.mark.parametrize(
    "values",
    [(0.0, 7, 8, 0.1), (100.0, 7, 8, 0.0), (100.0, 7, 8, 0.1, -1.0), (100.0, 7, 8, 0.1, 31)],
)
def test_what_is_impossible_is_refused(values: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="outside"):
        calibrate_volume(*values)
