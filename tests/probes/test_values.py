"""Values of a column: units, limits, and what is left out."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from journal_tools.probes.days import Reduced
from journal_tools.science.water.seawater import conductivity_ms_cm
from tests.journals import TANK
from tests.probes.made_up import codes, load, rows


def data(folder: Path, values: tuple[object, ...], column: str, step: str = "15min") -> Reduced:
    told = f"time: time\ncolumns: {{{column}}}\n"
    found = load(folder, {"tank.csv": rows(*values, step=step), "tank.yml": told})
    assert found.problems == (), found.problems
    return found.series[0].data


def limited(folder: Path, values: tuple[object, ...], limits: str, step: str = "15min") -> Reduced:
    return data(folder, values, f"temperature: {{column: T1, limits: {{{limits}}}}}", step)


@pytest.mark.parametrize(
    ("column", "value", "canonical"),
    [
        ("temperature: {column: T1, unit: F}", 77, 25.0),  # NIST SP 811, B.9
        ("temperature: {column: T1, unit: K}", 298.15, 25.0),
        ("orp: {column: T1, unit: V}", 0.35, 350),
        ("alkalinity: {column: T1, unit: meq/L}", 3, 8.4116073),  # DIN 38409-7
        # EOS-80 and PSS-78, tests/reference/science_check_values.csv.
        ("salinity: {column: T1, unit: SG}", 1.026372709, 35.0),
        ("salinity: {column: T1, unit: mS/cm}", float(conductivity_ms_cm(35.0, 25.0)), 35.0),
    ],
)
def test_values_are_kept_in_the_canonical_unit(
    tmp_path: Path, column: str, value: float, canonical: float
) -> None:
    found = data(tmp_path, (value, value), column)
    assert found.maximum.tolist() == pytest.approx([canonical], abs=3e-3)


def test_a_column_without_a_unit_is_in_the_journals_own(tmp_path: Path) -> None:
    files = {"tank.csv": rows(77, 77), "tank.yml": "time: time\ncolumns: {temperature: T1}\n"}
    found = load(tmp_path, files, TANK + "units: {system: us}\n")
    assert found.series[0].data.mean[0] == pytest.approx(25.0)


def test_many_values_along_a_curve_are_as_near_as_few(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    values = tuple(np.round(np.linspace(50, 55, 200), 4).tolist())
    exact = data(tmp_path / "a", values, "salinity: {column: T1, unit: mS/cm}")
    monkeypatch.setattr("journal_tools.probes.values._FEW_VALUES", 10)
    near = data(tmp_path / "b", values, "salinity: {column: T1, unit: mS/cm}")
    assert near.recent == pytest.approx(exact.recent, abs=1e-6)


def test_beyond_a_formula_or_beyond_water_fails(tmp_path: Path) -> None:
    found = data(tmp_path, (1.026, 0.2, 1.026, 7.0), "salinity: {column: T1, unit: SG}")
    assert (found.count.tolist(), found.failed.tolist()) == ([2], [2])
    found = data(tmp_path, (25, 85, 25, -127), "temperature: T1")
    assert (found.count.tolist(), found.failed.tolist()) == ([2], [2])


def test_fail_leaves_out_and_suspect_keeps(tmp_path: Path) -> None:
    found = limited(tmp_path, (25, 29, 31, 41), "fail: [0, 40], suspect: [20, 30]")
    assert found.maximum.tolist() == [31]
    assert (found.count.tolist(), found.flagged.tolist(), found.failed.tolist()) == ([3], [2], [1])


def test_limits_are_in_the_unit_of_the_column(tmp_path: Path) -> None:
    limits = "limits: {fail: [70, 86]}"
    found = data(tmp_path, (77, 80, 90), f"temperature: {{column: T1, unit: F, {limits}}}")
    assert (found.count.tolist(), found.failed.tolist()) == ([2], [1])


def test_a_spike_is_doubted_and_shown(tmp_path: Path) -> None:
    found = limited(tmp_path, (25.0, 25.0, 27.0, 25.0, 25.0), "spike: 1.5")
    assert found.flagged.tolist() == [1] and found.failed.tolist() == [0]
    assert found.maximum.tolist() == [27] and 27 in found.recent


def test_a_wrong_value_casts_no_doubt_on_its_neighbours(tmp_path: Path) -> None:
    limits = "fail: [0, 40], spike: 0.5, rate_per_h: 1"
    found = limited(tmp_path, (25.0, 25.0, 85.0, 25.0, 25.0), limits)
    assert found.flagged.tolist() == found.failed.tolist() == [1]


def test_a_rate_that_water_cannot_have_is_doubted(tmp_path: Path) -> None:
    assert limited(tmp_path, (25, 25, 26, 26), "rate_per_h: 3").flagged.tolist() == [1]
    assert limited(tmp_path, (25, 25, 26, 26), "rate_per_h: 5").flagged.tolist() == [0]


def test_a_probe_that_stands_still_is_doubted_after_its_hours(tmp_path: Path) -> None:
    moving = tuple(25 + 0.1 * (place % 2) for place in range(40))
    still = (*moving, *(25.0,) * 30, *moving)
    found = limited(tmp_path, still, "flat: 0, flat_h: 6")
    # 24 rows of 15 minutes are the 6 hours; of 31 like values the last 7 have those before them.
    assert found.flagged.sum() == 7 and found.failed.sum() == 0
    assert limited(tmp_path, still, "flat: 0, flat_h: 8").flagged.sum() == 0
    assert limited(tmp_path, moving, "flat: 0.2, flat_h: 6").flagged.sum() == 40 - 24


@pytest.mark.parametrize("written", ["inf", "-inf", "1e999", "25..1", "True", "0x19", "25 C"])
def test_what_is_no_number_is_said(tmp_path: Path, written: str) -> None:
    files = {
        "tank.csv": rows(25, written, 26),
        "tank.yml": "time: time\ncolumns: {temperature: T1}",
    }
    found = load(tmp_path, files)
    assert codes(found) == ["probe-value"] and found.problems[0].line == 3
    assert found.series[0].data.count.tolist() == [2]


def test_a_decimal_comma_is_read_also_among_odd_cells(tmp_path: Path) -> None:
    text = "time;T1\n2026-03-01 10:00;25,1\n2026-03-01 11:00;ERR\n2026-03-01 12:00;25,3\n"
    found = load(tmp_path, {"tank.csv": text, "tank.yml": "time: time\ncolumns: {temperature: T1}"})
    assert codes(found) == ["probe-value"]
    assert found.series[0].data.recent.tolist() == [25.1, 25.3]


def test_a_column_of_words_has_no_values_and_no_series(tmp_path: Path) -> None:
    told = {"tank.csv": rows("a", "b"), "tank.yml": "time: time\ncolumns: {temperature: T1}"}
    found = load(tmp_path, told)
    assert codes(found) == ["probe-value"] and found.series == ()
