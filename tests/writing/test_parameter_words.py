from __future__ import annotations

import pytest

from journal_tools.parameters import PARAMETERS
from journal_tools.units import DIMENSIONS
from journal_tools.writing.parameter_words import parameter_called, parameter_words


@pytest.mark.parametrize(
    ("words", "name", "unit"),
    [
        ("KH", "alkalinity", ""), ("dKH", "alkalinity", "dKH"), ("Karbonathärte", "alkalinity", ""),
        ("alcalinidad", "alkalinity", ""), ("NO3", "nitrate", ""), ("no3-n", "nitrate", "mg/L N"),
        ("Specific Gravity", "salinity", "SG"), ("pH", "ph", ""), ("Oxígeno", "oxygen", ""),
    ],
)  # fmt: skip
def test_words_of_three_languages(words: str, name: str, unit: str) -> None:
    assert parameter_called(words) == (PARAMETERS[name], unit)


@pytest.mark.parametrize("words", ["", "salt", "no", "n", "m", "water"])
def test_words_that_are_none(words: str) -> None:
    assert parameter_called(words) is None


def test_every_unit_that_a_word_says_is_one_of_its_parameter() -> None:
    for word in parameter_words():
        found = parameter_called(word)
        assert found is not None
        parameter, unit = found
        assert not unit or DIMENSIONS[parameter.dimension].find(unit), word
