from __future__ import annotations

from functools import partial

import numpy as np
import PyCO2SYS
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.additives.stoichiometry import SALTS, alkalinity_umol_kg
from journal_tools.science.carbonates.carbonate import CarbonateSystem, carbonate_system
from journal_tools.science.carbonates.carbonate_doses import (
    CARBON_ATOMS,
    after_dose,
    after_gas_exchange,
    after_salt,
)
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "03 carbonate"
ONE_DKH = alkalinity_umol_kg(1.0, 35.0, 25.0)


def tank(ph: float = 8.2) -> CarbonateSystem[float]:
    return carbonate_system(8 * ONE_DKH, ph, 35.0, 25.0, ph_scale="nbs")


def ph_after_one_dkh(salt: str) -> float:
    return after_salt(tank(), salt, ONE_DKH).ph


_START = "start 8 dKH, pH NBS 8.200"
CHECKS = {
    (TOPIC, f"closed-system pH NBS after +1 dKH as {salt}", _START): Check(
        partial(ph_after_one_dkh, salt)
    )
    for salt in ("NaHCO3", "Ca(OH)2")
}

salts = st.sampled_from(sorted(CARBON_ATOMS))


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


# Computed with PyCO2SYS 1.8.3.4, rounded to three digits.
def test_the_ph_jump_depends_on_the_salt() -> None:
    jumps = [after_salt(tank(), salt, ONE_DKH).ph - 8.2 for salt in ("NaHCO3", "Na2CO3", "Ca(OH)2")]
    assert jumps == pytest.approx([-0.044, 0.168, 0.348], abs=0.001)


@pytest.mark.parametrize("salt", sorted(CARBON_ATOMS))
def test_a_dose_agrees_with_pyco2sys(salt: str) -> None:
    before = tank()
    carbon = ONE_DKH * CARBON_ATOMS[salt] / SALTS[salt].equivalents
    oracle = PyCO2SYS.sys(
        9 * ONE_DKH, before.dic_umol_kg + carbon, 1, 2, salinity=35, temperature=25,
        opt_pH_scale=4, opt_total_borate=2,
    )  # fmt: skip
    assert after_salt(before, salt, ONE_DKH).ph == pytest.approx(float(oracle["pH"]), abs=1e-6)


def test_all_salts_with_alkalinity_are_known() -> None:
    assert {name for name, salt in SALTS.items() if salt.equivalents} == CARBON_ATOMS.keys()
    assert {name for name in CARBON_ATOMS if "C" in name.replace("Ca", "")} == {
        name for name, atoms in CARBON_ATOMS.items() if atoms == 1
    }
    with pytest.raises(ValueError, match="salt 'MgCl2' is not one of NaHCO3, Na2CO3"):
        after_salt(tank(), "MgCl2", ONE_DKH)


@given(salts, st.floats(1.0, 400.0), st.floats(7.8, 8.4))
def test_two_halves_are_one_dose(salt: str, rise: float, ph: float) -> None:
    halves = after_salt(after_salt(tank(ph), salt, rise / 2), salt, rise / 2)
    whole = after_salt(tank(ph), salt, rise)
    assert halves.ph == pytest.approx(whole.ph, abs=1e-9)
    assert halves.aragonite_saturation == pytest.approx(whole.aragonite_saturation, rel=1e-9)
    taken_back = after_salt(whole, salt, -rise)
    assert taken_back.ph == pytest.approx(ph, abs=1e-9)


@given(st.floats(1.0, 400.0), salts, salts)
def test_once_aired_only_the_alkalinity_counts(rise: float, one: str, other: str) -> None:
    found = [after_gas_exchange(after_salt(tank(), salt, rise), 425.0) for salt in (one, other)]
    assert found[0].ph == pytest.approx(found[1].ph, abs=1e-9)
    assert found[0].alkalinity_umol_kg == pytest.approx(8 * ONE_DKH + rise, rel=1e-12)


def test_calcium_comes_with_limewater() -> None:
    before = tank()
    limed, soda = (after_salt(before, salt, ONE_DKH) for salt in ("Ca(OH)2", "NaOH"))
    assert limed.ph == pytest.approx(soda.ph, abs=1e-9)
    ratio = limed.aragonite_saturation / soda.aragonite_saturation
    calcium = float(before.water.calcium_umol_kg)
    assert ratio == pytest.approx((calcium + ONE_DKH / 2) / calcium, rel=1e-9)
    # The water before is left as it was.
    assert float(before.water.calcium_umol_kg) == calcium


def test_calcification_lowers_ph_and_saturation() -> None:
    after = after_salt(tank(), "CaCO3", -ONE_DKH)
    assert after.ph < 8.2
    assert after.aragonite_saturation < tank().aragonite_saturation
    assert after.pco2_uatm > tank().pco2_uatm


def test_carbon_dioxide_lowers_ph_and_keeps_alkalinity() -> None:
    after = after_dose(tank(), 0.0, 100.0)
    assert after.alkalinity_umol_kg == tank().alkalinity_umol_kg
    assert after.ph < 8.2
    assert after.dic_umol_kg == pytest.approx(tank().dic_umol_kg + 100, rel=1e-9)


def test_columns_of_doses_and_blanks() -> None:
    rises = np.array([0.0, ONE_DKH, 1e6])
    before = carbonate_system(np.full(3, 8 * ONE_DKH), 8.2, 35.0, 25.0, ph_scale="nbs")
    after = after_salt(before, "NaHCO3", rises)
    assert after.ph[:2] == pytest.approx([8.2, 8.156], abs=0.001)
    assert np.isnan(after.ph[2])
    assert after_gas_exchange(after, np.array([425.0, 425.0, 425.0])).ph[0] == pytest.approx(
        8.2288, abs=0.001
    )


def test_doses_that_leave_nothing_are_refused() -> None:
    with pytest.raises(ValueError, match=r"^alkalinity .* is outside 100 to 25000"):
        after_dose(tank(), -3000.0, 0.0)
    with pytest.raises(ValueError, match=r"^inorganic carbon after the dose"):
        after_dose(tank(), 0.0, -3000.0)
    with pytest.raises(ValueError, match=r"^calcium after the dose"):
        after_dose(tank(), 0.0, 0.0, -20_000.0)
    with pytest.raises(ValueError, match=r"^pH that results"):
        after_salt(tank(), "Ca(OH)2", 5000.0)
