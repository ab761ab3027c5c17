from __future__ import annotations

import itertools
from functools import partial

import numpy as np
import PyCO2SYS
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from journal_tools.science.additives.stoichiometry import alkalinity_umol_kg
from journal_tools.science.carbonates.carbonate import carbonate_system
from journal_tools.science.carbonates.carbonate_equilibrium import (
    carbonate_system_at_pco2,
    carbonate_system_from_dic,
    dic_at_pco2_umol_kg,
    equilibrium_ph,
    equilibrium_ph_in_air,
    pco2_of_air_uatm,
    water_vapour_pressure_atm,
)
from journal_tools.science.carbonates.ph_scales import PhScale
from journal_tools.science.validity import FloatArray
from tests.science.check_values import Check, Key, Row, assert_agrees, cases, read_rows

TOPIC = "03 carbonate"


def balanced_ph(dkh: float, pco2_uatm: float, scale: PhScale) -> float:
    return equilibrium_ph(alkalinity_umol_kg(dkh, 35.0, 25.0), pco2_uatm, 35.0, 25.0, scale)


def _equilibria() -> dict[Key, Check]:
    """Every row of the table on a grid of alkalinity, carbon dioxide and scale."""
    names: dict[str, PhScale] = {"NBS": "nbs", "total": "total"}
    present = {row.key for row in read_rows()}
    checks = {
        (TOPIC, f"equilibrium pH {name}", f"alk={dkh} dKH; pCO2={pco2} uatm; S=35; t=25"): Check(
            partial(balanced_ph, dkh, pco2, scale)
        )
        for dkh, pco2, (name, scale) in itertools.product(range(7, 12), (425, 1000), names.items())
    }
    return {key: check for key, check in checks.items() if key in present}


CHECKS = _equilibria() | {
    (TOPIC, "water vapour pressure over seawater", "S=35; t=25"): Check(
        lambda: water_vapour_pressure_atm(35.0, 25.0)
    )
}

scales: st.SearchStrategy[PhScale] = st.sampled_from(["total", "seawater", "free", "nbs"])
OF_PYCO2SYS: dict[PhScale, int] = {"total": 1, "seawater": 2, "free": 3, "nbs": 4}


def column(low: float, high: float) -> st.SearchStrategy[FloatArray]:
    return arrays(float, 50, elements=st.floats(low, high))


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


def test_all_equilibria_of_the_table_are_checked() -> None:
    of_table = {row.key for row in read_rows() if row.key[1].startswith("equilibrium pH")}
    assert len(of_table) == 14
    assert of_table <= CHECKS.keys()


@settings(max_examples=10, deadline=None)
@given(column(1000, 10_000), column(100, 20_000), column(20, 40), column(2, 35), scales)
def test_balance_with_gas_agrees_with_pyco2sys(
    alkalinity: FloatArray, pco2: FloatArray, salinity: FloatArray, celsius: FloatArray,
    scale: PhScale,
) -> None:  # fmt: skip
    ours = carbonate_system_at_pco2(alkalinity, pco2, salinity, celsius, ph_scale=scale)
    oracle = PyCO2SYS.sys(
        alkalinity, pco2, 1, 4, salinity=salinity, temperature=celsius,
        opt_pH_scale=OF_PYCO2SYS[scale], opt_total_borate=2,
    )  # fmt: skip
    assert ours.ph == pytest.approx(oracle["pH"], abs=1e-6)
    assert ours.dic_umol_kg == pytest.approx(oracle["dic"], rel=1e-5)
    assert ours.aragonite_saturation == pytest.approx(oracle["saturation_aragonite"], rel=1e-5)
    assert ours.pco2_uatm == pytest.approx(pco2, rel=1e-9)


@settings(max_examples=10, deadline=None)
@given(column(1000, 10_000), column(0.6, 1.3), column(20, 40), column(2, 35), scales)
def test_total_carbon_agrees_with_pyco2sys(
    alkalinity: FloatArray, ratio: FloatArray, salinity: FloatArray, celsius: FloatArray,
    scale: PhScale,
) -> None:  # fmt: skip
    dic = alkalinity * ratio
    ours = carbonate_system_from_dic(alkalinity, dic, salinity, celsius, ph_scale=scale)
    oracle = PyCO2SYS.sys(
        alkalinity, dic, 1, 2, salinity=salinity, temperature=celsius,
        opt_pH_scale=OF_PYCO2SYS[scale], opt_total_borate=2,
    )  # fmt: skip
    assert ours.ph == pytest.approx(oracle["pH"], abs=1e-6)
    assert ours.pco2_uatm == pytest.approx(oracle["pCO2"], rel=1e-4)
    assert ours.dic_umol_kg == pytest.approx(dic, rel=1e-9)


@given(st.floats(1500.0, 6000.0), st.floats(100.0, 5000.0), st.floats(19.0, 43.0), scales)
def test_more_gas_is_less_ph_and_more_alkalinity_is_more(
    alkalinity: float, pco2: float, salinity: float, scale: PhScale
) -> None:
    salinity = min(max(salinity, 20.0), 40.0)
    middle = equilibrium_ph(alkalinity, pco2, salinity, 25.0, scale)
    assert equilibrium_ph(alkalinity, pco2 * 1.1, salinity, 25.0, scale) < middle
    assert equilibrium_ph(alkalinity * 1.1, pco2, salinity, 25.0, scale) > middle
    one, other = (dic_at_pco2_umol_kg(alkalinity, gas, salinity, 25.0) for gas in (pco2, pco2 + 50))
    assert one < other


