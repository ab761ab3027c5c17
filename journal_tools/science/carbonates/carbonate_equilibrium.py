"""The carbonate system where the pH is not known: from carbon dioxide, air or total carbon."""

from __future__ import annotations

import numpy as np

from journal_tools.science.carbonates.carbonate import (
    CarbonateSystem,
    checked_alkalinity,
    checked_contents,
    system_of,
)
from journal_tools.science.carbonates.carbonate_solver import ph_at_pco2, ph_from_dic
from journal_tools.science.carbonates.ph_scales import ZERO_CELSIUS_K, PhScale, checked_water
from journal_tools.science.validity import Number, as_given, in_range

PCO2_RANGE_UATM = (1.0, 1e6)
DIC_RANGE_UMOL_KG = (10.0, 50_000.0)
HPA_PER_ATM = 1013.25


def carbonate_system_at_pco2(  # noqa: PLR0913  (what is measured, each by its name)
    alkalinity_umol_kg: Number,
    pco2_uatm: Number | float,
    salinity: Number | float,
    temperature_c: Number | float,
    *,
    ph_scale: PhScale,
    calcium_mg_l: Number | float | None = None,
    boron_umol_kg: Number | float | None = None,
) -> CarbonateSystem[Number]:
    """Give the carbonate system of water in balance with carbon dioxide, in µmol/kg.

    Args:
        alkalinity_umol_kg: Total alkalinity in µmol/kg, 100 to 25000. Gas does not change it.
        pco2_uatm: Partial pressure of carbon dioxide in µatm, 1 to 1e6; from the ppm of a meter
            by ``pco2_of_air_uatm``.
        salinity: Practical salinity, 19 to 43; 20 to 40 on the ``nbs`` scale.
        temperature_c: Temperature in °C, 2 to 35.
        ph_scale: Scale that the pH is wanted on.
        calcium_mg_l: Calcium in mg/L, 20 to 2000; left out, natural.
        boron_umol_kg: Boron in µmol/kg, 0 to 10000; left out, natural.

    Raises:
        ValueError: If a single value is out of range, the pH that results included.

    Uncertainty:
        0.01 in pH and 3 % in saturation by computation; 0.05 more in pH on ``nbs``.

    Source:
        As for ``carbonate_system``.

    >>> outside = carbonate_system_at_pco2(2788.1, 425.0, 35.0, 25.0, ph_scale="nbs")
    >>> round(outside.ph, 2), round(outside.dic_umol_kg)
    (8.23, 2407)
    """
    water = checked_contents(salinity, temperature_c, calcium_mg_l, boron_umol_kg, ph_scale)
    alkalinity = checked_alkalinity(alkalinity_umol_kg)
    pco2 = in_range("carbon dioxide", pco2_uatm, *PCO2_RANGE_UATM, "µatm")
    ph = ph_at_pco2(alkalinity, pco2, ph_scale, water)
    return system_of(alkalinity, ph, ph_scale, water, alkalinity_umol_kg)


def carbonate_system_from_dic(  # noqa: PLR0913  (what is measured, each by its name)
    alkalinity_umol_kg: Number,
    dic_umol_kg: Number | float,
    salinity: Number | float,
    temperature_c: Number | float,
    *,
    ph_scale: PhScale,
    calcium_mg_l: Number | float | None = None,
    boron_umol_kg: Number | float | None = None,
) -> CarbonateSystem[Number]:
    """Give the carbonate system from alkalinity and total dissolved inorganic carbon.

    Args:
        alkalinity_umol_kg: Total alkalinity in µmol/kg, 100 to 25000.
        dic_umol_kg: Dissolved inorganic carbon in µmol/kg, 10 to 50000.
        salinity: Practical salinity, 19 to 43; 20 to 40 on the ``nbs`` scale.
        temperature_c: Temperature in °C, 2 to 35.
        ph_scale: Scale that the pH is wanted on.
        calcium_mg_l: Calcium in mg/L, 20 to 2000; left out, natural.
        boron_umol_kg: Boron in µmol/kg, 0 to 10000; left out, natural.

    Raises:
        ValueError: If a single value is out of range, the pH that results included.

    Uncertainty:
        0.01 in pH by computation; 5 µmol/kg in one of the inputs is 0.01 more.

    Source:
        As for ``carbonate_system``.

    >>> round(carbonate_system_from_dic(2788.1, 2407.0, 35.0, 25.0, ph_scale="nbs").ph, 2)
    8.23
    """
    water = checked_contents(salinity, temperature_c, calcium_mg_l, boron_umol_kg, ph_scale)
    alkalinity = checked_alkalinity(alkalinity_umol_kg)
    dic = in_range("inorganic carbon", dic_umol_kg, *DIC_RANGE_UMOL_KG, "µmol/kg")
    ph = ph_from_dic(alkalinity, dic, ph_scale, water)
    return system_of(alkalinity, ph, ph_scale, water, alkalinity_umol_kg)


def equilibrium_ph(
    alkalinity_umol_kg: Number,
    pco2_uatm: Number | float,
    salinity: Number | float,
    temperature_c: Number | float,
    ph_scale: PhScale,
) -> Number:
    """Give the pH of water in balance with a partial pressure of carbon dioxide.

    Args:
        alkalinity_umol_kg: Total alkalinity in µmol/kg, 100 to 25000.
        pco2_uatm: Partial pressure of carbon dioxide in µatm, 1 to 1e6.
        salinity: Practical salinity, 19 to 43; 20 to 40 on the ``nbs`` scale.
        temperature_c: Temperature in °C, 2 to 35.
        ph_scale: Scale that the pH is wanted on.

    Raises:
        ValueError: If a single value is out of range, the pH that results included.

    Uncertainty:
        0.01 by computation; 0.05 more on ``nbs``.

    Source:
        As for ``carbonate_system``.

    >>> round(equilibrium_ph(2788.1, 1000.0, 35.0, 25.0, "nbs"), 2)
    7.92
    """
    return carbonate_system_at_pco2(
        alkalinity_umol_kg, pco2_uatm, salinity, temperature_c, ph_scale=ph_scale
    ).ph


