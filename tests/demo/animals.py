"""Fish from the side and from above, and the list of all animals."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from .crew import cleaner_shrimp, hermit_crab, turbo_snail
from .pose import WHITE, Pose, eye
from .scene import Fish
from .sheet import Colour, Sheet, mixed, pigment
from .strokes import Points, ellipse, points, ribbon, seeded, spline

LENGTHS = {
    "clown pair": 92,
    "clown": 92,
    "goby": 84,
    "blenny": 88,
    "tang": 150,
    "wrasse": 118,
    "cleaner shrimp": 66,
    "turbo snail": 44,
    "hermit crab": 42,
}
COATS = {
    "clown pair": "orange",
    "clown": "orange",
    "goby": "lemon",
    "blenny": "brown",
    "tang": "gold",
    "wrasse": "rose",
}


def full_length(fish: Fish) -> float:
    """Its length in drawing units."""
    return float(LENGTHS[fish.kind] * (0.5 + 0.5 * fish.size))


def draw_animal(sheet: Sheet, fish: Fish, x: float, y: float) -> None:
    """Draw an animal with its middle at x, y (drawing units)."""
    KINDS[fish.kind](sheet, Pose(x, y, full_length(fish), fish.facing))


def draw_from_above(sheet: Sheet, fish: Fish, x: float, y: float) -> None:
    """Draw a fish as one sees it from above."""
    if fish.kind not in COATS:
        return
    pose = Pose(x, y, full_length(fish), fish.facing)
    colour = pigment(COATS[fish.kind])
    shade = pose.curve((0.5, 0.1), (0.1, 0.28), (-0.5, 0.18), (0.1, 0.1))
    sheet.wash([shade], pigment("indigo"), 0.35, soft=4, edge=0)
    tail = pose.curve((-0.3, 0.0), (-0.56, -0.07), (-0.5, 0.0), (-0.56, 0.07))
    fins = [pose.curve((0.16, s * 0.1), (0.04, s * 0.24), (0.02, s * 0.1)) for s in (-1, 1)]
    sheet.figure([tail, *fins], mixed(colour, WHITE, 0.4), 0.8, outline=1.2)
    body = pose.curve(
        (0.5, 0), (0.3, -0.11), (0, -0.12), (-0.35, -0.04), (-0.35, 0.04), (0, 0.12), (0.3, 0.11)
    )
    sheet.figure([body], colour, 0.9, outline=1.4)
    sheet.ink([pose.line((0.3, 0.01), (0.0, -0.01), (-0.35, 0.0))], 1.4)
    sheet.ticks([pose.at(points((0.36, s * 0.07), (0.40, s * 0.06))) for s in (-1, 1)], 3.0)


def _rays(sheet: Sheet, fin: Points, root: Points, n: int = 7) -> None:
    tips = fin[np.linspace(0, len(fin) - 1, n + 2).astype(int)[1:-1]]
    lines = [np.stack([root + 0.25 * (tip - root), root + 0.92 * (tip - root)]) for tip in tips]
    sheet.ticks(lines, 0.9, press=0.45, within=[fin])


def _body(sheet: Sheet, pose: Pose, body: Points, colour: Colour, belly: Colour) -> None:
    sheet.figure([body], colour, 0.85, outline=1.2)
    low = body[:, 1].max()
    pale = ellipse(pose.x, low, 0.5 * pose.length, 0.12 * pose.length)
    sheet.gouache([pale], belly, 0.5, soft=4, within=[body])
    back = ellipse(pose.x, body[:, 1].min(), 0.45 * pose.length, 0.09 * pose.length)
    sheet.wash([back], pigment("rust"), 0.35, soft=3, within=[body], edge=0)


def clown(sheet: Sheet, pose: Pose) -> None:
    """An orange fish with three white bands."""
    orange = pigment("orange")
    fins = [
        pose.curve((0.2, -0.17), (0.05, -0.3), (-0.08, -0.22), (-0.2, -0.26), (-0.28, -0.1)),
        pose.curve((-0.3, -0.06), (-0.48, -0.15), (-0.53, 0.0), (-0.48, 0.15), (-0.3, 0.06)),
        pose.curve((0.0, 0.17), (-0.1, 0.28), (-0.24, 0.22), (-0.28, 0.08)),
        pose.curve((0.2, 0.14), (0.14, 0.3), (0.05, 0.28), (0.08, 0.16)),
    ]
    sheet.figure(fins, orange, 0.8, outline=2.0)
    body = pose.curve(
        (0.5, 0.01),
        (0.4, -0.12),
        (0.18, -0.2),
        (-0.1, -0.17),
        (-0.32, -0.07),
        (-0.34, 0.06),
        (-0.1, 0.17),
        (0.18, 0.2),
        (0.4, 0.12),
    )
    _body(sheet, pose, body, orange, pigment("gold"))
    middles = ((0.27, 0.06, 0.10), (-0.02, 0.05, 0.11), (-0.28, 0.0, 0.06))
    bands = [
        pose.at(ribbon(spline(points((x, -0.25), (x + bow, 0.0), (x - 0.01, 0.25))), wide, wide))
        for x, bow, wide in middles
    ]
    sheet.ink(bands, 3.2, closed=True, within=[body])
    sheet.gouache(bands, WHITE, 0.97, within=[body])
    sheet.ink([body], 1.5, closed=True)
    flap = pose.curve((0.14, 0.03), (0.0, 0.0), (-0.02, 0.1), (0.08, 0.14))
    sheet.figure([flap], orange, 0.95, outline=1.5)
    _rays(sheet, flap, pose.at(points((0.14, 0.06)))[0], 5)
    for fin in fins[:3]:
        _rays(sheet, fin, pose.at(points((-0.1, 0.0)))[0])
    eye(sheet, pose, 0.38, -0.03, 0.035)


def clown_pair(sheet: Sheet, pose: Pose) -> None:
    """Two orange fish, the second smaller."""
    second = Pose(
        pose.x - 0.72 * pose.facing * pose.length,
        pose.y + 0.42 * pose.length,
        0.72 * pose.length,
        pose.facing,
    )
    clown(sheet, second)
    clown(sheet, pose)


def goby(sheet: Sheet, pose: Pose) -> None:
    """A slim fish that rests on the sand."""
    yellow = pigment("lemon")
    fins = [
        pose.curve((0.2, -0.08), (0.16, -0.3), (0.02, -0.2), (0.04, -0.08)),
        pose.curve((0.0, -0.07), (-0.08, -0.18), (-0.3, -0.15), (-0.32, -0.05)),
        pose.curve((-0.36, -0.03), (-0.52, -0.08), (-0.52, 0.09), (-0.36, 0.04)),
        pose.curve((0.24, 0.06), (0.16, 0.17), (0.08, 0.14), (0.14, 0.06)),
    ]
    sheet.figure(fins, mixed(yellow, WHITE, 0.3), 0.7, outline=1.1)
    body = pose.curve(
        (0.5, 0.02),
        (0.42, -0.09),
        (0.2, -0.1),
        (-0.2, -0.07),
        (-0.4, -0.04),
        (-0.4, 0.05),
        (-0.1, 0.09),
        (0.3, 0.1),
    )
    _body(sheet, pose, body, yellow, WHITE)
    spots = seeded("goby").uniform((-0.35, -0.08), (0.4, 0.07), (22, 2))
    dots = [pose.at(ellipse(x, y, 0.014, 0.014, n=8)) for x, y in spots]
    sheet.wash(dots, pigment("blue"), 0.9, within=[body])
    sheet.ink([body], 1.6, closed=True)
    eye(sheet, pose, 0.4, -0.06, 0.036)


def blenny(sheet: Sheet, pose: Pose) -> None:
    """A blunt-headed fish with tufts over its eyes, propped on its fins."""
    brown = pigment("brown")
    fins = [
        pose.curve(
            (0.26, -0.12), (0.1, -0.24), (-0.1, -0.16), (-0.3, -0.19), (-0.4, -0.04), (0.0, -0.06)
        ),
        pose.curve((-0.36, -0.04), (-0.52, -0.1), (-0.54, 0.06), (-0.38, 0.04)),
        pose.curve((0.26, 0.08), (0.26, 0.22), (0.1, 0.2), (0.12, 0.08)),
    ]
    sheet.figure(fins, mixed(brown, pigment("gold"), 0.5), 0.75, outline=1.2)
    body = pose.curve(
        (0.47, 0.06),
        (0.46, -0.1),
        (0.34, -0.16),
        (0.0, -0.1),
        (-0.38, -0.05),
        (-0.4, 0.04),
        (0.0, 0.09),
        (0.34, 0.12),
    )
    _body(sheet, pose, body, brown, pigment("sand"))
    bars = [pose.line((x, -0.16), (x - 0.03, 0.0), (x, 0.08)) for x in np.arange(-0.3, 0.3, 0.1)]
    sheet.ink(bars, 3.4, colour=pigment("sepia"), press=0.5, within=[body])
    sheet.ink([body], 1.6, closed=True)
    sheet.ink([pose.line((0.36, -0.16), (0.37, -0.24), (0.42, -0.26))], 1.4)
    sheet.ink([pose.line((0.47, 0.05), (0.42, 0.06), (0.38, 0.04))], 1.3)
    eye(sheet, pose, 0.37, -0.1, 0.042)


def tang(sheet: Sheet, pose: Pose) -> None:
    """A tall grazing fish with sail-like fins and a pointed snout."""
    gold = pigment("lemon")
    fins = [
        pose.curve((0.24, -0.22), (0.05, -0.4), (-0.22, -0.38), (-0.32, -0.06), (0, -0.2)),
        pose.curve((0.18, 0.22), (0.0, 0.37), (-0.22, 0.36), (-0.32, 0.06), (0, 0.2)),
        pose.curve((-0.32, -0.04), (-0.52, -0.17), (-0.47, 0.0), (-0.52, 0.17), (-0.32, 0.04)),
    ]
    sheet.figure(fins, mixed(gold, pigment("gold"), 0.5), 0.85, outline=1.4)
    for fin in fins:
        _rays(sheet, fin, pose.at(points((-0.02, 0.0)))[0], 14)
    body = pose.curve(
        (0.5, 0.06),
        (0.38, -0.06),
        (0.22, -0.22),
        (-0.05, -0.25),
        (-0.3, -0.07),
        (-0.36, 0.0),
        (-0.3, 0.07),
        (-0.05, 0.25),
        (0.2, 0.23),
        (0.38, 0.12),
    )
    sheet.figure([body], gold, 0.95, outline=1.2)
    shade = ellipse(pose.x, pose.y + 0.22 * pose.length, 0.4 * pose.length, 0.09 * pose.length)
    sheet.wash([shade], pigment("orange"), 0.5, soft=5, within=[body], edge=0)
    sheet.gouache([pose.line((0.1, -0.03), (-0.1, -0.04), (-0.28, -0.01))], WHITE, 0.5, soft=1)
    sheet.ink([body], 1.1, closed=True)
    flap = pose.curve((0.16, 0.0), (0.04, -0.06), (-0.02, 0.02), (0.1, 0.08))
    sheet.figure([flap], gold, 0.8, outline=1.1)
    sheet.ink([pose.line((0.24, -0.12), (0.2, 0.0), (0.23, 0.12))], 1.2, press=0.6)
    eye(sheet, pose, 0.31, -0.05, 0.028)


def wrasse(sheet: Sheet, pose: Pose) -> None:
    """A long quick fish in rose and green."""
    rose = pigment("rose")
    fins = [
        pose.curve((0.24, -0.1), (0.12, -0.19), (-0.26, -0.17), (-0.36, -0.05)),
        pose.curve((0.0, 0.1), (-0.1, 0.17), (-0.3, 0.14), (-0.36, 0.04)),
        pose.curve((-0.36, -0.05), (-0.52, -0.1), (-0.55, 0.0), (-0.52, 0.1), (-0.36, 0.05)),
    ]
    sheet.figure(fins, pigment("teal"), 0.8, outline=1.2)
    body = pose.curve(
        (0.5, 0.01),
        (0.36, -0.09),
        (0.1, -0.125),
        (-0.2, -0.1),
        (-0.4, -0.05),
        (-0.4, 0.05),
        (-0.1, 0.11),
        (0.2, 0.11),
        (0.38, 0.07),
    )
    _body(sheet, pose, body, rose, pigment("sand"))
    stripes = [pose.line((0.45, y), (0.1, y * 1.9), (-0.4, y * 0.8)) for y in (-0.035, 0.01, 0.045)]
    sheet.ink(stripes, 2.4, colour=pigment("teal"), press=0.75, within=[body])
    sheet.ink([body], 1.7, closed=True)
    flap = pose.curve((0.2, 0.02), (0.08, 0.0), (0.06, 0.07), (0.16, 0.08))
    sheet.figure([flap], pigment("gold"), 0.7, outline=1.0)
    eye(sheet, pose, 0.38, -0.025, 0.026)


KINDS: dict[str, Callable[[Sheet, Pose], None]] = {
    "clown pair": clown_pair,
    "clown": clown,
    "goby": goby,
    "blenny": blenny,
    "tang": tang,
    "wrasse": wrasse,
    "cleaner shrimp": cleaner_shrimp,
    "turbo snail": turbo_snail,
    "hermit crab": hermit_crab,
}
