"""Dosing: what goes in, what it lifts, and what the tank uses up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from journal_tools.metrics import Result
from journal_tools.metrics.consumption import CONSUMED
from journal_tools.metrics.record import CAUTIONS
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Page
from journal_tools.parameters import PARAMETERS, Parameter

_INTERVALS_SHOWN = 12


@dataclass(frozen=True)
class Product:
    """A supplement with what was dosed of it and what that lifts."""

    name: str
    recipe: str
    per_day: list[Result]
    total: list[Result]
    lifts: list[tuple[str, Result]]


@dataclass(frozen=True)
class Uptake:
    """Consumption of one parameter: the newest figure and the intervals behind it."""

    parameter: Parameter
    recent: Result
    intervals: Sequence[Result]


def dosing_page(site: Site) -> Page:
    """Give the dosing page."""
    uptakes = [
        Uptake(
            site.display.parameters[name],
            recent,
            site.shown.of("consumption_between_tests", name)[-_INTERVALS_SHOWN:][::-1],
        )
        for name in CONSUMED
        if (recent := site.shown.one("consumption", name)) is not None
    ]
    return site.page(
        "dosing.html",
        "dosing",
        "Dosing",
        description=f"Supplements and consumption of {site.journal.profile.name}.",
        products=_products(site),
        uptakes=uptakes,
        caution=CAUTIONS["chemical"],
    )


def _products(site: Site) -> list[Product]:
    names = [s.name for s in site.journal.profile.supplements]
    names += [r.subject for r in site.shown.of("dose_total") if r.subject not in names]
    return [
        Product(
            name,
            _recipe(site, name),
            site.shown.of("dose_per_day", name),
            site.shown.of("dose_total", name),
            [
                (PARAMETERS[parameter].label, result)
                for parameter in PARAMETERS
                for result in site.shown.of("dose_effect", f"{name}: {parameter}")
            ],
        )
        for name in names
    ]


def _recipe(site: Site, name: str) -> str:
    found = [s for s in site.journal.profile.supplements if s.name == name]
    if not found:
        return "Not described in the profile: its strength is unknown."
    supplement = found[0]
    if supplement.salts:
        salts = ", ".join(f"{mass.said} {salt}" for salt, mass in supplement.salts.items())
        made_up = supplement.made_up_to
        return f"{salts} made up to {made_up.said}" if made_up else f"{salts}, dosed dry"
    if supplement.potency:
        potency = supplement.potency
        raises = ", ".join(
            f"{PARAMETERS[key].label.lower()} by {quantity.value:g} {PARAMETERS[key].unit}"
            for key in type(potency.raises).model_fields
            if (quantity := getattr(potency.raises, key)) is not None
        )
        return f"{potency.by.value:g} {potency.by.unit} in {potency.water.said} lifts {raises}"
    if supplement.no_effect:
        return "Lifts nothing that is tested, as the profile says."
    return "The profile tells neither salts nor potency: what it lifts is unknown."
