from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from molmass import ELEMENTS, Formula

from journal_tools.science.additives import stoichiometry
from journal_tools.science.additives.stoichiometry import (
    ATOMIC_WEIGHTS,
    CALCIUM_MG_L_PER_DKH,
    MEQ_L_PER_DKH,
    MG_L_CACO3_PER_DKH,
    MG_L_CACO3_PER_MEQ_L,
    SALTS,
    alkalinity_dkh,
    alkalinity_umol_kg,
    effect_of_dose,
    effect_of_solution,
    mass_for_rise_g,
    mass_ratio,
    molar_mass_g_mol,
)
from tests.science.check_values import Check, Row, assert_agrees, cases

UNITS, DOSING = "02 units", "06 calcification-dosing"
_MASSES = ("CaCO3", "Na2CO3", "CaCl2", "CaCl2.2H2O", "MgCl2.6H2O", "Ca(OH)2", "CaO")
_UNITS = {
    ("1 dKH as CaCO3", ""): lambda: MG_L_CACO3_PER_DKH,
    ("1 meq/L as CaCO3", ""): lambda: MG_L_CACO3_PER_MEQ_L,
    ("8.0 dKH", ""): lambda: 8 * MEQ_L_PER_DKH,
    ("8.0 dKH per mass", "S=35, 25 degC, rho=1023.341"): lambda: alkalinity_umol_kg(8.0, 35, 25),
    ("NO3 / NO3-N", ""): lambda: mass_ratio("NO3", "N"),
    ("PO4 / PO4-P", ""): lambda: mass_ratio("PO4", "P"),
    ("NO2 / NO2-N", ""): lambda: mass_ratio("NO2", "N"),
    ("NH4 / NH4-N", ""): lambda: mass_ratio("NH4", "N"),
    ("33 ppb P as PO4", ""): lambda: 0.033 * mass_ratio("PO4", "P"),
    ("10 mg/L NO3-N as NO3", ""): lambda: 10 * mass_ratio("NO3", "N"),
}
_DOSING = {
    ("mass to raise 100 L by 1 dKH", "NaHCO3"):
        lambda: mass_for_rise_g("NaHCO3", "alkalinity_dkh", 1, 100),
    ("mass to raise 100 L by 1 dKH", "Na2CO3 anhydrous"):
        lambda: mass_for_rise_g("Na2CO3", "alkalinity_dkh", 1, 100),
    ("mass to raise 100 L by 10 mg/L Ca", "CaCl2 anhydrous"):
        lambda: mass_for_rise_g("CaCl2", "calcium_mg_l", 10, 100),
    ("mass to raise 100 L by 10 mg/L Ca", "CaCl2.2H2O"):
        lambda: mass_for_rise_g("CaCl2.2H2O", "calcium_mg_l", 10, 100),
    ("mass to raise 100 L by 10 mg/L Mg", "MgCl2.6H2O"):
        lambda: mass_for_rise_g("MgCl2·6H2O", "magnesium_mg_l", 10, 100),
    ("mass to raise 100 L by 10 mg/L Mg", "MgSO4.7H2O"):
        lambda: mass_for_rise_g("MgSO4·7H2O", "magnesium_mg_l", 10, 100),
    ("natural seawater alkalinity", "TA=2300 umol/kg; S=35; 25 degC"):
        lambda: alkalinity_dkh(2300.0, 35, 25),
}  # fmt: skip
CHECKS = (
    {(UNITS, *key): Check(call) for key, call in _UNITS.items()}
    | {(DOSING, *key): Check(call) for key, call in _DOSING.items()}
    | {
        (DOSING, "molar mass", formula): Check(lambda formula=formula: molar_mass_g_mol(formula))
        for formula in _MASSES
    }
)

formulas = st.sampled_from(sorted(SALTS))
grams = st.floats(0.0, 1000.0)
volumes = st.floats(1.0, 5000.0)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


@pytest.mark.parametrize("symbol", sorted(ATOMIC_WEIGHTS))
def test_atomic_weights_against_molmass(symbol: str) -> None:
    # Natural materials differ by up to 3e-4 (boron), the others by less than 1e-4.
    assert ATOMIC_WEIGHTS[symbol] == pytest.approx(ELEMENTS[symbol].mass, rel=3e-4)


# Intervals of natural materials: IUPAC 2009, Pure Appl. Chem. 83:359; magnesium: 2011.
@pytest.mark.parametrize(
    ("symbol", "low", "high"),
    [
        ("H", 1.00784, 1.00811),
        ("B", 10.806, 10.821),
        ("C", 12.0096, 12.0116),
        ("N", 14.00643, 14.00728),
        ("O", 15.99903, 15.99977),
        ("Mg", 24.304, 24.307),
        ("Si", 28.084, 28.086),
        ("S", 32.059, 32.076),
        ("Cl", 35.446, 35.457),
    ],
)
def test_weights_of_varying_elements_are_the_middle(symbol: str, low: float, high: float) -> None:
    assert ATOMIC_WEIGHTS[symbol] == pytest.approx((low + high) / 2, abs=1e-9)


@pytest.mark.parametrize(
    "formula", [*sorted(SALTS), "NaCl", "O2", "NO3", "PO4", "KNO3", "SrCl2·6H2O", "Mg(HCO3)2"]
)
def test_molar_masses_against_molmass(formula: str) -> None:
    assert molar_mass_g_mol(formula) == pytest.approx(
        Formula(formula.replace("·", ".")).mass, rel=1e-4
    )


@pytest.mark.parametrize("formula", ["", "caco3", "CaCO3)", "Ca((OH)2", "CaCl2·", "3", "H2 O"])
def test_a_formula_that_cannot_be_read_is_refused(formula: str) -> None:
    with pytest.raises(ValueError, match="cannot be read"):
        molar_mass_g_mol(formula)


