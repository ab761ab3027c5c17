"""The invented animals that grow: how wide a colony is on a day, and what its skeleton takes.

Growth is logistic; a skeleton takes alkalinity in proportion to the ground that it covers. The
constants are chosen so that the demand of the whole tank runs from 0.1 to 1.2 dKH/day.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

from tests.demo.scene import Coral, CoralKind

CALCIFICATION_DKH_DAY_CM2 = 0.00165
"""Alkalinity that 1 cm² of stony coral takes from this tank in a day, in dKH."""

MISTAKE_DAY = dt.date(2026, 5, 15)
_HEAT_DAYS = (dt.date(2026, 7, 3), dt.date(2026, 7, 12))


@dataclass(frozen=True)
class Colony:
    """One coral of the journal.

    Attributes:
        name: as the entries call it.
        kind: how it is drawn.
        added: the day on which it came.
        first_cm: width on that day.
        full_cm: width that it tends to.
        rate_day: logistic growth rate per day.
        stony: whether it builds a skeleton.
        x: place along the tank, 0 to 1.
        perch: 0 on top of the rock, 1 at its foot.
        colour: for drawing.
    """

    name: str
    kind: CoralKind
    added: dt.date
    first_cm: float
    full_cm: float
    rate_day: float
    stony: bool
    x: float
    perch: float
    colour: str

    def width_cm(self, day: dt.date) -> float:
        """Give the width in cm, 0 before it came."""
        age = (day - self.added).days
        if age < 0:
            return 0.0
        return self.full_cm / (
            1 + (self.full_cm / self.first_cm - 1) * math.exp(-self.rate_day * age)
        )

    def drawn(self, day: dt.date) -> Coral:
        """Give the coral as the picture of a day shows it."""
        size = min(1.0, 0.08 + 0.92 * (self.width_cm(day) / self.full_cm))
        health = health_of_stony(day) if self.stony else 1.0
        return Coral(self.kind, self.x, size, self.colour, health, self.perch)


def _on(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


COLONIES = (
    Colony("mushroom coral", "mushroom", _on("2025-12-13"), 4, 13, 0.010, False, 0.16, 0.8, "rust"),
    Colony("green zoanthids", "zoanthid mat", _on("2025-12-13"), 4, 16, 0.011, False, 0.34, 0.7,
           "lime"),
    Colony("toadstool leather", "leather", _on("2026-01-04"), 6, 15, 0.009, False, 0.80, 0.1,
           "bone"),
    Colony("anchor polyp", "anchor polyp", _on("2026-01-24"), 5, 15, 0.0085, True, 0.66, 0.75,
           "teal"),
    Colony("pink branching frag", "branching stony", _on("2026-02-28"), 2.5, 13, 0.0105, True, 0.26,
           0.0, "rose"),
    Colony("green branching frag", "branching stony", _on("2026-02-28"), 3, 13, 0.0105, True, 0.88,
           0.0, "green"),
    Colony("orange plate", "plating", _on("2026-03-21"), 3, 16, 0.0105, True, 0.55, 0.3, "coral"),
    Colony("orange zoanthids", "zoanthid mat", _on("2026-03-21"), 3, 13, 0.011, False, 0.72, 0.9,
           "orange"),
    Colony("mauve frag", "branching stony", _on("2026-04-18"), 2.5, 12, 0.0110, True, 0.46,
           0.0, "mauve"),
    Colony("second anchor polyp", "anchor polyp", _on("2026-06-27"), 5, 14, 0.0090, True, 0.08, 0.9,
           "lime"),
    Colony("brown plate", "plating", _on("2026-09-12"), 4, 14, 0.0110, True, 0.94, 0.5, "gold"),
)  # fmt: skip


def health_of_stony(day: dt.date) -> float:
    """Give how well stony corals do, 1 well: worse after the overdose and in the heat."""
    health = 1.0
    if day > MISTAKE_DAY:
        health = min(health, 0.55 + 0.45 * (day - MISTAKE_DAY).days / 35)
    if _HEAT_DAYS[0] <= day <= _HEAT_DAYS[1] + dt.timedelta(days=14):
        health = min(health, 0.75)
    return health


def alkalinity_demand_dkh_day(day: dt.date) -> float:
    """Give the true daily demand of the whole tank in dKH: crusts, snails and stony corals."""
    wet_days = (day - dt.date(2025, 9, 27)).days
    crust = 0.09 * (1 - math.exp(-max(0, wet_days - 30) / 120)) + 0.02
    area = sum(math.pi / 4 * c.width_cm(day) ** 2 for c in COLONIES if c.stony)
    return crust + CALCIFICATION_DKH_DAY_CM2 * area * health_of_stony(day)
