"""Six generic kinds of coral, each of which grows as one and the same animal."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.random import RandomState

from .scene import Coral
from .sheet import Colour, Sheet, mixed, pigment
from .strokes import Points, dot, ellipse, moved, points, ribbon, seeded, spline, sunflower, turned

PALE = pigment("bone")


@dataclass(frozen=True)
class Stand:
    """Where and how large a coral is drawn.

    Attributes:
        x: middle of its foot in drawing units.
        y: height of its foot in drawing units.
        zoom: 1 in the whole tank, larger in a close-up.
    """

    x: float
    y: float
    zoom: float = 1.0

    def at(self, shape: Points) -> Points:
        """A shape drawn round its foot, moved to its place."""
        return moved(shape * self.zoom, self.x, self.y)


def draw_coral(sheet: Sheet, coral: Coral, stand: Stand) -> None:
    """Draw a coral with its foot at a stand."""
    rng = seeded(coral.kind, coral.x, coral.perch)
    tint = mixed(PALE, pigment(coral.colour), 0.08 + 0.92 * coral.health)
    _foot_shadow(sheet, coral, stand)
    KINDS[coral.kind](sheet, coral, stand, tint, rng)
    if coral.health < 0.45:
        _fuzz(sheet, coral, stand, rng)


def _foot_shadow(sheet: Sheet, coral: Coral, stand: Stand) -> None:
    wide = 12 + 46 * coral.size
    shade = stand.at(ellipse(4, 6, wide, 5 + 5 * coral.size))
    sheet.wash([shade], pigment("indigo"), 0.4, soft=5 * stand.zoom**0.5, edge=0)


def _fuzz(sheet: Sheet, coral: Coral, stand: Stand, rng: RandomState) -> None:
    wide = 10 + 40 * coral.size
    roots = np.stack([rng.uniform(-wide, wide, 22), rng.uniform(-6, 8, 22)], axis=1)
    hairs = [
        stand.at(points((x, y), (x + rng.uniform(-4, 4), y - rng.uniform(5, 12)))) for x, y in roots
    ]
    sheet.ticks(hairs, 1.4 * stand.zoom**0.5, colour=pigment("brown"))


def mushroom(sheet: Sheet, coral: Coral, stand: Stand, tint: Colour, rng: RandomState) -> None:
    """Round flat discs, one beside the other."""
    spots = sunflower(14) * (84, 34) * (0.35 + 0.65 * coral.size) + rng.uniform(-4, 4, (14, 2))
    spots[0] = (0, -2)
    sizes = rng.uniform(0.75, 1.15, 14)
    grown = 1 + round(12.6 * coral.size)
    full = (11 + 15 * coral.size) * (0.62 + 0.38 * coral.health)
    order = sorted(range(grown), key=lambda k: spots[k][1])
    for index in order:
        _disc(sheet, stand, spots[index], full * sizes[index], tint, rng.uniform(-0.2, 0.2))


def _disc(
    sheet: Sheet, stand: Stand, spot: Points, radius: float, tint: Colour, tilt: float
) -> None:
    x, y = spot[0], spot[1] - 0.4 * radius
    angle = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    frill = 1 + 0.05 * np.sin(9 * angle + 7 * tilt) + 0.03 * np.sin(5 * angle)
    rim = np.stack([radius * frill * np.cos(angle), 0.66 * radius * frill * np.sin(angle)], 1)
    disc = moved(turned(rim, tilt), x, y)
    sheet.figure([stand.at(disc)], tint, 0.8, outline=1.2 * stand.zoom**0.5)
    inner = stand.at(ellipse(x, y, 0.6 * radius, 0.38 * radius, tilt=tilt))
    sheet.wash([inner], mixed(tint, pigment("indigo"), 0.35), 0.55, soft=2 * stand.zoom**0.5)
    spokes = [
        stand.at(points((x, y), (x, y)) + np.outer((0.3, 0.86), disc[k] - (x, y)))
        for k in range(0, 48, 3)
    ]
    sheet.ticks(spokes, 0.8 * stand.zoom**0.6, press=0.45)
    ring = moved(0.72 * (disc[1::5] - (x, y)), x, y)
    dots = [stand.at(dot(spot, 0.05 * radius, 0.04 * radius, n=8)) for spot in ring]
    sheet.gouache(dots, mixed(pigment("paper"), tint, 0.2), 0.9)
    mouth = stand.at(ellipse(x, y, 0.13 * radius, 0.08 * radius, tilt=tilt))
    sheet.wash([mouth], pigment("plum"), 0.8)


def zoanthid_mat(sheet: Sheet, coral: Coral, stand: Stand, tint: Colour, rng: RandomState) -> None:
    """A mat of many small round polyps that spreads over the rock."""
    grown = 3 + int(92 * coral.size)
    spread = 9.2 * np.sqrt(grown)
    spots = sunflower(grown) * (spread, 0.52 * spread) + rng.uniform(-2.2, 2.2, (96, 2))[:grown]
    spots[:, 1] += 0.0022 * spots[:, 0] ** 2 - 5
    mat = [stand.at(ellipse(x, y + 3, 11, 7.5, n=14)) for x, y in spots]
    sheet.figure(mat, mixed(tint, pigment("brown"), 0.55), 0.9, outline=1.1)
    radius = 7.4 * (0.5 + 0.5 * coral.health)
    fringe = pigment("lime") if coral.colour not in ("green", "lime", "lemon") else pigment("gold")
    skirt = mixed(PALE, fringe, 0.1 + 0.9 * coral.health)
    rows = np.array_split(np.argsort(spots[:, 1]), 4)
    for row in rows:
        _polyps(sheet, stand, spots[row], radius, (skirt, tint))


def _polyps(
    sheet: Sheet, stand: Stand, spots: Points, radius: float, tints: tuple[Colour, Colour]
) -> None:
    star = np.linspace(0, 2 * np.pi, 36, endpoint=False)
    teeth = radius * (1 + 0.13 * np.sign(np.sin(12 * star)))
    flower = np.stack([teeth * np.cos(star), 0.8 * teeth * np.sin(star)], axis=1)
    line = 0.8 * stand.zoom**0.6
    sheet.figure([stand.at(flower + s) for s in spots], tints[0], 0.85, outline=line)
    discs = [stand.at(ellipse(x, y, 0.66 * radius, 0.53 * radius, n=16)) for x, y in spots]
    sheet.figure(discs, tints[1], 0.95, outline=0.4 * line, press=0.6)
    mouths = [stand.at(ellipse(x, y, 0.2 * radius, 0.15 * radius, n=10)) for x, y in spots]
    sheet.gouache(mouths, mixed(tints[0], pigment("paper"), 0.55), 0.95)


def leather(sheet: Sheet, coral: Coral, stand: Stand, tint: Colour, rng: RandomState) -> None:
    """A stalk with a folded cap, furry with fine polyps."""
    high, wide = 20 + 74 * coral.size, 14 + 58 * coral.size
    line = 1.6 * stand.zoom**0.5
    side = spline(points((0.30, 4 / high), (0.22, -0.3), (0.26, -0.62), (0.55, -0.86)))
    left = side * (-1, 1)
    stalk = stand.at(np.vstack([side, left[::-1]]) * (wide, high))
    flesh = mixed(tint, PALE, 0.35)
    sheet.figure([stalk], flesh, 0.75, outline=line)
    sheet.wash(
        [moved(stalk, 0.16 * wide * stand.zoom, 0)], pigment("sepia"), 0.45, soft=4, within=[stalk]
    )
    folds = [stand.at(side[::1] * (wide * f, high)) for f in (-0.5, 0.05, 0.5)]
    sheet.ink(folds, 1.1 * stand.zoom**0.5, press=0.45)
    cap = _cap(wide, high, rng)
    top = stand.at(cap)
    fur = _fur(cap, coral, rng)
    sheet.ticks([stand.at(hair) for hair in fur], 2.6 * stand.zoom**0.7, press=0.8)
    sheet.figure([top], tint, 0.75, outline=line)
    under = stand.at(ellipse(0, -0.80 * high, 0.9 * wide, 0.14 * high))
    sheet.wash([under], pigment("sepia"), 0.5, soft=5 * stand.zoom**0.5, within=[top], edge=0)
    light = mixed(tint, pigment("paper"), 0.45)
    sheet.ticks([stand.at(hair) for hair in fur], 1.4 * stand.zoom**0.7, colour=light, press=0.95)
    tips = [stand.at(dot(hair[1], 1.7, 1.5, n=8)) for hair in fur]
    sheet.figure(tips, light, 0.6, outline=0.5 * stand.zoom**0.5, press=0.6)


def _cap(wide: float, high: float, rng: RandomState) -> Points:
    angle = np.linspace(0, 2 * np.pi, 72, endpoint=False)
    waves = 1 + 0.07 * np.sin(6 * angle + rng.uniform(0, 6)) + 0.05 * np.sin(9 * angle)
    ring = np.stack([wide * waves * np.cos(angle), 0.30 * high * waves * np.sin(angle)], axis=1)
    return moved(ring, 0, -0.96 * high)


def _fur(cap: Points, coral: Coral, rng: RandomState) -> list[Points]:
    middle, n = cap.mean(axis=0), 30 + int(70 * coral.size)
    roots = middle + sunflower(n) * np.ptp(cap, axis=0) * (0.48, 0.46)
    length = (3 + 9 * coral.size**0.5) * (0.15 + 0.85 * coral.health)
    lean = moved((roots - middle) / np.ptp(cap, axis=0) * 1.4, 0, -0.75)
    ends = roots + lean * length * rng.uniform(0.7, 1.1, (n, 1))
    return [np.stack(pair) for pair in zip(roots, ends, strict=True)]


def branching_stony(
    sheet: Sheet, coral: Coral, stand: Stand, tint: Colour, rng: RandomState
) -> None:
    """A small tree of stone whose branches fork as it grows."""
    branches = _branches(rng, coral.size)
    bands = [stand.at(ribbon(path, wide, wide * 0.66)) for path, wide, _ in branches]
    knobs = [stand.at(dot(path[-1], 0.36 * wide, 0.36 * wide, n=12)) for path, wide, _ in branches]
    foot = stand.at(ellipse(0, 3, 8 + 22 * coral.size, 5 + 5 * coral.size))
    line = 1.3 * stand.zoom**0.5
    back = [k for k, branch in enumerate(branches) if branch[2] == 0]
    front = [k for k, branch in enumerate(branches) if branch[2] == 1]
    shaded = mixed(tint, pigment("indigo"), 0.3)
    for group, colour in ((back, shaded), (front, tint)):
        bodies = [bands[k] for k in group] + [knobs[k] for k in group]
        sheet.figure([*bodies, foot], colour, 0.85, outline=line)
    bumps = [stand.at(b) for path, wide, _ in branches for b in _bumps(path, wide, rng)]
    sheet.ticks(bumps, 0.9 * stand.zoom**0.5, press=0.5)
    starts = {tuple(path[0]) for path, _, _ in branches}
    ends = [(path[-1], 0.36 * wide + 0.5) for path, wide, _ in branches]
    tips = [stand.at(dot(end, r, r, n=10)) for end, r in ends if tuple(end) not in starts]
    sheet.gouache(tips, mixed(tint, pigment("paper"), 0.72), 0.9, soft=0.5)


def _branches(rng: RandomState, size: float) -> list[tuple[Points, float, int]]:
    """Branches as (line, width, layer); a fork opens only when the coral is large enough."""
    reach = 14 + 46 * size
    found: list[tuple[Points, float, int]] = []
    stems = rng.uniform(-0.16, 0.16, 9) + np.linspace(-1.15, 1.15, 9)
    birth = np.array([0.62, 0.34, 0.15, 0.05, 0.0, 0.0, 0.1, 0.25, 0.5])
    for number, lean in enumerate(stems):
        source = RandomState(rng.randint(1 << 30))
        age = size - birth[number]
        if age >= 0:
            grown = reach * (0.5 + 0.5 * min(1.0, age / 0.35)) * source.uniform(0.85, 1.15)
            _fork(found, source, points((4 * lean, 0))[0], lean, grown, age, number % 2)
    return found


def _fork(
    found: list[tuple[Points, float, int]],
    rng: RandomState,
    start: Points,
    lean: float,
    length: float,
    age: float,
    layer: int,
    depth: int = 0,
) -> None:
    bend = rng.uniform(-0.18, 0.18) - 0.12 * lean
    sides = rng.uniform(0.32, 0.62, 2) * (-1, 1)
    seeds = rng.randint(1 << 30, size=2)
    middle = start + 0.5 * length * np.array([np.sin(lean), -np.cos(lean)])
    end = middle + 0.5 * length * np.array([np.sin(lean + bend), -np.cos(lean + bend)])
    wide = max(3.6, (5.2 + 5.5 * min(age, 0.8)) * 0.86**depth)
    found.append((spline(np.stack([start, middle, end]), per_span=5), wide, layer))
    if depth < 3 and age > 0.16 + 0.17 * depth:
        for side, seed in zip(sides, seeds, strict=True):
            source = RandomState(seed)
            shorter = length * source.uniform(0.55, 0.78)
            _fork(found, source, end, lean + bend + side, shorter, age, layer, depth + 1)


def _bumps(path: Points, wide: float, rng: RandomState) -> list[Points]:
    spots = path[rng.randint(1, len(path), 4)] + rng.uniform(-0.34, 0.34, (4, 2)) * wide
    return [points((x - 1, y - 1), (x + 1, y - 1.6)) for x, y in spots]


def anchor_polyp(sheet: Sheet, coral: Coral, stand: Stand, tint: Colour, rng: RandomState) -> None:
    """Fleshy arms that end in small anchors, waving from a stony foot."""
    wide = 10 + 34 * coral.size
    foot = stand.at(
        spline(
            points((-0.5, 0.1), (-0.8, -0.5), (-0.4, -0.8), (0.4, -0.8), (0.8, -0.5), (0.5, 0.1))
        )
        * (wide, 10 + 22 * coral.size)
    )
    sheet.figure([foot], pigment("bone"), 0.8, outline=1.5 * stand.zoom**0.5)
    ridges = [foot[k] + np.outer((0, 1), (0, 9 * stand.zoom)) for k in range(8, len(foot) - 8, 3)]
    sheet.ticks(ridges, 0.9 * stand.zoom**0.5, press=0.5)
    arms = _arms(coral, rng)
    tip = mixed(pigment("paper"), tint, 0.45) if coral.colour != "gold" else pigment("lime")
    for row in np.array_split(np.arange(len(arms)), 4):
        _arm_row(sheet, stand, [arms[k] for k in row], (tint, tip))


def _arms(coral: Coral, rng: RandomState) -> list[Points]:
    n = 9 + int(41 * coral.size)
    ages = rng.uniform(0.75, 1.1, 50)
    sway = rng.uniform(-0.35, 0.35, (50, 2))
    reach = (17 + 42 * coral.size) * (0.35 + 0.65 * coral.health)
    disc = sunflower(n)[np.argsort(-sunflower(n)[:, 1])][::-1]
    arms = []
    for k, (across, depth) in enumerate(disc):
        root = np.array([across * (6 + 26 * coral.size), -(6 + 17 * coral.size) + 3 * depth])
        lean = 1.25 * across + 0.25 * sway[k, 0]
        middle = root + 0.5 * reach * ages[k] * np.array([np.sin(lean), -np.cos(lean)])
        last = lean + sway[k, 1] + 0.3 * across
        lift = 0.5 * (1 - 0.45 * max(depth, 0)) * reach * ages[k]
        end = middle + lift * np.array([np.sin(last), -np.cos(last)])
        arms.append(spline(np.stack([root, middle, end]), per_span=5))
    return arms


def _arm_row(sheet: Sheet, stand: Stand, arms: list[Points], tints: tuple[Colour, Colour]) -> None:
    line = 1.0 * stand.zoom**0.55
    bands = [stand.at(ribbon(arm, 6.4, 4.6)) for arm in arms]
    sheet.figure(bands, tints[0], 0.85, outline=line)
    anchors = []
    for arm in arms:
        along = arm[-1] - arm[-2]
        angle = np.arctan2(along[1], along[0]) + np.pi / 2
        crescent = spline(points((-7.2, 3.4), (-3.6, -1.0), (0, -2.2), (3.6, -1.0), (7.2, 3.4)))
        anchors.append(stand.at(turned(ribbon(crescent, 3.8, 3.8, swell=2.2), angle) + arm[-1]))
    sheet.figure(anchors, tints[1], 0.9, outline=line)


def plating(sheet: Sheet, coral: Coral, stand: Stand, tint: Colour, rng: RandomState) -> None:
    """Thin shelves, one above the other, with a pale growing rim."""
    tiers = 1 + round(4.4 * coral.size)
    reach = 22 + 66 * coral.size
    shifts, turns = rng.uniform(-0.28, 0.28, 6), rng.uniform(0, 6, 6)
    for tier in range(tiers):
        span = (
            reach * (1 - 0.13 * tier) * min(1.0, 0.45 + 0.9 * (coral.size * 5.4 - tier + 0.4) / 2)
        )
        lift = -6 - tier * (9 + 9 * coral.size)
        side = (-1) ** tier * 0.16 + shifts[tier]
        _shelf(sheet, stand, (side * reach, lift), max(span, 10.0), tint, turns[tier])


def _shelf(
    sheet: Sheet,
    stand: Stand,
    spot: tuple[float, float],
    span: float,
    tint: Colour,
    turn: float,
) -> None:
    angle = np.linspace(0, 2 * np.pi, 80, endpoint=False)
    frill = 1 + (0.05 * np.sin(11 * angle + turn) + 0.06 * np.sin(5 * angle + turn)) * (
        0.5 + 0.5 * np.sin(angle)
    )
    rim = np.stack([span * frill * np.cos(angle), 0.30 * span * frill * np.sin(angle)], axis=1)
    line = 1.3 * stand.zoom**0.5
    stem = stand.at(points((-0.2, 0), (0.2, 0), (0.1, 0.5), (-0.1, 0.5)) * span + spot)
    under = stand.at(moved(rim * (0.97, 1), spot[0], spot[1] + 0.07 * span + 2))
    sheet.figure([under, stem], mixed(tint, pigment("indigo"), 0.55), 0.9, outline=line)
    top = stand.at(rim + spot)
    sheet.figure([top], tint, 0.8, outline=line)
    for share, opacity in ((0.86, 1.0), (0.55, 0.5)):
        inner = stand.at(moved(rim * share, spot[0], spot[1] - 0.03 * span))
        sheet.wash([inner], mixed(tint, pigment("plum"), 0.25), 0.3 * opacity, soft=2, edge=0)
    sheet.gouache(
        [_band(top, stand.at(rim * 0.93 + spot))], mixed(pigment("paper"), tint, 0.35), 0.75
    )
    ridges = [stand.at(rim[k] * np.array([[0.3], [0.84]]) + spot) for k in range(0, 80, 4)]
    sheet.ticks(ridges, 0.8 * stand.zoom**0.5, press=0.4)
    sheet.ink([top], 0.7 * line, closed=True)


def _band(outer: Points, inner: Points) -> Points:
    return np.vstack([outer, outer[:1], inner[:1], inner[::-1]])


Painter = Callable[[Sheet, Coral, Stand, Colour, RandomState], None]
KINDS: dict[str, Painter] = {
    "mushroom": mushroom,
    "zoanthid mat": zoanthid_mat,
    "leather": leather,
    "branching stony": branching_stony,
    "anchor polyp": anchor_polyp,
    "plating": plating,
}
