"""Oxygen that water holds in balance with air, and what a reading is worth.

Salinity is practical salinity, temperature is ITS-90 in °C, pressure is that of the air at the
tank (``air_pressure``), not the one of the weather report.
"""

from __future__ import annotations

import numpy as np

from journal_tools.science.additives.stoichiometry import molar_mass_g_mol
from journal_tools.science.validity import FloatArray, Number, as_given, in_range
from journal_tools.science.water.air_pressure import STANDARD_PRESSURE_HPA
from journal_tools.science.water.seawater import SALINITY_RANGE, density_kg_m3

MOLAR_VOLUME_L_MOL = 22.3916
"""Volume of a mole of O2 at 0 °C and one atmosphere in L (Garcia & Gordon 1992)."""

MG_PER_ML_STP = molar_mass_g_mol("O2") / MOLAR_VOLUME_L_MOL
"""Oxygen in mg for each ml at 0 °C and one atmosphere."""

TEMPERATURE_RANGE_C = (-2.0, 40.0)
PRESSURE_RANGE_HPA = (200.0, 1200.0)


def oxygen_solubility_umol_kg(
    salinity: Number,
    temperature_c: Number | float,
    pressure_hpa: Number | float = STANDARD_PRESSURE_HPA,
) -> Number:
    """Give the oxygen in µmol/kg of water in balance with moist air.

    Args:
        salinity: Practical salinity, 0 to 42.
        temperature_c: Temperature in °C, -2 to 40.
        pressure_hpa: Pressure of the air at the tank in hPa, 200 to 1200.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.3 %.

    Source:
        Garcia & Gordon 1992, Limnol. Oceanogr. 37:1307 (erratum 1993), coefficients of Benson &
        Krause 1984, through GSW-Python; pressure as in ``pressure_factor``.

    >>> round(oxygen_solubility_umol_kg(35.0, 25.0), 2)
    206.77
    """
    return as_given(_solubility(salinity, temperature_c, pressure_hpa), salinity)


def _solubility(
    salinity: float | FloatArray,
    temperature_c: float | FloatArray,
    pressure_hpa: float | FloatArray,
) -> FloatArray:
    import gsw

    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    celsius = in_range("temperature", temperature_c, *TEMPERATURE_RANGE_C, "°C")
    at_one_atmosphere = np.asarray(gsw.O2sol_SP_pt(checked, celsius))
    return np.asarray(at_one_atmosphere * _factor(checked, celsius, pressure_hpa))


def oxygen_solubility_mg_l(
    salinity: Number,
    temperature_c: Number | float,
    pressure_hpa: Number | float = STANDARD_PRESSURE_HPA,
) -> Number:
    """Give the oxygen in mg/L of water in balance with moist air.

    Args:
        salinity: Practical salinity, 0 to 42.
        temperature_c: Temperature in °C, -2 to 40.
        pressure_hpa: Pressure of the air at the tank in hPa, 200 to 1200.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.3 %.

    Source:
        ``oxygen_solubility_umol_kg`` with the density of EOS-80.

    >>> round(oxygen_solubility_mg_l(35.0, 25.0), 2)
    6.77
    """
    per_kg = _solubility(salinity, temperature_c, pressure_hpa)
    return as_given(np.asarray(per_kg * _mg_l_per_umol_kg(salinity, temperature_c)), salinity)


def _mg_l_per_umol_kg(
    salinity: float | FloatArray, temperature_c: float | FloatArray
) -> FloatArray:
    density = np.asarray(density_kg_m3(np.asarray(salinity, dtype=np.float64), temperature_c))
    return np.asarray(molar_mass_g_mol("O2") * density * 1e-6)


def oxygen_mg_l(
    oxygen_umol_kg: Number, salinity: Number | float, temperature_c: Number | float
) -> Number:
    """Give oxygen in mg/L from µmol/kg.

    Args:
        oxygen_umol_kg: Oxygen in µmol/kg, 0 to 2000.
        salinity: Practical salinity, 0 to 42.
        temperature_c: Temperature in °C at which the volume is taken, -2 to 40.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.01 %.

    Source:
        Molar mass and density of EOS-80.

    >>> round(oxygen_mg_l(206.77, 35.0, 25.0), 2)
    6.77
    """
    per_kg = in_range("oxygen", oxygen_umol_kg, 0.0, 2000.0, "µmol/kg")
    return as_given(np.asarray(per_kg * _mg_l_per_umol_kg(salinity, temperature_c)), oxygen_umol_kg)


def oxygen_mg_from_ml_stp(oxygen_ml: Number) -> Number:
    """Give oxygen in mg from ml at 0 °C and one atmosphere (so mg/L from ml/L).

    Args:
        oxygen_ml: Oxygen in ml, 0 to 1e6.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.01 %.

    Source:
        Molar volume of O2 as in Garcia & Gordon 1992.

    >>> round(oxygen_mg_from_ml_stp(1.0), 3)
    1.429
    """
    return as_given(in_range("oxygen", oxygen_ml, 0.0, 1e6, "ml") * MG_PER_ML_STP, oxygen_ml)


