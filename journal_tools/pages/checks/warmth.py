"""Checks of heat and light."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from journal_tools.gear import Lighting
from journal_tools.metrics import Result
from journal_tools.metrics.gear import in_use
from journal_tools.names import name_key
from journal_tools.pages.checks.record import NO_SOURCE, Check, Practice, gauge, said
from journal_tools.pages.drawings import lamp_figure
from journal_tools.pages.site import Site, interval_text
from journal_tools.system import Equipment
from journal_tools.words import day_text, number_text

_ROOM = "room: {coldest: 17, warmest: 29, humidity: 50 %}"
_LIGHT = Practice(
    3, 14,
    "Soft corals are usually kept at 3 to 6, large-polyped stony ones at 4 to 9, small-polyped "
    f"ones at 8 to 14 mol/m²/day ({NO_SOURCE}).",
)  # fmt: skip
_TARGET = (
    f"25 to 26 °C (77 to 79 °F) is usual, with less than 1 °C a day of swing ({NO_SOURCE}). Two "
    "smaller heaters fail less badly than one large one, and a second device that can switch them "
    "off guards against a thermostat that sticks."
)


def heater_check(site: Site) -> Check:
    """Give the check of the heating for the coldest room."""
    needed = site.shown.one("heater_needed")
    heaters = [p for p in in_use(site.tables, "heater") if p.power is not None]
    if needed is None:
        return Check("heater", "Heating", "How cold the room gets is not known yet.",
                     practice=_TARGET, missing=[_ROOM])  # fmt: skip
    fitted = sum(piece.power.value for piece in heaters if piece.power)
    sentence = f"The coldest room asks for {said(needed)} of heating ({interval_text(needed)})"
    sentence += f"; {number_text(fitted, 0)} W are fitted." if fitted else "; none is described."
    losses = [r for r in site.shown.of("heat_loss") if r.subject == "coldest room"]
    uncontrolled = [piece.name for piece in heaters if not piece.controlled]
    single = [] if len(heaters) > 1 else ["a second heater: one alone leaves nothing if it fails"]
    guard = [f"controlled: true of {name}, if a second device can switch it off"
             for name in uncontrolled]  # fmt: skip
    return Check(
        "heater", "Heating", sentence, needed,
        gauge(site, needed, Practice(0, fitted, "")) if fitted else "", _TARGET,
        "A colder or drier room, more surface movement, an open sump; a cover saves most.",
        [*losses, *site.shown.of("heat_without")], [*single, *guard],
    )  # fmt: skip


def cooling_check(site: Site) -> Check | None:
    """Give the check of the cooling for the warmest room."""
    needed = site.shown.one("cooling_needed")
    if needed is None:
        return None
    chillers = in_use(site.tables, "chiller")
    fitted = sum(piece.cooling.value for piece in chillers if piece.cooling)
    fans = [piece.name for piece in in_use(site.tables, "fan")]
    there = (
        f"{number_text(fitted, 0)} W of cooling are fitted" if fitted else "no chiller is fitted"
    )
    there += f", fans: {', '.join(fans)}" if fans else ""
    losses = [r for r in site.shown.of("heat_loss") if r.subject == "warmest room"]
    if needed.value <= 0:
        sentence = "Evaporation outweighs what the warmest room and the gear bring in."
    else:
        sentence = f"The warmest room and the gear bring in {said(needed)} more than evaporation "
        sentence += f"takes; {there}."
    return Check(
        "cooling", "Cooling", sentence, needed,
        changes="A fan over the water cools by evaporating more (about 28 W for each litre a day), "
        "which the top-off must replace. A chiller heats the room that it stands in.",
        others=losses,
    )  # fmt: skip


def light_checks(site: Site) -> Iterator[Check]:
    """Give a check for each light."""
    for piece in in_use(site.tables, "light"):
        found = [r for r in site.shown.of("daily_light") if r.subject.startswith(f"{piece.name}: ")]
        hours = site.shown.one("photoperiod", piece.name)
        if piece.light is None or hours is None:
            yield Check(f"light-{name_key(piece.name)}", f"Light: {piece.name}",
                        "Its day and what was measured below it are not told yet.", missing=[
                            'light: {on: "10:00", off: "20:00", ramp: 60 min, par: {top: 250}}'
                        ])  # fmt: skip
        else:
            yield _light(site, piece, piece.light, sorted(found, key=lambda r: -r.value), hours)


def _light(
    site: Site, piece: Equipment, light: Lighting, found: Sequence[Result], hours: Result
) -> Check:
    sentence = f"It is lit for {said(hours)} a day"
    if found:
        most, least = found[0], found[-1]
        places = [r.subject.removeprefix(f"{piece.name}: ") for r in (most, least)]
        sentence += f"; {places[0]} gets {said(most)}"
        if most is not least:
            sentence += f", {places[1]} {said(least)}"
    told = [*_spectrum(light), *_height(light), *_acclimation(light)]
    return Check(
        f"light-{name_key(piece.name)}", f"Light: {piece.name}", f"{sentence}.",
        found[0] if found else hours, gauge(site, found[0], _LIGHT) if found else "", _LIGHT.words,
        " ".join([*told, "A channel's percentage is not light; measure again after each change."]),
        [*found[1:], *([hours] if found else [])],
        [] if light.par else ["par: {top of the rock: 250, sand: 90}, in µmol/m²/s, by a meter"],
        [drawn] if (drawn := lamp_figure(site, piece.name, light)) is not None else [],
    )  # fmt: skip


def _spectrum(light: Lighting) -> Iterator[str]:
    if light.spectrum:
        shares = ", ".join(f"{share:g} % {colour}" for colour, share in light.spectrum.items())
        yield f"Of its light {shares}."


def _height(light: Lighting) -> Iterator[str]:
    if light.height is not None:
        yield f"It hangs {light.height.said} above the water."


def _acclimation(light: Lighting) -> Iterator[str]:
    if (plan := light.acclimation) is not None:
        yield (
            f"From {day_text(plan.start)} it rises from {plan.from_share.said} to its plateau in "
            f"{plan.days:g} days."
        )
