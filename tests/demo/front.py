"""The whole tank from the front: always the same camera."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from . import gear
from .animals import draw_animal
from .corals import Stand, draw_coral
from .rocks import SAND, SURFACE, TANK, across, rockwork, sand_bed, seat
from .scene import Coral, Fish, Scene
from .sheet import Floats, Sheet, mixed, pigment
from .strokes import Points, box, ellipse, lump, moved, points, ribbon, seeded, shaky, spline

LEFT, TOP, RIGHT, BOTTOM = TANK
ZOOM = 1.2
FULL_HEIGHTS = {
    "mushroom": 60.0,
    "zoanthid mat": 60.0,
    "leather": 135.0,
    "branching stony": 165.0,
    "anchor polyp": 110.0,
    "plating": 120.0,
}
"""How far a full-grown coral rises above its foot, in drawing units."""


def front(sheet: Sheet, scene: Scene) -> None:
    """Draw the tank on its stand with all that lives in it."""
    room(sheet, scene)
    _inside_back(sheet, scene)
    _contents(sheet, scene)
    bare = sheet.pixels.copy()
    _livestock(sheet, scene)
    alive = np.abs(sheet.pixels - bare).max(axis=2) > 0.03
    _fittings(sheet, scene)
    _water_in_front(sheet, scene)
    _glass(sheet, scene)
    _over_the_rim(sheet, scene)
    _evening(sheet, scene, alive.astype(np.float32))


def room(sheet: Sheet, scene: Scene) -> None:
    """Draw the wall, the floor and the stand."""
    rng = seeded("room", scene.seed)
    wall = spline(shaky(box(66, 34, 1136, 852), rng, amount=9, closed=True, step=60), closed=True)
    sheet.wash([wall], pigment("sand"), 0.42, soft=3, bloom=0.6, grade=(0.6, 1.2))
    floor = shaky(box(48, 838, 1152, 884), rng, amount=5, closed=True, step=40)
    sheet.wash([floor], pigment("brown"), 0.4, soft=3, bloom=0.5)
    shadow = ellipse(620, 862, 510, 14)
    sheet.wash([shadow], pigment("indigo"), 0.4, soft=8, edge=0)
    _cabinet(sheet)


def _cabinet(sheet: Sheet) -> None:
    rng = seeded("cabinet")
    wood = pigment("wood")
    body = box(LEFT - 8, 722, RIGHT + 8, 858)
    sheet.gouache([body])
    sheet.wash([body], wood, 0.85, bloom=0.5, grade=(1.2, 0.85))
    grain = [
        shaky(points((x, y), (x + rng.uniform(60, 190), y + rng.uniform(-3, 3))), rng, amount=1.8)
        for x, y in rng.uniform((LEFT, 730), (RIGHT - 190, 852), (34, 2))
    ]
    sheet.ink(grain, 1.1, colour=pigment("sepia"), press=0.45)
    doors = [box(x, 740, x + 280, 848) for x in (LEFT + 12, LEFT + 310, LEFT + 608)]
    sheet.ink([shaky(d, rng, amount=0.8, closed=True) for d in doors], 1.6, closed=True)
    knobs = [ellipse(x, 794, 6, 6) for x in (LEFT + 272, LEFT + 330, LEFT + 628)]
    sheet.figure(knobs, pigment("gold"), 0.8)
    ledge = box(LEFT - 26, 690, RIGHT + 26, 724)
    sheet.gouache([ledge])
    sheet.wash([ledge], wood, 0.7, grade=(0.6, 1.3))
    under = box(LEFT - 8, 724, RIGHT + 8, 734)
    sheet.wash([under], pigment("sepia"), 0.7, soft=3, edge=0)
    outlines = [shaky(shape, rng, amount=0.8, closed=True) for shape in (body, ledge)]
    sheet.ink(outlines, 2.4, closed=True)


def _water_top(scene: Scene) -> float:
    return BOTTOM - scene.water * (BOTTOM - SURFACE)


def _inside_back(sheet: Sheet, scene: Scene) -> None:
    pane = box(LEFT, TOP, RIGHT, BOTTOM)
    sheet.gouache([pane])
    sheet.wash([pane], pigment("aqua"), 0.22, bloom=0.5, edge=0.2)
    if scene.water > 0:
        water = box(LEFT, _water_top(scene), RIGHT, BOTTOM)
        sheet.wash([water], pigment("sea"), 0.72, bloom=0.36, edge=0.4, grade=(0.55, 1.15))
        deep = ellipse(600, BOTTOM + 30, 520, 210)
        sheet.wash([deep], pigment("indigo"), 0.28, soft=60, within=[water], edge=0)
    sheet.ticks(
        [
            points((LEFT + 16, TOP + 4), (LEFT + 16, BOTTOM - 40)),
            points((RIGHT - 16, TOP + 4), (RIGHT - 16, BOTTOM - 40)),
        ],
        1.0,
        press=0.25,
    )


def _contents(sheet: Sheet, scene: Scene) -> None:
    if scene.stage != "empty":
        gear.overflow_box(sheet)
    if scene.stage != "empty" and "heater" in scene.gear:
        gear.heater(sheet)
    if scene.has_rock:
        sand_bed(sheet, scene)
        rockwork(sheet, scene)


def _fittings(sheet: Sheet, scene: Scene) -> None:
    if scene.stage == "empty":
        return
    if "in-tank pump" in scene.gear:
        gear.in_tank_pump(sheet)
        if scene.water > 0.8 and not scene.power_cut:
            gear.pump_stream(sheet)
    if "thermometer" in scene.gear:
        gear.thermometer(sheet)


def place(fish: Fish) -> tuple[float, float]:
    """Where an animal is in the front view, in drawing units."""
    return across(fish.x), SURFACE + 24 + fish.y * (SAND + 8 - SURFACE - 24)


def _stand(coral: Coral) -> Stand:
    """Its foot, and a scale at which it stays under water when full grown."""
    x, y = seat(coral.x, coral.perch)
    room_above = y - SURFACE - 12
    return Stand(x, y, zoom=min(ZOOM, room_above / FULL_HEIGHTS[coral.kind]))


def _livestock(sheet: Sheet, scene: Scene) -> None:
    outside = sheet.pixels.copy()
    stands = [(coral, _stand(coral)) for coral in scene.corals]
    for coral, stand in sorted(stands, key=lambda pair: pair[1].y):
        draw_coral(sheet, coral, stand)
    within = sheet.cover([box(LEFT, TOP, RIGHT, BOTTOM)])[..., None]
    sheet.pixels = outside + within * (sheet.pixels - outside)
    for fish in scene.fish:
        draw_animal(sheet, fish, *place(fish))


def _water_in_front(sheet: Sheet, scene: Scene) -> None:
    if scene.water <= 0:
        return
    rng = seeded("water", scene.seed)
    top = _water_top(scene)
    water = box(LEFT, top, RIGHT, BOTTOM)
    sheet.wash([water], pigment("aqua"), 0.20, bloom=0.4, edge=0.2, grade=(1.3, 0.8))
    if scene.stage == "cloudy":
        for _ in range(2):
            drift = [
                lump(rng.uniform((LEFT, top), (RIGHT, BOTTOM)), np.array([190, 90]), rng)
                for _ in range(6)
            ]
            sheet.gouache(drift, pigment("milk"), 0.34, soft=26, within=[water])
        sheet.gouache([water], pigment("milk"), 0.45)
    if scene.light == "day" and not scene.power_cut and scene.stage == "running":
        _sunbeams(sheet, water, rng)
    _surface(sheet, top, rng)


def _sunbeams(sheet: Sheet, water: Points, rng: np.random.RandomState) -> None:
    starts = rng.uniform(330, 860, 6)
    beams = [
        points(
            (x, SURFACE),
            (x + 26, SURFACE),
            (600 + 1.25 * (x - 600) + 46, 560),
            (600 + 1.25 * (x - 600) - 10, 560),
        )
        for x in starts
    ]
    sheet.gouache(beams, pigment("paper"), 0.13, soft=9, within=[water])
    spots = rng.uniform((LEFT + 30, 648), (RIGHT - 60, 682), (11, 2))
    nets = [
        spline(np.stack([x + np.linspace(0, 46, 5), y + rng.uniform(-3, 3, 5)], 1))
        for x, y in spots
    ]
    sheet.ink(nets, 1.8, colour=pigment("paper"), press=0.5)


def _surface(sheet: Sheet, top: float, rng: np.random.RandomState) -> None:
    across_tank = np.linspace(LEFT, RIGHT, 26)
    line = spline(np.stack([across_tank, top + rng.uniform(-1.6, 1.6, 26)], axis=1))
    sheet.gouache([ribbon(moved(line, 0, 4), 7, 7)], opacity=0.5, soft=1)
    sheet.ink([line], 1.8, colour=pigment("sea"), press=0.9)
    dashes = [
        points((x, top + y), (x + rng.uniform(20, 60), top + y))
        for x, y in rng.uniform((LEFT + 20, 9), (RIGHT - 80, 20), (14, 2))
    ]
    sheet.ink(dashes, 1.4, colour=pigment("paper"), press=0.7)


def _glass(sheet: Sheet, scene: Scene) -> None:
    rng = seeded("glass")
    pane = box(LEFT, TOP, RIGHT, BOTTOM)
    if scene.algae > 0 and scene.water > 0:
        _film_on_glass(sheet, scene, pane)
    for x, wide in ((LEFT + 84, 34), (LEFT + 136, 12), (RIGHT - 150, 22)):
        streak = points((x, TOP + 40), (x + wide, TOP + 40), (x + wide - 64, 520), (x - 64, 520))
        sheet.gouache([streak], opacity=0.10, soft=3, within=[pane])
    rim = box(LEFT - 5, TOP - 6, RIGHT + 5, TOP + 3)
    sheet.wash([rim], pigment("sea"), 0.5)
    sides = [box(LEFT - 6, TOP, LEFT + 2, BOTTOM), box(RIGHT - 2, TOP, RIGHT + 6, BOTTOM)]
    sheet.wash(sides, pigment("teal"), 0.4)
    outer = box(LEFT - 6, TOP - 7, RIGHT + 6, BOTTOM + 2)
    sheet.ink([shaky(outer, rng, amount=0.9, closed=True)], 3.0, closed=True)
    sheet.ink([shaky(pane, rng, amount=0.9, closed=True)], 1.3, closed=True, press=0.6)


def _film_on_glass(sheet: Sheet, scene: Scene, pane: Points) -> None:
    rng = seeded("film")
    colour = pigment("brown" if scene.algae_kind == "brown" else "green")
    rise = 0.35 * scene.algae * (BOTTOM - SURFACE)
    edge = np.linspace(LEFT, RIGHT, 14)
    line = spline(np.stack([edge, BOTTOM - rise * rng.uniform(0.4, 1.2, 14)], axis=1))
    low = np.vstack([line, [(RIGHT, BOTTOM), (LEFT, BOTTOM)]])
    sheet.wash([low], colour, 0.42 * scene.algae, soft=14, within=[pane], edge=0, bloom=0.9)
    n = int(420 * scene.algae)
    spots = np.stack([rng.uniform(LEFT, RIGHT, n), BOTTOM - 400 * rng.beta(1, 2.6, n)], axis=1)
    dots = [
        ellipse(x, y, r, r, n=7) for (x, y), r in zip(spots, rng.uniform(0.7, 2.3, n), strict=True)
    ]
    sheet.wash(dots, colour, 0.6, within=[pane])


def _over_the_rim(sheet: Sheet, scene: Scene) -> None:
    if scene.stage != "empty" and "return nozzle" in scene.gear:
        gear.return_nozzle(sheet)
    if "light fixture" in scene.gear and scene.stage != "empty":
        gear.light_fixture(sheet, lit=scene.water > 0 and not scene.power_cut)
    if scene.stage == "empty":
        gear.level_and_tape(sheet)
    if scene.heat_wave and scene.water > 0:
        gear.cold_bottle(sheet)
        gear.rim_fan(sheet)


def _evening(sheet: Sheet, scene: Scene, alive: Floats) -> None:
    rng = seeded("evening", scene.seed)
    loose = shaky(box(52, 26, 1148, 876), rng, amount=10, closed=True, step=60)
    page = sheet.cover([spline(loose, closed=True)], soft=7) * (1 + 0.12 * sheet.bloom)
    tank = sheet.cover([box(LEFT, TOP, RIGHT, BOTTOM)])
    if scene.power_cut:
        _candlelight(sheet, page)
    elif scene.light == "dusk":
        sheet.tint(pigment("coral"), 0.17 * page * (1 - 0.7 * tank))
        sheet.tint(pigment("violet"), 0.26 * page * (1 - 0.75 * alive))
        sheet.tint(pigment("orange"), 0.22 * sheet.glow(600, 120, 190) * page)
    elif scene.light == "night/blue":
        lamp = sheet.glow(600, 300, 330)
        sheet.tint(pigment("indigo"), 0.95 * page * (1 - tank))
        sheet.tint(pigment("blue"), (0.95 - 0.35 * lamp) * tank * (1 - 0.8 * alive))
        sheet.tint(pigment("violet"), 0.34 * tank * (1 - 0.5 * alive))


def _candlelight(sheet: Sheet, page: NDArray[np.floating]) -> None:
    flames = gear.candles(sheet)
    gear.torch(sheet)
    warm = sum((sheet.glow(x, y, 150) for x, y in flames), np.zeros_like(page))
    beam = sheet.cover([points((590, 690), (590, 710), (1010, 560), (960, 300))], soft=26)
    light = np.clip(0.95 * warm + 0.75 * beam, 0, 1).astype(np.float32)
    sheet.tint(mixed(pigment("indigo"), pigment("ink"), 0.25), 1.15 * page * (1 - light))
    sheet.tint(pigment("orange"), 0.26 * page * np.clip(warm, 0, 1))
