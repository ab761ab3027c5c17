"""What is not the tank itself: the test bench, and a pump on a towel."""

from __future__ import annotations

import numpy as np

from .gear import DARK, inked
from .pumps import draw_pump
from .scene import Scene
from .sheet import Sheet, pigment
from .strokes import (
    Points,
    box,
    dot,
    ellipse,
    moved,
    points,
    resampled,
    rounded_box,
    seeded,
    shaky,
    spline,
    turned,
)


def bench(sheet: Sheet, scene: Scene) -> None:
    """Draw the table with test vials, a colour scale without words, a notebook and syringes."""
    rng = seeded("bench", scene.seed)
    _table(sheet, rng)
    _notebook(sheet, rng)
    _colour_scale(sheet)
    for number in range(5):
        _vial(sheet, 640 + 92 * number, 330, float(rng.uniform(0, 1)), number)
    _syringe(sheet, 700, 716, -0.16, float(rng.uniform(0.3, 0.9)))
    _syringe(sheet, 760, 790, 0.05, float(rng.uniform(0.3, 0.9)))
    _jar(sheet)
    if scene.light != "day" or scene.power_cut:
        page = sheet.cover([box(50, 50, 1150, 850)], soft=12)
        sheet.tint(pigment("violet"), 0.5 * page * (1 - 0.8 * sheet.glow(600, 380, 260)))


def _table(sheet: Sheet, rng: np.random.RandomState) -> None:
    top = spline(shaky(box(50, 60, 1150, 850), rng, amount=8, closed=True, step=70), closed=True)
    sheet.wash([top], pigment("wood"), 0.8, soft=2, bloom=0.35)
    grain = [
        shaky(points((x, y), (x + rng.uniform(120, 420), y + rng.uniform(-4, 4))), rng, amount=2.5)
        for x, y in rng.uniform((70, 80), (760, 830), (38, 2))
    ]
    sheet.ink(grain, 1.2, colour=pigment("sepia"), press=0.4)
    planks = [shaky(points((60, y), (1140, y)), rng, amount=1) for y in (262, 470, 668)]
    sheet.ink(planks, 1.8, colour=pigment("sepia"), press=0.7)


def _notebook(sheet: Sheet, rng: np.random.RandomState) -> None:
    def put(shape: Points) -> Points:
        return moved(turned(shape, -0.07), 330, 470)

    sheet.wash(
        [moved(put(box(-222, -226, 236, 244)), 10, 14)], pigment("sepia"), 0.6, soft=8, edge=0
    )
    inked(sheet, put(rounded_box(-224, -230, 224, 230, 8)), "kelp", 0.9, line=2.2, name="cover")
    for left, right in ((-214, 0), (0, 214)):
        inked(sheet, put(box(left, -220, right, 220)), "milk", 0.4, line=1.4, name=("leaf", left))
    sheet.wash([put(box(-14, -220, 14, 220))], pigment("sepia"), 0.3, soft=8, edge=0)
    rules = [
        put(points((side, y), (side + 180, y)))
        for side in (-198, 18)
        for y in np.arange(-186, 206, 26.0)
    ]
    sheet.ticks(rules, 0.8, colour=pigment("sea"), press=0.4)
    for row, y in enumerate(np.arange(-192, 90, 26.0)):
        for start in np.arange(-194, -50 + 30 * (row % 2), 44.0):
            x = np.linspace(start, start + rng.uniform(18, 36), 14)
            word = put(np.stack([x, y + rng.uniform(-5, 3, 14)], axis=1))
            sheet.ink([spline(word, per_span=3)], 1.4, press=0.75)
    _sketched_graph(sheet, put(points((26, -60)))[0], rng)
    pencil = moved(put(turned(box(-120, -5, 96, 6), 0.35)), -96, 156)
    inked(sheet, pencil, "gold", 0.9, line=1.6, name="pencil")
    tip = moved(put(turned(points((96, -5), (116, 0), (96, 6)), 0.35)), -96, 156)
    inked(sheet, tip, "bone", 0.8, line=1.3, name="tip")


