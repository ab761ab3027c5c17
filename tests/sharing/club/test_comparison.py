"""What tanks are together: counted by hand, and nothing that points at one of them."""

from __future__ import annotations

import re
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.parameters import PARAMETERS
from journal_tools.sharing.club.comparison import (
    comparable,
    distribution,
    kind_counts,
    species_counts,
)
from journal_tools.sharing.club.facts import Facts, Kept, Level, Served, as_json, from_json

ALKALINITY = PARAMETERS["alkalinity"]


def tank(
    level: float | None = None, kept: Sequence[Kept] = (), served: Sequence[Served] = ()
) -> Facts:
    levels = {} if level is None else {"alkalinity": Level(level, 3)}
    return Facts("Reef", "", "2026-01-01", "", 0, None, "", "", True, levels, [*kept], [*served])


def test_quartiles_are_those_of_the_tanks() -> None:
    """Five values: the quartiles by linear interpolation (type 7 of Hyndman and Fan 1996)."""
    found = distribution([tank(v) for v in (9.0, 7.0, 8.0, 10.0, 7.5)], ALKALINITY)
    assert found.values == (7.0, 7.5, 8.0, 9.0, 10.0)
    assert found.sentence == (
        "5 tanks, 15 readings. Half of the tanks lie between 7.5 and 9.0 dKH, "
        "the median at 8.0; all lie between 7.0 and 10.0."
    )


def test_few_tanks_are_not_shown() -> None:
    found = distribution([tank(8.0)] * 4 + [tank()], ALKALINITY)
    assert not found.enough and found.svg == "" and "8.0" not in found.sentence


@given(st.lists(st.floats(5, 15), min_size=5, max_size=80))
def test_every_tank_is_a_dot_inside_the_drawing(values: list[float]) -> None:
    svg = distribution([tank(value) for value in values], ALKALINITY).svg
    places = [(float(x), float(y)) for x, y in re.findall(r'cx="([\d.]+)" cy="([\d.-]+)"', svg)]
    _, _, width, height = map(float, re.findall(r'viewBox="([\d. ]+)"', svg)[0].split())
    assert len(places) == len(set(places)) == len(values)
    assert all(0 < x < width and 0 < y < height for x, y in places)


def test_animals_are_counted_over_tanks() -> None:
    one = tank(kept=[Kept("Clown fish", 2, 1, 0), Kept("goby", 1, 0, 0)])
    two = tank(kept=[Kept("clownfish", 3, 0, 1)])
    three = tank(kept=[Kept("clownfish", 1, 0, 0)])
    (fish, goby) = species_counts([one, two, three])
    assert (fish.name, fish.tanks, fish.added, fish.lost, fish.given_away, fish.here) == (
        "clownfish", 3, 6, 1, 1, 4)  # fmt: skip
    assert (goby.name, goby.tanks, goby.here) == ("goby", 1, 1)


def test_equipment_is_counted_by_kind() -> None:
    found = kind_counts([tank(served=[Served("heater", 2, 3.5, 1)]),
                         tank(served=[Served("heater", 1, 0.5, 0)])])  # fmt: skip
    assert [(k.kind, k.tanks, k.pieces, k.years, k.failures) for k in found] == [
        ("heater", 2, 3, 4.0, 1)
    ]


def test_what_was_tested_can_be_compared() -> None:
    assert comparable([tank(), tank(8.0)]) == [ALKALINITY]


@pytest.mark.parametrize("facts", [tank(), tank(8.1, [Kept("a", 1, 0, 0)], [Served("b", 1, 1, 0)])])
def test_facts_are_kept_whole(facts: Facts) -> None:
    assert from_json(as_json(facts)) == facts
