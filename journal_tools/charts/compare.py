"""A few things side by side, each with its range: candidates, places, years."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt
import pandas as pd

from journal_tools.charts.frame import unchecked
from journal_tools.charts.said import figure, in_order, interval, limits, number, verdict
from journal_tools.charts.scale import ValueScale, value_scale
from journal_tools.charts.sheet import (
    Path,
    Word,
    box,
    filled,
    fitted,
    sheet,
    sheet_width,
    stroked,
    word_px,
    written,
)
from journal_tools.charts.target import Band
from journal_tools.charts.theme import FONT_PX, SMALL_PX, TITLE_PX, WIDE, Role, Shape
from journal_tools.words import counted, number_text

_MOST_ROWS = 12
_BAR_PX = 10
_END_PX = 4
_AXIS_PX = 22


@dataclass(frozen=True, slots=True)
class Bar:
    """One thing of several.

    Attributes:
        label: Its name.
        value: Its value, None if unknown.
        low: Lower end of its range, None if unknown.
        high: Upper end, None if unknown.
        note: Something to add.
    """

    label: str
    value: float | None
    low: float | None
    high: float | None
    note: str


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the parts stand, in px.

    Attributes:
        top: Top of the first row.
        left: Left end of the bars.
        right: Right end of the bars.
        row_px: Height of a row.
        bar_y: Middle of a bar below the top of its row.
        beside: Whether labels stand beside the bars and not over them.
    """

    top: int
    left: float
    right: float
    row_px: int
    bar_y: int
    beside: bool


@dataclass(frozen=True, slots=True)
class Said:
    """How values are written, and the band they are held against."""

    unit: str
    decimals: int
    band: Band

    def side(self, bar: Bar) -> str:
        """Give "low" or "high" for a value outside the band."""
        return "" if bar.value is None else verdict(bar.value, *self.band)

    def range(self, bar: Bar, *, unit: bool) -> str:
        """Give the range of a bar in words, empty without one."""
        if bar.low is None or bar.high is None or bar.low == bar.high:
            return ""
        return interval(bar.low, bar.high, self.decimals, self.unit if unit else "")


def bars_with_range(
    rows: pd.DataFrame,
    *,
    title: str,
    unit: str,
    decimals: int,
    band: Band | None = None,
    shape: Shape = WIDE,
) -> alt.LayerChart:
    """Give a bar for each of a few things, with the range of its value.

    Args:
        rows: Columns label, value, low, high, note; all but the label may be missing.
        title: What is compared.
        unit: Unit of all values, may be empty.
        decimals: Decimals in which values are written.
        band: Low and high end of a target band, None where open.
        shape: Proportions.

    Returns:
        The chart, of the first twelve rows; its description is the text alternative.
    """
    ends = tuple(number(end) for end in band or (None, None))
    said = Said(unit, decimals, (ends[0], ends[1]))
    every = _bars(rows)
    bars = every[:_MOST_ROWS]
    layout = _layout(bars, ends != (None, None), shape)
    scale = _scale(bars, said)
    head = f"{title}, {unit}" if unit else title
    foot = layout.top + max(1, len(bars)) * layout.row_px
    with unchecked():
        layers = [
            *_band_layers(layout, scale, said, len(bars)),
            *(_axis_layers(layout, scale, len(bars)) if bars else []),
            *_bar_layers(layout, scale, bars),
            *written("words", [*_heads(head, said, shape), *_texts(layout, bars, said, shape)]),
        ]
        return sheet(
            layers,
            shape,
            foot + _AXIS_PX,
            name="compare",
            title=head,
            description=_described(title, bars, len(every), said),
        )


def _bars(rows: pd.DataFrame) -> list[Bar]:
    """Give the rows with their ranges in order."""
    table = rows.reindex(columns=["label", "value", "low", "high", "note"])
    found = []
    for label, value, low, high, note in table.itertuples(index=False):
        text = note if isinstance(note, str) else ""
        first, last = in_order(low, high)
        found.append(Bar(str(label), number(value), first, last, text))
    return found