def test_an_unlisted_element_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="holds Fe"):
        molar_mass_g_mol("FeCl3")


def test_the_usual_roundings_are_off() -> None:
    # 2.8 dKH for each meq/L and 17.9 mg/L CaCO3 for each dKH are in common use.
    dkh_of_rounded_meq, dkh_of_rounded_caco3 = 2.8 * MEQ_L_PER_DKH, 17.9 / MG_L_CACO3_PER_DKH
    assert dkh_of_rounded_meq == pytest.approx(1 - 0.0014, abs=1e-4)
    assert dkh_of_rounded_caco3 == pytest.approx(1 + 0.003, abs=1e-4)


def test_calcium_for_each_dkh() -> None:
    assert round(CALCIUM_MG_L_PER_DKH, 3) == 7.147


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [("NaHCO3", "CaCl2·2H2O", 1.143), ("Na2CO3", "CaCl2·2H2O", 0.721)],
)
def test_balanced_pairs(one: str, other: str, ratio: float) -> None:
    alkalinity = mass_for_rise_g(one, "alkalinity_dkh", 1, 100)
    calcium = mass_for_rise_g(other, "calcium_mg_l", CALCIUM_MG_L_PER_DKH, 100)
    assert alkalinity / calcium == pytest.approx(ratio, abs=5e-4)


def test_hydration_and_baking_change_the_dose() -> None:
    dry = mass_for_rise_g("CaCl2", "calcium_mg_l", 10, 100)
    assert mass_for_rise_g("CaCl2·2H2O", "calcium_mg_l", 10, 100) > 1.3 * dry
    fresh = mass_for_rise_g("NaHCO3", "alkalinity_dkh", 1, 100)
    assert mass_for_rise_g("Na2CO3", "alkalinity_dkh", 1, 100) == pytest.approx(
        0.631 * fresh, rel=1e-3
    )


def test_leaving_out_the_density_is_seen() -> None:
    per_kg = alkalinity_umol_kg(8.0, 35, 25)
    assert 8 * MEQ_L_PER_DKH * 1000 / per_kg == pytest.approx(1.0233, abs=1e-4)


@given(formulas, grams, grams, volumes)
def test_doses_add_up(formula: str, one_g: float, other_g: float, volume_l: float) -> None:
    together = effect_of_dose(formula, one_g + other_g, volume_l)
    one, other = (effect_of_dose(formula, g, volume_l) for g in (one_g, other_g))
    for name in ("alkalinity_dkh", "calcium_mg_l", "magnesium_mg_l"):
        assert getattr(together, name) == pytest.approx(getattr(one, name) + getattr(other, name))


@given(formulas, grams, volumes)
def test_no_metal_is_made_or_lost(formula: str, mass_g: float, volume_l: float) -> None:
    effect = effect_of_dose(formula, mass_g, volume_l)
    metal_g = (effect.calcium_mg_l + effect.magnesium_mg_l) * volume_l / 1000
    symbol = "Ca" if SALTS[formula].calcium else "Mg" if SALTS[formula].magnesium else None
    share = ATOMIC_WEIGHTS[symbol] / molar_mass_g_mol(formula) if symbol else 0
    assert metal_g == pytest.approx(mass_g * share)


@given(st.floats(0.0, 500.0), st.floats(0.0, 700.0), volumes)
def test_a_solution_is_its_salt(volume_ml: float, strength_g_l: float, net_l: float) -> None:
    dissolved = effect_of_dose("Na2CO3", volume_ml * strength_g_l / 1000, net_l)
    assert effect_of_solution("Na2CO3", volume_ml, strength_g_l, net_l) == dissolved


@given(st.floats(0.01, 100.0), volumes)
def test_mass_for_a_rise_and_back(rise_dkh: float, volume_l: float) -> None:
    mass = mass_for_rise_g("NaHCO3", "alkalinity_dkh", rise_dkh, volume_l)
    assert effect_of_dose("NaHCO3", mass, volume_l).alkalinity_dkh == pytest.approx(rise_dkh)


@given(st.floats(0.0, 100.0), st.floats(0.0, 42.0), st.floats(0.0, 40.0))
def test_alkalinity_per_mass_and_back(dkh: float, salinity: float, temperature_c: float) -> None:
    per_kg = alkalinity_umol_kg(dkh, salinity, temperature_c)
    assert alkalinity_dkh(per_kg, salinity, temperature_c) == pytest.approx(dkh)


def test_impure_salt_brings_less() -> None:
    pure = effect_of_dose("CaCl2", 10, 100).calcium_mg_l
    assert effect_of_dose("CaCl2", 10, 100, 0.77).calcium_mg_l == pytest.approx(0.77 * pure)


def test_wrong_salts_are_refused() -> None:
    with pytest.raises(ValueError, match="salt 'NaCl' is not one of NaHCO3"):
        effect_of_dose("NaCl", 1, 100)
    with pytest.raises(ValueError, match="does not raise calcium_mg_l"):
        mass_for_rise_g("NaHCO3", "calcium_mg_l", 1, 100)
    with pytest.raises(ValueError, match="purity 77 is outside"):
        effect_of_dose("CaCl2", 1, 100, 77)


def test_arrays() -> None:
    found = alkalinity_umol_kg(np.array([8.0, -1.0]), 35.0, 25.0)
    assert found == pytest.approx([2788.12, np.nan], abs=0.01, nan_ok=True)


def test_the_salts_have_their_formula_as_key() -> None:
    assert all(key == salt.formula for key, salt in stoichiometry.SALTS.items())
