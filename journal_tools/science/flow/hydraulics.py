"""What a pump really delivers through its plumbing.

Pumps, heaters and lamps near salt water are mains equipment: use a residual-current device and
drip loops, unplug before hands go in, and leave wiring to a licensed trade and the local code.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from journal_tools.science.estimate import Estimate
from journal_tools.science.flow.friction import (
    FITTINGS,
    SMOOTH_PIPE_ROUGHNESS_M,
    darcy_friction_factor,
    hazen_williams_loss_m,
    loss_coefficient,
)
from journal_tools.science.flow.pump_curve import PumpCurve
from journal_tools.science.validity import in_scalar_range

__all__ = [
    "FITTINGS",
    "OperatingPoint",
    "Pipe",
    "Plumbing",
    "PumpCurve",
    "darcy_friction_factor",
    "hazen_williams_loss_m",
    "head_needed_m",
    "loss_coefficient",
    "operating_flow_l_h",
    "operating_point",
    "pipe_loss_m",
]

STANDARD_GRAVITY_M_S2 = 9.80665
SEAWATER_VISCOSITY_M2_S = 9.38e-7
"""Kinematic viscosity at 35 psu and 25 °C; ``viscosity.kinematic_viscosity_m2_s`` for others."""

_CATALOGUE_ERROR = 0.15
_TWO_POINT_ERROR = 0.25
_HEAD_ERROR = 0.1  # pumps of one type, wear, a clogged intake: common practice, no source
_LOSS_ERROR = 0.2  # growth in the pipes, unlike fittings: common practice, no source


@dataclass(frozen=True, slots=True)
class Pipe:
    """A straight piece of pipe or hose with the fittings of its bore.

    Attributes:
        inner_diameter_mm: Inner (not nominal) diameter in mm, 1 to 1000.
        length_m: Length in m, 0 to 1000.
        fittings: How many of each of ``FITTINGS``.
        other_loss_coefficient: Sum of K of whatever else is in it, 0 to 1000.
        roughness_m: Roughness of the wall in m, 0 to 0.005.

    Raises:
        ValueError: If a value is out of range or a fitting is not known.
    """

    inner_diameter_mm: float
    length_m: float
    fittings: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))
    other_loss_coefficient: float = 0.0
    roughness_m: float = SMOOTH_PIPE_ROUGHNESS_M

    def __post_init__(self) -> None:
        in_scalar_range("inner diameter", self.inner_diameter_mm, 1.0, 1000.0, "mm")
        in_scalar_range("pipe length", self.length_m, 0.0, 1000.0, "m")
        in_scalar_range("loss coefficient", self.other_loss_coefficient, 0.0, 1000.0)
        in_scalar_range("roughness", self.roughness_m, 0.0, 0.005, "m")
        for name, count in self.fittings.items():
            loss_coefficient(name, self.inner_diameter_mm)
            in_scalar_range(f"count of {name}", count, 0, 1000)


@dataclass(frozen=True, slots=True)
class Plumbing:
    """The way from the pump to the vessel that it feeds.

    Attributes:
        static_head_m: Height from water surface to water surface in m, 0 to 100. A return outlet
            under water adds nothing; one above it counts from its own height.
        pipes: The pieces, one behind the other.

    Raises:
        ValueError: If the static head is out of range.
    """

    static_head_m: float
    pipes: tuple[Pipe, ...] = ()

    def __post_init__(self) -> None:
        in_scalar_range("static head", self.static_head_m, 0.0, 100.0, "m")


def pipe_loss_m(
    pipe: Pipe, flow_l_h: float, kinematic_viscosity_m2_s: float = SEAWATER_VISCOSITY_M2_S
) -> float:
    """Give the head lost to friction and fittings of one pipe in m.

    Args:
        pipe: The pipe and its fittings.
        flow_l_h: Flow in L/h, 0 to 1e7.
        kinematic_viscosity_m2_s: Of the water in m2/s, 1e-7 to 1e-4.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        10 to 20 %; growth inside the pipe adds to it.

    Source:
        Darcy-Weisbach, h = (f L/D + sum K) V2/2g.

    >>> round(pipe_loss_m(Pipe(25.0, 2.5, {"elbow_90": 3, "exit": 1}), 2500.0), 2)
    0.55
    """
    flow = in_scalar_range("flow", flow_l_h, 0.0, 1e7, "L/h") / 3.6e6
    viscosity = in_scalar_range("viscosity", kinematic_viscosity_m2_s, 1e-7, 1e-4, "m2/s")
    bore_m = pipe.inner_diameter_mm / 1000
    velocity = 4 * flow / (math.pi * bore_m**2)
    reynolds = velocity * bore_m / viscosity
    if reynolds < 1e-6:
        return 0.0
    friction = darcy_friction_factor(reynolds, pipe.roughness_m / bore_m) * pipe.length_m / bore_m
    losses = pipe.other_loss_coefficient + sum(
        count * loss_coefficient(name, pipe.inner_diameter_mm, reynolds)
        for name, count in pipe.fittings.items()
    )
    return (friction + losses) * velocity**2 / (2 * STANDARD_GRAVITY_M_S2)


def head_needed_m(
    plumbing: Plumbing, flow_l_h: float, kinematic_viscosity_m2_s: float = SEAWATER_VISCOSITY_M2_S
) -> float:
    """Give the head in m that a pump must supply to send a flow through the plumbing.

    Args:
        plumbing: Static head and pipes.
        flow_l_h: Flow in L/h, 0 to 1e7.
        kinematic_viscosity_m2_s: Of the water in m2/s, 1e-7 to 1e-4.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        10 to 20 % of the part above the static head.

    Source:
        Static head plus ``pipe_loss_m`` of each pipe.

    >>> head_needed_m(Plumbing(1.3, (Pipe(25.0, 2.5),)), 0.0)
    1.3
    """
    losses = (pipe_loss_m(pipe, flow_l_h, kinematic_viscosity_m2_s) for pipe in plumbing.pipes)
    return plumbing.static_head_m + sum(losses)


@dataclass(frozen=True, slots=True)
class OperatingPoint:
    """Where the curve of a pump meets its plumbing.

    Attributes:
        lifts: Whether any water arrives. If not, the flow is 0 and the head is what the pump
            can reach at most.
        flow_l_h: Flow in L/h.
        head_m: Head in m.
        relative_error: Share by which the flow may be off.
        extrapolated: Whether it lies beyond the outer points of the curve.
    """

    lifts: bool
    flow_l_h: float
    head_m: float
    relative_error: float
    extrapolated: bool


def operating_point(
    curve: PumpCurve,
    plumbing: Plumbing,
    kinematic_viscosity_m2_s: float = SEAWATER_VISCOSITY_M2_S,
) -> OperatingPoint:
    """Give the flow in L/h and the head in m at which a pump works.

    Args:
        curve: Points of the pump curve.
        plumbing: Static head and pipes.
        kinematic_viscosity_m2_s: Of the water in m2/s, 1e-7 to 1e-4.

    Raises:
        ValueError: If the viscosity is out of range.

    Uncertainty:
        15 % with three points or more, 25 % with two: the curve's shape matters most.

    Source:
        Intersection of pump curve and Darcy-Weisbach, Brent's method of scipy.

    >>> pipe = Pipe(25.0, 2.5, other_loss_coefficient=4.2)
    >>> point = operating_point(PumpCurve(((0.0, 3.0), (5000.0, 0.0))), Plumbing(1.3, (pipe,)))
    >>> round(point.flow_l_h, -1), round(point.head_m, 1)
    (2750.0, 2.1)
    """
    error = _CATALOGUE_ERROR if curve.is_certain else _TWO_POINT_ERROR
    pump_m = curve.head_m()
    if pump_m(0.0) <= plumbing.static_head_m:
        return OperatingPoint(False, 0.0, pump_m(0.0), error, curve.points[0][0] > 0)

    def needed_m(flow_l_h: float) -> float:
        return head_needed_m(plumbing, flow_l_h, kinematic_viscosity_m2_s)

    flow = _meeting_l_h(pump_m, needed_m, curve.max_flow_l_h)
    beyond = not curve.points[0][0] <= flow <= curve.points[-1][0]
    return OperatingPoint(True, flow, pump_m(flow), error, beyond)


def _meeting_l_h(
    pump_m: Callable[[float], float], needed_m: Callable[[float], float], most_l_h: float
) -> float:
    """Give the flow at which the head of a pump is what its plumbing needs; 0 if it never is."""
    from scipy.optimize import brentq

    def surplus(flow_l_h: float) -> float:
        return pump_m(flow_l_h) - needed_m(flow_l_h)

    if surplus(0.0) <= 0:
        return 0.0
    # Rounding may leave a grain of head at the flow against none: there it is 0 by definition.
    return most_l_h if surplus(most_l_h) >= 0 else float(brentq(surplus, 0.0, most_l_h, xtol=1e-6))


def operating_flow_l_h(
    curve: PumpCurve,
    plumbing: Plumbing,
    kinematic_viscosity_m2_s: float = SEAWATER_VISCOSITY_M2_S,
) -> Estimate:
    """Give the flow in L/h at which a pump works, with its range.

    Args:
        curve: Points of the pump curve.
        plumbing: Static head and pipes.
        kinematic_viscosity_m2_s: Of the water in m2/s, 1e-7 to 1e-4.

    Raises:
        ValueError: If the viscosity is out of range.

    Uncertainty:
        As returned: heads of the pump off by 10 %, losses by 20 %, and for a curve of two points
        a straight line instead of a parabola, added as squares; at least 15 %, with two points
        or beyond the curve 25 %. Near its shut-off head a pump may deliver anything.

    Source:
        ``operating_point``, solved again for each error; combination: JCGM 100:2008 (GUM), 5.1.2.

    >>> pipe = Pipe(25.0, 2.5, other_loss_coefficient=4.2)
    >>> flow = operating_flow_l_h(PumpCurve(((0.0, 3.0), (5000.0, 0.0))), Plumbing(1.3, (pipe,)))
    >>> round(flow.low, -2), round(flow.value, -2), round(flow.high, -2)
    (2000.0, 2800.0, 3400.0)
    """
    point = operating_point(curve, plumbing, kinematic_viscosity_m2_s)
    pump_m, most = curve.head_m(), curve.max_flow_l_h

    def flow(head_share: float = 1.0, loss_share: float = 1.0) -> float:
        def needed_m(at_l_h: float) -> float:
            needed = head_needed_m(plumbing, at_l_h, kinematic_viscosity_m2_s)
            return plumbing.static_head_m + loss_share * (needed - plumbing.static_head_m)

        return _meeting_l_h(lambda at_l_h: head_share * pump_m(at_l_h), needed_m, most)

    flows = [flow(1 + sign * _HEAD_ERROR) for sign in (-1, 1)]
    flows += [flow(loss_share=1 + sign * _LOSS_ERROR) for sign in (-1, 1)]
    if not curve.is_certain:
        line = curve.straight()
        flows.append(operating_point(line, plumbing, kinematic_viscosity_m2_s).flow_l_h)
    known = curve.is_certain and not point.extrapolated
    least = point.flow_l_h * (_CATALOGUE_ERROR if known else _TWO_POINT_ERROR)
    down = math.hypot(*(max(0.0, point.flow_l_h - other) for other in flows))
    up = math.hypot(*(max(0.0, other - point.flow_l_h) for other in flows))
    low = max(0.0, point.flow_l_h - max(least, down))
    return Estimate(point.flow_l_h, low, point.flow_l_h + max(least, up))
