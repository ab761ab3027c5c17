"""The sump in its cabinet: skimmer, return pump and top-off container."""

from __future__ import annotations

import numpy as np

from .gear import inked
from .pumps import draw_pump
from .scene import Scene
from .sheet import Sheet, mixed, pigment
from .strokes import (
    blob,
    box,
    ellipse,
    moved,
    points,
    resampled,
    ribbon,
    rounded_box,
    seeded,
    shaky,
    spline,
)


def sump(sheet: Sheet, scene: Scene) -> None:
    """Draw the open cabinet with the sump, its skimmer and the top-off container."""
    rng = seeded("sump", scene.seed)
    _open_cabinet(sheet)
    _sump_glass(sheet, scene)
    _skimmer(sheet, scene, cup=float(rng.uniform(0.25, 0.85)))
    _sump_pump(sheet)
    if scene.water > 0:
        _sump_water(sheet, rng)
    _drain_pipes(sheet)
    _top_off(sheet, scene, level=float(rng.uniform(0.35, 0.95)))
    if scene.power_cut:
        dark = 1.0 * sheet.cover([box(60, 40, 1140, 860)], soft=10)
        sheet.tint(pigment("indigo"), dark * (1 - sheet.glow(480, 520, 260)))


def _open_cabinet(sheet: Sheet) -> None:
    rng = seeded("open cabinet")
    wood = pigment("wood")
    wall = spline(shaky(box(30, 30, 1170, 870), rng, amount=8, closed=True, step=60), closed=True)
    sheet.wash([wall], pigment("sand"), 0.4, soft=3, bloom=0.6)
    body, inside = box(90, 70, 1110, 840), box(128, 122, 1072, 800)
    sheet.gouache([body])
    sheet.wash([body], wood, 0.85, bloom=0.5)
    sheet.gouache([inside])
    sheet.wash([inside], mixed(wood, pigment("paper"), 0.45), 0.7, bloom=0.5)
    sheet.wash([box(128, 122, 1072, 210)], pigment("sepia"), 0.55, soft=30, within=[inside], edge=0)
    sheet.wash([box(128, 770, 1072, 800)], pigment("sepia"), 0.4, soft=6, within=[inside], edge=0)
    doors = [
        points((90, 70), (30, 40), (30, 880), (90, 840)),
        points((1110, 70), (1170, 40), (1170, 880), (1110, 840)),
    ]
    for number, door in enumerate(doors):
        inked(sheet, door, "wood", 1.0, line=2.2, name=("door", number))
    starts = rng.uniform((96, 76), (900, 114), (8, 2))
    grain = [shaky(points(s, moved(s, rng.uniform(60, 180), 0)), rng, amount=1.5) for s in starts]
    sheet.ink(grain, 1.1, colour=pigment("sepia"), press=0.45)
    sheet.ink([shaky(s, rng, amount=1, closed=True) for s in (body, inside)], 2.4, closed=True)


SUMP = (160.0, 440.0, 846.0, 778.0)


BAFFLES = ((424.0, 500.0, 778.0), (446.0, 470.0, 756.0), (640.0, 520.0, 778.0))


LEVELS = ((160.0, 424.0, 512.0), (424.0, 640.0, 530.0), (640.0, 846.0, 590.0))


def _sump_glass(sheet: Sheet, scene: Scene) -> None:
    left, high, right, low = SUMP
    pane = box(left, high, right, low)
    sheet.gouache([pane], opacity=0.75)
    sheet.wash([pane], pigment("aqua"), 0.22, bloom=0.6)
    if scene.water > 0:
        for start, end, level in LEVELS:
            sheet.wash([box(start, level, end, low)], pigment("sea"), 0.55, bloom=0.5)
    for number, (x, start, end) in enumerate(BAFFLES):
        sheet.figure([box(x - 4, start, x + 4, end)], pigment("teal"), 0.35, outline=1.2, body=0.6)
        sheet.ink([points((x, start), (x + 0.5 * number, end))], 0.8, press=0.3)
    sheet.ink([shaky(pane, seeded("sump glass"), amount=1, closed=True)], 2.8, closed=True)
    bag = spline(points((176, 474), (172, 600), (190, 650), (222, 650), (240, 600), (236, 474)))
    sheet.figure([bag], pigment("bone"), 0.7, outline=1.6, body=0.9)
    cross = [points((180, y), (234, y + 6)) for y in np.arange(490, 640, 12.0)]
    sheet.ticks(cross, 0.9, press=0.35)
    inked(sheet, rounded_box(166, 462, 246, 480, 5), "slate", 0.7, name="collar")


