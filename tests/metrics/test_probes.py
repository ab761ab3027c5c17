"""What probes saw: figures that one can reckon by hand, and probe and kit side by side."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from journal_tools.display import display_of
from journal_tools.journal import load_journal
from journal_tools.metrics import Metrics, compute_metrics
from journal_tools.metrics.probes import DIFFERENCES, LEVELS, value_at
from journal_tools.tables import Tables, build_tables
from tests.journals import TANK, write
from tests.metrics.conftest import assert_sound

TODAY = dt.date(2026, 3, 27)
TOLD = "time: time\ncolumns: {temperature: T1}\n"
BAND = TANK + "targets: {temperature: 24.5 to 25.5}\n"


def wave(days: int, last: str = "2026-03-27 23:45", swing: float = 1.0, bias: float = 0.0) -> str:
    """Give a file of sine waves about 25 °C, lowest at 6 and highest at 18 h, every 15 minutes."""
    times = pd.date_range(end=last, periods=days * 96, freq="15min")
    hours = times.hour + times.minute / 60
    values = 25 + bias - swing / 2 * np.sin(2 * np.pi * hours / 24)
    lines = (f"{t:%Y-%m-%d %H:%M},{v:.4f}" for t, v in zip(times, values, strict=True))
    return "\n".join(["time,T1", *lines]) + "\n"


def tables(
    folder: Path, series: str, files: dict[str, str] | None = None, tank: str = BAND
) -> Tables:
    told = {"tank.yml": tank, "probes/tank.csv": series, "probes/tank.yml": TOLD} | (files or {})
    return build_tables(load_journal(write(folder, told), TODAY))


def metrics(folder: Path, series: str, **options: object) -> Metrics:
    return compute_metrics(tables(folder, series, **options))  # type: ignore[arg-type]


def test_a_journal_without_probes_has_no_figures_of_them(tmp_path: Path) -> None:
    found = compute_metrics(build_tables(load_journal(write(tmp_path, {}), TODAY)))
    assert not [result for result in found if result.metric.startswith("probe_")]


def test_figures_of_a_sine_wave(tmp_path: Path) -> None:
    found = metrics(tmp_path, wave(40, swing=2.0))
    assert_sound(found)
    swing = found.one("probe_swing", "temperature")
    assert swing is not None and swing.value == pytest.approx(2.0)
    assert (swing.low, swing.high) == pytest.approx((2.0, 2.0))
    lowest, highest = found.one("probe_lowest"), found.one("probe_highest")
    assert lowest is not None and highest is not None
    assert (lowest.value, highest.value) == pytest.approx((24, 26))
    assert lowest.end is not None and f"{lowest.end:%H:%M}" == "06:00"
    assert highest.inputs[0].value.endswith("18:00")
    outside = found.one("probe_outside_h")
    # |sin| is over one half for two thirds of the time: sin(30°) = 0.5.
    assert outside is not None and outside.value == pytest.approx(30 * 16, rel=0.01)
    rate = found.one("probe_rate")
    # Steepest 2π/24 times the amplitude of 1.
    assert rate is not None and rate.value == pytest.approx(2 * np.pi / 24, rel=0.02)
    assert rate.unit == "°C/h"


def test_only_the_last_thirty_days_count(tmp_path: Path) -> None:
    head, *old = wave(10, last="2026-02-20 00:00", swing=8).splitlines()
    found = metrics(tmp_path, "\n".join([head, *old, *wave(10).splitlines()[1:]]) + "\n")
    highest = found.one("probe_highest")
    assert highest is not None and highest.value == pytest.approx(25.5)


def test_a_probe_that_stopped_long_ago_has_no_recent_figures(tmp_path: Path) -> None:
    found = metrics(tmp_path, wave(10, last="2026-02-01 00:00"))
    assert not [r for r in found if r.metric.startswith("probe_")]


def test_gaps_are_counted(tmp_path: Path) -> None:
    lines = wave(10).splitlines()
    found = metrics(tmp_path, "\n".join([*lines[:200], *lines[220:]]) + "\n")
    gap = found.one("probe_gaps_h")
    assert gap is not None and gap.value == pytest.approx(5.25)
    assert gap.inputs[0].value == "5.25 h"


def readings(count: int, value: float, extra: str = "") -> dict[str, str]:
    days = (TODAY - dt.timedelta(days=place) for place in range(count))
    reading = f"{{value: {value}, error: 0.1{extra}}}"
    return {
        f"log/{day}.yml": f'time: "12:00"\nreadings: {{temperature: {reading}}}\n' for day in days
    }


def test_probe_less_kit_with_its_interval(tmp_path: Path) -> None:
    """At noon the wave stands at 25; with kit errors of 0.1 and n pairs Student's t decides."""
    found = metrics(tmp_path, wave(20, bias=0.5), files=readings(6, 25.0)).one("probe_disagreement")
    assert found is not None and found.low is not None and found.high is not None
    assert found.value == pytest.approx(0.5, abs=0.01)
    # t(0.975; 5) = 2.5706: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2.
    assert (found.high - found.low) / 2 == pytest.approx(2.5706 * 0.1 / 6**0.5, rel=1e-3)
    assert "calibration" in found.note
    near = metrics(tmp_path / "b", wave(20, bias=0.05), files=readings(6, 25.0))
    result = near.one("probe_disagreement")
    assert result is not None and "calibration" not in result.note


