"""Plain pieces of equipment, of no make: what hangs in, over and beside a tank."""

from __future__ import annotations

import numpy as np

from .rocks import SURFACE, TANK
from .sheet import Sheet, mixed, pigment
from .strokes import (
    Points,
    blob,
    box,
    dot,
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

LEFT, TOP, RIGHT, BOTTOM = TANK
DARK = mixed(pigment("slate"), pigment("ink"), 0.3)
LEDGE = 704.0


def inked(
    sheet: Sheet,
    shape: Points,
    colour: str,
    strength: float = 0.8,
    *,
    line: float = 1.8,
    name: object = 0,
) -> None:
    """A plain part: tinted, with a hand-drawn outline."""
    rng = seeded("part", name, float(shape[0, 0]))
    sheet.gouache([shape])
    sheet.wash([shape], pigment(colour), strength)
    sheet.ink([shaky(shape, rng, amount=0.7, closed=True)], line, closed=True)


def overflow_box(sheet: Sheet) -> None:
    """The dark box with a comb where water leaves the tank."""
    left, top, right = RIGHT - 74, SURFACE - 14, RIGHT - 6
    body = box(left, top, right, BOTTOM - 46)
    sheet.gouache([body])
    sheet.wash([body], DARK, 0.75, grade=(0.75, 1.1))
    teeth = [box(x, top + 3, x + 4.5, top + 30) for x in np.arange(left + 6, right - 5, 9.4)]
    sheet.gouache(teeth, mixed(pigment("aqua"), pigment("paper"), 0.5), 0.8)
    sheet.ink([shaky(body, seeded("overflow"), amount=0.7, closed=True)], 1.8, closed=True)
    sheet.ticks([points((left + 12, top + 60), (left + 12, BOTTOM - 130))], 1.2, press=0.35)


def return_nozzle(sheet: Sheet) -> None:
    """The pipe that brings water back over the rim."""
    knots = points(
        (936, 236),
        (956, 216),
        (960, 184),
        (960, 156),
        (966, 142),
        (982, 136),
        (1060, 136),
        (1080, 142),
        (1087, 160),
        (1088, 190),
        (1088, 460),
        (1088, 725),
        (1088, 748),
        (1082, 768),
        (1068, 779),
        (1050, 782),
    )
    pipe = resampled(spline(knots), 7)
    sheet.figure([ribbon(pipe, 17, 17)], pigment("grey"), 0.5, outline=1.6)
    sheet.gouache([ribbon(pipe - (2, 2), 4, 4)], opacity=0.55, soft=1)
    mouth = points((946, 222), (956, 236), (922, 262), (906, 244))
    inked(sheet, mouth, "slate", 0.75, name="mouth")
    for x, y in ((960, 172), (1088, 226)):
        inked(sheet, rounded_box(x - 12, y - 7, x + 12, y + 7, 3), "grey", 0.8, name="clip")


def in_tank_pump(sheet: Sheet) -> None:
    """A round circulation pump on the left glass."""
    x, y = LEFT + 46, 330.0
    cord = spline(
        points((LEFT + 24, y - 16), (LEFT + 10, y - 70), (LEFT + 8, 190), (LEFT - 12, 150))
    )
    sheet.ink([cord], 2.6, press=0.7)
    inked(sheet, rounded_box(LEFT + 4, y - 20, LEFT + 24, y + 20, 5), "slate", 0.9, name="magnet")
    inked(sheet, ellipse(x, y, 27, 31), "slate", 0.85, name="cage")
    slots = [
        points((x + 8 * np.cos(a), y + 9 * np.sin(a)), (x + 23 * np.cos(a), y + 27 * np.sin(a)))
        for a in np.linspace(0, 2 * np.pi, 18, endpoint=False)
    ]
    sheet.ticks(slots, 2.2, colour=pigment("bone"), press=0.6)
    inked(sheet, ellipse(x, y, 8, 9), "grey", 0.6, line=1.3, name="hub")


def pump_stream(sheet: Sheet) -> None:
    """The current that the round pump makes."""
    x, y = LEFT + 46, 330.0
    for rise in (-16, 0, 16):
        stream = spline(points((x + 38, y + rise), (x + 62, y + rise - 4), (x + 92, y + rise + 3)))
        sheet.ink([stream], 1.6, colour=pigment("paper"), press=0.6)


def heater(sheet: Sheet) -> None:
    """A glass tube with a coil, upright at the right."""
    x, y = 950.0, 300.0
    cord = spline(points((x, y), (x + 10, y - 60), (x + 6, 210), (x + 12, 150)))
    sheet.ink([cord], 2.0, press=0.6)
    inked(sheet, rounded_box(x - 9, y, x + 9, y + 24, 4), "slate", 0.9, line=1.4, name="cap")
    tube = rounded_box(x - 8, y + 24, x + 8, y + 180, 8)
    sheet.figure([tube], pigment("bone"), 0.5, outline=1.2, body=0.75)
    coil = [points((x - 4, h), (x + 4, h + 4)) for h in y + np.arange(44, 168, 7.0)]
    sheet.ticks(coil, 1.5, colour=pigment("rust"), press=0.8)
    sheet.gouache([box(x - 5, y + 30, x - 3, y + 172)], opacity=0.7)


def thermometer(sheet: Sheet) -> None:
    """A stick thermometer on the left glass."""
    x = LEFT + 22
    sheet.figure([rounded_box(x - 6, 398, x + 6, 492, 6)], pigment("paper"), 0.5, outline=1.2)
    sheet.ticks([points((x, 432), (x, 478))], 2.6, colour=pigment("rust"), press=0.95)
    sheet.gouache([ellipse(x, 481, 3.6, 3.6)], pigment("rust"), 0.95)
    sheet.ticks([points((x + 2, y), (x + 5, y)) for y in np.arange(408, 474, 7.0)], 0.8)


def light_fixture(sheet: Sheet, *, lit: bool) -> None:
    """A flat light on two wires above the tank, with its shine when lit."""
    if lit:
        shine = points((372, 92), (828, 92), (930, 168), (270, 168))
        sheet.gouache([shine], pigment("lemon"), 0.22, soft=8)
    wires = [points((420, 18), (416, 66)), points((780, 18), (784, 66))]
    sheet.ink([shaky(w, seeded("wire"), amount=0.5) for w in wires], 1.6)
    inked(sheet, rounded_box(352, 62, 848, 88, 8), "grey", 0.75, line=2.2, name="light")
    sheet.ticks([points((x, 67), (x, 76)) for x in np.arange(560, 646, 9.0)], 1.4, press=0.5)
    strip = rounded_box(372, 84, 828, 93, 4)
    inked(sheet, strip, "lemon" if lit else "slate", 0.6, line=1.4, name="strip")


def cold_bottle(sheet: Sheet) -> None:
    """A bottle of ice that floats in the water."""
    tilt = np.array([[0.97, 0.22], [-0.22, 0.97]])
    middle = np.array([520.0, SURFACE + 12])
    body = rounded_box(-58, -24, 46, 24, 12) @ tilt + middle
    neck = points((46, -16), (66, -9), (78, -9), (78, 9), (66, 9), (46, 16)) @ tilt + middle
    sheet.figure([body, neck], pigment("aqua"), 0.45, outline=1.8, body=0.9)
    rng = seeded("ice")
    lumps = [
        blob(x, y, 17, 11, rng, n=6, lumps=0.25) @ tilt + middle
        for x, y in ((-36, -6), (-10, 8), (14, -6), (-22, 12), (30, 7), (-2, -11))
    ]
    sheet.figure(lumps, pigment("milk"), 0.6, outline=0.8, press=0.5)
    cap = box(78, -11, 90, 11) @ tilt + middle
    inked(sheet, cap, "rust", 0.8, line=1.4, name="cap")
    drops = [dot(rng.uniform((-54, -20), (42, 20)) @ tilt + middle, 1.6, 2) for _ in range(14)]
    sheet.gouache(drops, opacity=0.9)


def rim_fan(sheet: Sheet) -> None:
    """A small clip-on fan that blows over the surface."""
    x, y = 226.0, 104.0
    sheet.ink([spline(points((x - 24, y + 26), (x - 40, y + 50), (x - 44, 170)))], 5.0)
    inked(sheet, box(x - 60, 156, x - 34, 184), "slate", 0.8, name="clamp")
    sheet.figure([ellipse(x, y, 38, 42)], pigment("bone"), 0.5, outline=2.2, body=0.9)
    blades = [spline(points((0, 0), (10, -24), (26, -20), (22, -4)), closed=True) for _ in range(3)]
    for k, blade in enumerate(blades):
        turn = 2.1 * k + 0.3
        spin = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        sheet.figure([moved(blade @ spin, x, y)], pigment("teal"), 0.7, outline=1.1)
    rings = [ellipse(x, y, r, r * 1.1) for r in (14, 24, 33)]
    sheet.ink(rings, 1.0, closed=True, press=0.55)
    inked(sheet, ellipse(x, y, 7, 7), "slate", 0.8, line=1.3, name="fan hub")
    for rise in (0, 14, 28):
        breeze = spline(
            points(
                (x + 50, y + rise),
                (x + 84, y + 8 + rise),
                (x + 120, y + 4 + rise),
                (x + 150, y + 14 + rise),
            )
        )
        sheet.ink([breeze], 1.8, colour=pigment("sea"), press=0.6)


def candles(sheet: Sheet) -> list[tuple[float, float]]:
    """Candles on the ledge in front of the glass; gives the places of their flames."""
    flames = []
    for x, high in ((300.0, 62.0), (344.0, 44.0), (884.0, 54.0)):
        foot = LEDGE + 6
        inked(sheet, ellipse(x, foot, 27, 8), "gold", 0.7, line=1.5, name="dish")
        inked(sheet, rounded_box(x - 11, foot - high, x + 11, foot, 4), "milk", 0.9, name="wax")
        drip = spline(
            points((x - 10, foot - high + 6), (x - 7, foot - high + 24), (x - 4, foot - high + 8))
        )
        sheet.ink([drip], 1.2, press=0.5)
        sheet.ink([points((x, foot - high), (x + 1, foot - high - 9))], 2.2)
        flame = spline(points((0, 2), (-6, -7), (0, -25), (6, -7)), closed=True)
        sheet.figure([moved(flame, x + 1, foot - high - 8)], pigment("gold"), 0.9, outline=0.9)
        sheet.gouache([moved(flame * 0.5, x + 1, foot - high - 8)], pigment("paper"), 0.9)
        flames.append((x, foot - high - 18))
    return flames


def torch(sheet: Sheet) -> None:
    """A torch that lies on the ledge and shines to the right."""
    y = LEDGE - 4
    inked(sheet, rounded_box(470, y - 9, 556, y + 9, 5), "slate", 0.9, name="grip")
    inked(
        sheet,
        points((556, y - 10), (582, y - 17), (582, y + 17), (556, y + 10)),
        "rust",
        0.8,
        name="head",
    )
    inked(sheet, ellipse(583, y, 5, 17), "lemon", 0.7, line=1.4, name="lens")
    sheet.ticks(
        [points((x, y - 6), (x, y + 6)) for x in np.arange(482, 530, 8.0)],
        1.4,
        colour=pigment("bone"),
        press=0.5,
    )


def level_and_tape(sheet: Sheet) -> None:
    """A spirit level on the rim-to-rim line and a tape measure on the ledge."""
    y = LEDGE - 12
    inked(sheet, box(430, y - 12, 690, y + 12), "rust", 0.75, line=2.0, name="level")
    inked(sheet, rounded_box(534, y - 7, 586, y + 7, 6), "lime", 0.6, line=1.3, name="vial")
    sheet.gouache([ellipse(561, y - 1, 9, 4.5)], opacity=0.9)
    sheet.ticks([points((552, y - 7), (552, y + 7)), points((570, y - 7), (570, y + 7))], 1.0)
    inked(sheet, rounded_box(840, y - 24, 892, y + 14, 10), "gold", 0.8, name="tape")
    inked(sheet, ellipse(866, y - 5, 12, 12), "bone", 0.6, line=1.3, name="tape hub")
    inked(sheet, box(892, y + 5, 968, y + 14), "lemon", 0.6, line=1.2, name="blade")
    sheet.ticks([points((x, y + 6), (x, y + 10)) for x in np.arange(898, 966, 6.0)], 0.9)
