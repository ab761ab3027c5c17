"""Times of any clock as moments: formats, zones, summer time, order."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from journal_tools.probes import Probes
from tests.journals import TANK
from tests.probes.made_up import COLUMNS, codes, load, moments, said

BERLIN = ZoneInfo("Europe/Berlin")
YEARS = TANK.replace("2026-01-01", "2024-01-01")


def read(folder: Path, times: list[str], told: str = "time: time", tank: str = YEARS) -> Probes:
    lines = [f"{time};{25 + place / 100}" for place, time in enumerate(times)]
    text = "\n".join(["time;T1", *lines]) + "\n"
    return load(folder, {"tank.csv": text, "tank.yml": f"{told}\ndecimal: '.'\n{COLUMNS}"}, tank)


def seen(found: Probes) -> list[int]:
    return found.series[0].data.recent_ns.tolist() if found.series else []


@pytest.mark.parametrize(
    ("written", "told", "utc"),
    [
        ("2026-03-01 10:00", "time: time", "2026-03-01 09:00"),
        ("2026-03-01T10:00:30.250", "time: time", "2026-03-01 09:00:30.25"),
        ("2026-03-01T10:00:00Z", "time: time", "2026-03-01 10:00"),
        ("2026-03-01T10:00:00+05:30", "time: time", "2026-03-01 04:30"),
        ("2026-03-01 10:00", "time: {column: time, zone: UTC}", "2026-03-01 10:00"),
        ("2026-03-01 10:00", "time: {column: time, zone: America/Denver}", "2026-03-01 17:00"),
        ("01.03.2026 10:00", "time: {column: time, format: '%d.%m.%Y %H:%M'}", "2026-03-01 09:00"),
        ("3/1/2026 10:00 PM", "time: {column: time, format: '%m/%d/%Y %I:%M %p'}",
         "2026-03-01 21:00"),
        ("1772355600", "time: {column: time, unit: s}", "2026-03-01 09:00"),
        ("1772355600.25", "time: {column: time, unit: s}", "2026-03-01 09:00:00.25"),
        ("1772355600000", "time: {column: time, unit: ms}", "2026-03-01 09:00"),
    ],
)  # fmt: skip
def test_a_time_is_understood(tmp_path: Path, written: str, told: str, utc: str) -> None:
    found = read(tmp_path, [written], told)
    assert found.problems == () and seen(found) == moments([utc])


def test_offsets_that_change_within_a_file(tmp_path: Path) -> None:
    found = read(tmp_path, ["2026-03-29T01:30+01:00", "2026-03-29T03:30+02:00"])
    assert found.problems == ()
    assert seen(found) == moments(["2026-03-29 00:30", "2026-03-29 01:30"])


@pytest.mark.parametrize("odd", ["2026-03-01T11:00", "later"])
def test_among_times_with_an_offset_one_without_is_no_time(tmp_path: Path, odd: str) -> None:
    found = read(tmp_path, ["2026-03-01T10:00Z", odd, "2026-03-01T12:00Z"])
    assert seen(found) == moments(["2026-03-01 10:00", "2026-03-01 12:00"])


def test_days_and_months_are_never_guessed(tmp_path: Path) -> None:
    found = read(tmp_path, ["03.04.2026 10:00"])
    assert codes(found) == ["probe-time"] and not found.series
    assert "format: '%d.%m.%Y %H:%M'" in said(found)[0]
    either = read(tmp_path, ["03/04/2026 10:00"])
    assert "'%d/%m/%Y %H:%M' or format: '%m/%d/%Y %H:%M'" in said(either)[0]


@pytest.mark.parametrize(
    ("written", "told", "hint"),
    [
        ("1772355600", "time: time", "unit: s"),
        ("soon", "time: time", "Write its format"),
        ("soon", "time: {column: time, format: '%d.%m.%Y'}", "Write its format"),
        ("soon", "time: {column: time, unit: s}", "left out"),
        ("99999999999999", "time: {column: time, unit: s}", "left out"),
        ("", "time: time", "empty"),
    ],
)
def test_times_that_are_none_are_said_with_what_to_write(
    tmp_path: Path, written: str, told: str, hint: str
) -> None:
    found = read(tmp_path, [written], told)
    assert codes(found) == ["probe-time"] and hint in said(found)[0]


@pytest.mark.parametrize("year", ["0001", "1800", "2150", "9999"])
def test_years_that_cannot_be_are_no_times(tmp_path: Path, year: str) -> None:
    found = read(tmp_path, ["2026-03-01 10:00", f"{year}-03-01 10:00"])
    assert codes(found) == ["probe-time"] and len(seen(found)) == 1


# --- Clock changes


def wall(first: str, last: str, minutes: int, zone: ZoneInfo = BERLIN) -> list[str]:
    """Give what a clock with summer time shows at equal steps between two moments in UTC."""
    moment, end = (dt.datetime.fromisoformat(text).replace(tzinfo=dt.UTC) for text in (first, last))
    shown = []
    while moment < end:
        shown.append(f"{moment.astimezone(zone):%Y-%m-%d %H:%M}")
        moment += dt.timedelta(minutes=minutes)
    return shown


@pytest.mark.parametrize("minutes", [2, 7, 15, 60, 120])
@pytest.mark.parametrize("newest_first", [False, True])
@pytest.mark.parametrize("day", ["2025-03-30", "2025-10-26"])
def test_a_clock_with_summer_time_is_read_without_a_word(
    tmp_path: Path, minutes: int, newest_first: bool, day: str
) -> None:
    """Clocks in Berlin: 30 March 2025 forward, 26 October 2025 back (tz database)."""
    before = dt.date.fromisoformat(day) - dt.timedelta(days=1)
    times = wall(f"{before} 12:00", f"{day} 06:00", minutes)
    found = read(tmp_path, times[::-1] if newest_first else times)
    assert found.problems == ()
    steps = np.diff(seen(found))
    assert (steps == minutes * 60e9).all() and len(seen(found)) == len(times)


def test_a_clock_without_summer_time_is_found_out(tmp_path: Path) -> None:
    times = [f"2025-03-30 0{hour}:{minute:02}" for hour in (1, 2, 3) for minute in (0, 30)]
    found = read(tmp_path, times)
    assert codes(found) == ["probe-clock-skipped"]
    assert said(found)[0].startswith(
        "probes/tank.csv:4:1: 2 times do not exist: the clocks went forward at 2025-03-30 02:00."
    )
    assert len(seen(found)) == 4
    fine = read(tmp_path, times, "time: {column: time, zone: Etc/GMT-1}")
    assert fine.problems == () and len(seen(fine)) == 6


def test_an_hour_that_occurs_twice_and_is_told_once_is_a_guess(tmp_path: Path) -> None:
    times = ["2025-10-26 01:30", "2025-10-26 02:00", "2025-10-26 02:30", "2025-10-26 03:00"]
    found = read(tmp_path, times)
    assert codes(found) == ["probe-clock-twice"] and found.problems[0].line == 3
    first = ["2025-10-25 23:30", "2025-10-26 00:00", "2025-10-26 00:30", "2025-10-26 02:00"]
    assert seen(found) == moments(first)


def test_a_part_that_begins_in_the_second_hour_keeps_its_step(tmp_path: Path) -> None:
    found = read(tmp_path, ["2025-10-26 02:40", "2025-10-26 02:50", "2025-10-26 03:00"])
    assert found.problems == ()
    assert seen(found) == moments(["2025-10-26 01:40", "2025-10-26 01:50", "2025-10-26 02:00"])


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    zone=st.sampled_from(["Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "UTC",
                          "America/Sao_Paulo", "Africa/Casablanca", "Asia/Kathmandu"]),
    start=st.datetimes(dt.datetime(2024, 2, 1), dt.datetime(2026, 2, 1)),
    minutes=st.sampled_from([5, 15, 30]),
)  # fmt: skip
def test_every_moment_comes_back_whatever_the_zone(
    tmp_path: Path, zone: str, start: dt.datetime, minutes: int
) -> None:
    start = start.replace(second=0, microsecond=0)
    end = start + dt.timedelta(days=3)
    times = wall(f"{start}", f"{end}", minutes, ZoneInfo(zone))
    found = read(tmp_path, times, tank=YEARS.replace("Europe/Berlin", zone))
    told = [start + dt.timedelta(minutes=minutes) * place for place in range(len(times))]
    unsure = {"probe-clock-twice"}  # a series may begin or end within the hour that is repeated
    assert set(codes(found)) <= unsure
    if not found.problems:
        assert seen(found) == moments(f"{moment}" for moment in told)


# --- Order


def test_rows_are_sorted_and_doubles_dropped(tmp_path: Path) -> None:
    order = ["10:00", "12:00", "11:00", "13:00", "12:00"]
    found = read(tmp_path, [f"2026-03-01 {clock}" for clock in order])
    assert sorted(codes(found)) == ["probe-doubles", "probe-order"]
    assert seen(found) == moments(f"2026-03-01 {h}:00" for h in ("09", "10", "11", "12"))
    assert found.series[0].data.recent.tolist() == [25.0, 25.02, 25.01, 25.03]


def test_newest_first_is_an_order_too(tmp_path: Path) -> None:
    found = read(tmp_path, [f"2026-03-01 {hour}:00" for hour in (13, 12, 11)])
    assert found.problems == () and found.series[0].data.recent.tolist() == [25.02, 25.01, 25.0]
