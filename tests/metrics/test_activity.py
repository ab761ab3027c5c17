"""How often the journal was kept, by the keeper's months."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest

from journal_tools.metrics import Metrics
from journal_tools.tables import Tables

NOTE = "notes: Something.\n"


def months(found: Metrics, name: str = "entries_per_month") -> dict[str, float]:
    return {r.start.strftime("%Y-%m"): r.value for r in found.of(name) if r.start}


def test_months_without_entries_are_nought(compute: Callable[..., Metrics]) -> None:
    files = {f"log/{day}.yml": NOTE for day in ("2025-11-30", "2025-11-30-evening", "2026-02-01")}
    assert months(compute(files)) == {"2025-11": 2, "2025-12": 0, "2026-01": 0, "2026-02": 1}


@pytest.mark.parametrize("zone", ["Pacific/Auckland", "America/Los_Angeles"])
def test_the_month_ends_at_the_keepers_midnight(zone: str, compute: Callable[..., Metrics]) -> None:
    tank = f"name: T\nstart: 2026-01-01\ntime_zone: {zone}\n"
    files = {
        "tank.yml": tank,
        "log/2026-01-31.yml": 'time: "23:59"\n' + NOTE,
        "log/2026-02-01.yml": 'time: "00:00"\n' + NOTE,
    }
    assert months(compute(files)) == {"2026-01": 1, "2026-02": 1}


def test_a_month_may_begin_in_an_hour_that_comes_twice(compute: Callable[..., Metrics]) -> None:
    """IANA tz data 2025: in Havana the clock goes back at 01:00 on 1 November 2026."""
    tank = "name: T\nstart: 2026-01-01\ntime_zone: America/Havana\n"
    entries = {f"log/2026-{day}.yml": NOTE for day in ("10-31", "11-01", "11-30")}
    cost = {"log/2026-11-02.yml": "costs: {what: salt, amount: 5}\nreadings: {ph: 8}\n"}
    found = compute({"tank.yml": tank} | entries | cost, dt.date(2026, 11, 30))
    assert months(found) == {"2026-10": 1, "2026-11": 3}
    assert months(found, "cost_per_month") == {"2026-11": 5}
    october, november = found.of("entries_per_month")
    assert october.end == november.start


def test_photos_are_counted_where_entries_show_them(
    load: Callable[..., Tables], compute: Callable[..., Metrics]
) -> None:
    files = {"log/2026-02-01.yml": "photos: [a.jpg, b.jpg]\n", "log/2026-03-01.yml": NOTE}
    missing = ("photo-missing", "photos-folder-missing")
    assert load(files, but=missing).entries["photos"].tolist() == [2, 0]
    assert months(compute(files, but=missing), "photos_per_month") == {"2026-02": 2}


def test_an_empty_journal_has_no_months(compute: Callable[..., Metrics]) -> None:
    assert months(compute({})) == months(compute({}), "photos_per_month") == {}
