"""How much of the total ammonia is un-ionised, and how that compares with guideline values.

Total ammonia (NH3 and NH4+ together) is in mg/L of nitrogen unless a basis is named. A guideline
is a figure to compare with, never a verdict on the animals.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

import numpy as np

from journal_tools.science.additives.stoichiometry import mass_ratio
from journal_tools.science.carbonates.ph_scales import PhScale, convert_ph
from journal_tools.science.estimate import Estimate
from journal_tools.science.validity import FloatArray, Number, as_given, in_range

Basis = Literal["N", "NH3", "NH4"]
"""What a mass of ammonia counts: only the nitrogen, or the whole molecule or ion."""

PH_RANGE = (6.0, 10.0)

_KELVIN = 273.15


def pka_whitfield(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the pKa of ammonium in seawater for pH on the NBS scale, without unit.

    Args:
        salinity: Practical salinity, 5 to 40.
        temperature_c: Temperature in °C, 5 to 35.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.03, from the spread of published models.

    Source:
        Whitfield 1974 as in Bower & Bidwell 1978, J. Fish. Res. Bd Can. 35:1012; coefficients as
        in the Florida Department of Environmental Protection's procedure for un-ionised ammonia.

    >>> round(pka_whitfield(35.0, 25.0), 4)
    9.3524
    """
    checked = in_range("salinity", salinity, 5.0, 40.0, "psu")
    temperature = in_range("temperature", temperature_c, 5.0, 35.0, "°C")
    ionic_strength = 19.973 * checked / (1000 - 1.2005109 * checked)
    salt_term = (0.1552 - 0.0003142 * temperature) * ionic_strength
    return as_given(0.0901821 + 2729.92 / (temperature + 273.2) + salt_term, salinity)


