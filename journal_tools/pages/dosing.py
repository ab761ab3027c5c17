"""Dosing: what the tank uses up, what holds it, what goes in, and how long it lasts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from journal_tools.metrics import Result
from journal_tools.metrics.consumption import CONSUMED
from journal_tools.metrics.record import CAUTIONS
from journal_tools.pages.checks.record import said
from journal_tools.pages.drawings import estimate_figure
from journal_tools.pages.figures import Figure
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Page
from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.science.additives.calcification import calcium_per_dkh_mg_l
from journal_tools.science.estimation.ratio import LEAST_CALCIUM_PER_DKH_MG_L
from journal_tools.words import day_text, number_text

_INTERVALS_SHOWN = 12
_TOO_FEW = "it takes three tests within a month or so, and fewer are there"
_SALT_WORDS = {
    True: " (skimmer cup, splashes, and fresh water beyond what evaporates)",
    False: " (supplements leave salt behind, or evaporated water is not all replaced)",
}


@dataclass(frozen=True)
class Product:
    """A supplement with what was dosed of it, what that lifts and how long it lasts."""

    name: str
    recipe: str
    per_day: list[Result]
    total: list[Result]
    lifts: list[tuple[str, Result]]
    days_left: Result | None


@dataclass(frozen=True)
class Uptake:
    """Consumption of one parameter, for a beginner first.

    Attributes:
        parameter: What is used up, with the unit that is shown.
        sentence: What was found, in one sentence.
        figure: The one number: consumption now, else over the last tests; None where it is not
            known.
        others: More figures.
        course: The rate over time as a chart.
        holding: Dose that holds the level, with its arithmetic.
        intervals: From test to test, the newest first.
        reason: Why there is no figure for today, or ``""``.
    """

    parameter: Parameter
    sentence: str
    figure: Result | None
    others: Sequence[Result]
    course: Figure | None
    holding: Result | None
    intervals: Sequence[Result]
    reason: str = ""


def dosing_page(site: Site) -> Page:
    """Give the dosing page."""
    return site.page(
        "dosing.html",
        "dosing",
        "Dosing",
        description=f"Supplements and consumption of {site.journal.profile.name}.",
        products=_products(site),
        uptakes=[_uptake(site, name) for name in CONSUMED if _is_told(site, name)],
        ratio=site.shown.one("calcium_ratio"),
        ratio_ends=[
            site.display.result(Result("calcium_ratio", end, "mg/L per dKH", 2))
            for end in (LEAST_CALCIUM_PER_DKH_MG_L, calcium_per_dkh_mg_l())
        ],
        no_ratio=site.metrics.beyond.get("calcium_ratio", ""),
        after_change=[
            (site.display.parameters[r.subject], r) for r in site.shown.of("after_change")
        ],
        volume_by_dose=site.shown.one("volume_by_dose"),
        caution=CAUTIONS["chemical"],
    )


def _is_told(site: Site, name: str) -> bool:
    return len(site.tables.readings_of(name)) > 1 and site.metrics.one("net_volume") is not None


def _uptake(site: Site, name: str) -> Uptake:
    parameter = site.display.parameters[name]
    now, window = (site.shown.one(metric, name) for metric in ("consumption_now", "consumption"))
    figure, level = now or window, site.shown.one("level_now", name)
    course = site.shown.of("consumption_course", name)
    reasons = (site.metrics.beyond.get(f"{metric}: {name}", "")
               for metric in ("consumption_now", "consumption"))  # fmt: skip
    holding = next(
        (r for r in site.shown.of("holding_dose") if r.subject.endswith(f": {name}")), None
    )
    return Uptake(
        parameter, _sentence(parameter, figure, level, past=now is None), figure,
        [r for r in (window if now else None, level) if r is not None],
        estimate_figure(site, f"consumption-{name}", course, _axis_title(parameter),
                        with_events=True),
        holding, site.shown.of("consumption_between_tests", name)[-_INTERVALS_SHOWN:][::-1],
        "" if now else next((reason for reason in reasons if reason), _TOO_FEW),
    )  # fmt: skip


def _axis_title(parameter: Parameter) -> str:
    lost = "lost" if parameter.name == "salinity" else "used up"
    return f"{parameter.label} {lost}"


def _sentence(
    parameter: Parameter, figure: Result | None, level: Result | None, *, past: bool
) -> str:
    """Say what the tank does with a parameter, and what follows for today."""
    label = parameter.in_text
    if figure is None or figure.low is None or figure.high is None:
        return f"How much {label} the tank uses up is not known yet."
    amount = f"{number_text(abs(figure.value), figure.decimals)} {figure.unit.partition('/day')[0]}"
    if figure.low <= 0 <= figure.high:
        words = f"{parameter.label} hardly changes by itself: the tests cannot tell more than that"
    elif parameter.name == "salinity":
        words = f"Salinity {'falls' if figure.value > 0 else 'rises'} by {amount} a day by itself"
        words += _SALT_WORDS[figure.value > 0]
    else:
        verb = "uses up" if figure.value > 0 else "makes"
        words = f"The tank {verb} {amount} of {label} a day"
    if past and figure.end is not None:
        words = f"When last tested often enough, around {day_text(figure.end.date())}: {words}"
    if level is not None and not past:
        words += f"; today it should stand at about {said(level)}"
    return f"{words}."


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
                (PARAMETERS[r.subject.removeprefix(f"{name}: ")].in_text, r)
                for r in site.shown.of("dose_effect")
                if r.subject.startswith(f"{name}: ")
            ],
            site.shown.one("days_left", name),
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
            f"{PARAMETERS[key].in_text} by {quantity.value:g} {PARAMETERS[key].unit}"
            for key in type(potency.raises).model_fields
            if (quantity := getattr(potency.raises, key)) is not None
        )
        return f"{potency.by.value:g} {potency.by.unit} in {potency.water.said} lifts {raises}"
    if supplement.effluent:
        outflow = ", ".join(
            f"{PARAMETERS[key].in_text} {quantity.said}"
            for key in type(supplement.effluent).model_fields
            if (quantity := getattr(supplement.effluent, key)) is not None
        )
        return f"A reactor whose outflow measures {outflow}."
    if supplement.no_effect:
        return "Lifts nothing that is tested, as the profile says."
    return "The profile tells neither salts nor potency: what it lifts is unknown."
