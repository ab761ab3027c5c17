"""What any weighed salt brings into a tank, ion by ion, dry or in any volume of solution.

``stoichiometry`` has calcium, magnesium and alkalinity in the form that dosing logs use; here is
every ion, for trace and nutrient salts too. Caution: several of these are caustic, oxidising or
poisonous by the spoon; goggles and gloves, the label and the safety sheet of the product rule.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from journal_tools.science.additives.stoichiometry import (
    MEQ_L_PER_DKH,
    mass_ratio,
    molar_mass_g_mol,
)
from journal_tools.science.estimate import Estimate
from journal_tools.science.validity import in_scalar_range

Ion = Literal["Na", "K", "Ca", "Mg", "Sr", "NH4", "Cl", "SO4", "Br", "I", "F", "NO3", "PO4", "B"]
"""What a salt can bring; iodine, boron and phosphorus are counted in whatever form they have."""


@dataclass(frozen=True, slots=True)
class IonSource:
    """A salt by the formula unit.

    Attributes:
        formula: Chemical formula with its water of crystallisation.
        ions: How many of each ion one formula unit holds.
        equivalents: Alkalinity in eq/mol.
    """

    formula: str
    ions: Mapping[Ion, int]
    equivalents: int = 0

    def ion_mg_g(self, ion: Ion) -> float:
        """Give the ion in mg for each g of the pure salt."""
        return 1000 * self.ions.get(ion, 0) * mass_ratio(ion, self.formula)

    @property
    def alkalinity_meq_g(self) -> float:
        """Alkalinity in meq for each g of the pure salt."""
        return 1000 * self.equivalents / molar_mass_g_mol(self.formula)


_SOURCES = (
    IonSource("NaHCO3", {"Na": 1}, 1), IonSource("Na2CO3", {"Na": 2}, 2),
    IonSource("NaOH", {"Na": 1}, 1), IonSource("KHCO3", {"K": 1}, 1),
    IonSource("CaCO3", {"Ca": 1}, 2), IonSource("CaO", {"Ca": 1}, 2),
    IonSource("Ca(OH)2", {"Ca": 1}, 2), IonSource("MgCO3", {"Mg": 1}, 2),
    IonSource("Mg(OH)2", {"Mg": 1}, 2),
    IonSource("NaCl", {"Na": 1, "Cl": 1}), IonSource("KCl", {"K": 1, "Cl": 1}),
    IonSource("CaCl2", {"Ca": 1, "Cl": 2}), IonSource("CaCl2·2H2O", {"Ca": 1, "Cl": 2}),
    IonSource("CaCl2·6H2O", {"Ca": 1, "Cl": 2}),
    IonSource("MgCl2", {"Mg": 1, "Cl": 2}), IonSource("MgCl2·6H2O", {"Mg": 1, "Cl": 2}),
    IonSource("MgSO4", {"Mg": 1, "SO4": 1}), IonSource("MgSO4·7H2O", {"Mg": 1, "SO4": 1}),
    IonSource("SrCl2", {"Sr": 1, "Cl": 2}), IonSource("SrCl2·6H2O", {"Sr": 1, "Cl": 2}),
    IonSource("Na2SO4", {"Na": 2, "SO4": 1}), IonSource("K2SO4", {"K": 2, "SO4": 1}),
    IonSource("KNO3", {"K": 1, "NO3": 1}), IonSource("NaNO3", {"Na": 1, "NO3": 1}),
    IonSource("Ca(NO3)2", {"Ca": 1, "NO3": 2}), IonSource("Ca(NO3)2·4H2O", {"Ca": 1, "NO3": 2}),
    IonSource("Mg(NO3)2·6H2O", {"Mg": 1, "NO3": 2}),
    IonSource("KH2PO4", {"K": 1, "PO4": 1}), IonSource("K2HPO4", {"K": 2, "PO4": 1}, 1),
    IonSource("K3PO4", {"K": 3, "PO4": 1}, 2), IonSource("NaH2PO4", {"Na": 1, "PO4": 1}),
    IonSource("NaH2PO4·H2O", {"Na": 1, "PO4": 1}), IonSource("Na2HPO4", {"Na": 2, "PO4": 1}, 1),
    IonSource("Na2HPO4·12H2O", {"Na": 2, "PO4": 1}, 1),
    IonSource("Na3PO4·12H2O", {"Na": 3, "PO4": 1}, 2),
    IonSource("NH4Cl", {"NH4": 1, "Cl": 1}), IonSource("(NH4)2SO4", {"NH4": 2, "SO4": 1}),
    IonSource("NH4HCO3", {"NH4": 1}, 1),
    IonSource("KBr", {"K": 1, "Br": 1}), IonSource("NaBr", {"Na": 1, "Br": 1}),
    IonSource("KI", {"K": 1, "I": 1}), IonSource("NaF", {"Na": 1, "F": 1}),
    IonSource("H3BO3", {"B": 1}), IonSource("Na2B4O7·10H2O", {"Na": 2, "B": 4}, 2),
)  # fmt: skip

SOURCES: Mapping[str, IonSource] = MappingProxyType({source.formula: source for source in _SOURCES})
"""Salts by formula. Alkalinity by Dickson's definition: phosphate counts from H2PO4, ammonium and
nitrate as they are dosed; what nitrification and uptake do later is in ``calcification``."""


@dataclass(frozen=True, slots=True)
class WaterChangeByDose:
    """How far a dose lifts the water.

    Attributes:
        alkalinity_dkh: Rise of alkalinity in dKH.
        ions_mg_l: Rise of each ion that the salt holds in mg/L.
    """

    alkalinity_dkh: float
    ions_mg_l: Mapping[Ion, float]


def rise_by_dose(
    formula: str, mass_g: float, net_volume_l: float, purity: float = 1.0
) -> WaterChangeByDose:
    """Give what a mass of any listed salt adds to a tank, in dKH and mg/L.

    Args:
        formula: Key of ``SOURCES``, with its water of crystallisation.
        mass_g: Mass in g, 0 to 1e6.
        net_volume_l: Net water volume of the system in L, 0.1 to 1e6.
        purity: Share of the mass that is this formula, 0.3 to 1.

    Raises:
        ValueError: If the salt is not known or a value is out of range.

    Uncertainty:
        0.01 % for the pure salt; hydration and damp are the true limit, see ``ion_rise_estimate``.

    Source:
        Molar masses; alkalinity as in Wolf-Gladrow et al. 2007, Mar. Chem. 106:287.

    >>> rise = rise_by_dose("KNO3", 1.0, 100.0).ions_mg_l
    >>> round(rise["NO3"], 2), round(rise["K"], 2)
    (6.13, 3.87)
    """
    source = _source(formula)
    mass = in_scalar_range("mass", mass_g, 0.0, 1e6, "g")
    volume = in_scalar_range("net volume", net_volume_l, 0.1, 1e6, "L")
    per_l = mass * in_scalar_range("purity", purity, 0.3, 1.0) / volume
    ions = {ion: per_l * source.ion_mg_g(ion) for ion in source.ions}
    alkalinity = per_l * source.alkalinity_meq_g / MEQ_L_PER_DKH
    return WaterChangeByDose(alkalinity, MappingProxyType(ions))


def rise_per_ml(
    formula: str,
    salt_g: float,
    solution_l: float,
    net_volume_l: float,
    purity: float = 1.0,
) -> WaterChangeByDose:
    """Give what one millilitre of a home-made solution adds to the tank, in dKH and mg/L.

    Args:
        formula: Key of ``SOURCES``, with its water of crystallisation.
        salt_g: Salt weighed in, in g, 0 to 1e6.
        solution_l: Finished solution in L, 0.001 to 1e4: fill up to it. Salt stirred into that
            much water makes more than that much solution, by 2 to 20 %.
        net_volume_l: Net water volume of the system in L, 0.1 to 1e6.
        purity: Share of the salt that is this formula, 0.3 to 1.

    Raises:
        ValueError: If the salt is not known, a value is out of range, or there is more than 1 kg
            of salt in a litre.

    Uncertainty:
        As for ``rise_by_dose``, and the scales and measure. What has not dissolved is not dosed.

    Source:
        ``rise_by_dose``.

    >>> round(rise_per_ml("NaHCO3", 60.0, 1.0, 100.0).alkalinity_dkh, 4)
    0.02
    """
    salt = in_scalar_range("salt", salt_g, 0.0, 1e6, "g")
    litres = in_scalar_range("solution", solution_l, 0.001, 1e4, "L")
    strength = in_scalar_range("strength", salt / litres, 0.0, 1000.0, "g/L")
    return rise_by_dose(formula, strength / 1000, net_volume_l, purity)


def salt_for_ion_g(formula: str, ion: Ion, rise_mg_l: float, net_volume_l: float) -> float:
    """Give the mass of pure salt in g that lifts an ion by an amount.

    Args:
        formula: Key of ``SOURCES``, with its water of crystallisation.
        ion: What is to rise.
        rise_mg_l: By how much in mg/L, 0 to 1e4.
        net_volume_l: Net water volume of the system in L, 0.1 to 1e6.

    Raises:
        ValueError: If the salt is not known or does not bring the ion, or a value is out of range.

    Uncertainty:
        As for ``rise_by_dose``.

    Source:
        ``rise_by_dose``, inverted.

    >>> round(salt_for_ion_g("SrCl2·6H2O", "Sr", 1.0, 100.0), 3)
    0.304
    """
    rise = in_scalar_range("rise", rise_mg_l, 0.0, 1e4, "mg/L")
    volume = in_scalar_range("net volume", net_volume_l, 0.1, 1e6, "L")
    per_g = _source(formula).ion_mg_g(ion)
    if per_g == 0:
        raise ValueError(f"salt '{formula}' holds no {ion}")
    return rise * volume / per_g


def ion_rise_estimate_mg_l(
    formula: str,
    ion: Ion,
    mass_g: float,
    net_volume_l: float,
    purity: Estimate,
    relative_volume_error: float = 0.0,
) -> Estimate:
    """Give the rise of an ion in mg/L with what purity and net volume leave open.

    Args:
        formula: Key of ``SOURCES``, with its water of crystallisation.
        ion: What rises.
        mass_g: Mass in g, 0 to 1e6.
        net_volume_l: Net water volume of the system in L, 0.1 to 1e6.
        purity: Share of the mass that is this formula, within 0.3 to 1. Calcium chloride sold as
            anhydrous has 0.77 to 0.96 (common practice, no source).
        relative_volume_error: Error of the net volume as a share of it, 0 to 0.5; without a
            calibration 0.1 (common practice, no source).

    Raises:
        ValueError: If the salt is not known or a value is out of range.

    Uncertainty:
        As returned.

    Source:
        ``rise_by_dose`` at the ends.

    >>> found = ion_rise_estimate_mg_l("CaCl2", "Ca", 2.77, 100.0, Estimate(0.9, 0.77, 0.96))
    >>> [round(mg_l, 1) for mg_l in (found.low, found.value, found.high)]
    [7.7, 9.0, 9.6]
    """
    error = in_scalar_range("volume error", relative_volume_error, 0.0, 0.5)

    def rise(share: float, volume: float) -> float:
        return rise_by_dose(formula, mass_g, volume, share).ions_mg_l.get(ion, 0.0)

    return Estimate(
        rise(purity.value, net_volume_l),
        rise(purity.low, net_volume_l * (1 + error)),
        rise(purity.high, net_volume_l * (1 - error)),
    )


def _source(formula: str) -> IonSource:
    key = formula.replace(".", "·").replace("*", "·")
    if key not in SOURCES:
        raise ValueError(f"salt '{formula}' is not one of {', '.join(SOURCES)}")
    return SOURCES[key]
