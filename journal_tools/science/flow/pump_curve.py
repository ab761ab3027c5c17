"""The curve of a pump: the head that it gives at each flow."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from journal_tools.science.validity import in_scalar_range


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

    def straight(self) -> PumpCurve:
        """Give the straight line through the outer points, from no flow to no head."""
        (flow, head), (last_flow, last_head) = self.points[0], self.points[-1]
        slope = (head - last_head) / (last_flow - flow)
        top, end = head + slope * flow, flow + head / slope
        return PumpCurve(((0.0, top), (end / 2, top / 2), (end, 0.0)))

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
