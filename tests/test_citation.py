"""How a journal is cited, and under which terms."""

from __future__ import annotations

import datetime as dt

from journal_tools.citation import citation_of
from tests.conftest import ReadProfile

DAY = dt.date(2026, 4, 1)
TERMS = "licence: {text: CC-BY-4.0, photos: all rights reserved, data: cc0-1.0}\nkeeper: A. Keeper"


def test_all_that_was_chosen_is_said(read_profile: ReadProfile) -> None:
    profile, problems = read_profile(TERMS)
    assert profile is not None and problems == []
    citation = citation_of(profile, DAY, "https://example.org/reef/")
    assert citation.sentence == (
        "A. Keeper (2026). T: journal of a reef tank [data set]. https://example.org/reef/"
    )
    assert citation.text.splitlines()[-3:] == [
        "- text: CC-BY-4.0 (Creative Commons Attribution 4.0 International) "
        "https://spdx.org/licenses/CC-BY-4.0.html",
        "- photos: all rights reserved",
        "- data: CC0-1.0 (Creative Commons Zero v1.0 Universal) "
        "https://spdx.org/licenses/CC0-1.0.html",
    ]


def test_a_hidden_keeper_is_not_cited(read_profile: ReadProfile) -> None:
    profile, _ = read_profile("keeper: A. Keeper\nprivacy: {show_keeper: false}")
    assert profile is not None
    citation = citation_of(profile, DAY)
    assert citation.sentence == "2026. T: journal of a reef tank [data set]."
    assert citation.licences == {} and "Terms" not in citation.text
