"""A US journal reads in its own units, and the numbers stay the same quantity."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.display import Display, display_of
from journal_tools.metrics import Result
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
