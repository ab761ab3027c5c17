"""Licences by their ids: as the SPDX list spells them."""

from __future__ import annotations

import pytest
from packaging.licenses import canonicalize_license_expression

from journal_tools.licences import NAMES, licence_of


@pytest.mark.parametrize("name", NAMES)
def test_an_id_is_on_the_list_in_this_spelling(name: str) -> None:
    """The SPDX License List as the `packaging` library carries it."""
    assert canonicalize_license_expression(name) == name


@pytest.mark.parametrize("said", ["cc-by-4.0", "CC BY 4.0", " CC_BY_4.0 "])
def test_an_id_is_known_however_it_is_spelled(said: str) -> None:
    found = licence_of(said)
    assert found.said == "CC-BY-4.0" and found.url.endswith("/CC-BY-4.0.html")
    assert found.words == "CC-BY-4.0 (Creative Commons Attribution 4.0 International)"


def test_own_words_stay() -> None:
    found = licence_of("ask me,\n please")
    assert (found.said, found.words, found.url) == ("ask me, please", "ask me, please", "")
