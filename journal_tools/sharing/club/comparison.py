"""What many tanks are together: distributions and counts, never a rank of one tank."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median, quantiles

from journal_tools.names import name_key
from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.sharing.club.facts import Facts
from journal_tools.words import number_text

FEWEST_TANKS = 5
"""Below so many tanks a distribution would tell more of single tanks than of tanks."""

_WIDTH, _DOT, _MARGIN, _AXIS = 640, 4.0, 24.0, 26


@dataclass(frozen=True)
class Distribution:
    """Where the tanks of a club are with one parameter.

    Attributes:
        parameter: Which one.
        values: A level for each tank, sorted; whose it is is not kept.
        readings: How many readings stand behind them.
    """

    parameter: Parameter
    values: tuple[float, ...]
    readings: int

    @property
    def enough(self) -> bool:
        """Whether there are enough tanks to show."""
        return len(self.values) >= FEWEST_TANKS

    @property
    def sentence(self) -> str:
        """The distribution in words."""
        count, digits = len(self.values), self.parameter.decimals
        if not self.enough:
            return (
                f"{count} of the {FEWEST_TANKS} tanks that are needed have been tested for "
                f"{self.parameter.label.lower()} in the last 90 days: too few to show."
            )
        low, _, high = quantiles(self.values, n=4, method="inclusive")
        ends = [number_text(v, digits) for v in (self.values[0], self.values[-1])]
        quarter = [number_text(v, digits) for v in (low, high)]
        return (
            f"{count} tanks, {self.readings} readings. Half of the tanks lie between "
            f"{quarter[0]} and {quarter[1]} {self.parameter.unit}, the median at "
            f"{number_text(median(self.values), digits)}; all lie between {ends[0]} and {ends[1]}."
        )

    @property
    def svg(self) -> str:
        """A dot for each tank along the axis, stacked where they are alike; ``""`` if too few."""
        return _dots(self.values, self.parameter) if self.enough else ""


@dataclass(frozen=True)
class SpeciesCount:
    """One kind of animal over all tanks."""

    name: str
    tanks: int
    added: int
    lost: int
    given_away: int

    @property
    def here(self) -> int:
        """How many should still be there."""
        return max(0, self.added - self.lost - self.given_away)


@dataclass(frozen=True)
class KindCount:
    """One kind of equipment over all tanks."""

    kind: str
    tanks: int
    pieces: int
    years: float
    failures: int


def distribution(members: Sequence[Facts], parameter: Parameter) -> Distribution:
    """Give where the tanks are with one parameter.

    Args:
        members: All members; those who want no comparison have no levels.
        parameter: Which one.
    """
    levels = [m.levels[parameter.name] for m in members if parameter.name in m.levels]
    values = tuple(sorted(level.value for level in levels))
    return Distribution(parameter, values, sum(level.readings for level in levels))


def comparable(members: Sequence[Facts]) -> list[Parameter]:
    """Give the parameters that any tank was tested for lately, in the order of their table."""
    return [p for name, p in PARAMETERS.items() if any(name in m.levels for m in members)]


def species_counts(members: Sequence[Facts]) -> list[SpeciesCount]:
    """Give the animals by name, with what became of them."""
    names: dict[str, Counter[str]] = {}
    spelled: dict[str, Counter[str]] = {}
    for member in members:
        for kept in member.kept:
            key = name_key(kept.name)
            spelled.setdefault(key, Counter())[kept.name] += 1
            counts = {"tanks": 1, "added": kept.added, "lost": kept.lost, "away": kept.given_away}
            names.setdefault(key, Counter()).update(counts)
    found = [
        SpeciesCount(
            spelled[key].most_common(1)[0][0], c["tanks"], c["added"], c["lost"], c["away"]
        )
        for key, c in names.items()
    ]
    return sorted(found, key=lambda one: one.name.casefold())


def kind_counts(members: Sequence[Facts]) -> list[KindCount]:
    """Give the kinds of equipment by name, with their years in service and failures."""
    kinds: dict[str, list[tuple[int, float, int]]] = {}
    for member in members:
        for served in member.served:
            kinds.setdefault(served.kind, []).append((served.pieces, served.years, served.failures))
    found = []
    for kind, each in kinds.items():
        pieces, years, failures = (sum(values) for values in zip(*each, strict=True))
        found.append(KindCount(kind, len(each), int(pieces), float(years), int(failures)))
    return sorted(found, key=lambda one: one.kind.casefold())


def _dots(values: Sequence[float], parameter: Parameter) -> str:
    low, high = values[0], values[-1]
    span = high - low or 1.0
    inner = _WIDTH - 2 * _MARGIN
    step = 2 * _DOT + 1
    columns = Counter[int]()
    dots = []
    for value in values:
        column = round((value - low) / span * inner / step)
        dots.append((_MARGIN + column * step, columns[column]))
        columns[column] += 1
    height = max(columns.values()) * step + _DOT
    floor = height + 2
    circles = "".join(
        f'<circle cx="{x:.1f}" cy="{floor - _DOT - 2 - level * step:.1f}" r="{_DOT:g}"/>'
        for x, level in dots
    )
    right = _MARGIN + round(inner / step) * step
    ends = ((_MARGIN, low, "start"), (right, high, "end"))
    labels = "".join(
        f'<text x="{x:.1f}" y="{floor + 18:.1f}" text-anchor="{anchor}">'
        f"{number_text(v, parameter.decimals)}</text>"
        for x, v, anchor in (ends if high > low else ends[:1])
    )
    return (
        f'<svg class="dots" viewBox="0 0 {_WIDTH} {floor + _AXIS:.0f}" role="img" '
        f'aria-label="{parameter.label}: a dot for each tank">{circles}'
        f'<path d="M{_MARGIN:g} {floor:.1f}H{right:.1f}"/>{labels}</svg>'
    )
