"""How fast bacteria turn ammonia into nitrite and nitrite into nitrate: a model for illustration.

Its growth constants cannot be found from the readings of a test kit, so it says how such a
course looks and why, never how a given tank will run. Concentrations are in mg/L of nitrogen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from journal_tools.science.additives.stoichiometry import mass_ratio, molar_mass_g_mol
from journal_tools.science.validity import FloatArray, Number, as_given, in_range, in_scalar_range

OXYGEN_PER_NITROGEN = 2 * molar_mass_g_mol("O2") / molar_mass_g_mol("N")
"""Oxygen in g for each g of ammonia nitrogen turned into nitrate: NH4 + 2 O2 -> NO3."""


def monod_rate_mg_l_day(
    nitrogen_mg_l: Number, max_rate_mg_l_day: float, half_saturation_mg_l: float
) -> Number:
    """Give the rate in mg/L N a day at which a fixed mass of bacteria oxidises.

    Args:
        nitrogen_mg_l: Ammonia or nitrite in mg/L N, 0 to 1000.
        max_rate_mg_l_day: Rate at plenty in mg/L N a day, 0 to 1000.
        half_saturation_mg_l: Concentration of half that rate in mg/L N, 0.001 to 100.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        A factor of 2: both constants differ from tank to tank.

    Source:
        Monod 1949; for nitrification Henze et al. 2000, activated sludge models.

    >>> monod_rate_mg_l_day(0.5, 2.0, 0.5)
    1.0
    """
    nitrogen = in_range("nitrogen", nitrogen_mg_l, 0.0, 1000.0, "mg/L")
    top = in_scalar_range("largest rate", max_rate_mg_l_day, 0.0, 1000.0, "mg/L a day")
    half = in_scalar_range("half saturation", half_saturation_mg_l, 0.001, 100.0, "mg/L")
    return as_given(top * nitrogen / (half + nitrogen), nitrogen_mg_l)


def monod_time_days(
    start_mg_l: Number, end_mg_l: float, max_rate_mg_l_day: float, half_saturation_mg_l: float
) -> Number:
    """Give the days in which a fixed mass of bacteria brings nitrogen down to a level.

    Args:
        start_mg_l: Ammonia or nitrite at the start in mg/L N, from the end level to 1000.
        end_mg_l: Level to reach in mg/L N, 0.0001 to 1000; zero is never reached.
        max_rate_mg_l_day: Rate at plenty in mg/L N a day, 0.001 to 1000.
        half_saturation_mg_l: Concentration of half that rate in mg/L N, 0 to 100.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        A factor of 2; growth and decay of the bacteria are left out.

    Source:
        Integrated Michaelis-Menten equation, t = (S0 - S + K ln(S0 / S)) / Vmax.

    >>> round(monod_time_days(2.0, 0.1, 2.0, 0.5), 5)
    1.69893
    """
    end = in_scalar_range("end level", end_mg_l, 1e-4, 1000.0, "mg/L")
    start = in_range("start level", start_mg_l, end, 1000.0, "mg/L")
    top = in_scalar_range("largest rate", max_rate_mg_l_day, 0.001, 1000.0, "mg/L a day")
    half = in_scalar_range("half saturation", half_saturation_mg_l, 0.0, 100.0, "mg/L")
    return as_given((start - end + half * np.log(start / end)) / top, start_mg_l)


def largest_capacity_mg_l_day(growth_per_day: float, dosed_nitrogen_mg_l: Number) -> Number:
    """Give the most nitrogen in mg/L a day that bacteria grown on one dose can oxidise.

    They grow on what they oxidise, so a dose cannot grow the bacteria for a full dose a day: no
    ammonia and no nitrite after one dose is no proof that the next goes within 24 hours.

    Args:
        growth_per_day: Largest growth rate a day, 0 to 5; 0.3 to 0.8 at 25 °C, from memory.
        dosed_nitrogen_mg_l: Nitrogen dosed in all in mg/L N, 0 to 1000.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        An upper bound: decay and what was lost are left out.

    Source:
        Growth rate over yield times yield times nitrogen: the yield drops out.

    >>> largest_capacity_mg_l_day(0.5, 2.0)
    1.0
    """
    growth = in_scalar_range("growth rate", growth_per_day, 0.0, 5.0, "a day")
    dosed = in_range("nitrogen dosed", dosed_nitrogen_mg_l, 0.0, 1000.0, "mg/L")
    return as_given(growth * dosed, dosed_nitrogen_mg_l)


@dataclass(frozen=True, slots=True)
class NitrateBalance:
    """Nitrate that should have formed beside nitrate measured, both in mg/L as NO3.

    Attributes:
        expected_mg_l: Rise if all dosed nitrogen that is gone became nitrate and stayed.
        measured_mg_l: Rise as measured.
        nitrite_interferes: Whether nitrite is in the water, with which nitrate tests read high.
    """

    expected_mg_l: float
    measured_mg_l: float
    nitrite_interferes: bool

    @property
    def found_share(self) -> float | None:
        """Measured over expected; None if none is expected or nitrite falsifies the test."""
        if self.nitrite_interferes or self.expected_mg_l == 0:
            return None
        return self.measured_mg_l / self.expected_mg_l


def nitrate_balance(
    dosed_nitrogen_mg_l: float,
    nitrate_rise_mg_l: float,
    ammonia_n_left_mg_l: float = 0.0,
    nitrite_n_left_mg_l: float = 0.0,
) -> NitrateBalance:
    """Give the rise of nitrate to expect from dosed ammonia beside the measured one.

    Args:
        dosed_nitrogen_mg_l: All ammonia dosed in mg/L N, 0 to 1000.
        nitrate_rise_mg_l: Rise of nitrate as measured in mg/L NO3, -1000 to 5000.
        ammonia_n_left_mg_l: Ammonia still there in mg/L N, 0 to 1000.
        nitrite_n_left_mg_l: Nitrite still there in mg/L N, 0 to 1000; 0 only where a test was
            below its limit.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        20 to 30 % from the nitrate test; water changes in between have to be added back.

    Source:
        Nitrogen balance and molar masses.

    >>> round(nitrate_balance(4.0, 16.0).expected_mg_l, 1)
    17.7
    """
    dosed = in_scalar_range("nitrogen dosed", dosed_nitrogen_mg_l, 0.0, 1000.0, "mg/L")
    rise = in_scalar_range("nitrate rise", nitrate_rise_mg_l, -1000.0, 5000.0, "mg/L")
    ammonia = in_scalar_range("ammonia left", ammonia_n_left_mg_l, 0.0, 1000.0, "mg/L")
    nitrite = in_scalar_range("nitrite left", nitrite_n_left_mg_l, 0.0, 1000.0, "mg/L")
    gone = max(dosed - ammonia - nitrite, 0.0)
    return NitrateBalance(gone * mass_ratio("NO3", "N"), rise, nitrite > 0)


@dataclass(frozen=True, slots=True)
class Oxidisers:
    """One of the two groups of bacteria.

    Attributes:
        growth_per_day: Largest growth rate a day.
        half_saturation_mg_l: Concentration of half that rate in mg/L N.
        decay_per_day: Share that dies each day.
        start_mg_l: Bacteria at the start, counted as the mg/L N that grew them, so that no yield
            is needed.
    """

    growth_per_day: float
    half_saturation_mg_l: float
    decay_per_day: float
    start_mg_l: float


AMMONIA_OXIDISERS = Oxidisers(0.5, 0.5, 0.0575, 0.0105)
"""Invented example. Growth and half saturation are within the usual range (from memory); decay and
start were chosen to give a course known from another simulation: less than 0.1 mg/L N on day 16.6
after a dose of 2 mg/L N, and 1.65 mg/L N left a day after a second dose on day 30."""

NITRITE_OXIDISERS = Oxidisers(0.6, 1.0, 0.042, 0.0275)
"""Invented example, chosen likewise: nitrite peaks at 1.78 mg/L N on day 17 and is less than
0.05 mg/L N on day 27.2."""


@dataclass(frozen=True, slots=True)
class Course:
    """A simulated course; all arrays have one element for each day looked at.

    Attributes:
        day: Days since the first dose.
        ammonia_mg_l: Total ammonia in mg/L N.
        nitrite_mg_l: Nitrite in mg/L N.
        nitrate_mg_l: Nitrate formed in mg/L N.
    """

    day: FloatArray
    ammonia_mg_l: FloatArray
    nitrite_mg_l: FloatArray
    nitrate_mg_l: FloatArray


def simulate_maturing(
    doses: Sequence[tuple[float, float]],
    days: FloatArray,
    ammonia_oxidisers: Oxidisers = AMMONIA_OXIDISERS,
    nitrite_oxidisers: Oxidisers = NITRITE_OXIDISERS,
) -> Course:
    """Give a simulated course of ammonia, nitrite and nitrate in mg/L N.

    Args:
        doses: Day, 0 or later, and ammonia in mg/L N, 0 to 100, of each dose.
        days: Days at which to look, 0 to 1000, rising. A dose shows from the same day on.
        ammonia_oxidisers: The bacteria of the first step.
        nitrite_oxidisers: Those of the second.

    Raises:
        ValueError: If a value is out of range or the days do not rise.

    Uncertainty:
        An illustration: with other plausible constants each date moves by a factor of 2.

    Source:
        Two Monod steps with growth and decay, as in Henze et al. 2000.

    >>> course = simulate_maturing([(0.0, 2.0)], np.array([0.0, 10.0, 40.0]))
    >>> [round(float(level), 2) for level in course.ammonia_mg_l]
    [2.0, 1.65, 0.0]
    """
    looked = np.asarray(days, dtype=np.float64)
    if looked.ndim != 1 or np.any(np.diff(looked) <= 0):
        raise ValueError("the days to look at must be a rising row of numbers")
    for day in looked:
        in_scalar_range("day", float(day), 0.0, 1000.0)
    state = np.array([0.0, 0.0, 0.0, ammonia_oxidisers.start_mg_l, nitrite_oxidisers.start_mg_l])
    found = np.empty((3, looked.size))
    pending = sorted((_checked_dose(*dose) for dose in doses), reverse=True)
    now = 0.0
    for i, day in enumerate(looked):
        while pending and pending[-1][0] <= day:
            dosed_on, amount = pending.pop()
            state = _advanced(state, dosed_on - now, ammonia_oxidisers, nitrite_oxidisers)
            state[0] += amount
            now = dosed_on
        state = _advanced(state, float(day) - now, ammonia_oxidisers, nitrite_oxidisers)
        found[:, i], now = state[:3], float(day)
    return Course(looked, *found)


def _checked_dose(day: float, nitrogen_mg_l: float) -> tuple[float, float]:
    return (
        in_scalar_range("day of a dose", day, 0.0, 1000.0),
        in_scalar_range("dose", nitrogen_mg_l, 0.0, 100.0, "mg/L"),
    )


def _advanced(state: FloatArray, days: float, first: Oxidisers, second: Oxidisers) -> FloatArray:
    if days < 1e-9:
        return state.copy()
    from scipy.integrate import solve_ivp

    def slope(_: float, now: FloatArray) -> list[float]:
        ammonia, nitrite = max(float(now[0]), 0.0), max(float(now[1]), 0.0)
        oxidised = first.growth_per_day * ammonia / (first.half_saturation_mg_l + ammonia) * now[3]
        finished = (
            second.growth_per_day * nitrite / (second.half_saturation_mg_l + nitrite) * now[4]
        )
        return [
            -oxidised,
            oxidised - finished,
            finished,
            oxidised - first.decay_per_day * now[3],
            finished - second.decay_per_day * now[4],
        ]

    end: Any = solve_ivp(slope, (0.0, days), state, rtol=1e-8, atol=1e-10)
    return np.maximum(np.asarray(end.y[:, -1], dtype=np.float64), 0.0)


def first_day_below(days: FloatArray, levels_mg_l: FloatArray, limit_mg_l: float) -> float | None:
    """Give the day on which a level falls below a limit for good, or None if it does not.

    Args:
        days: Days, rising.
        levels_mg_l: Level on each in mg/L N.
        limit_mg_l: Limit in mg/L N, 0 to 1000.

    Raises:
        ValueError: If the limit is out of range.

    Uncertainty:
        Between two days the level is taken as a straight line.

    Source:
        Linear interpolation.

    >>> first_day_below(np.array([0.0, 1.0, 2.0]), np.array([3.0, 1.0, 0.0]), 0.5)
    1.5
    """
    limit = in_scalar_range("limit", limit_mg_l, 0.0, 1000.0, "mg/L")
    above = np.flatnonzero(levels_mg_l >= limit)
    if above.size == 0:
        return float(days[0])
    last = int(above[-1])
    if last + 1 == len(days):
        return None
    (day, level), (next_day, next_level) = (
        (float(days[i]), float(levels_mg_l[i])) for i in (last, last + 1)
    )
    return day + (next_day - day) * (level - limit) / (level - next_level)