def _sketched_graph(sheet: Sheet, corner: Points, rng: np.random.RandomState) -> None:
    axes = [points((0, -120), (0, 30), (170, 30)) + corner]
    sheet.ink(axes, 1.6)
    x = np.linspace(6, 164, 9)
    rise = spline(np.stack([x, 10 - 0.5 * x + rng.uniform(-14, 14, 9)], axis=1)) + corner
    sheet.ink([rise], 2.0, colour=pigment("kelp"))
    sheet.figure([dot(p, 3.4, 3.4, n=10) for p in rise[::8]], pigment("coral"), 0.9, outline=0.8)
    stalk = points((70, 250), (66, 214), (48, 180)) + corner - (0, 20)
    fork = points((66, 214), (88, 188), (84, 168)) + corner - (0, 20)
    sheet.ink(
        [spline(stalk), spline(fork), spline(moved(fork, 14, 10))], 2.6, colour=pigment("rose")
    )


RAMP = ("#f3ecd4", "#e9e2a0", "#d3d58a", "#a9c78a", "#7fb58f", "#579c95", "#3d7f94")


def _colour_scale(sheet: Sheet) -> None:
    card = box(598, 456, 1080, 536)
    sheet.wash([moved(card, 6, 9)], pigment("sepia"), 0.5, soft=6, edge=0)
    inked(sheet, card, "milk", 0.4, line=1.8, name="card")
    for number, tone in enumerate(RAMP):
        chip = box(614 + 66 * number, 470, 668 + 66 * number, 522)
        sheet.wash(
            [shaky(chip, seeded("chip", number), amount=1.0, closed=True)], pigment(tone), 1.0
        )
        sheet.ink([chip], 1.0, closed=True, press=0.5)


def _vial(sheet: Sheet, x: float, y: float, share: float, number: int) -> None:
    sheet.wash([ellipse(x + 14, y + 84, 42, 12)], pigment("sepia"), 0.55, soft=6, edge=0)
    glass = rounded_box(x - 30, y - 84, x + 30, y + 84, 12)
    sheet.figure([glass], pigment("aqua"), 0.2, outline=2.0, body=0.85)
    tone = pigment(RAMP[min(int(share * len(RAMP)), len(RAMP) - 1)])
    fill = box(x - 30, y - 40, x + 30, y + 84)
    sheet.wash([fill], tone, 1.1, within=[glass], bloom=0.5)
    sheet.wash([ellipse(x, y - 40, 29, 7)], tone, 0.6, within=[glass])
    sheet.ink([ellipse(x, y - 40, 29, 7)], 1.1, closed=True, press=0.6)
    inked(
        sheet,
        rounded_box(x - 34, y - 108, x + 34, y - 78, 5),
        ("slate", "bone")[number % 2],
        0.8,
        name=("lid", number),
    )
    sheet.gouache([rounded_box(x - 22, y - 66, x - 15, y + 66, 3)], opacity=0.6, soft=1)
    sheet.ticks(
        [points((x + 18, y + 60 - 20 * k), (x + 26, y + 60 - 20 * k)) for k in range(5)], 1.0
    )


def _syringe(sheet: Sheet, x: float, y: float, tilt: float, draw_back: float) -> None:
    def put(shape: Points) -> Points:
        return moved(turned(shape, tilt), x, y)

    end = 150 + 110 * draw_back
    sheet.wash([moved(put(box(-150, 0, 160, 26)), 6, 10)], pigment("sepia"), 0.4, soft=6, edge=0)
    inked(sheet, put(box(60, -6, end, 6)), "milk", 0.6, line=1.5, name=("rod", y))
    inked(
        sheet, put(rounded_box(end, -22, end + 10, 22, 4)), "milk", 0.6, line=1.6, name=("thumb", y)
    )
    barrel = put(rounded_box(-120, -19, 150, 19, 6))
    sheet.figure([barrel], pigment("aqua"), 0.25, outline=1.9, body=0.85)
    liquid = put(box(-120, -19, -110 + 160 * draw_back, 19))
    sheet.wash([liquid], pigment("sea"), 0.5, within=[barrel])
    stop = put(rounded_box(-110 + 160 * draw_back, -18, -92 + 160 * draw_back, 18, 3))
    inked(sheet, stop, "slate", 0.9, line=1.3, name=("stop", y))
    inked(
        sheet,
        put(points((-120, -7), (-158, -4), (-158, 4), (-120, 7))),
        "aqua",
        0.3,
        line=1.5,
        name=("tip", y),
    )
    inked(sheet, put(rounded_box(148, -32, 158, 32, 4)), "milk", 0.6, line=1.6, name=("wing", y))
    sheet.ticks(
        [
            put(points((v, -18), (v, -6 if k % 5 else 2)))
            for k, v in enumerate(np.arange(-104, 130, 13.0))
        ],
        1.1,
    )


