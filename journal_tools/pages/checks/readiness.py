"""From bare tank to first animals: what was measured, what is missing. Never that it is safe."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from journal_tools.names import name_key
from journal_tools.pages.site import Site
from journal_tools.science.maturing import STAGES
from journal_tools.tables import rows_of
from journal_tools.words import ago, band_text, day_text, reading_text

_STEADY_TESTS = 3
_WATCHED = ("temperature", "salinity", "alkalinity")


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the list.

    Attributes:
        what: What is asked.
        state: ``measured``, ``outside`` or ``missing``.
        evidence: What it rests on, or what to do.
        entry: Entry that shows it, or ``""``.
    """

    what: str
    state: str
    evidence: str
    entry: str = ""


def readiness(site: Site) -> list[Step]:
    """Give the list, in the order of a build."""
    return [*_build(site), *_precautions(site), *_water(site), *_maturing(site), *_animals(site)]


def _build(site: Site) -> Iterator[Step]:
    net, margin = site.shown.one("net_volume"), site.shown.one("sump_margin")
    if net is None:
        yield Step("Net volume.", "missing", "Give the inside measures in tank.yml.")
    else:
        how = "measured" if site.journal.profile.fill.measured_volume else "by tape measure"
        yield Step("Net volume.", "measured", f"{net.value:.0f} {net.unit}, {how}.")
    if margin is not None:
        state = "measured" if (margin.low or 0) > 0 else "outside"
        yield Step(
            "Room in the sump for a power cut.",
            state,
            f"{margin.value:.0f} {margin.unit} left by the sum; try it with the plug.",
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
            what, "measured", f"Last {ago(last['time'].date(), site.today)}.", str(last["entry"])
        )


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
        yield Step("First animals.", "missing", "None yet.")
    else:
        first = added.iloc[0]
        day = first["time"].date()
        yield Step(
            "First animals.",
            "measured",
            f"{first['name']}, {day_text(day)}, day {(day - site.journal.profile.start).days + 1}.",
            str(first["entry"]),
        )
