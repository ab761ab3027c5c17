from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.water.ammonia import un_ionised_ammonia_mg_l
from journal_tools.science.water.ammonia_guidelines import (
    GUIDELINES,
    total_ammonia_at_guideline_mg_l,
)
from tests.science.check_values import Check, Row, assert_agrees, cases

TOPIC = "04 ammonia"
CHRONIC, ACUTE = "epa-1989-chronic", "epa-1989-acute"
_CALLS = {
    ("EPA saltwater CCC (4-day) un-ionised", "as NH3"): lambda: GUIDELINES[CHRONIC].value_mg_l,
    ("EPA saltwater CMC (1-h) un-ionised", "as NH3"): lambda: GUIDELINES[ACUTE].value_mg_l,
    ("EPA CCC on N basis", ""): lambda: GUIDELINES[CHRONIC].nitrogen_mg_l,
    ("TAN equal to EPA CCC", "S=35; t=25; pH NBS 8.2; Whitfield form"):
        lambda: total_ammonia_at_guideline_mg_l(CHRONIC, 8.2, 35.0, 25.0, "nbs"),
}  # fmt: skip
CHECKS = {(TOPIC, *key): Check(call) for key, call in _CALLS.items()}

un_ionised = st.sampled_from(sorted(k for k, g in GUIDELINES.items() if g.form == "un-ionised"))


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_value(row: Row, check: Check) -> None:
    assert_agrees(row, check)


@given(un_ionised, st.floats(7.0, 9.0), st.floats(20.0, 40.0), st.floats(10.0, 32.0))
def test_the_total_at_a_guideline_holds_just_that_much(
    key: str, ph: float, salinity: float, temperature_c: float
) -> None:
    total = total_ammonia_at_guideline_mg_l(key, ph, salinity, temperature_c, "nbs")
    held = un_ionised_ammonia_mg_l(total, ph, salinity, temperature_c, "nbs", "NH3")
    assert held == pytest.approx(GUIDELINES[key].value_mg_l)


def test_every_recalled_figure_says_so() -> None:
    for guideline in GUIDELINES.values():
        told = "memory" in guideline.source or "common practice, no source" in guideline.source
        assert told == guideline.recalled


def test_the_bases_are_kept_apart() -> None:
    assert GUIDELINES[ACUTE].nitrogen_mg_l == pytest.approx(0.192, abs=5e-4)
    assert GUIDELINES["anzecc-2000"].nitrogen_mg_l == GUIDELINES["anzecc-2000"].value_mg_l


def test_a_guideline_for_total_ammonia_is_not_divided_again() -> None:
    with pytest.raises(ValueError, match="'anzecc-2000' is already for total ammonia"):
        total_ammonia_at_guideline_mg_l("anzecc-2000", 8.2, 35.0, 25.0, "nbs")
    with pytest.raises(ValueError, match="guideline 'safe' is not one of epa-1989-chronic"):
        total_ammonia_at_guideline_mg_l("safe", 8.2, 35.0, 25.0, "nbs")


def test_arrays() -> None:
    found = total_ammonia_at_guideline_mg_l(CHRONIC, np.array([8.0, 8.2, 20.0]), 35.0, 25.0, "nbs")
    assert found[0] > found[1]
    assert np.isnan(found[2])
