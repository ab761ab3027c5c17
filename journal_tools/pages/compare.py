"""Two days of the same view side by side, and what was measured at both and between them."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from journal_tools.pages.glossary_terms import term_of_parameter
from journal_tools.pages.site import Shown, Site
from journal_tools.parameters import Parameter
from journal_tools.words import counted, number_text, reading_text

STALE_DAYS = 30
"""A reading older than so many days says nothing about the water on a photo."""

NOTHING = "–"


@dataclass(frozen=True)
class Span:
    """What was measured of one parameter since the photo before.

    Attributes:
        now: The newest reading of the day or the days before it, in words.
        count: Number of readings since the photo before.
        low: Lowest of them.
        high: Highest of them.
    """

    now: str
    count: int = 0
    low: float = 0.0
    high: float = 0.0


@dataclass(frozen=True)
class Frame:
    """A photo of a series with the readings that go with it, by parameter."""

    shown: Shown
    spans: dict[str, Span]

    @property
    def data(self) -> str:
        """The readings as JSON, for the script that compares any two days."""
        spans = {
            name: [span.now, span.count, span.low, span.high] for name, span in self.spans.items()
        }
        return json.dumps(spans, ensure_ascii=False, separators=(",", ":"))


@dataclass(frozen=True)
class Row:
    """One parameter in the comparison of two photos."""

    parameter: Parameter
    term: str | None
    first: str
    between: str
    second: str


def frames(site: Site, series: Sequence[Shown]) -> list[Frame]:
    """Give the photos of a series with their readings.

    Args:
        site: The site.
        series: Photos in order of time.
    """
    ends = [pd.Timestamp(shown.entry.day) + pd.Timedelta(days=1) for shown in series]
    spans = {parameter.name: _spans(site, parameter, ends) for parameter in site.tested}
    return [
        Frame(shown, {name: found[place] for name, found in spans.items()})
        for place, shown in enumerate(series)
    ]


def _spans(site: Site, parameter: Parameter, ends: Sequence[pd.Timestamp]) -> list[Span]:
    """Give for each end of a photo's day what was measured up to it and since the one before."""
    table = site.shown_tables.readings_of(parameter.name)
    times = pd.DatetimeIndex(table["time"]).tz_localize(None)
    values = table["value"].tolist()
    signs = table["censored"].fillna("").tolist()
    spans, before = [], 0
    for end in ends:
        upto = int(times.searchsorted(end))
        fresh = upto > 0 and (end - times[upto - 1]).days <= STALE_DAYS
        now = reading_text(values[upto - 1], parameter, signs[upto - 1]) if fresh else NOTHING
        within = values[before:upto]
        low, high = (min(within), max(within)) if within else (0.0, 0.0)
        spans.append(Span(now, len(within), round(low, 6), round(high, 6)))
        before = upto
    return spans


def rows(site: Site, series: Sequence[Frame]) -> list[Row]:
    """Give the comparison of the first and the last photo of a series.

    Args:
        site: The site.
        series: Two photos or more, in order of time.
    """
    return [
        Row(
            parameter,
            term_of_parameter(parameter.name),
            series[0].spans[parameter.name].now,
            between([frame.spans[parameter.name] for frame in series[1:]], parameter),
            series[-1].spans[parameter.name].now,
        )
        for parameter in site.tested
    ]


def between(spans: Sequence[Span], parameter: Parameter) -> str:
    """Give in words what was measured over some spans."""
    measured = [span for span in spans if span.count]
    if not measured:
        return "no tests"
    low, high = min(span.low for span in measured), max(span.high for span in measured)
    number = counted(sum(span.count for span in measured), "test")
    ends = number_text(low, parameter.decimals), reading_text(high, parameter)
    return f"{number}, {ends[0]} to {ends[1]}"
