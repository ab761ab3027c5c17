"""Two days of a view: the readings of both and between, as the page and its script tell them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from journal_tools.pages.compare import NOTHING, Frame, Span, between, frames, rows
from journal_tools.pages.site import Site
from journal_tools.parameters import PARAMETERS
from tests import journals

LOG = {
    "log/2026-01-01.yml": "photos: {file: a.jpg, view: front}\nreadings: {alkalinity: 8}\n",
    "log/2026-01-10.yml": "readings: {alkalinity: 7.5}\n",
    "log/2026-01-20.yml": "readings: {alkalinity: 9.25, nitrate: < 5}\n",
    "log/2026-01-25.yml": "photos: {file: b.jpg, view: front}\n",
    "log/2026-03-20.yml": "photos: {file: c.jpg, view: front}\n",
}


@pytest.fixture
def site(tmp_path: Path) -> Site:
    for name in "abc":
        journals.photo(tmp_path / "journal/photos" / f"{name}.jpg")
    return journals.site(tmp_path, LOG)


@pytest.fixture
def series(site: Site) -> list[Frame]:
    return frames(site, site.series("front"))


def test_each_photo_knows_what_was_measured_up_to_it(series: list[Frame]) -> None:
    assert [frame.spans["alkalinity"] for frame in series] == [
        Span("8.0 dKH", 1, 8.0, 8.0),
        Span("9.2 dKH", 2, 7.5, 9.25),
        # The newest reading is two months old by then.
        Span(NOTHING),
    ]
    assert [frame.spans["nitrate"].now for frame in series] == [NOTHING, "< 5.0 mg/L", NOTHING]


def test_the_script_gets_the_same_numbers(series: list[Frame]) -> None:
    assert json.loads(series[1].data) == {
        "alkalinity": ["9.2 dKH", 2, 7.5, 9.25],
        "nitrate": ["< 5.0 mg/L", 1, 5.0, 5.0],
    }


def test_first_and_last_are_compared_without_a_script(site: Site, series: list[Frame]) -> None:
    alkalinity, nitrate = rows(site, series)
    assert (alkalinity.first, alkalinity.between, alkalinity.second) == (
        "8.0 dKH", "2 tests, 7.5 to 9.2 dKH", NOTHING,
    )  # fmt: skip
    assert (nitrate.between, nitrate.term) == ("1 test, 5.0 to 5.0 mg/L", "nitrate")


def test_nothing_measured_is_said() -> None:
    assert between([Span(NOTHING), Span("8.0 dKH")], PARAMETERS["alkalinity"]) == "no tests"
