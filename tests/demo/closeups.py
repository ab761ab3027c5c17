"""One coral from near by, and the tank from above."""

from __future__ import annotations

import numpy as np
from numpy.random import RandomState

from .animals import draw_from_above
from .corals import PALE, Stand, draw_coral
from .gear import DARK, inked
from .rocks import BOULDERS, TANK, across
from .scene import Coral, Scene
from .sheet import Colour, Sheet, mixed, pigment
from .strokes import (
    Points,
    blob,
    box,
    dot,
    ellipse,
    lump,
    moved,
    points,
    resampled,
    ribbon,
    seeded,
    shaky,
    spline,
    sunflower,
)

LEFT, _, RIGHT, _ = TANK
CLOSE = 3.6
CREST = 652.0


def macro(sheet: Sheet, scene: Scene) -> None:
    """Draw the first coral of the scene large, always from the same distance."""
    rng = seeded("macro", scene.seed)
    field = spline(shaky(box(70, 60, 1130, 830), rng, amount=9, closed=True, step=70), closed=True)
    blank = sheet.pixels.copy()
    _blurred_water(sheet, field, rng)
    _ledge(sheet, scene)
    painted = sheet.cover([field], soft=1.5)[..., None]
    sheet.pixels = blank + painted * (sheet.pixels - blank)
    if scene.corals:
        _subject(sheet, scene.corals[0])
    if scene.light == "night/blue":
        sheet.tint(
            pigment("blue"), 0.5 * sheet.cover([field], soft=6) * (1 - sheet.glow(600, 480, 240))
        )
    elif scene.light == "dusk":
        sheet.tint(pigment("coral"), 0.3 * sheet.cover([field], soft=6))
    _scale_bar(sheet)


def _blurred_water(sheet: Sheet, field: Points, rng: RandomState) -> None:
    sheet.wash([field], pigment("sea"), 0.72, bloom=0.3, soft=2, grade=(0.6, 1.1))
    for colour in ("indigo", "teal", "violet", "kelp"):
        spots = rng.uniform((90, 330), (1110, 720), (4, 2))
        far = [blob(x, y, rng.uniform(60, 150), rng.uniform(50, 110), rng) for x, y in spots]
        sheet.wash(far, pigment(colour), 0.35, soft=26, edge=0, within=[field])
    for x, y in rng.uniform((110, 90), (1090, 520), (16, 2)):
        radius = rng.uniform(8, 30)
        light = ellipse(x, y, radius, radius)
        sheet.gouache([light], pigment("aqua"), 0.26, soft=2.5, within=[field])


def _ledge(sheet: Sheet, scene: Scene) -> None:
    rng = seeded("ledge")
    x = np.linspace(40, 1160, 15)
    crest = CREST + 10 + 22 * np.cos(x / 150) + rng.uniform(-20, 20, 15)
    crest[6:9] = CREST + 4
    edge = shaky(spline(np.stack([x, crest], axis=1)), rng, amount=4, step=12)
    rock = np.vstack([edge, [(1160, 900), (40, 900)]])
    sheet.gouache([rock])
    stone = mixed(pigment("bone"), pigment("stone"), 0.7)
    sheet.wash([rock], stone, 0.85, bloom=0.5)
    shades = [
        lump(rng.uniform((90, 740), (1110, 860)), np.array([150, 46]), rng, lumps=0.3)
        for _ in range(7)
    ]
    sheet.wash(shades, pigment("slate"), 0.45, soft=12, edge=0, within=[rock])
    sheet.wash([box(40, 780, 1160, 900)], pigment("indigo"), 0.35, soft=24, edge=0)
    _ledge_crust(sheet, scene, rock, rng)
    pits = [
        lump(np.array([px, py]), rng.uniform(3, 11, 2), rng, n=7)
        for px, py in rng.uniform((90, 680), (1110, 815), (54, 2))
    ]
    sheet.wash(pits, pigment("sepia"), 0.75, within=[rock])
    cracks = [
        shaky(points(start, moved(start, 60, 18)), rng, amount=5)
        for start in rng.uniform((90, 690), (1040, 800), (18, 2))
    ]
    sheet.ink(cracks, 2.0, press=0.5, within=[rock])
    sheet.ink([edge], 3.0)


def _ledge_crust(sheet: Sheet, scene: Scene, face: Points, rng: RandomState) -> None:
    for k, hub in enumerate(rng.uniform((100, 680), (1100, 820), (18, 2))):
        crust = [lump(hub + rng.normal(0, 24, 2), rng.uniform(9, 34, 2), rng) for _ in range(6)]
        if k < 18 * scene.coralline:
            tone = pigment(("mauve", "rose", "mauve")[k % 3])
            sheet.wash(crust, tone, 0.42, soft=1.5, edge=0.9, within=[face])
    if scene.algae > 0:
        tone = pigment("brown" if scene.algae_kind == "brown" else "green")
        sheet.wash([face], tone, 0.7 * scene.algae, edge=0, bloom=0.9)


