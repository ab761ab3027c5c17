"""What several tests say together: carbon dioxide, saturation, ammonia, oxygen, maturing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from journal_tools.metrics import Result
from journal_tools.pages.checks.record import said
from journal_tools.pages.drawings import estimate_figure
from journal_tools.pages.figures import Figure
from journal_tools.pages.site import Site
from journal_tools.words import ago

_FRESH_DAYS = 120


@dataclass(frozen=True)
class Together:
    """One derived quantity of the water.

    Attributes:
        id: Anchor.
        title: Its name.
        sentence: The newest figure in a sentence.
        result: The newest figure.
        others: Figures that belong to it.
        figure: Its course, or None.
    """

    id: str
    title: str
    sentence: str
    result: Result
    others: tuple[Result, ...] = ()
    figure: Figure | None = None


def together(site: Site) -> list[Together]:
    """Give every derived quantity that the tests allow."""
    return [*_carbon(site), *_saturation(site), *_ammonia(site), *_oxygen(site), *_maturing(site)]


def _when(site: Site, result: Result) -> str:
    assert result.end is not None
    return ago(result.end.date(), site.today)


def _carbon(site: Site) -> Iterator[Together]:
    results = site.shown.of("pco2")
    if not results:
        return
    last, expected = results[-1], site.shown.of("equilibrium_ph")
    sentence = f"With its pH and alkalinity of {_when(site, last)} the water held about "
    sentence += f"{said(last)} of carbon dioxide; outside air is near 425"
    if expected:
        sentence += (
            f". In balance with {expected[0].subject} its pH would be {expected[0].value:.2f}"
        )
        if len(expected) > 1:
            sentence += f", with the air of {expected[1].subject} {expected[1].value:.2f}"
    figure = estimate_figure(site, "pco2", results, "Carbon dioxide", band=(300, 600))
    yield Together(
        "carbon-dioxide", "Carbon dioxide", f"{sentence}.", last, tuple(expected), figure
    )


def _saturation(site: Site) -> Iterator[Together]:
    results = site.shown.of("aragonite_saturation")
    if results:
        last = results[-1]
        sentence = (
            f"Aragonite was {said(last)} times saturated {_when(site, last)}: above 1 it does "
        )
        sentence += "not dissolve, and stony corals build it the easier the higher it is."
        figure = estimate_figure(
            site, "saturation", results, "Aragonite saturation", band=(1, None)
        )
        yield Together("saturation", "Aragonite saturation", sentence, last, (), figure)


def _ammonia(site: Site) -> Iterator[Together]:
    results = site.shown.of("unionised_ammonia")
    if results:
        last = results[-1]
        least = "at most " if last.note else ""
        sentence = f"Of the ammonia tested {_when(site, last)} {least}{said(last)} was un-ionised, "
        sentence += "the share that harms animals; it grows with pH and warmth."
        yield Together("un-ionised-ammonia", "Un-ionised ammonia", sentence, last)


def _oxygen(site: Site) -> Iterator[Together]:
    results = site.shown.of("oxygen_saturation")
    if results:
        last = results[-1]
        sentence = (
            f"{_when(site, last).capitalize()} the water held {said(last)} of the oxygen that "
        )
        sentence += "air would give it; it is lowest at the end of the night."
        figure = estimate_figure(site, "oxygen-saturation", results, "Oxygen saturation")
        yield Together("oxygen-saturation", "Oxygen saturation", sentence, last, (), figure)


def _maturing(site: Site) -> Iterator[Together]:
    stage = site.shown.one("maturing_stage")
    young = (site.today - site.journal.profile.start).days < _FRESH_DAYS
    if stage is not None and (young or stage.value < 4):
        yield Together("maturing", "Maturing", f"Stage {stage.value:.0f} of 5. {stage.note}", stage)
