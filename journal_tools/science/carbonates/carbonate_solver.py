"""Finds the pH of water from its alkalinity and its carbon dioxide or total carbon.

Newton's method inside a bracket, for all rows at once: alkalinity rises with pH everywhere, so
there is one solution, and a step that leaves what is left of the bracket halves it instead.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from journal_tools.science.carbonates.carbonate import Water, in_chunks
from journal_tools.science.carbonates.carbonate_constants import (
    CarbonateConstants,
    constants_unchecked,
    fugacity_coefficient,
)
from journal_tools.science.carbonates.ph_scales import (
    PH_RANGE,
    ZERO_CELSIUS_K,
    PhScale,
    log10_to_total,
)
from journal_tools.science.validity import FloatArray, in_range

_BRACKET_PH = (3.0, 12.0)
_MOST_STEPS = 100
_LN10 = math.log(10.0)

Carbon = Callable[[FloatArray], tuple[FloatArray, FloatArray]]
"""From hydrogen in mol/kg to the alkalinity that carbon holds in µmol/kg, and to how fast that
falls with the logarithm of hydrogen."""


def ph_at_pco2(
    alkalinity: FloatArray, pco2_uatm: FloatArray, ph_scale: PhScale, water: Water
) -> FloatArray:
    """Give the pH of water in balance with carbon dioxide, from values that are checked already.

    Args:
        alkalinity: Total alkalinity in µmol/kg.
        pco2_uatm: Partial pressure of carbon dioxide in µatm.
        ph_scale: Scale that the pH is wanted on.
        water: The rest of the water.

    Raises:
        ValueError: If a single pH that results is out of range.
    """
    fugacity = pco2_uatm * fugacity_coefficient(water.temperature_c)
    return _solved(_carbon_of_gas, alkalinity, fugacity, ph_scale, water)


def ph_from_dic(
    alkalinity: FloatArray, dic: FloatArray, ph_scale: PhScale, water: Water
) -> FloatArray:
    """Give the pH of water whose total carbon is known, from values that are checked already.

    Args:
        alkalinity: Total alkalinity in µmol/kg.
        dic: Dissolved inorganic carbon in µmol/kg.
        ph_scale: Scale that the pH is wanted on.
        water: The rest of the water.

    Raises:
        ValueError: If a single pH that results is out of range.
    """
    return _solved(_carbon_of_total, alkalinity, dic, ph_scale, water)


def _carbon_of_gas(fugacity_uatm: FloatArray, k: CarbonateConstants) -> Carbon:
    co2 = fugacity_uatm * k.k0

    def carbon(hydrogen: FloatArray) -> tuple[FloatArray, FloatArray]:
        bicarbonate = co2 * k.k1 / hydrogen
        twice_carbonate = 2 * bicarbonate * k.k2 / hydrogen
        return bicarbonate + twice_carbonate, bicarbonate + 2 * twice_carbonate

    return carbon


def _carbon_of_total(dic: FloatArray, k: CarbonateConstants) -> Carbon:
    def carbon(hydrogen: FloatArray) -> tuple[FloatArray, FloatArray]:
        first, second = hydrogen / k.k1, k.k2 / hydrogen
        bicarbonate = dic / (1 + first + second)
        carbonate, co2 = bicarbonate * second, bicarbonate * first
        spread = bicarbonate * (carbonate + co2) + 4 * carbonate * co2
        return bicarbonate + 2 * carbonate, spread / dic

    return carbon


def _solved(
    carbon_of: Callable[[FloatArray, CarbonateConstants], Carbon],
    alkalinity: FloatArray,
    amount: FloatArray,
    ph_scale: PhScale,
    water: Water,
) -> FloatArray:
    def solve(
        alkalinity: FloatArray,
        amount: FloatArray,
        salinity: FloatArray,
        celsius: FloatArray,
        boron: FloatArray,
    ) -> tuple[FloatArray]:
        k = constants_unchecked(salinity, celsius)
        ph = _ph_total(alkalinity, boron, k, carbon_of(amount, k))
        kelvin, ratios = celsius + ZERO_CELSIUS_K, (k.total_per_free, k.seawater_per_free)
        return (ph - log10_to_total(ph_scale, salinity, kelvin, *ratios),)

    columns = (alkalinity, amount, water.salinity, water.temperature_c, water.boron_umol_kg)
    return in_range("pH that results", in_chunks(solve, *columns)[0], *PH_RANGE)


def _ph_total(
    alkalinity: FloatArray, boron: FloatArray, k: CarbonateConstants, carbon: Carbon
) -> FloatArray:
    """Give the pH at which the alkalinity of all species is the given one, else NaN."""
    bound = k.seawater_per_free / k.total_per_free
    ph = np.full(np.broadcast(alkalinity, boron, bound).shape, 8.0)
    low, high = (np.full_like(ph, end) for end in _BRACKET_PH)
    settled = np.zeros(ph.shape, dtype=bool)
    for _ in range(_MOST_STEPS):
        hydrogen = np.exp(-_LN10 * ph)
        held, slope = carbon(hydrogen)
        ionised = k.kb / (k.kb + hydrogen)
        hydroxide, protons = 1e6 * k.kw / hydrogen, 1e6 * hydrogen * bound
        excess = held + boron * ionised + hydroxide - protons - alkalinity
        slope = slope + boron * ionised * (1 - ionised) + hydroxide + protons
        above = excess > 0
        low, high = np.where(above, low, ph), np.where(above, ph, high)
        newton = ph - excess / (slope * _LN10)
        inside = (newton >= low) & (newton <= high)
        following = np.where(inside, newton, (low + high) / 2)
        unknown = np.isnan(excess)
        settled = (np.abs(following - ph) < 1e-10) & ~unknown
        ph = following
        if np.all(settled | unknown):
            break
    return np.where(settled, ph, np.nan)
