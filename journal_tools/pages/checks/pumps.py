"""Checks of what moves the water: return pump, plumbing, circulation."""

from __future__ import annotations

from collections.abc import Sequence

from journal_tools.metrics import Result
from journal_tools.metrics.gear import in_use
from journal_tools.names import name_key
from journal_tools.pages.checks.record import NO_SOURCE, Check, Practice, gauge, said
from journal_tools.pages.drawings import pump_figure
from journal_tools.pages.figures import Figure
from journal_tools.pages.site import Site

_TURNOVER = Practice(
    3, 10,
    "About 10 times an hour is usual where filtration sits in a sump, so that dirt and surface "
    "film reach it quickly; 3 to 5 is usual where pumps in the tank do the mixing, for it saves "
    f"power, noise and bubbles ({NO_SOURCE}).",
)  # fmt: skip
_CIRCULATION = Practice(
    20,
    50,
    "20 to 50 times an hour by the boxes' figures is usual in a mixed reef; 10 to 20 for "
    f"soft corals, and up to 100 where small-polyped stony ones grow ({NO_SOURCE}).",
)


def return_checks(site: Site) -> list[Check]:
    """Give a check for each return pump, or a hint where there is none."""
    turnovers = site.shown.of("turnover")
    known = {turnover.subject for turnover in turnovers}
    rated = [r for r in site.shown.of("rated_turnover") if r.subject not in known]
    if not turnovers and not rated:
        hint = "equipment: [{name: return pump, kind: return pump, rated_flow: 3000 L/h}]"
        sentence = "No return pump is described yet."
        return [Check("return-pump", "Return pump", sentence, missing=[hint])]
    return [*(_real(site, t) for t in turnovers), *(_by_box(site, r) for r in rated)]


def _real(site: Site, turnover: Result) -> Check:
    name = turnover.subject
    flow, box = site.shown.one("return_flow", name), site.shown.one("rated_turnover", name)
    assert flow is not None
    rated = f"; its box promises {said(box)}" if box else ""
    sentence = (
        f"Up this height and through these pipes it moves about {said(flow)}, which turns all the "
        f"water over {said(turnover)}{rated}."
    )
    lost, gained = (_about(site, metric, name) for metric in ("flow_lost", "flow_gained"))
    return Check(
        f"return-{name_key(name)}", f"Return pump: {name}", sentence, turnover,
        gauge(site, turnover, _TURNOVER), _TURNOVER.words, _changes(name, lost, gained),
        [flow, *([box] if box else []), *lost[:3], *gained[:2]],
        pictures=_picture(site, name),
    )  # fmt: skip


def _picture(site: Site, name: str) -> list[Figure]:
    """Draw the pump's curve against its pipes."""
    pump = next(p for p in in_use(site.tables, "return pump") if p.name == name)
    flow = site.metrics.one("return_flow", name)
    drawn = pump_figure(site, pump, flow) if flow is not None else None
    return [drawn] if drawn is not None else []


def _about(site: Site, metric: str, name: str) -> list[Result]:
    found = [r for r in site.shown.of(metric) if r.subject.startswith(f"{name}: ")]
    return sorted(found, key=lambda result: -result.value)


def _changes(name: str, lost: Sequence[Result], gained: Sequence[Result]) -> str:
    """Say what the costliest part takes and what a wider pipe would give."""
    words = []
    if lost:
        part = lost[0].subject.removeprefix(f"{name}: ")
        words.append(f"The part that costs most is the {part}: it takes {said(lost[0])}.")
    if gained:
        part = gained[0].subject.removeprefix(f"{name}: ")
        words.append(f"A wider bore ({part}) would give {said(gained[0])} more.")
    words.append("Dirt and growth in pump and pipes take from it over the months.")
    return " ".join(words)


def _by_box(site: Site, result: Result) -> Check:
    return Check(
        f"return-{name_key(result.subject)}", f"Return pump: {result.subject}",
        f"By its box it would turn all the water over {said(result)}; the real flow is less.",
        result,
        gauge(site, result, _TURNOVER), _TURNOVER.words,
        "Height and pipes take a third to a half of a box's figure in most systems "
        f"({NO_SOURCE}).",
        missing=["curve: [{flow: 0 L/h, head: 3 m}, …]|of that pump, three points or more",
                 "plumbing: {static_head: 1.2 m, pipes: [{length: 2 m, bore: 25 mm}]}"],
    )  # fmt: skip


def circulation_check(site: Site) -> Check:
    """Give the check of the pumps inside the tank."""
    found = site.shown.one("circulation")
    if found is None:
        return Check(
            "circulation", "Flow in the tank", "No circulation pump is described yet.",
            missing=[
                "equipment: [{name: flow pump, kind: circulation pump, rated_flow: 5000 L/h}]"
            ],
        )  # fmt: skip
    return Check(
        "circulation", "Flow in the tank",
        "By their boxes the pumps in the tank move as much water as the system holds "
        f"{said(found)}.",
        found,
        gauge(site, found, _CIRCULATION), _CIRCULATION.words,
        "Placing, pulsing and rock decide what reaches a coral. Dirt that settles, and polyps that "
        "do not open, tell more than this figure.",
    )  # fmt: skip
