"""Stress and bending of the panes of a water-filled glass tank: for caution, never a verdict.

A broken pane floods a room with mains equipment in it, and its pieces cut. Nothing here says
that a tank is safe: have glass chosen and bonded by a tank builder or a structural engineer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from journal_tools.science.estimate import Estimate
from journal_tools.science.structure.load import water_pressure_kpa
from journal_tools.science.structure.plates import PlateCoefficients, plate_coefficients
from journal_tools.science.validity import (
    FloatArray,
    Number,
    as_given,
    in_range,
    in_scalar_range,
)

FLOAT_GLASS_STRENGTH_MPA = 45.0
"""Characteristic bending strength of annealed float glass in MPa, for a short load (EN 572-1,
EN 16612, from memory)."""

FIFTY_YEARS_H = 438_300.0
"""Duration in hours for which water in a tank is taken to press."""

SEAWATER_KG_M3 = 1023.3
"""Density of seawater at 35 psu and 25 °C in kg/m3; ``seawater.density_kg_m3`` for others."""

IGNORED = (
    "scratches, chips and other flaws, which decide where glass breaks",
    "drilled holes and cut-outs",
    "the silicone bond, which ages and can give way while the glass holds",
    "a stand or floor that is not level or not flat, and grit under a bare bottom pane",
    "knocks, falling rock, moving the tank with water in it, and heat",
)
"""What no figure of this module takes into account."""

RATIO_CAUTION = (
    "Share of a design strength for long loads on flawless glass. It is no safety factor: "
    "short-term strength over stress would look about six times better and mean nothing."
)
"""What to say beside ``share_of_design_strength``."""

Rim = Literal["rimless", "rim", "braced"]
"""Top edge of a pane: free, held by a rim all along, or by braces."""

_MATERIAL_FACTOR = 1.8  # of annealed glass by EN 16612, from memory
_THICKNESS_ERROR = 0.03  # 0.3 mm on 10 to 12 mm of float glass, EN 572-2, from memory


@dataclass(frozen=True, slots=True)
class Pane:
    """An upright pane of a tank, by its inside measures.

    Attributes:
        length_cm: Level length between the side panes in cm, 1 to 2000.
        height_cm: Height of the pane above the bottom pane in cm, 1 to 1000; 0.2 to 6 times of
            it are the length.
        thickness_mm: In mm, 2 to 100.
        rim: How the top edge is held.
        youngs_modulus_gpa: 1 to 100 GPa; 70 is glass.
        poisson_ratio: 0 to 0.49; 0.23 is glass.

    Raises:
        ValueError: If a measure is out of range or the rim is not known.
    """

    length_cm: float
    height_cm: float
    thickness_mm: float
    rim: Rim = "rimless"
    youngs_modulus_gpa: float = 70.0
    poisson_ratio: float = 0.23

    def __post_init__(self) -> None:
        in_scalar_range("pane length", self.length_cm, 1.0, 2000.0, "cm")
        in_scalar_range("pane height", self.height_cm, 1.0, 1000.0, "cm")
        in_scalar_range("glass thickness", self.thickness_mm, 2.0, 100.0, "mm")
        in_scalar_range("modulus of elasticity", self.youngs_modulus_gpa, 1.0, 100.0, "GPa")
        if self.rim not in ("rimless", "rim", "braced"):
            raise ValueError(f"rim '{self.rim}' is not one of rimless, rim, braced")
        self.coefficients(1.0)

    def coefficients(self, filled: float) -> PlateCoefficients[float]:
        """Give the coefficients of the pane with a share of its height, 0.1 to 1, under water."""
        return plate_coefficients(
            self.length_cm / self.height_cm,
            self.poisson_ratio,
            "free" if self.rim == "rimless" else "supported",
            filled=filled,
        )


def pane_stress_mpa(
    pane: Pane, water_height_cm: Number, density_kg_m3: float = SEAWATER_KG_M3
) -> Number:
    """Give the greatest bending stress in an upright pane in MPa. See ``IGNORED``.

    Args:
        pane: The pane. A rim or brace is taken to hold the whole top edge straight; a few cross
            braces do less.
        water_height_cm: Bottom pane to water line in cm, 0.1 to 1 times the pane's height.
        density_kg_m3: Density of the water in kg/m3, 900 to 1300.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        10 % for flawless glass on edges free to turn: the thickness enters squared, and float
        glass of 12 mm may have 11.7. Stresses at holes and chips are several times as high.

    Source:
        Thin plates, ``plates.plate_coefficients`` (Timoshenko & Woinowsky-Krieger 1959).

    >>> round(pane_stress_mpa(Pane(120.0, 55.0, 12.0), 55.0), 2)
    5.66
    """
    level = _level(pane, water_height_cm)
    beta = _each_level(pane, level, "beta")
    pressure_mpa = np.asarray(water_pressure_kpa(level, density_kg_m3)) / 1000
    stress = beta * pressure_mpa * (pane.height_cm * 10 / pane.thickness_mm) ** 2
    return as_given(stress, water_height_cm)


def pane_deflection_mm(
    pane: Pane, water_height_cm: Number, density_kg_m3: float = SEAWATER_KG_M3
) -> Number:
    """Give the greatest outward bending of an upright pane in mm. See ``IGNORED``.

    Args:
        pane: The pane.
        water_height_cm: Bottom pane to water line in cm, 0.1 to 1 times the pane's height.
        density_kg_m3: Density of the water in kg/m3, 900 to 1300.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        15 %: the thickness enters cubed, and silicone holds edges in part. Beyond half the
        thickness the pane stiffens and bends less than computed.

    Source:
        As ``pane_stress_mpa``.

    >>> round(pane_deflection_mm(Pane(120.0, 55.0, 12.0), 55.0), 2)
    2.07
    """
    return _deflection_mm(pane, water_height_cm, density_kg_m3, "alpha")


def top_edge_deflection_mm(
    pane: Pane, water_height_cm: Number, density_kg_m3: float = SEAWATER_KG_M3
) -> Number:
    """Give the outward bending of the middle of the top edge in mm; 0 with a rim or braces.

    Args:
        pane: The pane.
        water_height_cm: Bottom pane to water line in cm, 0.1 to 1 times the pane's height.
        density_kg_m3: Density of the water in kg/m3, 900 to 1300.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        As ``pane_deflection_mm``. A straight edge laid along the glass measures it.

    Source:
        As ``pane_stress_mpa``.

    >>> round(top_edge_deflection_mm(Pane(120.0, 55.0, 12.0), 55.0), 2)
    2.07
    """
    return _deflection_mm(pane, water_height_cm, density_kg_m3, "alpha_top")


def _level(pane: Pane, water_height_cm: Number) -> FloatArray:
    return in_range("water height", water_height_cm, 0.1 * pane.height_cm, pane.height_cm, "cm")


def _each_level(pane: Pane, level_cm: FloatArray, name: str) -> FloatArray:
    """Give a coefficient at each water level, NaN where the level is."""
    # Rounding may leave the share a last digit out of its range.
    filled = np.clip(level_cm / pane.height_cm, 0.1, 1.0)
    found = [
        np.nan if np.isnan(share) else getattr(pane.coefficients(float(share)), name)
        for share in filled.ravel()
    ]
    return np.array(found).reshape(filled.shape)


def _deflection_mm(pane: Pane, water_height_cm: Number, density_kg_m3: float, name: str) -> Number:
    level = _level(pane, water_height_cm)
    pressure_mpa = np.asarray(water_pressure_kpa(level, density_kg_m3)) / 1000
    stiffness = pane.youngs_modulus_gpa * 1000 * pane.thickness_mm**3
    bent = _each_level(pane, level, name) * pressure_mpa * (pane.height_cm * 10) ** 4 / stiffness
    return as_given(bent, water_height_cm)


def pane_stress_range_mpa(
    pane: Pane,
    water_height_cm: float,
    density_kg_m3: float = SEAWATER_KG_M3,
    water_height_error_cm: float = 0.5,
) -> Estimate:
    """Give the greatest bending stress in an upright pane in MPa with its range. See ``IGNORED``.

    Args:
        pane: The pane.
        water_height_cm: Bottom pane to water line in cm, 0.1 to 1 times the pane's height.
        density_kg_m3: Density of the water in kg/m3, 900 to 1300.
        water_height_error_cm: Error of the water height in cm, 0 to 10.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        As returned: thickness off by 3 %, the error of the height, and, with a rim or braces,
        up to the stress of a pane whose top edge they do not hold at all.

    Source:
        ``pane_stress_mpa``; thickness tolerance of EN 572-2 from memory.

    >>> found = pane_stress_range_mpa(Pane(120.0, 55.0, 12.0, "braced"), 55.0)
    >>> round(found.low, 1), round(found.value, 1), round(found.high, 1)
    (3.6, 3.8, 6.0)
    """
    error = in_scalar_range("water height error", water_height_error_cm, 0.0, 10.0, "cm")
    stress = pane_stress_mpa(pane, water_height_cm, density_kg_m3)
    # Stress grows with the height to the third, about, where the span grows with it.
    share = float(np.hypot(2 * _THICKNESS_ERROR, 3 * error / water_height_cm))
    loose = Pane(
        pane.length_cm, pane.height_cm, pane.thickness_mm, "rimless", pane.youngs_modulus_gpa,
        pane.poisson_ratio,
    )  # fmt: skip
    most = max(stress, pane_stress_mpa(loose, water_height_cm, density_kg_m3))
    return Estimate(stress, stress * max(0.0, 1 - share), most * (1 + share))


def bottom_stress_mpa(
    pane: Pane, water_height_cm: Number, density_kg_m3: float = SEAWATER_KG_M3
) -> Number:
    """Give the bending stress in MPa of a bottom pane that rests on its edges only.

    A bottom pane that lies flat on a stand bends with the stand, and this does not hold.

    Args:
        pane: The bottom pane: its ``height_cm`` is the width, front to back; its rim is ignored.
        water_height_cm: Height of the water above it in cm, 0 to 1000.
        density_kg_m3: Density of the water in kg/m3, 900 to 1300.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        10 %, as ``pane_stress_mpa``; rock on few points presses more than water.

    Source:
        As ``pane_stress_mpa``, four edges supported under an even load.

    >>> round(bottom_stress_mpa(Pane(120.0, 55.0, 12.0), 55.0), 1)
    7.3
    """
    ratio = pane.length_cm / pane.height_cm
    beta = plate_coefficients(ratio, pane.poisson_ratio, load="uniform").beta
    pressure_mpa = np.asarray(water_pressure_kpa(water_height_cm, density_kg_m3)) / 1000
    stress = beta * pressure_mpa * (pane.height_cm * 10 / pane.thickness_mm) ** 2
    return as_given(stress, water_height_cm)


def load_duration_factor(duration_h: Number) -> Number:
    """Give k_mod, the share of its short-term strength that glass keeps under a lasting load.

    Args:
        duration_h: How long the load lasts in hours, 0.001 to 1e7.

    Raises:
        ValueError: If a single duration is out of range.

    Uncertainty:
        A convention: 0.663 t^(-1/16), at least 0.25 and at most 1.

    Source:
        EN 16612:2019, from memory.

    >>> round(load_duration_factor(FIFTY_YEARS_H), 3)
    0.294
    """
    hours = in_range("load duration", duration_h, 1e-3, 1e7, "h")
    return as_given(np.clip(0.663 * hours ** (-1 / 16), 0.25, 1.0), duration_h)


def design_strength_mpa(
    duration_h: Number, characteristic_strength_mpa: float = FLOAT_GLASS_STRENGTH_MPA
) -> Number:
    """Give the design strength in MPa of annealed float glass under a lasting load.

    Args:
        duration_h: How long the load lasts in hours, 0.001 to 1e7; ``FIFTY_YEARS_H`` for a tank.
        characteristic_strength_mpa: Short-term strength in MPa, 10 to 200; 45 is annealed float.
            Toughened glass does not lose strength that way: this does not hold for it.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        A convention for new glass without flaws. Many builders of tanks stay lower: common
        practice, no source.

    Source:
        EN 16612:2019, k_mod f_gk / 1.8, from memory.

    >>> round(design_strength_mpa(FIFTY_YEARS_H), 1)
    7.4
    """
    strength = in_scalar_range("strength", characteristic_strength_mpa, 10.0, 200.0, "MPa")
    factor = np.asarray(load_duration_factor(duration_h))
    return as_given(factor * strength / _MATERIAL_FACTOR, duration_h)


def share_of_design_strength(stress_mpa: Number, duration_h: float = FIFTY_YEARS_H) -> Number:
    """Give stress over design strength, without unit. Show it with ``RATIO_CAUTION``.

    It is no safety factor, and one below 1 does not say that a tank holds: see ``IGNORED``.

    Args:
        stress_mpa: Computed bending stress in MPa, 0 to 1000.
        duration_h: How long the load lasts in hours, 0.001 to 1e7.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        10 % from the stress; of the strength there is no knowing.

    Source:
        ``design_strength_mpa``.

    >>> round(share_of_design_strength(5.66), 2)
    0.77
    """
    stress = in_range("stress", stress_mpa, 0.0, 1000.0, "MPa")
    return as_given(stress / design_strength_mpa(duration_h), stress_mpa)
