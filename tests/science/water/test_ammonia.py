from __future__ import annotations

from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.water.ammonia import (
    MODELS,
    ammonia_mg_l,
    ammonia_nitrogen_mg_l,
    pka_clegg_whitfield,
    pka_emerson_freshwater,
    pka_epa_1989,
    pka_whitfield,
    un_ionised_ammonia_mg_l,
    un_ionised_share,
    un_ionised_share_estimate,
)
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "04 ammonia"
_BOWER = "un-ionised NH3 share (pH NBS)"


def _freshwater_share(ph: float, temperature_c: float) -> float:
    return 1 / (1 + 10 ** (pka_emerson_freshwater(temperature_c) - ph))


def _percent(ph: float, temperature_c: float) -> float:
    return 100 * un_ionised_share(ph, 34.0, temperature_c, "nbs")


_CALLS = {
    ("pKa NH4+ Whitfield-form (FDEP SOP)", "S=34; t=25"): lambda: pka_whitfield(34.0, 25.0),
    ("un-ionised share EPA-1989 form", "S=35; t=25; pH 8.2"):
        lambda: 100 * un_ionised_share(8.2, 35.0, 25.0, "nbs", "epa-1989"),
    ("WRONG value if pH NBS 8.2 is used as total", "S=35; t=25"):
        lambda: 100 * un_ionised_share(8.2, 35.0, 25.0, "total"),
    ("pKa NH4+ freshwater Emerson et al. 1975", "t=25"): lambda: pka_emerson_freshwater(25.0),
    ("WRONG value with freshwater pKa", "t=25; pH 8.2"):
        lambda: 100 * _freshwater_share(8.2, 25.0),
}  # fmt: skip
CHECKS = {(TOPIC, *key): Check(call) for key, call in _CALLS.items()} | {
    (TOPIC, _BOWER, f"S=34 (32-40 band, I=0.701); t={t}; pH={ph}"): Check(
        partial(_percent, ph, float(t))
    )
    for t, ph in ((25, 8.2), (25, 8.4), (25, 7.5), (20, 8.0), (20, 8.2), (10, 8.0))
}

phs = st.floats(7.0, 9.0)
salinities = st.floats(20.0, 40.0)
temperatures = st.floats(10.0, 32.0)


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


# k_ammonia of PyCO2SYS 1.8.3.4, total scale, per kg of seawater.
@pytest.mark.parametrize(
    ("salinity", "temperature_c", "pka"),
    [
        (35, 25, 9.245847095),
        (35, 20, 9.418810513),
        (30, 25, 9.237272709),
        (38, 28, 9.149073506),
        (20, 15, 9.565538258),
        (35, 5, 9.964514832),
    ],
)
def test_clegg_whitfield_against_a_library(salinity: int, temperature_c: int, pka: float) -> None:
    assert pka_clegg_whitfield(float(salinity), temperature_c) == pytest.approx(pka, abs=1e-8)


def test_one_more_value_of_bower_and_bidwell() -> None:
    # Bower & Bidwell 1978, second-hand: 4.28 % at 25 °C and pH 8.0.
    assert 100 * un_ionised_share(8.0, 34.0, 25.0, "nbs") == pytest.approx(4.28, abs=0.06)


def test_a_buffer_calibrated_ph_must_not_be_used_as_total() -> None:
    wrong = un_ionised_share(8.2, 35.0, 25.0, "total")
    right = un_ionised_share(8.2 - 0.137, 35.0, 25.0, "total")
    assert wrong / right == pytest.approx(1.34, abs=0.01)
    with pytest.raises(
        ValueError, match=r"'clegg-whitfield' is for pH on the total scale, not nbs"
    ):
        un_ionised_share(8.2, 35.0, 25.0, "nbs", "clegg-whitfield")
    with pytest.raises(ValueError, match=r"'whitfield' is for pH on the nbs scale, not total"):
        un_ionised_share(8.06, 35.0, 25.0, "total", "whitfield")


def test_the_scale_of_the_ph_must_be_named() -> None:
    with pytest.raises(TypeError, match="ph_scale"):
        un_ionised_share(8.2, 35.0, 25.0)  # type: ignore[call-arg]
    with pytest.raises(ValueError, match=r"pH scale 'free' is not one of nbs, total"):
        un_ionised_share(8.2, 35.0, 25.0, "free")


def test_the_freshwater_constant_overstates_by_a_quarter() -> None:
    right = un_ionised_share(8.2, 35.0, 25.0, "nbs")
    assert _freshwater_share(8.2, 25.0) / right == pytest.approx(1.25, abs=0.01)
    assert "emerson" not in " ".join(MODELS)
    with pytest.raises(ValueError, match=r"ammonia model 'emerson' is not one of whitfield"):
        un_ionised_share(8.2, 35.0, 25.0, "nbs", "emerson")


