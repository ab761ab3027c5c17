"""Molar masses, units of alkalinity, and what a gram of salt brings into water."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Literal

import numpy as np

from journal_tools.science.validity import Number, as_given, in_range, in_scalar_range
from journal_tools.science.water.seawater import density_kg_m3

ATOMIC_WEIGHTS: Mapping[str, float] = MappingProxyType({
    "H": 1.007975, "B": 10.8135, "C": 12.0106, "N": 14.006855, "O": 15.9994, "F": 18.998403162,
    "Na": 22.98976928, "Mg": 24.3055, "Si": 28.085, "P": 30.973761998, "S": 32.0675,
    "Cl": 35.4515, "K": 39.0983, "Ca": 40.078, "Br": 79.904, "Sr": 87.62, "I": 126.90447,
})  # fmt: skip
"""Standard atomic weights, IUPAC 2021 (Prohaska et al. 2022, Pure Appl. Chem. 94:573).

Where the standard gives an interval of natural materials, its middle is taken. The rounded
(abridged) table would move an ion-to-element factor by 0.004 % and CaCl2 by 0.006 g/mol.
"""


@lru_cache(maxsize=256)
def molar_mass_g_mol(formula: str) -> float:
    """Give the molar mass in g/mol.

    Args:
        formula: Chemical formula; one level of brackets, water of crystallisation after a dot.

    Raises:
        ValueError: If the formula cannot be read or holds an element that is not listed.

    Uncertainty:
        0.01 %: natural materials differ in their isotopes.

    Source:
        Sum of ``ATOMIC_WEIGHTS``.

    >>> round(molar_mass_g_mol("CaCO3"), 2), round(molar_mass_g_mol("CaCl2·2H2O"), 2)
    (100.09, 147.01)
    """
    main, *hydrates = re.split(r"[·.*]", formula)
    total = _part_mass(main, formula)
    for hydrate in hydrates:
        molecule = hydrate.lstrip("0123456789")
        count = hydrate.removesuffix(molecule)
        total += int(count or 1) * _part_mass(molecule, formula)
    return total


def _part_mass(part: str, formula: str) -> float:
    flat = re.sub(r"\(([A-Za-z0-9]+)\)(\d*)", _opened, part)
    pieces = re.findall(r"([A-Z][a-z]?)(\d*)", flat)
    if not pieces or "".join(symbol + count for symbol, count in pieces) != flat:
        raise ValueError(f"formula '{formula}' cannot be read")
    unknown = [symbol for symbol, _ in pieces if symbol not in ATOMIC_WEIGHTS]
    if unknown:
        raise ValueError(f"formula '{formula}' holds {unknown[0]}, which has no listed weight")
    return sum(ATOMIC_WEIGHTS[symbol] * int(count or 1) for symbol, count in pieces)


def _opened(bracket: re.Match[str]) -> str:
    return bracket[1] * int(bracket[2] or 1)


def mass_ratio(part: str, of: str) -> float:
    """Give the grams of one formula that correspond to a gram of another, mole for mole.

    Args:
        part: Formula of the result, such as NO3.
        of: Formula of the given mass, such as N.

    Raises:
        ValueError: If a formula cannot be read.

    Uncertainty:
        0.01 %.

    Source:
        Ratio of molar masses.

    >>> round(mass_ratio("NO3", "N"), 4)
    4.4268
    """
    return molar_mass_g_mol(part) / molar_mass_g_mol(of)


MG_L_CACO3_PER_MEQ_L = molar_mass_g_mol("CaCO3") / 2
"""Alkalinity of 1 meq/L in mg/L CaCO3."""

MEQ_L_PER_DKH = 10 / (molar_mass_g_mol("CaO") / 2)
"""Alkalinity of 1 dKH in meq/L: a German degree is 10 mg/L CaO (DIN 38409-7)."""

MG_L_CACO3_PER_DKH = MEQ_L_PER_DKH * MG_L_CACO3_PER_MEQ_L
"""Alkalinity of 1 dKH in mg/L CaCO3."""

CALCIUM_MG_L_PER_DKH = MEQ_L_PER_DKH * ATOMIC_WEIGHTS["Ca"] / 2
"""Calcium in mg/L that pure CaCO3 holds for each dKH: 7.147."""


def alkalinity_umol_kg(
    alkalinity_dkh: Number, salinity: Number | float, temperature_c: Number | float
) -> Number:
    """Give the alkalinity in µmol/kg, as ocean chemistry counts it.

    Args:
        alkalinity_dkh: Alkalinity in dKH, 0 to 200.
        salinity: Practical salinity, 0 to 42.
        temperature_c: Temperature in °C at which the volume was taken, -2 to 40.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        0.01 % by computation. Leaving the density out would be 2.4 % off.

    Source:
        DIN 38409-7 for the degree, EOS-80 for the density.

    >>> round(alkalinity_umol_kg(8.0, 35.0, 25.0), 1)
    2788.1
    """
    checked = in_range("alkalinity", alkalinity_dkh, 0.0, 200.0, "dKH")
    density = np.asarray(density_kg_m3(np.asarray(salinity), np.asarray(temperature_c)))
    return as_given(checked * (MEQ_L_PER_DKH * 1e6 / density), alkalinity_dkh)


def alkalinity_dkh(alkalinity_umol_kg: Number, salinity: float, temperature_c: float) -> Number:
    """Give the alkalinity in dKH from µmol/kg.

    Args:
        alkalinity_umol_kg: Alkalinity in µmol/kg, 0 to 70000.
        salinity: Practical salinity, 0 to 42.
        temperature_c: Temperature in °C at which the volume is taken, -2 to 40.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        0.01 % by computation.

    Source:
        As for ``alkalinity_umol_kg``, inverted.

    >>> round(alkalinity_dkh(2300.0, 35.0, 25.0), 2)
    6.6
    """
    checked = in_range("alkalinity", alkalinity_umol_kg, 0.0, 70_000.0, "µmol/kg")
    per_kg = MEQ_L_PER_DKH * 1e6 / density_kg_m3(salinity, temperature_c)
    return as_given(checked / per_kg, alkalinity_umol_kg)


@dataclass(frozen=True, slots=True)
class Salt:
    """What one formula unit of a salt brings into seawater.

    Attributes:
        formula: Chemical formula, the key in ``SALTS``.
        equivalents: Alkalinity in eq/mol.
        calcium: Ca atoms.
        magnesium: Mg atoms.
    """

    formula: str
    equivalents: int = 0
    calcium: int = 0
    magnesium: int = 0

    @property
    def alkalinity_meq_g(self) -> float:
        """Alkalinity in meq for each g."""
        return 1000 * self.equivalents / molar_mass_g_mol(self.formula)

    @property
    def calcium_mg_g(self) -> float:
        """Calcium in mg for each g."""
        return 1000 * self.calcium * mass_ratio("Ca", self.formula)

    @property
    def magnesium_mg_g(self) -> float:
        """Magnesium in mg for each g."""
        return 1000 * self.magnesium * mass_ratio("Mg", self.formula)


SALTS: Mapping[str, Salt] = MappingProxyType({
    salt.formula: salt
    for salt in (
        Salt("NaHCO3", equivalents=1), Salt("Na2CO3", equivalents=2), Salt("NaOH", equivalents=1),
        Salt("CaCO3", equivalents=2, calcium=1), Salt("CaO", equivalents=2, calcium=1),
        Salt("Ca(OH)2", equivalents=2, calcium=1),
        Salt("CaCl2", calcium=1), Salt("CaCl2·2H2O", calcium=1), Salt("CaCl2·6H2O", calcium=1),
        Salt("MgCl2", magnesium=1), Salt("MgCl2·6H2O", magnesium=1),
        Salt("MgSO4", magnesium=1), Salt("MgSO4·7H2O", magnesium=1),
    )
})  # fmt: skip
"""Salts of calcium, magnesium and alkalinity supplements by formula. Caution: oxides, hydroxides
and carbonates are caustic; wear gloves and eye protection and follow the label of the product."""


@dataclass(frozen=True, slots=True)
class DoseEffect:
    """How far a dose lifts the water.

    Attributes:
        alkalinity_dkh: Rise of alkalinity in dKH.
        calcium_mg_l: Rise of calcium in mg/L.
        magnesium_mg_l: Rise of magnesium in mg/L.
    """

    alkalinity_dkh: float
    calcium_mg_l: float
    magnesium_mg_l: float


def effect_of_dose(
    formula: str, mass_g: float, net_volume_l: float, purity: float = 1.0
) -> DoseEffect:
    """Give what a mass of salt adds to a volume of water, in dKH and mg/L.

    Args:
        formula: Salt, a key of ``SALTS``, with its water of crystallisation.
        mass_g: Mass in g, 0 to 1e6.
        net_volume_l: Net water volume of the system in L, 0.1 to 1e6.
        purity: Share of the mass that is this formula, 0.3 to 1.

    Raises:
        ValueError: If the salt is not known or a value is out of range.

    Uncertainty:
        0.01 % for the pure salt. Damp or half-hydrated salt is the true limit: calcium chloride
        sold as anhydrous is often 77 to 96 % (common practice, no source).

    Source:
        Molar masses; alkalinity as in Wolf-Gladrow et al. 2007, Mar. Chem. 106:287.

    >>> round(effect_of_dose("NaHCO3", 3.0, 100.0).alkalinity_dkh, 3)
    1.001
    """
    salt = _salt(formula)
    mass = in_scalar_range("mass", mass_g, 0.0, 1e6, "g")
    per_l = mass * in_scalar_range("purity", purity, 0.3, 1.0) / _net(net_volume_l)
    return DoseEffect(
        per_l * salt.alkalinity_meq_g / MEQ_L_PER_DKH,
        per_l * salt.calcium_mg_g,
        per_l * salt.magnesium_mg_g,
    )


def effect_of_solution(
    formula: str, volume_ml: float, strength_g_l: float, net_volume_l: float, purity: float = 1.0
) -> DoseEffect:
    """Give what a volume of a home-made solution adds to a volume of water, in dKH and mg/L.

    Args:
        formula: Salt, a key of ``SALTS``, with its water of crystallisation.
        volume_ml: Dose in ml, 0 to 1e6.
        strength_g_l: Salt in g for each L of finished solution, 0 to 1000.
        net_volume_l: Net water volume of the system in L, 0.1 to 1e6.
        purity: Share of the salt that is this formula, 0.3 to 1.

    Raises:
        ValueError: If the salt is not known or a value is out of range.

    Uncertainty:
        As for ``effect_of_dose``, and the pump or measuring cup.

    Source:
        As for ``effect_of_dose``.

    >>> round(effect_of_solution("CaCl2·2H2O", 36.68, 100.0, 100.0).calcium_mg_l, 2)
    10.0
    """
    volume = in_scalar_range("dose", volume_ml, 0.0, 1e6, "ml")
    strength = in_scalar_range("strength", strength_g_l, 0.0, 1000.0, "g/L")
    return effect_of_dose(formula, volume * strength / 1000, net_volume_l, purity)


def _salt(formula: str) -> Salt:
    key = re.sub("[.*]", "·", formula)
    if key not in SALTS:
        raise ValueError(f"salt '{formula}' is not one of {', '.join(SALTS)}")
    return SALTS[key]


def _net(net_volume_l: float) -> float:
    return in_scalar_range("net volume", net_volume_l, 0.1, 1e6, "L")


Target = Literal["alkalinity_dkh", "calcium_mg_l", "magnesium_mg_l"]


def mass_for_rise_g(formula: str, target: Target, rise: float, net_volume_l: float) -> float:
    """Give the mass of pure salt in g that lifts one quantity by a given amount.

    Args:
        formula: Salt, a key of ``SALTS``.
        target: Which field of ``DoseEffect`` is to rise.
        rise: By how much, in the unit of that field, 0 to 1e4.
        net_volume_l: Net water volume of the system in L, 0.1 to 1e6.

    Raises:
        ValueError: If the salt does not bring this, or a value is out of range.

    Uncertainty:
        As for ``effect_of_dose``.

    Source:
        ``effect_of_dose``, inverted.

    >>> round(mass_for_rise_g("NaHCO3", "alkalinity_dkh", 1.0, 100.0), 3)
    2.996
    """
    wanted = in_scalar_range("rise", rise, 0.0, 1e4)
    per_gram: float = getattr(effect_of_dose(formula, 1.0, net_volume_l), target)
    if per_gram == 0:
        raise ValueError(f"salt '{formula}' does not raise {target}")
    return wanted / per_gram
