from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.science.carbonates.carbonate import carbonate_system
from journal_tools.science.carbonates.carbonate_bands import InputErrors, carbonate_bands
from journal_tools.science.carbonates.ph_scales import PhScale

NO_ERROR = InputErrors(ph=0.0, alkalinity_umol_kg=0.0)
USUAL = InputErrors(
    ph=0.1, alkalinity_umol_kg=50.0, temperature_c=0.2, salinity=0.5, calcium_mg_l=10.0
)


def relative(scale: PhScale, errors: InputErrors, ph: float = 8.2) -> tuple[float, ...]:
    """Bounds of pCO2 and aragonite saturation over their values, less 1."""
    system = carbonate_system(2788.1, ph, 35.0, 25.0, ph_scale=scale)
    bands = carbonate_bands(system, errors)
    two = (bands.pco2_uatm, bands.aragonite_saturation)
    return tuple(end / band.value - 1 for band in two for end in (band.low, band.high))


def test_trap_a_tenth_of_ph_is_a_third_of_pco2() -> None:
    """Computed with PyCO2SYS 1.8.3.4 for 8 dKH and pH NBS 8.2, which is 8.063 on total."""
    found = relative("total", InputErrors(ph=0.1, alkalinity_umol_kg=0.0), 8.063)
    assert found == pytest.approx((-0.25, 0.32, -0.17, 0.19), abs=0.006)


def test_trap_a_buffer_calibrated_electrode_has_a_liquid_junction() -> None:
    assert relative("total", NO_ERROR) == (0, 0, 0, 0)
    low, high, *_ = relative("nbs", NO_ERROR)
    assert (low, high) == pytest.approx((-0.13, 0.15), abs=0.006)
    # 0.1 and 0.05 are independent: 0.112, not 0.15.
    both = relative("nbs", InputErrors(ph=0.1, alkalinity_umol_kg=0.0))
    alone = relative(
        "total", InputErrors(ph=float(np.hypot(0.1, 0.05)), alkalinity_umol_kg=0.0), 8.063016
    )
    assert both == pytest.approx(alone, abs=1e-4)


def test_alkalinity_moves_both_in_proportion() -> None:
    """0.3 dKH at 8 dKH: 4 %."""
    found = relative("total", InputErrors(ph=0.0, alkalinity_umol_kg=105.0))
    assert found == pytest.approx((-0.04, 0.04, -0.04, 0.04), abs=0.002)


def test_calcium_moves_only_saturation() -> None:
    found = relative("total", InputErrors(ph=0.0, alkalinity_umol_kg=0.0, calcium_mg_l=21.1))
    assert found == pytest.approx((0, 0, -0.05, 0.05), abs=0.001)


def test_natural_calcium_goes_with_salinity_and_measured_does_not() -> None:
    errors = InputErrors(ph=0.0, alkalinity_umol_kg=0.0, salinity=1.0)
    natural, measured = (
        carbonate_bands(
            carbonate_system(2788.1, 8.2, 35.0, 25.0, ph_scale="total", calcium_mg_l=calcium),
            errors,
        ).aragonite_saturation
        for calcium in (None, 420.0)
    )
    spread = {band.value: (band.high - band.low) / band.value for band in (natural, measured)}
    assert spread[natural.value] < spread[measured.value]


def test_ph_dominates() -> None:
    without_ph = InputErrors(
        ph=0.0, alkalinity_umol_kg=50.0, temperature_c=0.2, salinity=0.5, calcium_mg_l=10.0
    )
    assert relative("total", without_ph)[1] < 0.03
    assert relative("total", USUAL)[1] > 0.3


def test_trap_no_third_digit_of_pco2() -> None:
    """A usual electrode and kit: 30 % to both sides on average, at least."""
    low, high, *_ = relative("nbs", USUAL)
    assert high - low > 0.6


