"""Fish mass, stocking load and the nitrogen and phosphorus of feed: load estimates, no verdicts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from journal_tools.science.additives.stoichiometry import mass_ratio, molar_mass_g_mol
from journal_tools.science.estimate import Estimate
from journal_tools.science.validity import Number, as_given, in_range, in_scalar_range
from journal_tools.science.water.water_change import steady_before_change

PROTEIN_PER_NITROGEN = 6.25
"""Grams of feed protein for each gram of nitrogen (common practice in feed analysis)."""

AMMONIA_PER_PROTEIN = 0.092
"""Grams of ammonia nitrogen excreted for each gram of protein fed: Timmons & Ebeling,
recirculating aquaculture, from memory."""


@dataclass(frozen=True, slots=True)
class BodyShape:
    """Coefficients of the length and mass relation W = a L^b in g and cm.

    Attributes:
        a: Mass in g of a fish of 1 cm.
        b: Power of the length, near 3.
    """

    a: float
    b: float


BODY_SHAPES: Mapping[str, BodyShape] = MappingProxyType({
    "generic": BodyShape(0.02, 3.0),
    "small and stout": BodyShape(0.0186, 2.99),
    "deep-bodied": BodyShape(0.027, 2.95),
})  # fmt: skip
"""Default body shapes, from memory, good to a factor of 2: use a species' own figures if known."""


def body_mass_g(length_cm: Number, shape: BodyShape = BODY_SHAPES["generic"]) -> Number:
    """Give the mass of a fish in g from its length.

    Args:
        length_cm: Length in cm, 0.5 to 200, of the kind (total or standard) that the
            coefficients are for.
        shape: Coefficients; the defaults are in ``BODY_SHAPES``.

    Raises:
        ValueError: If a single length is out of range.

    Uncertainty:
        A factor of 2 with the default shapes, 10 to 20 % with a species' own coefficients.

    Source:
        Form of Froese et al. 2013, J. Appl. Ichthyol.; default coefficients from memory.

    >>> round(body_mass_g(8.0), 1)
    10.2
    """
    length = in_range("length", length_cm, 0.5, 200.0, "cm")
    return as_given(shape.a * length**shape.b, length_cm)


def body_mass_estimate_g(length_cm: float, shape_name: str = "generic") -> Estimate:
    """Give the mass of a fish in g with the factor of 2 that a default shape leaves open.

    Args:
        length_cm: Length in cm, 0.5 to 200.
        shape_name: Key of ``BODY_SHAPES``.

    Raises:
        ValueError: If the length is out of range or the shape is not known.

    Uncertainty:
        As returned.

    Source:
        ``body_mass_g``.

    >>> round(body_mass_estimate_g(8.0).high, 1)
    20.5
    """
    if shape_name not in BODY_SHAPES:
        raise ValueError(f"body shape '{shape_name}' is not one of {', '.join(BODY_SHAPES)}")
    mass = body_mass_g(length_cm, BODY_SHAPES[shape_name])
    return Estimate(mass, mass / 2, mass * 2)


def biomass_g_per_100_l(masses_g: Iterable[float], net_volume_l: float) -> float:
    """Give the fish mass in g for each 100 L of net water.

    Args:
        masses_g: Mass of each fish in g, 0 to 1e5.
        net_volume_l: Net water volume in L, 0.1 to 1e6.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the masses.

    Source:
        Sum over volume.

    >>> biomass_g_per_100_l([10.0, 20.0], 300.0)
    10.0
    """
    total = sum(in_scalar_range("fish mass", mass, 0.0, 1e5, "g") for mass in masses_g)
    return 100 * total / _net(net_volume_l)


