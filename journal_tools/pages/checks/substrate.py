"""The check of sand and rock: how much, how deep, and what their start means for maturing."""

from __future__ import annotations

from collections.abc import Sequence

from journal_tools.metrics import Result
from journal_tools.pages.checks.record import (
    NO_SOURCE,
    Check,
    Practice,
    amount,
    gauge,
    ranged,
    said,
)
from journal_tools.pages.site import Site
from journal_tools.system import Fill

_DEPTH_CM = (2.0, 5.0)
_ROCK_KG_100L = (5.0, 12.0)
_STARTS = {
    "dry": "Dry rock starts without bacteria and without pests: bacteria must be brought in and "
    "fed, which usually takes weeks, and ammonia must be seen to rise and to go before animals "
    "come",
    "live": "Live rock brings bacteria with it, so ammonia may be used up early; what died on the "
    "way feeds ammonia, and algae, pests and stinging animals may come along. Test it as you "
    "would a dry start",
}


def substrate_check(site: Site) -> Check | None:
    """Give the check of sand and rock."""
    depths, rock = site.shown.of("sand_depth"), site.shown.one("rock_amount")
    fill = site.journal.profile.fill
    if not depths and rock is None:
        return None
    sentence = "; ".join([*_sand_words(fill, depths), *_rock_words(site, fill, rock)])
    depth = Practice(*_DEPTH_CM, "")
    starts = sorted({r.start for r in fill.rock if r.start})
    return Check(
        "substrate", "Sand and rock", sentence[:1].upper() + sentence[1:] + ".",
        depths[0] if depths else rock, gauge(site, depths[0], depth) if depths else "",
        " ".join([_usual(site), *(f"{_STARTS[s]} ({NO_SOURCE})." for s in starts)]),
        "Pores of the rock, sand under the rock, and cleaning.",
        [*depths[1:], *([rock] if rock and depths else []), *site.shown.of("displacement")],
        _untold(fill), hazards=["animal"] if "live" in starts else [],
    )  # fmt: skip


def _usual(site: Site) -> str:
    return (
        f"1 to 2 mm aragonite, {ranged(site, *_DEPTH_CM, 'cm')} deep, is usual: finer sand blows "
        "about in strong flow, coarser traps dirt; some keep none. "
        f"{ranged(site, *_ROCK_KG_100L, 'kg/100 L')} of rock is usual, less if it is porous "
        f"({NO_SOURCE})."
    )


def _sand_words(fill: Fill, depths: Sequence[Result]) -> list[str]:
    words = []
    for depth in depths:
        sand = next((s for s in fill.sand if s.name == depth.subject), None)
        told = sand and (sand.mass or sand.bed_volume)
        mass = f"{told.said} of " if told else ""
        grain = f" ({sand.grain.said} grains)" if sand and sand.grain else ""
        words.append(f"{mass}{depth.subject}{grain} lies {said(depth)} deep if spread evenly")
    return words


def _rock_words(site: Site, fill: Fill, rock: Result | None) -> list[str]:
    if rock is None:
        return []
    kg = sum(r.mass.value for r in fill.rock if r.mass) / 1000
    came = sorted({r.start for r in fill.rock if r.start})
    start = f", {' and '.join(came)} at the start" if came else ""
    return [f"there are {amount(site, kg, 'kg')} of rock, {said(rock)} of water{start}"]


def _untold(fill: Fill) -> list[str]:
    hints = []
    if not any(sand.grain for sand in fill.sand):
        hints.append("fill: {sand: {mass: 16 kg, grain: 1.5 mm}}")
    if not any(rock.start for rock in fill.rock):
        hints.append("fill: {rock: {mass: 20 kg, start: dry}}|or live")
    return hints
