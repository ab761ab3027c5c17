"""What calcification, nitrification, limewater and a calcium reactor do to the water."""

from __future__ import annotations

from typing import Literal

from journal_tools.science.additives.stoichiometry import (
    ATOMIC_WEIGHTS,
    CALCIUM_MG_L_PER_DKH,
    MEQ_L_PER_DKH,
    SALTS,
    molar_mass_g_mol,
)
from journal_tools.science.validity import in_scalar_range
from journal_tools.science.water.seawater import GRAMS_PER_KG_PER_PSU, density_kg_m3

LIMEWATER_G_L = 1.6
"""Ca(OH)2 in saturated limewater in g/L at 20 °C, ±7 %, from memory (handbooks 1.60 to 1.73)."""


def calcium_per_dkh_mg_l(magnesium_fraction: float = 0.0) -> float:
    """Give the calcium in mg/L that calcification takes with each dKH of alkalinity.

    Args:
        magnesium_fraction: Mole fraction of Mg in the skeleton, 0 to 0.3: coral aragonite about
            0.004, coralline algae 0.1 to 0.2.

    Raises:
        ValueError: If the fraction is out of range.

    Uncertainty:
        7.15 for pure CaCO3; 6 to 7.2 for what a reef builds.

    Source:
        Ca + 2 HCO3 -> CaCO3 + CO2 + H2O, 2 eq for each mole.

    >>> round(calcium_per_dkh_mg_l(), 3)
    7.147
    """
    fraction = in_scalar_range("magnesium fraction", magnesium_fraction, 0.0, 0.3)
    return CALCIUM_MG_L_PER_DKH * (1 - fraction)


def magnesium_per_dkh_mg_l(magnesium_fraction: float) -> float:
    """Give the magnesium in mg/L that calcification takes with each dKH of alkalinity.

    Args:
        magnesium_fraction: Mole fraction of Mg in the skeleton, 0 to 0.3.

    Raises:
        ValueError: If the fraction is out of range.

    Uncertainty:
        That of the fraction, a factor of 2 in a mixed tank.

    Source:
        As for ``calcium_per_dkh_mg_l``.

    >>> round(magnesium_per_dkh_mg_l(0.15), 2)
    0.65
    """
    fraction = in_scalar_range("magnesium fraction", magnesium_fraction, 0.0, 0.3)
    return MEQ_L_PER_DKH / 2 * ATOMIC_WEIGHTS["Mg"] * fraction


def strontium_per_dkh_mg_l(strontium_mmol_per_mol: float = 9.0) -> float:
    """Give the strontium in mg/L that calcification takes with each dKH of alkalinity.

    Args:
        strontium_mmol_per_mol: Strontium for each mole of calcium in the skeleton in mmol, 0 to
            20; coral aragonite about 9, from memory.

    Raises:
        ValueError: If the ratio is out of range.

    Uncertainty:
        15 %: the ratio differs with species and temperature.

    Source:
        As for ``calcium_per_dkh_mg_l``.

    >>> round(strontium_per_dkh_mg_l(), 2)
    0.14
    """
    ratio = in_scalar_range("strontium ratio", strontium_mmol_per_mol, 0.0, 20.0, "mmol/mol")
    return MEQ_L_PER_DKH / 2 * ratio / 1000 * ATOMIC_WEIGHTS["Sr"]


def sodium_chloride_left_g(calcified_dkh: float, net_volume_l: float) -> float:
    """Give the table salt in g that a balanced bicarbonate and chloride pair leaves behind.

    Args:
        calcified_dkh: Alkalinity dosed and used up in dKH, 0 to 1e4.
        net_volume_l: Net water volume in L, 0.1 to 1e6.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        Below 1 % for a balanced pair.

    Source:
        2 NaHCO3 + CaCl2 -> CaCO3 + 2 NaCl + CO2 + H2O.

    >>> round(sodium_chloride_left_g(1.0, 100.0), 2)
    2.08
    """
    used = in_scalar_range("alkalinity", calcified_dkh, 0.0, 1e4, "dKH") * MEQ_L_PER_DKH / 1000
    volume = in_scalar_range("net volume", net_volume_l, 0.1, 1e6, "L")
    return used * volume * molar_mass_g_mol("NaCl")


def salinity_rise_psu(calcified_dkh: float, temperature_c: float = 25.0) -> float:
    """Give the rise of salinity in psu by the table salt that a balanced pair leaves behind.

    Args:
        calcified_dkh: Alkalinity dosed and used up in dKH since the last water change, 0 to 1e4.
        temperature_c: Temperature in °C, -2 to 40.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        5 %; water changes and lost salt water take their share of it.

    Source:
        ``sodium_chloride_left_g`` over seawater of 35 psu, by reference salinity.

    >>> round(salinity_rise_psu(30.0), 2)
    0.61
    """
    grams_l = sodium_chloride_left_g(calcified_dkh, 1.0)
    return grams_l / (density_kg_m3(35.0, temperature_c) / 1000) / GRAMS_PER_KG_PER_PSU


