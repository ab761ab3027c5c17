from __future__ import annotations

from itertools import pairwise

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.charts.monthly import bars_per_month, cumulative_cost, spread
from journal_tools.charts.theme import NARROW, WIDE

from .made_up import TODAY, ZONE


def times(*texts: str) -> pd.Series:
    return pd.Series(
        [pd.Timestamp(text, tz=ZONE) for text in texts], dtype=f"datetime64[ns, {ZONE}]"
    )


def costs(*rows: tuple[str, float, str]) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "time": times(*(row[0] for row in rows)),
            "amount": [row[1] for row in rows],
            "category": [row[2] for row in rows],
        }
    )


def rows_of(spec: dict, name: str) -> list[dict]:
    return next(x for x in spec["layer"] if x["data"]["name"] == name)["data"]["values"]


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
def test_months_are_counted_by_the_keepers_clock(shape):
    entries = times("2026-01-31 23:30", "2026-02-01 00:10", "2026-02-14")
    spec = bars_per_month(entries, times("2026-04-02"), TODAY, shape=shape).to_dict(validate=True)
    assert [row["v"] for row in rows_of(spec, "entries")] == [1, 2]
    assert [row["v"] for row in rows_of(spec, "photos")] == [1]
    assert spec["description"] == (
        "3 entries and 1 photo from January 2026 to May 2026; most entries in February 2026: 2."
    )


def test_an_empty_journal_has_bars_of_no_height():
    spec = bars_per_month(times(), times(), TODAY).to_dict(validate=True)
    assert [row["v"] for row in rows_of(spec, "entries")] == [0]
    assert spec["description"] == "0 entries and 0 photos from May 2026 to May 2026."


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
def test_costs_add_up(shape):
    table = costs(
        ("2026-01-02", 50, "salt"), ("2026-02-03", 30.5, "food"), ("2026-02-03", 5, "salt")
    )
    spec = cumulative_cost(table, "EUR", TODAY, shape=shape).to_dict(validate=True)
    assert [row["v"] for row in rows_of(spec, "line-0")] == [0, 50, 85.5, 85.5]
    assert [row["v"] for row in rows_of(spec, "line-1")] == [0, 50, 55, 55]
    assert "in all 85.50\u00a0EUR, salt 55.00\u00a0EUR, food 30.50\u00a0EUR" in spec["description"]


def test_many_small_categories_become_other():
    table = costs(*((f"2026-01-{i + 1:02d}", 10.0 * (9 - i), f"kind {i}") for i in range(9)))
    spec = cumulative_cost(table, "EUR", TODAY).to_dict(validate=True)
    says = [row["says"] for row in rows_of(spec, "labels")]
    assert len(says) == 7
    assert "other 100" in says


def test_no_costs():
    spec = cumulative_cost(costs(), "EUR", TODAY).to_dict(validate=True)
    assert spec["description"] == "No costs written down yet."


@given(st.lists(st.floats(0, 160), min_size=1, max_size=7))
def test_labels_keep_their_distance_and_their_order(places):
    result = spread(sorted(places), 15, 170)
    assert all(b - a >= 15 - 1e-6 for a, b in pairwise(result))
    assert max(result) <= 170
