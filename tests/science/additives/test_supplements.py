from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from molmass import Formula

from journal_tools.science.additives.stoichiometry import (
    MEQ_L_PER_DKH,
    SALTS,
    effect_of_dose,
    effect_of_solution,
    mass_ratio,
    molar_mass_g_mol,
)
from journal_tools.science.additives.supplements import (
    SOURCES,
    ion_rise_estimate_mg_l,
    rise_by_dose,
    rise_per_ml,
    salt_for_ion_g,
)
from journal_tools.science.estimate import Estimate

formulas = st.sampled_from(sorted(SOURCES))
grams = st.floats(0.0, 1000.0)
volumes = st.floats(1.0, 5000.0)

_POSITIVE = {"Na": 1, "K": 1, "NH4": 1, "Ca": 2, "Mg": 2, "Sr": 2}
_NEGATIVE = {"Cl": 1, "Br": 1, "I": 1, "F": 1, "NO3": 1, "SO4": 2, "PO4": 1}


# Elements counted by molmass 2026.1.8; the ion is the part that the salt is dosed for.
@pytest.mark.parametrize("formula", sorted(SOURCES))
def test_ions_against_the_atoms_of_the_formula(formula: str) -> None:
    parsed = Formula(formula.replace("·", "."))
    atoms = {item.symbol: item.count for item in parsed.composition().values()}
    key_atom = {"NH4": "N", "NO3": "N", "PO4": "P", "SO4": "S"}
    counted: dict[str, int] = {}
    for ion, count in SOURCES[formula].ions.items():
        symbol = key_atom.get(ion, ion)
        counted[symbol] = counted.get(symbol, 0) + count
    assert counted == {s: n for s, n in atoms.items() if s not in ("H", "C", "O")}
    assert molar_mass_g_mol(formula) == pytest.approx(parsed.mass, rel=1e-4)


# Charge balance: alkalinity is what strong positive ions have over strong negative ones, with
# phosphate counted as H2PO4 (Dickson 1981; Wolf-Gladrow et al. 2007), boron as B(OH)3.
@pytest.mark.parametrize("formula", sorted(SOURCES))
def test_alkalinity_is_the_excess_of_positive_charge(formula: str) -> None:
    source = SOURCES[formula]
    charge = sum(_POSITIVE.get(ion, 0) * n for ion, n in source.ions.items())
    charge -= sum(_NEGATIVE.get(ion, 0) * n for ion, n in source.ions.items())
    assert source.equivalents == charge


@given(st.sampled_from(sorted(SALTS)), grams, volumes)
def test_the_two_tables_of_salts_agree(formula: str, mass_g: float, volume_l: float) -> None:
    rise, effect = (
        rise_by_dose(formula, mass_g, volume_l),
        effect_of_dose(formula, mass_g, volume_l),
    )
    assert rise.alkalinity_dkh == pytest.approx(effect.alkalinity_dkh)
    assert rise.ions_mg_l.get("Ca", 0.0) == pytest.approx(effect.calcium_mg_l)
    assert rise.ions_mg_l.get("Mg", 0.0) == pytest.approx(effect.magnesium_mg_l)


# Worked with molar masses of molmass 2026.1.8: share of the ion in the salt.
@pytest.mark.parametrize(
    ("formula", "ion", "share"),
    [
        ("KNO3", "NO3", 0.61328),
        ("KNO3", "K", 0.38672),
        ("K2HPO4", "PO4", 0.54526),
        ("KH2PO4", "PO4", 0.69788),
        ("SrCl2·6H2O", "Sr", 0.32864),
        ("MgCl2·6H2O", "Mg", 0.11955),
        ("KCl", "K", 0.52445),
        ("NH4Cl", "NH4", 0.33722),
    ],
)
def test_shares(formula: str, ion: str, share: float) -> None:
    rise = rise_by_dose(formula, 1.0, 1.0).ions_mg_l
    assert rise[ion] / 1000 == pytest.approx(share, abs=2e-5)  # type: ignore[index]


