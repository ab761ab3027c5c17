"""What the probes saw, for the page of the water: ribbons over all time, and the last week."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from journal_tools.metrics import Result
from journal_tools.metrics.probes import subject_of
from journal_tools.pages.figures import Figure, bands_of, two_shapes
from journal_tools.pages.site import Site
from journal_tools.parameters import Parameter
from journal_tools.probes import ProbeSeries

if TYPE_CHECKING:
    import altair as alt

    from journal_tools.charts.theme import Shape

_FACTS = (
    "probe_swing", "probe_lowest", "probe_highest", "probe_outside_h", "probe_rate",
    "probe_gaps_h", "probe_disagreement",
)  # fmt: skip


@dataclass(frozen=True)
class ProbeFigure:
    """One series of a probe as the page shows it.

    Attributes:
        parameter: What is measured, in the units that are shown.
        source: Name of the probe file.
        ribbon: Chart of all days.
        week: Chart of the last week.
        facts: What it saw in the last thirty days.
    """

    parameter: Parameter
    source: str
    ribbon: Figure
    week: Figure
    facts: tuple[Result, ...]


def probe_figures(site: Site) -> dict[str, Sequence[ProbeFigure]]:
    """Give the figures of all probe series by parameter."""
    found: dict[str, list[ProbeFigure]] = {}
    for number, series in enumerate(site.tables.probes.series, 1):
        # A number and not the file's name, which may hold what has no place in an id.
        name = f"{series.parameter}-probe-{number}"
        found.setdefault(series.parameter, []).append(_figure(site, series, name))
    return dict(found)


def _figure(site: Site, series: ProbeSeries, name: str) -> ProbeFigure:
    parameter = site.display.parameters[series.parameter]
    subject = subject_of(site.tables, series)
    facts = (site.shown.one(name, subject) for name in _FACTS)
    return ProbeFigure(
        parameter,
        series.source,
        _ribbon(site, series, parameter, name),
        _week(site, series, parameter, f"{name}-week"),
        tuple(fact for fact in facts if fact is not None),
    )


def _ribbon(site: Site, series: ProbeSeries, parameter: Parameter, name: str) -> Figure:
    days = site.shown_tables.probe_days
    own = days[(days["source"] == series.source) & (days["parameter"] == series.parameter)]
    own = own[["time", "minimum", "mean", "maximum"]]
    readings, bands = _kits(site, series), bands_of(site, parameter)

    def draw(shape: Shape) -> alt.LayerChart:
        from journal_tools.charts.ribbon import ribbon_chart

        return ribbon_chart(parameter, own, readings, bands, site.today, shape=shape)

    parts = (repr(parameter), _json(own), _json(readings), repr(bands), site.today.isoformat())
    return two_shapes(site, name, parts, draw)


def _week(site: Site, series: ProbeSeries, parameter: Parameter, name: str) -> Figure:
    recent = _recent(site, series)
    readings, bands = _kits(site, series), bands_of(site, parameter)
    gap_h = float(series.data.gap_h[0])

    def draw(shape: Shape) -> alt.LayerChart:
        from journal_tools.charts.ribbon import week_chart

        return week_chart(parameter, recent, readings, bands, gap_h, shape=shape)

    parts = (repr(parameter), _json(recent), _json(readings), repr(bands), repr(gap_h))
    return two_shapes(site, name, parts, draw)


def _recent(site: Site, series: ProbeSeries) -> pd.DataFrame:
    """Give the rows that draw the last week, in the unit that is shown."""
    utc = pd.DatetimeIndex(series.data.recent_ns, tz="UTC")
    values = [site.display.value(series.parameter, float(value)) for value in series.data.recent]
    return pd.DataFrame({"time": utc.tz_convert(site.journal.profile.time_zone), "value": values})


def _kits(site: Site, series: ProbeSeries) -> pd.DataFrame:
    """Give the readings that were not taken with the probe itself."""
    rows = site.shown_tables.readings_of(series.parameter)
    if not series.instrument:
        return rows
    return rows[rows["kit"].str.casefold() != series.instrument.casefold()]


def _json(frame: pd.DataFrame) -> str:
    text: str = frame.to_json(date_format="iso", date_unit="s")
    return text