def test_a_tenth_of_ph_is_a_quarter_and_a_degree_seven_percent() -> None:
    at = un_ionised_share(8.2, 35.0, 25.0, "nbs")
    assert un_ionised_share(8.3, 35.0, 25.0, "nbs") / at == pytest.approx(1.24, abs=0.01)
    assert un_ionised_share(8.2, 35.0, 26.0, "nbs") / at == pytest.approx(1.07, abs=0.005)


def test_the_models_spread_by_seven_percent() -> None:
    found = un_ionised_share_estimate(8.2, 35.0, 25.0)
    shares = [100 * share for share in (found.low, found.value, found.high)]
    assert shares == pytest.approx([6.16, 6.58, 6.99], abs=0.01)


@given(st.floats(7.0, 9.0), salinities, temperatures, st.floats(0.0, 0.2))
def test_an_unsure_ph_widens_the_spread(
    ph: float, salinity: float, temperature_c: float, error: float
) -> None:
    narrow = un_ionised_share_estimate(ph, salinity, temperature_c)
    wide = un_ionised_share_estimate(ph, salinity, temperature_c, error)
    assert 0 < wide.low <= narrow.low <= narrow.value == wide.value <= narrow.high <= wide.high < 1


# The basis trap: a kit's "NH3" is total ammonia in another mass unit.
def test_nh3_of_a_kit_is_total_ammonia_and_not_the_un_ionised_part() -> None:
    total_n = ammonia_nitrogen_mg_l(1.0, "NH3")
    assert total_n == pytest.approx(1 / 1.21588, abs=1e-5)
    un_ionised = un_ionised_ammonia_mg_l(total_n, 8.2, 35.0, 25.0, "nbs", "NH3")
    assert un_ionised == pytest.approx(un_ionised_share(8.2, 35.0, 25.0, "nbs"))
    assert un_ionised < 0.07


def test_the_three_bases() -> None:
    # Factors of molmass 2026.1.8.
    assert ammonia_mg_l(1.0, "NH3") == pytest.approx(1.21588, abs=1e-4)
    assert ammonia_mg_l(1.0, "NH4") == pytest.approx(1.28785, abs=1e-4)
    assert ammonia_mg_l(1.0, "N") == 1
    with pytest.raises(ValueError, match="ammonia basis 'TAN' is not one of N, NH3, NH4"):
        ammonia_mg_l(1.0, "TAN")  # type: ignore[arg-type]


@given(st.floats(0.0, 500.0), st.sampled_from(["N", "NH3", "NH4"]))
def test_a_basis_and_back(nitrogen: float, basis: str) -> None:
    shown = ammonia_mg_l(nitrogen, basis)  # type: ignore[arg-type]
    assert ammonia_nitrogen_mg_l(shown, basis) == pytest.approx(nitrogen)  # type: ignore[arg-type]


@given(st.floats(0.0, 20.0), phs, salinities, temperatures)
def test_un_ionised_is_a_part_of_the_total(
    total: float, ph: float, salinity: float, temperature_c: float
) -> None:
    part = un_ionised_ammonia_mg_l(total, ph, salinity, temperature_c, "nbs", "N")
    assert 0 <= part <= total
    as_nh3 = un_ionised_ammonia_mg_l(total, ph, salinity, temperature_c, "nbs", "NH3")
    assert as_nh3 == pytest.approx(ammonia_mg_l(part, "NH3"))


@given(phs, st.floats(20.0, 39.0), st.floats(5.0, 33.0), st.sampled_from(sorted(MODELS)))
def test_more_with_ph_and_warmth_and_less_with_salt(
    ph: float, salinity: float, temperature_c: float, name: str
) -> None:
    scale = MODELS[name].ph_scale
    at = un_ionised_share(ph, salinity, temperature_c, scale, name)
    assert 0 < at < 1
    assert un_ionised_share(ph + 0.1, salinity, temperature_c, scale, name) > at
    assert un_ionised_share(ph, salinity, temperature_c + 1, scale, name) > at
    assert un_ionised_share(ph, salinity + 1, temperature_c, scale, name) < at


@given(st.lists(st.tuples(phs, salinities, temperatures), min_size=1, max_size=5))
def test_an_array_is_a_loop(points: list[tuple[float, float, float]]) -> None:
    ph, salinity, temperature_c = (np.array(column) for column in zip(*points, strict=True))
    together = un_ionised_share(ph, salinity, temperature_c, "nbs")
    assert together == pytest.approx([un_ionised_share(*point, "nbs") for point in points])


def test_outside_is_refused_or_blank() -> None:
    with pytest.raises(ValueError, match="pH 82 is outside 6 to 10"):
        un_ionised_share(82.0, 35.0, 25.0, "nbs")
    with pytest.raises(ValueError, match=r"salinity 1\.025 psu is outside 5 to 40 psu"):
        un_ionised_share(8.2, 1.025, 25.0, "nbs")
    with pytest.raises(ValueError, match="temperature 78 °C"):
        pka_epa_1989(35.0, 78.0)
    found = un_ionised_share(np.array([8.2, np.nan, 14.0]), 35.0, 25.0, "nbs")
    assert list(np.isnan(found)) == [False, True, True]
