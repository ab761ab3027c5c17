"""What a bend, a narrow pipe or a half-closed valve costs in flow.

Work on a running return line is work beside mains equipment in salt water: unplug it first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from journal_tools.science.flow.friction import ball_valve_loss_coefficient
from journal_tools.science.flow.hydraulics import (
    SEAWATER_VISCOSITY_M2_S,
    Pipe,
    Plumbing,
    PumpCurve,
    operating_point,
)
from journal_tools.science.validity import in_scalar_range

BORES_MM = (10.0, 12.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0, 75.0)
"""Sizes of hose and pipe in mm: common practice, no source. Measure the inner diameter of yours,
for the name of a rigid pipe is often its outer one."""


@dataclass(frozen=True, slots=True)
class FlowChange:
    """The flow after one change to a plumbing.

    Attributes:
        pipe: Number of the pipe that changes, from 0; None where all do.
        what: ``length``, a fitting, ``other losses``, or the new bore.
        flow_l_h: Flow in L/h after the change.
        gain_l_h: How much more that is than before, in L/h; below 0 it is less.
    """

    pipe: int | None
    what: str
    flow_l_h: float
    gain_l_h: float


def flow_without_each(
    curve: PumpCurve,
    plumbing: Plumbing,
    kinematic_viscosity_m2_s: float = SEAWATER_VISCOSITY_M2_S,
) -> tuple[FlowChange, ...]:
    """Give the flow in L/h without each part of a plumbing in turn, the costliest part first.

    The parts of a pipe are its straight length, one of each kind of fitting, and other losses.

    Args:
        curve: Points of the pump curve.
        plumbing: Static head and pipes.
        kinematic_viscosity_m2_s: Of the water in m2/s, 1e-7 to 1e-4.

    Raises:
        ValueError: If the viscosity is out of range.

    Uncertainty:
        30 % of a gain: a fitting's loss is known to 25 %. Gains of several parts do not add up.

    Source:
        ``hydraulics.operating_point`` with and without the part.

    >>> pipe = Pipe(25.0, 2.5, {"elbow_90": 3, "exit": 1})
    >>> costs = flow_without_each(PumpCurve(((0.0, 3.0), (5000.0, 0.0))), Plumbing(1.3, (pipe,)))
    >>> [(cost.what, round(cost.gain_l_h, -1)) for cost in costs]
    [('length', 280.0), ('exit', 120.0), ('elbow_90', 90.0)]
    """
    before = operating_point(curve, plumbing, kinematic_viscosity_m2_s).flow_l_h
    changes = []
    for number, pipe in enumerate(plumbing.pipes):
        for what, left in _without_each(pipe):
            changed = _with_pipe(plumbing, number, left)
            flow = operating_point(curve, changed, kinematic_viscosity_m2_s).flow_l_h
            changes.append(FlowChange(number, what, flow, flow - before))
    return tuple(sorted(changes, key=lambda change: -change.gain_l_h))


def _without_each(pipe: Pipe) -> Iterator[tuple[str, Pipe]]:
    if pipe.length_m > 0:
        yield "length", replace(pipe, length_m=0.0)
    for name, count in pipe.fittings.items():
        if count:
            yield name, replace(pipe, fittings={**pipe.fittings, name: count - 1})
    if pipe.other_loss_coefficient > 0:
        yield "other losses", replace(pipe, other_loss_coefficient=0.0)


def _with_pipe(plumbing: Plumbing, number: int, pipe: Pipe) -> Plumbing:
    pipes = (*plumbing.pipes[:number], pipe, *plumbing.pipes[number + 1 :])
    return replace(plumbing, pipes=pipes)


def with_bore(plumbing: Plumbing, inner_diameter_mm: float, pipe: int | None = None) -> Plumbing:
    """Give the plumbing with another bore, lengths and fittings kept.

    Args:
        plumbing: Static head and pipes.
        inner_diameter_mm: New inner diameter in mm, 1 to 1000.
        pipe: Number of the pipe to change, from 0; all of them without it.

    Raises:
        ValueError: If the diameter is out of range or there is no such pipe.

    >>> with_bore(Plumbing(1.3, (Pipe(25.0, 2.5),)), 32.0).pipes[0].inner_diameter_mm
    32.0
    """
    if pipe is not None and not 0 <= pipe < len(plumbing.pipes):
        raise ValueError(f"there is no pipe {pipe} among {len(plumbing.pipes)}, counted from 0")
    pipes = (
        replace(piece, inner_diameter_mm=inner_diameter_mm) if pipe in (None, number) else piece
        for number, piece in enumerate(plumbing.pipes)
    )
    return replace(plumbing, pipes=tuple(pipes))


def flow_with_bores(
    curve: PumpCurve,
    plumbing: Plumbing,
    inner_diameters_mm: Iterable[float] = BORES_MM,
    pipe: int | None = None,
    kinematic_viscosity_m2_s: float = SEAWATER_VISCOSITY_M2_S,
) -> tuple[FlowChange, ...]:
    """Give the flow in L/h with each of several bores, in the order asked for.

    Args:
        curve: Points of the pump curve.
        plumbing: Static head and pipes.
        inner_diameters_mm: Inner diameters in mm, 1 to 1000.
        pipe: Number of the pipe to change, from 0; all of them without it.
        kinematic_viscosity_m2_s: Of the water in m2/s, 1e-7 to 1e-4.

    Raises:
        ValueError: If a value is out of range or there is no such pipe.

    Uncertainty:
        15 to 25 % of the flows, as ``hydraulics.operating_point``; less of their differences.

    Source:
        ``hydraulics.operating_point`` with each bore.

    >>> old = Plumbing(1.3, (Pipe(25.0, 2.5, other_loss_coefficient=4.2),))
    >>> found = flow_with_bores(PumpCurve(((0.0, 3.0), (5000.0, 0.0))), old, (20.0, 32.0))
    >>> [(change.what, round(change.gain_l_h, -1)) for change in found]
    [('20 mm', -690.0), ('32 mm', 550.0)]
    """
    before = operating_point(curve, plumbing, kinematic_viscosity_m2_s).flow_l_h
    changes = []
    for bore in inner_diameters_mm:
        changed = with_bore(plumbing, bore, pipe)
        flow = operating_point(curve, changed, kinematic_viscosity_m2_s).flow_l_h
        changes.append(FlowChange(pipe, f"{bore:g} mm", flow, flow - before))
    return tuple(changes)


def next_bore_mm(inner_diameter_mm: float) -> float:
    """Give the next larger of ``BORES_MM`` in mm.

    Args:
        inner_diameter_mm: Inner diameter in mm, 1 to less than 75.

    Raises:
        ValueError: If the diameter is out of range.

    >>> next_bore_mm(25.0)
    32.0
    """
    bore = in_scalar_range("inner diameter", inner_diameter_mm, 1.0, BORES_MM[-1] - 0.1, "mm")
    return next(size for size in BORES_MM if size > bore)


def flow_with_next_bore(
    curve: PumpCurve,
    plumbing: Plumbing,
    kinematic_viscosity_m2_s: float = SEAWATER_VISCOSITY_M2_S,
) -> tuple[FlowChange, ...]:
    """Give the flow in L/h with each pipe in turn one size wider (``next_bore_mm``).

    Args:
        curve: Points of the pump curve.
        plumbing: Static head and pipes, of less than 75 mm.
        kinematic_viscosity_m2_s: Of the water in m2/s, 1e-7 to 1e-4.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        As ``flow_with_bores``.

    Source:
        ``hydraulics.operating_point`` with each bore.

    >>> old = Plumbing(1.3, (Pipe(25.0, 2.5, other_loss_coefficient=4.2),))
    >>> found = flow_with_next_bore(PumpCurve(((0.0, 3.0), (5000.0, 0.0))), old)
    >>> [(change.pipe, change.what, round(change.gain_l_h, -1)) for change in found]
    [(0, '32 mm', 550.0)]
    """
    return tuple(
        change
        for number, pipe in enumerate(plumbing.pipes)
        for change in flow_with_bores(
            curve,
            plumbing,
            (next_bore_mm(pipe.inner_diameter_mm),),
            number,
            kinematic_viscosity_m2_s,
        )
    )


def throttled(plumbing: Plumbing, closed_share: float) -> Plumbing:
    """Give the plumbing with the first of its ball valves partly closed.

    Args:
        plumbing: Static head and pipes; one of them has a ``ball_valve``.
        closed_share: Turn of the handle from open (0) towards closed (1), 0 to 2/3.

    Raises:
        ValueError: If the share is out of range, or there is no ball valve.

    Uncertainty:
        A factor of two in the valve's loss: set a valve by the measured flow, not by its angle.

    Source:
        ``friction.ball_valve_loss_coefficient``.

    >>> valve = Pipe(25.0, 2.0, {"ball_valve": 1})
    >>> round(throttled(Plumbing(1.3, (valve,)), 1 / 3).pipes[0].other_loss_coefficient, 2)
    5.45
    """
    more = ball_valve_loss_coefficient(closed_share) - ball_valve_loss_coefficient(0.0)
    for number, pipe in enumerate(plumbing.pipes):
        if pipe.fittings.get("ball_valve"):
            total = pipe.other_loss_coefficient + more
            return _with_pipe(plumbing, number, replace(pipe, other_loss_coefficient=total))
    raise ValueError("no pipe of this plumbing has a ball valve to close")
