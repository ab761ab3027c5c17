"""The truth behind the demo journal: a mass balance of an invented tank, step by step.

What goes in is what the entries say (doses, plans, water changes) and what grows; nothing is
added that the log does not tell. ``truth`` gives the values before test noise.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from functools import cache

import pandas as pd

from tests.demo.colonies import alkalinity_demand_dkh_day
from tests.demo.happenings import Change, Dose, Happening, happenings
from tests.demo.room import carbon_dioxide_ppm, evaporation_l_day, water_temperature_c
from tests.demo.story import told

NET_VOLUME_L = 286.0
FILLED = dt.datetime(2025, 9, 27, 18)
LAST_DAY = dt.date(2026, 11, 22)
FRESH = {
    "salinity": 35.0, "alkalinity": 7.8, "calcium": 425.0, "magnesium": 1320.0, "nitrate": 0.0,
    "phosphate": 0.0,
}  # fmt: skip
"""What a fresh batch of the invented salt holds."""

DKH_PER_MEQ_L = 2.8038691  # 1 dKH = 10 mg/L CaO (DIN 38409-7)
_MOLAR_G = {"NaHCO3": 84.0066, "Na2CO3": 105.988, "CaCl2·2H2O": 147.0144, "MgCl2·6H2O": 203.3009}
_LEFT_BEHIND = {"NaHCO3": 0.631, "Na2CO3": 1.0, "CaCl2·2H2O": 0.755, "MgCl2·6H2O": 0.468}
"""Share of each salt that counts as salinity: without crystal water, as carbonate."""

_CA_G_MOL, _MG_G_MOL = 40.078, 24.305
CALCIUM_MG_L_PER_DKH = _CA_G_MOL / 2 / DKH_PER_MEQ_L
MAGNESIUM_PER_CALCIUM = 0.09
"""Magnesium taken with each mg of calcium, in mg: crusts take more than corals. Invented."""

_SKIMMATE_L_DAY = 0.06
_FLOAT_STUCK = (dt.datetime(2026, 4, 8, 20), dt.datetime(2026, 4, 11, 11))
"""When a snail held the top-off float up."""

STRENGTHS_G_L = {
    "alk mix": ("NaHCO3", 80.0),
    "soda mix": ("Na2CO3", 100.0),
    "calcium mix": ("CaCl2·2H2O", 140.0),
    "magnesium mix": ("MgCl2·6H2O", 200.0),
}
"""Salt and strength of each home-made solution, as the profile describes it."""

_AMMONIA_MG_N_PER_ML = 57.2
_FOODS_UNDER_WAY = dt.date(2025, 11, 22)


@dataclass
class Water:
    """The state of the water, each amount as its concentration in the full system."""

    alkalinity: float = FRESH["alkalinity"]
    calcium: float = FRESH["calcium"]
    magnesium: float = FRESH["magnesium"]
    salinity: float = FRESH["salinity"]
    nitrate: float = 0.3
    phosphate: float = 0.01
    ammonia: float = 0.03
    nitrite_n: float = 0.0
    ammonia_capacity: float = 0.020
    nitrite_capacity: float = 0.004
    missing_l: float = 0.0

    def seen(self, moment: dt.datetime) -> dict[str, float]:
        """Give what a perfect test would show, in the units of the journal."""
        thicker = NET_VOLUME_L / (NET_VOLUME_L - self.missing_l)
        dissolved = {
            name: value * thicker
            for name, value in asdict(self).items()
            if name in FRESH or name == "ammonia"
        }
        return dissolved | {
            "nitrite": self.nitrite_n * 3.2845356 * thicker,
            "temperature": water_temperature_c(moment),
            "ph": buffer_scale_ph(self.alkalinity, moment),
        }


@dataclass
class Ledger:
    """Alkalinity that came and went in a day, in dKH, and other daily sums."""

    alkalinity_dosed: float = 0.0
    alkalinity_changed: float = 0.0
    alkalinity_skimmed: float = 0.0
    alkalinity_consumed: float = 0.0
    calcium_consumed: float = 0.0
    magnesium_consumed: float = 0.0
    evaporated_l: float = 0.0


def buffer_scale_ph(alkalinity_dkh: float, moment: dt.datetime) -> float:
    """Give pH from alkalinity and the air's carbon dioxide, lowest at dawn.

    A straight line in logarithms around 8.17 at 6.6 dKH and 420 ppm; good to 0.05, which is
    enough for an invented tank.
    """
    air = carbon_dioxide_ppm(moment.date())
    hour = moment.hour + moment.minute / 60
    by_light = 0.08 * math.sin(2 * math.pi * (hour - 12) / 24)
    return 8.17 + 0.9 * math.log10(alkalinity_dkh / 6.6) - 0.85 * math.log10(air / 420.0) + by_light


def feed_g_day(day: dt.date) -> float:
    """Give the frozen food of a day in g, growing with the number and size of mouths."""
    if day < _FOODS_UNDER_WAY:
        return 0.0
    return 0.5 + 1.7 * min(1.0, (day - _FOODS_UNDER_WAY).days / 300)


def apply_dose(water: Water, dose: Dose) -> float:
    """Mix a dose in and give the alkalinity that it brought, in dKH."""
    if dose.what == "ammonia drops":
        water.ammonia += dose.amount * _AMMONIA_MG_N_PER_ML / NET_VOLUME_L
        return 0.0
    salt, strength_g_l = STRENGTHS_G_L[dose.what]
    grams = dose.amount * strength_g_l / 1000
    mmol_l = 1000 * grams / _MOLAR_G[salt] / NET_VOLUME_L
    water.salinity += _LEFT_BEHIND[salt] * grams / NET_VOLUME_L / 1.023
    if salt.startswith("Ca"):
        water.calcium += mmol_l * _CA_G_MOL
    elif salt.startswith("Mg"):
        water.magnesium += mmol_l * _MG_G_MOL
    else:
        risen = mmol_l * DKH_PER_MEQ_L * (2 if salt == "Na2CO3" else 1)
        water.alkalinity += risen
        return risen
    return 0.0


def apply_change(water: Water, change: Change) -> float:
    """Change water and give the alkalinity gained, in dKH (negative if some was lost)."""
    share, before = change.litres / NET_VOLUME_L, water.alkalinity
    fresh = FRESH | change.fresh
    for name, value in fresh.items():
        setattr(water, name, (1 - share) * getattr(water, name) + share * value)
    water.ammonia *= 1 - share
    water.nitrite_n *= 1 - share
    return water.alkalinity - before


def advance(water: Water, ledger: Ledger, start: dt.datetime, days: float) -> None:
    """Let time pass: growth, skimming, evaporation, food and the nitrogen chain."""
    day = start.date()
    consumed = alkalinity_demand_dkh_day(day) * days
    calcium = consumed * CALCIUM_MG_L_PER_DKH
    water.alkalinity -= consumed
    water.calcium -= calcium
    water.magnesium -= MAGNESIUM_PER_CALCIUM * calcium
    # Alkalinity and calcium leave the water as carbonate.
    water.salinity -= consumed * 17.848 / 1000 / 1.023
    ledger.alkalinity_consumed += consumed
    ledger.calcium_consumed += calcium
    ledger.magnesium_consumed += MAGNESIUM_PER_CALCIUM * calcium
    _skim(water, ledger, days)
    _evaporate(water, ledger, start, days)
    _nitrogen(water, day, days)
    _phosphate(water, day, days)


def _skim(water: Water, ledger: Ledger, days: float) -> None:
    share = _SKIMMATE_L_DAY * days / NET_VOLUME_L
    ledger.alkalinity_skimmed += water.alkalinity * share
    for name in FRESH:
        setattr(water, name, getattr(water, name) * (1 - share))


def _evaporate(water: Water, ledger: Ledger, start: dt.datetime, days: float) -> None:
    lost_l = evaporation_l_day(start.date()) * days
    ledger.evaporated_l += lost_l
    stuck = _FLOAT_STUCK[0] <= start < _FLOAT_STUCK[1]
    water.missing_l = water.missing_l + lost_l if stuck else 0.0


def _nitrogen(water: Water, day: dt.date, days: float) -> None:
    """Step the two-stage chain; capacities in mg N/L/day grow on what they process."""
    maturity = min(1.0, max(0, (day - FILLED.date()).days) / 300)
    fed = 0.024 * feed_g_day(day)  # mg N/L/day for each g of frozen food; invented
    first = water.ammonia_capacity * water.ammonia / (0.1 + water.ammonia)
    second = water.nitrite_capacity * water.nitrite_n / (0.1 + water.nitrite_n)
    water.ammonia_capacity += (0.27 * first - 0.015 * water.ammonia_capacity) * days
    water.nitrite_capacity += (0.29 * second - 0.015 * water.nitrite_capacity) * days
    water.ammonia = max(0.0, water.ammonia + (fed - first) * days)
    water.nitrite_n = max(0.0, water.nitrite_n + (first - second) * days)
    taken_up = (0.004 + 0.022 * maturity) * water.nitrate
    water.nitrate += (second * 4.4267988 - taken_up) * days


def _phosphate(water: Water, day: dt.date, days: float) -> None:
    fed = 0.0052 * feed_g_day(day)
    rock = 0.0016 * math.exp(-max(0, (day - FILLED.date()).days) / 90)
    water.phosphate += (fed + rock - (0.05 + 0.09 * (day >= dt.date(2026, 3, 8))) * water.phosphate
                        ) * days  # fmt: skip


@dataclass(frozen=True)
class Run:
    """A finished simulation.

    Attributes:
        daily: truth by day, at its end.
        seen: what a perfect test would have shown at each moment asked for.
    """

    daily: pd.DataFrame
    seen: dict[dt.datetime, dict[str, float]]


def run(happened: Iterable[Happening], moments: Iterable[dt.datetime]) -> Run:
    """Simulate from the filling to the last day.

    Args:
        happened: doses and changes; those before the filling are left out.
        moments: when to look at the water; a look comes before what happens at its minute.
    """
    water, ledger, clock = Water(), Ledger(), FILLED
    midnights = pd.date_range(FILLED.date() + dt.timedelta(days=1), periods=_days() + 1)
    agenda: list[tuple[dt.datetime, int, Happening | None]] = [
        *((moment.to_pydatetime(), 0, None) for moment in midnights),
        *((moment, 1, None) for moment in set(moments) if moment >= FILLED),
        *((h.when, 2, h) for h in happened if h.when >= FILLED),
    ]
    rows, seen = [], {}
    for moment, rank, happening in sorted(agenda, key=lambda item: item[:2]):
        _pass_time(water, ledger, clock, moment)
        clock = moment
        if isinstance(happening, Dose):
            ledger.alkalinity_dosed += apply_dose(water, happening)
        elif isinstance(happening, Change):
            ledger.alkalinity_changed += apply_change(water, happening)
        elif rank == 1:
            seen[moment] = water.seen(moment)
        else:
            day = moment.date() - dt.timedelta(days=1)
            rows.append({"day": day} | asdict(water) | asdict(ledger))
            ledger = Ledger()
    return Run(pd.DataFrame(rows).set_index("day"), seen)


def _days() -> int:
    return (LAST_DAY - FILLED.date()).days


def _pass_time(water: Water, ledger: Ledger, start: dt.datetime, end: dt.datetime) -> None:
    """Advance by steps of two hours at most; none runs over midnight, which is on the agenda."""
    span = (end - start).total_seconds() / 86_400
    steps = math.ceil(span * 12)
    for step in range(steps):
        advance(water, ledger, start + dt.timedelta(days=span * step / steps), span / steps)


@cache
def story_run() -> Run:
    """Give the simulation of the whole story."""
    entries = told()
    moments = {moment for entry in entries for moment in entry.moments()}
    said = happenings([(entry.when, entry.data) for entry in entries], LAST_DAY)
    return run(said, moments)


def truth() -> pd.DataFrame:
    """Give true values at the end of each day and what came and went during it.

    Columns: the water (dKH, mg/L, psu; ``ammonia`` and ``nitrite_n`` as mg/L N) and the ledger:
    ``alkalinity_dosed``, ``alkalinity_changed``, ``alkalinity_skimmed``, ``alkalinity_consumed``
    (dKH in that day), ``calcium_consumed``, ``magnesium_consumed`` (mg/L), ``evaporated_l``.
    """
    return story_run().daily.copy()