@settings(deadline=None)
@given(
    st.floats(0.0, 0.2), st.floats(0.0, 100.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0),
    st.floats(0.0, 30.0), st.sampled_from(["nbs", "total"]),
)  # fmt: skip
def test_the_value_is_inside_and_more_error_is_wider(
    ph: float, alkalinity: float, celsius: float, salinity: float, calcium: float, scale: PhScale
) -> None:
    narrow = relative(scale, InputErrors(ph, alkalinity, celsius, salinity, calcium))
    wide = relative(
        scale, InputErrors(ph * 2, alkalinity * 2, celsius * 2, salinity * 2, calcium * 2)
    )
    for low, high, lower, higher in zip(
        narrow[::2], narrow[1::2], wide[::2], wide[1::2], strict=True
    ):
        assert lower <= low <= 0 <= high <= higher


def test_agrees_with_trials() -> None:
    """Seeded trials: 200 000 measurements with all errors at once; 16th and 84th percentile."""
    rng = np.random.default_rng(8)
    rows = 200_000
    ph_error = float(np.hypot(USUAL.ph, 0.05))
    trials = carbonate_system(
        rng.normal(2788.1, USUAL.alkalinity_umol_kg, rows),
        rng.normal(8.2, ph_error, rows),
        rng.normal(35.0, USUAL.salinity, rows),
        rng.normal(25.0, USUAL.temperature_c, rows),
        ph_scale="nbs",
        calcium_mg_l=rng.normal(420.0, USUAL.calcium_mg_l, rows),
    )
    system = carbonate_system(2788.1, 8.2, 35.0, 25.0, ph_scale="nbs", calcium_mg_l=420.0)
    bands = carbonate_bands(system, USUAL)
    for band, found in (
        (bands.pco2_uatm, trials.pco2_uatm),
        (bands.aragonite_saturation, trials.aragonite_saturation),
        (bands.calcite_saturation, trials.calcite_saturation),
    ):
        ends = np.percentile(found, [15.866, 84.134])
        assert (band.low, band.high) == pytest.approx(tuple(ends), rel=0.01)


def test_columns_blanks_and_the_edge_of_the_range() -> None:
    system = carbonate_system(
        np.array([2788.1, 2788.1, 8.0]), 8.2, np.array([35.0, 40.0, 35.0]), 35.0, ph_scale="nbs"
    )
    bands = carbonate_bands(system, USUAL)
    assert np.isfinite(bands.pco2_uatm.high).tolist() == [True, True, False]
    alone = carbonate_bands(carbonate_system(2788.1, 8.2, 35.0, 35.0, ph_scale="nbs"), USUAL)
    assert isinstance(alone.pco2_uatm.high, float)
    assert alone.pco2_uatm.high == pytest.approx(bands.pco2_uatm.high[0], rel=1e-12)
    assert alone.calcite_saturation.low == pytest.approx(bands.calcite_saturation.low[0], rel=1e-12)
    salty = carbonate_bands(carbonate_system(2788.1, 8.2, 43.0, 2.0, ph_scale="total"), USUAL)
    assert salty.aragonite_saturation.low < salty.aragonite_saturation.value


@pytest.mark.parametrize(
    ("name", "value"),
    [("ph", 1.5), ("alkalinity_umol_kg", -1.0), ("temperature_c", 9.0), ("salinity", float("nan")),
     ("calcium_mg_l", 1000.0)],
)  # fmt: skip
def test_errors_out_of_range_are_refused(name: str, value: float) -> None:
    given_errors = {"ph": 0.1, "alkalinity_umol_kg": 50.0} | {name: value}
    with pytest.raises(ValueError, match=r"^error of .* is outside 0 to"):
        InputErrors(**given_errors)


def test_a_water_that_one_error_empties_is_refused() -> None:
    system = carbonate_system(400.0, 9.4, 35.0, 25.0, ph_scale="total", boron_umol_kg=100.0)
    with pytest.raises(ValueError, match=r"^alkalinity left for carbonate"):
        carbonate_bands(system, InputErrors(ph=0.6, alkalinity_umol_kg=0.0))
