"""Checks of lights: the day's light by spot, its hours, its spread, and how it begins."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

from journal_tools.gear import Acclimation, Lighting
from journal_tools.metrics import Result
from journal_tools.metrics.gear import in_use
from journal_tools.names import name_key
from journal_tools.pages.checks.record import NO_SOURCE, Check, Practice, gauge, said
from journal_tools.pages.drawings import lamp_figure
from journal_tools.pages.site import Site
from journal_tools.science.lighting.lamp_settings import acclimation_plan
from journal_tools.system import Equipment
from journal_tools.words import day_text, number_text, short_day

_LIGHT = Practice(
    3, 14,
    "Soft corals are usually kept at 3 to 6, large-polyped stony ones at 4 to 9, small-polyped "
    f"ones at 8 to 14 mol/m²/day, in 8 to 10 hours at full light ({NO_SOURCE}).",
)  # fmt: skip
_MOST_STEPS = 8


def light_checks(site: Site) -> Iterator[Check]:
    """Give a check for each light."""
    for piece in in_use(site.tables, "light"):
        found = [r for r in site.shown.of("daily_light") if r.subject.startswith(f"{piece.name}: ")]
        hours = site.shown.one("photoperiod", piece.name)
        if piece.light is None or hours is None:
            yield Check(
                f"light-{name_key(piece.name)}", f"Light: {piece.name}",
                "Its day and what was measured below it are not told yet.", practice=_LIGHT.words,
                missing=['light: {on: "10:00", off: "20:00", ramp: 60 min, par: {top: 250}}'],
                hazards=["mains"],
            )  # fmt: skip
        else:
            yield _light(site, piece, piece.light, sorted(found, key=lambda r: -r.value), hours)


def _light(
    site: Site, piece: Equipment, light: Lighting, found: Sequence[Result], hours: Result
) -> Check:
    plan = _slow_start(light.acclimation) if light.acclimation else ()
    drawn = lamp_figure(site, piece.name, light)
    return Check(
        f"light-{name_key(piece.name)}", f"Light: {piece.name}",
        _sentence(piece, light, found, hours), found[0] if found else hours,
        gauge(site, found[0], _LIGHT) if found else "", _LIGHT.words,
        " ".join([*_spectrum(light), *_height(light), *_acclimation(light, site.today),
                  "A channel's percentage is not light; measure again after each change."]),
        [*found[1:], *([hours] if found else [])], _hints(light),
        [drawn] if drawn is not None else [], plan,
    )  # fmt: skip


def _sentence(piece: Equipment, light: Lighting, found: Sequence[Result], hours: Result) -> str:
    sentence = f"It is lit for {said(hours)} a day"
    if light.ramp is not None and light.ramp.value:
        sentence += f", {light.ramp.said} of rise and of fall included"
    if found:
        most, least = found[0], found[-1]
        places = [r.subject.removeprefix(f"{piece.name}: ") for r in (most, least)]
        sentence += f"; {places[0]} gets {said(most)} of light"
        if most is not least and most.value:
            share = number_text(100 * least.value / most.value, 0)
            sentence += f", and {places[1]}, the darkest of {len(found)} places, {share} % of that"
    return f"{sentence}."


def _spectrum(light: Lighting) -> Iterator[str]:
    if light.spectrum:
        shares = ", ".join(f"{share:g} % {colour}" for colour, share in light.spectrum.items())
        yield f"Its light is {shares}."


def _height(light: Lighting) -> Iterator[str]:
    if light.height is not None:
        yield (
            f"It hangs {light.height.said} above the water: higher spreads the light wider and "
            "weaker."
        )


def _acclimation(light: Lighting, today: dt.date) -> Iterator[str]:
    if (plan := light.acclimation) is None:
        return
    end = plan.start + dt.timedelta(days=plan.days)
    rises = "rose" if end < today else "rises"
    yield (
        f"From {day_text(plan.start)} it {rises} from {plan.from_share.said} of its full light to "
        f"all of it on {day_text(end)}; corals that pale or close ask for a slower start "
        f"({NO_SOURCE})."
    )


def _slow_start(plan: Acclimation) -> list[tuple[str, str]]:
    """Give the plan of a slow start as a table, its days thinned to a few."""
    shares = acclimation_plan(max(1.0, plan.days), plan.from_share.value / 100)
    step = max(1, -(-(len(shares) - 1) // (_MOST_STEPS - 1)))
    days = sorted({*range(0, len(shares), step), len(shares) - 1})
    rows = [
        (short_day(plan.start + dt.timedelta(days=day)), f"{number_text(100 * shares[day], 0)} %")
        for day in days
    ]
    return [("Slow start, by day", "Of full light"), *rows]


def _hints(light: Lighting) -> list[str]:
    hints = []
    if len(light.par) < 2:
        hints.append("par: {top of the rock: 250, sand: 90}|in µmol/m²/s, by a meter")
    if light.height is None:
        hints.append("height: 25 cm|of the lamp above the water")
    if not light.spectrum:
        hints.append("spectrum: {blue: 60, white: 40}|in percent, if its maker says so")
    if light.acclimation is None:
        hints.append(
            "acclimation: {start: 2026-03-01, days: 30, from_share: 50 %}|for new corals or lamps"
        )
    return hints
