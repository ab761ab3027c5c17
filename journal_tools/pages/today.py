"""The first page: which tank, how it looks, how it is doing, what changed last."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd
from markupsafe import Markup

from journal_tools.markup import render_notes
from journal_tools.metrics import Result
from journal_tools.outlook import outlook
from journal_tools.pages.diary import entry_view
from journal_tools.pages.figures import sparkline_svg
from journal_tools.pages.ruler import ruler_svg
from journal_tools.pages.site import Site, latest
from journal_tools.pages.tree import Page
from journal_tools.parameters import Parameter
from journal_tools.words import band_text, day_text, reading_text

_RECENT_ENTRIES = 4
_COMING_SHOWN = 8
_WATCHED_DAYS = 30


@dataclass(frozen=True)
class Slip:
    """One parameter on the first page."""

    parameter: Parameter
    reading: str
    error: str
    days: Result
    stale: bool
    inside: bool | None
    band: str
    ruler: str
    spark: str
    share: Result | None
    entry: str

    @property
    def current(self) -> bool:
        """Whether it belongs to what is watched: meant to be retested, or tested lately."""
        return self.parameter.retest_days is not None or self.days.value <= _WATCHED_DAYS


def today_page(site: Site) -> Page:
    """Give the first page."""
    profile, entries = site.journal.profile, site.journal.entries
    about = render_notes(profile.about, site.entry_link, under=1) if profile.about else ""
    age = max(0, (site.today - profile.start).days)
    planned = profile.start > site.today
    when = f"planned for {day_text(profile.start)}" if planned else f"day {age + 1}"
    description = f"{profile.name}: {when}, a reef tank journal."
    if entries:
        description += f" Last entry {day_text(entries[-1].day)}."
    return site.page(
        "today.html",
        "",
        profile.name,
        description=description,
        planned=planned,
        day_number=age + 1,
        cover=latest(site.shown_photos, "front"),
        slips=slips(site),
        about=Markup(about),
        recent=list(reversed(entries[-_RECENT_ENTRIES:])),
        recent_views=[entry_view(site, entry) for entry in reversed(entries[-_RECENT_ENTRIES:])],
        net_volume=site.shown.one("net_volume"),
        coming=outlook(site.tables, site.metrics)[:_COMING_SHOWN],
    )


def slips(site: Site) -> list[Slip]:
    """Give the newest reading of each tested parameter, with its band and recent course."""
    found = []
    for parameter in site.tested:
        rows = site.shown_tables.readings_of(parameter.name)
        last = rows.iloc[-1]
        days = site.shown.one("days_since_test", parameter.name)
        assert days is not None
        found.append(_slip(site, parameter, last, days))
    return found


def _slip(site: Site, parameter: Parameter, last: pd.Series, days: Result) -> Slip:
    name, value, error = parameter.name, float(last["value"]), float(last["error"])
    band = site.shown_tables.band(name, site.today)
    stale = {notice.parameter for notice in site.notices if notice.kind == "untested"}
    return Slip(
        parameter=parameter,
        reading=reading_text(value, parameter, str(last["censored"])),
        error=f"± {error:.{parameter.decimals}f}" if error else "",
        days=days,
        stale=name in stale,
        inside=None if band is None else band.holds(value, str(last["censored"])),
        band=band_text(band, parameter) if band else "",
        ruler=ruler_svg(value, error, band) if band else "",
        spark=sparkline_svg(site, parameter),
        share=site.shown.one("time_in_band", name),
        entry=str(last["entry"]),
    )
