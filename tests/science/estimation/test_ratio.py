from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.estimation.ratio import calcium_ratio, ratio_interval

positive = st.floats(0.1, 1000.0)


def test_the_interval_of_a_ratio_covers_nine_times_in_ten() -> None:
    rng = np.random.default_rng(1)
    tops, bottoms = rng.normal(10, 1, 4000), rng.normal(5, 1, 4000)
    intervals = (ratio_interval(top, bottom, 1.0, 1.0)
                 for top, bottom in zip(tops, bottoms, strict=True))  # fmt: skip
    covered = np.mean([low <= 2.0 <= high for low, high in intervals])
    assert covered == pytest.approx(0.9, abs=0.015)


@given(positive, positive)
def test_without_errors_there_is_no_interval(top: float, bottom: float) -> None:
    assert ratio_interval(top, bottom) == pytest.approx((top / bottom, top / bottom))


@given(positive, positive, st.floats(0, 0.2), st.floats(0, 0.2))
def test_the_interval_holds_the_ratio(top: float, bottom: float, a: float, b: float) -> None:
    low, high = ratio_interval(top, bottom, top * a, bottom * b)
    assert low <= top / bottom * (1 + 1e-9)
    assert high >= top / bottom * (1 - 1e-9)


def test_small_errors_add_as_squares() -> None:
    low, high = ratio_interval(100.0, 10.0, 0.3, 0.04)
    assert (high - low) / 2 == pytest.approx(1.645 * 10 * math.hypot(0.003, 0.004), rel=1e-3)


def test_a_value_below_the_line_that_may_be_0_leaves_no_upper_end() -> None:
    assert ratio_interval(10.0, 1.0, 0.0, 1.0)[1] == math.inf
    assert ratio_interval(0.0, 1.0, 0.0, 0.1) == (0.0, 0.0)


def test_nothing_above_the_line_is_still_a_ratio() -> None:
    low, high = ratio_interval(0.0, 10.0, 1.0, 0.0)
    assert (low, high) == pytest.approx((0.0, 0.16449), abs=1e-4)


# Calcium carbonate takes 7.147 mg/L of calcium per dKH (IUPAC weights); with magnesium, 6 to 7.2.
@pytest.mark.parametrize(
    ("calcium", "sd", "agrees"),
    [(7.14, 0.0, True), (6.5, 0.0, True), (5.0, 0.0, False), (5.0, 0.8, True), (9.0, 0.5, False),
     (9.0, 1.5, True)],
)  # fmt: skip
def test_calcium_by_alkalinity(calcium: float, sd: float, agrees: bool) -> None:
    found = calcium_ratio(calcium * 1.2, 1.2, sd * 1.2)
    assert found.ratio.value == pytest.approx(calcium)
    assert found.agrees is agrees


@pytest.mark.parametrize("values", [(-1.0, 1.0), (7.0, 0.0), (7.0, -1.0), (math.nan, 1.0)])
def test_a_ratio_without_uptake_is_refused(values: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="outside"):
        calcium_ratio(*values)
