"""The metrics find what the simulation of the demo journal put in: an answer known beforehand."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pandas as pd
import pytest

from journal_tools.journal import load_journal
from journal_tools.metrics import Metrics, Result, compute_metrics
from journal_tools.tables import build_tables
from tests.demo.simulate import truth

CONTENT = Path(__file__).parents[2] / "content"


@pytest.fixture(scope="module")
def metrics() -> Metrics:
    return compute_metrics(build_tables(load_journal(CONTENT, dt.date(2026, 11, 23))))


@pytest.fixture(scope="module")
def known() -> pd.DataFrame:
    frame = truth()
    return frame.set_axis(pd.to_datetime(frame.index))


def true_rate(known: pd.DataFrame, result: Result) -> float:
    assert result.start is not None and result.end is not None
    first, last = (pd.Timestamp(t.date()) for t in (result.start, result.end))
    inside = known[(known.index >= first) & (known.index < last)]
    return float(inside[f"{result.subject}_consumed"].mean())


@pytest.mark.parametrize("parameter", ["alkalinity", "calcium", "magnesium"])
def test_nine_of_ten_intervals_hold_the_true_consumption(
    metrics: Metrics, known: pd.DataFrame, parameter: str
) -> None:
    """The interval claims 90 %; with some 20 to 100 of them 80 % is far outside chance."""
    results = metrics.of("consumption_between_tests", parameter)
    assert len(results) > 15
    held = [r.low <= true_rate(known, r) <= r.high for r in results]
    assert sum(held) / len(held) > 0.8


def test_the_intervals_are_not_merely_wide(metrics: Metrics, known: pd.DataFrame) -> None:
    """In units of its own standard error the alkalinity error scatters by about one."""
    scaled = [
        (r.value - true_rate(known, r)) / ((r.high - r.low) / 2 / 1.6449)
        for r in metrics.of("consumption_between_tests", "alkalinity")
    ]
    assert 0.8 < pd.Series(scaled).std() < 1.2
    assert abs(pd.Series(scaled).mean()) < 0.3


def test_the_newest_figure_holds_the_true_consumption(
    metrics: Metrics, known: pd.DataFrame
) -> None:
    for parameter in ("alkalinity", "calcium", "magnesium"):
        result = metrics.one("consumption", parameter)
        assert result is not None and result.low is not None and result.high is not None
        assert result.low <= true_rate(known, result) <= result.high
