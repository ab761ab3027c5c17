"""A plain return pump, new or worn."""

from __future__ import annotations

import numpy as np

from .gear import inked
from .sheet import Sheet, pigment
from .strokes import (
    Points,
    box,
    ellipse,
    lump,
    moved,
    points,
    rounded_box,
    seeded,
    spline,
)


def draw_pump(sheet: Sheet, x: float, y: float, zoom: float, *, worn: float) -> None:
    """Draw a plain pump; worn 0 is new, 1 is crusted with lime and algae."""

    def put(shape: Points) -> Points:
        return moved(shape * zoom, x, y)

    feet = [put(rounded_box(f - 14, 66, f + 14, 86, 5)) for f in (-70, 62)]
    sheet.figure(feet, pigment("ink"), 0.8, outline=1.8)
    body = put(rounded_box(-96, -62, 84, 70, 24))
    inked(sheet, body, "slate", 0.85, line=2.4, name="body")
    fins = [put(points((f, -46), (f, 54))) for f in np.arange(-76, 10, 16.0)]
    sheet.ticks(fins, 3.4 * zoom**0.5, press=0.6)
    sheet.gouache([put(rounded_box(-84, -54, 70, -46, 4))], opacity=0.25, soft=2)
    inked(sheet, put(ellipse(66, 6, 62, 62)), "grey", 0.8, line=2.4, name="volute")
    inked(sheet, put(ellipse(70, 6, 36, 36)), "slate", 0.9, line=1.6, name="inlet")
    vanes = [
        put(
            points(
                (70 + 8 * np.cos(a), 6 + 8 * np.sin(a)),
                (70 + 32 * np.cos(a + 0.4), 6 + 32 * np.sin(a + 0.4)),
            )
        )
        for a in np.linspace(0, 2 * np.pi, 9)[:-1]
    ]
    sheet.ticks(vanes, 2.6 * zoom**0.5, colour=pigment("bone"), press=0.75)
    inked(sheet, put(rounded_box(48, -112, 88, -50, 6)), "grey", 0.8, name="outlet")
    inked(sheet, put(rounded_box(42, -118, 94, -100, 5)), "slate", 0.7, name="thread")
    if worn > 0:
        _crusted(sheet, x, y, zoom, worn)


def _crusted(sheet: Sheet, x: float, y: float, zoom: float, worn: float) -> None:
    rng = seeded("crust")
    stencil = [
        moved(s * zoom, x, y)
        for s in (rounded_box(-96, -62, 84, 70, 24), ellipse(66, 6, 62, 62), box(46, -114, 90, -50))
    ]
    sheet.wash(stencil, pigment("brown"), 0.55 * worn, bloom=0.9, edge=0)
    for colour, n in (("kelp", 8), ("mauve", 9)):
        spots = moved(rng.uniform((-90, -100), (120, 76), (n, 2)) * zoom, x, y)
        blots = [lump(spot, zoom * rng.uniform(6, 20, 2), rng, lumps=0.35) for spot in spots]
        sheet.wash(blots, pigment(colour), 0.6 * worn, soft=5, within=stencil, edge=0)
    spots = moved(rng.uniform((-90, -60), (120, 70), (120, 2)) * zoom, x, y)
    sizes = zoom * rng.gamma(2.0, 1.3, (120, 2))
    lime = [lump(at, s + 0.8, rng, n=7) for at, s in zip(spots, sizes, strict=True)]
    sheet.gouache(lime, pigment("bone"), 0.85 * worn, within=stencil)
    sheet.ticks([shape[3:14] for shape in lime[::2]], 0.8, press=0.5, within=stencil)
    worms = spots[:6]
    tubes = [
        spline(np.stack([w, moved(w, 9, -8), moved(w, 4, -18), moved(w, 16, -24)])) for w in worms
    ]
    sheet.ink(tubes, 5.0)
    sheet.ink(tubes, 3.0, colour=pigment("bone"), press=1.0)