def oxygen_solubility_weiss_ml_l(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the oxygen in ml/L (0 °C, one atmosphere) by the older equation of Weiss.

    For comparison with older tables; ``oxygen_solubility_mg_l`` is the better one.

    Args:
        salinity: Practical salinity, 0 to 40.
        temperature_c: Temperature in °C, -1 to 40.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.4 %; it lies about 0.2 % below Garcia & Gordon.

    Source:
        Weiss 1970, Deep-Sea Res. 17:721, eq. 4, on IPTS-68.

    >>> round(oxygen_solubility_weiss_ml_l(35.0, 20.0), 3)
    5.165
    """
    checked = in_range("salinity", salinity, 0.0, 40.0, "psu")
    celsius = in_range("temperature", temperature_c, -1.0, 40.0, "°C")
    hundreds = (celsius * 1.00024 + 273.15) / 100
    fresh = -173.4292 + 249.6339 / hundreds + 143.3483 * np.log(hundreds) - 21.8492 * hundreds
    salting = checked * (-0.033096 + 0.014259 * hundreds - 0.0017000 * hundreds**2)
    return as_given(np.exp(fresh + salting), salinity)


def pressure_factor(
    pressure_hpa: Number, salinity: Number | float, temperature_c: Number | float
) -> Number:
    """Give the oxygen that water holds at an air pressure over that at one atmosphere.

    Args:
        pressure_hpa: Pressure of the air at the tank in hPa, 200 to 1200.
        salinity: Practical salinity, 0 to 42.
        temperature_c: Temperature in °C, -2 to 40.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.1 % above 700 hPa: oxygen is taken as an ideal gas.

    Source:
        (P - pw) / (1 - pw) with the vapour pressure of Weiss & Price 1980, Mar. Chem. 8:347.

    >>> round(pressure_factor(0.95 * 1013.25, 35.0, 26.0), 3)
    0.948
    """
    checked = in_range("salinity", salinity, *SALINITY_RANGE, "psu")
    celsius = in_range("temperature", temperature_c, *TEMPERATURE_RANGE_C, "°C")
    return as_given(_factor(checked, celsius, pressure_hpa), pressure_hpa)


def _factor(
    salinity: FloatArray, celsius: FloatArray, pressure_hpa: float | FloatArray
) -> FloatArray:
    pressure = in_range("air pressure", pressure_hpa, *PRESSURE_RANGE_HPA, "hPa")
    hundreds = (celsius + 273.15) / 100
    vapour_atm = np.exp(
        24.4543 - 67.4509 / hundreds - 4.8489 * np.log(hundreds) - 0.000544 * salinity
    )
    return np.asarray((pressure / STANDARD_PRESSURE_HPA - vapour_atm) / (1 - vapour_atm))


def oxygen_saturation_percent(
    oxygen_mg_l: Number,
    salinity: Number | float,
    temperature_c: Number | float,
    pressure_hpa: Number | float = STANDARD_PRESSURE_HPA,
) -> Number:
    """Give the saturation in percent of a reading that was taken with the true salinity.

    Args:
        oxygen_mg_l: Oxygen in mg/L, 0 to 60.
        salinity: Practical salinity, 0 to 42.
        temperature_c: Temperature in °C, -2 to 40.
        pressure_hpa: Pressure of the air at the tank in hPa, 200 to 1200.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.3 %, and the probe's 2 to 5 %.

    Source:
        Reading over ``oxygen_solubility_mg_l``.

    >>> round(oxygen_saturation_percent(6.2, 35.0, 26.0), 1)
    93.1
    """
    reading = in_range("oxygen", oxygen_mg_l, 0.0, 60.0, "mg/L")
    full = _solubility(salinity, temperature_c, pressure_hpa)
    full = full * _mg_l_per_umol_kg(salinity, temperature_c)
    return as_given(np.asarray(100 * reading / full), oxygen_mg_l)


def oxygen_with_true_salinity_mg_l(
    reading_mg_l: Number,
    set_salinity: Number | float,
    true_salinity: Number | float,
    temperature_c: Number | float,
) -> Number:
    """Give the oxygen in mg/L that a probe would have shown with its salinity set right.

    A probe senses the pressure of oxygen and computes mg/L: set to 0 in a reef it shows 22 % too
    much, while the percentage it shows is right and needs no correction.

    Args:
        reading_mg_l: Oxygen as shown in mg/L, 0 to 60.
        set_salinity: Practical salinity that the probe was set to, 0 to 42.
        true_salinity: Practical salinity of the water, 0 to 42.
        temperature_c: Temperature in °C, -2 to 40.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.5 %: a probe may use an older solubility.

    Source:
        Ratio of the solubilities in mg/L; the air pressure has no part in it.

    >>> round(oxygen_with_true_salinity_mg_l(8.26, 0.0, 35.0, 25.0), 2)
    6.77
    """
    reading = in_range("oxygen", reading_mg_l, 0.0, 60.0, "mg/L")
    true, assumed = (
        _solubility(salinity, temperature_c, STANDARD_PRESSURE_HPA)
        * _mg_l_per_umol_kg(salinity, temperature_c)
        for salinity in (true_salinity, set_salinity)
    )
    return as_given(np.asarray(reading * true / assumed), reading_mg_l)
