"""Calcium and alkalinity together: by hand, and what one reading would explain."""

from __future__ import annotations

import datetime as dt

import pytest

from journal_tools.metrics import Metrics
from tests.journals import HUNDRED_LITRES, metrics

KIT = "tests: {alkalinity: {repeatability: 0.05}, calcium: {repeatability: 1}}\n"
FIRST = dt.date(2026, 3, 1)


def falling(alkalinity: float, calcium: float) -> Metrics:
    """Give the figures of a tank that is not dosed: both fall by so much a day."""
    log = {}
    for day in range(0, 31, 3):
        values = 10 - alkalinity * day, 440 - calcium * day
        text = f"readings: {{alkalinity: {values[0]:.2f}, calcium: {values[1]:.1f}}}\n"
        log[f"log/{FIRST + dt.timedelta(days=day)}.yml"] = text
    return metrics({"tank.yml": HUNDRED_LITRES + KIT} | log)


@pytest.mark.parametrize("ratio", [6.2, 7.0])
def test_calcification_explains_six_to_seven(ratio: float) -> None:
    """CaCO3 takes 7.147 mg/L Ca for each dKH: 40.078 / 2 * 0.35665 meq/L (IUPAC weights)."""
    result = falling(0.1, 0.1 * ratio).one("calcium_ratio")
    assert result is not None and result.low is not None and result.high is not None
    assert result.value == pytest.approx(ratio, rel=0.01)
    assert result.low <= ratio <= result.high
    assert result.note == "Calcification alone may explain it."


@pytest.mark.parametrize(("ratio", "words"), [(12.0, "More calcium"), (3.0, "Less calcium")])
def test_a_mismatch_says_what_may_be_behind_it(ratio: float, words: str) -> None:
    result = falling(0.1, 0.1 * ratio).one("calcium_ratio")
    assert result is not None and result.note.startswith(words)


def test_the_reading_that_would_explain_it() -> None:
    """0.79 mg/L a day by tests on days 0, 3 … 30 are 0.0753 more than 7.147 mg/L for each dKH.

    The last test moves the slope of the line by 15 / Σ(t - 15)² = 15 / 990 for each mg/L, so it
    would have to read 0.0753 * 66 = 5.0 more than 440 - 23.7 = 416.3.
    """
    result = falling(0.1, 0.79).one("calcium_ratio")
    assert result is not None and result.note.startswith("More calcium")
    assert result.note.endswith(
        "A calcium of 421 instead of 416 mg/L on 31 March 2026 would explain it by itself."
    )


def test_where_no_single_reading_would_do_it_says_so() -> None:
    result = falling(0.1, 2.0).one("calcium_ratio")
    assert result is not None
    assert result.note.endswith("No single one of the newest tests would explain it by itself.")


def test_too_small_an_uptake_tells_no_ratio() -> None:
    found = falling(0.0, 0.0)
    assert found.one("calcium_ratio") is None
    assert "too little" in found.beyond["calcium_ratio"]
