from __future__ import annotations

import csv
import time
from pathlib import Path

import numpy as np
import PyCO2SYS
import pytest
from hypothesis import Phase, example, given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from journal_tools.science.additives.stoichiometry import alkalinity_umol_kg
from journal_tools.science.carbonates.carbonate import CarbonateSystem, carbonate_system, in_chunks
from journal_tools.science.carbonates.carbonate_constants import (
    BoronSource,
    carbonate_constants,
    total_boron_umol_kg,
)
from journal_tools.science.carbonates.ph_scales import PhScale, convert_ph
from journal_tools.science.validity import FloatArray
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "03 carbonate"
TANK_DKH, TANK_UMOL_KG = 8.0, alkalinity_umol_kg(8.0, 35.0, 25.0)
NATURAL_BORON = total_boron_umol_kg(35.0)


def tank(
    ph_scale: PhScale, ph: float = 8.2, boron_umol_kg: float | None = None
) -> CarbonateSystem[float]:
    """The tank of the table: 8 dKH, 35 psu, 25 °C."""
    return carbonate_system(
        TANK_UMOL_KG, ph, 35.0, 25.0, ph_scale=ph_scale, boron_umol_kg=boron_umol_kg
    )


_CALLS = {
    ("Omega aragonite at alk 8 dKH, pH 8.2 NBS", "as above"):
        lambda: tank("nbs").aragonite_saturation,
    ("pCO2 at alk 8 dKH, pH 8.2 total", "S=35; t=25; TA=2788.1 umol/kg"):
        lambda: tank("total").pco2_uatm,
    ("Omega aragonite at alk 8 dKH, pH 8.2 total", "as above"):
        lambda: tank("total").aragonite_saturation,
    ("Omega aragonite at alk 8 dKH, pH 8.2 seawater", "as above"):
        lambda: tank("seawater").aragonite_saturation,
    ("borate share of alkalinity", "as above"): lambda: tank("nbs").borate_share_percent,
    ("Omega aragonite if borate ignored", "8 dKH; pH NBS 8.2"):
        lambda: tank("nbs", boron_umol_kg=0.0).aragonite_saturation,
    ("compact Guide-2007 solver: pCO2", "TA=2788.1; pH total 8.0; S=35; t=25"):
        lambda: tank("total", 8.0).pco2_uatm,
}  # fmt: skip
CHECKS = {(TOPIC, *key): Check(call) for key, call in _CALLS.items()}

OF_PYCO2SYS: dict[PhScale, int] = {"total": 1, "seawater": 2, "free": 3, "nbs": 4}
CORAL_TANKS = Path(__file__).parents[2] / "reference" / "coral_tanks.csv"

# A failing set of five columns of 60 would be shrunk for minutes.
WITHOUT_SHRINKING = (Phase.explicit, Phase.reuse, Phase.generate)
scales = st.sampled_from(sorted(OF_PYCO2SYS))
alkalinities = st.floats(100.0, 25_000.0)
values = st.floats(5.0, 10.5)
temperatures = st.floats(2.0, 35.0)


def column(elements: st.SearchStrategy[float]) -> st.SearchStrategy[FloatArray]:
    return arrays(float, 60, elements=elements)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


# --- Against the library of the oceanographers, over the whole range


@settings(max_examples=30, deadline=None, phases=WITHOUT_SHRINKING)
@given(
    column(alkalinities), column(values), column(st.floats(19.0, 43.0)), column(temperatures),
    scales, st.sampled_from(["lee2010", "uppstrom1974"]),
)  # fmt: skip
def test_agrees_with_pyco2sys(
    alkalinity: FloatArray,
    ph: FloatArray,
    salinity: FloatArray,
    celsius: FloatArray,
    scale: PhScale,
    boron: BoronSource,
) -> None:
    if scale == "nbs":
        salinity = np.clip(salinity, 20.0, 40.0)
    ours = carbonate_system(
        alkalinity,
        ph,
        salinity,
        celsius,
        ph_scale=scale,
        boron_umol_kg=total_boron_umol_kg(salinity, boron),
    )
    oracle = PyCO2SYS.sys(
        alkalinity,
        ph,
        1,
        3,
        salinity=salinity,
        temperature=celsius,
        opt_pH_scale=OF_PYCO2SYS[scale],
        opt_total_borate=2 if boron == "lee2010" else 1,
    )
    pairs = {
        "pCO2": ours.pco2_uatm,
        "fCO2": ours.fco2_uatm,
        "saturation_aragonite": ours.aragonite_saturation,
        "saturation_calcite": ours.calcite_saturation,
        "dic": ours.dic_umol_kg,
        "HCO3": ours.bicarbonate_umol_kg,
        "CO3": ours.carbonate_umol_kg,
        "CO2": ours.co2_umol_kg,
    }
    # Water without carbonate has no carbonate system: ours is blank, theirs below zero.
    carbonate = oracle["HCO3"] + 2 * oracle["CO3"]
    sure = np.abs(carbonate - 1) > 0.01
    assert np.isnan(ours.pco2_uatm)[sure].tolist() == (carbonate < 1)[sure].tolist()
    # Where nearly nothing is left of the alkalinity, the 5th digit of boron counts.
    much = carbonate > 0.1 * alkalinity
    for name, found in pairs.items():
        assert found[much] == pytest.approx(oracle[name][much], rel=1e-3), name
        assert found[much & (alkalinity > 1000) & (ph < 9)] == pytest.approx(
            oracle[name][much & (alkalinity > 1000) & (ph < 9)], rel=1e-4
        ), name


