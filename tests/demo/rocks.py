"""The rockwork: two islands and an arch, the same in every picture."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.random import RandomState
from PIL import Image, ImageDraw

from .scene import Scene
from .sheet import Colour, Sheet, mixed, pigment
from .strokes import Points, blob, ellipse, lump, points, ribbon, seeded, shaky, spline

TANK = (150.0, 168.0, 1050.0, 690.0)
"""Inside of the front glass in drawing units: left, top, right, bottom."""
SURFACE = 196.0
SAND = 640.0

# x, y, half width, half height; from the back to the front
BOULDERS = (
    (600.0, 468.0, 56.0, 44.0),
    (310.0, 448.0, 76.0, 54.0),
    (248.0, 486.0, 52.0, 50.0),
    (352.0, 404.0, 60.0, 36.0),
    (622.0, 535.0, 54.0, 56.0),
    (270.0, 540.0, 84.0, 60.0),
    (376.0, 512.0, 50.0, 58.0),
    (872.0, 522.0, 62.0, 44.0),
    (926.0, 560.0, 50.0, 44.0),
    (572.0, 622.0, 44.0, 38.0),
    (618.0, 606.0, 62.0, 56.0),
    (684.0, 634.0, 38.0, 30.0),
    (836.0, 574.0, 76.0, 50.0),
    (244.0, 616.0, 84.0, 60.0),
    (352.0, 606.0, 72.0, 56.0),
    (918.0, 610.0, 66.0, 46.0),
    (800.0, 630.0, 66.0, 36.0),
    (880.0, 640.0, 70.0, 34.0),
    (420.0, 648.0, 34.0, 24.0),
    (308.0, 660.0, 40.0, 22.0),
    (738.0, 656.0, 24.0, 16.0),
)
ARCH = points((318, 432), (380, 388), (452, 366), (520, 378), (580, 426), (614, 500))
ARCH_AFTER = 3


@cache
def boulders() -> tuple[Points, ...]:
    """The outlines of all rocks, from the back to the front."""
    stones = []
    for x, y, rx, ry in BOULDERS:
        rng = seeded("boulder", x, y)
        stones.append(_craggy(blob(x, y, rx, ry, rng, lumps=0.11, n=11), rng, 3.5))
    arch = ribbon(spline(ARCH), 50, 58, swell=6)
    stones.insert(ARCH_AFTER, _craggy(arch, seeded("arch"), 5.0))
    return tuple(stones)


def _craggy(outline: Points, rng: RandomState, amount: float) -> Points:
    rough = shaky(outline, rng, amount=amount, closed=True, step=12)
    return spline(rough, closed=True, per_span=2)


@cache
def skyline() -> tuple[Points, Points]:
    """For each unit of x across the page, where the first rock starts and ends below the light."""
    mask = Image.new("L", (1200, 900))
    pen = ImageDraw.Draw(mask)
    for stone in boulders():
        pen.polygon(stone.ravel().tolist(), fill=1)
    rock = np.asarray(mask, dtype=bool)
    bare = ~rock.any(axis=0)
    top = rock.argmax(axis=0)
    below = ~rock & (np.arange(900)[:, None] > top[None, :])
    end = np.minimum(below.argmax(axis=0), SAND + 14)
    top = np.where(bare, SAND + 14, np.minimum(top, SAND + 14))
    return top.astype(float), np.where(bare, SAND + 14, end).astype(float)


def across(x: float) -> float:
    """The drawing unit for a place along the tank (0 to 1)."""
    return TANK[0] + 14 + x * (TANK[2] - TANK[0] - 28)


def seat(x: float, perch: float) -> tuple[float, float]:
    """Where a coral stands: x and y in drawing units."""
    top, end = skyline()
    column = across(x)
    high, low = top[int(column)], end[int(column)]
    return column, float(high + 7 + perch * max(low - high - 26, 0))


def sand_bed(sheet: Sheet, scene: Scene) -> None:
    """Draw the sand along the bottom."""
    left, _, right, bottom = TANK
    rng = seeded("sand")
    dunes = np.linspace(left, right, 12)
    crest = spline(np.stack([dunes, SAND + rng.uniform(-7, 7, 12)], axis=1))
    bed = np.vstack([crest, [(right, bottom), (left, bottom)]])
    sheet.gouache([bed])
    sheet.wash([bed], pigment("sand"), 0.75, grade=(0.7, 1.3))
    dust = pigment("brown" if scene.algae_kind == "brown" else "lime")
    if scene.algae > 0:
        sheet.wash(_patches(rng, scene.algae, bed), dust, 0.7 * scene.algae, soft=5, within=[bed])
    grains = seeded("grains").uniform((left + 4, SAND + 8), (right - 4, bottom - 4), (420, 2))
    specks = [ellipse(x, y, 1.1, 0.9, n=6) for x, y in grains]
    sheet.wash(specks[:260], pigment("brown"), 0.7, edge=0)
    sheet.gouache(specks[260:], opacity=0.9)
    sheet.ink([shaky(crest, rng, amount=0.8)], 1.3, press=0.55)


def _patches(rng: RandomState, share: float, bed: Points) -> list[Points]:
    low, high = bed.min(axis=0), bed.max(axis=0)
    spots = rng.uniform(low, high, (26, 2))[: 4 + int(22 * share)]
    return [blob(x, y, rng.uniform(40, 110), rng.uniform(8, 18), rng, lumps=0.3) for x, y in spots]


def rockwork(sheet: Sheet, scene: Scene) -> None:
    """Draw all rocks as they look on this day."""
    base = pigment("bone") if not scene.water else mixed(pigment("bone"), pigment("stone"), 0.75)
    for number, stone in enumerate(boulders()):
        rng = seeded("rock face", number)
        _stone(sheet, stone, base, rng)
        _crust(sheet, stone, scene, rng)
        _pits(sheet, stone, seeded("pits", number))
        sheet.ink([shaky(stone, rng, amount=1.0, closed=True)], 2.3, closed=True)


def _stone(sheet: Sheet, stone: Points, base: Colour, rng: RandomState) -> None:
    middle, spread = stone.mean(axis=0), np.ptp(stone, axis=0)
    sheet.gouache([stone])
    sheet.wash([stone], base, 0.75, bloom=0.4)
    shade = lump(middle + spread * (0.16, 0.36), 0.6 * spread, rng)
    sheet.wash([shade], pigment("slate"), 0.36, soft=6, within=[stone], edge=0)
    deep = lump(middle + spread * (0.1, 0.54), 0.5 * spread, rng)
    sheet.wash([deep], pigment("indigo"), 0.34, soft=8, within=[stone], edge=0)
    lit = lump(middle - spread * (0.14, 0.34), 0.24 * spread, rng)
    sheet.gouache([lit], opacity=0.3, soft=6, within=[stone])
    hatch = [
        points((x, y), (x + 9, y + rng.uniform(6, 13)))
        for x, y in middle + spread * rng.uniform((0.0, 0.05), (0.5, 0.48), (18, 2))
    ]
    sheet.ticks(hatch, 1.0, press=0.45, within=[stone])
    starts = middle + spread * rng.uniform(-0.4, 0.3, (4, 2))
    cracks = [
        shaky(
            points(s, s + spread * (rng.uniform(0.1, 0.25), rng.uniform(-0.1, 0.22))),
            rng,
            amount=3.5,
            step=6,
        )
        for s in starts
    ]
    sheet.ink(cracks, 1.5, press=0.6, within=[stone])


def _pits(sheet: Sheet, stone: Points, rng: RandomState) -> None:
    middle, spread = stone.mean(axis=0), np.ptp(stone, axis=0)
    wide = 0.045 * float(spread.min())
    spots = middle + spread * rng.uniform(-0.42, 0.42, (9, 2))
    holes = [
        blob(x, y, wide * rng.uniform(0.4, 1.1), wide * rng.uniform(0.3, 0.7), rng, n=6)
        for x, y in spots
    ]
    sheet.wash(holes, pigment("sepia"), 0.75, within=[stone])
    sheet.ticks([hole[: len(hole) // 2] for hole in holes], 1.0, press=0.5, within=[stone])


def _crust(sheet: Sheet, stone: Points, scene: Scene, rng: RandomState) -> None:
    middle, spread = stone.mean(axis=0), np.ptp(stone, axis=0)
    hubs = middle + spread * rng.uniform(-0.45, 0.4, (9, 2))
    grown = int(np.ceil(9 * scene.coralline))
    for index, hub in enumerate(hubs):
        spots = hub + rng.normal(0, 0.09, (7, 2)) * spread
        sizes = rng.uniform(0.03, 0.12, (7, 2)) * spread.min()
        blots = [
            lump(spot, size, rng, lumps=0.3, n=7) for spot, size in zip(spots, sizes, strict=True)
        ]
        if index < grown:
            colour = pigment(("mauve", "rose", "mauve")[index % 3])
            sheet.wash(blots, colour, 0.44, soft=1.2, within=[stone], edge=0.9)
    if scene.algae > 0:
        _film(sheet, stone, scene, rng)


def _film(sheet: Sheet, stone: Points, scene: Scene, rng: RandomState) -> None:
    middle, spread = stone.mean(axis=0), np.ptp(stone, axis=0)
    colour = pigment("brown" if scene.algae_kind == "brown" else "green")
    veil = lump(middle - spread * (0, 0.28), 0.55 * spread, rng)
    sheet.wash([veil], colour, 0.85 * scene.algae, soft=9, within=[stone], edge=0, bloom=0.8)
    if scene.algae_kind == "green":
        roots = stone[rng.randint(0, len(stone), int(26 * scene.algae))]
        tufts = [
            points((x, y + 2), (x + rng.uniform(-4, 4), y - rng.uniform(6, 14))) for x, y in roots
        ]
        sheet.ticks(tufts, 1.6, colour=pigment("kelp"))