def _skimmer(sheet: Sheet, scene: Scene, cup: float) -> None:
    x = 336.0
    body = spline(points((x - 42, 764), (x - 46, 620), (x - 44, 520), (x - 26, 452), (x - 22, 400)))
    tube = np.vstack([body, (moved(body * (-1, 1), 2 * x, 0))[::-1]])
    sheet.figure([tube], pigment("aqua"), 0.3, outline=2.0, body=0.75)
    if scene.water > 0 and not scene.power_cut:
        rng = seeded("bubbles", scene.seed)
        froth = rng.uniform((x - 44, 410), (x + 44, 740), (330, 2))
        rings = [
            ellipse(bx, by, r, r, n=9)
            for (bx, by), r in zip(froth, rng.uniform(1.6, 4.6, 330), strict=True)
        ]
        sheet.gouache(rings, opacity=0.75, within=[tube])
        sheet.ticks([ring[3:8] for ring in rings], 0.7, press=0.35, within=[tube])
    inked(sheet, rounded_box(x - 58, 750, x + 58, 774, 6), "slate", 0.8, name="foot")
    inked(sheet, rounded_box(x - 52, 504, x + 52, 520, 4), "rust", 0.7, name="ring")
    pot = points((x - 50, 296), (x + 50, 296), (x + 46, 410), (x - 46, 410))
    sheet.figure([pot], pigment("aqua"), 0.25, outline=2.0, body=0.85)
    if scene.water > 0:
        waste = box(x - 52, 408 - 96 * cup, x + 52, 410)
        sheet.wash([waste], pigment("brown"), 1.0, within=[pot], bloom=0.6)
    inked(sheet, rounded_box(x - 54, 280, x + 54, 300, 6), "slate", 0.8, name="lid")
    air = spline(points((x + 40, 500), (x + 78, 450), (x + 70, 340), (x + 92, 260)))
    sheet.ink([resampled(air, 6)], 4.0, colour=pigment("teal"), press=0.8)


def _sump_pump(sheet: Sheet) -> None:
    pipe = points((760, 690), (760, 620), (760, 300), (760, 122))
    sheet.figure([ribbon(resampled(pipe, 20), 24, 24)], pigment("grey"), 0.5, outline=1.8)
    sheet.gouache([ribbon(resampled(pipe, 20) - (5, 0), 5, 5)], opacity=0.5, soft=1)
    for y in (420, 560):
        inked(sheet, rounded_box(742, y - 12, 778, y + 12, 4), "slate", 0.7, name=("union", y))
    inked(sheet, points((764, 326), (812, 312), (815, 324), (766, 340)), "rust", 0.9, name="valve")
    draw_pump(sheet, 718, 716, 0.62, worn=0.0)


def _sump_water(sheet: Sheet, rng: np.random.RandomState) -> None:
    for start, end, level in LEVELS:
        sheet.wash([box(start, level, end, SUMP[3])], pigment("aqua"), 0.35, bloom=0.6, edge=0.2)
        x = np.linspace(start + 3, end - 3, 9)
        line = spline(np.stack([x, level + rng.uniform(-1.5, 1.5, 9)], axis=1))
        sheet.gouache([ribbon(moved(line, 0, 4), 6, 6)], opacity=0.5, soft=1)
        sheet.ink([line], 1.8, colour=pigment("sea"), press=0.9)
    rubble = [
        blob(x, y, 26, 20, rng, n=8)
        for x, y in ((490, 752), (540, 756), (590, 750), (516, 722), (566, 720))
    ]
    for stone in rubble:
        sheet.figure([stone], mixed(pigment("stone"), pigment("mauve"), 0.3), 0.8, outline=1.6)
    for left in (480, 505, 530, 556, 582, 604):
        frond = spline(
            np.stack(
                [left + 7 * np.sin(np.arange(5) + left), np.linspace(715, 570, 5) + left % 7], 1
            )
        )
        sheet.figure([ribbon(frond, 6, 2)], pigment("green"), 0.8, outline=1.0)


def _drain_pipes(sheet: Sheet) -> None:
    drain = resampled(spline(points((206, 122), (206, 200), (206, 330), (206, 500))), 12)
    sheet.figure([ribbon(drain, 30, 30)], pigment("grey"), 0.5, outline=1.8)
    sheet.gouache([ribbon(drain - (7, 0), 5, 5)], opacity=0.5, soft=1)
    inked(sheet, rounded_box(184, 216, 228, 244, 5), "slate", 0.7, name="drain union")
    inked(
        sheet,
        points((228, 224), (266, 214), (268, 226), (228, 238)),
        "rust",
        0.9,
        name="drain valve",
    )
    loop = resampled(
        spline(
            points(
                (770, 740),
                (812, 700),
                (826, 560),
                (836, 420),
                (862, 310),
                (920, 268),
                (980, 320),
                (1024, 300),
                (1037, 206),
            )
        ),
        8,
    )
    sheet.ink([loop], 4.0, press=0.75)
    inked(sheet, rounded_box(1010, 168, 1064, 214, 5), "bone", 0.7, name="socket")
    sheet.gouache([ellipse(1028, 191, 4, 4), ellipse(1046, 191, 4, 4)], pigment("ink"), 0.9)


def _top_off(sheet: Sheet, scene: Scene, level: float) -> None:
    can = rounded_box(888, 486, 1048, 786, 14)
    sheet.figure([can], pigment("milk"), 0.9, outline=2.2, body=0.9)
    if scene.stage not in ("empty", "plumbing"):
        line = 776 - 270 * level
        sheet.wash([box(888, line, 1048, 790)], pigment("blue"), 0.32, within=[can], bloom=0.5)
        sheet.ink([points((892, line), (1044, line + 1))], 1.6, colour=pigment("blue"))
    marks = [
        points((1030, y), (1042 if k % 2 else 1022, y))
        for k, y in enumerate(np.arange(520, 776, 24.0))
    ]
    sheet.ticks(marks, 1.4, press=0.6)
    inked(sheet, rounded_box(946, 466, 992, 490, 6), "slate", 0.7, name="can cap")
    hose = resampled(
        spline(points((968, 470), (966, 420), (920, 392), (862, 410), (812, 440), (806, 580))), 7
    )
    sheet.ink([hose], 6.0)
    sheet.ink([hose], 3.4, colour=pigment("aqua"), press=1.0)
    sheet.figure([rounded_box(796, 570, 818, 606, 5)], pigment("rust"), 0.8, outline=1.5)
