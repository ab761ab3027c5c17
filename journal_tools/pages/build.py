"""The build: vessels, water volume, pumps and the register of equipment."""

from __future__ import annotations

from dataclasses import dataclass

from journal_tools.metrics import Result
from journal_tools.metrics.record import CAUTIONS
from journal_tools.pages.figures import cost_figure
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Page
from journal_tools.system import Equipment


@dataclass(frozen=True)
class Piece:
    """A piece of equipment with its history."""

    name: str
    kind: str
    facts: Equipment | None
    history: list[tuple[str, str, str]]
    state: str


def build_page(site: Site) -> Page:
    """Give the build page."""
    results = site.shown
    return site.page(
        "build.html",
        "build",
        "Build",
        description=f"Vessels, volume and equipment of {site.journal.profile.name}.",
        net_volume=results.one("net_volume"),
        vessels=results.of("gross_volume"),
        displacement=results.of("displacement"),
        flows=[*results.of("return_flow"), *results.of("turnover"), *results.of("rated_turnover")],
        pieces=pieces(site),
        cost_total=results.one("cost_total"),
        costs=_by_size(results.of("cost_by_category")),
        cost_figure=cost_figure(site),
        mains_caution=CAUTIONS["mains"],
    )


def _by_size(results: list[Result]) -> list[Result]:
    return sorted(results, key=lambda result: -result.value)


def pieces(site: Site) -> list[Piece]:
    """Give every piece that the profile or an entry names, with what happened to it."""
    declared = {piece.name: piece for piece in site.journal.profile.equipment}
    events = site.tables.equipment
    names = [*declared, *(n for n in dict.fromkeys(events["name"]) if n not in declared)]
    found = []
    for name in names:
        rows = events[events["name"] == name]
        history = [
            (
                row.event,
                row.entry,
                f"{row.time:%Y-%m-%d}" + (f": {row.detail}" if row.detail else ""),
            )
            for row in rows.itertuples()
        ]
        facts = declared.get(name)
        kind = facts.kind if facts else "other"
        planned = facts is not None and facts.planned_on(site.today)
        state = "planned" if planned else site.tables.state_of(name)
        found.append(Piece(name, kind, facts, history, state))
    return found