def _layout(bars: Sequence[Bar], banded: bool, shape: Shape) -> Layout:
    """Give the places of all parts for a shape."""
    width = sheet_width(shape)
    top = 46 if banded else 28
    noted = any(bar.note for bar in bars)
    if shape.width >= WIDE.width:
        return Layout(top, 210, width - 130, 40 if noted else 34, 17, beside=True)
    return Layout(top, 0, width, 58 if noted else 42, 26, beside=False)


def _scale(bars: Sequence[Bar], said: Said) -> ValueScale:
    """Give the axis: from 0, since the length of a bar is its value."""
    shown = [v for bar in bars for v in (bar.value, bar.low, bar.high) if v is not None]
    edges = [end for end in said.band if end is not None]
    reach = [0.0, *shown, *edges]
    return value_scale([], reach if any(reach) else [0.0, 1.0], said.decimals)


def _x(layout: Layout, scale: ValueScale, value: float) -> float:
    """Give the px of a value."""
    share = (value - scale.low) / (scale.high - scale.low)
    return layout.left + share * (layout.right - layout.left)


def _strips(layout: Layout, count: int) -> list[tuple[float, float]]:
    """Give top and bottom of what stands behind the bars: the plot, or a strip for each bar."""
    if layout.beside:
        return [(layout.top, layout.top + count * layout.row_px)]
    middles = (layout.top + row * layout.row_px + layout.bar_y for row in range(count))
    return [(y - 8, y + 8) for y in middles]


def _band_layers(layout: Layout, scale: ValueScale, said: Said, count: int) -> list[alt.Chart]:
    """Give the band as a soft area behind all bars, a line only where a limit really is."""
    low, high = said.band
    if low is None and high is None:
        return []
    left = layout.left if low is None else _x(layout, scale, low)
    right = layout.right if high is None else _x(layout, scale, high)
    real = [x for x, end in ((left, low), (right, high)) if end is not None]
    strips = _strips(layout, count)
    edges = [[(x, top), (x, bottom)] for x in real for top, bottom in strips]
    return [
        *filled("band", [box(left, top, right, bottom) for top, bottom in strips], "band"),
        *stroked("limits", edges, "band-edge"),
    ]


def _axis_layers(layout: Layout, scale: ValueScale, count: int) -> list[alt.Chart]:
    """Give the line at the foot with its ticks, and the line where bars begin."""
    foot = layout.top + count * layout.row_px
    paths: list[Path] = [[(layout.left, foot), (layout.right, foot)]]
    zero = _x(layout, scale, 0.0)
    zeros = [[(zero, top), (zero, bottom)] for top, bottom in _strips(layout, count)]
    words = []
    last = float("-inf")
    for tick in scale.ticks:
        x, says = _x(layout, scale, tick), number_text(tick, scale.decimals)
        half = word_px(says, SMALL_PX) / 2
        paths.append([(x, foot), (x, foot + 4)])
        x = min(max(x, half), layout.right - half) if not layout.beside else x
        if x - half > last:
            words.append(Word(x, foot + 13, says, "muted", SMALL_PX, "center"))
            last = x + half + 8
    return [
        *stroked("foot", paths, "muted", 0.8),
        *stroked("zero", zeros, "muted", 0.8),
        *written("axis", words),
    ]


def _bar_layers(layout: Layout, scale: ValueScale, bars: Sequence[Bar]) -> list[alt.Chart]:
    """Give bars, and over them their ranges as lines with ends."""
    boxes: list[Path] = []
    ranges: list[Path] = []
    zero = _x(layout, scale, 0.0)
    for row, bar in enumerate(bars):
        y = layout.top + row * layout.row_px + layout.bar_y
        if bar.value is not None:
            x = _x(layout, scale, bar.value)
            boxes.append(box(zero, y - _BAR_PX / 2, x, y + _BAR_PX / 2))
        if bar.low is not None and bar.high is not None and bar.low < bar.high:
            left, right = (_x(layout, scale, end) for end in (bar.low, bar.high))
            ranges.append([(left, y), (right, y)])
            ranges += [[(x, y - _END_PX), (x, y + _END_PX)] for x in (left, right)]
    return [*filled("bars", boxes, "bar", opacity=0.75), *stroked("ranges", ranges, "ink", 1.4)]


