from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from journal_tools.science.validity import as_given, in_range, in_scalar_range

anything = st.floats(allow_nan=True, allow_infinity=True)


def test_a_scalar_outside_is_refused_with_name_value_and_range() -> None:
    with pytest.raises(ValueError, match=r"^salinity 50 psu is outside 0 to 42 psu$"):
        in_range("salinity", 50.0, 0, 42, "psu")


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf")])
def test_what_is_no_number_is_refused(value: float) -> None:
    with pytest.raises(ValueError, match="length"):
        in_scalar_range("length", value, 0, 1)


def test_both_ends_are_inside() -> None:
    assert in_scalar_range("share", 0.0, 0, 1) == 0
    assert in_scalar_range("share", 1.0, 0, 1) == 1


@given(arrays(np.float64, st.integers(1, 20), elements=anything))
def test_an_array_keeps_what_is_inside_and_blanks_the_rest(values: np.ndarray) -> None:
    checked = in_range("x", values, -1.0, 1.0)
    inside = (values >= -1) & (values <= 1)
    assert np.array_equal(checked[inside], values[inside])
    assert np.isnan(checked[~inside]).all()


def test_a_scalar_comes_back_as_a_plain_float() -> None:
    assert type(as_given(np.asarray(1.5), 1.0)) is float
    assert as_given(np.array([1.5]), np.array([1.0])).shape == (1,)