def adult_length_cm_per_100_l(lengths_cm: Iterable[float], net_volume_l: float) -> float:
    """Give the summed adult fish length in cm for each 100 L of net water.

    Two fish of 5 cm count as one of 10 cm here, though that one needs about 2.6 times as much as
    both: show the mass beside it.

    Args:
        lengths_cm: Adult length of each fish in cm, 0 to 200.
        net_volume_l: Net water volume in L, 0.1 to 1e6.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the adult lengths, 10 to 20 %.

    Source:
        Sum over volume; as a measure of load it is common practice, no source.

    >>> adult_length_cm_per_100_l([10.0, 20.0], 300.0)
    10.0
    """
    total = sum(in_scalar_range("adult length", cm, 0.0, 200.0, "cm") for cm in lengths_cm)
    return 100 * total / _net(net_volume_l)


def feed_nitrogen_g(feed_g: Number, protein_fraction: float) -> Number:
    """Give all nitrogen in feed in g: the most that can turn into nitrate.

    Args:
        feed_g: Feed as it is given in g, 0 to 1e5 (for a day: result in g/day).
        protein_fraction: Protein as a share of that same wet or dry mass, 0 to 0.9. Frozen food
            has 0.08 to 0.15, dry food 0.35 to 0.55 (common practice, no source).

    Raises:
        ValueError: If a value is out of range (45 for 45 % is refused).

    Uncertainty:
        That of the protein figure, 10 %.

    Source:
        Protein over 6.25.

    >>> feed_nitrogen_g(2.0, 0.5)
    0.16
    """
    return as_given(_protein(feed_g, protein_fraction) / PROTEIN_PER_NITROGEN, feed_g)


def excreted_ammonia_nitrogen_g(feed_g: Number, protein_fraction: float) -> Number:
    """Give the ammonia nitrogen in g that fish excrete from feed.

    Args:
        feed_g: Feed as it is given in g, 0 to 1e5 (for a day: result in g/day).
        protein_fraction: Protein as a share of that same mass, 0 to 0.9.

    Raises:
        ValueError: If a value is out of range (45 for 45 % is refused).

    Uncertainty:
        30 %: the factor is for production fish, and uneaten feed is left out.

    Source:
        Timmons & Ebeling, P_TAN = F PC 0.092, from memory.

    >>> round(excreted_ammonia_nitrogen_g(1000.0, 0.35), 1)
    32.2
    """
    return as_given(_protein(feed_g, protein_fraction) * AMMONIA_PER_PROTEIN, feed_g)


def _protein(feed_g: float | np.ndarray, protein_fraction: float) -> np.ndarray:
    feed = in_range("feed", feed_g, 0.0, 1e5, "g")
    return feed * in_scalar_range("protein fraction", protein_fraction, 0.0, 0.9)


def nitrate_rise_mg_l(nitrogen_g: Number, net_volume_l: float) -> Number:
    """Give the rise of nitrate (as NO3) in mg/L if nitrogen becomes nitrate and stays.

    Args:
        nitrogen_g: Nitrogen in g, 0 to 1e5 (for a day: result in mg/L a day).
        net_volume_l: Net water volume in L, 0.1 to 1e6.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the nitrogen and the volume; denitrification and growth take some of it.

    Source:
        Mass balance and molar masses.

    >>> round(nitrate_rise_mg_l(excreted_ammonia_nitrogen_g(2.0, 0.45), 300.0), 2)
    1.22
    """
    nitrogen = in_range("nitrogen", nitrogen_g, 0.0, 1e5, "g")
    return as_given(nitrogen * 1000 * mass_ratio("NO3", "N") / _net(net_volume_l), nitrogen_g)


def feed_phosphorus_mg(feed_g: Number, phosphorus_fraction: float = 0.0125) -> Number:
    """Give all phosphorus in feed in mg.

    Args:
        feed_g: Feed as it is given in g, 0 to 1e5 (for a day: result in mg/day).
        phosphorus_fraction: Phosphorus as a share of that same mass, 0 to 0.05. Dry food has
            0.010 to 0.015, from memory; frozen food about a fifth of it (common practice, no
            source), for it is mostly water.

    Raises:
        ValueError: If a value is out of range (1.2 for 1.2 % is refused).

    Uncertainty:
        30 %, that of the share.

    Source:
        Mass balance.

    >>> feed_phosphorus_mg(2.0, 0.0125)
    25.0
    """
    share = in_scalar_range("phosphorus fraction", phosphorus_fraction, 0.0, 0.05)
    return as_given(in_range("feed", feed_g, 0.0, 1e5, "g") * share * 1000, feed_g)


