"""One verdict for a reading against its band, wherever it is shown."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.bands import holds

HUNDREDTHS = st.integers(0, 10_000).map(lambda n: n / 100)


@pytest.mark.parametrize(
    ("low", "high", "value", "censored", "verdict"),
    [
        (7.5, 9.0, 7.5, "", True),
        (7.5, 9.0, 9.1, "", False),
        (24.0, 28.0, (82.4 - 32) * 5 / 9, "", True),  # 82.4 °F are 28 °C (NIST SP 811, B.9)
        (None, 50.0, 50.0, "above", False),
        (None, 50.0, 20.0, "above", None),
        (5.5, None, 6.0, "above", True),
        (0.02, 0.10, 0.2, "below", None),
        (0.02, 0.10, 0.02, "below", False),
        (None, 0.1, 0.05, "below", True),
    ],
)
def test_verdicts(
    low: float | None, high: float | None, value: float, censored: str, verdict: bool | None
) -> None:
    assert holds(low, high, value, censored) is verdict


@given(HUNDREDTHS, HUNDREDTHS, HUNDREDTHS, st.sampled_from([0.0, 0.5, 0.9]))
def test_a_limit_never_contradicts_what_it_allows(
    a: float, b: float, limit: float, share: float
) -> None:
    """If "below x" is surely in (or out), so is every value below x."""
    low, high = sorted((a, b))
    verdict = holds(low, high, limit, "below")
    if verdict is not None and limit * share < limit:
        assert holds(low, high, limit * share) is verdict
