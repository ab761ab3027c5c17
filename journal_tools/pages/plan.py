"""A drawn plan of the system: vessels to scale, water lines, the water's way, who sits where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from journal_tools.metrics import Result
from journal_tools.metrics.gear import in_use
from journal_tools.names import name_key
from journal_tools.pages.checks.record import said
from journal_tools.pages.site import Site
from journal_tools.system import KINDS, Equipment, Section, Vessel, vessel_in_role

_WIDTH = 400.0
_LEFT, _RIGHT, _TOP = 56.0, 66.0, 48.0
_GAP = 46.0  # between the display's bottom and the sump's upper edge
_DOT_R, _LEAST_GAP = 8.0, 20.0
_LETTER, _NAMES = 6.2, 28.0
_USUAL_FREEBOARD_CM = 4.0
_NOT_DRAWN = frozenset({"vessel", "stand", "meter", "controller", "other", "battery backup"})


@dataclass(frozen=True)
class Plan:
    """The drawing with the words that stand for it.

    Attributes:
        svg: The drawing.
        words: What it shows, for readers who do not see it.
        legend: Number and name of every piece in it.
    """

    svg: str
    words: str
    legend: Sequence[tuple[int, str, str]]


@dataclass(frozen=True)
class _Box:
    """A vessel on paper: left, top, width and height of its inside, and the height of its water."""

    vessel: Vessel
    x: float
    y: float
    width: float
    height: float
    water: float

    @property
    def bottom(self) -> float:
        return self.y + self.height

    @property
    def water_y(self) -> float:
        return self.bottom - self.water


def system_plan(site: Site) -> Plan | None:
    """Give the plan of the system, or None where the display's measures are not told."""
    vessels = site.journal.profile.vessels
    display, sump = (vessel_in_role(vessels, role) for role in ("display", "sump"))
    if display is None or not _across_cm(display) or display.water_height is None:
        return None
    if sump is not None and (not _across_cm(sump) or sump.water_height is None):
        sump = None
    boxes = _boxes(display, sump)
    height = boxes[-1].bottom + 50
    flow = next(iter(site.shown.of("return_flow")), None)
    dots = list(_dots(site, boxes))
    parts = [
        *(part for box in boxes for part in _vessel(site, box)),
        *(_pipes(boxes[0], boxes[1], flow, _lift(site), dots) if len(boxes) > 1 else ()),
        *(part for dot in dots for part in dot.drawn),
    ]
    words = _words(boxes, flow, dots)
    svg = (
        f'<svg class="jt-plan" viewBox="0 0 {_WIDTH:g} {height:.0f}" role="img" '
        f'aria-label="{escape(words)}">{"".join(parts)}</svg>'
    )
    return Plan(svg, words, [(d.number, d.piece.name, _facts(d.piece)) for d in dots])


def _facts(piece: Equipment) -> str:
    """Give what the legend says of a piece: its kind where untold, and what it does at most."""
    light, skimming = piece.light, piece.skimming
    told = [
        _kind_if_untold(piece),
        piece.rated_flow.said if piece.rated_flow else "",
        f"air {skimming.air.said}" if skimming and skimming.air else "",
        piece.power.said if piece.power and piece.kind in ("heater", "light", "chiller") else "",
        f"{light.height.said} above the water" if light and light.height else "",
        piece.reservoir.said if piece.reservoir else "",
    ]
    return ", ".join(word for word in told if word)


def _kind_if_untold(piece: Equipment) -> str:
    """Give the kind of a piece whose name says nothing of it."""
    words = set(piece.name.casefold().split())
    return "" if words & set(piece.kind.split()) else piece.kind


def _across_cm(vessel: Vessel) -> float:
    """Give the width of a vessel as seen from the front, 0 where only litres are known."""
    for measure in (vessel.length, vessel.diameter):
        if measure is not None:
            return measure.value
    if vessel.side_length is not None:
        return 2 * vessel.side_length.value
    return 0.0


def _inside_height_cm(vessel: Vessel) -> float:
    assert vessel.water_height is not None
    water = vessel.water_height.value
    told = vessel.height.value if vessel.height else 0.0
    return max(told, water + (0.0 if told else _USUAL_FREEBOARD_CM))


def _boxes(display: Vessel, sump: Vessel | None) -> list[_Box]:
    """Place the vessels on paper, both at one scale, the sump below the display."""
    there = [vessel for vessel in (display, sump) if vessel is not None]
    scale = (_WIDTH - _LEFT - _RIGHT) / max(_across_cm(vessel) for vessel in there)
    boxes: list[_Box] = []
    y = _TOP
    for vessel in there:
        width, height = _across_cm(vessel) * scale, _inside_height_cm(vessel) * scale
        height = min(max(height, 50.0), 360.0)
        assert vessel.water_height is not None
        water = height * vessel.water_height.value / _inside_height_cm(vessel)
        boxes.append(_Box(vessel, _LEFT, y, width, height, water))
        y += height + _GAP
    return boxes


