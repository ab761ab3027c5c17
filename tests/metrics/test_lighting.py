"""Daily light and hours of light through a profile."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.metrics import Metrics, Result
from tests.journals import TANK, metrics
from tests.metrics.conftest import assert_sound


def of(light: str, more: str = "", log: dict[str, str] | None = None) -> Metrics:
    lamp = f"equipment: [{{name: lamp, kind: light, light: {{{light}}}{more}}}]\n"
    return metrics({"tank.yml": TANK + lamp} | (log or {}))


def one(found: Metrics, name: str, subject: str) -> Result:
    result = found.one(name, subject)
    assert result is not None, (name, found.beyond)
    return result


@pytest.mark.parametrize(
    ("light", "mol", "hours"),
    [
        # 200 µmol for 8 h and two linear ramps of 1 h: 200 x 9 h x 3600 s / 1e6 = 6.48
        ('on: "10:00", off: "20:00", ramp: 60 min, par: {rock: 200}', 6.48, 10),
        ('on: "10:00", off: "20:00", ramp: 1 h, par: {rock: 200}', 6.48, 10),
        # 200 x 12 h x 3600 / 1e6
        ('on: "08:00", off: "20:00", par: {rock: 200}', 8.64, 12),
        # a half sine has 2/pi of its peak: 300 x 10 h x 0.6366 x 3600 / 1e6
        ('on: "10:00", off: "20:00", shape: half sine, par: {rock: 300}', 6.875, 10),
        # over midnight: 100 x 8 h
        ('on: "22:00", off: "06:00", par: {rock: 100}', 2.88, 8),
        # 24 h of 1 µmol
        ('on: "06:00", off: "06:00", par: {rock: 1}', 0.0864, 24),
        ('on: "10:00", off: "20:00", ramp: 0 min, par: {rock: 0}', 0, 10),
    ],
)
def test_light_by_hand(light: str, mol: float, hours: float) -> None:
    found = of(light)
    daily = one(found, "daily_light", "lamp: rock")
    assert daily.value == pytest.approx(mol, abs=5e-4)
    assert (daily.low, daily.high) == pytest.approx((0.85 * daily.value, 1.15 * daily.value))
    assert one(found, "photoperiod", "lamp").value == pytest.approx(hours)


def test_each_place_has_its_own_light() -> None:
    found = of('on: "08:00", off: "20:00", par: {top: 300, sand: 75}')
    top, sand = (one(found, "daily_light", f"lamp: {place}") for place in ("top", "sand"))
    assert top.value == pytest.approx(4 * sand.value)
    assert [i.value for i in sand.inputs] == ["75 µmol/m²/s", "08:00 to 20:00"]


def test_without_a_measurement_there_are_only_hours() -> None:
    found = of('on: "08:00", off: "20:00"')
    assert found.of("daily_light") == []
    assert one(found, "photoperiod", "lamp").value == pytest.approx(12)
    nothing = metrics({"tank.yml": f"{TANK}equipment: [{{name: lamp, kind: light}}]\n"})
    assert nothing.of("photoperiod") == []


def test_planned_and_removed_lamps() -> None:
    day = 'on: "08:00", off: "20:00", par: {top: 300}'
    planned = one(of(day, ", planned: true"), "daily_light", "lamp: top")
    assert planned.note == "Planned, not yet in service."
    removed = of(day, log={"log/2026-02-01.yml": "equipment: {removed: lamp}\n"})
    assert removed.of("daily_light") == removed.of("photoperiod") == []


@pytest.mark.parametrize(
    ("start", "days", "going_on"), [("2026-03-20", 30, True), ("2026-03-01", 30, False),
                                    ("2026-04-20", 30, False)],
)  # fmt: skip
def test_a_slow_start_is_told_of_while_it_lasts(start: str, days: int, going_on: bool) -> None:
    slow = f"acclimation: {{start: {start}, days: {days}, from_share: 40 %}}"
    found = of(f'on: "08:00", off: "20:00", par: {{top: 300}}, {slow}')
    assert ("slow start" in one(found, "daily_light", "lamp: top").note) == going_on


@settings(max_examples=15, deadline=None)
@given(
    on=st.integers(0, 1439), off=st.integers(0, 1439), ramp=st.integers(0, 720),
    par=st.floats(0, 3000), shape=st.sampled_from(["linear", "half sine"]),
)  # fmt: skip
def test_no_day_gives_more_than_24_hours_of_its_brightest(
    on: int, off: int, ramp: int, par: float, shape: str
) -> None:
    lit = (off - on) % 1440 or 1440
    clock = [f'"{minute // 60:02}:{minute % 60:02}"' for minute in (on, off)]
    found = of(f"on: {clock[0]}, off: {clock[1]}, ramp: {min(ramp, lit // 2)} min, "
               f"shape: {shape}, par: {{top: {par:.3f}}}")  # fmt: skip
    assert_sound(found)
    daily = one(found, "daily_light", "lamp: top").value
    assert 0 <= daily <= par * lit * 60 / 1e6 + 1e-3
    assert one(found, "photoperiod", "lamp").value == pytest.approx(lit / 60)
