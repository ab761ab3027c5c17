"""Bending of thin rectangular plates under water: coefficients for deflection and stress.

A plate of length L (level) and height H (upright) is supported, free to turn, along its bottom
and both sides. Its top edge is either supported too or free. With q the load at the bottom,
E the modulus of elasticity and t the thickness:

    greatest deflection  w = alpha q H^4 / (E t^3)
    greatest stress  sigma = beta q H^2 / t^2

Beware of handbook tables for the free edge: there the squared length is often that of the free
edge, L, and the ratio is H/L.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache, partial
from typing import Generic, Literal

import numpy as np

from journal_tools.science.validity import (
    FloatArray,
    Number,
    as_given,
    in_range,
    in_scalar_range,
)

ASPECT_RANGE = (0.2, 6.0)
"""Length over height for which the coefficients are given."""

TopEdge = Literal["supported", "free"]
"""How the top edge is held: by a rim or brace along it, or not at all."""

Load = Literal["uniform", "hydrostatic"]
"""The same load everywhere, or one that grows from nothing at the water line to the bottom."""

_WAVES = np.arange(1.0, 90.0, 2.0)  # of the sine series along the length; even ones vanish
_AMPLITUDES = 4 / (np.pi * _WAVES)  # of a load that is the same all along the length
_HEIGHTS = np.linspace(0.0, 1.0, 61)
# Half the length, closer towards the end, where twist peaks within one height of it.
_PLACES = np.sin(np.linspace(0.0, np.pi / 4, 31)) ** 2
_SINES = np.sin(np.pi * np.outer(_PLACES, _WAVES))
_COSINES = np.cos(np.pi * np.outer(_PLACES, _WAVES))


@dataclass(frozen=True, slots=True)
class PlateCoefficients(Generic[Number]):
    """Coefficients of a plate, on its height H and the load at its bottom, without unit.

    Attributes:
        alpha: Greatest deflection, w = alpha q H^4 / (E t^3).
        alpha_top: Deflection of the middle of the top edge, in the same way; 0 if supported.
        beta: Greatest principal stress anywhere, sigma = beta q H^2 / t^2. From 2.4 times as
            long as high a plate with free top has it where it twists, near its lower corners.
        beta_midline: Greatest stress on the upright line through the middle.
    """

    alpha: Number
    alpha_top: Number
    beta: Number
    beta_midline: Number


def plate_coefficients(
    length_over_height: Number,
    poisson_ratio: float = 0.3,
    top_edge: TopEdge = "supported",
    load: Load = "hydrostatic",
    filled: float = 1.0,
) -> PlateCoefficients[Number]:
    """Give the coefficients for deflection and stress of a thin rectangular plate, without unit.

    Args:
        length_over_height: Length over height, 0.2 to 6.
        poisson_ratio: Of the material, 0 to 0.49; 0.22 to 0.23 is glass, handbooks tabulate 0.3.
        top_edge: ``supported`` or ``free``.
        load: ``hydrostatic`` (greatest at the bottom) or ``uniform``.
        filled: Height of the water over that of the plate, 0.1 to 1. For a uniform load 1.

    Raises:
        ValueError: If a value is out of range or a word is not known. An aspect ratio of an
            array that is out of range gives NaN.

    Uncertainty:
        0.2 % by computation. Real plates deflect less where edges are partly held (silicone),
        and where they deflect by more than half their thickness.

    Source:
        Levy's series: Timoshenko & Woinowsky-Krieger 1959, Theory of Plates and Shells. Tested
        against another method and against Roark's Formulas, 7th ed., table 11.4.

    >>> plate = plate_coefficients(2.0, top_edge="free")
    >>> round(plate.beta, 3), round(plate.alpha, 3)
    (0.473, 0.401)
    """
    if top_edge not in ("supported", "free"):
        raise ValueError(f"top edge '{top_edge}' is neither supported nor free")
    if load not in ("uniform", "hydrostatic"):
        raise ValueError(f"load '{load}' is neither uniform nor hydrostatic")
    ratios = in_range("length over height", length_over_height, *ASPECT_RANGE)
    poisson = in_scalar_range("Poisson's ratio", poisson_ratio, 0.0, 0.49)
    share = in_scalar_range("filled share of the height", filled, 0.1, 1.0)
    if load == "uniform" and share != 1:
        raise ValueError("a uniform load covers the whole plate: its filled share must be 1")
    found = np.array([
        _coefficients(float(ratio), poisson, top_edge == "free", load == "uniform", share)
        for ratio in ratios.ravel()
    ]).reshape(*ratios.shape, 4)  # fmt: skip
    return PlateCoefficients(*(as_given(found[..., i], length_over_height) for i in range(4)))


@lru_cache(maxsize=1024)
def _coefficients(
    ratio: float, poisson: float, is_free: bool, is_uniform: bool, filled: float
) -> tuple[float, float, float, float]:
    """Give alpha, alpha_top, beta and beta_midline of one plate of height 1."""
    if np.isnan(ratio):
        return (np.nan,) * 4
    waves = np.asarray(np.pi / ratio * _WAVES[:, np.newaxis], dtype=np.float64)
    load = _uniform if is_uniform else partial(_water, waves, filled)
    series = _series(waves, load, _free(poisson) if is_free else _SUPPORTED)
    shape, slope, bend = _AMPLITUDES[:, np.newaxis] / waves**2 * series
    level, upright = _SINES @ (shape - poisson * bend), _SINES @ (poisson * shape - bend)
    twist = (1 - poisson) * _COSINES @ slope
    principal = np.abs(level + upright) / 2 + np.hypot((level - upright) / 2, twist)
    midline = max(_peak(level[-1]), _peak(upright[-1]))
    deflection = 12 * (1 - poisson**2) * _SINES[-1] @ (shape / waves**2)
    top = float(deflection[-1]) if is_free else 0.0
    # Stress is 6 moments over the squared thickness.
    return _peak(deflection), top, 6 * max(midline, _peak(principal)), 6 * midline


_Part = Callable[[FloatArray, int], FloatArray]
"""From places s and the order of a derivative to that derivative of a function of s."""

_Edge = tuple[Mapping[int, float], Mapping[int, float]]
_SUPPORTED: _Edge = ({0: 1.0}, {2: 1.0})
"""What vanishes along an edge: two sums of derivatives, as factors by their order."""


def _free(poisson: float) -> _Edge:
    """Give the conditions of no moment and no edge force (Kirchhoff's, with the twist in it)."""
    return {2: 1.0, 0: -poisson}, {3: 1.0, 1: poisson - 2}


def _series(waves: FloatArray, loaded: _Part, top_edge: _Edge) -> FloatArray:
    """Give F and two derivatives of each wave (rows) at each height, for F'''' - 2F'' + F = load.

    The variable is s = wave number times height. The four solutions without load are written as
    decays from the bottom and from the top edge: the usual cosh and sinh overflow for short
    waves, and their differences lose all digits.
    """
    edges = ((np.zeros_like(waves), _SUPPORTED), (waves, top_edge))
    conditions = [(place, terms) for place, edge in edges for terms in edge]
    rows = [
        sum(k * _unloaded(place, waves, order) for order, k in terms.items())
        for place, terms in conditions
    ]
    right = [
        -sum(k * loaded(place, order) for order, k in terms.items()) for place, terms in conditions
    ]
    factors = np.linalg.solve(np.concatenate(rows, 1), np.stack(right, 1))
    places = waves * _HEIGHTS
    return np.stack([
        (_unloaded(places, waves, order) @ factors)[..., 0] + loaded(places, order)
        for order in range(3)
    ])  # fmt: skip


def _unloaded(place: FloatArray, top: FloatArray, order: int) -> FloatArray:
    """Give a derivative of the four solutions without load (last axis) at ``place``."""
    down = top - place
    rising, falling = (-1.0) ** order * np.exp(-place), np.exp(-down)
    return np.stack([rising, (place - order) * rising, falling, (down - order) * falling], -1)


def _uniform(place: FloatArray, order: int) -> FloatArray:
    return np.full_like(place, 0.0 if order else 1.0)


def _water(waves: FloatArray, filled: float, place: FloatArray, order: int) -> FloatArray:
    """Give a derivative of a solution for water up to ``filled``, with load 1 at the bottom.

    The load has a kink at the water line. The second part, which fades away on both sides of
    it, makes the sum smooth enough to be a solution.
    """
    above = place - waves * filled
    side, depth = np.where(above < 0, -1.0, 1.0), np.abs(above)
    ramp = (np.where(above < 0, depth, 0.0), np.where(above < 0, -1.0, 0.0), 0.0, 0.0)
    smooth = (3 + depth, -side * (2 + depth), 1 + depth, -side * depth)
    return np.asarray((ramp[order] + smooth[order] * np.exp(-depth) / 4) / (waves * filled))


def _peak(values: FloatArray) -> float:
    """Give the greatest value, also between grid points: by a parabola along each axis."""
    best = np.unravel_index(int(np.argmax(values)), values.shape)
    peak = top = float(values[best])
    for axis, index in enumerate(best):
        if 0 < index < values.shape[axis] - 1:
            before, after = (
                float(values[(*best[:axis], index + step, *best[axis + 1 :])]) for step in (-1, 1)
            )
            fall = 2 * top - before - after
            peak += (after - before) ** 2 / (8 * fall) if fall > 0 else 0.0
    return peak