def test_agrees_with_pyco2sys_for_measured_calcium() -> None:
    for calcium_mg_l in (350.0, 420.0, 480.0):
        ours = carbonate_system(
            2788.1, 8.2, 35.0, 25.0, ph_scale="nbs", calcium_mg_l=calcium_mg_l
        ).aragonite_saturation
        umol_kg = calcium_mg_l / 40.078 * 1000 / 1.0233412
        oracle = PyCO2SYS.sys(
            2788.1, 8.2, 1, 3, salinity=35, temperature=25, opt_pH_scale=4, opt_total_borate=2,
            total_calcium=umol_kg,
        )  # fmt: skip
        assert ours == pytest.approx(float(oracle["saturation_aragonite"]), rel=1e-5)


# --- Against what was measured: tests/reference/coral_tanks.md


def test_agrees_with_measured_coral_tanks() -> None:
    """hputnam/BioMin_HIS (H. M. Putnam and co-workers, 2018), computed there with seacarb."""
    with CORAL_TANKS.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 288
    read = {name: np.array([float(row[name]) for row in rows]) for name in rows[0]}
    ours = carbonate_system(
        read["alkalinity_umol_per_kg"],
        read["ph_total"],
        read["salinity_psu"],
        read["temperature_c"],
        ph_scale="total",
        boron_umol_kg=total_boron_umol_kg(read["salinity_psu"], "uppstrom1974"),
    )
    pairs = {
        "pco2_uatm": (ours.pco2_uatm, 1e-4),
        "aragonite_saturation": (ours.aragonite_saturation, 5e-4),
        "dic_umol_per_kg": (ours.dic_umol_kg, 1e-4),
    }
    for name, (found, tolerance) in pairs.items():
        errors = np.abs(found / read[name] - 1)
        assert np.percentile(errors, 99) < tolerance, name
        assert errors.max() < 1e-3, name


# --- Traps


def test_trap_the_scale_of_ph_is_the_largest_error() -> None:
    """Alkalinity 8 dKH, pH 8.2 shown, computed with PyCO2SYS 1.8.3.4."""
    found = {scale: tank(scale) for scale in OF_PYCO2SYS}
    assert {scale: round(one.pco2_uatm) for scale, one in found.items()} == {
        "total": 310, "seawater": 301, "free": 424, "nbs": 461,
    }  # fmt: skip
    assert {scale: round(one.aragonite_saturation, 2) for scale, one in found.items()} == {
        "total": 5.38, "seawater": 5.46, "free": 4.48, "nbs": 4.26,
    }  # fmt: skip


def test_trap_a_ph_without_its_scale_is_refused() -> None:
    with pytest.raises(TypeError, match="ph_scale"):
        carbonate_system(2788.1, 8.2, 35.0, 25.0)  # type: ignore[call-arg]
    with pytest.raises(ValueError, match="pH scale 'NBS' is not one of nbs, total"):
        carbonate_system(2788.1, 8.2, 35.0, 25.0, ph_scale="NBS")  # type: ignore[arg-type]


