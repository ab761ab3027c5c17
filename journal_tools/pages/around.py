"""The days around an event: what every parameter did before and after, and what else happened."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pandas as pd

from journal_tools.logged import LoggedEntry
from journal_tools.pages.figures import Figure, bands_of, two_shapes
from journal_tools.pages.site import Site

if TYPE_CHECKING:
    import altair as alt

    from journal_tools.charts.theme import Shape

DAYS = 14
MISTAKE_TAGS = frozenset({"mistake", "accident", "loss", "incident"})


def asks_for_window(entry: LoggedEntry) -> bool:
    """Tell whether a reader will ask what happened: a loss, a failure, a mistake."""
    record = entry.record
    return bool(
        any(animal.lost for animal in record.livestock)
        or any(piece.failed for piece in record.equipment)
        or any(plan.stopped for plan in record.dosing_plan)
        or MISTAKE_TAGS & {tag.casefold() for tag in record.tags}
    )


def window_figure(site: Site, entry: LoggedEntry) -> Figure | None:
    """Give the figure of the two weeks before and after an entry, or None without tests in them."""
    moment = pd.Timestamp(entry.time)
    span = pd.Timedelta(days=DAYS)
    readings = site.shown_tables.readings
    near = readings[(readings["time"] >= moment - span) & (readings["time"] <= moment + span)]
    if len(near) < 2:
        return None
    events = site.events
    there = events[(events["time"] >= moment - span) & (events["time"] <= moment + span)]
    tested = set(near["parameter"])
    parameters = [row for name, row in site.display.parameters.items() if name in tested]
    bands = {row.name: bands_of(site, row) for row in parameters}

    def draw(shape: Shape) -> alt.LayerChart:
        from journal_tools.charts.window import window_chart

        return window_chart(near, there, parameters, bands, moment, shape=shape)

    parts = (
        near.to_json(date_format="iso", date_unit="s"), repr(parameters), repr(bands),
        there.to_json(date_format="iso", date_unit="s"), moment.isoformat(),
    )  # fmt: skip
    return two_shapes(site, f"around-{entry.id}", parts, draw)
