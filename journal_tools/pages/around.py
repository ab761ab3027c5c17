"""The days around an event: what every parameter did before and after, and what else happened."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from journal_tools.logged import LoggedEntry
from journal_tools.pages.figures import Figure, bands_of, two_shapes
from journal_tools.pages.site import Site
from journal_tools.tables import Tables, rows_of

if TYPE_CHECKING:
    import altair as alt

    from journal_tools.charts.theme import Shape

DAYS = 14
MISTAKE_TAGS = frozenset({"mistake", "accident", "loss", "incident"})
LARGE_SHARE = 0.3
"""Change of a daily dose, as a share, that counts as large. Common practice, no source."""

_FELT_KINDS = frozenset({"light", "return pump", "circulation pump", "skimmer", "reactor"})
_APART_DAYS = 7
_CACHED = "large changes"


def asks_for_window(site: Site, entry: LoggedEntry) -> bool:
    """Tell whether a reader will ask what happened: a loss, a failure, a mistake, a large change.

    Args:
        site: The site.
        entry: One of its entries.
    """
    record = entry.record
    return bool(
        any(animal.lost for animal in record.livestock)
        or any(piece.failed for piece in record.equipment)
        or any(plan.stopped for plan in record.dosing_plan)
        or MISTAKE_TAGS & {tag.casefold() for tag in record.tags}
        or entry.id in _large(site)
    )


def _large(site: Site) -> frozenset[str]:
    """Give the entries of large changes; every entry asks for them, so they are found once."""
    worked = site.metrics.worked
    if _CACHED not in worked:
        worked[_CACHED] = large_changes(site.tables)
    found: frozenset[str] = worked[_CACHED]
    return found


def large_changes(tables: Tables) -> frozenset[str]:
    """Give the entries that changed a daily dose by more than 30 %, or light or pumps.

    Of several within a week the first one counts: its window shows the others. What was set up
    before the first test is no change.

    Args:
        tables: The journal's tables.
    """
    if tables.readings.empty:
        return frozenset()
    first = tables.readings["time"].iloc[0]
    found = sorted(one for one in (*_plans(tables), *_gear(tables)) if one[0] > first)
    chosen: list[tuple[pd.Timestamp, str]] = []
    for time, entry in found:
        if not chosen or time - chosen[-1][0] > pd.Timedelta(days=_APART_DAYS):
            chosen.append((time, entry))
    return frozenset(entry for _time, entry in chosen)


def _plans(tables: Tables) -> Iterator[tuple[pd.Timestamp, str]]:
    plans = tables.doses[tables.doses["scheduled"]].drop_duplicates(["entry", "line", "product"])
    for _key, rows in plans.groupby(["product", "unit"], sort=True):
        amounts = rows["amount"].to_numpy(dtype="float64")
        share = np.abs(np.diff(amounts)) > LARGE_SHARE * amounts[:-1] * (1 + 1e-9)
        for row in rows_of(rows.iloc[1:][share]):
            yield row.time, row.entry


def _gear(tables: Tables) -> Iterator[tuple[pd.Timestamp, str]]:
    moves = tables.equipment[
        tables.equipment["event"].isin(("changed", "removed"))
        & tables.equipment["kind"].isin(list(_FELT_KINDS))
        & (tables.equipment["entry"] != "")
    ]
    for row in rows_of(moves):
        yield row.time, row.entry


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