def _subject(sheet: Sheet, coral: Coral) -> None:
    if coral.size < 0.3:
        disc = ellipse(600, CREST + 4, 96, 23)
        inked(sheet, np.vstack([moved(disc[:15], 0, 28), disc[14:]]), "bone", 0.8, name="plug")
        inked(sheet, disc, "bone", 0.5, name="plug top")
    draw_coral(sheet, coral, Stand(600, CREST, CLOSE))


def _scale_bar(sheet: Sheet) -> None:
    x = np.linspace(880, 1090, 11)
    bar = points((880, 858), (1090, 858))
    sheet.ink([shaky(bar, seeded("bar"), amount=0.5)], 2.0)
    marks = [points((v, 858), (v, 846 if k % 5 == 0 else 851)) for k, v in enumerate(x)]
    sheet.ticks(marks, 1.5, press=0.85)


def top(sheet: Sheet, scene: Scene) -> None:
    """Draw the tank as one sees it from above."""
    rng = seeded("top", scene.seed)
    floor = spline(shaky(box(60, 70, 1140, 830), rng, amount=9, closed=True, step=60), closed=True)
    sheet.wash([floor], pigment("wood"), 0.55, soft=3, bloom=0.6)
    rim, water = box(LEFT - 34, 130, RIGHT + 34, 770), box(LEFT - 20, 144, RIGHT + 20, 756)
    shadow = moved(rim, 10, 16)
    sheet.wash([shadow], pigment("sepia"), 0.5, soft=8, edge=0)
    sheet.gouache([rim])
    sheet.wash([rim], pigment("teal"), 0.35)
    sheet.gouache([water])
    sheet.wash([water], pigment("sand"), 0.16)
    if scene.has_rock:
        _rock_from_above(sheet, scene)
    _livestock_from_above(sheet, scene)
    _overflow_from_above(sheet)
    if scene.water > 0:
        _ripples(sheet, water, rng)
    outlines = [shaky(shape, rng, amount=0.9, closed=True) for shape in (rim, water)]
    sheet.ink(outlines, 2.4, closed=True)
    if scene.light != "day" or scene.power_cut:
        dark = pigment("violet" if scene.light == "dusk" else "indigo")
        sheet.tint(dark, 0.6 * sheet.cover([floor], soft=6))


def _depth(y: float, key: float) -> float:
    """A place from back to front for something at a height in the front view."""
    return 240 + 0.92 * (y - 340) + 70 * float(np.sin(key))


def _rock_from_above(sheet: Sheet, scene: Scene) -> None:
    stone = mixed(pigment("bone"), pigment("stone"), 0.75 if scene.water else 0.2)
    low_first = sorted(BOULDERS, key=lambda row: -row[1])
    spans = [(x, _depth(y, x), rx, 0.8 * rx + 10) for x, y, rx, _ in low_first]
    arch = ribbon(spline(points((352, 300), (440, 286), (540, 330), (600, 400))), 18, 18, swell=50)
    shapes = [blob(x, y, rx, ry, seeded("above", x), lumps=0.16) for x, y, rx, ry in spans]
    for number, shape in enumerate([*shapes, arch]):
        rng = seeded("above face", number)
        rough = shaky(shape, rng, amount=2.5, closed=True, step=12)
        sheet.wash([moved(rough, 8, 12)], pigment("indigo"), 0.35, soft=6, edge=0)
        sheet.gouache([rough])
        sheet.wash([rough], stone, 0.85, bloom=0.5)
        middle, spread = rough.mean(axis=0), np.ptp(rough, axis=0)
        crust = [
            lump(middle + spread * rng.uniform(-0.4, 0.4, 2), rng.uniform(6, 20, 2), rng)
            for _ in range(9)
        ]
        sheet.wash(
            crust[: int(9 * scene.coralline)], pigment("mauve"), 0.42, soft=2, within=[rough]
        )
        tone = pigment("brown" if scene.algae_kind == "brown" else "green")
        sheet.wash([rough], tone, 0.6 * scene.algae, bloom=0.9)
        pits = [
            lump(middle + spread * rng.uniform(-0.4, 0.4, 2), np.array([3.5, 2.5]), rng, n=6)
            for _ in range(7)
        ]
        sheet.wash(pits, pigment("sepia"), 0.7, within=[rough])
        sheet.ink([rough], 1.8, closed=True)


