"""The line over a chart: what it shows, and the target band in words with its colour.

Drawn as marks and not as Vega's title, because only marks can share a line.
"""

from __future__ import annotations

from typing import Any

import altair as alt

from journal_tools.charts.frame import Frame, at_x, at_y, encoded, layer
from journal_tools.charts.theme import FONT_PX, TITLE_PX, colour, text_px

_LINE_PX = 18
_BASE_PX = 14
_SWATCH_PX = 16
_SWATCH = "M-1,-.6H1V.6H-1Z"


def header_layers(frame: Frame, title: str, label: str) -> list[alt.Chart]:
    """Give the title, and the band label to its right or, where that is too narrow, under it.

    Args:
        frame: The chart's frame.
        title: What the chart shows.
        label: The target band in words, empty without one.

    Returns:
        Layers over the plot.
    """
    width = frame.shape.plot_width
    beside = text_px(title, TITLE_PX + 1) + text_px(label, FONT_PX) + 2 * _SWATCH_PX < width
    title_px = _BASE_PX if beside or not label else _BASE_PX + _LINE_PX
    head = _words("title", title, colour("ink"), fontSize=TITLE_PX, fontWeight="bold")
    layers = [encoded(head, at_x(0), at_y(-title_px))]
    return layers + (_label_layers(frame, label, beside) if label else [])


def _label_layers(frame: Frame, label: str, beside: bool) -> list[alt.Chart]:
    """Give the band's swatch and words."""
    from_right = text_px(label, FONT_PX)
    before = _SWATCH_PX / 2 + 5
    swatch = layer("swatch", [{}]).mark_point(
        shape=_SWATCH,
        size=_SWATCH_PX**2,
        filled=True,
        fill=colour("band"),
        stroke=colour("band-edge"),
        strokeWidth=1,
        opacity=1,
        clip=False,
    )
    text = _words("label", label, colour("muted"), fontSize=FONT_PX)
    places = (from_right + before, from_right) if beside else (_SWATCH_PX / 2, _SWATCH_PX + 5)
    return [
        encoded(each, _x(frame, px, beside), at_y(-_BASE_PX))
        for each, px in zip((swatch, text), places, strict=True)
    ]


def _words(name: str, text: str, ink: str, **look: Any) -> alt.Chart:
    """Give one line of text."""
    words = layer(name, [{}])
    # Said aloud, since Vega-Lite clips all marks of a view that can be zoomed.
    look["clip"] = False
    return encoded(words.mark_text(text=text, align="left", baseline="middle", color=ink, **look))


def _x(frame: Frame, px: float, from_right: bool) -> alt.XValue:
    """Give a place in the header, which in an interactive chart follows the real width."""
    if not from_right:
        return at_x(px)
    if frame.interactive:
        return at_x(alt.ExprRef(f"width - {px:.0f}"))
    return at_x(round(frame.shape.plot_width - px, 1))
