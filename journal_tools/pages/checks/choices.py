"""Before buying: planned pieces that are a choice between each other, each tried on this system."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from journal_tools.metrics import BUILD_METRICS, Metrics, Result, compute_metrics
from journal_tools.metrics.electricity import running_hours
from journal_tools.metrics.record import Hazard
from journal_tools.names import name_key
from journal_tools.pages.checks.record import said
from journal_tools.pages.money import money_text
from journal_tools.pages.site import Site
from journal_tools.science.warmth.electricity import (
    DAYS_PER_YEAR,
    energy_cost,
    energy_kwh,
    mean_power_w,
)
from journal_tools.system import Equipment
from journal_tools.tables import Tables

YEARS = 5


@dataclass(frozen=True)
class Choice:
    """Candidates beside each other.

    Attributes:
        id: Anchor.
        name: What is to be chosen.
        sentence: What tells them apart most, in one sentence.
        candidates: Their names.
        rows: Label and one cell for each candidate.
        note: What the table leaves out.
        hazards: Cautions that go with its figures.
    """

    id: str
    name: str
    sentence: str
    candidates: Sequence[str]
    rows: Sequence[tuple[str, list[str]]]
    note: str
    hazards: Sequence[Hazard] = ()


@dataclass(frozen=True)
class _Tried:
    """A candidate and the figures of the system with it in service."""

    piece: Equipment
    figures: Metrics
    cost: float | None


def choices_of(site: Site) -> list[Choice]:
    """Give every choice of the profile that has two candidates or more."""
    groups: dict[str, list[Equipment]] = {}
    for piece in site.journal.profile.equipment:
        if piece.choice is not None and piece.planned_on(site.today):
            groups.setdefault(piece.choice, []).append(piece)
    return [_choice(site, name, found) for name, found in groups.items() if len(found) > 1]


def with_candidate(tables: Tables, piece: Equipment) -> Tables:
    """Give the tables of the system in which a candidate has taken the place of its kind.

    All other candidates of the choice, and what is in service of the same kind, are left out.
    """
    tried = piece.model_copy(update={"planned": False, "installed": None, "choice": None})
    others = [
        other
        for other in tables.profile.equipment
        if other.kind != piece.kind and (other.choice is None or other.choice != piece.choice)
    ]
    profile = tables.profile.model_copy(update={"equipment": [*others, tried]})
    return replace(tables, profile=profile)


def _choice(site: Site, name: str, pieces: Sequence[Equipment]) -> Choice:
    tried = [_try(site, piece) for piece in pieces]
    rows = [(label, [make(one) for one in tried]) for label, make in _rows(site, pieces)]
    told = [(label, cells) for label, cells in rows if any(cell != "–" for cell in cells)]
    return Choice(
        f"choice-{name_key(name)}", name, _sentence(site, tried),
        [one.piece.name for one in tried], told,
        _note(site, pieces), _candidate_hazards(pieces),
    )  # fmt: skip


def _note(site: Site, pieces: Sequence[Equipment]) -> str:
    """Say what the sum over years is made of, and what it cannot know."""
    words = f"Over {YEARS} years: price, bought again when it has lasted"
    words += ", and electricity at today's tariff" if site.journal.profile.tariff else ""
    words += ". Noise, service and failures are not in it, and makers' figures differ in honesty."
    if any(piece.kind == "heater" for piece in pieces):
        words += " Heaters turn electricity into the same heat, so theirs is left out unless "
        words += "hours_per_day is told."
    untold = [piece.name for piece in pieces if piece.price is None]
    return words + (f" No price is told for {', '.join(untold)}." if untold else "")


def _candidate_hazards(pieces: Sequence[Equipment]) -> Sequence[Hazard]:
    return ["mains"] if any(piece.kind not in ("stand", "vessel") for piece in pieces) else ["load"]


def _try(site: Site, piece: Equipment) -> _Tried:
    figures = compute_metrics(with_candidate(site.tables, piece), BUILD_METRICS)
    return _Tried(piece, site.display.metrics(figures), five_year_cost(site.tables, piece))


def five_year_cost(tables: Tables, piece: Equipment) -> float | None:
    """Give price and electricity of a piece over five years, or None where no price is told."""
    if piece.price is None or not tables.profile.privacy.show_costs:
        return None
    times = math.ceil(YEARS * DAYS_PER_YEAR / piece.lasts.value - 1e-9) if piece.lasts else 1
    return piece.price * times + (_electricity(tables, piece) or 0.0)


def _electricity(tables: Tables, piece: Equipment) -> float | None:
    hours, tariff = running_hours(piece), tables.profile.tariff
    if piece.power is None or hours is None or tariff is None:
        return None
    energy = energy_kwh(mean_power_w(piece.power.value, hours), YEARS * DAYS_PER_YEAR)
    return energy_cost(energy, tariff)


def _rows(site: Site, pieces: Sequence[Equipment]) -> list[tuple[str, Callable[[_Tried], str]]]:
    currency = site.journal.profile.currency

    def figure(metric: str) -> Callable[[_Tried], str]:
        def cell(one: _Tried) -> str:
            result = one.figures.one(metric)
            return said(result) if result is not None else "–"

        return cell

    def money(value: float | None) -> str:
        return money_text(value, currency) if value is not None else "–"

    kinds = {
        "return pump": [("Real flow", figure("return_flow")), ("Turnover", figure("turnover"))],
        "circulation pump": [("Flow in the tank", figure("circulation"))],
        "heater": [("Coldest room asks for", figure("heater_needed"))],
        "chiller": [
            ("Warmest room asks for", figure("cooling_needed")),
            ("Cooling", lambda one: one.piece.cooling.said if one.piece.cooling else "–"),
        ],
        "light": [
            ("Hours a day", figure("photoperiod")),
            ("Brightest place", _brightest),
            ("Darkest place", _darkest),
        ],
    }
    own = [row for piece in pieces for row in kinds.get(piece.kind, [])]
    shown = site.journal.profile.privacy.show_costs
    return [
        ("Power", lambda one: one.piece.power.said if one.piece.power else "–"),
        *dict(own).items(),
        ("Price", lambda one: money(one.piece.price if shown else None)),
        ("Expected to last", lambda one: one.piece.lasts.said if one.piece.lasts else "–"),
        (f"Electricity, {YEARS} years",
         lambda one: money(_electricity(site.tables, one.piece) if shown else None)),
        (f"In all, {YEARS} years", lambda one: money(one.cost)),
    ]  # fmt: skip


def _brightest(one: _Tried) -> str:
    found = _by_light(one)
    return said(found[-1]) if found else "–"


def _darkest(one: _Tried) -> str:
    found = _by_light(one)
    return said(found[0]) if len(found) > 1 else "–"


def _by_light(one: _Tried) -> list[Result]:
    places = one.figures.of("daily_light")
    mine = [r for r in places if r.subject.startswith(f"{one.piece.name}: ")]
    return sorted(mine, key=lambda result: result.value)


def _sentence(site: Site, tried: Sequence[_Tried]) -> str:
    """Say which costs least, and what share each heater has of what the room asks for."""
    priced = [(one.cost, one.piece.name) for one in tried if one.cost is not None]
    words = []
    if len(priced) > 1:
        cheapest, dearest = min(priced), max(priced)
        currency = site.journal.profile.currency
        saved = money_text(dearest[0] - cheapest[0], currency, whole=True)
        words.append(
            f"over {YEARS} years the {cheapest[1]} costs {saved} less than the {dearest[1]}"
        )
    shares = [f"the {one.piece.name} has {share:.0f} %" for one in tried
              if (share := _share_of_heat(one)) is not None]  # fmt: skip
    if shares:
        words.append(f"of what the coldest room asks for {', '.join(shares)} alone")
    sentence = "; ".join(words) or "what tells them apart is in the table"
    return f"{sentence[:1].upper()}{sentence[1:]}."


def _share_of_heat(one: _Tried) -> float | None:
    needed = one.figures.one("heater_needed")
    if one.piece.kind != "heater" or needed is None or one.piece.power is None:
        return None
    return 100 * one.piece.power.value / needed.value if needed.value > 0 else None
