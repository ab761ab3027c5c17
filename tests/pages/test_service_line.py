"""The timeline of equipment: from the day it came to the day it went."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from journal_tools.pages.service_line import service_line
from journal_tools.pages.site import Site
from tests import journals

FIRST, TODAY = dt.date(2026, 1, 1), journals.TODAY  # 89 days apart


def site(tmp_path: Path) -> Site:
    log = {"log/2026-02-15.yml": "equipment: [{serviced: a}, {failed: b}]\n"}
    return journals.site(tmp_path, log)


def ends(svg: str) -> tuple[int, int]:
    found = re.search(r'jt-service__line" d="M(\d+) \d+H(\d+)', svg)
    assert found is not None
    return int(found[1]), int(found[2])


def test_lines_run_from_first_to_last_day(tmp_path: Path) -> None:
    spans = [
        ("late", dt.date(2026, 3, 1), None, "in service"), ("planned", None, None, "planned"),
        ("a", FIRST, None, "in service"), ("gone", FIRST, dt.date(2026, 2, 1), "removed"),
    ]  # fmt: skip
    rows, words = service_line(site(tmp_path), spans)
    assert [row.name for row in rows] == ["a", "gone", "late"]
    # 31 and 59 of 89 days
    assert [ends(row.svg) for row in rows] == [(0, 1000), (0, 348), (663, 1000)]
    assert words == ["1 Jan 2026", "31 Mar 2026"]
    assert [row.words for row in rows] == [
        "from 1 Jan 2026, in service", "from 1 Jan 2026 to 1 Feb 2026", "from 1 Mar 2026, "
        "in service"]  # fmt: skip


def test_services_and_failures_are_marked(tmp_path: Path) -> None:
    spans = [("a", FIRST, None, "in service"), ("b", FIRST, None, "failed")]
    rows, _ = service_line(site(tmp_path), spans)
    # 45 of 89 days
    assert 'jt-service__mark" d="M506 ' in rows[0].svg
    assert 'jt-service__failed" d=""' in rows[0].svg
    assert 'jt-service__failed" d="M506 ' in rows[1].svg
    assert rows[1].words == "from 1 Jan 2026, failed"


def test_nothing_in_service_no_lines(tmp_path: Path) -> None:
    assert service_line(site(tmp_path), [("a", None, None, "planned")]) == ([], [])


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=15, deadline=None
)
@given(days=st.lists(st.tuples(st.integers(0, 89), st.integers(0, 89)), min_size=1, max_size=5))
def test_lines_stay_on_the_paper(
    days: list[tuple[int, int]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    spans = [
        (str(n), FIRST + dt.timedelta(days=min(pair)), FIRST + dt.timedelta(days=max(pair)),
         "removed")
        for n, pair in enumerate(days)
    ]  # fmt: skip
    rows, _ = service_line(journals.site(tmp_path_factory.mktemp("lines"), {}), spans)
    assert len(rows) == len(days)
    for row in rows:
        start, end = ends(row.svg)
        assert start >= 0 and end <= 1000
