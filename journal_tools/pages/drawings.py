"""Charts of worked-out figures: the course of an estimate, a pump and its pipes, a lamp's day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from journal_tools.gear import Lighting
from journal_tools.metrics import Result
from journal_tools.metrics.flow import curve_of, plumbing_of
from journal_tools.metrics.lighting import ramp_of
from journal_tools.names import name_key
from journal_tools.pages.figures import Figure, TableRow, two_shapes
from journal_tools.pages.site import Site, interval_text, unit_text
from journal_tools.science.flow.hydraulics import head_needed_m
from journal_tools.science.lighting.light import ppfd_at
from journal_tools.system import Equipment
from journal_tools.words import number_text, short_day

if TYPE_CHECKING:
    import altair as alt

    from journal_tools.charts.theme import Shape

_TABLE_ROWS = 40
_LINE_POINTS = 60
_STEP_H = 0.25


def estimate_figure(
    site: Site,
    name: str,
    results: Sequence[Result],
    title: str,
    *,
    band: tuple[float | None, float | None] | None = None,
    with_events: bool = True,
) -> Figure | None:
    """Give the course of a metric whose results each hold for a moment, or None for less than two.

    Args:
        site: The site.
        name: Unique on the site.
        results: Results with ``end``, in order of time, in the units that are shown.
        title: What the axis is about.
        band: A range to compare with.
        with_events: Whether what was done is marked below.
    """
    dated = [r for r in results if r.end is not None]
    if len(dated) < 2:
        return None
    points = pd.DataFrame({
        "time": [r.end for r in dated],
        "value": [r.value for r in dated],
        "low": [np.nan if r.low is None else r.low for r in dated],
        "high": [np.nan if r.high is None else r.high for r in dated],
    })  # fmt: skip
    unit, decimals = unit_text(dated[-1]), max(0, dated[-1].decimals)
    events = site.events if with_events else None

    def draw(shape: Shape) -> alt.LayerChart:
        from journal_tools.charts.estimate import estimate_chart

        return estimate_chart(
            points, title=title, unit=unit, decimals=decimals, today=site.today, events=events,
            band=band, shape=shape,
        )  # fmt: skip

    parts = (
        points.to_json(date_format="iso", date_unit="s"), title, unit, str(decimals), repr(band),
        "" if events is None else events.to_json(date_format="iso", date_unit="s"),
        site.today.isoformat(),
    )  # fmt: skip
    drawn = two_shapes(site, name, parts, draw)
    newest = dated[::-1][:_TABLE_ROWS]
    rows = tuple(_row(result) for result in newest)
    return replace(drawn, rows=rows, more=max(0, len(dated) - _TABLE_ROWS))


def _row(result: Result) -> TableRow:
    assert result.end is not None
    value = f"{number_text(result.value, result.decimals)} {unit_text(result)}".strip()
    entry = next((i.entry for i in result.inputs if i.entry), "")
    return TableRow(short_day(result.end.date()), value, interval_text(result), "", entry)


def pump_figure(site: Site, pump: Equipment, flow: Result) -> Figure | None:
    """Give the pump's curve with what its pipes ask for, and where the two meet.

    Args:
        site: The site.
        pump: A pump with curve and plumbing.
        flow: Its real flow in L/h.
    """
    if pump.plumbing is None or len(pump.curve) < 2 or flow.value <= 0:
        return None
    curve, plumbing = curve_of(pump), plumbing_of(pump.plumbing)
    given = [(float(x), float(y)) for x, y in curve.points]
    flows = np.linspace(0.0, max(x for x, _ in given), _LINE_POINTS)
    head_at = curve.head_m()
    pump_line = pd.DataFrame({"flow": flows, "head": [head_at(float(flow)) for flow in flows]})
    heads = [head_needed_m(plumbing, float(f)) for f in flows]
    asked = pd.DataFrame({"flow": flows, "head": heads})
    low, high = (flow.value if end is None else end for end in (flow.low, flow.high))
    meets = (flow.value, head_needed_m(plumbing, flow.value), low, high)
    unit, factor = site.display.measures.get("L/h", ("L/h", 1.0))

    def draw(shape: Shape) -> alt.LayerChart:
        from journal_tools.charts.pump import pump_chart

        return pump_chart(
            given, pump_line, asked, meets, flow_unit=unit, flow_factor=1 / factor, shape=shape
        )

    parts = (repr(given), pump_line.to_json(), asked.to_json(), repr(meets), unit)
    return two_shapes(site, f"pump-{name_key(pump.name)}", parts, draw)


def lamp_figure(site: Site, name: str, light: Lighting) -> Figure | None:
    """Give the lamp's day at every place that was measured, or None where none was."""
    hours = np.arange(0.0, 24.0 + _STEP_H / 2, _STEP_H)
    rows = [
        (place, float(hour), float(ppfd_at(ramp_of(light, plateau), float(hour))))
        for place, plateau in light.par.items()
        for hour in hours
    ]
    if not rows:
        return None
    courses = pd.DataFrame(rows, columns=["place", "hour", "ppfd"])

    def draw(shape: Shape) -> alt.LayerChart:
        from journal_tools.charts.lamp import lamp_day_chart

        return lamp_day_chart(courses, shape=shape)

    return two_shapes(site, f"lamp-{name_key(name)}", (courses.to_json(),), draw)
