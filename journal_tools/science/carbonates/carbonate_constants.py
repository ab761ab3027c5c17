"""Equilibrium constants of carbonate in seawater, and its natural boron and calcium.

Everything is for the surface, mol/kg means mole for each kg of seawater. The range is that of the
carbonic acid constants, 19 to 43 psu and 2 to 35 °C: all of a reef keeper's range, a heat wave
up to 35 °C included. Warmer water or a hyposaline bath is refused. A few constants were measured
on slightly less and are extrapolated there, as ocean chemists do: carbon dioxide to 40 psu,
calcium carbonate from 5 °C. The coefficients are those of the papers from memory; the tests find
them in PyCO2SYS and in the check values of Dickson, Sabine & Christian 2007.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

import numpy as np

from journal_tools.science.additives.stoichiometry import ATOMIC_WEIGHTS
from journal_tools.science.carbonates.ph_scales import (
    SALINITY_RANGE,
    ZERO_CELSIUS_K,
    checked_water,
    hydrogen_per_free,
)
from journal_tools.science.validity import FloatArray, Number, as_given, in_range
from journal_tools.science.water.seawater import density_kg_m3

BoronSource = Literal["lee2010", "uppstrom1974"]
"""Who measured the boron of natural seawater."""

BORON_UMOL_KG_PER_PSU: Mapping[str, float] = MappingProxyType({
    "lee2010": 432.6 / 35,
    "uppstrom1974": 0.232e6 / 10.811 / 1000 / 1.80655,
})  # fmt: skip
"""Natural boron in µmol/kg for each psu; the older figure is 0.232 mg/kg per chlorinity."""

# By chlorinity, which is salinity / 1.80655.
_CALCIUM_UMOL_PER_PSU = 0.02128e6 / 40.087 / 1.80655

_LN10 = float(np.log(10.0))


@dataclass(frozen=True, slots=True)
class CarbonateConstants:
    """Equilibrium constants at one salinity and temperature, acids on the total scale.

    Attributes:
        k0: Solubility of carbon dioxide in mol/(kg atm).
        k1: First constant of carbonic acid in mol/kg.
        k2: Second constant of carbonic acid in mol/kg.
        kb: Boric acid in mol/kg.
        kw: Water in (mol/kg)².
        total_per_free: Hydrogen on the total scale for each free hydrogen ion.
        seawater_per_free: Hydrogen on the seawater scale for each free hydrogen ion.
    """

    k0: FloatArray
    k1: FloatArray
    k2: FloatArray
    kb: FloatArray
    kw: FloatArray
    total_per_free: FloatArray
    seawater_per_free: FloatArray


def constants_unchecked(salinity: FloatArray, temperature_c: FloatArray) -> CarbonateConstants:
    """Give the constants without a look at the range, for who has checked it.

    Args:
        salinity: Practical salinity, 19 to 43.
        temperature_c: Temperature in °C, 2 to 35.

    Source:
        K0 Weiss 1974, Mar. Chem. 2:203; K1, K2 Lueker et al. 2000, Mar. Chem. 70:105; KB Dickson
        1990, Deep-Sea Res. 37:755; KW Millero 1995, GCA 59:661 (seawater scale, converted).
    """
    kelvin = temperature_c + ZERO_CELSIUS_K
    log_k, root, hundreds = np.log(kelvin), np.sqrt(salinity), kelvin / 100
    total, seawater = hydrogen_per_free(salinity, kelvin, log_k)
    ln_k0 = 93.4517 / hundreds - 60.2409 + 23.3585 * np.log(hundreds)
    ln_k0 += salinity * (0.023517 - 0.023656 * hundreds + 0.0047036 * hundreds**2)
    log10_k1 = 61.2172 - 3633.86 / kelvin - 9.67770 * log_k
    log10_k1 += (0.011555 - 0.0001152 * salinity) * salinity
    log10_k2 = -25.9290 - 471.78 / kelvin + 3.16967 * log_k
    log10_k2 += (0.01781 - 0.0001122 * salinity) * salinity
    ln_kb = -8966.90 + root * (-2890.53 + root * (-77.942 + root * (1.728 - 0.0996 * root)))
    ln_kb = ln_kb / kelvin + 148.0248 + 137.1942 * root + 1.62142 * salinity
    ln_kb -= (24.4344 + 25.085 * root + 0.2474 * salinity) * log_k
    ln_kb += 0.053105 * root * kelvin
    ln_kw = 148.9802 - 13847.26 / kelvin - 23.6521 * log_k
    ln_kw += (118.67 / kelvin - 5.977 + 1.0495 * log_k) * root - 0.01615 * salinity
    return CarbonateConstants(
        k0=np.exp(ln_k0),
        k1=np.exp(_LN10 * log10_k1),
        k2=np.exp(_LN10 * log10_k2),
        kb=np.exp(ln_kb),
        kw=np.exp(ln_kw) * (total / seawater),
        total_per_free=total,
        seawater_per_free=seawater,
    )


def carbonate_constants(
    salinity: float | FloatArray, temperature_c: float | FloatArray
) -> CarbonateConstants:
    """Give the equilibrium constants of seawater, acids on the total scale of pH.

    Args:
        salinity: Practical salinity, 19 to 43.
        temperature_c: Temperature in °C, 2 to 35.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.0075 in log10 K1, 0.015 in log10 K2 (from memory of Orr et al. 2018, Mar. Chem. 207:84);
        with other authors' constants pCO2 moves by 2 %.

    Source:
        The set of Dickson, Sabine & Christian 2007, PICES Special Publ. 3; see
        ``constants_unchecked`` for each.

    >>> constants = carbonate_constants(35.0, 25.0)
    >>> round(float(np.log10(constants.k1)), 4), round(float(np.log10(constants.k2)), 4)
    (-5.8472, -8.966)
    """
    return constants_unchecked(*checked_water(salinity, temperature_c))


def solubility_products_unchecked(
    salinity: FloatArray, temperature_c: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Give the products of aragonite and calcite without a look at the range.

    Args:
        salinity: Practical salinity, 19 to 43.
        temperature_c: Temperature in °C, 2 to 35.

    Source:
        Mucci 1983, Am. J. Sci. 283:780.
    """
    kelvin, root = temperature_c + ZERO_CELSIUS_K, np.sqrt(salinity)
    shared = 71.595 / _LN10 * np.log(kelvin) - 0.077993 * kelvin
    aragonite = shared - 171.945 + 2903.293 / kelvin
    aragonite += (-0.068393 + 0.0017276 * kelvin + 88.135 / kelvin) * root
    aragonite += (-0.10018 + 0.0059415 * root) * salinity
    calcite = shared - 171.9065 + 2839.319 / kelvin
    calcite += (-0.77712 + 0.0028426 * kelvin + 178.34 / kelvin) * root
    calcite += (-0.07711 + 0.0041249 * root) * salinity
    return np.exp(_LN10 * aragonite), np.exp(_LN10 * calcite)


