"""Ratios of two uncertain values, and the one of calcium to alkalinity that calcification fixes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from journal_tools.science.additives.calcification import calcium_per_dkh_mg_l
from journal_tools.science.estimate import Estimate
from journal_tools.science.estimation.regression import Z90
from journal_tools.science.validity import in_scalar_range

LEAST_CALCIUM_PER_DKH_MG_L = 6.0
"""With much magnesium in the skeleton, as of coralline algae (x about 0.16)."""


def ratio_interval(
    top: float, bottom: float, top_sd: float = 0.0, bottom_sd: float = 0.0
) -> tuple[float, float]:
    """Give the 90 % interval of a ratio of two positive values with independent errors.

    Args:
        top: Above the line, 0 or more.
        bottom: Below the line, above 0.
        top_sd: Its error (1 sd), 0 or more.
        bottom_sd: Its error (1 sd), 0 or more.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        Exact for normal errors; cut off below 0. Without an upper end (infinite) where the value
        below the line may well be 0.

    Source:
        Fieller 1954, J. R. Stat. Soc. B 16:175. From memory.

    >>> low, high = ratio_interval(100.0, 10.0, 0.0, 1.0)
    >>> round(low, 2), round(high, 2)
    (8.59, 11.97)
    """
    above = in_scalar_range("top", top, 0.0, math.inf)
    below = in_scalar_range("bottom", bottom, 1e-300, math.inf)
    off_above, off_below = (
        (Z90 * in_scalar_range("error", sd, 0.0, math.inf)) ** 2 for sd in (top_sd, bottom_sd)
    )
    lead, product, rest = below**2 - off_below, above * below, above**2 - off_above
    root = max(product**2 - lead * rest, 0.0) ** 0.5
    low = max(rest / (product + root), 0.0) if product + root > 0 else 0.0
    return low, (product + root) / lead if lead > 0 else math.inf


@dataclass(frozen=True, slots=True)
class CalciumRatio:
    """Uptake of calcium by that of alkalinity.

    Attributes:
        ratio: In mg/L per dKH, with its 90 % interval.
        agrees: Whether calcification alone may explain it: the interval meets 6 to 7.15. If not,
            look for an error of a kit or of a potency, then for nitrification or precipitation.
    """

    ratio: Estimate
    agrees: bool


def calcium_ratio(
    calcium_mg_l_day: float,
    alkalinity_dkh_day: float,
    calcium_sd: float = 0.0,
    alkalinity_sd: float = 0.0,
) -> CalciumRatio:
    """Give the uptake of calcium in mg/L per dKH of alkalinity.

    Args:
        calcium_mg_l_day: Uptake of calcium in mg/L a day, 0 or more.
        alkalinity_dkh_day: Uptake of alkalinity in dKH a day, above 0.
        calcium_sd: Total error of the first (1 sd). The net volume moves both alike: leave it
            out where both were found with doses.
        alkalinity_sd: Total error of the second (1 sd).

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        The interval is exact for normal errors.

    Source:
        CaCO3 takes two equivalents per calcium: 7.147 mg/L per dKH (IUPAC weights), less with
        magnesium in the skeleton.

    >>> found = calcium_ratio(7.0, 1.0, 0.5, 0.05)
    >>> found.ratio.value, found.agrees
    (7.0, True)
    """
    value = calcium_mg_l_day / in_scalar_range("alkalinity", alkalinity_dkh_day, 1e-9, math.inf)
    low, high = ratio_interval(calcium_mg_l_day, alkalinity_dkh_day, calcium_sd, alkalinity_sd)
    estimate = Estimate(value, min(low, value), max(high, value))
    most = calcium_per_dkh_mg_l() * (1 + 1e-9)
    return CalciumRatio(estimate, low <= most and high >= LEAST_CALCIUM_PER_DKH_MG_L)
