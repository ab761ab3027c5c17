"""From bare tank to first animals: what was measured, what is missing. Never that it is safe."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from journal_tools.metrics.gear import in_service
from journal_tools.names import name_key
from journal_tools.pages.checks.record import said
from journal_tools.pages.site import Site
from journal_tools.science.life.maturing import STAGES
from journal_tools.tables import rows_of
from journal_tools.words import ago, as_heading, band_text, day_text, reading_text

_STEADY_TESTS = 3
_WATCHED = ("temperature", "salinity", "alkalinity")


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the list.

    Attributes:
        what: What is asked.
        state: ``measured``, ``outside``, ``missing``, ``logged`` or ``not yet``.
        evidence: What it rests on, or what to do.
        entry: Entry that shows it, or ``""``.
    """

    what: str
    state: str
    evidence: str
    entry: str = ""


def readiness(site: Site) -> list[Step]:
    """Give the list, in the order of a build."""
    return [*_build(site), *_precautions(site), *_warmth(site), *_water(site), *_maturing(site),
            *_animals(site)]  # fmt: skip


def _build(site: Site) -> Iterator[Step]:
    net, margin = site.shown.one("net_volume"), site.shown.one("sump_margin")
    if net is None:
        yield Step("Net volume.", "missing", "Give the inside measures in tank.yml.")
    else:
        how = "measured" if site.journal.profile.fill.measured_volume else "by tape measure"
        yield Step("Net volume.", "measured", f"{said(net)}, {how}.")
    if margin is not None:
        roomy = (margin.low if margin.low is not None else margin.value) > 0
        words = f"{said(margin)} left by the figures" if roomy else "by the figures it may overflow"
        yield Step(
            "Room in the sump for a power cut.",
            "measured" if roomy else "outside",
            f"{as_heading(words)}; try it with the plug, while you watch.",
        )


def _precautions(site: Site) -> Iterator[Step]:
    """Look for a logged test of the residual-current device, by its name in the upkeep list."""
    names = [t.task for t in site.journal.profile.upkeep if "residual" in t.task.casefold()]
    rows = site.tables.upkeep
    done = rows[rows["task"].map(name_key).isin([name_key(name) for name in names])]
    what = "Residual-current device tested."
    if done.empty:
        yield Step(
            what,
            "missing",
            "Log the press of its test button as upkeep; fitting it is a "
            "licensed electrician's work.",
        )
    else:
        last = done.iloc[-1]
        yield Step(
            what, "logged", f"Last {ago(last['time'].date(), site.today)}.", str(last["entry"])
        )


def _warmth(site: Site) -> Iterator[Step]:
    """Look for a heater, and for one that stands by."""
    heaters = in_service(site.tables, "heater")
    what = "Heating that a second device can switch off, or a second heater."
    guarded = len(heaters) > 1 or any(piece.controlled for piece in heaters)
    names = ", ".join(piece.name for piece in heaters)
    if not heaters:
        yield Step(what, "missing", "No heater is in service.")
    else:
        yield Step(what, "logged" if guarded else "missing", f"In service: {names}.")


def _water(site: Site) -> Iterator[Step]:
    for name in _WATCHED:
        parameter = site.display.parameters[name]
        rows = list(rows_of(site.shown_tables.readings_of(name)))[-_STEADY_TESTS:]
        band = site.shown_tables.band(name, site.today)
        what = f"{parameter.label} in its band, three tests running."
        if len(rows) < _STEADY_TESTS or band is None:
            yield Step(what, "missing", f"{len(rows)} of {_STEADY_TESTS} tests so far.")
            continue
        inside = all(band.holds(row.value, row.censored) for row in rows)
        shown = ", ".join(reading_text(row.value, parameter, row.censored) for row in rows)
        yield Step(
            what,
            "measured" if inside else "outside",
            f"{shown}; band {band_text(band, parameter)}.",
            rows[-1].entry,
        )


def _maturing(site: Site) -> Iterator[Step]:
    stage = site.shown.one("maturing_stage")
    what = "Ammonia and nitrite used up within a day of a dose, twice."
    if stage is None:
        yield Step(what, "missing", "Ammonia and nitrite have not been tested.")
        return
    entry = next((i.entry for i in reversed(stage.inputs) if i.entry), "")
    state = "measured" if int(stage.value) == max(STAGES) else "missing"
    yield Step(what, state, f"Stage {stage.value:.0f} of {max(STAGES)}: {stage.note}", entry)


def _animals(site: Site) -> Iterator[Step]:
    added = site.tables.livestock[site.tables.livestock["event"] == "added"]
    if added.empty:
        yield Step("First animals.", "not yet", "No animal has been put in so far.")
    else:
        first = added.iloc[0]
        day = first["time"].date()
        yield Step(
            "First animals.",
            "logged",
            f"{first['name']}, {day_text(day)}, day {(day - site.journal.profile.start).days + 1}.",
            str(first["entry"]),
        )