def aragonite_solubility_product(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the solubility product of aragonite in (mol/kg)².

    Args:
        salinity: Practical salinity, 19 to 43.
        temperature_c: Temperature in °C, 2 to 35; measured from 5.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        5 % (from memory of Orr et al. 2018). Holds for natural shares of magnesium and sulphate.

    Source:
        Mucci 1983, Am. J. Sci. 283:780.

    >>> round(float(np.log10(aragonite_solubility_product(35.0, 25.0))), 4)
    -6.1883
    """
    return as_given(
        solubility_products_unchecked(*checked_water(salinity, temperature_c))[0], salinity
    )


def calcite_solubility_product(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the solubility product of calcite in (mol/kg)².

    Args:
        salinity: Practical salinity, 19 to 43.
        temperature_c: Temperature in °C, 2 to 35; measured from 5.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        5 % (from memory of Orr et al. 2018). Holds for natural shares of magnesium and sulphate.

    Source:
        Mucci 1983, Am. J. Sci. 283:780.

    >>> round(float(np.log10(calcite_solubility_product(35.0, 25.0))), 4)
    -6.3693
    """
    return as_given(
        solubility_products_unchecked(*checked_water(salinity, temperature_c))[1], salinity
    )


def total_boron_umol_kg(salinity: Number, source: BoronSource = "lee2010") -> Number:
    """Give the boron of natural seawater in µmol/kg.

    Args:
        salinity: Practical salinity, 19 to 43.
        source: Who measured it.

    Raises:
        ValueError: If a single salinity is out of range or the source is not known.

    Uncertainty:
        The two sources differ by 4 %, which moves pCO2 and saturation by 0.15 %. Artificial salt
        may hold several times as much.

    Source:
        Lee et al. 2010, GCA 74:1801; Uppström 1974, Deep-Sea Res. 21:161.

    >>> round(total_boron_umol_kg(35.0), 1), round(total_boron_umol_kg(35.0, "uppstrom1974"), 1)
    (432.6, 415.8)
    """
    if source not in BORON_UMOL_KG_PER_PSU:
        raise ValueError(f"source '{source}' is not one of {', '.join(BORON_UMOL_KG_PER_PSU)}")
    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    return as_given(checked * BORON_UMOL_KG_PER_PSU[source], salinity)


def total_calcium_umol_kg(salinity: Number) -> Number:
    """Give the calcium of natural seawater in µmol/kg.

    Args:
        salinity: Practical salinity, 19 to 43.

    Raises:
        ValueError: If a single salinity is out of range.

    Uncertainty:
        0.5 % in the ocean; a tank is wherever it was dosed to, so prefer a test.

    Source:
        Riley & Tongudai 1967, Chem. Geol. 2:263.

    >>> round(total_calcium_umol_kg(35.0))
    10285
    """
    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    return as_given(checked * _CALCIUM_UMOL_PER_PSU, salinity)


def element_umol_kg(
    element: str,
    concentration_mg_l: Number,
    salinity: Number | float,
    temperature_c: Number | float,
) -> Number:
    """Give a concentration in µmol/kg from the mg/L that a test shows.

    Args:
        element: Symbol such as ``Ca`` or ``B``, a key of ``ATOMIC_WEIGHTS``.
        concentration_mg_l: Concentration in mg/L, 0 to 1e5.
        salinity: Practical salinity, 0 to 42.
        temperature_c: Temperature in °C at which the volume was taken, -2 to 40.

    Raises:
        ValueError: If a single value is out of range or the element is not known.

    Uncertainty:
        0.02 % by computation. Leaving the density out would be 2.4 % off.

    Source:
        IUPAC 2021 atomic weights, EOS-80 density.

    >>> round(element_umol_kg("Ca", 422.0, 35.0, 25.0))
    10289
    """
    if element not in ATOMIC_WEIGHTS:
        raise ValueError(f"element '{element}' is not one of {', '.join(ATOMIC_WEIGHTS)}")
    checked = in_range(f"{element} concentration", concentration_mg_l, 0.0, 1e5, "mg/L")
    density = density_kg_m3(np.asarray(salinity, dtype=np.float64), temperature_c)
    return as_given(checked * 1e6 / (ATOMIC_WEIGHTS[element] * density), concentration_mg_l)


def fugacity_coefficient(temperature_c: FloatArray) -> FloatArray:
    """Give the fugacity of carbon dioxide for each unit of its partial pressure, at 1 atm.

    Args:
        temperature_c: Temperature in °C, 2 to 35, already checked.

    Source:
        Weiss 1974, Mar. Chem. 2:203, for a trace in air.

    >>> round(float(fugacity_coefficient(np.asarray(25.0))), 4)
    0.9968
    """
    kelvin = temperature_c + ZERO_CELSIUS_K
    virial = -1636.75 + kelvin * (12.0408 + kelvin * (-0.0327957 + 3.16528e-5 * kelvin))
    crossed = 57.7 - 0.118 * kelvin
    return np.asarray(np.exp((virial + 2 * crossed) * 1.01325 / (83.14462618 * kelvin)))