def test_trap_alkalinity_per_litre_taken_as_per_kilogram() -> None:
    per_litre = TANK_DKH * 356.65
    wrong = carbonate_system(per_litre, 8.2, 35.0, 25.0, ph_scale="nbs").pco2_uatm
    assert wrong / tank("nbs").pco2_uatm == pytest.approx(1.024, abs=0.002)
    for in_another_unit in (TANK_DKH, 2.85):
        with pytest.raises(ValueError, match=r"^alkalinity .* µmol/kg is outside 100 to 25000"):
            carbonate_system(in_another_unit, 8.2, 35.0, 25.0, ph_scale="nbs")


def test_trap_borate_left_out_or_three_times_as_much() -> None:
    natural = tank("nbs").aragonite_saturation
    without = tank("nbs", boron_umol_kg=0.0).aragonite_saturation
    tripled = tank("nbs", boron_umol_kg=3 * NATURAL_BORON).aragonite_saturation
    assert without / natural == pytest.approx(1.04, abs=0.005)
    assert tripled == pytest.approx(3.95, abs=0.01)
    assert tank("nbs").borate_umol_kg == pytest.approx(98, abs=0.5)


def test_trap_calcium_is_measured_or_natural() -> None:
    def saturation(calcium_mg_l: float | None) -> float:
        return carbonate_system(
            2788.1, 8.2, 35.0, 25.0, ph_scale="nbs", calcium_mg_l=calcium_mg_l
        ).aragonite_saturation

    assert saturation(None) == pytest.approx(saturation(422.0), rel=1e-3)
    assert saturation(400.0) / saturation(440.0) == pytest.approx(400 / 440, rel=1e-12)
    with pytest.raises(ValueError, match=r"^calcium 10\.28 mg/L is outside 20 to 2000 mg/L$"):
        saturation(10.28)  # mmol/kg


def test_trap_a_tenth_of_ph_is_a_third_of_pco2() -> None:
    low, middle, high = (tank("nbs", ph) for ph in (8.1, 8.2, 8.3))
    assert low.pco2_uatm / middle.pco2_uatm == pytest.approx(1.32, abs=0.006)
    assert high.pco2_uatm / middle.pco2_uatm == pytest.approx(0.75, abs=0.006)
    ratios = [one.aragonite_saturation / middle.aragonite_saturation for one in (low, high)]
    assert ratios == pytest.approx([0.83, 1.19], abs=0.006)


def test_trap_a_closed_sample_changes_its_ph_with_temperature() -> None:
    """Closed seawater at 2300/2000 µmol/kg, computed with PyCO2SYS: -0.015 for each °C."""
    warm = PyCO2SYS.sys(
        2300, 2000, 1, 2, salinity=35, temperature=25, temperature_out=26, opt_total_borate=2
    )
    ours = carbonate_system(2300.0, float(warm["pH_out"]), 35.0, 26.0, ph_scale="total")
    assert ours.dic_umol_kg == pytest.approx(2000.0, rel=1e-6)
    assert float(warm["pH_out"] - warm["pH"]) == pytest.approx(-0.015, abs=0.002)


# --- What must always hold


@given(alkalinities, st.floats(5.5, 10.0), st.floats(20.0, 40.0), temperatures, scales)
@example(2300.0, 8.1, 35.0, 25.0, "total")
def test_species_add_up(
    alkalinity: float, ph: float, salinity: float, celsius: float, scale: PhScale
) -> None:
    columns = (np.array([one]) for one in (alkalinity, ph, salinity, celsius))
    found = carbonate_system(*columns, ph_scale=scale)
    if np.isnan(found.pco2_uatm[0]):
        assert ph > 8
        return
    k = carbonate_constants(salinity, celsius)
    total = convert_ph(ph, salinity, celsius, scale, "total")
    hydrogen = 10**-total
    bound = 10 ** -convert_ph(total, salinity, celsius, "total", "seawater")
    water = 1e6 * (float(k.kw) / hydrogen - bound)
    carbon = found.bicarbonate_umol_kg + 2 * found.carbonate_umol_kg
    assert (carbon + found.borate_umol_kg + water)[0] == pytest.approx(alkalinity, rel=1e-9)
    parts = found.co2_umol_kg + found.bicarbonate_umol_kg + found.carbonate_umol_kg
    assert found.dic_umol_kg == pytest.approx(parts, rel=1e-12)
    assert found.ph_total[0] == pytest.approx(total, abs=1e-12)
    assert found.calcite_saturation > found.aragonite_saturation
    assert 0.98 < found.fco2_uatm[0] / found.pco2_uatm[0] < 1