def _text(x: float, y: float, text: str, kind: str = "", anchor: str = "start") -> str:
    css = f"jt-plan__text{f' jt-plan__text--{kind}' if kind else ''}"
    return (
        f'<text class="{css}" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(text)}</text>'
    )


def _vessel(site: Site, box: _Box) -> Iterator[str]:
    x, right = box.x, box.x + box.width
    yield (
        f'<path class="jt-plan__water" d="M{x:.1f} {box.water_y:.1f}H{right:.1f}V{box.bottom:.1f}'
        f'H{x:.1f}Z"/>'
    )
    yield (
        f'<path class="jt-plan__wall" d="M{x:.1f} {box.y:.1f}V{box.bottom:.1f}H{right:.1f}'
        f'V{box.y:.1f}"/>'
    )
    yield f'<path class="jt-plan__line" d="M{x:.1f} {box.water_y:.1f}H{right:.1f}"/>'
    litres = next((r for r in site.shown.of("gross_volume") if r.subject == box.vessel.name), None)
    volume = f", {said(litres)}" if litres else ""
    words = f"{_fitted(box.vessel.name, box.width - 100)}{volume}"
    if box.y == _TOP:
        yield _text(x, box.y - 7, words)
    else:
        yield _text(x, box.bottom + (_NAMES if box.vessel.sections else 0) + 15, words)
    assert box.vessel.water_height is not None
    yield from _measure(x - 14, box.water_y, box.bottom, box.vessel.water_height.said)
    if box.vessel.sections:
        yield from _sections(box, box.vessel.sections)


def _fitted(text: str, width: float) -> str:
    """Shorten a text to what fits a width on paper."""
    most = max(4, int(width / _LETTER))
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _measure(x: float, top: float, bottom: float, words: str) -> Iterator[str]:
    """Draw a measure line with its length beside it, as a carpenter would."""
    ticks = "".join(f"M{x - 3:.1f} {y:.1f}h6" for y in (top, bottom))
    yield f'<path class="jt-plan__measure" d="M{x:.1f} {top:.1f}V{bottom:.1f}{ticks}"/>'
    middle = (top + bottom) / 2
    yield (
        f'<text class="jt-plan__text jt-plan__text--quiet" text-anchor="middle" '
        f'transform="translate({x - 7:.1f} {middle:.1f}) rotate(-90)">{escape(words)}</text>'
    )


def _section_edges(box: _Box, sections: Sequence[Section]) -> list[tuple[float, float]]:
    """Give left and right of each section; a last wall is not drawn at the vessel's own side."""
    scale = box.width / _across_cm(box.vessel)
    edges, x = [], box.x
    for section in sections:
        right = min(box.x + box.width, x + section.length.value * scale)
        edges.append((x, right))
        x = right
    return edges


def _sections(box: _Box, sections: Sequence[Section]) -> Iterator[str]:
    edges = _section_edges(box, sections)
    for place, (section, (left, right)) in enumerate(zip(sections, edges, strict=True)):
        if right < box.x + box.width - 8:
            wall = f"M{right:.1f} {box.bottom:.1f}V{box.y + 14:.1f}"
            yield f'<path class="jt-plan__wall" d="{wall}"/>'
        low = 13 + (13 if place % 2 else 0)  # in two rows, or the names would run together
        name = _fitted(section.name, 2 * (right - left))
        yield _text((left + right) / 2, box.bottom + low, name, "quiet", "middle")


def _lift(site: Site) -> str:
    """Give the height that the return pump lifts the water, as the profile says it."""
    lines = (pump.plumbing for pump in in_use(site.tables, "return pump"))
    return next((line.static_head.said for line in lines if line is not None), "")


def _pipes(
    display: _Box, sump: _Box, flow: Result | None, lift: str, dots: Sequence[_Dot]
) -> Iterator[str]:
    """Draw the drain on the left and the return on the right, with the litres and the height."""
    drain_x = sump.x + 16
    return_x = max(display.x + display.width, sump.x + sump.width) + 14
    pump = next((d for d in dots if d.piece.kind == "return pump" and d.y > sump.y), None)
    pump_x, pump_y = (pump.x, pump.y) if pump else (sump.x + sump.width - 14, sump.bottom - 14)
    yield _arrow([(drain_x, display.water_y + 6), (drain_x, sump.water_y - 8)])
    over = sump.y - 8
    yield _arrow([
        (pump_x, pump_y), (pump_x, over), (return_x, over), (return_x, display.y - 4),
        (display.x + display.width - 16, display.y - 4),
        (display.x + display.width - 16, display.water_y + 6),
    ])  # fmt: skip
    up = f", {lift} up" if lift else ""
    if flow is not None:
        yield _text(drain_x + 8, (display.bottom + sump.y) / 2, said(flow))
    if flow is not None or lift:
        words = f"{said(flow)}{up}" if flow is not None else f"{lift} up"
        yield (
            f'<text class="jt-plan__text" text-anchor="middle" transform="translate('
            f'{return_x + 14:.1f} {(display.y + over) / 2:.1f}) rotate(-90)">'
            f"{escape(words)}</text>"
        )