def alkalinity_lost_dkh(
    nitrate_rise_mg_l: float, start: Literal["feed", "ammonium"] = "feed"
) -> float:
    """Give the alkalinity in dKH that the formation of nitrate uses up.

    Only nitrate that stays counts: what is denitrified or assimilated gives its share back.

    Args:
        nitrate_rise_mg_l: Rise of nitrate (as NO3) in mg/L, 0 to 1000.
        start: ``feed`` for organic nitrogen (1 eq/mol net), ``ammonium`` for a dosed ammonium
            salt (2 eq/mol, the 7.14 mg CaCO3 for each mg N of textbooks).

    Raises:
        ValueError: If the rise is out of range or the start is not known.

    Uncertainty:
        0.01 % by computation; the choice of the start is a factor of 2.

    Source:
        Wolf-Gladrow et al. 2007, Mar. Chem. 106:287.

    >>> round(alkalinity_lost_dkh(10.0), 3)
    0.452
    """
    equivalents = {"feed": 1, "ammonium": 2}
    if start not in equivalents:
        raise ValueError(f"start '{start}' is not one of {', '.join(equivalents)}")
    rise = in_scalar_range("nitrate rise", nitrate_rise_mg_l, 0.0, 1000.0, "mg/L")
    return equivalents[start] * rise / molar_mass_g_mol("NO3") / MEQ_L_PER_DKH


def limewater_solubility_g_l(temperature_c: float) -> float:
    """Give the Ca(OH)2 that dissolves in pure water in g/L: less in warm water.

    Args:
        temperature_c: Temperature of the limewater in °C, 5 to 40.

    Raises:
        ValueError: If the temperature is out of range.

    Uncertainty:
        ±10 %: handbooks differ by 8 % at 20 °C, and by a half in the slope.

    Source:
        ``LIMEWATER_G_L`` at 20 °C, less 0.8 % for each °C; both from memory of handbooks.

    >>> limewater_solubility_g_l(20.0)
    1.6
    """
    warmer = in_scalar_range("temperature", temperature_c, 5.0, 40.0, "°C") - 20
    return LIMEWATER_G_L * (1 - 0.008 * warmer)


def limewater_alkalinity_dkh(solubility_g_l: float = LIMEWATER_G_L) -> float:
    """Give the alkalinity of limewater in dKH. Limewater is caustic: gloves and eye protection.

    Args:
        solubility_g_l: Dissolved Ca(OH)2 in g/L, 0 to 2.

    Raises:
        ValueError: If the solubility is out of range.

    Uncertainty:
        ±7 %; what drips is often weaker, for it takes up CO2 and settles.

    Source:
        2 eq for each mole of Ca(OH)2; solubility from memory of handbooks.

    >>> round(limewater_alkalinity_dkh())
    121
    """
    dissolved = in_scalar_range("solubility", solubility_g_l, 0.0, 2.0, "g/L")
    return dissolved * SALTS["Ca(OH)2"].alkalinity_meq_g / MEQ_L_PER_DKH


def limewater_ceiling_dkh_day(
    evaporation_l_day: float, net_volume_l: float, solubility_g_l: float = LIMEWATER_G_L
) -> float:
    """Give the most alkalinity in dKH/day that limewater used as top-off can bring.

    Args:
        evaporation_l_day: Water that is topped off in L/day, 0 to 1e5.
        net_volume_l: Net water volume in L, 0.1 to 1e6.
        solubility_g_l: Dissolved Ca(OH)2 in g/L, 0 to 2.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        ±7 % from the solubility.

    Source:
        Mass balance.

    >>> round(limewater_ceiling_dkh_day(4.0, 300.0), 1)
    1.6
    """
    evaporation = in_scalar_range("evaporation", evaporation_l_day, 0.0, 1e5, "L/day")
    volume = in_scalar_range("net volume", net_volume_l, 0.1, 1e6, "L")
    return evaporation * limewater_alkalinity_dkh(solubility_g_l) / volume


def limewater_calcium_mg_l(solubility_g_l: float = LIMEWATER_G_L) -> float:
    """Give the calcium of limewater in mg/L.

    Args:
        solubility_g_l: Dissolved Ca(OH)2 in g/L, 0 to 2.

    Raises:
        ValueError: If the solubility is out of range.

    Uncertainty:
        ±7 %, as for ``limewater_alkalinity_dkh``.

    Source:
        Molar masses; solubility from memory of handbooks.

    >>> round(limewater_calcium_mg_l())
    865
    """
    dissolved = in_scalar_range("solubility", solubility_g_l, 0.0, 2.0, "g/L")
    return dissolved * SALTS["Ca(OH)2"].calcium_mg_g


def reactor_delivery_dkh_day(
    flow_ml_min: float, effluent_dkh: float, tank_dkh: float, net_volume_l: float
) -> float:
    """Give what a calcium reactor adds in dKH/day; below 0 if its effluent is weaker.

    Args:
        flow_ml_min: Effluent in ml/min, 0 to 1e5.
        effluent_dkh: Alkalinity of the effluent in dKH, 0 to 100.
        tank_dkh: Alkalinity of the tank, which feeds the reactor, in dKH, 0 to 100.
        net_volume_l: Net water volume in L, 0.1 to 1e6.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the flow, often 10 to 20 %. Leaving the tank out overstates by a third.

    Source:
        Mass balance Q (A_effluent - A_tank) / V.

    >>> round(reactor_delivery_dkh_day(30.0, 30.0, 8.0, 300.0), 3)
    3.168
    """
    flow_l_day = in_scalar_range("flow", flow_ml_min, 0.0, 1e5, "ml/min") * 1.44
    effluent = in_scalar_range("effluent alkalinity", effluent_dkh, 0.0, 100.0, "dKH")
    tank = in_scalar_range("tank alkalinity", tank_dkh, 0.0, 100.0, "dKH")
    volume = in_scalar_range("net volume", net_volume_l, 0.1, 1e6, "L")
    return flow_l_day * (effluent - tank) / volume
