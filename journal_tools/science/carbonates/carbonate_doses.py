"""What a dose, or more or less carbon dioxide in the air, does to the carbonate system.

Nothing is precipitated here: where a dose brings the pH to 8.6 and more, real water may turn cloudy
and lose what was dosed. Caution: carbonates, oxides and hydroxides are caustic, and a large
or fast dose kills; follow the label, wear gloves and eye protection.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from journal_tools.science.additives.stoichiometry import SALTS
from journal_tools.science.carbonates.carbonate import (
    CarbonateSystem,
    checked_alkalinity,
    system_of,
)
from journal_tools.science.carbonates.carbonate_equilibrium import (
    DIC_RANGE_UMOL_KG,
    PCO2_RANGE_UATM,
)
from journal_tools.science.carbonates.carbonate_solver import ph_at_pco2, ph_from_dic
from journal_tools.science.validity import Number, in_range

CARBON_ATOMS: Mapping[str, int] = MappingProxyType({
    "NaHCO3": 1, "Na2CO3": 1, "CaCO3": 1, "NaOH": 0, "CaO": 0, "Ca(OH)2": 0,
})  # fmt: skip
"""Carbon in a formula unit of each salt of ``SALTS`` that brings alkalinity."""


def after_dose(
    before: CarbonateSystem[Number],
    alkalinity_change_umol_kg: Number | float,
    dic_change_umol_kg: Number | float,
    calcium_change_umol_kg: Number | float = 0.0,
) -> CarbonateSystem[Number]:
    """Give the carbonate system right after a dose, before any gas has passed the surface.

    Args:
        before: The water before it.
        alkalinity_change_umol_kg: What the dose adds (or takes, below 0) in µmol/kg.
        dic_change_umol_kg: Inorganic carbon that it adds in µmol/kg.
        calcium_change_umol_kg: Calcium that it adds in µmol/kg.

    Raises:
        ValueError: If a single value that results is out of range.

    Uncertainty:
        0.01 in the change of pH by computation; local peaks near the outlet are far higher.

    Source:
        Conservation of alkalinity and carbon: Wolf-Gladrow et al. 2007, Mar. Chem. 106:287.

    >>> from journal_tools.science.carbonates.carbonate import carbonate_system
    >>> tank = carbonate_system(2788.1, 8.2, 35.0, 25.0, ph_scale="nbs")
    >>> round(after_dose(tank, 0.0, 100.0).ph, 2)  # 100 µmol/kg of carbon dioxide
    8.05
    """
    alkalinity = checked_alkalinity(np.add(before.alkalinity_umol_kg, alkalinity_change_umol_kg))
    total = np.add(before.dic_umol_kg, dic_change_umol_kg)
    dic = in_range("inorganic carbon after the dose", total, *DIC_RANGE_UMOL_KG, "µmol/kg")
    rise = np.add(before.water.calcium_umol_kg, calcium_change_umol_kg)
    calcium = in_range("calcium after the dose", rise, 0.0, np.inf, "µmol/kg")
    water = replace(before.water, calcium_umol_kg=calcium)
    ph = ph_from_dic(alkalinity, dic, before.ph_scale, water)
    return system_of(alkalinity, ph, before.ph_scale, water, before.ph)


def after_salt(
    before: CarbonateSystem[Number], formula: str, alkalinity_change_umol_kg: Number | float
) -> CarbonateSystem[Number]:
    """Give the carbonate system right after a dose of one salt, before any gas exchange.

    Args:
        before: The water before it.
        formula: Salt, a key of ``CARBON_ATOMS``. A negative change of ``CaCO3`` is calcification.
        alkalinity_change_umol_kg: Alkalinity that the dose adds in µmol/kg; 1 dKH is 348.5.

    Raises:
        ValueError: If the salt is not known, or a single value that results is out of range.

    Uncertainty:
        As for ``after_dose``.

    Source:
        As for ``after_dose``.

    >>> from journal_tools.science.carbonates.carbonate import carbonate_system
    >>> tank = carbonate_system(2788.1, 8.2, 35.0, 25.0, ph_scale="nbs")
    >>> [round(after_salt(tank, salt, 348.5).ph, 2) for salt in ("NaHCO3", "Na2CO3", "Ca(OH)2")]
    [8.16, 8.37, 8.55]
    """
    if formula not in CARBON_ATOMS:
        raise ValueError(f"salt '{formula}' is not one of {', '.join(CARBON_ATOMS)}")
    salt = SALTS[formula]
    carbon = alkalinity_change_umol_kg * (CARBON_ATOMS[formula] / salt.equivalents)
    calcium = alkalinity_change_umol_kg * (salt.calcium / salt.equivalents)
    return after_dose(before, alkalinity_change_umol_kg, carbon, calcium)


def after_gas_exchange(
    before: CarbonateSystem[Number], pco2_uatm: Number | float
) -> CarbonateSystem[Number]:
    """Give the carbonate system once the water is in balance with air; alkalinity stays.

    Args:
        before: The water before it.
        pco2_uatm: Partial pressure of carbon dioxide in µatm, 1 to 1e6.

    Raises:
        ValueError: If a single value is out of range, the pH that results included.

    Uncertainty:
        0.01 in pH by computation. How long it takes, hours to a day, is not said; a stocked tank
        never quite gets there.

    Source:
        As for ``carbonate_system``.

    >>> from journal_tools.science.carbonates.carbonate import carbonate_system
    >>> tank = carbonate_system(2788.1, 8.2, 35.0, 25.0, ph_scale="nbs")
    >>> round(after_gas_exchange(after_salt(tank, "Ca(OH)2", 348.5), 425.0).ph, 2)
    8.27
    """
    pco2 = in_range("carbon dioxide", pco2_uatm, *PCO2_RANGE_UATM, "µatm")
    alkalinity = np.asarray(before.alkalinity_umol_kg)
    ph = ph_at_pco2(alkalinity, pco2, before.ph_scale, before.water)
    return system_of(alkalinity, ph, before.ph_scale, before.water, before.ph)
