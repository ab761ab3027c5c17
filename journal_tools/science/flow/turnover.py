"""How often a flow passes the water of a system, and how thinly it skims the surface."""

from __future__ import annotations

import numpy as np

from journal_tools.science.validity import FloatArray, Number, as_given, in_range

_FLOW_L_H = (1e-6, 1e7)
_FRANCIS = 1.84  # 3.33 in feet, as sqrt(m)/s


def turnovers_per_hour(flow_l_h: Number, net_volume_l: Number | float) -> Number:
    """Give how many times an hour a flow passes the whole water volume.

    Args:
        flow_l_h: Real flow, not the rating of the pump, in L/h, 0 to 1e7.
        net_volume_l: Net water volume in L, 0.1 to 1e7.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        Relative errors of flow (10 to 20 % where it is computed) and volume add.

    Source:
        Flow over volume.

    >>> round(turnovers_per_hour(3000.0, 400.0), 2)
    7.5
    """
    flow = in_range("flow", flow_l_h, 0.0, _FLOW_L_H[1], "L/h")
    return as_given(np.asarray(flow / _net(net_volume_l)), flow_l_h)


def hours_per_turnover(flow_l_h: Number, net_volume_l: Number | float) -> Number:
    """Give the hours in which a flow passes the whole water volume once.

    Args:
        flow_l_h: Real flow in L/h, 1e-6 to 1e7.
        net_volume_l: Net water volume in L, 0.1 to 1e7.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        As for ``turnovers_per_hour``.

    Source:
        Volume over flow: the mean residence time.

    >>> round(hours_per_turnover(3000.0, 400.0) * 60)
    8
    """
    flow = in_range("flow", flow_l_h, *_FLOW_L_H, "L/h")
    return as_given(np.asarray(_net(net_volume_l) / flow), flow_l_h)


def exchange_time_h(
    flow_l_h: Number, net_volume_l: Number | float, fraction: Number | float
) -> Number:
    """Give the hours after which a share of well-mixed water has been exchanged.

    One turnover exchanges 63 %, for new water mixes with the old and leaves with it.

    Args:
        flow_l_h: Real flow in L/h, 1e-6 to 1e7.
        net_volume_l: Net water volume in L, 0.1 to 1e7.
        fraction: Share exchanged, 0 to 0.9999.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        As for ``turnovers_per_hour``; dead corners take longer.

    Source:
        Washout of a stirred tank, 1 - exp(-flow t / volume).

    >>> round(exchange_time_h(400.0, 400.0, 0.95), 2)
    3.0
    """
    share = in_range("fraction", fraction, 0.0, 0.9999)
    hours = np.asarray(hours_per_turnover(flow_l_h, net_volume_l))
    return as_given(hours * -np.log1p(-share), flow_l_h)


def _net(net_volume_l: float | FloatArray) -> FloatArray:
    return in_range("net volume", net_volume_l, 0.1, 1e7, "L")


def weir_flow_l_h(
    head_mm: Number, weir_length_cm: Number | float, end_contractions: int = 0
) -> Number:
    """Give the flow over the edge of an overflow in L/h.

    Args:
        head_mm: Water level above the edge in mm, 0 to 500, read where it has not begun to
            curve down, and at most a third of the length.
        weir_length_cm: Length of the edge in cm, 0.5 to 2000; of a comb the gaps only.
        end_contractions: Ends past which water draws in from the side, 0 to 2: 0 for an edge
            from wall to wall, 2 for a notch.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        5 % from 30 mm of head on, where the formula was made; 20 % at the 5 to 20 mm of a tank,
        where surface tension and the shape of the edge count. The teeth of a comb add to it.

    Source:
        Francis 1855, Lowell Hydraulic Experiments, as in handbooks: Q = 1.84 (L - 0.1 n h) h^1.5
        in metres and seconds, a free fall over a sharp edge.

    >>> round(weir_flow_l_h(10.0, 40.0))
    2650
    """
    length = in_range("weir length", weir_length_cm, 0.5, 2000.0, "cm") / 100
    most_mm = np.minimum(500.0, length * 1000 / 3)
    head = in_range("head over the weir", head_mm, 0.0, most_mm, "mm") / 1000
    effective = length - 0.1 * _contractions(end_contractions) * head
    return as_given(_FRANCIS * effective * head**1.5 * 3.6e6, head_mm)


def weir_head_mm(
    flow_l_h: Number, weir_length_cm: Number | float, end_contractions: int = 0
) -> Number:
    """Give how far the water stands above the edge of an overflow in mm: what it skims.

    Args:
        flow_l_h: Flow over the edge in L/h, 0 to 1e7. Drains below the surface take none of it.
        weir_length_cm: Length of the edge in cm, 0.5 to 2000; of a comb the gaps only.
        end_contractions: Ends past which water draws in from the side, 0 to 2.

    Raises:
        ValueError: If a value is out of range, or the head would be above a third of the
            length: then it is no longer a weir.

    Uncertainty:
        Two thirds of the relative error of ``weir_flow_l_h``: 15 % at 5 to 20 mm.

    Source:
        As ``weir_flow_l_h``, solved for the head.

    >>> round(weir_head_mm(3000.0, 40.0), 1)
    10.9
    """
    flow = in_range("flow", flow_l_h, 0.0, _FLOW_L_H[1], "L/h") / 3.6e6
    length = in_range("weir length", weir_length_cm, 0.5, 2000.0, "cm") / 100
    narrowing = 0.1 * _contractions(end_contractions)
    head = np.asarray((flow / (_FRANCIS * length)) ** (2 / 3))
    # Each step leaves less than a twentieth of the error while the head is in its range.
    for _ in range(14 if end_contractions else 0):
        effective = length - narrowing * np.minimum(head, length)
        head = (flow / (_FRANCIS * effective)) ** (2 / 3)
    return as_given(
        in_range("head over the weir", head * 1000, 0.0, length * 1000 / 3, "mm"), flow_l_h
    )


def _contractions(count: int) -> int:
    if count not in (0, 1, 2):
        raise ValueError(f"end contractions {count} are not 0, 1 or 2")
    return count


def surface_skims_per_hour(
    flow_l_h: Number, surface_cm2: Number | float, layer_mm: Number | float
) -> Number:
    """Give how many times an hour an overflow draws off a layer as thin as what it skims.

    Args:
        flow_l_h: Flow over the edge in L/h, 0 to 1e7.
        surface_cm2: Water surface of the display in cm2, 0.01 to 4e6.
        layer_mm: Thickness of the layer in mm, 0.1 to 500; ``weir_head_mm`` for what is skimmed.

    Raises:
        ValueError: If a value is out of range.

    Uncertainty:
        15 %, as the layer. Films gather in corners that no current sweeps.

    Source:
        Flow over volume of the layer.

    >>> round(surface_skims_per_hour(3000.0, 6000.0, 10.9))
    459
    """
    flow = in_range("flow", flow_l_h, 0.0, _FLOW_L_H[1], "L/h")
    surface = in_range("water surface", surface_cm2, 0.01, 4e6, "cm2")
    layer = in_range("layer", layer_mm, 0.1, 500.0, "mm")
    return as_given(np.asarray(flow / (surface * layer / 1e4)), flow_l_h)
