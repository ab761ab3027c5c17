import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.estimate import Estimate


@pytest.mark.parametrize("figures", [(1, 2, 3), (3, 1, 2), (float("nan"), 0, 1)])
def test_a_value_outside_its_range_is_refused(figures: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="does not hold"):
        Estimate(*figures)


@given(st.lists(st.floats(-1e6, 1e6), min_size=3, max_size=3).map(sorted))
def test_figures_in_order_are_kept(figures: list[float]) -> None:
    low, value, high = figures
    estimate = Estimate(value, low, high)
    assert (estimate.low, estimate.value, estimate.high) == (low, value, high)
