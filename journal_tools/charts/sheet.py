"""A plain sheet in px: text, strokes, dots and fills for figures that hold many small plots.

One mark a kind and not one a plot: the drawing stays small however many plots there are.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt

from journal_tools.charts.frame import encoded, finished, layer
from journal_tools.charts.series import Row
from journal_tools.charts.strip import Side
from journal_tools.charts.theme import FONT_PX, RIGHT, Role, Shape, colour, text_px

Spot = tuple[float, float]
Path = Sequence[Spot]

_LEFT_PX = 8
_PADDING = {"left": _LEFT_PX, "right": RIGHT, "top": 4, "bottom": 4}
# Bold letters and wide ones (emoji, Chinese) against the usual 0.56 em; common practice, no source.
_BOLD = 1.1
_WIDE_EM = 0.8
# Not the no-break spaces between a number and its unit.
_BREAKS = re.compile(r"\s+", re.ASCII)
# Signs that turn the direction of all text after them.
_CONTROLS = re.compile("[\u202a-\u202e\u2066-\u2069]")


@dataclass(frozen=True, slots=True)
class Word:
    """One line of text on the sheet.

    Attributes:
        x: Distance of its anchor from the left in px.
        y: Distance of its middle from the top in px.
        says: The text.
        role: Colour.
        size_px: Font size.
        align: Which part of the text is at `x`.
        bold: Whether it is bold.
    """

    x: float
    y: float
    says: str
    role: Role = "ink"
    size_px: int = FONT_PX
    align: Side = "left"
    bold: bool = False


def sheet_width(shape: Shape) -> int:
    """Give the width of the sheet in px, without its margins.

    Args:
        shape: Proportions.

    Returns:
        Width in px.
    """
    return shape.width - _LEFT_PX - RIGHT


def word_px(text: str, size_px: float = FONT_PX, *, bold: bool = False) -> float:
    """Give the likely width of any text in px, on the generous side.

    Args:
        text: One line.
        size_px: Font size.
        bold: Whether it is bold.

    Returns:
        Width in px.

    >>> word_px("pH") < word_px("pH", bold=True) < word_px("🐠🐠", bold=True)
    True
    """
    wide = sum(unicodedata.east_asian_width(letter) in "WF" for letter in text)
    return (text_px(text, size_px) + wide * _WIDE_EM * size_px) * (_BOLD if bold else 1)


def fitted(text: str, width_px: float, size_px: float = FONT_PX, *, bold: bool = False) -> str:
    """Give a text on one line, cut where it would be too wide.

    Args:
        text: Anything a user wrote.
        width_px: Room for it.
        size_px: Font size.
        bold: Whether it will be bold.

    Returns:
        The text, with an ellipsis if it was cut.

    >>> fitted("return pump in the sump", 80)
    'return pum…'
    """
    line = _CONTROLS.sub("", _BREAKS.sub(" ", text)).strip()
    if word_px(line, size_px, bold=bold) <= width_px:
        return line
    while line and word_px(f"{line}…", size_px, bold=bold) > width_px:
        line = line[:-1]
    return f"{line.rstrip()}…"


def written(name: str, words: Iterable[Word]) -> list[alt.Chart]:
    """Give texts, one layer for each look.

    Args:
        name: Start of the layers' names, unique in the chart.
        words: The texts; empty ones are left out.

    Returns:
        Layers.
    """
    looks: dict[tuple[Side, Role, int, bool], list[Row]] = {}
    for word in words:
        if word.says:
            look = (word.align, word.role, word.size_px, word.bold)
            row = {"x": round(word.x, 1), "y": round(word.y, 1), "says": word.says}
            looks.setdefault(look, []).append(row)
    return [
        _placed(
            layer(f"{name}-{number}", rows).mark_text(
                align=align,
                baseline="middle",
                color=colour(role),
                fontSize=size_px,
                fontWeight="bold" if bold else "normal",
            ),
            alt.Text("says:N"),
        )
        for number, ((align, role, size_px, bold), rows) in enumerate(looks.items())
    ]


def stroked(
    name: str,
    paths: Iterable[Path],
    role: Role,
    width_px: float = 1.0,
    *,
    dash: Sequence[float] = (),
    opacity: float = 1.0,
) -> list[alt.Chart]:
    """Give lines as one path.

    Args:
        name: Unique in the chart.
        paths: Places in px; a path of one place becomes a dot.
        role: Colour.
        width_px: Width of the stroke.
        dash: Lengths of strokes and gaps in px; empty for a whole line.
        opacity: From 0 to 1.

    Returns:
        One layer, none without paths.
    """
    look: dict[str, Any] = {"strokeWidth": width_px, "opacity": opacity, "strokeJoin": "round"}
    if dash:
        look["strokeDash"] = list(dash)
    return _pathed(name, paths, color=colour(role), **look)


def dotted(name: str, spots: Iterable[Spot], role: Role, size_px: float) -> list[alt.Chart]:
    """Give round dots as one path: strokes of no length with round ends.

    Args:
        name: Unique in the chart.
        spots: Their places in px.
        role: Colour.
        size_px: Diameter.

    Returns:
        One layer, none without dots.
    """
    paths = ([spot] for spot in spots)
    return _pathed(name, paths, color=colour(role), strokeCap="round", strokeWidth=size_px)


def filled(
    name: str, outlines: Iterable[Path], role: Role, *, opacity: float = 1.0
) -> list[alt.Chart]:
    """Give areas as one path.

    Args:
        name: Unique in the chart.
        outlines: Corners in px.
        role: Colour.
        opacity: From 0 to 1.

    Returns:
        One layer, none without areas.
    """
    return _pathed(name, outlines, color=colour(role), filled=True, opacity=opacity)


def box(left: float, top: float, right: float, bottom: float) -> Path:
    """Give the corners of a box, all in px.

    >>> box(0, 1, 2, 3)
    [(0, 1), (2, 1), (2, 3), (0, 3)]
    """
    return [(left, top), (right, top), (right, bottom), (left, bottom)]


def ringed(
    name: str, spots: Iterable[Spot], role: Role, *, symbol: str = "circle", size: int = 30
) -> list[alt.Chart]:
    """Give open signs, filled with the colour of the paper.

    Args:
        name: Unique in the chart.
        spots: Their places in px.
        role: Colour of the outline.
        symbol: Vega symbol name or SVG path.
        size: Area in px².

    Returns:
        One layer, none without signs.
    """
    look = {"fill": colour("paper"), "stroke": colour(role), "strokeWidth": 1.3}
    return _signs(name, spots, symbol, size, **look)


def stamped(
    name: str, spots: Iterable[Spot], role: Role, *, symbol: str = "circle", size: int = 46
) -> list[alt.Chart]:
    """Give solid signs.

    Args:
        name: Unique in the chart.
        spots: Their places in px.
        role: Colour.
        symbol: Vega symbol name or SVG path.
        size: Area in px².

    Returns:
        One layer, none without signs.
    """
    return _signs(name, spots, symbol, size, fill=colour(role))


def sheet(
    layers: Sequence[alt.Chart],
    shape: Shape,
    height_px: float,
    *,
    name: str,
    title: str,
    description: str,
) -> alt.LayerChart:
    """Give the layers as one chart of exactly the width of its shape.

    Args:
        layers: From back to front, at least one.
        shape: Proportions.
        height_px: Height without margins.
        name: Start of the chart's own name.
        title: Short name for screen readers.
        description: The text alternative.

    Returns:
        The chart.
    """
    return finished(
        layers,
        [],
        title,
        name=f"{name}-{shape.name}",
        description=description,
        width=sheet_width(shape),
        height=round(height_px),
        padding=_PADDING,
        # Text that is wider on a reader's machine must not make the drawing wider.
        autosize=alt.AutoSizeParams(type="none"),
    )


def _pathed(name: str, paths: Iterable[Path], **look: Any) -> list[alt.Chart]:
    """Give paths as one mark; a row without a place parts them."""
    spots: list[tuple[float | None, float | None]] = []
    for path in filter(None, paths):
        spots += [*((round(x, 1), round(y, 1)) for x, y in path), (None, None)]
    if not spots:
        return []
    rows = [{"n": number, "x": x, "y": y} for number, (x, y) in enumerate(spots)]
    mark = layer(name, rows).mark_line(invalid="break-paths-show-domains", **look)
    # Vega-Lite would sort a line from left to right.
    return [_placed(mark, alt.Order("n:Q"))]


def _signs(
    name: str, spots: Iterable[Spot], symbol: str, size: int, **look: Any
) -> list[alt.Chart]:
    """Give signs of one look."""
    rows = [{"x": round(x, 1), "y": round(y, 1)} for x, y in spots]
    if not rows:
        return []
    mark = layer(name, rows).mark_point(shape=symbol, size=size, filled=True, opacity=1, **look)
    return [_placed(mark)]


def _placed(mark: alt.Chart, *channels: Any) -> alt.Chart:
    """Give a mark at the px of its rows."""
    # A channel without a scale would take a row without a place for the place 0.
    same = alt.Scale(domain=[0, 1], range=[0, 1], nice=False, zero=False)
    x = alt.X("x:Q", scale=same, axis=None)
    return encoded(mark, x, alt.Y("y:Q", scale=same, axis=None), *channels)