def _livestock_from_above(sheet: Sheet, scene: Scene) -> None:
    for coral in scene.corals:
        tint = mixed(PALE, pigment(coral.colour), 0.08 + 0.92 * coral.health)
        y = 300 + 300 * coral.perch + 40 * float(np.sin(9 * coral.x))
        _from_above(sheet, coral, across(coral.x), y, tint)
    for fish in scene.fish:
        draw_from_above(sheet, fish, across(fish.x), 250 + 400 * ((fish.y * 7.3 + fish.x * 3) % 1))


def _from_above(sheet: Sheet, coral: Coral, x: float, y: float, tint: Colour) -> None:
    radius, rng = 12 + 62 * coral.size, seeded("rosette", coral.kind, coral.x)
    shade = ellipse(x + 6, y + 9, radius, 0.9 * radius)
    sheet.wash([shade], pigment("indigo"), 0.4, soft=6, edge=0)
    if coral.kind in ("plating", "leather"):
        for share in (1.0, 0.72, 0.42):
            disc = blob(x, y, share * radius, 0.85 * share * radius, rng, lumps=0.1, n=13)
            sheet.figure(
                [disc], mixed(tint, pigment("paper"), 0.5 * (1 - share)), 0.85, outline=1.2
            )
        rays = [
            points((x, y), (x, y)) + np.outer((0.3, 0.92), p * (radius, 0.85 * radius))
            for p in ellipse(0, 0, 1, 1, n=26)
        ]
        sheet.ticks(rays, 0.9, press=0.4)
    elif coral.kind == "branching stony":
        tips = moved(sunflower(8 + int(40 * coral.size)) * (radius, 0.85 * radius), x, y)
        arms = [ribbon(np.linspace((x, y), tip, 5), 7, 5) for tip in tips]
        sheet.figure([*arms, *(dot(tip, 5, 5, n=10) for tip in tips)], tint, 0.85, outline=1.2)
        sheet.gouache([dot(tip, 3, 3, n=10) for tip in tips], mixed(tint, PALE, 0.8), 0.9)
    else:
        size = {"mushroom": 15.0, "zoanthid mat": 7.5, "anchor polyp": 7.0}[coral.kind]
        spots = moved(
            sunflower(max(1, int((radius / size) ** 2 * 0.8))) * (radius, 0.85 * radius), x, y
        )
        sheet.figure(
            [dot(spot, size, 0.95 * size, n=16) for spot in spots], tint, 0.85, outline=1.1
        )
        rings = [dot(spot, 0.6 * size, 0.55 * size, n=14) for spot in spots]
        sheet.figure(rings, mixed(tint, pigment("lime"), 0.5), 0.8, outline=0.6, press=0.6)
        sheet.gouache([dot(spot, 0.2 * size, 0.2 * size, n=8) for spot in spots], opacity=0.8)


def _overflow_from_above(sheet: Sheet) -> None:
    well = box(RIGHT - 90, 150, RIGHT + 14, 330)
    sheet.gouache([well])
    sheet.wash([well], DARK, 0.85, edge=0.3)
    teeth = [box(RIGHT - 90, y, RIGHT - 78, y + 6) for y in np.arange(160, 322, 13.0)]
    sheet.gouache(teeth, pigment("aqua"), 0.8)
    for y in (196, 272):
        inked(sheet, ellipse(RIGHT - 36, y, 24, 24), "grey", 0.7, name=("pipe", y))
        sheet.gouache([ellipse(RIGHT - 36, y, 14, 14)], pigment("ink"), 0.8)
    inked(sheet, box(RIGHT - 132, 372, RIGHT + 60, 396), "grey", 0.6, name="return")
    inked(sheet, box(RIGHT - 156, 366, RIGHT - 130, 402), "slate", 0.8, name="nozzle")


def _ripples(sheet: Sheet, water: Points, rng: RandomState) -> None:
    sheet.wash([water], pigment("sea"), 0.40, bloom=0.4, edge=0.3)
    for x, y in rng.uniform((LEFT, 170), (RIGHT - 90, 740), (34, 2)):
        span = rng.uniform(40, 130)
        knots = np.stack([x + np.linspace(0, span, 6), y + 7 * np.sin(np.linspace(0, 5, 6) + x)], 1)
        line = resampled(spline(knots), 6)
        sheet.gouache([ribbon(line, 0.5, 0.5, swell=4)], opacity=0.5, soft=0.6, within=[water])
    for x in (330.0, 560.0, 790.0):
        strip = points((x, 150), (x + 70, 150), (x + 30, 750), (x - 40, 750))
        sheet.gouache([strip], opacity=0.13, soft=14, within=[water])
    rings = [
        spline(
            ellipse(RIGHT - 210, 384, r, 0.6 * r, n=12) + rng.uniform(-2, 2, (12, 2)), closed=True
        )
        for r in (30, 52, 78)
    ]
    sheet.ink(rings, 2.0, colour=pigment("paper"), press=0.7, closed=True, within=[water])