@given(st.floats(1500.0, 6000.0), st.floats(7.0, 8.6), st.floats(19.0, 43.0), temperatures)
def test_more_acid_is_more_gas_and_less_saturation(
    alkalinity: float, ph: float, salinity: float, celsius: float
) -> None:
    one, other = (
        carbonate_system(alkalinity, value, salinity, celsius, ph_scale="total")
        for value in (ph, ph + 0.05)
    )
    assert other.pco2_uatm < one.pco2_uatm
    assert other.dic_umol_kg < one.dic_umol_kg
    assert other.aragonite_saturation > one.aragonite_saturation


def test_array_gives_what_a_loop_gives() -> None:
    rng = np.random.default_rng(3)
    rows = 40_000  # more than one chunk
    columns = (
        rng.uniform(2000, 4500, rows), rng.uniform(7.6, 8.6, rows), rng.uniform(30, 38, rows),
        rng.uniform(20, 30, rows),
    )  # fmt: skip
    calcium = rng.uniform(350, 500, rows)
    whole = carbonate_system(*columns, ph_scale="nbs", calcium_mg_l=calcium)
    for row in (0, 16_383, 16_384, 39_999):
        alone = carbonate_system(
            *(float(one[row]) for one in columns), ph_scale="nbs", calcium_mg_l=float(calcium[row])
        )
        assert isinstance(alone.pco2_uatm, float)
        for name in ("pco2_uatm", "aragonite_saturation", "dic_umol_kg", "ph", "ph_total"):
            assert getattr(whole, name)[row] == pytest.approx(getattr(alone, name), rel=1e-13)


def test_single_numbers_go_with_columns_and_tables() -> None:
    alkalinity = np.array([[2300.0], [2788.1]])
    ph = np.array([7.9, 8.2, 8.3])
    found = carbonate_system(alkalinity, ph, 35.0, 25.0, ph_scale="nbs")
    assert found.pco2_uatm.shape == found.ph.shape == found.alkalinity_umol_kg.shape == (2, 3)
    assert found.pco2_uatm[1, 1] == pytest.approx(tank("nbs").pco2_uatm, rel=1e-4)
    empty = carbonate_system(np.array([]), 8.2, 35.0, 25.0, ph_scale="nbs")
    assert empty.aragonite_saturation.shape == (0,)


def test_chunks_keep_the_order() -> None:
    rows = np.arange(50_001.0)
    [double, constant] = in_chunks(lambda a, b: (a + b, b), rows, np.asarray(5.0))
    assert np.array_equal(double, rows + 5)
    assert np.array_equal(constant, np.full(50_001, 5.0))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"alkalinity_umol_kg": 8.0}, r"^alkalinity 8 µmol/kg is outside"),
        ({"ph": 82.0}, r"^pH 82 is outside"),
        ({"salinity": 15.0}, r"^salinity for pH on NBS 15 psu is outside"),
        ({"temperature_c": 36.0}, r"^temperature 36 °C is outside 2 to 35"),
        ({"calcium_mg_l": 5000.0}, r"^calcium 5000 mg/L is outside"),
        ({"boron_umol_kg": -1.0}, r"^boron -1 µmol/kg is outside"),
        ({"ph": 10.0, "alkalinity_umol_kg": 300.0}, r"^alkalinity left for carbonate -"),
        ({"ph": float("nan")}, r"^pH nan is outside"),
    ],
)
def test_what_is_out_of_range_is_refused(change: dict[str, float], message: str) -> None:
    given = {
        "alkalinity_umol_kg": 2788.1, "ph": 8.2, "salinity": 35.0, "temperature_c": 25.0,
        "calcium_mg_l": 420.0, "boron_umol_kg": 430.0,
    } | change  # fmt: skip
    with pytest.raises(ValueError, match=message):
        carbonate_system(**given, ph_scale="nbs")
    columns = {name: np.array([value, value]) for name, value in given.items()}
    found = carbonate_system(**columns, ph_scale="nbs")
    assert np.isnan(found.aragonite_saturation).all()


def test_a_million_rows_in_two_seconds() -> None:
    rng = np.random.default_rng(1)
    rows = 1_000_000
    columns = [
        rng.uniform(*ends, rows) for ends in ((2e3, 4.5e3), (7.6, 8.6), (30.0, 38.0), (20.0, 30.0))
    ]
    begin_s = time.perf_counter()
    found = carbonate_system(*columns, ph_scale="nbs")
    assert time.perf_counter() - begin_s < 2.0
    assert np.isfinite(found.pco2_uatm).all()
