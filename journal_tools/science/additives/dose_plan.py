"""From uptake to dose: what holds the level, what brings it to the target, how long a bottle lasts.

Arithmetic only. Whether to change a dose, and how fast, is for the keeper to judge.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from journal_tools.science.estimate import Estimate
from journal_tools.science.estimation.ratio import ratio_interval
from journal_tools.science.estimation.regression import Z90
from journal_tools.science.validity import in_scalar_range


def days_left(
    remaining: float, per_day: float, remaining_sd: float = 0.0, per_day_sd: float = 0.0
) -> Estimate:
    """Give for how many days a supply lasts, with its 90 % interval.

    Args:
        remaining: What is left, in any unit, 0 or more.
        per_day: Use a day in that unit, 0 or more; 0 lasts for ever (infinite).
        remaining_sd: Error of what is left (1 sd), 0 or more.
        per_day_sd: Error of the use (1 sd), 0 or more.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        The interval is exact for normal errors; its upper end is infinite where the use may be 0.

    Source:
        Ratio; Fieller 1954, J. R. Stat. Soc. B 16:175. From memory.

    >>> left = days_left(1000.0, 50.0, 50.0, 5.0)
    >>> left.value, round(left.low, 1), round(left.high, 1)
    (20.0, 16.8, 24.3)
    """
    amount = in_scalar_range("remaining", remaining, 0.0, math.inf)
    use = in_scalar_range("use a day", per_day, 0.0, math.inf)
    if use == 0:
        return Estimate(math.inf, math.inf, math.inf)
    value = amount / use
    low, high = ratio_interval(amount, use, remaining_sd, per_day_sd)
    return Estimate(value, min(low, value), max(high, value))


@dataclass(frozen=True, slots=True)
class DosePlan:
    """A dose that holds the level and one that moves it, with the arithmetic.

    Attributes:
        hold_rise_per_day: Rise a day that only makes up for the uptake.
        hold: That dose a day with its 90 % interval, in the unit of the product; not below 0.
        gap: Target less level, in the unit of the parameter.
        days: Whole days of the correction; 0 if there is nothing to correct, infinite if the
            level can only fall to the target by an uptake that is not there.
        step_per_day: Change of the level on each of those days.
        correction: Product a day on top of ``hold`` during these days; negative where less is
            dosed so that the level falls.
        dose: Product a day during the correction: ``hold`` and ``correction``, 0 or more.
        change: ``hold`` less what is dosed at present, in the unit of the product a day.
        limited_by_step: Whether the daily limit makes the correction take more than one day.
        limited_by_uptake: Whether the level falls more slowly than the limit allows, because a
            dose cannot be below 0.
    """

    hold_rise_per_day: float
    hold: Estimate
    gap: float
    days: float
    step_per_day: float
    correction: float
    dose: float
    change: float
    limited_by_step: bool
    limited_by_uptake: bool


def dose_plan(  # noqa: PLR0913
    uptake_per_day: float,
    level: float,
    target: float,
    largest_step_per_day: float,
    rise_per_unit: float,
    present_dose: float = 0.0,
    uptake_sd: float = 0.0,
) -> DosePlan:
    """Give the dose that holds the level and the one that brings it to the target.

    Args:
        uptake_per_day: Uptake in the unit of the parameter a day; negative where it is made.
        level: Present level.
        target: Level wanted.
        largest_step_per_day: Most that the level may move in a day, above 0. A common limit for
            alkalinity is 0.5 to 1 dKH a day (common practice, no source).
        rise_per_unit: Rise in this tank by one mL or g of the product, above 0.
        present_dose: Product dosed a day at present, 0 or more.
        uptake_sd: Total error of the uptake (1 sd), systematic parts included, 0 or more. Where
            the uptake was found with the same product and volume as used here, leave those two
            out: they cancel in the amount of product.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the uptake for ``hold``. The correction has that of the level on top.

    Source:
        Mass balance of a stirred tank.

    >>> plan = dose_plan(1.0, 7.4, 8.0, 0.5, 0.01, present_dose=80.0)
    >>> round(plan.hold.value, 6), plan.days, round(plan.correction, 6), round(plan.dose, 6)
    (100.0, 2, 30.0, 130.0)
    """
    step = in_scalar_range("largest step", largest_step_per_day, 1e-9, math.inf)
    unit = in_scalar_range("rise per unit", rise_per_unit, 1e-12, math.inf)
    wide = Z90 * in_scalar_range("error of the uptake", uptake_sd, 0.0, math.inf)
    present = in_scalar_range("present dose", present_dose, 0.0, math.inf)
    amounts = [max(rate, 0.0) / unit for rate in
               (uptake_per_day, uptake_per_day - wide, uptake_per_day + wide)]  # fmt: skip
    hold, gap = Estimate(*amounts), target - level
    # A level falls at most by the uptake on a day without any dose.
    fastest = step if gap >= 0 else min(step, max(uptake_per_day, 0.0))
    days = _whole_days(abs(gap), fastest)
    moved = gap / days if 0 < days < math.inf else 0.0
    correction = moved / unit
    # A tank that makes the substance rises by itself; only what is missing is dosed.
    dose = max((uptake_per_day + moved) / unit, 0.0)
    return DosePlan(
        uptake_per_day, hold, gap, days, moved, correction, dose, hold.value - present,
        abs(gap) > step * (1 + 1e-9), gap < 0 and fastest < step and abs(gap) > fastest,
    )  # fmt: skip


def _whole_days(gap: float, fastest: float) -> float:
    """Give the days a gap needs; a share of a billionth does not make another day."""
    if gap == 0:
        return 0
    return math.ceil(gap / fastest - 1e-9) if fastest > 0 else math.inf
