"""What a metric is and what it gives: a value that can show its working."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any, Literal

from journal_tools.science.validity import OutOfRangeError
from journal_tools.tables import Tables

Hazard = Literal["none", "mains", "load", "glass", "chemical", "gas", "animal"]

CAUTIONS: dict[Hazard, str] = {
    "none": "",
    "mains": (
        "Mains electricity near salt water can kill. Use a residual-current device, drip loops and "
        "sockets away from water, unplug before hands go in, and leave wiring to a licensed "
        "electrician and the local code. This figure is no proof of safety."
    ),
    "load": (
        "A filled tank is heavy. This figure is an estimate, not a verdict: ask a structural "
        "engineer about the floor and the maker about the stand; local codes decide."
    ),
    "glass": (
        "Glass breaks without warning. This figure leaves out flaws, holes, silicone and uneven "
        "support; it is not a verdict. Ask the maker or a glazier."
    ),
    "chemical": (
        "Supplements can be caustic, and a wrong dose harms animals. Wear gloves and eye "
        "protection, follow the label, change slowly and test again; this figure is no advice to "
        "dose."
    ),
    "gas": (
        "Carbon dioxide collects unseen in closed rooms. Ventilate, keep cylinders upright and "
        "chained, and follow the local rules for pressure vessels."
    ),
    "animal": (
        "Some animals sting, bite or carry strong poisons. Wear gloves and eye protection and "
        "seek medical help after contact."
    ),
}
"""The caution that goes with each kind of figure."""


@dataclass(frozen=True, slots=True)
class Input:
    """One thing that a result was made from.

    Attributes:
        label: What it is.
        value: As shown, with its unit.
        entry: Id of the entry that says so, or ``""`` for the profile or an assumption.
        line: Line in that file, or 0.
    """

    label: str
    value: str
    entry: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class Result:
    """One value of a metric.

    Attributes:
        metric: Name of the metric.
        value: The figure, in ``unit``.
        unit: Its unit.
        decimals: Digits after the point that mean something.
        subject: What it is about (a parameter, a product, a piece), or ``""`` for the tank.
        low: Lower end of the interval that the metric declares, or None.
        high: Upper end, or None.
        start: First moment it covers, or None.
        end: Last moment it covers, or the moment it holds for.
        inputs: What it was made from.
        note: What a reader should know about this value.
    """

    metric: str
    value: float
    unit: str
    decimals: int = 1
    subject: str = ""
    low: float | None = None
    high: float | None = None
    start: dt.datetime | None = None
    end: dt.datetime | None = None
    inputs: tuple[Input, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class Metric:
    """A derived quantity: what it is, how it is made and on whose authority.

    Attributes:
        name: Stable name in data files.
        title: Name for a person.
        unit: Unit of its values, or ``""`` where each result states its own.
        method: How it is computed, in plain words.
        source: The published source, or "common practice, no source".
        hazard: Which caution its figures carry.
        interval: What low and high mean, or ``""``.
        compute: The pure function behind it.
        of_parameter: Whether its values are levels of the parameter that they are about, or
            differences of such levels: pages show them in the keeper's own unit.
    """

    name: str
    title: str
    unit: str
    method: str
    source: str
    hazard: Hazard
    interval: str
    compute: Callable[[Tables, Metrics], Iterable[Result]] = field(repr=False)
    of_parameter: Literal["", "level", "difference"] = ""

    @property
    def caution(self) -> str:
        """The caution to print beside every value."""
        return CAUTIONS[self.hazard]


@dataclass
class Metrics:
    """All results so far, in order; a metric may read those of the metrics before it.

    Attributes:
        results: Every result.
        definitions: Every metric by name.
        beyond: Why a metric could not be worked out: something lies outside what its method holds
            for. The results that it gave before are kept.
        worked: What was worked out on the way and several metrics use, by its name.
    """

    results: list[Result] = field(default_factory=list)
    definitions: dict[str, Metric] = field(default_factory=dict)
    beyond: dict[str, str] = field(default_factory=dict)
    worked: dict[str, Any] = field(default_factory=dict)
    _index: dict[str, list[Result]] = field(default_factory=dict, init=False, repr=False)

    def add(self, metric: Metric, results: Iterable[Result]) -> None:
        """Take in the results of one metric."""
        self.definitions[metric.name] = metric
        try:
            self.results.extend(results)
        except OutOfRangeError as reason:
            self.beyond[metric.name] = str(reason)

    @property
    def _by_name(self) -> dict[str, list[Result]]:
        known = sum(map(len, self._index.values()))
        for result in self.results[known:]:
            self._index.setdefault(result.metric, []).append(result)
        return self._index

    def of(self, name: str, subject: str | None = None) -> list[Result]:
        """Give the results of a metric, or those about one subject."""
        found = self._by_name.get(name, [])
        return [r for r in found if subject is None or r.subject == subject]

    def one(self, name: str, subject: str | None = None) -> Result | None:
        """Give the last result of a metric (about a subject), or None."""
        found = self.of(name, subject)
        return found[-1] if found else None

    def __iter__(self) -> Iterator[Result]:
        return iter(self.results)
