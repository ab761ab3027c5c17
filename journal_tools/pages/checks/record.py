"""What a check of the build report is: one sentence, one number, one gauge, and its working."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from journal_tools.metrics import Result
from journal_tools.metrics.gear import PLANNED
from journal_tools.metrics.record import CAUTIONS, Hazard
from journal_tools.pages.figures import Figure
from journal_tools.pages.gauge import gauge_svg
from journal_tools.pages.money import is_money, money_text
from journal_tools.pages.site import Site, unit_text
from journal_tools.quantities import Band
from journal_tools.words import number_text

NO_SOURCE = "common practice, no source"


@dataclass(frozen=True)
class Practice:
    """What is usual, and on whose authority.

    Attributes:
        low: Lower end in the canonical unit of the figure, or None.
        high: Upper end, or None.
        words: The range with its reasons, ending in its source or "common practice, no source".
    """

    low: float | None
    high: float | None
    words: str

    @property
    def band(self) -> Band:
        """The range as a band."""
        return Band(self.low, self.high)


@dataclass(frozen=True)
class Check:
    """One piece of the system held against this tank.

    Attributes:
        id: Anchor on its page.
        title: What is looked at.
        sentence: What was found, in one sentence.
        figure: The one number, or None where a fact is missing.
        gauge: Drawing of the number against what is usual, or of its parts; ``""`` for none.
        practice: What is usual, or ``""``.
        changes: What would change the answer.
        others: More figures, each with its working.
        missing: What to write in the profile to know more.
        pictures: Charts.
        table: Heading and rows of a table that belongs to it, or nothing.
        hazards: Cautions beyond those of its figures.
        to_come: Whether its piece is only planned, where no figure says so.
    """

    id: str
    title: str
    sentence: str
    figure: Result | None = None
    gauge: str = ""
    practice: str = ""
    changes: str = ""
    others: Sequence[Result] = ()
    missing: Sequence[str] = ()
    pictures: Sequence[Figure] = ()
    table: Sequence[Sequence[str]] = ()
    hazards: Sequence[Hazard] = ()
    to_come: bool = False

    @property
    def planned(self) -> bool:
        """Whether it rests on a piece that is only planned."""
        return self.to_come or any(PLANNED in result.note for result in self.results)

    @property
    def results(self) -> list[Result]:
        """All figures, the main one first."""
        return [r for r in (self.figure, *self.others) if r is not None]


@dataclass(frozen=True, slots=True)
class Warned:
    """A caution beside a check: in full where a page says it first, later in short with a link.

    Attributes:
        text: What is said.
        anchor: Where this is the place in full, its anchor; else ``""``.
        link: Anchor of the place in full, or ``""``.
    """

    text: str
    anchor: str = ""
    link: str = ""


def cautions_of(site: Site, checks: Iterable[Check]) -> dict[str, list[Warned]]:
    """Give the cautions of each check by its id, each in full once."""
    told: set[Hazard] = set()
    found: dict[str, list[Warned]] = {}
    for check in checks:
        of_figures = (site.metrics.definitions[result.metric].hazard for result in check.results)
        hazards = [h for h in dict.fromkeys([*check.hazards, *of_figures]) if h != "none"]
        found[check.id] = [_warned(hazard, first=hazard not in told) for hazard in hazards]
        told.update(hazards)
    return found


def _warned(hazard: Hazard, *, first: bool) -> Warned:
    if first:
        return Warned(CAUTIONS[hazard], anchor=f"caution-{hazard}")
    short, _, _ = CAUTIONS[hazard].partition(". ")
    return Warned(f"{short}.", link=f"caution-{hazard}")


def said(result: Result) -> str:
    """Give a figure in words: ``2 350 L/h``.

    >>> said(Result("turnover", 8.21, "1/h", 1))
    '8.2 times an hour'
    """
    if is_money(result):
        return money_text(result.value, result.unit)
    number = number_text(result.value, result.decimals)
    if result.unit == "1/h":
        return f"{number} times an hour"
    return f"{number} {unit_text(result)}".strip()


def amount(site: Site, value: float, unit: str, decimals: int = 0) -> str:
    """Give an amount in the unit that the journal shows."""
    return said(site.display.result(Result("amount", value, unit, decimals)))


def ranged(site: Site, low: float, high: float, unit: str, decimals: int = 0) -> str:
    """Give a range in the unit that the journal shows: ``5 to 20 mm``."""
    ends = [site.display.result(Result("end", end, unit, decimals)) for end in (low, high)]
    return f"{number_text(ends[0].value, ends[0].decimals)} to {said(ends[1])}"


def level_text(site: Site, parameter: str, value: float) -> str:
    """Give a canonical value of a parameter in the unit that the journal shows."""
    shown = site.display.parameters[parameter]
    number = number_text(site.display.value(parameter, value), shown.decimals)
    return number if shown.unit == "pH" else f"{number} {shown.unit}"


def change_text(site: Site, parameter: str, around: float, change: float) -> str:
    """Give a change of a parameter in the unit that the journal shows, without its sign."""
    shown = site.display.parameters[parameter]
    size = abs(site.display.error(parameter, around, abs(change)))
    number = number_text(size, shown.decimals + (1 if size < 2 * 10.0**-shown.decimals else 0))
    return number if shown.unit == "pH" else f"{number} {shown.unit}"


def gauge(site: Site, result: Result, practice: Practice) -> str:
    """Give the gauge of a shown figure; what is usual is in the metric's own unit."""
    unit = site.metrics.definitions[result.metric].unit
    factor = site.display.measures[unit][1] if unit in site.display.measures else 1.0
    ends = (None if end is None else end / factor for end in (practice.low, practice.high))
    return gauge_svg(result, Band(*ends))
