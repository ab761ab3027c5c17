"""The frame that all layers of a chart share: its two scales, its size, its kind of data."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import altair as alt
from altair.utils import schemapi

from journal_tools.charts.scale import (
    TimeSpan,
    ValueScale,
    axis_ms,
    time_label,
    time_ticks,
)
from journal_tools.charts.series import Row
from journal_tools.charts.theme import Shape, config

# Vega's own words for the steps of a time axis, day before month as in all other dates here.
_ZOOM_FORMAT = {
    "year": "%Y",
    "quarter": "%b",
    "month": "%b",
    "week": "%-d %b",
    "date": "%-d %b",
    "day": "%-d %b",
    "hours": "%H:%M",
    "minutes": "%H:%M",
}
_WALL = "utc:'%Y-%m-%dT%H:%M:%S'"


@dataclass(frozen=True, slots=True)
class Frame:
    """The two scales of a chart and whether a reader can zoom it.

    Attributes:
        span: Time axis.
        scale: Value axis.
        shape: Proportions.
        strip_px: Height of the strip of events under the plot, inside the same view.
        interactive: Whether marks must stay inside the plot while a reader zooms.
        gutter_px: Room kept free at the right end of the plot for labels of lines.
    """

    span: TimeSpan
    scale: ValueScale
    shape: Shape
    strip_px: int
    interactive: bool
    gutter_px: int = 0

    @property
    def height_px(self) -> int:
        """Give the height of plot and strip in px."""
        return self.shape.plot_height + self.strip_px

    def x(self, field: str = "t") -> alt.X:
        """Give the time channel; its scale is UTC so that every reader sees the wall time."""
        # As an expression: of two plain dates Vega-Lite 6.4 makes a domain that layers with an end
        # (x2) contradict, with warnings in every reader's console.
        domain = alt.ExprRef(json.dumps(self.span.domain))
        scale = alt.Scale(type="utc", domain=domain, nice=False)
        if self.gutter_px and self.interactive:
            scale["range"] = [0, {"expr": f"width - {self.gutter_px}"}]
        elif self.gutter_px:
            scale["range"] = [0, self.time_width]
        return alt.X(f"{field}:T", scale=scale)

    @property
    def time_width(self) -> int:
        """Give the width of the time axis in px."""
        return self.shape.plot_width - self.gutter_px

    def y(self, field: str = "v") -> alt.Y:
        """Give the value channel; its range ends above the strip, which shares the view."""
        scale = alt.Scale(
            domain=self.scale.domain,
            range=[self.shape.plot_height, 0],
            clamp=True,
            nice=False,
            zero=False,
        )
        return alt.Y(f"{field}:Q", scale=scale)

    def value_axis(self) -> alt.Axis:
        """Give the value axis; one layer that has it is enough for all."""
        return alt.Axis(orient="left", values=self.scale.ticks, format=f",.{self.scale.decimals}f")

    def time_axis(self, whole_months: bool = False) -> alt.Axis:
        """Give fixed ticks for a drawing and free ones where a reader zooms."""
        if self.interactive:
            return alt.Axis(
                labelOverlap="greedy", labelSeparation=8, tickCount=8, format=_ZOOM_FORMAT
            )
        ticks = time_ticks(self.span, self.time_width, self.shape.tick_px, whole_months)
        return alt.Axis(values=[axis_ms(t) for t in ticks], labelExpr=time_label(ticks))


def inline(name: str, rows: Sequence[Row]) -> alt.InlineData:
    """Give rows as chart data whose times every reader sees as the keeper's wall time.

    Args:
        name: Unique in its chart. Altair 6 would else merge equal data of two layers, of which
            Vega-Lite 6 then reads the times twice and finds none.
        rows: All of the same keys; wall times as text in ``t`` and ``t2``.

    Returns:
        Inline data.
    """
    times = sorted({"t", "t2"} & set(rows[0] if rows else ()))
    parse: Any = dict.fromkeys(times, _WALL)
    return alt.InlineData(values=list(rows), name=name, format={"parse": parse})


def layer(name: str, rows: Sequence[Row]) -> alt.Chart:
    """Give a layer with rows of its own and no mark yet.

    Args:
        name: Unique in its chart.
        rows: As for `inline`.

    Returns:
        The layer.
    """
    return alt.Chart(inline(name, rows))


def encoded(mark: alt.Chart, *channels: Any) -> alt.Chart:
    """Give a layer with channels; Altair's own method loses the type.

    Args:
        mark: A layer with its mark.
        channels: Channel objects.

    Returns:
        The layer.
    """
    result: alt.Chart = mark.encode(*channels)
    return result


def at_x(px: float | alt.ExprRef) -> alt.XValue:
    """Give a fixed place across the plot, in px from its left or as a Vega expression.

    Args:
        px: The place.

    Returns:
        The channel.
    """
    return alt.XValue(px)  # type: ignore[no-untyped-call]


def at_y(px: float) -> alt.YValue:
    """Give a fixed place down the plot, in px from its top, negative above it.

    Args:
        px: The place.

    Returns:
        The channel.
    """
    return alt.YValue(px)  # type: ignore[no-untyped-call]


@contextmanager
def unchecked() -> Iterator[None]:
    """Build charts without checking each part against the schema, which takes half the time.

    The tests check whole charts of every kind instead.
    """
    with schemapi.debug_mode(False):
        yield


def finished(
    layers: Sequence[alt.Chart], rows: Sequence[Row], title: str, **properties: Any
) -> alt.LayerChart:
    """Give the layers as one chart with its properties and the shared configuration.

    Args:
        layers: From back to front.
        rows: Rows of the layers that have none of their own.
        title: Kept beside the chart for screen readers, not drawn.
        properties: As `altair.LayerChart.properties` takes them.

    Returns:
        The chart.
    """
    return alt.LayerChart(
        layer=list(layers),
        data=inline("shared", rows),
        usermeta={"title": title},
        config=config(),
        **properties,
    )
