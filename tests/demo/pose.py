"""Where an animal is on the page, and its eye."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .sheet import Sheet, pigment
from .strokes import Points, dot, moved, points, spline

WHITE = pigment("paper")


@dataclass(frozen=True)
class Pose:
    """Where an animal is: middle and length in drawing units, facing 1 (right) or -1."""

    x: float
    y: float
    length: float
    facing: int

    def at(self, shape: Points) -> Points:
        """A shape drawn for a fish of length 1 that looks right, put in its place."""
        return moved(shape * (self.length * self.facing, self.length), self.x, self.y)

    def curve(self, *knots: tuple[float, float]) -> Points:
        """A closed smooth outline through knots."""
        return self.at(spline(np.array(knots), closed=True))

    def line(self, *knots: tuple[float, float]) -> Points:
        """An open smooth line through knots."""
        return self.at(spline(np.array(knots)))


def eye(sheet: Sheet, pose: Pose, x: float, y: float, radius: float) -> None:
    """Draw an eye at a spot of the body."""
    size = max(radius * pose.length, 2.2)
    middle = pose.at(points((x, y)))[0]
    sheet.figure([dot(middle, size, size, n=16)], pigment("lemon"), 0.5, outline=0.9)
    sheet.gouache([dot(middle, 0.62 * size, 0.62 * size, n=14)], pigment("ink"), 0.95)
    sheet.gouache([dot(middle - 0.25 * size, 0.24 * size, 0.24 * size, n=8)])