def phosphate_rise_mg_l(
    phosphorus_mg: Number, net_volume_l: float, retained_fraction: float = 0.4
) -> Number:
    """Give the rise of phosphate (as PO4) in mg/L from phosphorus fed, if nothing takes it up.

    Args:
        phosphorus_mg: Phosphorus in mg, 0 to 1e7 (for a day: result in mg/L a day).
        net_volume_l: Net water volume in L, 0.1 to 1e6.
        retained_fraction: Share that stays in growing fish, 0 to 1; a third to a half, from
            memory. 0 gives the upper bound, which fits grown fish.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        A factor of 2: rock, sand, algae and skimmate take most of it.

    Source:
        Mass balance and molar masses.

    >>> round(phosphate_rise_mg_l(25.0, 300.0), 3)
    0.153
    """
    phosphorus = in_range("phosphorus", phosphorus_mg, 0.0, 1e7, "mg")
    freed = 1 - in_scalar_range("retained fraction", retained_fraction, 0.0, 1.0)
    rise = phosphorus * freed * mass_ratio("PO4", "P") / _net(net_volume_l)
    return as_given(rise, phosphorus_mg)


def steady_nitrate_mg_l(
    nitrogen_g_day: Number,
    net_volume_l: float,
    changed_fraction: float,
    interval_days: float,
    new_water_mg_l: float = 0.0,
) -> Number:
    """Give the nitrate (as NO3) in mg/L before each change at which feed and changes settle.

    Args:
        nitrogen_g_day: Nitrogen that becomes nitrate in g/day, 0 to 1000.
        net_volume_l: Net water volume in L, 0.1 to 1e6.
        changed_fraction: Share of the water replaced each time, 0.001 to 1.
        interval_days: Days between changes, 0.1 to 365.
        new_water_mg_l: Nitrate (as NO3) of the new water in mg/L, 0 to 1000.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        An upper bound: denitrification, algae and skimmate take a part that only the readings of
        the tank itself can show.

    Source:
        ``steady_before_change`` of the rise in one interval.

    >>> nitrogen = excreted_ammonia_nitrogen_g(2.0, 0.45)
    >>> round(steady_nitrate_mg_l(nitrogen, 300.0, 0.1, 7.0), 1)
    85.5
    """
    interval = in_scalar_range("interval", interval_days, 0.1, 365.0, "days")
    daily = nitrate_rise_mg_l(in_range("nitrogen", nitrogen_g_day, 0.0, 1000.0, "g"), net_volume_l)
    settled = steady_before_change(daily * interval, changed_fraction, new_water_mg_l)
    return as_given(np.asarray(settled), nitrogen_g_day)


def resting_oxygen_use_mg_kg_h(mass_g: Number) -> Number:
    """Give the oxygen that a resting fish uses in mg for each kg of body and hour.

    Args:
        mass_g: Body mass in g, 0.1 to 1e4.

    Raises:
        ValueError: If a single mass is out of range.

    Uncertainty:
        A factor of 2, and for about 15 °C: at 26 °C about twice as much, active fish 2 to 3 times.

    Source:
        Clarke & Johnston 1999, ln R = 0.80 ln M - 5.43 in mmol/h, from memory.

    >>> round(resting_oxygen_use_mg_kg_h(50.0))
    64
    """
    mass = in_range("body mass", mass_g, 0.1, 1e4, "g")
    mmol_h = np.exp(0.80 * np.log(mass) - 5.43)
    return as_given(mmol_h * molar_mass_g_mol("O2") / mass * 1000, mass_g)


def _net(net_volume_l: float) -> float:
    return in_scalar_range("net volume", net_volume_l, 0.1, 1e6, "L")
