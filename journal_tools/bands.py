"""Whether a reading lies in its target band: one rule for every page and chart."""

from __future__ import annotations

# 82.4 °F are 28 °C, but not to the last bit.
_ROUNDING = 1e-9


def holds(low: float | None, high: float | None, value: float, censored: str = "") -> bool | None:
    """Tell whether a reading lies in a band; None where a "below" or "above" cannot tell.

    Args:
        low: Low end of the band, None if open.
        high: High end, None if open, in the same unit.
        value: The reading, or the limit that a test could only name.
        censored: ``below`` or ``above`` for such a limit, else empty.

    >>> holds(None, 50, 50), holds(None, 50, 50, "above"), holds(0.02, 0.1, 0.2, "below")
    (True, False, None)
    """
    slack = _ROUNDING * max(1.0, abs(value))
    bottom = float("-inf") if low is None else low
    top = float("inf") if high is None else high
    if censored == "below":
        # A quantity below a test's limit may still be 0, which a low bound of 0 allows.
        return (
            False if value <= bottom else (True if bottom <= 0 and value <= top + slack else None)
        )
    if censored == "above":
        return False if value >= top else (True if high is None and value >= bottom else None)
    return bottom - slack <= value <= top + slack
