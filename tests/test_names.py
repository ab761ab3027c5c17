from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.names import name_key, same_but_for_a_slip


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Clownfish", "clown-fish"), ("zoé", "Zoe"), ("alk mix", "ALK  MIX"), ("Straße", "strasse"),
    ],
)  # fmt: skip
def test_case_spaces_hyphens_and_accents_do_not_count(one: str, other: str) -> None:
    assert name_key(one) == name_key(other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("turbo snail", "turbo snails"), ("turbo snail", "turbo snial"), ("clownfish", "clownfsih"),
        ("return pump", "retrun pump"), ("skimmer", "skimer"), ("heater 1", "heatre 1"),
        ("hermit crab", "hermitt crabs"), ("Alk Mix", "alk-mix"),
    ],
)  # fmt: skip
def test_slips_of_the_finger(one: str, other: str) -> None:
    assert same_but_for_a_slip(one, other)
    assert same_but_for_a_slip(other, one)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("heater 1", "heater 2"), ("heater", "heater 2"), ("pump a", "pump b"), ("alk", "alc"),
        ("part A mix", "part B mix"), ("turbo snail", "trochus snail"), ("salt", "sand"),
        ("return pump", "skimmer pump"), ("calcium mix", "magnesium mix"), ("filter", "feeder"),
    ],
)  # fmt: skip
def test_different_things_are_kept_apart(one: str, other: str) -> None:
    assert not same_but_for_a_slip(one, other)
    assert not same_but_for_a_slip(other, one)


@given(st.text(max_size=20), st.text(max_size=20))
def test_sameness_has_no_direction(one: str, other: str) -> None:
    assert same_but_for_a_slip(one, one)
    assert same_but_for_a_slip(one, other) == same_but_for_a_slip(other, one)


@given(st.text(max_size=20))
def test_a_key_is_its_own_key(name: str) -> None:
    assert name_key(name_key(name)) == name_key(name)
