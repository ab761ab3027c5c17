"""Net water volume from what one known dose did to the water."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from journal_tools.science.estimation.ratio import ratio_interval
from journal_tools.science.validity import in_scalar_range


@dataclass(frozen=True, slots=True)
class VolumeResponse:
    """Net volume by the response to a dose.

    Attributes:
        volume_l: Best value in L; NaN if no rise was seen.
        sd_l: Its error in L (1 sd), to first order.
        low_l: Lower end of the 90 % interval in L.
        high_l: Upper end in L; infinite if the rise is within its own error.
        rise: Rise by the dose, uptake in between added back, in the unit of the readings.
        rise_sd: Its error by tests and uptake (1 sd).
        by_potency: Share of the error (relative, 1 sd) that comes from the strength of the dose.
    """

    volume_l: float
    sd_l: float
    low_l: float
    high_l: float
    rise: float
    rise_sd: float
    by_potency: float


def calibrate_volume(  # noqa: PLR0913
    lift: float,
    before: float,
    after: float,
    test_sd: float,
    days: float = 0.0,
    uptake_per_day: float = 0.0,
    uptake_sd: float = 0.0,
    potency_sd: float = 0.0,
) -> VolumeResponse:
    """Give the net volume in L from one dose, a test before it and one after it is mixed in.

    Args:
        lift: What the dose lifts in one litre: amount times strength, in reading unit times L;
            above 0. 100 mL of a mix with 2.67 dKH in 1 L per mL: 267.
        before: Reading before, or the mean of several.
        after: Reading after.
        test_sd: Error of each of the two (1 sd), above 0; for a mean of n tests σ/√n.
        days: Time between the two in days, 0 to 30.
        uptake_per_day: Uptake, and any other supply with a minus sign, per day.
        uptake_sd: Its error (1 sd), 0 or more.
        potency_sd: Relative error of the strength (1 sd), 0 to 1.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        Relative errors of rise and strength, as squares: a rise of 2 dKH by tests of 0.1 is good
        to 7 %. Dose for a rise of ten times the error of a test, within safe limits.

    Source:
        Dilution (mass of dose by rise); errors as in JCGM 100:2008, 5.1.2; interval by Fieller.

    >>> found = calibrate_volume(600.0, 7.0, 8.9, 0.1, days=0.1, uptake_per_day=1.0)
    >>> round(found.volume_l), round(found.sd_l), round(found.low_l), round(found.high_l)
    (300, 21, 269, 339)
    """
    amount = in_scalar_range("lift", lift, 1e-12, np.inf)
    error = in_scalar_range("error of a test", test_sd, 1e-12, np.inf)
    between = in_scalar_range("days between", days, 0.0, 30.0)
    wide = in_scalar_range("error of the uptake", uptake_sd, 0.0, np.inf)
    strength = in_scalar_range("error of the potency", potency_sd, 0.0, 1.0)
    rise = after - before + uptake_per_day * between
    rise_sd = float(np.hypot(error * 2**0.5, wide * between))
    if rise <= 0:
        nan = float("nan")
        return VolumeResponse(nan, nan, nan, float("inf"), rise, rise_sd, strength)
    volume = amount / rise
    sd = volume * float(np.hypot(rise_sd / rise, strength))
    low, high = ratio_interval(amount, rise, amount * strength, rise_sd)
    return VolumeResponse(volume, sd, low, high, rise, rise_sd, strength)
