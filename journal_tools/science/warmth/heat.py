"""Heat that a tank loses to its room through glass and surface and by evaporation."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

import numpy as np

from journal_tools.science.estimate import Estimate
from journal_tools.science.validity import FloatArray, Number, as_given, in_range, in_scalar_range
from journal_tools.science.warmth.evaporation import (
    FORMULA_ERROR,
    QUIET_ACTIVITY_FACTOR,
    carrier_evaporation_kg_d,
    evaporation_kg_d,
    latent_power_w,
)
from journal_tools.science.warmth.moist_air import WATER_TEMPERATURE_RANGE_C, RoomAir

CONDUCTIVITY_W_MK: Mapping[str, float] = MappingProxyType({
    "glass": 1.0, "acrylic": 0.20, "PVC": 0.17, "plywood": 0.13, "polystyrene foam": 0.035,
})  # fmt: skip
"""Thermal conductivity in W/(m K), from memory of ISO 10456."""

INNER_FILM_W_M2K = 200.0
"""Water moving along a pane: so large that it hardly matters (common practice, no source)."""

OUTER_FILM_W_M2K = 8.0
"""Still room air on a pane, radiation included; the 0.13 m2K/W of ISO 6946 are 7.7."""

SURFACE_FILM_W_M2K = 9.5
"""Still room air on open water without evaporation; the 0.10 m2K/W of ISO 6946, heat going up,
are 10."""

DRY_LOSS_ERROR = 0.15
"""Share by which panes and surface may be off: common practice, no source."""


def u_value_w_m2k(
    thickness_mm: Number,
    conductivity_w_mk: float = 1.0,
    outer_film_w_m2k: float = OUTER_FILM_W_M2K,
    inner_film_w_m2k: float = INNER_FILM_W_M2K,
    added_resistance_m2k_w: float = 0.0,
) -> Number:
    """Give the heat in W/(m2 K) that passes a pane between water and room: its U value.

    Args:
        thickness_mm: Thickness in mm, 0 to 500.
        conductivity_w_mk: Conductivity of the material in W/(m K), 0.01 to 500; glass is 1.0.
        outer_film_w_m2k: Film on the room side in W/(m2 K), 1 to 100.
        inner_film_w_m2k: Film on the water side in W/(m2 K), 10 to 1e5.
        added_resistance_m2k_w: Of foam or a stand behind it in m2 K/W, 0 to 100.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        15 %, nearly all of it the room film: the thickness of glass hardly matters.

    Source:
        Resistances in series, ISO 6946.

    >>> round(u_value_w_m2k(12.0), 2)
    7.04
    """
    thickness_m = in_range("thickness", thickness_mm, 0.0, 500.0, "mm") / 1000
    conductivity = in_scalar_range("conductivity", conductivity_w_mk, 0.01, 500.0, "W/(m K)")
    outer = in_scalar_range("outer film", outer_film_w_m2k, 1.0, 100.0, "W/(m2 K)")
    inner = in_scalar_range("inner film", inner_film_w_m2k, 10.0, 1e5, "W/(m2 K)")
    added = in_scalar_range("added resistance", added_resistance_m2k_w, 0.0, 100.0, "m2 K/W")
    resistance = 1 / inner + thickness_m / conductivity + added + 1 / outer
    return as_given(1 / resistance, thickness_mm)


@dataclass(frozen=True, slots=True)
class Pane:
    """A wall of the tank with water behind it.

    Attributes:
        area_m2: Area that water wets in m2, 0 to 1000.
        thickness_mm: Thickness in mm, 0 to 500.
        material: A key of ``CONDUCTIVITY_W_MK``.
        outer_film_w_m2k: Film on the room side in W/(m2 K), 1 to 100.
        added_resistance_m2k_w: Of foam or a stand behind it in m2 K/W, 0 to 100.

    Raises:
        ValueError: If a value is out of range or the material is not known.
    """

    area_m2: float
    thickness_mm: float
    material: str = "glass"
    outer_film_w_m2k: float = OUTER_FILM_W_M2K
    added_resistance_m2k_w: float = 0.0

    def __post_init__(self) -> None:
        in_scalar_range("pane area", self.area_m2, 0.0, 1000.0, "m2")
        if self.material not in CONDUCTIVITY_W_MK:
            known = ", ".join(CONDUCTIVITY_W_MK)
            raise ValueError(f"material '{self.material}' is not one of {known}")
        self.conductance_w_k()

    def conductance_w_k(self) -> float:
        """Give the heat in W that it passes for each K between water and room."""
        u_value = u_value_w_m2k(
            float(self.thickness_mm),
            CONDUCTIVITY_W_MK[self.material],
            self.outer_film_w_m2k,
            added_resistance_m2k_w=self.added_resistance_m2k_w,
        )
        return u_value * self.area_m2


@dataclass(frozen=True, slots=True)
class WarmTank:
    """What a tank shows to its room; several vessels of one system in one record.

    Attributes:
        panes: Walls; leave out a bottom that stands on foam or a closed stand.
        surface_m2: Open water surface in m2, 0 to 1000.
        salinity: Practical salinity, 0 to 42.
        activity_factor: Of the evaporation formula, 0 to 3; better one from the top-off log.
        surface_film_w_m2k: Heat without evaporation in W/(m2 K), 1 to 100.

    Raises:
        ValueError: If a value is out of range.
    """

    panes: Sequence[Pane]
    surface_m2: float
    salinity: float = 35.0
    activity_factor: float = QUIET_ACTIVITY_FACTOR
    surface_film_w_m2k: float = SURFACE_FILM_W_M2K

    def __post_init__(self) -> None:
        in_scalar_range("water surface", self.surface_m2, 0.0, 1000.0, "m2")
        in_scalar_range("salinity", self.salinity, 0.0, 42.0, "psu")
        in_scalar_range("activity factor", self.activity_factor, 0.0, 3.0)
        in_scalar_range("surface film", self.surface_film_w_m2k, 1.0, 100.0, "W/(m2 K)")

    def panes_w_k(self) -> float:
        """Give the heat in W that all panes pass for each K between water and room."""
        return math.fsum(pane.conductance_w_k() for pane in self.panes)

    def surface_w_k(self) -> float:
        """Give the heat in W that the surface passes for each K, without evaporation."""
        return self.surface_film_w_m2k * self.surface_m2


def side_panes(
    length_m: float, width_m: float, water_height_m: float, thickness_mm: float
) -> tuple[Pane, ...]:
    """Give the four glass sides of a rectangular tank, without its bottom.

    Args:
        length_m: Length in m, 0.01 to 20.
        width_m: Width in m, 0.01 to 20.
        water_height_m: Height of the water in m, 0.01 to 20.
        thickness_mm: Thickness of the glass in mm, 0 to 500.

    Raises:
        ValueError: If a measure is out of range; these are metres, not centimetres.

    Uncertainty:
        That of the measures.

    Source:
        Plane geometry.

    >>> round(sum(pane.area_m2 for pane in side_panes(1.2, 0.5, 0.55, 12.0)), 2)
    1.87
    """
    length = in_scalar_range("length", length_m, 0.01, 20.0, "m")
    width = in_scalar_range("width", width_m, 0.01, 20.0, "m")
    height = in_scalar_range("water height", water_height_m, 0.01, 20.0, "m")
    return tuple(Pane(side * height, thickness_mm) for side in (length, width, length, width))


def heat_loss_w(tank: WarmTank, water_temperature_c: Number, room: RoomAir) -> Number:
    """Give the heat in W that a tank loses to its room; below zero it gains.

    At the temperature of the room it is not zero: evaporation goes on.

    Args:
        tank: Panes and surface.
        water_temperature_c: Temperature of the water in °C, 0 to 40.
        room: Air around it.

    Raises:
        ValueError: If a single value is out of range.

    Uncertainty:
        15 % of the dry part (common practice, no source), 40 % of evaporation.

    Source:
        Resistances in series (ISO 6946) and ``carrier_evaporation_kg_d``.

    >>> tank = WarmTank(side_panes(1.2, 0.5, 0.55, 12.0), 0.6)
    >>> round(heat_loss_w(tank, 25.0, RoomAir(20.0, 50.0)))
    151
    """
    warmer_k = _checked(water_temperature_c) - room.temperature_c
    dry = (tank.panes_w_k() + tank.surface_w_k()) * warmer_k
    return as_given(dry + _evaporation_w(tank, water_temperature_c, room), water_temperature_c)


def _checked(water_temperature_c: float | FloatArray) -> FloatArray:
    return in_range("water temperature", water_temperature_c, *WATER_TEMPERATURE_RANGE_C, "°C")


def _evaporation_w(
    tank: WarmTank, water_temperature_c: float | FloatArray, room: RoomAir
) -> FloatArray:
    water_c = np.asarray(water_temperature_c, dtype=np.float64)
    kg_d = carrier_evaporation_kg_d(
        water_c, tank.surface_m2, room, tank.salinity, tank.activity_factor
    )
    return np.asarray(latent_power_w(np.asarray(kg_d), water_c))


@dataclass(frozen=True, slots=True)
class HeatBalance:
    """Where the heat of a tank goes at one temperature in one room, in W.

    Attributes:
        glass_w: Through the panes.
        surface_w: From the water surface by air and radiation.
        evaporation_w: By evaporation.
        evaporation_from: Whether evaporation is of the formula or of the top-off log.
        gains_w: Brought in by pumps and lamps.
    """

    glass_w: float
    surface_w: float
    evaporation_w: Estimate
    evaporation_from: Literal["formula", "top-off log"]
    gains_w: float

    @property
    def loss_w(self) -> Estimate:
        """All three losses together in W."""
        dry, wet = self.glass_w + self.surface_w, self.evaporation_w
        dry_error = DRY_LOSS_ERROR * abs(dry)
        return Estimate(
            dry + wet.value,
            dry + wet.value - math.hypot(dry_error, wet.value - wet.low),
            dry + wet.value + math.hypot(dry_error, wet.high - wet.value),
        )

    @property
    def net_w(self) -> Estimate:
        """Heat in W that a heater must bring; below zero, that a chiller must take out."""
        loss, gains = self.loss_w, self.gains_w
        return Estimate(loss.value - gains, loss.low - gains, loss.high - gains)


def heat_balance(
    tank: WarmTank,
    water_temperature_c: float,
    room: RoomAir,
    gains_w: float = 0.0,
    logged_evaporation_l_d: Estimate | None = None,
) -> HeatBalance:
    """Give where the heat of a tank goes; a top-off log of that room wins over the formula.

    Args:
        tank: Panes and surface.
        water_temperature_c: Temperature of the water in °C, 0 to 40.
        room: Air around it, single numbers.
        gains_w: Heat of pumps and lamps that ends up in the water in W, 0 to 1e5.
        logged_evaporation_l_d: From ``evaporation_from_top_off_l_d``, in this very room.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        Stated by the result: 15 % of the dry part, 40 % of computed evaporation.

    Source:
        As for ``heat_loss_w``.

    >>> tank = WarmTank(side_panes(1.2, 0.5, 0.55, 12.0), 0.6)
    >>> balance = heat_balance(tank, 25.0, RoomAir(20.0, 50.0), gains_w=40.0)
    >>> round(balance.glass_w), round(balance.evaporation_w.value), round(balance.net_w.value)
    (66, 56, 111)
    """
    warmer_k = float(_checked(water_temperature_c)) - float(room.temperature_c)
    gains = in_scalar_range("gains", gains_w, 0.0, 1e5, "W")
    if logged_evaporation_l_d is None:
        value = float(_evaporation_w(tank, water_temperature_c, room))
        wet = Estimate(value, value * (1 - FORMULA_ERROR), value * (1 + FORMULA_ERROR))
    else:
        wet = _mapped(logged_evaporation_l_d, lambda l_d: latent_power_w(evaporation_kg_d(l_d)))
    return HeatBalance(
        tank.panes_w_k() * warmer_k,
        tank.surface_w_k() * warmer_k,
        wet,
        "formula" if logged_evaporation_l_d is None else "top-off log",
        gains,
    )


def _mapped(estimate: Estimate, rising: Callable[[float], float]) -> Estimate:
    return Estimate(rising(estimate.value), rising(estimate.low), rising(estimate.high))
