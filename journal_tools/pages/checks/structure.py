"""Checks of what carries the tank: stand, floor and glass. Cautions, never verdicts."""

from __future__ import annotations

from journal_tools.metrics import Result
from journal_tools.metrics.structure import weights
from journal_tools.pages.checks.record import Check, Practice, amount, gauge, said
from journal_tools.pages.shares import lengths_html, shares_html
from journal_tools.pages.site import Site
from journal_tools.science.structure.load import FLOOR_LOADS, HAZARDS, STANDARD_GRAVITY_M_S2
from journal_tools.words import number_text

_STAND = Practice(0, 100, "A stand is meant to carry no more than its maker rates it for.")


def stand_check(site: Site) -> Check | None:
    """Give the check of stand and floor."""
    weight = site.shown.one("system_weight")
    if weight is None:
        return None
    share, foot = site.shown.one("stand_share"), site.shown.one("foot_load")
    pressure = site.shown.one("footprint_pressure")
    missing = [] if share else ["stand: {rated_load: 600 kg, length: 110, width: 55, feet: 6}"]
    drawn = gauge(site, share, _STAND) if share else ""
    return Check(
        "stand", "Stand and floor", _carried(site, weight, share, foot), weight,
        drawn + _by_part(site), f"{_STAND.words} {_floors(site)}",
        "People leaning on it, a full reservoir beside it, and more rock add to it; a stand that "
        f"rocks puts the load on fewer feet. {HAZARDS[1]} {HAZARDS[2]}",
        [r for r in (share, pressure, foot) if r is not None], missing, hazards=["load"],
    )  # fmt: skip


def _carried(site: Site, weight: Result, share: Result | None, foot: Result | None) -> str:
    sentence = f"Filled, the system has a mass of about {said(weight)}"
    sentence += f", {said(share)} of what the stand is rated for" if share else ""
    pressure = site.metrics.one("footprint_pressure")
    if pressure is not None:
        sentence += f"; its footprint carries {_each_area(site, pressure.value)}"
    sentence += f", and about {said(foot)} under a foot" if foot else ""
    return f"{sentence}."


def _each_area(site: Site, kpa: float) -> str:
    """Give a pressure as people say it: the mass on each square metre or square foot."""
    if "kPa" in site.display.measures:
        return amount(site, kpa, "kPa", 1).replace("lb/ft²", "lb on each square foot")
    kg = number_text(kpa * 1000 / STANDARD_GRAVITY_M_S2, -1)
    return f"{kg} kg on each square metre ({kpa:.1f} kPa)"


def _by_part(site: Site) -> str:
    """Draw the filled weight by its parts."""
    net = site.metrics.one("net_volume")
    if net is None:
        return ""
    parts = [(name, part.value) for name, part in weights(site.tables, net)]
    return shares_html(parts, lambda kg: amount(site, kg, "kg"))


def _floors(site: Site) -> str:
    """Compare with what floors of homes are designed for, by the code nearer to the journal."""
    homes = FLOOR_LOADS[2 if "kPa" in site.display.measures else 0]
    low, high = (amount(site, end, "kPa", 1) for end in (homes.low_kpa, homes.high_kpa))
    range_words = low if low == high else f"{low.split()[0]} to {high}"
    return (
        f"For comparison, {homes.name} are designed for {range_words} spread over the whole room "
        f"({homes.source}). A tank is a small heavy spot: whether a floor carries it depends on "
        "beams and walls. Ask a structural engineer."
    )


def glass_check(site: Site) -> Check | None:
    """Give the check of the longest pane of each glass vessel."""
    stresses = site.shown.of("pane_stress")
    if not stresses:
        return None
    bends = site.shown.of("pane_deflection")
    bend = next((b for b in bends if b.subject == stresses[0].subject), None)
    sentence = f"Water pressure strains the longest pane of the {stresses[0].subject} with "
    sentence += f"{said(stresses[0])}"
    sentence += f" and bows it out by {said(bend)}." if bend else "."
    return Check(
        "glass", "Glass", sentence, stresses[0], _bow(site, stresses[0].subject),
        "Long-term strength of annealed glass is a small part of its short-term strength, "
        "and scratches, holes and silicone decide where it breaks. The figure is for comparing "
        "builds and for asking the maker, not for judging a tank (EN 16612, from memory).",
        "Thicker glass, a rim or braces, a lower water line.",
        [*([bend] if bend else []), *stresses[1:], *(b for b in bends if b is not bend)],
    )  # fmt: skip


def _bow(site: Site, name: str) -> str:
    """Draw the bow of a pane beside its thickness, at one scale."""
    bend = site.metrics.one("pane_deflection", name)
    vessel = next(v for v in site.journal.profile.vessels if v.name == name)
    if bend is None or vessel.glass_thickness is None:
        return ""
    glass_mm = vessel.glass_thickness.value * 10
    parts = [("thickness of the glass", glass_mm), ("bow of the pane", bend.value)]
    return lengths_html(parts, lambda mm: amount(site, mm, "mm", 1))
