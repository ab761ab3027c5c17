"""The mass balance of one dissolved substance between two tests.

Between events the tank takes up (or makes) the substance at a constant rate ``u``; a dose adds a
known rise; a change of the share ``f`` mixes with new water of known concentration::

    C(t) = a C0 + b u + d,     start a = 1, b = d = 0
    over h days   b = b - h
    at a dose     d = d + rise
    at a change   a, b, d times (1 - f), then d = d + f C_new

so that ``u`` follows from two tests and everything in between.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Event:
    """A dose or a water change inside an interval.

    Attributes:
        day: When, in days from any fixed moment.
        kind: ``dose`` or ``change``.
        amount: Rise of concentration by the dose, or share ``f`` (0 to 1) of water changed.
        fresh: Concentration of the new water; only for a change.
    """

    day: float
    kind: Literal["dose", "change"]
    amount: float
    fresh: float = 0.0


@dataclass(frozen=True, slots=True)
class Transition:
    """How a concentration goes over an interval: ``C1 = a C0 + b u + d``."""

    a: float
    b: float
    d: float

    def rate(self, before: float, after: float) -> float:
        """Give the uptake per day that explains two tests, in their unit per day."""
        return (self.a * before + self.d - after) / -self.b

    def rate_error(self, error_before: float, error_after: float) -> float:
        """Give one standard deviation of :meth:`rate` from those of the two tests."""
        variance = (self.a * error_before) ** 2 + error_after**2
        return float(variance**0.5) / -self.b


def transition(start_day: float, end_day: float, events: Iterable[Event]) -> Transition:
    """Give the transition over an interval.

    Args:
        start_day: Moment of the first test, in days.
        end_day: Moment of the second, later than the first.
        events: What lies after the first test and not after the second, in order of time.

    Raises:
        ValueError: If the interval has no length or an event lies outside it.

    Source:
        Mass balance of a stirred tank; batch dilution as in any chemical engineering text.

    >>> no_change = transition(0, 2, [Event(1, "dose", 1.0)])
    >>> no_change.rate(8.0, 8.2)
    0.40000000000000036
    """
    if end_day <= start_day:
        raise ValueError(f"interval from day {start_day:g} to {end_day:g} has no length")
    a, b, d, now = 1.0, 0.0, 0.0, start_day
    for event in events:
        if not now <= event.day <= end_day:
            raise ValueError(f"event on day {event.day:g} is outside the interval or out of order")
        b, now = b - (event.day - now), event.day
        if event.kind == "dose":
            d += event.amount
        else:
            kept = 1 - event.amount
            a, b, d = a * kept, b * kept, d * kept + event.amount * event.fresh
    return Transition(a, b - (end_day - now), d)
