"""Checks of what carries the tank: stand, floor and glass. Cautions, never verdicts."""

from __future__ import annotations

from journal_tools.pages.checks.record import NO_SOURCE, Check, Practice, gauge, said
from journal_tools.pages.site import Site
from journal_tools.science.load import FLOOR_LOADS

_STAND = Practice(0, 100, "A stand is meant to carry no more than its maker rates it for.")


def stand_check(site: Site) -> Check | None:
    """Give the check of stand and floor."""
    weight = site.shown.one("system_weight")
    if weight is None:
        return None
    share, foot = site.shown.one("stand_share"), site.shown.one("foot_load")
    pressure = site.shown.one("footprint_pressure")
    sentence = f"Filled, the system has a mass of about {said(weight)}"
    sentence += f", {said(share)} of what the stand is rated for" if share else ""
    sentence += f"; it presses on the floor with {said(pressure)}" if pressure else ""
    homes = FLOOR_LOADS[0]
    compared = (
        f"For comparison, {homes.name} are designed for {homes.low_kpa:g} to {homes.high_kpa:g} "
        f"kPa spread over the whole room ({homes.source}). A tank is a small heavy spot: whether a "
        "floor carries it depends on beams and walls. Ask a structural engineer."
    )
    missing = [] if share else ["stand: {rated_load: 600 kg, length: 110, width: 55, feet: 6}"]
    return Check(
        "stand", "Stand and floor", f"{sentence}.", weight,
        gauge(site, share, _STAND) if share else "", compared,
        "People leaning on it, a full reservoir beside it, and more rock add to it; a stand that "
        "rocks puts the load on fewer feet.",
        [r for r in (share, pressure, foot) if r is not None], missing,
    )  # fmt: skip


def glass_check(site: Site) -> Check | None:
    """Give the check of the longest pane of each glass vessel."""
    stresses = site.shown.of("pane_stress")
    if not stresses:
        return None
    bends = site.shown.of("pane_deflection")
    bend = next((b for b in bends if b.subject == stresses[0].subject), None)
    sentence = f"The longest pane of the {stresses[0].subject} is bent with {said(stresses[0])}"
    sentence += f" and bows out by {said(bend)}." if bend else "."
    return Check(
        "glass", "Glass", sentence, stresses[0],
        practice="Long-term strength of annealed glass is a small part of its short-term strength, "
        "and scratches, holes and silicone decide where it breaks. The figure is for comparing "
        "builds and for asking the maker, not for judging a tank.",
        changes="Thicker glass, a rim or braces, a lower water line.",
        others=[*([bend] if bend else []), *stresses[1:],
                *(b for b in bends if b is not bend)],
    )  # fmt: skip


def substrate_check(site: Site) -> Check | None:
    """Give the check of sand and rock."""
    depth, rock = site.shown.one("sand_depth"), site.shown.one("rock_amount")
    fill = site.journal.profile.fill
    if depth is None and rock is None:
        return None
    parts = []
    grains = [sand.grain.said for sand in fill.sand if sand.grain is not None]
    if depth is not None:
        of = f" of {' and '.join(grains)} grains" if grains else ""
        parts.append(f"the sand{of} lies {said(depth)} deep if spread evenly")
    if rock is not None:
        starts = {r.start for r in fill.rock if r.start}
        came = f", {' and '.join(sorted(starts))} from the start" if starts else ""
        parts.append(f"there are {said(rock)} of rock{came}")
    sentence = "; ".join(parts)
    others = [r for r in (rock,) if r is not None and depth is not None]
    return Check(
        "substrate", "Sand and rock", sentence[:1].upper() + sentence[1:] + ".", depth or rock,
        practice="1 to 2 mm aragonite, 2 to 5 cm deep, is usual: finer blows about, coarser traps "
        f"dirt; some keep none. 5 to 12 kg of rock for 100 L ({NO_SOURCE}). Dry rock matures from "
        "nothing and carries no pests; live rock brings bacteria and whatever lives in it.",
        changes="Pores of the rock, sand under the rock, and cleaning.",
        others=[*others, *site.shown.of("displacement")],
        missing=[] if grains else ["fill: {sand: {mass: 16 kg, grain: 1.5 mm}}"],
    )  # fmt: skip