def equilibrium_ph_in_air(
    alkalinity_umol_kg: Number,
    co2_ppm: Number | float,
    salinity: Number | float,
    temperature_c: Number | float,
    ph_scale: PhScale,
    pressure_hpa: Number | float = HPA_PER_ATM,
) -> Number:
    """Give the pH of water in balance with air whose carbon dioxide a meter shows in ppm.

    Args:
        alkalinity_umol_kg: Total alkalinity in µmol/kg, 100 to 25000.
        co2_ppm: Carbon dioxide in ppm of dry air, 1 to 1e6.
        salinity: Practical salinity, 19 to 40; 20 to 40 on the ``nbs`` scale.
        temperature_c: Temperature of the water in °C, 2 to 35.
        ph_scale: Scale that the pH is wanted on.
        pressure_hpa: Air pressure at the place in hPa, 600 to 1100.

    Raises:
        ValueError: If a single value is out of range, the pH that results included.

    Uncertainty:
        As for ``equilibrium_ph``; 10 % in ppm is 0.035.

    Source:
        As for ``pco2_of_air_uatm`` and ``carbonate_system``.

    >>> round(equilibrium_ph_in_air(2788.1, 425.0, 35.0, 25.0, "nbs"), 2)
    8.24
    """
    pco2 = pco2_of_air_uatm(np.asarray(co2_ppm), salinity, temperature_c, pressure_hpa)
    checked = in_range("carbon dioxide", pco2, *PCO2_RANGE_UATM, "µatm")
    water = checked_contents(salinity, temperature_c, None, None, ph_scale)
    ph = ph_at_pco2(checked_alkalinity(alkalinity_umol_kg), checked, ph_scale, water)
    return as_given(ph, alkalinity_umol_kg)


def dic_at_pco2_umol_kg(
    alkalinity_umol_kg: Number,
    pco2_uatm: Number | float,
    salinity: Number | float,
    temperature_c: Number | float,
) -> Number:
    """Give the dissolved inorganic carbon in µmol/kg of water in balance with carbon dioxide.

    Args:
        alkalinity_umol_kg: Total alkalinity in µmol/kg, 100 to 25000.
        pco2_uatm: Partial pressure of carbon dioxide in µatm, 1 to 1e6.
        salinity: Practical salinity, 19 to 43.
        temperature_c: Temperature in °C, 2 to 35.

    Raises:
        ValueError: If a single value is out of range, the pH that results included.

    Uncertainty:
        0.3 % by computation.

    Source:
        As for ``carbonate_system``.

    >>> round(dic_at_pco2_umol_kg(2788.1, 1000.0, 35.0, 25.0))
    2599
    """
    return carbonate_system_at_pco2(
        alkalinity_umol_kg, pco2_uatm, salinity, temperature_c, ph_scale="total"
    ).dic_umol_kg


def water_vapour_pressure_atm(salinity: Number, temperature_c: Number | float) -> Number:
    """Give the pressure of water vapour over seawater in atm.

    Args:
        salinity: Practical salinity, 0 to 40.
        temperature_c: Temperature in °C, 0 to 40.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        0.015 %, from memory of the paper.

    Source:
        Weiss & Price 1980, Mar. Chem. 8:347, equation 10.

    >>> round(water_vapour_pressure_atm(35.0, 25.0), 5)
    0.03066
    """
    checked = in_range("salinity", salinity, 0.0, 40.0, "psu")
    kelvin = in_range("temperature", temperature_c, 0.0, 40.0, "°C") + ZERO_CELSIUS_K
    ln_pressure = 24.4543 - 6745.09 / kelvin - 4.8489 * np.log(kelvin / 100) - 0.000544 * checked
    return as_given(np.asarray(np.exp(ln_pressure)), salinity)


def pco2_of_air_uatm(
    co2_ppm: Number,
    salinity: Number | float,
    temperature_c: Number | float,
    pressure_hpa: Number | float = HPA_PER_ATM,
) -> Number:
    """Give the partial pressure of carbon dioxide in µatm from its ppm of dry air.

    At the water the air is saturated with vapour, which leaves less room: 3 % at 25 °C.

    Args:
        co2_ppm: Carbon dioxide in ppm of dry air, 1 to 1e6.
        salinity: Practical salinity, 19 to 40.
        temperature_c: Temperature of the water in °C, 2 to 35.
        pressure_hpa: Air pressure at the place in hPa, 600 to 1100; not the one of weather reports,
            which is brought to sea level: 1000 m up is 12 % less.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        That of the meter, often 50 ppm (common practice, no source).

    Source:
        Dalton's law; vapour by Weiss & Price 1980.

    >>> round(pco2_of_air_uatm(425.0, 35.0, 25.0))
    412
    """
    checked = in_range("carbon dioxide", co2_ppm, 1.0, 1e6, "ppm")
    pressure = in_range("air pressure", pressure_hpa, 600.0, 1100.0, "hPa") / HPA_PER_ATM
    psu, celsius = checked_water(salinity, temperature_c)
    return as_given(checked * (pressure - water_vapour_pressure_atm(psu, celsius)), co2_ppm)
