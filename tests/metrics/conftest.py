from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable
from pathlib import Path

import pytest

from journal_tools.journal import load_journal
from journal_tools.metrics import Metrics, compute_metrics
from journal_tools.tables import Tables, build_tables
from tests import journals

CONTENT = Path(__file__).parents[2] / "content"
DEMO_TODAY = dt.date(2026, 11, 23)


@pytest.fixture
def load() -> Callable[..., Tables]:
    """Give the function from a journal's texts by path to its tables."""
    return journals.tables


@pytest.fixture
def compute() -> Callable[..., Metrics]:
    """Give the function from a journal's texts by path to its metrics."""
    return journals.metrics


@pytest.fixture(scope="session")
def demo() -> Tables:
    return build_tables(load_journal(CONTENT, DEMO_TODAY))


@pytest.fixture(scope="session")
def demo_metrics(demo: Tables) -> Metrics:
    return compute_metrics(demo)


def assert_sound(found: Metrics) -> None:
    """Check what holds for every result, whatever a keeper writes."""
    for result in found:
        assert math.isfinite(result.value), result
        assert (result.low is None) == (result.high is None), result
        if result.low is not None and result.high is not None:
            assert result.low <= result.value <= result.high, result
