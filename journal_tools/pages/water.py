"""The water: one chart for each parameter, with its band, errors and events."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from journal_tools.metrics import Result
from journal_tools.pages.figures import Figure, parameter_figure
from journal_tools.pages.probes import ProbeFigure, probe_figures
from journal_tools.pages.site import Site
from journal_tools.pages.today import Slip, slips
from journal_tools.pages.together import together
from journal_tools.pages.tree import Page


@dataclass(frozen=True)
class WaterRow:
    """A parameter with its chart and its figures."""

    slip: Slip
    figure: Figure
    share: Result | None
    share_ever: Result | None
    probes: Sequence[ProbeFigure]


def water_page(site: Site) -> Page:
    """Give the page of all water parameters."""
    probes = probe_figures(site)
    rows = [
        WaterRow(
            slip,
            parameter_figure(site, slip.parameter),
            site.shown.one("time_in_band", slip.parameter.name),
            site.shown.one("time_in_band_ever", slip.parameter.name),
            probes.pop(slip.parameter.name, ()),
        )
        for slip in slips(site)
    ]
    names = ", ".join(row.slip.parameter.in_text for row in rows[:4])
    return site.page(
        "water.html",
        "water",
        "Water",
        description=f"Water tests of {site.journal.profile.name}: {names}.",
        rows=rows,
        together=together(site),
        untested=list(probes.values()),
    )
