from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from journal_tools.science.carbonates.carbonate import carbonate_system, checked_contents
from journal_tools.science.carbonates.carbonate_solver import ph_at_pco2, ph_from_dic
from journal_tools.science.carbonates.ph_scales import PhScale
from journal_tools.science.validity import FloatArray

scales: st.SearchStrategy[PhScale] = st.sampled_from(["nbs", "total", "seawater", "free"])


def column(low: float, high: float) -> st.SearchStrategy[FloatArray]:
    return arrays(float, 40, elements=st.floats(low, high))


@given(
    column(100, 25_000), column(5.0, 10.5), column(20, 40), column(2, 35), scales,
)  # fmt: skip
def test_ph_is_found_again(
    alkalinity: FloatArray,
    ph: FloatArray,
    salinity: FloatArray,
    celsius: FloatArray,
    scale: PhScale,
) -> None:
    # Rows from end to end of the range, so that every start is far from some solution.
    alkalinity[0], ph[0], alkalinity[1], ph[1] = 25_000.0, 10.5, 25_000.0, 5.0
    system = carbonate_system(alkalinity, ph, salinity, celsius, ph_scale=scale)
    there = np.isfinite(system.pco2_uatm)
    assert there[:2].all()
    from_dic = ph_from_dic(alkalinity, system.dic_umol_kg, scale, system.water)
    from_gas = ph_at_pco2(alkalinity, system.pco2_uatm, scale, system.water)
    # The outermost pH may come back one rounding outside and then is blank.
    inner = there & (ph > 5.000001) & (ph < 10.499999)
    assert from_dic[inner] == pytest.approx(ph[inner], abs=1e-9)
    assert from_gas[inner] == pytest.approx(ph[inner], abs=1e-9)
    assert np.isnan(from_dic[~there]).all()
    assert np.isnan(from_gas[~there]).all()


@given(st.floats(100.0, 25_000.0), st.floats(0.02, 50.0))
@example(2300.0, 1.0)
def test_alkalinity_rises_with_ph_so_there_is_one_solution(alkalinity: float, ratio: float) -> None:
    water = checked_contents(35.0, 25.0, None, None, "total")
    rows = np.full(3, alkalinity)
    found = ph_from_dic(rows, rows * ratio * np.array([0.999, 1.0, 1.001]), "total", water)
    known = found[np.isfinite(found)]
    assert (np.diff(known) < 0).all()


def test_a_start_on_the_solution_stays_there() -> None:
    system = carbonate_system(2300.0, 8.0, 35.0, 25.0, ph_scale="total")
    found = ph_from_dic(np.asarray(2300.0), np.asarray(system.dic_umol_kg), "total", system.water)
    assert float(found) == pytest.approx(8.0, abs=1e-12)


def test_a_blank_row_is_blank_and_leaves_the_others_alone() -> None:
    water = checked_contents(np.array([35.0, 99.0, 35.0]), 25.0, None, None, "total")
    alkalinity, pco2 = np.array([2300.0, 2300.0, np.nan]), np.array([400.0, 400.0, 400.0])
    found = ph_at_pco2(alkalinity, pco2, "total", water)
    assert np.isnan(found).tolist() == [False, True, True]
    assert 8.0 < found[0] < 8.1


def test_a_ph_that_results_out_of_range_is_refused() -> None:
    water = checked_contents(35.0, 25.0, None, None, "total")
    with pytest.raises(ValueError, match=r"^pH that results .* is outside 5 to 10.5$"):
        ph_from_dic(np.asarray(25_000.0), np.asarray(10.0), "total", water)
    with pytest.raises(ValueError, match="pH that results"):
        ph_at_pco2(np.asarray(100.0), np.asarray(1e6), "total", water)
    assert np.isnan(ph_from_dic(np.array([25_000.0]), np.asarray(10.0), "total", water)).all()
