"""How often a flow passes the water of a system."""

from __future__ import annotations

import math

import numpy as np

from journal_tools.science.validity import Number, as_given, in_range, in_scalar_range

_FLOW_L_H = (1e-6, 1e7)


def turnovers_per_hour(flow_l_h: Number, net_volume_l: float) -> Number:
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
    return as_given(flow / _net(net_volume_l), flow_l_h)


def hours_per_turnover(flow_l_h: Number, net_volume_l: float) -> Number:
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


def exchange_time_h(flow_l_h: Number, net_volume_l: float, fraction: float) -> Number:
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
    share = in_scalar_range("fraction", fraction, 0.0, 0.9999)
    hours = np.asarray(hours_per_turnover(flow_l_h, net_volume_l))
    return as_given(hours * -math.log1p(-share), flow_l_h)


def _net(net_volume_l: float) -> float:
    return in_scalar_range("net volume", net_volume_l, 0.1, 1e7, "L")
