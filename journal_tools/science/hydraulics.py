"""What a pump really delivers through its plumbing.

Pumps, heaters and lamps near salt water are mains equipment: use a residual-current device and
drip loops, unplug before hands go in, and leave wiring to a licensed trade and the local code.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from types import MappingProxyType

from journal_tools.science.validity import in_scalar_range

STANDARD_GRAVITY_M_S2 = 9.80665
SMOOTH_PIPE_ROUGHNESS_M = 1.5e-6
"""Roughness of drawn tubing and plastic pipe in m (Moody 1944, in handbooks)."""

SEAWATER_VISCOSITY_M2_S = 9.38e-7
"""Kinematic viscosity at 35 psu and 25 °C; ``viscosity.kinematic_viscosity_m2_s`` for others."""

_DARBY_NAMES = {
    "elbow_90": "Elbow, 90°, threaded, standard, (r/D = 1)",
    "elbow_45": "Elbow, 45°, threaded standard, (r/D = 1)",
    "tee_run": "Tee, Run-through, threaded, (r/D = 1)",
    "tee_branch": "Tee, Through-branch, (as elbow), threaded, (r/D = 1)",
    "ball_valve": "Valve, Ball valve, standard, β = 1",
    "check_valve": "Valve, Swing check",
}
_UNION_LOSS = 0.08  # threaded union, from memory of handbook tables
FITTINGS = (*_DARBY_NAMES, "union", "entrance", "exit")
"""Names of the fittings whose loss is known."""

_CATALOGUE_ERROR = 0.15
_TWO_POINT_ERROR = 0.25


def darcy_friction_factor(reynolds: float, relative_roughness: float = 0.0) -> float:
    """Give the Darcy friction factor (four times the Fanning factor), without unit.

    Args:
        reynolds: Reynolds number, 1e-6 to 1e9; laminar below 2040.
        relative_roughness: Roughness over inner diameter, 0 to 0.05.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        5 % in the turbulent range, more between laminar and turbulent.

    Source:
        64/Re; Colebrook 1939 through fluids.friction_factor.

    >>> round(darcy_friction_factor(1e5, 1e-4), 5)
    0.01851
    """
    from fluids import friction_factor

    number = in_scalar_range("Reynolds number", reynolds, 1e-6, 1e9)
    rough = in_scalar_range("relative roughness", relative_roughness, 0.0, 0.05)
    return float(friction_factor(number, rough))


def loss_coefficient(fitting: str, inner_diameter_mm: float, reynolds: float = 5e4) -> float:
    """Give the loss coefficient K of a fitting: head lost over V2/2g, without unit.

    Args:
        fitting: One of ``FITTINGS``. A pipe ``entrance`` is sharp and flush, an ``exit`` is a
            jet into still water; threaded standard elbows and tees, open full-bore ball valve,
            swing check valve.
        inner_diameter_mm: Inner diameter in mm, 1 to 1000.
        reynolds: Reynolds number, 1e-6 to 1e9.

    Raises:
        ValueError: If the fitting is not known or a value is out of range.

    Uncertainty:
        25 %; glued fittings with sharp inner corners may lose half as much again.

    Source:
        Silverberg & Darby 1999, Chem. Eng. 106:101 (3-K method), and Rennels & Hudson 2012 for
        the entrance, through fluids.fittings; the union 0.08 from memory of handbook tables.

    >>> round(loss_coefficient("elbow_90", 25.0), 2), loss_coefficient("exit", 25.0)
    (0.72, 1.0)
    """
    from fluids.fittings import Darby3K, entrance_sharp, exit_normal

    if fitting not in FITTINGS:
        raise ValueError(f"fitting '{fitting}' is not one of {', '.join(FITTINGS)}")
    bore_in = in_scalar_range("inner diameter", inner_diameter_mm, 1.0, 1000.0, "mm") / 25.4
    number = in_scalar_range("Reynolds number", reynolds, 1e-6, 1e9)
    if fitting in _DARBY_NAMES:
        return float(Darby3K(NPS=bore_in, Re=number, name=_DARBY_NAMES[fitting]))
    fixed = {"union": _UNION_LOSS, "entrance": entrance_sharp(), "exit": exit_normal()}
    return float(fixed[fitting])


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
class PumpCurve:
    """Head of a pump against its flow.

    Between three or more points the curve is a monotone interpolation. Two points, and what lies
    beyond the outer ones, follow H = H0 - k Q2: less certain.

    Attributes:
        points: Pairs of flow in L/h (0 to 1e7) and head in m (0 to 1000), by rising flow.

    Raises:
        ValueError: If fewer than two, or heads rise with flow, or do not fall at the end.
    """

    points: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        if len(self.points) < 2:
            raise ValueError("a pump curve needs two points of flow and head or more")
        for flow, head in self.points:
            in_scalar_range("pump flow", flow, 0.0, 1e7, "L/h")
            in_scalar_range("pump head", head, 0.0, 1000.0, "m")
        for (flow, head), (next_flow, next_head) in pairwise(self.points):
            if next_flow <= flow or next_head > head:
                raise ValueError(
                    f"pump head must fall as flow rises: {flow:g} L/h at {head:g} m is followed "
                    f"by {next_flow:g} L/h at {next_head:g} m"
                )
        if self.points[-1][1] >= self.points[-2][1]:
            raise ValueError("the last two points of a pump curve must differ in head")

    @property
    def is_certain(self) -> bool:
        """Whether the shape of the curve is known: three points or more."""
        return len(self.points) >= 3

    @property
    def shut_off_head_m(self) -> float:
        """Head in m at which the flow stops."""
        return _parabola(*self.points[:2])[0]

    @property
    def max_flow_l_h(self) -> float:
        """Flow in L/h against no head."""
        top, fall = _parabola(*self.points[-2:])
        return math.sqrt(top / fall)

    def head_m(self) -> Callable[[float], float]:
        """Give the function from flow in L/h to head in m."""
        (first, _), (last, _) = self.points[0], self.points[-1]
        low, high = _parabola(*self.points[:2]), _parabola(*self.points[-2:])
        inner = _monotone(self.points) if self.is_certain else None

        def head(flow: float) -> float:
            if inner is not None and first <= flow <= last:
                return inner(flow)
            top, fall = low if flow < first else high
            return top - fall * flow**2

        return head


def _parabola(left: tuple[float, float], right: tuple[float, float]) -> tuple[float, float]:
    """Give H0 and k of H = H0 - k Q2 through two points."""
    fall = (left[1] - right[1]) / (right[0] ** 2 - left[0] ** 2)
    return left[1] + fall * left[0] ** 2, fall


def _monotone(points: tuple[tuple[float, float], ...]) -> Callable[[float], float]:
    from scipy.interpolate import PchipInterpolator

    curve = PchipInterpolator(*zip(*points, strict=True))
    return lambda flow: float(curve(flow))


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
    from scipy.optimize import brentq

    error = _CATALOGUE_ERROR if curve.is_certain else _TWO_POINT_ERROR
    pump_m = curve.head_m()
    if pump_m(0.0) <= plumbing.static_head_m:
        return OperatingPoint(False, 0.0, pump_m(0.0), error, curve.points[0][0] > 0)

    def surplus(flow_l_h: float) -> float:
        return pump_m(flow_l_h) - head_needed_m(plumbing, flow_l_h, kinematic_viscosity_m2_s)

    # Rounding may leave a grain of head at the flow against none: there it is 0 by definition.
    end = curve.max_flow_l_h
    flow = end if surplus(end) >= 0 else float(brentq(surplus, 0.0, end, xtol=1e-6))
    beyond = not curve.points[0][0] <= flow <= curve.points[-1][0]
    return OperatingPoint(True, flow, pump_m(flow), error, beyond)