@given(formulas, st.floats(0.0, 500.0), st.floats(1.0, 20.0), volumes)
def test_a_solution_dosed_whole_is_its_salt(
    formula: str, salt_g: float, solution_l: float, volume_l: float
) -> None:
    whole, drop = (
        rise_by_dose(formula, salt_g, volume_l),
        rise_per_ml(formula, salt_g, solution_l, volume_l),
    )
    assert drop.alkalinity_dkh * solution_l * 1000 == pytest.approx(whole.alkalinity_dkh)
    for ion, mg_l in whole.ions_mg_l.items():
        assert drop.ions_mg_l[ion] * solution_l * 1000 == pytest.approx(mg_l)


def test_the_same_millilitre_by_both_ways() -> None:
    drop = rise_per_ml("CaCl2·2H2O", 366.8, 1.0, 100.0)
    effect = effect_of_solution("CaCl2·2H2O", 1.0, 366.8, 100.0)
    assert drop.ions_mg_l["Ca"] == pytest.approx(effect.calcium_mg_l) == pytest.approx(1, abs=1e-4)


@given(st.floats(0.01, 100.0), volumes)
def test_salt_for_a_rise_and_back(rise_mg_l: float, volume_l: float) -> None:
    mass = salt_for_ion_g("SrCl2.6H2O", "Sr", rise_mg_l, volume_l)
    rise = rise_by_dose("SrCl2·6H2O", mass, volume_l).ions_mg_l
    assert rise["Sr"] == pytest.approx(rise_mg_l)


def test_water_of_crystallisation_and_purity_decide_the_dose() -> None:
    dry, wet = (salt_for_ion_g(f, "Sr", 1.0, 100.0) for f in ("SrCl2", "SrCl2·6H2O"))
    assert wet / dry == pytest.approx(266.6 / 158.5, rel=1e-3)
    found = ion_rise_estimate_mg_l("CaCl2", "Ca", 10.0, 100.0, Estimate(0.9, 0.77, 0.96), 0.1)
    assert found.low == pytest.approx(0.77 / 0.9 / 1.1 * found.value)
    assert found.high == pytest.approx(0.96 / 0.9 / 0.9 * found.value)


def test_nitrate_dosed_as_a_salt_does_not_take_alkalinity() -> None:
    # Unlike nitrate that forms from feed: 1 eq for each mole.
    assert rise_by_dose("KNO3", 10.0, 100.0).alkalinity_dkh == 0
    assert rise_by_dose("NH4Cl", 10.0, 100.0).alkalinity_dkh == 0


def test_a_phosphate_salt_brings_its_charge_as_alkalinity() -> None:
    rise = rise_by_dose("K2HPO4", 1.0, 1.0)
    moles = 1 / molar_mass_g_mol("K2HPO4")
    assert rise.alkalinity_dkh == pytest.approx(1000 * moles / MEQ_L_PER_DKH)
    assert rise_by_dose("KH2PO4", 1.0, 1.0).alkalinity_dkh == 0


def test_ammonium_for_a_challenge_of_2_mg_l_nitrogen() -> None:
    ammonium_mg_l = 2 * mass_ratio("NH4", "N")
    mass = salt_for_ion_g("NH4Cl", "NH4", ammonium_mg_l, 100.0)
    # 53.49 g of ammonium chloride hold 14.007 g of nitrogen.
    assert mass == pytest.approx(0.2 * 53.49 / 14.007, rel=1e-3)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: rise_by_dose("FeCl3", 1, 100), "salt 'FeCl3' is not one of NaHCO3"),
        (lambda: salt_for_ion_g("KNO3", "PO4", 1, 100), "salt 'KNO3' holds no PO4"),
        (lambda: rise_by_dose("KNO3", 1, 100, 99), "purity 99 is outside"),
        (lambda: rise_per_ml("KNO3", 2000, 1, 100), "strength 2000 g/L is outside"),
        (lambda: rise_per_ml("KNO3", 20, 0, 100), "solution 0 L is outside"),
    ],
)
def test_refused(call: Callable[[], object], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()
