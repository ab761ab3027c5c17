"""Instruments: scale, bias, next comparison."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest

from journal_tools.instruments import MEASURES, InstrumentKind
from tests.pages.built import Built
from tests.pages.checks.finding import check, ids, of


def test_bias_standard_and_next_comparison(full: Built) -> None:
    """35 against 34.7, on 1 March; monthly, so due on 31 March, which is today."""
    found = check(full.site, "instrument-refractometer")
    assert found.sentence == (
        "Compared with 35.0 psu (4 weeks ago) it read 0.3 psu too low; the next comparison is "
        "due; no reading names it yet."
    )
    assert found.gauge.count("<circle") == 2 and "+0.6 psu" in found.gauge
    assert "table salt" in found.practice


def test_an_instrument_that_was_never_compared(full: Built) -> None:
    found = check(full.site, "instrument-pen")
    assert found.title == "Pen (pH meter)" and found.gauge == ""
    assert "not been compared" in found.sentence
    assert [hint.partition(":")[0] for hint in found.missing] == ["calibrate_every", "calibrations"]


def test_fahrenheit_and_specific_gravity(tmp_path: Path) -> None:
    tank = "units: {system: us, salinity: SG}\ninstruments: [{name: arm, kind: hydrometer}, "
    tank += "{name: stick, kind: thermometer}]\n"
    log = {"log/2026-03-01.yml": (
        "calibrations: [{instrument: arm, salinity: {standard: 1.0264, shown: 1.0250}}, "
        "{instrument: stick, temperature: {standard: 77, shown: 78}}]\n")}  # fmt: skip
    site = of(tmp_path, tank, log)
    assert "Compared with 1.0264 SG (4 weeks ago) it read 0.0014 SG too low" in (
        check(site, "instrument-arm").sentence
    )
    assert "77.0 °F (4 weeks ago) it read 1.0 °F too high" in (
        check(site, "instrument-stick").sentence
    )


def test_a_right_reading_is_right(tmp_path: Path) -> None:
    log = {"log/2026-03-01.yml": "calibrations: {instrument: pen, ph: {standard: 7, shown: 7}}\n"
           "readings: {ph: {value: 8.1, kit: pen}}\n"}  # fmt: skip
    site = of(tmp_path, "instruments: [{name: pen, kind: pH meter}]\n", log)
    assert check(site, "instrument-pen").sentence == (
        "Compared with 7.00 (4 weeks ago) it read right; 1 reading by it."
    )


@pytest.mark.parametrize("kind", sorted(MEASURES))
def test_every_kind_says_how_it_is_compared(kind: str, tmp_path: Path) -> None:
    scale = ", scale: seawater" if kind == "refractometer" else ""
    found = check(of(tmp_path, f"instruments: [{{name: x, kind: {kind}{scale}}}]\n"),
                  "instrument-x")  # fmt: skip
    assert found.practice and "standard" in found.missing[-1]


def test_an_unknown_scale_is_asked_for(tmp_path: Path) -> None:
    site = of(tmp_path, "instruments: [{name: x, kind: refractometer}, {name: y, kind: other}]\n")
    assert check(site, "instrument-x").missing[0].startswith("scale: seawater")
    assert "instrument-y" not in ids(site) and "other" in get_args(InstrumentKind)
