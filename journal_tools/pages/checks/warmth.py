"""Checks of heater and chiller: the worst room, what stands by, what switches it off."""

from __future__ import annotations

from collections.abc import Sequence

from journal_tools.metrics.gear import in_use
from journal_tools.metrics.warmth import HEAT_SHARE
from journal_tools.pages.checks.record import NO_SOURCE, Check, Practice, gauge, said
from journal_tools.pages.checks.water import room_example
from journal_tools.pages.shares import lengths_html, shares_html
from journal_tools.pages.site import Site, interval_text
from journal_tools.system import Equipment
from journal_tools.words import counted, number_text

_TARGET = (
    f"25 to 26 °C (77 to 79 °F) is usual, with less than 1 °C (2 °F) a day of swing ({NO_SOURCE})."
)
_TWO = (
    "Two smaller heaters fail less badly than one large one, and a second device that can switch "
    f"them off guards against a thermostat that sticks ({NO_SOURCE})."
)


def heater_check(site: Site) -> Check:
    """Give the check of the heating for the coldest room."""
    needed = site.shown.one("heater_needed")
    heaters = [p for p in in_use(site.tables, "heater") if p.power is not None]
    cold, warm = room_example(site)
    if needed is None:
        return Check("heater", "Heating", "How cold the room gets is not known yet.",
                     practice=f"{_TARGET} {_TWO}", hazards=["mains"],
                     missing=[f"room: {{coldest: {cold}, warmest: {warm}, humidity: 50 %}}"],
                     )  # fmt: skip
    fitted = sum(piece.power.value for piece in heaters if piece.power)
    sentence = f"In its coldest room the tank asks for about {said(needed)} of heating"
    sentence += f" ({interval_text(needed)})" if interval_text(needed) else ""
    sentence += f"; {_fitted(site, heaters, fitted)}."
    losses = [r for r in site.shown.of("heat_loss") if r.subject == "coldest room"]
    return Check(
        "heater", "Heating", sentence, needed,
        gauge(site, needed, Practice(0, fitted, "")) if fitted else "", f"{_TARGET} {_TWO}",
        "A colder or drier room, more surface movement, an open sump; a cover saves most.",
        [*losses, *site.shown.of("heat_without")], _heater_hints(heaters),
        to_come=bool(heaters) and all(piece.planned_on(site.today) for piece in heaters),
    )  # fmt: skip


def _fitted(site: Site, heaters: Sequence[Equipment], watts: float) -> str:
    """Say what heats, what it is set to, and what guards it."""
    if not heaters:
        return "no heater is described"
    planned = all(piece.planned_on(site.today) for piece in heaters)
    points = [f"{p.name} at {p.set_point.said}" for p in heaters if p.set_point]
    words = f"{counted(len(heaters), 'heater')} with {number_text(watts, 0)} W "
    words += f"{'is' if len(heaters) == 1 else 'are'} {'planned' if planned else 'fitted'}"
    words += f" ({', '.join(points)})" if points else ""
    guarded = sum(piece.controlled for piece in heaters)
    if guarded == len(heaters):
        return f"{words}, with a second device that can switch off"
    return f"{words}, {guarded or 'none'} of them with a second device that can switch it off"


def _heater_hints(heaters: Sequence[Equipment]) -> list[str]:
    hints = []
    if heaters and not all(piece.set_point for piece in heaters):
        hints.append("set_point: 25.5 °C|of each heater")
    if heaters and not all(piece.controlled for piece in heaters):
        hints.append("controlled: true|where a second device can switch a heater off")
    return hints


def cooling_check(site: Site) -> Check | None:
    """Give the check of the cooling for the warmest room."""
    needed = site.shown.one("cooling_needed")
    if needed is None:
        return None
    fitted = sum(p.cooling.value for p in in_use(site.tables, "chiller") if p.cooling)
    losses = [r for r in site.shown.of("heat_loss") if r.subject == "warmest room"]
    if needed.value <= 0:
        sentence = "Evaporation outweighs what the warmest room and the equipment bring in"
    else:
        sentence = f"On the warmest day room and equipment bring in about {said(needed)} more heat "
        sentence += f"than evaporation takes; {_cooled_by(site, fitted)}"
    gallons = "L/day" in site.display.measures
    each = "107 W for each gallon a day" if gallons else "28 W for each litre a day"
    return Check(
        "cooling", "Cooling", f"{sentence}.", needed,
        _cooling_drawn(site, needed.value, fitted),
        "Most reef animals are kept below 28 °C (82 °F), and warm water holds less oxygen "
        f"({NO_SOURCE}).",
        f"A fan over the water cools by evaporating more (about {each}), "
        "which the top-off must replace. A chiller heats the room that it stands in.",
        losses, hazards=["mains"],
    )  # fmt: skip


def _cooling_drawn(site: Site, needed: float, fitted: float) -> str:
    """Draw the cooling beside what is asked for, or else what the equipment brings in."""

    def watts(value: float) -> str:
        return f"{number_text(value, -1 if value >= 100 else 0)} W"

    if fitted and needed > 0:
        return lengths_html([("asked for", needed), ("cooling fitted", fitted)], watts)
    pieces = in_use(site.tables, *HEAT_SHARE)
    brought = [(f"heat of {p.name}", p.power.value * HEAT_SHARE[p.kind]) for p in pieces if p.power]
    return shares_html(brought, watts)


def _cooled_by(site: Site, fitted: float) -> str:
    fans = [piece.name for piece in in_use(site.tables, "fan")]
    there = f"{number_text(fitted, 0)} W of cooling are there" if fitted else "there is no chiller"
    return there + (f", and fans: {', '.join(fans)}" if fans else " and no fan")
