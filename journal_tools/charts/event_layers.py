"""Layers of the events: signs in the strip, words for a few, fine lines up through the plot."""

from __future__ import annotations

import altair as alt

from journal_tools.charts.frame import Frame, at_y, encoded, layer
from journal_tools.charts.strip import ROW_PX, PlacedEvent, Side, Sign, Strip
from journal_tools.charts.theme import SMALL_PX, colour


def event_layers(frame: Frame, strip: Strip) -> list[alt.Chart]:
    """Give the layers of the strip, from back to front.

    Args:
        frame: The chart's frame.
        strip: Events with their places.

    Returns:
        Layers; none without events.
    """
    if not strip.events:
        return []
    captioned = [event for event in strip.events if event.caption]
    sides = sorted({event.align for event in captioned})
    return [
        *([_lines(frame, captioned)] if captioned else []),
        _signs(frame, strip),
        *(_captions(frame, captioned, side) for side in sides),
    ]


def _signs(frame: Frame, strip: Strip) -> alt.Chart:
    """Give the signs of all events with a legend of their kinds."""
    top = frame.shape.plot_height + strip.caption_px + ROW_PX / 2 + 2
    rows = [
        {"t": e.text, "kind": e.kind, "label": e.label, "px": top + e.row * ROW_PX}
        for e in strip.events
    ]
    legend = _legend(strip.signs, frame)
    words = [sign.words for sign in strip.signs]
    shapes = alt.Scale(domain=words, range=[sign.shape for sign in strip.signs])
    colours = alt.Scale(domain=words, range=[colour(sign.role) for sign in strip.signs])
    signs = layer("events", rows).mark_point(
        filled=True, size=46, opacity=1, clip=frame.interactive
    )
    tips = [alt.Tooltip("kind:N"), alt.Tooltip("label:N")]
    return encoded(
        signs,
        frame.x(),
        # Without a scale the field is taken as px, which leaves the value axis alone.
        alt.Y("px:Q", scale=None),
        alt.Shape("kind:N", scale=shapes, legend=legend),
        alt.Color("kind:N", scale=colours, legend=legend),
        *([tips] if frame.interactive else []),
    )


def _legend(signs: list[Sign], frame: Frame) -> alt.Legend:
    """Give the legend of signs in as many columns as there is room for."""
    columns = min(len(signs), frame.shape.legend_columns)
    return alt.Legend(columns=columns, symbolSize=60)


def _lines(frame: Frame, captioned: list[PlacedEvent]) -> alt.Chart:
    """Give the lines that tie the named events to the readings above them."""
    mark = layer("lines", [{"t": event.text} for event in captioned]).mark_rule(
        color=colour("muted"), strokeWidth=0.8, strokeDash=[1, 3], clip=frame.interactive
    )
    return encoded(
        mark,
        frame.x(),
        at_y(0),
        alt.Y2Value(frame.shape.plot_height),  # type: ignore[no-untyped-call]
    )


def _captions(frame: Frame, captioned: list[PlacedEvent], align: Side) -> alt.Chart:
    """Give the words of the named events that are aligned to one side."""
    rows = [{"t": e.text, "says": e.caption} for e in captioned if e.align == align]
    mark = layer(f"captions-{align}", rows).mark_text(
        align=align,
        baseline="top",
        color=colour("ink"),
        fontSize=SMALL_PX,
        clip=frame.interactive,
    )
    return encoded(mark, frame.x(), at_y(frame.shape.plot_height + 3), alt.Text("says:N"))