@pytest.mark.parametrize(
    ("count", "extra"), [(2, ""), (0, ""), (6, ", kit: sump probe")], ids=["two", "none", "own"]
)
def test_without_three_other_readings_nothing_is_compared(
    tmp_path: Path, count: int, extra: str
) -> None:
    told = "time: time\ncolumns: {temperature: {column: T1, instrument: Sump Probe}}\n"
    files = readings(count, 25.0, extra) | {"probes/tank.yml": told}
    assert metrics(tmp_path, wave(20), files=files).one("probe_disagreement") is None


def test_the_probe_at_a_moment(tmp_path: Path) -> None:
    (series,) = tables(tmp_path, wave(3)).probes.series
    first = series.data.recent_ns[0] / 86_400e9
    days = first + np.array([-0.2, -0.05, 0.5, 1.0, 2.99, 3.05, 3.2])
    found = value_at(series, days)
    assert np.isnan(found).tolist() == [True, False, False, False, False, False, True]
    assert found[2:4] == pytest.approx([25, 25], abs=0.02)


def test_two_probes_of_one_parameter_are_told_apart(tmp_path: Path) -> None:
    two = {"probes/b.csv": wave(5, bias=1), "probes/b.yml": TOLD}
    found = metrics(tmp_path, wave(5), files=two)
    assert [r.subject for r in found.of("probe_highest")] == ["b: temperature", "tank: temperature"]


def test_times_of_day_stay_private_where_the_keeper_hides_them(tmp_path: Path) -> None:
    tank = BAND + "privacy: {exact_times: false}\n"
    found = metrics(tmp_path, wave(5), tank=tank)
    told = [
        i.value
        for name in ("probe_highest", "probe_gaps_h")
        for r in found.of(name)
        for i in r.inputs
    ]
    assert told and not any(":" in value for value in told)


def test_us_journals_see_degrees_fahrenheit(tmp_path: Path) -> None:
    tank = TANK + "units: {system: us}\ntargets: {temperature: 76 to 78}\n"
    told = "time: time\ncolumns: {temperature: {column: T1, unit: C}}\n"
    files = {"probes/tank.yml": told} | {
        name: text.replace("25.0", "77 F") for name, text in readings(5, 25.0).items()
    }
    found = tables(tmp_path, wave(10, swing=2.0, bias=0.5), files=files, tank=tank)
    shown = display_of(found.profile)
    results = {r.metric: shown.result(r) for r in compute_metrics(found)}
    # NIST SP 811, B.9: a difference of 1 °C is 1.8 °F.
    assert results["probe_highest"].value == pytest.approx(26.5 * 1.8 + 32)
    assert results["probe_swing"].value == pytest.approx(3.6)
    bias = results["probe_disagreement"]
    assert bias.value == pytest.approx(0.9, abs=0.02)
    assert bias.low is not None and bias.high is not None and bias.low < bias.value < bias.high
    assert results["probe_rate"].unit == "°F/h"
    assert {results[name].unit for name in (*LEVELS, "probe_swing")} == {"°F"}
    assert set(DIFFERENCES) <= set(results)
    days = shown.tables(found).probe_days
    assert days["maximum"].max() == pytest.approx(26.5 * 1.8 + 32) and set(days["unit"]) == {"°F"}
    assert days["largest_rate_per_h"].max() == pytest.approx(results["probe_rate"].value, rel=1e-6)


def test_a_probe_too_low_is_shown_below_in_every_unit(tmp_path: Path) -> None:
    tank = TANK + "units: {temperature: F}\n"
    told = {"probes/tank.yml": "time: time\ncolumns: {temperature: {column: T1, unit: C}}\n"}
    files = told | {n: t.replace("25.0", "77 F") for n, t in readings(5, 25.0).items()}
    found = tables(tmp_path, wave(10, bias=-0.5), files=files, tank=tank)
    result = compute_metrics(found).one("probe_disagreement")
    assert result is not None
    shown = display_of(found.profile).result(result)
    assert shown.value == pytest.approx(-0.9, abs=0.02)
    assert shown.low is not None and shown.high is not None and shown.low < shown.high < 0


def test_the_demos_probe_is_as_far_off_as_it_was_made(demo_metrics: Metrics) -> None:
    """The script behind the demo makes its probe read 0.1 °C low; errors of kits are 0.08 °C."""
    found = demo_metrics.one("probe_disagreement", "temperature")
    assert found is not None and found.low is not None and found.high is not None
    assert found.low - 0.05 < -0.1 < found.high + 0.05
