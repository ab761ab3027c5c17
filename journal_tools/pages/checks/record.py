"""What a check of the build report is: one sentence, one number, one gauge, and its working."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from journal_tools.metrics import Result
from journal_tools.metrics.gear import PLANNED
from journal_tools.pages.figures import Figure
from journal_tools.pages.gauge import gauge_svg
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
        gauge: Drawing of the number against what is usual, or ``""``.
        practice: What is usual, or ``""``.
        changes: What would change the answer.
        others: More figures, each with its working.
        missing: What to write in the profile to know more.
        pictures: Charts.
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

    @property
    def planned(self) -> bool:
        """Whether it rests on a piece that is only planned."""
        return any(PLANNED in result.note for result in self.results)

    @property
    def results(self) -> list[Result]:
        """All figures, the main one first."""
        return [r for r in (self.figure, *self.others) if r is not None]


def said(result: Result) -> str:
    """Give a figure in words: ``2 350 L/h``.

    >>> said(Result("turnover", 8.21, "1/h", 1))
    '8.2 times an hour'
    """
    number = number_text(result.value, result.decimals)
    if result.unit == "1/h":
        return f"{number} times an hour"
    return f"{number} {unit_text(result)}".strip()


def gauge(site: Site, result: Result, practice: Practice) -> str:
    """Give the gauge of a shown figure; what is usual is in the metric's own unit."""
    unit = site.metrics.definitions[result.metric].unit
    factor = site.display.measures[unit][1] if unit in site.display.measures else 1.0
    ends = (None if end is None else end / factor for end in (practice.low, practice.high))
    return gauge_svg(result, Band(*ends))
