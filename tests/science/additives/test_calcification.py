from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.additives.calcification import (
    alkalinity_lost_dkh,
    calcium_per_dkh_mg_l,
    limewater_alkalinity_dkh,
    limewater_calcium_mg_l,
    limewater_ceiling_dkh_day,
    limewater_solubility_g_l,
    magnesium_per_dkh_mg_l,
    reactor_delivery_dkh_day,
    salinity_rise_psu,
    sodium_chloride_left_g,
    strontium_per_dkh_mg_l,
)
from journal_tools.science.additives.stoichiometry import (
    ATOMIC_WEIGHTS,
    MEQ_L_PER_DKH,
    MG_L_CACO3_PER_DKH,
    effect_of_dose,
    mass_for_rise_g,
    mass_ratio,
)
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "06 calcification-dosing"
_BOTH = "Ca and Mg removed per dKH with Mg mole fraction"
_MAGNESIUM = "Mg removed per dKH with Mg mole fraction"
_CALLS = {
    ("Ca removed per dKH (pure CaCO3)", ""): calcium_per_dkh_mg_l,
    (f"{_BOTH} 0.004", "Ca"): lambda: calcium_per_dkh_mg_l(0.004),
    (f"{_BOTH} 0.04", "Ca"): lambda: calcium_per_dkh_mg_l(0.04),
    (f"{_BOTH} 0.15", "Ca"): lambda: calcium_per_dkh_mg_l(0.15),
    (f"{_MAGNESIUM} 0.004", "Mg"): lambda: magnesium_per_dkh_mg_l(0.004),
    (f"{_MAGNESIUM} 0.15", "Mg"): lambda: magnesium_per_dkh_mg_l(0.15),
    (
        "saturated Ca(OH)2, 20-25 degC, alkalinity",
        "solubility 1.6 g/L (handbook 1.6-1.73 at 20 degC)",
    ): lambda: limewater_alkalinity_dkh() * MEQ_L_PER_DKH,
    ("same in dKH", ""): limewater_alkalinity_dkh,
    ("NaCl left by a balanced NaHCO3+CaCl2 pair", "per 1 dKH calcified in 100 L"):
        lambda: sodium_chloride_left_g(1, 100),
    ("alkalinity lost per mg N from NH4+ (2 eq/mol)", ""):
        lambda: alkalinity_lost_dkh(mass_ratio("NO3", "N"), "ammonium") * MG_L_CACO3_PER_DKH,
    ("calcium-reactor delivery", "effluent 30 mL/min at 30 dKH, tank 8 dKH, 300 L"):
        lambda: reactor_delivery_dkh_day(30, 30, 8, 300),
    ("kalkwasser ceiling set by evaporation", "4 L/d saturated (1.6 g/L) into 300 L"):
        lambda: limewater_ceiling_dkh_day(4, 300),
}  # fmt: skip
CHECKS = {(TOPIC, *key): Check(call) for key, call in _CALLS.items()}


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


@given(st.floats(0.0, 0.3))
def test_two_equivalents_go_with_each_metal_ion(fraction: float) -> None:
    moles = (
        calcium_per_dkh_mg_l(fraction) / ATOMIC_WEIGHTS["Ca"]
        + magnesium_per_dkh_mg_l(fraction) / ATOMIC_WEIGHTS["Mg"]
    )
    assert 2 * moles == pytest.approx(MEQ_L_PER_DKH)


def test_feed_nitrogen_costs_half_of_the_textbook_figure() -> None:
    assert alkalinity_lost_dkh(10) == pytest.approx(0.452, abs=5e-4)
    assert alkalinity_lost_dkh(10, "ammonium") == pytest.approx(2 * alkalinity_lost_dkh(10))
    with pytest.raises(ValueError, match="start 'nitrite' is not one of feed, ammonium"):
        alkalinity_lost_dkh(10, "nitrite")  # type: ignore[arg-type]


def test_a_reactor_is_fed_with_tank_water() -> None:
    delivered = reactor_delivery_dkh_day(30, 30, 8, 300)
    without_tank = reactor_delivery_dkh_day(30, 30, 0, 300)
    assert without_tank == pytest.approx(4.32)
    assert without_tank / delivered == pytest.approx(1.36, abs=0.005)


@given(st.integers(0, 500).map(lambda n: n / 10), st.integers(0, 500).map(lambda n: n / 10))
def test_a_weak_effluent_takes_alkalinity(effluent: float, tank: float) -> None:
    delivered = reactor_delivery_dkh_day(30, effluent, tank, 300)
    assert delivered == pytest.approx(-reactor_delivery_dkh_day(30, tank, effluent, 300))
    assert (delivered > 0) == (effluent > tank)


def test_limewater_brings_calcium_and_alkalinity_in_balance() -> None:
    effect = effect_of_dose("Ca(OH)2", 1.6, 1)
    assert effect.alkalinity_dkh == pytest.approx(limewater_alkalinity_dkh())
    assert effect.calcium_mg_l == pytest.approx(865, abs=1)
    per_dkh = effect.calcium_mg_l / effect.alkalinity_dkh
    assert per_dkh == pytest.approx(calcium_per_dkh_mg_l())


@given(st.floats(0.0, 50.0), st.floats(1.0, 2000.0))
def test_the_salt_left_holds_the_sodium_dosed(dkh: float, volume_l: float) -> None:
    sodium_in = mass_for_rise_g("NaHCO3", "alkalinity_dkh", dkh, volume_l) * mass_ratio(
        "Na", "NaHCO3"
    )
    sodium_left = sodium_chloride_left_g(dkh, volume_l) * mass_ratio("Na", "NaCl")
    assert sodium_left == pytest.approx(sodium_in)


def test_a_month_of_balanced_dosing_raises_the_salinity() -> None:
    # 30 dKH a month leave 625 g in 1000 L: 0.6 psu without water changes.
    assert sodium_chloride_left_g(30, 1000) == pytest.approx(625, abs=1)
    assert salinity_rise_psu(30) == pytest.approx(0.61, abs=0.01)
    assert salinity_rise_psu(60) == pytest.approx(2 * salinity_rise_psu(30))


def test_strontium_goes_with_calcium() -> None:
    # 9 mmol/mol, from memory: 0.14 mg/L for each dKH.
    assert strontium_per_dkh_mg_l() == pytest.approx(0.14, abs=0.001)
    moles = strontium_per_dkh_mg_l(20.0) / ATOMIC_WEIGHTS["Sr"]
    calcium_moles = calcium_per_dkh_mg_l() / ATOMIC_WEIGHTS["Ca"]
    assert moles / calcium_moles == pytest.approx(0.020)


@given(st.floats(5.0, 39.0))
def test_warm_limewater_holds_less(temperature_c: float) -> None:
    here, warmer = (limewater_solubility_g_l(t) for t in (temperature_c, temperature_c + 1))
    assert warmer < here
    assert limewater_calcium_mg_l(here) > limewater_calcium_mg_l(warmer)
    ceilings = [limewater_ceiling_dkh_day(4.0, 300.0, held) for held in (here, warmer)]
    assert ceilings[0] > ceilings[1]


def test_saturated_limewater_at_20_degrees() -> None:
    assert limewater_solubility_g_l(20.0) == pytest.approx(1.6)
    assert limewater_calcium_mg_l() == pytest.approx(865, abs=1)


def test_ranges() -> None:
    with pytest.raises(ValueError, match=r"magnesium fraction 15 is outside 0 to 0\.3"):
        calcium_per_dkh_mg_l(15)
    with pytest.raises(ValueError, match="solubility 16 g/L"):
        limewater_alkalinity_dkh(16)
