"""Colours, sizes and shared settings of every chart: the only place where a look is decided."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any, Literal

Scheme = Literal["light", "dark"]
Role = Literal[
    "paper", "ink", "muted", "hairline", "kelp", "coral", "band", "band-edge", "bar", "bar-quiet"
]


@dataclass(frozen=True, slots=True)
class Ink:
    """One colour of the site.

    Attributes:
        role: What it is for; its CSS variable is ``--jt-`` and this name.
        light: Hex colour on paper.
        dark: Hex colour on charcoal.
    """

    role: Role
    light: str
    dark: str

    @property
    def css(self) -> str:
        """Give the CSS value that follows the page, with the light colour as a fallback."""
        return f"var(--jt-{self.role}, {self.light})"


PALETTE: dict[Role, Ink] = {
    ink.role: ink
    for ink in (
        Ink("paper", "#fbf8f1", "#1b1a17"),
        Ink("ink", "#23201b", "#e9e4d8"),
        Ink("muted", "#665f53", "#a89f8f"),
        Ink("hairline", "#e3dccd", "#37342e"),
        Ink("kelp", "#2f6b4f", "#7fc3a0"),
        Ink("coral", "#b8452f", "#f08a6e"),
        Ink("band", "#e2e8d3", "#2b382f"),
        Ink("band-edge", "#a9b998", "#4c6656"),
        Ink("bar", "#4d7f66", "#6aa889"),
        Ink("bar-quiet", "#8f8369", "#8a8070"),
    )
}

_VARIABLE = re.compile(r"var\(--jt-([a-z-]+), #[0-9a-f]{6}\)")


@dataclass(frozen=True, slots=True)
class Shape:
    """The proportions a chart is drawn in.

    Attributes:
        name: Short name, part of the ids inside the drawing.
        width: Whole width in px, axis and margins included.
        plot_height: Height of the plot in px, without events, axis and margins.
        tick_px: Least distance between two labels of the time axis in px.
        event_labels: Most events that are named in words.
        legend_columns: Columns of the legend of events.
    """

    name: str
    width: int
    plot_height: int
    tick_px: int
    event_labels: int
    legend_columns: int

    @property
    def plot_width(self) -> int:
        """Give the width of the plot itself in px."""
        return self.width - LEFT - RIGHT


LEFT = 52
RIGHT = 14
TITLE_PX = 14
FONT_PX = 12
SMALL_PX = 11

WIDE = Shape("wide", 760, 176, 54, 6, 6)
NARROW = Shape("narrow", 360, 170, 44, 2, 3)


def colour(role: Role) -> str:
    """Give the CSS value of a colour, to be put straight into a chart.

    Vega passes colours it does not mix through unread, so one drawing serves light and dark.

    Args:
        role: What the colour is for.

    Returns:
        A CSS ``var()`` with a fallback.

    >>> colour("ink")
    'var(--jt-ink, #23201b)'
    """
    return PALETTE[role].css


def fixed_colours(text: str, scheme: Scheme) -> str:
    """Give a drawing or chart text with plain colours, for programs that know no CSS variables.

    Args:
        text: SVG or JSON that carries the colours of `colour`.
        scheme: Which set of colours.

    Returns:
        The same text with hex colours.

    >>> fixed_colours('fill="var(--jt-ink, #23201b)"', "dark")
    'fill="#e9e4d8"'
    """
    inks = {ink.role: getattr(ink, scheme) for ink in PALETTE.values()}
    return _VARIABLE.sub(lambda found: str(inks[found[1]]), text)  # type: ignore[index]


def variables_css(scheme: Scheme) -> str:
    """Give the CSS declarations of all chart colours for one scheme.

    Args:
        scheme: Which set of colours.

    Returns:
        Declarations such as ``--jt-ink: #23201b;``, without selector and braces.
    """
    return " ".join(f"--jt-{ink.role}: {getattr(ink, scheme)};" for ink in PALETTE.values())


def text_px(text: str, size_px: float = SMALL_PX) -> float:
    """Give the likely width of a text in px, on the generous side.

    The reader's own sans font decides the real width; 0.56 em a letter is common practice, no
    source, and covers the usual system fonts.

    Args:
        text: One line.
        size_px: Font size.

    Returns:
        Width in px.

    >>> round(text_px("target", 10), 1)
    33.6
    """
    return 0.56 * size_px * len(text)


def config() -> dict[str, Any]:
    """Give the Vega-Lite configuration that all charts share."""
    return {
        "background": "transparent",
        "aria": False,
        "font": "sans-serif",
        "customFormatTypes": False,
        "view": {"stroke": None},
        "mark": {"aria": False, "tooltip": None},
        "axis": {
            "title": None,
            "labelFontSize": FONT_PX,
            "labelColor": colour("muted"),
            "domainColor": colour("muted"),
            "tickColor": colour("muted"),
            "gridColor": colour("hairline"),
        },
        "axisX": {"tickSize": 4, "labelPadding": 3, "grid": False, "labelLineHeight": 14},
        "axisY": {
            "ticks": False,
            "domain": False,
            "labelPadding": 8,
            "minExtent": LEFT - 8,
            "maxExtent": LEFT - 8,
        },
        "legend": {
            "title": None,
            "labelFontSize": FONT_PX,
            "labelColor": colour("muted"),
            "orient": "bottom",
            "offset": 8,
            "rowPadding": 4,
            "columnPadding": 14,
            "symbolStrokeWidth": 1.2,
        },
    }
