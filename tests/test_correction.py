"""What a reading is after its instrument's own error is taken out."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.water.seawater import salinity_from_hydrometer
from tests.journals import TANK, read, tables

INSTRUMENTS = (
    TANK
    + """\
instruments:
  - {name: optical, kind: refractometer, scale: brine, set_with: pure water}
  - {name: set optical, kind: refractometer, scale: brine, set_with: 35 standard}
  - {name: seawater optical, kind: refractometer, scale: seawater}
  - {name: unknown optical, kind: refractometer}
  - {name: float, kind: hydrometer, reference: 60/60F}
  - {name: meter, kind: conductivity meter}
  - {name: pen, kind: pH meter}
"""
)


def row(reading: str, *more: str, parameter: str = "salinity", day: str = "2026-03-10") -> object:
    log = {f"log/{day}.yml": f"readings: {{{parameter}: {reading}}}\n"}
    log |= {f"log/2026-03-{n:02}.yml": text for n, text in enumerate(more, 1)}
    found = tables({"tank.yml": INSTRUMENTS} | log).readings
    return found[found["entry"] == day].iloc[0]


@pytest.mark.parametrize(
    ("reading", "value", "tolerance"),
    [
        # CRC table of NaCl against Millard & Seaver 1990: a shown 35 is 33.7 ± 0.3
        ("{value: 35, kit: optical}", 33.7, 0.05),
        ("{value: 36.4, kit: optical}", 35.0, 0.05),
        # The SG scale of the same instrument errs the other way: 1.0260 is 35
        ("{value: 1.0260 SG 20/20, kit: optical}", 35.0, 0.1),
        # Set at the working point: nothing to correct there
        ("{value: 35, kit: set optical}", 35.0, 1e-9),
        ("{value: 35, kit: seawater optical}", 35.0, 5e-3),
        # Not told which scale it has: nothing is guessed
        ("{value: 35, kit: unknown optical}", 35.0, 1e-12),
        ("{value: 35, kit: meter}", 35.0, 1e-12),
        ("{value: 35, kit: some drops}", 35.0, 1e-12),
        # EOS-80 with glass of 2.5e-5/K: 1.0250 on a 60/60 °F scale in 25 °C water is 35.54
        ("{value: 1.0250 SG, kit: float, sample_temperature: 25 C}", 35.54, 0.005),
        # The reference that was written wins over the instrument's
        ("{value: 1.0250 SG 25/25, kit: float, sample_temperature: 27 C}", 33.94, 0.005),
    ],
)
def test_a_salinity_by_its_instrument(reading: str, value: float, tolerance: float) -> None:
    found = row(reading)
    assert found["value"] == pytest.approx(value, abs=tolerance)
    changed = abs(found["value"] - found["shown"]) > 5e-3
    assert (found["correction"] != "") == changed


def test_what_was_shown_is_kept_and_the_error_grows() -> None:
    found = row("{value: 35, kit: optical, error: 0.4}")
    assert found["shown"] == 35
    # ± 0.3 as limits is a standard deviation of 0.3/√3 (JCGM 100:2008, 4.3.7)
    assert found["error"] == pytest.approx((0.4**2 + 0.3**2 / 3) ** 0.5)
    assert found["correction"] == "refractometer with a brine scale"


def test_what_is_outside_the_range_of_an_instrument_is_left_and_said() -> None:
    found = row("{value: 41.9, kit: float, sample_temperature: 50 C}")
    assert found["value"] == found["shown"] == 41.9
    found = row("{value: 1.02 SG, kit: float, sample_temperature: 50 C}")
    assert found["value"] == found["shown"]
    assert found["correction"] == "not corrected: temperature 50 °C is outside -2 to 40 °C"


def test_an_oxygen_meter_that_was_told_fresh_water_reads_too_high() -> None:
    """Benson & Krause solubilities: 8.26 mg/L in fresh water is 6.77 in seawater of 35, 25 °C."""
    tank = INSTRUMENTS + "  - {name: probe, kind: oxygen meter, salinity_setting: 0}\n"
    log = {"log/2026-03-10.yml": "readings: {oxygen: {value: 8.26, kit: probe}}\n"}
    found = tables({"tank.yml": tank} | log).readings.iloc[0]
    assert found["value"] == pytest.approx(6.77, abs=0.005)
    assert found["correction"] == "oxygen meter told 0 psu in water of 35"


CHECKED = (
    "calibrations: {instrument: pen, ph: {standard: 7, shown: 7}}\n",  # 1 March: as new
    *("notes: Nothing.\n",) * 9,
    "notes: Nothing.\n",
    *("notes: Nothing.\n",) * 9,
    "calibrations: {instrument: pen, ph: {standard: 7, shown: 7.2}}\n",  # 21 March: 0.2 high
)


@pytest.mark.parametrize(
    ("day", "value", "held"),
    [("2026-02-20", 8.0, True), ("2026-03-30", 8.0, True)],
)
def test_before_and_after_all_calibrations_the_nearest_holds(
    day: str, value: float, held: bool
) -> None:
    found = row("{value: 8.0, kit: pen}", *CHECKED, parameter="ph", day=day)
    assert found["value"] == pytest.approx(value)


def test_drift_goes_in_a_straight_line_between_calibrations() -> None:
    log = {f"log/2026-03-{n:02}.yml": text for n, text in enumerate(CHECKED, 1)}
    log["log/2026-03-11.yml"] = "readings: {ph: {value: 8.1, kit: pen}}\n"
    found = tables({"tank.yml": INSTRUMENTS} | log).readings.iloc[0]
    assert found["value"] == pytest.approx(8.0)
    assert found["shown"] == 8.1
    assert found["correction"] == "calibration of pen: −0.100"


def test_a_check_without_adjustment_goes_on() -> None:
    text = (
        "calibrations: {instrument: meter, salinity: {standard: 35, shown: 35.6}, adjusted: false}"
    )
    found = row("{value: 35.6, kit: meter}", text, day="2026-03-20")
    assert found["value"] == pytest.approx(35.0)
    assert found["correction"].endswith("held from the nearest")


def test_scale_and_calibration_are_not_taken_out_twice() -> None:
    """A brine scale that shows a 35 standard at 36.4 shows the tank at 36.4 when it is 35, too."""
    text = "calibrations: {instrument: optical, salinity: {standard: 35, shown: 36.4}}"
    found = row("{value: 36.4, kit: optical}", text.replace("}}", "}, adjusted: false}"),
                day="2026-03-20")  # fmt: skip
    assert found["value"] == pytest.approx(35.0, abs=0.05)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("calibrations: {instrument: lost, ph: {standard: 7, shown: 7}}",
         "1:28: The instrument 'lost' is not described in tank.yml. Add it under 'instruments:' "
         "with its kind."),
        ("calibrations: {instrument: pen, ph: [{standard: 7, shown: 7}, {standard: 10, shown: 7}]}",
         "1:15: This calibration cannot be used: gain of a two-point calibration inf is outside "
         "0.5 to 2. Check that 'standard' and 'shown' are not swapped."),
    ],
)  # fmt: skip
def test_calibrations_that_cannot_be_used(text: str, message: str) -> None:
    journal = read({"tank.yml": INSTRUMENTS, "log/2026-03-01.yml": text})
    assert [str(problem) for problem in journal.problems] == [f"log/2026-03-01.yml:{message}"]


@given(st.floats(1.018, 1.027), st.floats(10, 30))
def test_a_hydrometer_is_read_as_science_says(gravity: float, sample: float) -> None:
    found = row(f"{{value: {gravity:.4f} SG, kit: float, sample_temperature: {sample:.1f} C}}")
    expected = salinity_from_hydrometer(round(gravity, 4), round(sample, 1), "60/60F")
    assert found["value"] == pytest.approx(expected, abs=1e-6)
