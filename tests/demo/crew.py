"""Shrimp, snail and crab."""

from __future__ import annotations

import numpy as np

from .pose import WHITE, Pose, eye
from .sheet import Colour, Sheet, pigment
from .strokes import points, ribbon


def cleaner_shrimp(sheet: Sheet, pose: Pose) -> None:
    """A red-backed shrimp with a white stripe and long white feelers."""
    feelers = [
        pose.line((0.4, -0.08), (0.7, -0.4), (1.0, -0.5)),
        pose.line((0.4, -0.06), (0.75, -0.2), (1.1, -0.12)),
        pose.line((0.38, -0.08), (0.3, -0.45), (0.05, -0.62)),
    ]
    sheet.ink(feelers, 1.8, press=0.6)
    sheet.ink(feelers, 1.2, colour=WHITE, press=0.95)
    legs = [
        pose.line((x, 0.08), (x + 0.06, 0.18), (x + 0.02, 0.3)) for x in (-0.1, 0.04, 0.18, 0.3)
    ]
    sheet.ink(legs, 1.6)
    body = pose.curve(
        (0.48, -0.06),
        (0.3, -0.13),
        (0.05, -0.16),
        (-0.2, -0.13),
        (-0.42, 0.06),
        (-0.54, 0.18),
        (-0.4, 0.2),
        (-0.2, 0.08),
        (0.1, 0.1),
        (0.36, 0.06),
    )
    sheet.figure([body], pigment("gold"), 0.7, outline=1.2)
    back = pose.line((0.46, -0.07), (0.05, -0.13), (-0.22, -0.08), (-0.46, 0.12))
    sheet.wash(
        [ribbon(back, 0.13 * pose.length, 0.1 * pose.length)], pigment("coral"), 1.3, within=[body]
    )
    sheet.ink([back], 2.2, colour=WHITE, press=1.0, within=[body])
    sheet.ink([body], 1.5, closed=True)
    eye(sheet, pose, 0.38, -0.09, 0.03)


def _whorl(sheet: Sheet, pose: Pose, colour: Colour) -> None:
    shell = pose.curve(
        (0.3, 0.22),
        (0.34, -0.08),
        (0.12, -0.26),
        (-0.1, -0.42),
        (-0.2, -0.28),
        (-0.36, -0.02),
        (-0.34, 0.22),
        (0, 0.27),
    )
    sheet.figure([shell], colour, 0.8, outline=1.3)
    turns = [
        pose.line((-0.36, 0.02), (0.0, 0.12), (0.34, -0.02)),
        pose.line((-0.28, -0.18), (0.0, -0.08), (0.22, -0.2)),
        pose.line((-0.2, -0.3), (-0.08, -0.26), (0.02, -0.34)),
    ]
    sheet.ink(turns, 1.5)
    ribs = [
        pose.at(points((x, y), (x + 0.03, y + 0.08)))
        for x in np.arange(-0.26, 0.28, 0.1)
        for y in (-0.12, 0.12)
    ]
    sheet.ticks(ribs, 1.2, press=0.5, within=[shell])


def turbo_snail(sheet: Sheet, pose: Pose) -> None:
    """A snail with a turban shell."""
    foot = pose.curve((0.5, 0.26), (0.3, 0.16), (-0.34, 0.18), (-0.46, 0.28), (0.0, 0.3))
    sheet.figure([foot], pigment("sepia"), 0.7, outline=1.2)
    sheet.ink([pose.line((0.42, 0.2), (0.5, 0.12), (0.58, 0.1))], 1.3)
    _whorl(sheet, pose, pigment("lime"))


def hermit_crab(sheet: Sheet, pose: Pose) -> None:
    """A crab in a borrowed shell."""
    legs = [pose.line((0.1, 0.1), (0.3 + 0.1 * k, 0.04), (0.4 + 0.1 * k, 0.3)) for k in range(3)]
    sheet.ink(legs, 4.2)
    sheet.ink(legs, 2.2, colour=pigment("coral"), press=1)
    claw = pose.curve((0.3, 0.12), (0.5, 0.02), (0.64, 0.14), (0.5, 0.22))
    sheet.figure([claw], pigment("coral"), 0.9, outline=1.2)
    _whorl(
        sheet,
        Pose(pose.x - 0.1 * pose.facing * pose.length, pose.y, pose.length, pose.facing),
        pigment("sand"),
    )
    for rise in (0.0, 0.06):
        eye(sheet, pose, 0.36 + rise, -0.02 - rise, 0.03)