def _jar(sheet: Sheet) -> None:
    """The jar with the sample of tank water, from above."""
    x, y = 1030.0, 680.0
    sheet.wash([ellipse(x + 14, y + 22, 80, 68)], pigment("sepia"), 0.55, soft=9, edge=0)
    inked(sheet, ellipse(x, y, 74, 70, n=40), "aqua", 0.35, line=2.4, name="jar")
    water = ellipse(x, y, 62, 58, n=36)
    sheet.figure([water], pigment("sea"), 0.5, outline=1.4)
    ring = spline(points((x - 44, y + 6), (x - 34, y - 26), (x - 6, y - 44), (x + 20, y - 44)))
    sheet.ink([ring], 5.0, colour=pigment("paper"), press=0.75)
    sheet.ink([ellipse(x + 8, y + 8, r, 0.9 * r) for r in (14, 30)], 1.2, press=0.3, closed=True)


def pump(sheet: Sheet, scene: Scene) -> None:
    """Draw the old and the new pump side by side on a towel."""
    rng = seeded("towel", scene.seed)
    _table(sheet, rng)
    _towel(sheet, rng)
    for x, worn in ((350, 1.0), (820, 0.0)):
        sheet.wash([ellipse(x + 20, 560, 190, 30)], pigment("slate"), 0.5, soft=12, edge=0)
        draw_pump(sheet, x, 440, 1.45, worn=worn)
        cord = points((-136, 10), (-190, 30), (-170, 150), (-60, 200), (40, 180), (140, 210))
        sheet.ink([moved(resampled(spline(cord), 8), x, 440)], 5.5, press=0.85)
        plug = moved(turned(rounded_box(-4, -11, 30, 11, 5), 0.25), x + 134, 648)
        pins = [turned(points((28, y), (44, y)), 0.25) for y in (-5, 5)]
        sheet.ticks([moved(pin, x + 134, 648) for pin in pins], 3.4)
        inked(sheet, plug, "slate", 0.9, name=("plug", x))
    _brush(sheet)


def _towel(sheet: Sheet, rng: np.random.RandomState) -> None:
    towel = shaky(box(120, 170, 1080, 760), rng, amount=5, closed=True, step=34)
    sheet.wash([moved(towel, 8, 14)], pigment("sepia"), 0.6, soft=9, edge=0)
    sheet.gouache([towel])
    sheet.wash([towel], pigment("milk"), 0.6, bloom=0.8)
    bands = [
        box(100, y, 1100, y + wide) for y, wide in ((206, 12), (228, 26), (676, 26), (712, 12))
    ]
    sheet.wash(bands, pigment("teal"), 0.75, within=[towel])
    sheet.ink([towel], 2.2, closed=True)
    fringe = [
        points((x, 762), (x + rng.uniform(-3, 3), 762 + rng.uniform(9, 16)))
        for x in np.arange(128, 1076, 7.0)
    ]
    sheet.ticks(fringe, 1.3, press=0.6)
    folds = [points((300, 180), (330, 740)), points((770, 190), (744, 740))]
    sheet.ink([shaky(fold, rng, amount=3) for fold in folds], 1.4, press=0.25)


def _brush(sheet: Sheet) -> None:
    stick = moved(turned(rounded_box(-120, -9, 130, 9, 8), 0.2), 600, 694)
    hairs = [
        moved(turned(points((x, -9), (x, -34)), 0.2), 600, 694) for x in np.arange(70, 124, 4.5)
    ]
    sheet.ticks(hairs, 3.0, colour=DARK, press=0.9)
    inked(sheet, stick, "coral", 0.75, line=1.8, name="brush")
