"""Friction of straight pipes and losses of fittings."""

from __future__ import annotations

import numpy as np

from journal_tools.science.validity import Number, as_given, in_range, in_scalar_range

SMOOTH_PIPE_ROUGHNESS_M = 1.5e-6
"""Roughness of drawn tubing and plastic pipe in m (Moody 1944, in handbooks)."""

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

_TURBULENT, _WATER_15C_M2_S = 4000, 1.14e-6
_THIRDS_CLOSED = (0.0, 1 / 3, 2 / 3)
_LOG_VALVE_LOSS = np.log((0.05, 5.5, 210.0))


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


def ball_valve_loss_coefficient(closed_share: Number) -> Number:
    """Give the loss coefficient K of a ball valve that is partly closed, without unit.

    Args:
        closed_share: Turn of its handle from open (0) towards closed (1), 0 to 2/3. Beyond that
            a hair's breadth decides.

    Raises:
        ValueError: If a single share is out of range.

    Uncertainty:
        A factor of two: valves differ in bore and seat. Set a valve by the measured flow.

    Source:
        Munson, Young & Okiishi, Fundamentals of Fluid Mechanics, table of loss coefficients
        (0.05 open, 5.5 a third closed, 210 two thirds closed), from memory; log K between them.

    >>> round(ball_valve_loss_coefficient(1 / 3), 1)
    5.5
    """
    share = in_range("closed share of the valve", closed_share, 0.0, 2 / 3)
    loss = np.exp(np.interp(share, _THIRDS_CLOSED, _LOG_VALVE_LOSS))
    return as_given(np.asarray(loss), closed_share)


def hazen_williams_loss_m(
    flow_l_h: Number,
    inner_diameter_mm: Number | float,
    length_m: Number | float,
    coefficient: float = 150.0,
) -> Number:
    """Give the head lost in a wide straight pipe by the rule of water works in m.

    It knows neither viscosity nor laminar flow, so it is refused where it does not hold: for
    the hoses and pipes of most tanks take ``hydraulics.pipe_loss_m``.

    Args:
        flow_l_h: Flow of water of 5 to 25 °C in L/h, turbulent (Reynolds number 4000 or more at
            15 °C), up to 1e7.
        inner_diameter_mm: Inner diameter in mm, 50 to 2000.
        length_m: Length in m, 0 to 10000.
        coefficient: C, 60 (old iron) to 160; 150 is plastic pipe.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        10 % for clean pipes at 1 to 2 m/s.

    Source:
        Hazen-Williams in SI units, h = 10.67 L Q^1.852 / (C^1.852 D^4.8704), in handbooks.

    >>> round(hazen_williams_loss_m(36_000.0, 100.0, 100.0), 2)
    1.46
    """
    bore = in_range("inner diameter", inner_diameter_mm, 50.0, 2000.0, "mm") / 1000
    least_l_h = _TURBULENT * np.pi * bore * _WATER_15C_M2_S / 4 * 3.6e6
    flow = in_range("flow", flow_l_h, least_l_h, 1e7, "L/h") / 3.6e6
    length = in_range("pipe length", length_m, 0.0, 1e4, "m")
    smooth = in_scalar_range("Hazen-Williams coefficient", coefficient, 60.0, 160.0)
    loss = 10.67 * length * (flow / smooth) ** 1.852 / bore**4.8704
    return as_given(np.asarray(loss), flow_l_h)
