"""A US journal reads in its own units, and the numbers stay the same quantity."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.display import Display, display_of
from journal_tools.metrics import METRICS, Metrics, Result
from journal_tools.parameters import PARAMETERS
from journal_tools.profile import Profile
from journal_tools.quantities import BareUnits
from journal_tools.units import DIMENSIONS
from tests import journals


def display(**units: str) -> Display:
    return display_of(
        Profile.model_validate({"name": "x", "start": "2026-01-01", "units": units or {}})
    )


def test_a_metric_journal_is_shown_as_it_is_kept() -> None:
    shown = display()
    assert dict(shown.parameters) == dict(PARAMETERS)
    assert not shown.units and not shown.measures


def test_a_us_journal_shows_fahrenheit_gallons_and_inches() -> None:
    shown = display(system="us")
    assert shown.parameters["temperature"].unit == "°F"
    assert shown.value("temperature", 25.0) == pytest.approx(77.0)  # NIST SP 811, B.9
    assert shown.error("temperature", 25.0, 0.5) == pytest.approx(0.9)
    assert shown.volume_text(3.785411784, 1) == "1.00 gal"  # NIST SP 811: US gallon
    assert shown.length_text(2.54) == "1.0 in"
    assert shown.parameters["calcium"] is PARAMETERS["calcium"]


def test_specific_gravity_is_shown_with_four_decimals() -> None:
    """35 psu are SG 1.02637 at 25/25 °C: EOS-80, tests/reference/science_check_values.csv."""
    shown = display(salinity="SG")
    assert shown.parameters["salinity"].decimals == 4
    assert shown.value("salinity", 35.0) == pytest.approx(1.026372709, abs=2e-5)
    assert shown.error("salinity", 35.0, 1.0) == pytest.approx(0.000757, abs=2e-5)
    assert shown.error("salinity", 41.9, 1.0) > 0


@pytest.mark.parametrize(
    ("unit", "decimals", "of_8_dkh"),
    [("meq/L", 2, 2.8532), ("mg/L CaCO3", 0, 142.784)],
)
def test_alkalinity_keeps_its_precision(unit: str, decimals: int, of_8_dkh: float) -> None:
    """8 dKH = 2.8532 meq/L = 142.78 mg/L CaCO3: DIN 38409-7, molar masses IUPAC 2021."""
    shown = display(alkalinity=unit)
    assert shown.parameters["alkalinity"].decimals == decimals
    assert shown.value("alkalinity", 8.0) == pytest.approx(of_8_dkh, rel=1e-4)


def test_results_are_converted_with_their_interval() -> None:
    shown = display(system="us", alkalinity="meq/L")
    volume = shown.result(Result("net_volume", 378.5, "L", 0, "", 370.0, 387.0))
    assert (volume.unit, round(volume.value), round(volume.low or 0)) == ("gal", 100, 98)
    uptake = shown.result(Result("consumption", 2.80387, "dKH/day", 2, "alkalinity"))
    assert uptake.unit == "meq/L/day"
    assert uptake.value == pytest.approx(1.0, rel=1e-4)
    money = Result("cost_total", 3.0, "EUR", 2)
    assert shown.result(money) is money


def test_bands_charts_and_sentences_speak_one_unit() -> None:
    profile = "name: x\nstart: 2026-01-01\nunits: {system: us}\ntargets: {temperature: 76 to 79}\n"
    tables = journals.tables(
        {"tank.yml": profile, "log/2026-01-02.yml": "readings: {temperature: 78}\n"}
    )
    shown = display(system="us").tables(tables)
    row = shown.readings_of("temperature").iloc[0]
    assert (row["unit"], round(row["value"], 9)) == ("°F", 78.0)
    band = shown.band("temperature", tables.today)
    assert band is not None and (round(band.low or 0, 9), round(band.high or 0, 9)) == (76.0, 79.0)
    assert tables.readings_of("temperature").iloc[0]["unit"] == "°C"


@given(
    dimension=st.sampled_from(["temperature", "alkalinity", "salinity", "nitrate", "ammonia"]),
    share=st.floats(0.05, 0.95),
    data=st.data(),
)
def test_there_and_back_is_the_same_value(
    dimension: str, share: float, data: st.DataObject
) -> None:
    low, high = PARAMETERS[dimension].possible
    value = low + share * (high - low)
    spelling = data.draw(st.sampled_from(sorted(DIMENSIONS[dimension].units)))
    unit = DIMENSIONS[dimension].units[spelling]
    assert unit.to_canonical(unit.from_canonical(value)) == pytest.approx(value, rel=1e-6, abs=1e-6)


def test_a_product_called_like_a_parameter_stays_a_product() -> None:
    dose = Result("dose_per_day", 28.0, "ml/day", 1, "alkalinity")
    assert display(alkalinity="meq/L").result(dose) is dose


def test_a_unit_of_length_leaves_heads_and_bores_alone() -> None:
    named = BareUnits(chosen={"length": "cm"})
    assert named.of_dimension("length", "m", "ft") == "m"
    assert named.of_dimension("length", "mm", "in") == "mm"
    assert BareUnits(chosen={"length": "in"}).of_dimension("length", "cm", "in") == "in"


@pytest.mark.parametrize(
    ("value", "unit", "shown", "shown_unit"),
    [
        # factors by NIST SP 811, appendix B.8
        (3.785411784, "L/day", 1.0, "gal/day"),
        (1.0, "kg", 2.2046226, "lb"),
        (1.0, "m²", 10.763910, "ft²"),
        (25.4, "mm", 1.0, "in"),
        (1.0, "kPa", 20.885434, "lb/ft²"),
        (1.0, "MPa", 145.03774, "psi"),
        (11.9826427, "kg/100 L", 1.0, "lb/gal"),
        (26.4172052, "g/100 L", 1.0, "g/gal"),
        (1.0, "g/day per 100 L", 3.785411784, "g/day per 100 gal"),
        (3.785411784, "L/h per g", 1.0, "gal/h per g"),
        (1.0, "EUR per L", 3.785411784, "EUR per gal"),
        (5.0, "W", 5.0, "W"),
        (5.0, "mg/L", 5.0, "mg/L"),
    ],
)
def test_what_is_made_of_several_units(
    value: float, unit: str, shown: float, shown_unit: str
) -> None:
    found = display(system="us").result(Result("x", value, unit, 2, "", value, value))
    assert found.value == pytest.approx(shown, rel=1e-6) and found.unit == shown_unit
    assert found.low == found.high == pytest.approx(shown, rel=1e-6)
    assert display().result(Result("x", value, unit)).unit == unit


def test_gallons_alone_leave_the_rest_metric() -> None:
    shown = display(volume="gal")
    assert shown.result(Result("x", 1.0, "L/day")).unit == "gal/day"
    assert shown.result(Result("x", 1.0, "kg")).unit == "kg"


DEFINED = {metric.name: metric for metric in METRICS}
US_ALL = {"system": "us", "salinity": "SG", "alkalinity": "meq/L"}


def as_shown(result: Result, units: dict[str, str] = US_ALL) -> Result:
    (found,) = display(**units).metrics(Metrics([result], DEFINED))
    return found


def test_a_level_and_a_difference_of_temperature_are_two_things() -> None:
    """25 °C are 77 °F, but a swing of 5 K is one of 9 °F: NIST SP 811, B.9."""
    level = as_shown(Result("mean_level", 25.0, "°C", 1, "temperature", 24.0, 26.0))
    assert (level.unit, level.low, level.value, level.high) == (
        "°F", pytest.approx(75.2), pytest.approx(77.0), pytest.approx(78.8),
    )  # fmt: skip
    swing = as_shown(Result("monthly_swing", 5.0, "°C", 2, "temperature"))
    assert (swing.unit, swing.value) == ("°F", pytest.approx(9.0))
    drop = as_shown(Result("level_jump", -5.0, "°C", 1, "temperature"))
    assert drop.value == pytest.approx(-9.0)


def test_a_level_and_a_difference_of_salinity_as_specific_gravity() -> None:
    """35 psu are SG 1.02637 at 25/25 °C, a psu there 0.00076: EOS-80, science_check_values.csv."""
    level = as_shown(Result("level_now", 35.0, "psu", 1, "salinity", 34.0, 36.0))
    assert (level.unit, level.decimals) == ("SG", 4)
    assert level.value == pytest.approx(1.026372709, abs=2e-5)
    assert level.low is not None and level.low < level.value
    jump = as_shown(Result("level_jump", -1.0, "psu", 1, "salinity"))
    assert jump.value == pytest.approx(-0.00076, abs=2e-5)
    lost = as_shown(Result("consumption_now", 0.1, "psu/day", 2, "salinity", 0.05, 0.15))
    assert (lost.unit, lost.value) == ("SG/day", pytest.approx(0.000076, abs=2e-6))
    assert lost.decimals >= 5


@pytest.mark.parametrize(
    ("metric", "unit", "shown"),
    [("level_now", "dKH", "meq/L"), ("consumption", "dKH/day", "meq/L/day"),
     ("level_jump", "dKH", "meq/L"), ("after_change", "dKH", "meq/L")],
)  # fmt: skip
def test_alkalinity_is_shown_in_the_unit_it_is_written_in(
    metric: str, unit: str, shown: str
) -> None:
    """2.80387 dKH are 1 meq/L: DIN 38409-7, molar masses IUPAC 2021."""
    found = as_shown(Result(metric, 2.80387, unit, 1, "alkalinity", 0.0, 5.60774))
    assert found.unit == shown
    assert (found.value, found.low, found.high) == pytest.approx((1.0, 0.0, 2.0), rel=1e-4)


def test_the_calcium_ratio_goes_with_the_unit_of_alkalinity() -> None:
    """7.147 mg/L for each dKH are 20.04 mg/L for each meq/L: half the molar mass of calcium."""
    found = as_shown(Result("calcium_ratio", 7.147, "mg/L per dKH", 1, "", 6.5, 7.8))
    assert found.unit == "mg/L per meq/L"
    assert found.value == pytest.approx(40.078 / 2, rel=1e-3)
    same = as_shown(Result("calcium_ratio", 7.147, "mg/L per dKH", 1), {"system": "us"})
    assert same.unit == "mg/L per dKH"


def test_nothing_else_is_touched() -> None:
    for result in (
        Result("holding_dose", 24.0, "ml/day", 0, "mix: alkalinity", 20.0, 28.0),
        Result("days_left", 9.0, "days", 0, "alkalinity"),
        Result("leaves_band", 8.0, "days", 0, "salinity", 6.0, 12.0),
    ):
        assert as_shown(result) == result
