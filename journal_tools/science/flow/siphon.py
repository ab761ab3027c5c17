"""Where the water goes when the power fails, or when a drain is blocked.

Water on the floor reaches mains sockets: mount them high, with drip loops and a residual-current
device, and try a power cut out by pulling the plug of the return pump while someone watches.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from journal_tools.science.estimate import Estimate
from journal_tools.science.structure.geometry import water_volume_l
from journal_tools.science.validity import Number, as_given, in_range, in_scalar_range

STANDARD_GRAVITY_M_S2 = 9.80665
SHARP_OPENING = 0.61
"""Discharge coefficient of a sharp-edged opening, from handbooks; a pipe has 0.3 to 0.8."""


@dataclass(frozen=True, slots=True)
class Layer:
    """What lies between two levels of a vessel with upright walls, water or air.

    Attributes:
        surface_cm2: Water surface in cm2, 0.01 to 4e6, less what stands in it.
        height_cm: From the lower to the upper level in cm, 0 to 2000.
        surface_error: Share by which the surface may be off, 0 to 1. 0.01 is a tape measure:
            common practice, no source.
        height_error_cm: Error of the height in cm, 0 to 100. 0.5 is a level read on the glass:
            common practice, no source.

    Raises:
        ValueError: If a measure is out of range.
    """

    surface_cm2: float
    height_cm: float
    surface_error: float = 0.01
    height_error_cm: float = 0.5

    def __post_init__(self) -> None:
        water_volume_l(self.surface_cm2, self.height_cm)
        in_scalar_range("surface error", self.surface_error, 0.0, 1.0)
        in_scalar_range("height error", self.height_error_cm, 0.0, 100.0, "cm")

    @property
    def volume_l(self) -> Estimate:
        """Volume in L; errors of surface and height are added as squares."""
        value = water_volume_l(self.surface_cm2, self.height_cm)
        error = math.hypot(
            value * self.surface_error, self.surface_cm2 * self.height_error_cm / 1000
        )
        return Estimate(value, max(0.0, value - error), value + error)


@dataclass(frozen=True, slots=True)
class Overflow:
    """Water that arrives against the room that there is for it.

    Attributes:
        arrives_l: Water that arrives in L.
        room_l: Room up to the rim in L.
        margin_l: Room that is left in L; below 0 is water on the floor.
    """

    arrives_l: Estimate
    room_l: Estimate
    margin_l: Estimate

    @property
    def may_overflow(self) -> bool:
        """Whether the range of the margin holds water on the floor."""
        return self.margin_l.low < 0


def _sum(parts: Iterable[Estimate]) -> Estimate:
    several = tuple(parts)
    value = math.fsum(part.value for part in several)
    down = math.hypot(*(part.value - part.low for part in several))
    up = math.hypot(*(part.high - part.value for part in several))
    return Estimate(value, value - down, value + up)


def _overflow(arrives: Estimate, room: Estimate) -> Overflow:
    taken = Estimate(-arrives.value, -arrives.high, -arrives.low)
    return Overflow(arrives, room, _sum((room, taken)))


def pipe_content_l(inner_diameter_mm: Number, length_m: Number | float) -> Number:
    """Give the water in L that a full pipe or hose holds.

    Args:
        inner_diameter_mm: Inner diameter in mm, 1 to 1000.
        length_m: Length in m, 0 to 1000.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        Twice the relative error of the diameter.

    Source:
        Volume of a cylinder.

    >>> round(pipe_content_l(32.0, 2.0), 2)
    1.61
    """
    bore_dm = in_range("inner diameter", inner_diameter_mm, 1.0, 1000.0, "mm") / 100
    length_dm = in_range("pipe length", length_m, 0.0, 1000.0, "m") * 10
    return as_given(np.pi * bore_dm**2 / 4 * length_dm, inner_diameter_mm)


def fall_of_level_cm(
    above_weir_cm: Number,
    above_siphon_break_cm: Number | float,
    siphon_break_is_open: bool = True,
    above_return_outlet_cm: float = 0.0,
) -> Number:
    """Give how far a display's water falls in cm after the return pump stops.

    It runs off over the weir and back through the return line until air enters that: down to the
    lowest of the edges. These are the same water, so their depths do not add up.

    Args:
        above_weir_cm: Running water level above the edge of the weir in cm, 0 to 100.
        above_siphon_break_cm: Running water level above the siphon break in cm, 0 to 200; 0 where
            a check valve or an outlet above water stops the siphon.
        siphon_break_is_open: False for a break closed by growth or salt.
        above_return_outlet_cm: Running water level above the mouth of the return outlet in cm,
            0 to 200: what counts if the break is closed.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        That of the levels. Check valves leak, and small breaks grow shut.

    Source:
        Hydrostatics.

    >>> fall_of_level_cm(1.0, 3.0), fall_of_level_cm(1.0, 3.0, False, 12.0)
    (3.0, 12.0)
    """
    weir = in_range("level above the weir", above_weir_cm, 0.0, 100.0, "cm")
    siphon = in_range("level above the siphon break", above_siphon_break_cm, 0.0, 200.0, "cm")
    mouth = in_scalar_range(
        "level above the return outlet", above_return_outlet_cm, 0.0, 200.0, "cm"
    )
    if not siphon_break_is_open:
        siphon = np.maximum(siphon, mouth)
    return as_given(np.asarray(np.maximum(weir, siphon)), above_weir_cm)


def power_cut(
    draining: Iterable[Layer], sump_room: Layer, others: Iterable[Estimate] = ()
) -> Overflow:
    """Give what runs down into the sump when the power fails, and the room for it, in L.

    Args:
        draining: Of each vessel above the sump the water between its running level and the level
            at which it stops (``fall_of_level_cm``).
        sump_room: From the running water level of the sump to its rim. Its surface is that of all
            chambers, less skimmer and reactors that stand in it.
        others: Content of pipes, of the overflow box, of skimmer and reactors that drain, in L.

    Raises:
        ValueError: If a measure is out of range.

    Uncertainty:
        As returned: errors of all measures, taken as independent, added as squares.

    Source:
        Balance of volumes; combination of errors: JCGM 100:2008 (GUM), 5.1.2.

    >>> found = power_cut([Layer(6000.0, 3.0)], Layer(3000.0, 12.0), [Estimate(4.0, 3.0, 5.0)])
    >>> round(found.arrives_l.value), round(found.room_l.value), round(found.margin_l.value)
    (22, 36, 14)
    """
    arrives = _sum((*(layer.volume_l for layer in draining), *others))
    return _overflow(arrives, sump_room.volume_l)


def blocked_drain(
    return_section: Layer, display_freeboard: Layer, others: Iterable[Estimate] = ()
) -> Overflow:
    """Give what the return pump lifts with its drain blocked, and the room for it, in L.

    Args:
        return_section: Water of the sump's last chamber above the intake of the pump.
        display_freeboard: From the running water level of the display to its rim.
        others: What else the pump may lift, in L: an automatic top-off goes on filling the
            chamber while it runs empty, so the content of its reservoir belongs here.

    Raises:
        ValueError: If a measure is out of range.

    Uncertainty:
        As returned: errors of all measures, taken as independent, added as squares.

    Source:
        Balance of volumes; combination of errors: JCGM 100:2008 (GUM), 5.1.2.

    >>> found = blocked_drain(Layer(1200.0, 20.0), Layer(6000.0, 3.0))
    >>> round(found.margin_l.value), found.may_overflow
    (-6, True)
    """
    arrives = _sum((return_section.volume_l, *others))
    return _overflow(arrives, display_freeboard.volume_l)


def drain_time_s(
    surface_cm2: Number,
    start_head_cm: Number | float,
    end_head_cm: Number | float,
    inner_diameter_mm: float,
    discharge_coefficient: float = SHARP_OPENING,
) -> Number:
    """Give the seconds in which a vessel with upright walls drains from one level to another.

    Args:
        surface_cm2: Water surface in cm2, 0.01 to 4e6.
        start_head_cm: Level at the start above the opening, or above where the siphon ends (its
            mouth, or the water that this is under), in cm, 0 to 1000.
        end_head_cm: The same at the end in cm, 0 to ``start_head_cm``.
        inner_diameter_mm: Of the opening or siphon in mm, 1 to 1000.
        discharge_coefficient: Real over ideal flow, 0.05 to 1. For a pipe with losses of sum K,
            exit and friction included, it is 1/sqrt(K).

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        20 %, most of it from the discharge coefficient.

    Source:
        Torricelli's law, integrated over the fall of the level.

    >>> round(drain_time_s(6000.0, 63.0, 60.0, 25.0))
    17
    """
    surface = in_range("water surface", surface_cm2, 0.01, 4e6, "cm2")
    start = in_range("head at the start", start_head_cm, 0.0, 1000.0, "cm")
    end = in_range("head at the end", end_head_cm, 0.0, start, "cm")
    bore_cm = in_scalar_range("inner diameter", inner_diameter_mm, 1.0, 1000.0, "mm") / 10
    share = in_scalar_range("discharge coefficient", discharge_coefficient, 0.05, 1.0)
    opening = share * math.pi * bore_cm**2 / 4
    roots = np.sqrt(start / 100) - np.sqrt(end / 100)
    seconds = surface / opening * math.sqrt(2 / STANDARD_GRAVITY_M_S2) * roots
    return as_given(np.asarray(seconds), surface_cm2)