def test_trap_room_air_moves_ph_more_than_alkalinity_does() -> None:
    by_room = balanced_ph(8, 425, "nbs") - balanced_ph(8, 1000, "nbs")
    by_alkalinity = balanced_ph(9, 425, "nbs") - balanced_ph(8, 425, "nbs")
    assert by_room == pytest.approx(0.31, abs=0.01)
    assert by_alkalinity == pytest.approx(0.045, abs=0.005)


def test_trap_aeration_does_not_change_alkalinity() -> None:
    room, outside = (
        carbonate_system_at_pco2(2788.1, pco2, 35.0, 25.0, ph_scale="nbs")
        for pco2 in (1000.0, 425.0)
    )
    assert room.alkalinity_umol_kg == outside.alkalinity_umol_kg == 2788.1
    assert outside.ph - room.ph == pytest.approx(0.31, abs=0.01)
    assert (room.dic_umol_kg, outside.dic_umol_kg) == pytest.approx((2599, 2407), abs=1)
    assert room.aragonite_saturation == pytest.approx(2.49, abs=0.01)
    assert outside.aragonite_saturation == pytest.approx(4.48, abs=0.01)


def test_trap_ppm_of_a_meter_is_not_uatm_at_the_water() -> None:
    assert pco2_of_air_uatm(425.0, 35.0, 25.0) == pytest.approx(412, abs=0.1)
    moist = equilibrium_ph_in_air(2788.1, 425.0, 35.0, 25.0, "nbs")
    assert moist - equilibrium_ph(2788.1, 425.0, 35.0, 25.0, "nbs") == pytest.approx(
        0.011, abs=0.002
    )


def test_air_of_a_mountain_holds_less_carbon_dioxide() -> None:
    sea, hill = (pco2_of_air_uatm(425.0, 35.0, 25.0, pressure) for pressure in (1013.25, 900.0))
    assert hill / sea == pytest.approx((900 / 1013.25 - 0.03066) / (1 - 0.03066), abs=1e-5)
    assert equilibrium_ph_in_air(2788.1, 425.0, 35.0, 25.0, "nbs", 900.0) > equilibrium_ph_in_air(
        2788.1, 425.0, 35.0, 25.0, "nbs"
    )
    for pressure in (1.0, 101.325, 760.0 * 133):  # atm, kPa, Pa
        with pytest.raises(ValueError, match=r"^air pressure .* hPa is outside 600 to 1100 hPa$"):
            pco2_of_air_uatm(425.0, 35.0, 25.0, pressure)


@given(st.floats(0.0, 40.0), st.floats(0.0, 39.0))
def test_vapour_grows_with_warmth_and_shrinks_with_salt(salinity: float, celsius: float) -> None:
    here = water_vapour_pressure_atm(salinity, celsius)
    assert water_vapour_pressure_atm(salinity, celsius + 1.0) > 1.05 * here
    assert here == pytest.approx(
        water_vapour_pressure_atm(0.0, celsius) * np.exp(-0.000544 * salinity), rel=1e-12
    )


def test_array_gives_what_a_loop_gives() -> None:
    gas = np.array([400.0, 1000.0, np.nan, 5e6])
    columns = equilibrium_ph(np.full(4, 2788.1), gas, 35.0, 25.0, "nbs")
    assert columns[:2].tolist() == [
        equilibrium_ph(2788.1, one, 35.0, 25.0, "nbs") for one in (400.0, 1000.0)
    ]
    assert np.isnan(columns[2:]).all()
    in_air = equilibrium_ph_in_air(np.full(2, 2788.1), gas[:2], 35.0, 25.0, "nbs")
    assert in_air.tolist() == [
        equilibrium_ph_in_air(2788.1, one, 35.0, 25.0, "nbs") for one in (400.0, 1000.0)
    ]


def test_measured_contents_are_used() -> None:
    found = carbonate_system_at_pco2(
        2788.1, 425.0, 35.0, 25.0, ph_scale="nbs", calcium_mg_l=380.0, boron_umol_kg=1300.0
    )
    same = carbonate_system(
        2788.1, found.ph, 35.0, 25.0, ph_scale="nbs", calcium_mg_l=380.0, boron_umol_kg=1300.0
    )
    assert same.pco2_uatm == pytest.approx(425.0, rel=1e-9)
    assert same.aragonite_saturation == pytest.approx(found.aragonite_saturation, rel=1e-9)
    again = carbonate_system_from_dic(
        2788.1, found.dic_umol_kg, 35.0, 25.0, ph_scale="nbs", boron_umol_kg=1300.0
    )
    assert again.ph == pytest.approx(found.ph, abs=1e-9)


@pytest.mark.parametrize("pco2", [0.0, 0.04, 2e6, float("nan")])
def test_gas_out_of_range_is_refused(pco2: float) -> None:
    with pytest.raises(ValueError, match=r"^carbon dioxide .* µatm is outside 1 to 1e"):
        equilibrium_ph(2788.1, pco2, 35.0, 25.0, "total")
    with pytest.raises(ValueError, match=r"^inorganic carbon .* µmol/kg is outside 10 to 50000"):
        carbonate_system_from_dic(2788.1, 2.4, 35.0, 25.0, ph_scale="total")  # mmol/kg
