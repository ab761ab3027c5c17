"""Points of hand-drawn lines and shapes, in drawing units (a picture is 1200 by 900)."""

from __future__ import annotations

import zlib
from collections.abc import Sequence

import numpy as np
from numpy.random import RandomState
from numpy.typing import NDArray

Points = NDArray[np.float64]


def seeded(*parts: object) -> RandomState:
    """A random source of its own for the thing that the parts name.

    Args:
        parts: what names the thing, e.g. its kind and its place.
    """
    return RandomState(zlib.crc32(repr(parts).encode()))


def points(*pairs: Sequence[float] | Points) -> Points:
    """An array of points from x, y pairs."""
    return np.array(pairs, dtype=np.float64)


def spline(knots: Points, *, closed: bool = False, per_span: int = 8) -> Points:
    """A smooth line through all knots (Catmull-Rom)."""
    if closed:
        path = np.vstack([knots[-1:], knots, knots[:2]])
    else:
        path = np.vstack([2 * knots[0] - knots[1], knots, 2 * knots[-1] - knots[-2]])
    t = np.linspace(0, 1, per_span, endpoint=False)[None, :, None]
    a, b, c, d = (path[i : len(path) - 3 + i, None, :] for i in range(4))
    curve = 0.5 * (
        2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3
    )
    flat = curve.reshape(-1, 2)
    return flat if closed else np.vstack([flat, knots[-1:]])


def ellipse(x: float, y: float, rx: float, ry: float, *, tilt: float = 0.0, n: int = 28) -> Points:
    """A closed ellipse round (x, y); tilt in radians."""
    angle = np.linspace(0, 2 * np.pi, n, endpoint=False)
    ring = np.stack([rx * np.cos(angle), ry * np.sin(angle)], axis=1)
    return moved(turned(ring, tilt), x, y)


def moved(shape: Points, right: float, down: float) -> Points:
    """The shape shifted by so many units."""
    shifted: Points = shape + np.array([right, down])
    return shifted


def turned(shape: Points, angle: float) -> Points:
    """The shape turned about the origin by an angle in radians."""
    cos, sin = np.cos(angle), np.sin(angle)
    spun: Points = shape @ np.array([[cos, sin], [-sin, cos]])
    return spun


def blob(
    x: float, y: float, rx: float, ry: float, rng: RandomState, *, lumps: float = 0.14, n: int = 9
) -> Points:
    """A closed lumpy shape round (x, y)."""
    angle = np.linspace(0, 2 * np.pi, n, endpoint=False) + rng.uniform(-0.2, 0.2, n)
    radius = 1 + rng.uniform(-lumps, lumps, n)
    knots = np.stack([rx * radius * np.cos(angle), ry * radius * np.sin(angle)], axis=1)
    return moved(spline(knots, closed=True), x, y)


def dot(spot: Points, rx: float, ry: float, *, tilt: float = 0.0, n: int = 28) -> Points:
    """A closed ellipse round a spot; tilt in radians."""
    return ellipse(float(spot[0]), float(spot[1]), rx, ry, tilt=tilt, n=n)


def lump(
    spot: Points, size: Points, rng: RandomState, *, lumps: float = 0.14, n: int = 9
) -> Points:
    """A closed lumpy shape round a spot, of a half width and a half height."""
    x, y, rx, ry = (float(value) for value in (*spot, *size))
    return blob(x, y, rx, ry, rng, lumps=lumps, n=n)


def box(left: float, top: float, right: float, bottom: float) -> Points:
    """A rectangle as four corners."""
    return points((left, top), (right, top), (right, bottom), (left, bottom))


def resampled(line: Points, step: float) -> Points:
    """The line with points about one step apart."""
    gaps = np.hypot(*np.diff(line, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(gaps)])
    n = max(2, int(along[-1] / step) + 1)
    spots = np.linspace(0, along[-1], n)
    return np.stack([np.interp(spots, along, line[:, k]) for k in (0, 1)], axis=1)


def shaky(
    line: Points, rng: RandomState, *, amount: float = 1.2, closed: bool = False, step: float = 9.0
) -> Points:
    """The line as a calm hand draws it: slow drifts, no corners moved far."""
    path = resampled(np.vstack([line, line[:1]]) if closed else line, step)
    if closed:
        path = path[:-1]
    drift = rng.normal(0, amount, path.shape)
    kernel = np.array([0.25, 0.5, 0.25])
    for _ in range(2):
        padded = np.pad(drift, ((1, 1), (0, 0)), mode="wrap" if closed else "edge")
        drift = sum(kernel[i] * padded[i : i + len(drift)] for i in range(3))
    return path + drift


def ribbon(line: Points, start: float, end: float, *, swell: float = 0.0) -> Points:
    """A closed band along a line, from one width to another, wider by swell halfway."""
    t = np.linspace(0, 1, len(line))
    half = 0.5 * (start + (end - start) * t + swell * np.sin(np.pi * t))
    side = _normals(line) * half[:, None]
    return np.vstack([line + side, (line - side)[::-1]])


def _normals(line: Points) -> Points:
    along = np.empty_like(line)
    along[1:-1] = line[2:] - line[:-2]
    along[0], along[-1] = line[1] - line[0], line[-1] - line[-2]
    length = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)
    return np.stack([-along[:, 1], along[:, 0]], axis=1) / length[:, None]


def rounded_box(
    left: float, top: float, right: float, bottom: float, radius: float, *, n: int = 5
) -> Points:
    """A rectangle with round corners."""
    corners = (
        (right - radius, top + radius, -0.5),
        (right - radius, bottom - radius, 0.0),
        (left + radius, bottom - radius, 0.5),
        (left + radius, top + radius, 1.0),
    )
    turns = np.linspace(0, 0.5 * np.pi, n)
    arcs = [
        np.stack(
            [x + radius * np.cos(q * np.pi + turns), y + radius * np.sin(q * np.pi + turns)], 1
        )
        for x, y, q in corners
    ]
    return np.vstack(arcs)


def sunflower(n: int) -> Points:
    """Evenly spread points of a unit disc, from its middle outward."""
    index = np.arange(n) + 0.5
    radius, angle = np.sqrt(index / max(n, 1)), index * np.pi * (3 - np.sqrt(5))
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)