def _arrow(points: Sequence[tuple[float, float]]) -> str:
    path = "".join(f"{'L' if i else 'M'}{x:.1f} {y:.1f}" for i, (x, y) in enumerate(points))
    (x0, y0), (x1, y1) = points[-2:]
    head = f"M{x1 - 4:.1f} {y1 - 7:.1f}L{x1:.1f} {y1:.1f}L{x1 + 4:.1f} {y1 - 7:.1f}"
    if y1 < y0:
        head = f"M{x1 - 4:.1f} {y1 + 7:.1f}L{x1:.1f} {y1:.1f}L{x1 + 4:.1f} {y1 + 7:.1f}"
    return f'<path class="jt-plan__pipe" d="{path}{head if x0 == x1 else ""}"/>'


_Strip = tuple[float, float, float]
"""Left, right and height of a part of the plan in which pieces are drawn side by side."""


@dataclass(frozen=True)
class _Dot:
    """A piece of equipment in the plan."""

    number: int
    piece: Equipment
    x: float
    y: float

    @property
    def drawn(self) -> Iterator[str]:
        yield f'<circle class="jt-plan__dot" cx="{self.x:.1f}" cy="{self.y:.1f}" r="{_DOT_R:g}"/>'
        yield _text(self.x, self.y + 4, str(self.number), "dot", "middle")


def _dots(site: Site, boxes: Sequence[_Box]) -> Iterator[_Dot]:
    """Place every piece in service: by its stated place, else where its kind usually sits."""
    pieces = [p for p in in_use(site.tables, *KINDS) if p.kind not in _NOT_DRAWN]
    spots: dict[_Strip, list[int]] = {}
    for place, piece in enumerate(pieces):
        spots.setdefault(_spot(piece, boxes), []).append(place)
    # The return pump stands last in its strip: its pipe rises there without crossing the drain.
    for there in spots.values():
        there.sort(key=lambda place: pieces[place].kind == "return pump")
    found = [dot for strip, there in spots.items() for dot in _in_strip(strip, there, pieces)]
    yield from sorted(found, key=lambda dot: dot.number)


def _in_strip(strip: _Strip, there: Sequence[int], pieces: Sequence[Equipment]) -> Iterator[_Dot]:
    """Spread pieces evenly over a strip, in as many rows as they need."""
    left, right, y = strip
    room = max(1, int((right - left) // _LEAST_GAP))
    rows = [there[start : start + room] for start in range(0, len(there), room)]
    for row, places in enumerate(rows):
        step = (right - left) / len(places)
        for column, place in enumerate(places):
            x = left + step * (column + 0.5)
            yield _Dot(place + 1, pieces[place], x, y - row * _LEAST_GAP)


def _spot(piece: Equipment, boxes: Sequence[_Box]) -> _Strip:
    """Give left, right and height of the strip of the plan in which a piece is drawn."""
    display = boxes[0]
    for box in boxes:
        for section, (left, right) in zip(
            box.vessel.sections, _section_edges(box, box.vessel.sections), strict=True
        ):
            if piece.place and name_key(piece.place) == name_key(section.name):
                return left, right, box.bottom - 14
        if piece.place and name_key(piece.place) == name_key(box.vessel.name):
            return box.x, box.x + box.width, box.bottom - box.water / 2
    if piece.kind == "light":
        return display.x, display.x + display.width, _TOP - 30
    if piece.kind == "circulation pump" or len(boxes) == 1:
        return display.x, display.x + display.width, display.bottom - display.water / 2
    sump = boxes[1]
    edges = _section_edges(sump, sump.vessel.sections) or [(sump.x, sump.x + sump.width)]
    left, right = edges[-1] if piece.kind == "return pump" else edges[0]
    return left, right, sump.bottom - 14


def _words(boxes: Sequence[_Box], flow: Result | None, dots: Sequence[_Dot]) -> str:
    names = " above the ".join(box.vessel.name for box in boxes)
    words = f"Plan of the system, to scale: the {names}."
    if flow is not None:
        words += f" The return pump lifts {said(flow)}."
    if dots:
        words += " In it: " + ", ".join(dot.piece.name for dot in dots) + "."
    heights = [
        f"{box.vessel.water_height.said} of water in the {box.vessel.name}"
        for box in boxes
        if box.vessel.water_height is not None
    ]
    return f"{words} It holds {' and '.join(heights)}."
