"""Evaporation from the log and by formula, and what a failing top-off does."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.metrics import Metrics, Result
from tests.journals import TANK, metrics
from tests.metrics.conftest import assert_sound
from tests.science.check_values import read_rows

AT_25 = TANK + "targets: {temperature: 24 to 26, salinity: 34 to 36}\n"
SURFACE = "vessels: {name: display, length: 100, width: 50, water_height: 60}\n"
ROOM = "room: {coldest: 22, warmest: 22, humidity: 50 %}\n"
VOLUME = "fill: {measured_volume: 300 ± 6 L}\n"
TOP_OFF = "equipment: [{name: cup, kind: top-off, reservoir: 12 L}]\n"


def logged(*litres: tuple[str, str]) -> dict[str, str]:
    return {f"log/{day}.yml": f"top_off: {text}\n" for day, text in litres}


THREE = logged(("2026-03-10", "9 L"), ("2026-03-13", "6 L"), ("2026-03-16", "6 L"))


def of(log: dict[str, str], profile: str = VOLUME) -> Metrics:
    return metrics({"tank.yml": AT_25 + profile} | log)


def one(found: Metrics, name: str, subject: str | None = None) -> Result:
    result = found.one(name, subject)
    assert result is not None, (name, found.beyond)
    return result


def reference(quantity: str) -> float:
    (row,) = [row for row in read_rows() if row.quantity == quantity]
    return row.value


def test_the_log_by_hand() -> None:
    """The first 9 L only start the clock: 12 L in 6 days."""
    rate = one(of(THREE), "evaporation")
    assert (rate.value, rate.low, rate.high) == pytest.approx((2.0, 1.8, 2.2))
    assert [(i.label, i.value, i.entry, i.line) for i in rate.inputs] == [
        ("2026-03-10", "9.0 L", "2026-03-10", 1),
        ("2026-03-13", "6.0 L", "2026-03-13", 1),
        ("2026-03-16", "6.0 L", "2026-03-16", 1),
    ]
    assert "3 top-offs" in rate.note


def test_the_log_wins_over_the_formula() -> None:
    assert one(of(THREE, SURFACE + ROOM), "evaporation").value == pytest.approx(2.0)


@pytest.mark.parametrize(
    "log",
    [
        {},
        logged(("2026-03-10", "9 L")),
        # two days tell little
        logged(("2026-03-10", "9 L"), ("2026-03-12", "6 L")),
        # more than 90 days ago
        logged(("2025-11-10", "9 L"), ("2025-11-20", "9 L")),
        # at one moment
        {"log/2026-03-10.yml": "top_off: 3 L\n", "log/2026-03-10-b.yml": "top_off: 6 L\n"},
    ],
)
def test_with_too_little_log_the_formula_counts(log: dict[str, str]) -> None:
    """Carrier / ASHRAE: 3.06 kg/d for 0.5 m2 at 25 °C in 22 °C and 50 %, half of it in quiet.

    The check value is for pure water; seawater has 1.9 % less vapour pressure (Weiss & Price
    1980), which of the difference to the room, 3.169 - 1.322 kPa, is 3.2 %.
    """
    rate = one(of(log, SURFACE + ROOM), "evaporation")
    pool = reference("evaporation Carrier/ASHRAE, activity factor 1")
    assert rate.value == pytest.approx(pool / 2, rel=0.035)
    assert rate.high == pytest.approx(1.4 * rate.value)
    assert rate.note.startswith("By formula")
    assert of(log, VOLUME).one("evaporation") is None


def test_top_offs_of_one_moment_are_one() -> None:
    log = dict(THREE) | {"log/2026-03-16-b.yml": "top_off: 3 L\n"}
    assert one(of(log), "evaporation").value == pytest.approx(15 / 6)


def test_us_gallons() -> None:
    # 1 gal = 3.785411784 L, exact
    log = logged(("2026-03-10", "1"), ("2026-03-16", "3"))
    rate = one(
        of(log, "units: {system: us, temperature: °C}\nfill: {measured_volume: 79.25}\n"),
        "evaporation",
    )
    assert rate.value == pytest.approx(3 * 3.785411784 / 6)


def test_a_reservoir_by_hand() -> None:
    """12 L at 2 L (1.8 to 2.2) a day last 6 (5.45 to 6.67) days."""
    days = one(of(THREE, VOLUME + TOP_OFF), "top_off_reserve", "cup")
    assert (days.value, days.low, days.high) == pytest.approx((6, 12 / 2.2, 12 / 1.8))
    planned = of(THREE, VOLUME + TOP_OFF.replace("12 L", "12 L, planned: true"))
    assert one(planned, "top_off_reserve").note == "Planned, not yet in service."


def test_the_worked_rise_of_salinity() -> None:
    """35 psu, 4 L a day of 300 L."""
    log = logged(("2026-03-10", "9 L"), ("2026-03-16", "24 L"))
    drift = one(of(log), "salinity_drift")
    assert drift.value == pytest.approx(reference("dS/dt without top-off"))
    assert (drift.low, drift.high) == pytest.approx((0.9 * drift.value, 1.1 * drift.value))


def test_an_overfill_by_hand() -> None:
    """The salt of 300 L in 312 L: 35 x 300 / 312 = 33.65."""
    assert one(of(THREE, VOLUME + TOP_OFF), "overfill_salinity", "cup").value == pytest.approx(
        33.654, abs=1e-3
    )


def test_a_removed_top_off_has_no_reserve() -> None:
    log = THREE | {"log/2026-03-20.yml": "equipment: {removed: cup}\n"}
    found = of(log, VOLUME + TOP_OFF)
    assert found.of("top_off_reserve") == found.of("overfill_salinity") == []


@pytest.mark.parametrize(
    ("profile", "log"),
    [
        (VOLUME + TOP_OFF.replace("12 L", "0"), THREE),
        (VOLUME + TOP_OFF.replace("12 L", "9000 L"), THREE),
        ("fill: {measured_volume: 0.1 L}\n" + TOP_OFF, THREE),
        (VOLUME + TOP_OFF, logged(("2026-03-01", "0 L"), ("2026-03-20", "0 L"))),
        (VOLUME + TOP_OFF, logged(("2026-03-01", "1 ml"), ("2026-03-20", "1 ml"))),
        (VOLUME + TOP_OFF, logged(("2026-03-01", "1 L"), ("2026-03-20", "900000 L"))),
        (SURFACE + ROOM.replace("50 %", "100 %") + TOP_OFF, {}),
    ],
)
def test_odd_logs_do_not_stop_a_build(profile: str, log: dict[str, str]) -> None:
    assert_sound(of(log, profile))


@settings(max_examples=12, deadline=None)
@given(litres=st.floats(0.5, 40), more=st.floats(0, 40))
def test_what_evaporates_faster_lasts_less_long(litres: float, more: float) -> None:
    slow, fast = (
        of(logged(("2026-03-10", "1 L"), ("2026-03-20", f"{amount:.3f} L")), VOLUME + TOP_OFF)
        for amount in (litres, litres + more)
    )
    assert one(fast, "top_off_reserve").value <= one(slow, "top_off_reserve").value
    assert one(fast, "salinity_drift").value >= one(slow, "salinity_drift").value
