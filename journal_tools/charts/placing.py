"""Room for a label: the free place nearest to what it names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from journal_tools.charts.sheet import Path, Spot

_STEP_PX = 3
_SAMPLE_PX = 5
_CLEAR_PX = 4
# So much further away a label goes rather than stand on a grid line.
_FAINT_PX = 12
_BETWEEN_LABELS_PX = 8

Numbers = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle in px.

    Attributes:
        left: Left side.
        top: Upper side.
        right: Right side.
        bottom: Lower side.
    """

    left: float
    top: float
    right: float
    bottom: float

    def gap(self, spot: Spot) -> float:
        """Give how far away from it another place is in px."""
        near = self.nearest(spot)
        return float(np.hypot(near[0] - spot[0], near[1] - spot[1]))

    def nearest(self, spot: Spot) -> Spot:
        """Give the place within it that is nearest to another place."""
        return (
            min(max(spot[0], self.left), self.right),
            min(max(spot[1], self.top), self.bottom),
        )


@dataclass(slots=True)
class Ground:
    """Part of a drawing with what already stands there.

    Attributes:
        area: Where labels may be.
        dots: Places that no label may cover.
        faint: Places that a label had better not cover, such as those of a grid.
    """

    area: Area
    dots: list[Spot] = field(default_factory=list)
    faint: list[Spot] = field(default_factory=list)

    def draw(self, path: Path) -> None:
        """Take note of a line, in px."""
        self.dots += sampled(path)

    def place(self, anchors: Sequence[Spot], width_px: float, height_px: float) -> Area:
        """Give the free place nearest to one of some anchors, and take note of it.

        Args:
            anchors: Places of what the label names, in px; at least one.
            width_px: Width of the label.
            height_px: Its height.

        Returns:
            Where the label goes; where nothing is free, the place that covers least.
        """
        lefts, tops = self._corners(width_px, height_px)
        hits = _hits(self.dots, lefts, tops, width_px, height_px)
        faint = _hits(self.faint, lefts, tops, width_px, height_px) > 0
        gaps = np.full(len(lefts), np.inf)
        for x, y in anchors:
            across = np.maximum(0.0, np.maximum(lefts - x, x - lefts - width_px))
            down = np.maximum(0.0, np.maximum(tops - y, y - tops - height_px))
            gaps = np.minimum(gaps, np.hypot(across, down))
        best = int(np.lexsort((gaps + _FAINT_PX * faint, hits))[0])
        left, top = float(lefts[best]), float(tops[best])
        found = Area(left, top, left + width_px, top + height_px)
        self.dots += _grid(found)
        return found

    def _corners(self, width_px: float, height_px: float) -> tuple[Numbers, Numbers]:
        """Give the upper left corners that are tried."""
        area = self.area
        across = np.arange(area.left, max(area.left + 1, area.right - width_px), _STEP_PX)
        down = np.arange(area.top, max(area.top + 1, area.bottom - height_px), _STEP_PX)
        lefts, tops = np.meshgrid(across, down)
        return lefts.ravel(), tops.ravel()


def sampled(path: Path) -> list[Spot]:
    """Give places along a line that are at most 5 px apart.

    Args:
        path: Corners in px.

    Returns:
        Places, the first and last of the line among them.

    >>> sampled([(0, 0), (10, 0)])
    [(0.0, 0.0), (5.0, 0.0), (10.0, 0.0)]
    """
    spots: list[Spot] = [(float(x), float(y)) for x, y in path[:1]]
    for (x1, y1), (x2, y2) in pairwise(path):
        count = max(1, int(np.ceil(np.hypot(x2 - x1, y2 - y1) / _SAMPLE_PX)))
        parts: Sequence[float] = [n / count for n in range(1, count + 1)]
        spots += [(x1 + (x2 - x1) * part, y1 + (y2 - y1) * part) for part in parts]
    return spots


def _hits(
    dots: Sequence[Spot], lefts: Numbers, tops: Numbers, width_px: float, height_px: float
) -> npt.NDArray[np.int64]:
    """Give how many dots each try would cover."""
    hits = np.zeros(len(lefts), dtype=np.int64)
    for x, y in dots:
        within = (lefts - _CLEAR_PX < x) & (x < lefts + width_px + _CLEAR_PX)
        hits += within & (tops - _CLEAR_PX < y) & (y < tops + height_px + _CLEAR_PX)
    return hits


def _grid(area: Area) -> list[Spot]:
    """Give dots all over a label and a little beside it, so that no second one runs into it."""
    left, right = area.left - _BETWEEN_LABELS_PX, area.right + _BETWEEN_LABELS_PX
    across = np.linspace(left, right, max(2, int((right - left) / 8)))
    down = np.linspace(area.top, area.bottom, max(2, int((area.bottom - area.top) / 5)))
    return [(float(x), float(y)) for y in down for x in across]