def pka_epa_1989(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the pKa of ammonium at one atmosphere as in US EPA 1989, for pH on the NBS scale.

    Args:
        salinity: Practical salinity, 5 to 40.
        temperature_c: Temperature in °C, 5 to 35.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.03, from the spread of published models.

    Source:
        US EPA 440/5-88-004 (1989), formula from memory.

    >>> round(pka_epa_1989(35.0, 25.0), 4)
    9.3241
    """
    checked = in_range("salinity", salinity, 5.0, 40.0, "psu")
    kelvin = in_range("temperature", temperature_c, 5.0, 35.0, "°C") + _KELVIN
    ionic_strength = 19.9273 * checked / (1000 - 1.005109 * checked)
    pressure_term = 0.0415 / kelvin
    return as_given(
        9.245 + 0.116 * ionic_strength + 0.0324 * (298 - kelvin) + pressure_term, salinity
    )


def pka_clegg_whitfield(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the pKa of ammonium in seawater for pH on the total scale, without unit.

    Args:
        salinity: Practical salinity, 0 to 40.
        temperature_c: Temperature in °C, -2 to 40.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.0002 by the fit, on a pH of the total scale. A buffer-calibrated pH put in here
        overstates the share by a third.

    Source:
        Clegg & Whitfield 1995, Geochim. Cosmochim. Acta 59:2403, eq. 18, per kg of seawater.

    >>> round(pka_clegg_whitfield(35.0, 25.0), 4)
    9.2458
    """
    s = in_range("salinity", salinity, 0.0, 40.0, "psu")
    t = in_range("temperature", temperature_c, -2.0, 40.0, "°C") + _KELVIN
    root = np.sqrt(t)
    per_kg_water = (
        9.244605
        - 2729.33 * (1 / 298.15 - 1 / t)
        + (0.04203362 - 11.24742 / t) * s**0.25
        + (-13.6416 + 1.176949 * root - 0.02860785 * t + 545.4834 / t) * s**0.5
        + (-0.1462507 + 0.0090226468 * root - 0.0001471361 * t + 10.5425 / t) * s**1.5
        + (0.004669309 - 0.0001691742 * root - 0.5677934 / t) * s**2
        + (-2.354039e-05 + 0.009698623 / t) * s**2.5
    )
    return as_given(per_kg_water - np.log10(1 - 0.001005 * s), salinity)


def pka_emerson_freshwater(temperature_c: Number) -> Number:
    """Give the pKa of ammonium in fresh water: for comparison only, never for a reef.

    In seawater it overstates the un-ionised share by a quarter.

    Args:
        temperature_c: Temperature in °C, 0 to 35.

    Raises:
        ValueError: If a single temperature is out of range.

    Uncertainty:
        0.01 in fresh water.

    Source:
        Emerson et al. 1975, J. Fish. Res. Bd Can. 32:2379.

    >>> round(pka_emerson_freshwater(25.0), 4)
    9.2464
    """
    kelvin = in_range("temperature", temperature_c, 0.0, 35.0, "°C") + _KELVIN
    return as_given(0.09018 + 2729.92 / kelvin, temperature_c)


@dataclass(frozen=True, slots=True)
class AmmoniaModel:
    """A published pKa of ammonium in seawater and the pH scale that it must be used with.

    Attributes:
        ph_scale: Scale of the pH that goes with it.
        pka: Function of salinity and temperature in °C.
    """

    ph_scale: PhScale
    pka: Callable[[FloatArray, FloatArray], FloatArray]


MODELS: Mapping[str, AmmoniaModel] = MappingProxyType({
    "whitfield": AmmoniaModel("nbs", pka_whitfield),
    "epa-1989": AmmoniaModel("nbs", pka_epa_1989),
    "clegg-whitfield": AmmoniaModel("total", pka_clegg_whitfield),
})  # fmt: skip
"""Seawater models by name; the fresh-water one is left out on purpose."""

_DEFAULT_MODEL: Mapping[str, str] = {"nbs": "whitfield", "total": "clegg-whitfield"}


def un_ionised_share(
    ph: Number,
    salinity: Number | float,
    temperature_c: Number | float,
    ph_scale: PhScale,
    model: str | None = None,
) -> Number:
    """Give the un-ionised share of total ammonia, 0 to 1.

    Args:
        ph: pH, 6 to 10.
        salinity: Practical salinity, 5 to 40.
        temperature_c: Temperature in °C, 5 to 35.
        ph_scale: Scale of ``ph``: ``nbs`` for a probe set with ordinary buffers, or ``total``.
        model: Key of ``MODELS``; without one, ``whitfield`` for NBS, ``clegg-whitfield`` for total.

    Raises:
        ValueError: If a single value is out of range, the scale or model is not known, or the
            model is for the other scale.

    Uncertainty:
        7 % between models; a pH off by 0.1 is 24 %, a temperature off by 1 °C is 7 %.

    Source:
        1 / (1 + 10^(pKa - pH)) with the pKa of the model.

    >>> round(100 * un_ionised_share(8.2, 35.0, 25.0, "nbs"), 2)
    6.58
    """
    if ph_scale not in _DEFAULT_MODEL:
        raise ValueError(f"pH scale '{ph_scale}' is not one of {', '.join(_DEFAULT_MODEL)}")
    name = model or _DEFAULT_MODEL[ph_scale]
    if name not in MODELS:
        raise ValueError(f"ammonia model '{name}' is not one of {', '.join(MODELS)}")
    chosen = MODELS[name]
    if chosen.ph_scale != ph_scale:
        raise ValueError(
            f"ammonia model '{name}' is for pH on the {chosen.ph_scale} scale, not {ph_scale}"
        )
    return as_given(_share(chosen, in_range("pH", ph, *PH_RANGE), salinity, temperature_c), ph)


def _share(
    model: AmmoniaModel,
    ph: FloatArray,
    salinity: float | FloatArray,
    temperature_c: float | FloatArray,
) -> FloatArray:
    pka = model.pka(np.asarray(salinity), np.asarray(temperature_c))
    return np.asarray(1 / (1 + 10 ** (pka - ph)))


def un_ionised_share_estimate(
    ph_nbs: float, salinity: float, temperature_c: float, ph_error: float = 0.0
) -> Estimate:
    """Give the un-ionised share, 0 to 1, of one sample with the spread between published models.

    Args:
        ph_nbs: pH of a probe set with ordinary buffers, 6.2 to 9.8.
        salinity: Practical salinity, 20 to 40.
        temperature_c: Temperature in °C, 5 to 35.
        ph_error: How far the pH may be off, 0 to 0.2; a hobby probe 0.05 to 0.1.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty, Source:
        As :func:`un_ionised_share_spread`.

    >>> found = un_ionised_share_estimate(8.2, 35.0, 25.0)
    >>> [round(100 * share, 1) for share in (found.low, found.value, found.high)]
    [6.2, 6.6, 7.0]
    """
    found = un_ionised_share_spread(ph_nbs, salinity, temperature_c, ph_error)
    return Estimate(*(float(share) for share in found))


def un_ionised_share_spread(
    ph_nbs: FloatArray | float,
    salinity: FloatArray | float,
    temperature_c: FloatArray | float,
    ph_error: FloatArray | float,
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Give the usual, lowest and highest un-ionised share, 0 to 1, by three published models.

    Args:
        ph_nbs: pH of a probe set with ordinary buffers, 6.2 to 9.8. It is converted for the
            model that is on the total scale.
        salinity: Practical salinity, 20 to 40.
        temperature_c: Temperature in °C, 5 to 35.
        ph_error: How far the pH may be off, 0 to 0.2; a hobby probe 0.05 to 0.1.

    Returns:
        Arrays of the shape that the arguments have together; NaN where one is out of range.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        As returned: lowest model at the lowest pH, highest model at the highest pH.

    Source:
        ``MODELS``; the scale is changed with ``convert_ph``, itself good to 0.05 in pH.

    >>> [round(100 * float(x), 1) for x in un_ionised_share_spread(8.2, 35.0, 25.0, 0.0)]
    [6.6, 6.2, 7.0]
    """
    ph = in_range("pH", ph_nbs, 6.2, 9.8)
    checked = in_range("salinity", salinity, 20.0, 40.0, "psu")
    error = in_range("pH error", ph_error, 0.0, 0.2)
    total = np.asarray(convert_ph(ph, checked, temperature_c, "nbs", "total"))
    ph_on: Mapping[PhScale, FloatArray] = {"nbs": ph, "total": total}
    low, high = (
        [_share(model, ph_on[model.ph_scale] + off, checked, temperature_c)
         for model in MODELS.values()]
        for off in (-error, error)
    )  # fmt: skip
    value = _share(MODELS[_DEFAULT_MODEL["nbs"]], ph, checked, temperature_c)
    return value, np.minimum.reduce(low), np.maximum.reduce(high)


def ammonia_nitrogen_mg_l(reading_mg_l: Number, basis: Basis) -> Number:
    """Give ammonia in mg/L of nitrogen from a mass of another basis.

    It changes the unit only: a test that reports "NH3" still means total ammonia, counted in
    grams of NH3, not the un-ionised part.

    Args:
        reading_mg_l: Ammonia in mg/L as reported, 0 to 1000.
        basis: What those mg are of: ``N``, ``NH3`` or ``NH4``.

    Raises:
        ValueError: If a single value is out of range or the basis is not known.

    Uncertainty:
        0.01 %. Not knowing the basis is 18 to 29 %.

    Source:
        Molar masses.

    >>> round(ammonia_nitrogen_mg_l(1.0, "NH3"), 4)
    0.8224
    """
    reading = in_range("ammonia", reading_mg_l, 0.0, 1000.0, "mg/L")
    return as_given(reading / _per_nitrogen(basis), reading_mg_l)


def ammonia_mg_l(nitrogen_mg_l: Number, basis: Basis) -> Number:
    """Give ammonia in mg/L of the named basis from mg/L of nitrogen.

    Args:
        nitrogen_mg_l: Ammonia in mg/L N, 0 to 1000.
        basis: What the result counts: ``N``, ``NH3`` or ``NH4``.

    Raises:
        ValueError: If a single value is out of range or the basis is not known.

    Uncertainty:
        0.01 %.

    Source:
        Molar masses.

    >>> round(ammonia_mg_l(1.0, "NH3"), 4)
    1.2159
    """
    nitrogen = in_range("ammonia nitrogen", nitrogen_mg_l, 0.0, 1000.0, "mg/L")
    return as_given(nitrogen * _per_nitrogen(basis), nitrogen_mg_l)


def _per_nitrogen(basis: str) -> float:
    if basis not in ("N", "NH3", "NH4"):
        raise ValueError(f"ammonia basis '{basis}' is not one of N, NH3, NH4")
    return mass_ratio(basis, "N")


def un_ionised_ammonia_mg_l(
    total_ammonia_n_mg_l: Number,
    ph: Number | float,
    salinity: Number | float,
    temperature_c: Number | float,
    ph_scale: PhScale,
    basis: Basis,
) -> Number:
    """Give the un-ionised ammonia in mg/L of the named basis.

    Args:
        total_ammonia_n_mg_l: Total ammonia in mg/L N, 0 to 1000.
        ph: pH, 6 to 10.
        salinity: Practical salinity, 5 to 40.
        temperature_c: Temperature in °C, 5 to 35.
        ph_scale: Scale of the pH, ``nbs`` or ``total``.
        basis: ``NH3`` for a comparison with a guideline as NH3, ``N`` for nitrogen.

    Raises:
        ValueError: If a single value is out of range, or the scale or basis is not known.

    Uncertainty:
        As for ``un_ionised_share``, and the test kit.

    Source:
        ``un_ionised_share``.

    >>> round(un_ionised_ammonia_mg_l(0.5, 8.2, 35.0, 25.0, "nbs", "NH3"), 4)
    0.04
    """
    share = un_ionised_share(np.asarray(ph, dtype=np.float64), salinity, temperature_c, ph_scale)
    nitrogen = in_range("total ammonia", total_ammonia_n_mg_l, 0.0, 1000.0, "mg/L")
    return as_given(np.asarray(nitrogen * share * _per_nitrogen(basis)), total_ammonia_n_mg_l)