def _heads(head: str, said: Said, shape: Shape) -> list[Word]:
    """Give the title and under it the band in words."""
    width = sheet_width(shape)
    words = [Word(0, 9, fitted(head, width, TITLE_PX, bold=True), size_px=TITLE_PX, bold=True)]
    band = limits(*said.band, said.decimals, said.unit)
    if band:
        words.append(Word(0, 30, fitted(f"target {band}", width), "muted"))
    return words


def _texts(layout: Layout, bars: Sequence[Bar], said: Said, shape: Shape) -> list[Word]:
    """Give the words of all rows, or a note."""
    if not bars:
        return [Word(layout.left, layout.top + 16, "nothing to compare yet", "muted")]
    words = []
    for row, bar in enumerate(bars):
        top = layout.top + row * layout.row_px
        words += (
            _beside(layout, bar, said, top, shape)
            if layout.beside
            else _over(bar, said, top, shape)
        )
    return words


def _beside(layout: Layout, bar: Bar, said: Said, top: float, shape: Shape) -> list[Word]:
    """Give the words of a row left and right of its bar."""
    y, width, room = top + layout.bar_y, sheet_width(shape), layout.left - 14
    up = 8 if bar.note else 0
    says, role = _value(bar, said)
    spread = said.range(bar, unit=False)
    lift = 8 if spread else 0
    space = width - layout.right - 12
    return [
        Word(0, y - up, fitted(bar.label, room), "ink"),
        Word(0, y + 8, fitted(bar.note, room, SMALL_PX), "muted", SMALL_PX),
        Word(width, y - lift, fitted(says, space, bold=True), role, align="right", bold=True),
        Word(width, y + 8, fitted(spread, space, SMALL_PX), "muted", SMALL_PX, "right"),
    ]


def _over(bar: Bar, said: Said, top: float, shape: Shape) -> list[Word]:
    """Give the words of a row over and under its bar."""
    width = sheet_width(shape)
    says, role = _value(bar, said)
    says = fitted(says, width * 0.5, bold=True)
    spread = fitted(said.range(bar, unit=False), width * 0.4, SMALL_PX)
    value_px = word_px(says, bold=True)
    label_room = width - value_px - 10 - (word_px(spread, SMALL_PX) + 8 if spread else 0)
    fits = word_px(bar.label) <= label_room or label_room > width * 0.3
    label = fitted(bar.label, label_room if fits else width - value_px - 10)
    words = [
        Word(0, top + 10, label),
        Word(width, top + 10, says, role, FONT_PX, "right", bold=True),
        Word(0, top + 43, fitted(bar.note, width, SMALL_PX), "muted", SMALL_PX),
    ]
    if fits:
        words.append(Word(width - value_px - 8, top + 10, spread, "muted", SMALL_PX, "right"))
    return words


def _value(bar: Bar, said: Said) -> tuple[str, Role]:
    """Give a value in words with its colour: coral outside the band, and said so."""
    if bar.value is None:
        return "no figure", "muted"
    side = said.side(bar)
    says = figure(bar.value, said.decimals)
    return (f"{says}, {side}", "coral") if side else (says, "ink")


def _described(title: str, bars: Sequence[Bar], count: int, said: Said) -> str:
    """Give the text alternative."""
    if not bars:
        return f"{title}: nothing to compare yet."
    band = limits(*said.band, said.decimals, said.unit)
    left_out = count - len(bars)
    more = f" {counted(left_out, 'more row')} not drawn." if left_out else ""
    target = f" The target is {band}." if band else ""
    return f"{title}: {'; '.join(_bar_said(bar, said) for bar in bars)}.{target}{more}"


def _bar_said(bar: Bar, said: Said) -> str:
    """Give one row in words."""
    if bar.value is None:
        text = f"{bar.label} no figure"
    else:
        side = said.side(bar)
        text = f"{bar.label} {figure(bar.value, said.decimals, said.unit)}"
        text += f" ({side})" if side else ""
    spread = said.range(bar, unit=True)
    note = f", {bar.note}" if bar.note else ""
    return f"{text}{f', likely {spread}' if spread else ''}{note}"
