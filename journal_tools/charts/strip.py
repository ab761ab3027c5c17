"""The strip of events under a chart: a sign for each kind, and words for the few that matter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import pandas as pd

from journal_tools.charts.scale import TimeSpan, wall_text, wall_time
from journal_tools.charts.theme import Role, Shape, text_px

Side = Literal["left", "center", "right"]

ROW_PX = 13
LABEL_PX = 15
_MOST_ROWS = 3
_MOST_LETTERS = 24


@dataclass(frozen=True, slots=True)
class Sign:
    """How a kind of event is drawn.

    Attributes:
        words: Name in the legend.
        shape: Vega symbol name or SVG path in a square from -1 to 1.
        role: Colour; never the only difference between two signs.
        rank: Who is named first where room is short, 0 before 1.
    """

    words: str
    shape: str
    role: Role
    rank: int


_DROP = "M0,-1C.25,-.45 .75,0 .75,.4A.75,.65 0 1,1 -.75,.4C-.75,0 -.25,-.45 0,-1Z"
_SALTIRE = "M-1,-.65L-.65,-1L0,-.35L.65,-1L1,-.65L.35,0L1,.65L.65,1L0,.35L-.65,1L-1,.65L-.35,0Z"
_PENNANT = "M-.75,-1L.95,-.45L-.4,.1V1H-.75Z"
_TICK = "M-.18,-1H.18V1H-.18Z"

SIGNS: dict[str, Sign] = {
    "milestone": Sign("milestone", _PENNANT, "kelp", 0),
    "loss": Sign("loss", _SALTIRE, "coral", 1),
    "equipment": Sign("equipment", "square", "ink", 2),
    "livestock": Sign("livestock", "circle", "kelp", 3),
    "dose_change": Sign("dosing changed", "triangle-up", "ink", 4),
    "water_change": Sign("water change", _DROP, "muted", 5),
}


def sign(kind: str) -> Sign:
    """Give how a kind of event is drawn; an unknown kind gets a plain tick under its own name.

    Args:
        kind: Kind as the events table has it.

    Returns:
        The sign.

    >>> sign("water_change").words
    'water change'
    """
    return SIGNS.get(kind) or Sign(kind.replace("_", " "), _TICK, "muted", 6)


@dataclass(frozen=True, slots=True)
class PlacedEvent:
    """One event with its place in the strip.

    Attributes:
        text: Wall time as text.
        kind: Words of its kind.
        label: What happened.
        x_px: Distance from the left of the plot.
        row: Row of the strip, 0 on top.
        caption: Label in words where there is room for it, else empty.
        align: Which side of the caption touches the event.
    """

    text: str
    kind: str
    label: str
    x_px: float
    row: int
    rank: int
    caption: str = ""
    align: Side = "center"


@dataclass(frozen=True, slots=True)
class Strip:
    """All events of a chart, placed.

    Attributes:
        events: In order of time.
        signs: One for each kind present, in order of rank.
    """

    events: list[PlacedEvent]
    signs: list[Sign]

    @property
    def caption_px(self) -> int:
        """Give the height of the line of captions in px."""
        return LABEL_PX if any(event.caption for event in self.events) else 0

    @property
    def height_px(self) -> int:
        """Give the height of the strip in px; 0 without events."""
        rows = 1 + max((event.row for event in self.events), default=-1)
        return self.caption_px + rows * ROW_PX + (6 if rows else 0)


def place_events(events: pd.DataFrame, span: TimeSpan, shape: Shape) -> Strip:
    """Give the events inside a stretch of time with rows and captions that do not overlap.

    Args:
        events: Columns time, kind, label, entry.
        span: What the chart shows.
        shape: Proportions of the chart.

    Returns:
        The strip. On a very busy day the fourth sign and later ones share the last row.
    """
    placed = []
    row_ends = [float("-inf")] * _MOST_ROWS
    for time, kind, label in _inside(events, span):
        x_px = span.position(time, shape.plot_width)
        row = next(
            (i for i, end in enumerate(row_ends) if x_px - end >= ROW_PX - 1), _MOST_ROWS - 1
        )
        row_ends[row] = x_px
        kind_sign = sign(kind)
        placed.append(
            PlacedEvent(wall_text(time), kind_sign.words, label, x_px, row, kind_sign.rank)
        )
    kinds = sorted({sign(kind) for kind in events["kind"]}, key=lambda s: (s.rank, s.words))
    present = {event.kind for event in placed}
    return Strip(_caption(placed, shape), [s for s in kinds if s.words in present])


def _inside(events: pd.DataFrame, span: TimeSpan) -> list[tuple[pd.Timestamp, str, str]]:
    """Give time, kind and label of the events that a chart can show, in order."""
    told = events[events["time"].notna()]
    columns = zip(told["time"], told["kind"], told["label"], strict=True)
    rows = [(wall_time(time), str(kind), str(label)) for time, kind, label in columns]
    return sorted(row for row in rows if span.start <= row[0] <= span.end)


def _caption(placed: Sequence[PlacedEvent], shape: Shape) -> list[PlacedEvent]:
    """Give the events with captions for the weightiest that find room."""
    taken: list[tuple[float, float]] = []
    result = list(placed)
    newest_first = sorted(range(len(placed)), key=lambda i: (placed[i].rank, -placed[i].x_px))
    for index in newest_first:
        event = placed[index]
        if len(taken) == shape.event_labels or not event.label:
            continue
        words = _shortened(event.label)
        left, align = _caption_place(event.x_px, text_px(words), shape.plot_width)
        right = left + text_px(words)
        if all(right + 8 < begin or left > end + 8 for begin, end in taken):
            taken.append((left, right))
            result[index] = replace(event, caption=words, align=align)
    return result


def _shortened(label: str) -> str:
    """Give a label that fits a caption."""
    return label if len(label) <= _MOST_LETTERS else label[: _MOST_LETTERS - 1].rstrip() + "…"


def _caption_place(x_px: float, length_px: float, width_px: float) -> tuple[float, Side]:
    """Give the left end of a caption and its alignment, so that it stays inside the plot."""
    if x_px - length_px / 2 < 0:
        return x_px, "left"
    if x_px + length_px / 2 > width_px:
        return x_px - length_px, "right"
    return x_px - length_px / 2, "center"
