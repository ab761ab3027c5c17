"""A value with the range that it may well lie in."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with a low and a high bound, all three in one unit.

    Attributes:
        value: Best single figure.
        low: Lowest likely figure.
        high: Highest likely figure.

    Raises:
        ValueError: If the three are not in order.

    >>> Estimate(5.5, 5.0, 6.5).high
    6.5
    """

    value: float
    low: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.value <= self.high:
            raise ValueError(f"estimate {self.low} to {self.high} does not hold {self.value}")
