"""Second opinion: one page with everything that a more experienced keeper asks first."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from journal_tools.metrics import Result
from journal_tools.metrics.gear import in_service
from journal_tools.metrics.stocking import population
from journal_tools.pages.checks.record import said
from journal_tools.pages.figures import Figure, bands_of, two_shapes
from journal_tools.pages.site import Site, interval_text
from journal_tools.pages.tree import Page
from journal_tools.parameters import PARAMETERS
from journal_tools.system import KINDS, Rock, Sand
from journal_tools.tables import rows_of
from journal_tools.words import band_text, counted, number_text, reading_text

if TYPE_CHECKING:
    import altair as alt

    from journal_tools.charts.theme import Shape

DAYS = 90
_MOST_EVENTS = 40
_MOST_QUESTIONS = 8


@dataclass(frozen=True)
class Line:
    """A fact of the system in a few words."""

    label: str
    words: str


@dataclass(frozen=True)
class Watched:
    """One parameter over the last days: newest, range, band, error of its test."""

    label: str
    newest: str
    between: str
    tests: int
    band: str
    error: str


@dataclass(frozen=True)
class Asked:
    """A question of the keeper, with the entry that asks it."""

    day: dt.date
    entry: str
    question: str


def second_opinion_page(site: Site) -> Page:
    """Give the page for a mentor: two printed sheets."""
    return site.page(
        "second-opinion.html",
        "second-opinion",
        "Second opinion",
        description=f"{site.journal.profile.name} on two sheets: system, last {DAYS} days, "
        "changes, losses and open questions.",
        system=list(_system(site)),
        watched=list(_watched(site)),
        overview=_overview(site),
        estimates=list(_estimates(site)),
        changes=_changes(site),
        losses=list(rows_of(_recent(site, site.tables.livestock, event="lost"))),
        asked=_asked(site),
        doubts=list(_doubts(site)),
        days=DAYS,
    )


def _recent(site: Site, frame: pd.DataFrame, *, event: str = "") -> pd.DataFrame:
    found = frame[frame["time"] >= site.tables.days_ago(DAYS)]
    return found[found["event"] == event] if event else found


def _system(site: Site) -> Iterator[Line]:
    profile, shown = site.journal.profile, site.shown
    age = (site.today - profile.start).days
    said_age = f"{counted(age, 'day')}, begun" if age >= 0 else "being planned, to begin"
    yield Line("Age", f"{said_age} {profile.start}")
    if (net := shown.one("net_volume")) is not None:
        parts = ", ".join(f"{r.subject} {said(r)}" for r in shown.of("gross_volume"))
        yield Line("Water", f"{said(net)} net, {interval_text(net)} ({parts})")
    solids: list[Rock | Sand] = [*profile.fill.rock, *profile.fill.sand]
    fill = [f"{piece.name} {piece.mass.said}" for piece in solids if piece.mass is not None]
    if fill:
        yield Line("Rock and sand", ", ".join(fill))
    yield from _flows(site)
    pieces = [
        piece
        for piece in in_service(site.tables, *KINDS)
        if piece.kind in ("skimmer", "light", "heater", "chiller", "reactor", "steriliser")
    ]
    if pieces:
        yield Line("Gear", ", ".join(f"{piece.name} ({piece.kind})" for piece in pieces))
    light = shown.of("daily_light")
    if light:
        values = sorted(result.value for result in light)
        ends = f"{number_text(values[0], 1)} to {number_text(values[-1], 1)}"
        yield Line("Light", f"{ends} {light[0].unit} by place")
    if profile.salt_mix is not None:
        yield Line("Salt", profile.salt_mix.name)
    changes = _recent(site, site.tables.water_changes)
    if not changes.empty:
        litres = site.display.volume_text(float(changes["volume_l"].sum()), 0)
        yield Line("Water changes", f"{counted(len(changes), 'change')}, {litres} in {DAYS} days")
    dosed = ", ".join(f"{r.subject} {said(r)}" for r in shown.of("dose_per_day"))
    if dosed:
        yield Line("Dosed", dosed)
    yield from _animals(site)


def _flows(site: Site) -> Iterator[Line]:
    words = [said(r) for name in ("return_flow", "turnover") if (r := site.shown.one(name))]
    circulation = site.shown.one("circulation")
    if circulation is not None:
        words.append(f"in the tank {said(circulation)} by the boxes")
    if words:
        yield Line("Flow", ", ".join(words))


def _animals(site: Site) -> Iterator[Line]:
    living = population(site.tables)
    for group in ("fish", "coral", "invertebrate"):
        names = [f"{kind.count} × {kind.name}" if kind.count > 1 else kind.name
                 for kind in living if kind.group == group]  # fmt: skip
        if names:
            yield Line({"fish": "Fish", "coral": "Corals"}.get(group, "Others"), ", ".join(names))


def _watched(site: Site) -> Iterator[Watched]:
    for parameter in site.tested:
        rows = site.shown_tables.readings_of(parameter.name)
        rows = rows[rows["time"] >= site.tables.days_ago(DAYS)]
        if rows.empty:
            continue
        last, band = rows.iloc[-1], site.shown_tables.band(parameter.name, site.today)
        low, high = (number_text(end, parameter.decimals)
                     for end in (rows["value"].min(), rows["value"].max()))  # fmt: skip
        yield Watched(
            parameter.label,
            reading_text(float(last["value"]), parameter, str(last["censored"])),
            low if low == high else f"{low} to {high}",
            len(rows),
            band_text(band, parameter) if band else "–",
            f"± {number_text(float(rows['error'].median()), parameter.decimals)}",
        )


def _overview(site: Site) -> Figure | None:
    readings = site.shown_tables.readings
    readings = readings[readings["time"] >= site.tables.days_ago(DAYS)]
    tested = set(readings["parameter"])
    parameters = [row for name, row in site.display.parameters.items() if name in tested]
    if not parameters:
        return None
    bands = {row.name: bands_of(site, row) for row in parameters}

    def draw(shape: Shape) -> alt.LayerChart:
        from journal_tools.charts.overview import overview_chart

        return overview_chart(readings, parameters, bands, site.today, days=DAYS, shape=shape)

    parts = (readings.to_json(date_format="iso", date_unit="s"), repr(parameters), repr(bands),
             site.today.isoformat())  # fmt: skip
    return two_shapes(site, "overview", parts, draw)


_ESTIMATED = ("consumption_now", "calcium_ratio", "pco2", "aragonite_saturation", "evaporation",
              "fish_biomass", "nitrate_from_feed")  # fmt: skip


def _estimates(site: Site) -> Iterator[tuple[str, Result]]:
    for name in _ESTIMATED:
        newest = {result.subject: result for result in site.shown.of(name)}
        for subject, result in newest.items():
            title = site.metrics.definitions[name].title
            about = PARAMETERS[subject].label if subject in PARAMETERS else subject
            yield f"{title}{f', {about.lower()}' if about else ''}", result


def _changes(site: Site) -> list[tuple[dt.date, str, str]]:
    """Give what was done in the last days, the newest first: everything that charts mark."""
    rows = site.events[site.events["time"] >= site.tables.days_ago(DAYS)]
    found = [(row.time.date(), row.label, row.entry) for row in rows_of(rows)]
    return sorted(found, key=lambda one: one[0], reverse=True)[:_MOST_EVENTS]


def _asked(site: Site) -> list[Asked]:
    found = [
        Asked(entry.day, entry.id, question)
        for entry in reversed(site.journal.entries)
        for question in entry.record.questions
    ]
    return found[:_MOST_QUESTIONS]


def _doubts(site: Site) -> Iterator[str]:
    """Say what is known to be uncertain: findings, instruments not compared, figures not known."""
    for notice in site.notices:
        if notice.kind in ("outside", "trend", "odd", "jump", "disagree", "pair"):
            yield f"{notice.what} {notice.evidence}"
    for instrument in site.journal.profile.instruments:
        if instrument.kind == "refractometer" and instrument.scale is None:
            name = instrument.name
            yield f"Which scale the {name} has is not told: salinity may be off by 1 psu."
    for name, reason in site.metrics.beyond.items():
        yield f"{name.replace('_', ' ')}: not worked out, for {reason}."
