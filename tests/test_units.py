from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from molmass import Formula

from journal_tools.units import DIMENSIONS, QuantityError, parse_quantity
from tests.science.check_values import Check, Key, Row, assert_agrees, cases

PINT_NAMES = {
    "temperature": {
        "°C": "degC", "C": "degC", "degC": "degC", "°F": "degF", "F": "degF", "degF": "degF",
        "K": "kelvin",
    },
    "temperature_difference": {
        "K": "kelvin", "°C": "delta_degC", "C": "delta_degC", "°F": "delta_degF",
        "F": "delta_degF",
    },
    "volume": {
        "L": "liter", "litre": "liter", "litres": "liter", "liter": "liter", "liters": "liter",
        "ml": "milliliter", "cm3": "cm**3", "m3": "m**3", "gal": "gallon", "US gal": "gallon",
        "gallon": "gallon", "gallons": "gallon", "imp gal": "imperial_gallon",
        "fl oz": "fluid_ounce", "qt": "quart", "cup": "cup",
    },
    "length": {
        "cm": "cm", "mm": "mm", "m": "m", "in": "inch", '"': "inch", "inch": "inch",
        "inches": "inch", "ft": "foot",
    },
    "mass": {"g": "g", "kg": "kg", "mg": "mg", "lb": "lb", "lbs": "lb", "oz": "oz"},
    "flow": {
        "L/h": "liter/hour", "lph": "liter/hour", "L/min": "liter/minute",
        "ml/min": "milliliter/minute", "ml/s": "milliliter/second", "L/s": "liter/second",
        "m3/h": "m**3/hour", "gal/h": "gallon/hour", "gph": "gallon/hour", "gpm": "gallon/minute",
        "imp gal/h": "imperial_gallon/hour",
    },
    "power": {"W": "watt", "kW": "kilowatt", "mW": "milliwatt"},
    "period": {
        "day": "day", "days": "day", "d": "day", "week": "week", "weeks": "week",
        "month": "month", "months": "month", "year": "year", "years": "year", "min": "minute",
        "minutes": "minute", "hour": "hour",
        "hours": "hour", "h": "hour",
    },
    "percent": {"%": "percent", "percent": "percent"},
    "gas_fraction": {"ppm": "ppm", "%": "percent"},
    "voltage": {"mV": "millivolt", "V": "volt"},
    "concentration": {"mg/L": "mg/L", "µg/L": "ug/L", "ug/L": "ug/L", "g/L": "g/L"},
    "trace": {"mg/L": "mg/L", "µg/L": "ug/L", "ug/L": "ug/L", "g/L": "g/L"},
}  # fmt: skip
"""Every unit that pint knows too, by our spelling. Its canonical unit is in each table."""

CANONICAL = {"K": "kelvin", "days": "day", "L/h": "liter/hour", "µg/L": "ug/L"}
NO_UNIT_OF_PINT = {
    "gas_fraction": {"µatm"}, "concentration": {"ppm", "ppb", "mg/kg", "µg/kg"},
    "trace": {"ppm", "ppb", "mg/kg", "µg/kg"},
}  # fmt: skip
"""A part of one atmosphere; ``ppm`` and ``ppb`` that count as mg/L and µg/L; by mass: see below."""

OWN_DIMENSIONS = {"ph", "salinity", "alkalinity", "nitrate", "nitrite", "phosphate", "ammonia"}
"""Scales and bases of the trade: compared with molmass and the table of reference values."""

UNITS = [(name, spelling) for name, table in PINT_NAMES.items() for spelling in table]


def parsed(text: str, dimension: str) -> float:
    return parse_quantity(text, DIMENSIONS[dimension], "").value


def refused(text: object, dimension: str, bare: str = "") -> QuantityError:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, DIMENSIONS[dimension], bare)
    return caught.value


def test_every_unit_is_compared_with_something() -> None:
    assert PINT_NAMES.keys() | OWN_DIMENSIONS == DIMENSIONS.keys()
    for name, table in PINT_NAMES.items():
        assert table.keys() | NO_UNIT_OF_PINT.get(name, set()) == DIMENSIONS[name].units.keys()


def test_a_mass_of_seawater_is_not_a_volume() -> None:
    """420 mg/L of calcium is 410.4 mg/kg at 35 psu and 25 °C (EOS-80, 1023.341 kg/m3)."""
    assert parsed("410.4 mg/kg", "concentration") == pytest.approx(420, abs=0.05)
    assert parsed("410.4 µg/kg", "trace") == pytest.approx(420, abs=0.05)


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry()


@pytest.mark.parametrize(("dimension", "spelling"), UNITS)
def test_units_agree_with_pint(dimension: str, spelling: str, registry: pint.UnitRegistry) -> None:
    canonical = DIMENSIONS[dimension].canonical
    theirs = registry.Quantity(7.5, PINT_NAMES[dimension][spelling])
    wanted = theirs.to(CANONICAL.get(canonical) or PINT_NAMES[dimension][canonical]).magnitude
    assert parsed(f"7.5 {spelling}", dimension) == pytest.approx(wanted, rel=1e-12)


@pytest.mark.parametrize("spelling", ["°F", "F", "degF"])
def test_errors_lose_the_offset(spelling: str, registry: pint.UnitRegistry) -> None:
    quantity = parse_quantity(f"78 ± 0.9 {spelling}", DIMENSIONS["temperature"], "")
    assert quantity.value == pytest.approx(registry.Quantity(78, "degF").to("degC").magnitude)
    assert quantity.error == pytest.approx(registry.Quantity(0.9, "delta_degF").to("kelvin").m)


def ratio(ion: str, element: str) -> float:
    return float(Formula(ion).mass / Formula(element).mass)


@pytest.mark.parametrize(
    ("dimension", "text", "value"),
    [
        ("nitrate", "1 mg/L N", ratio("NO3", "N")),
        ("nitrate", "1 ppm NO3-N", ratio("NO3", "N")),
        ("nitrate", "1000 µg/L N", ratio("NO3", "N")),
        ("nitrate", "1 mg/L NO3", 1),
        ("nitrite", "1 mg/L N", ratio("NO2", "N")),
        ("nitrite", "1 ppb NO2-N", ratio("NO2", "N") / 1e3),
        ("phosphate", "1 mg/L P", ratio("PO4", "P")),
        ("phosphate", "33 ppb P", 0.033 * ratio("PO4", "P")),
        ("phosphate", "1 mg/L PO4-P", ratio("PO4", "P")),
        ("phosphate", "1 mg/L PO4", 1),
        ("ammonia", "1 mg/L NH3", 1 / ratio("NH3", "N")),
        ("ammonia", "1 mg/L NH4", 1 / ratio("NH4", "N")),
        ("ammonia", "1 mg/L NH3-N", 1),
        ("ammonia", "1 ppm TAN", 1),
        ("ammonia", "1 mg/L N", 1),
        # 1 dKH is 10 mg/L CaO (DIN 38409-7); one mole of CaO binds two of acid.
        ("alkalinity", "1 meq/L", Formula("CaO").mass / 20),
        ("alkalinity", "1 mmol/L", Formula("CaO").mass / 20),
        ("alkalinity", "1 mg/L CaCO3", Formula("CaO").mass / Formula("CaCO3").mass / 10),
        ("alkalinity", "1 ppm CaCO3", Formula("CaO").mass / Formula("CaCO3").mass / 10),
        ("alkalinity", "1 ppm", Formula("CaO").mass / Formula("CaCO3").mass / 10),
        ("alkalinity", "8 °dH", 8),
        ("alkalinity", "8 °KH", 8),
        # Reference salinity, 35.16504 g/kg at 35 (IOC, SCOR, IAPSO 2010).
        ("salinity", "35.16504 g/kg", 35),
        ("salinity", "35 ppt", 35),
        ("salinity", "35 ‰", 35),
    ],
)
def test_bases_of_an_ion_agree_with_molmass(dimension: str, text: str, value: float) -> None:
    assert parsed(text, dimension) == pytest.approx(value, rel=2e-5)


CHECKS: dict[Key, Check] = {
    ("01 density-salinity", f"salinity from SG 1.0250 if the scale is {scale}",
     "SG=1.0250, sample at scale temperature"):
    Check(lambda scale=scale: parsed(f"1.0250 SG {scale}", "salinity"))
    for scale in ("25/25", "20/20", "25/4")
} | {
    ("01 density-salinity", "salinity of a 53.0 mS/cm (25 degC) sample", "C25=53.0"):
    Check(lambda: parsed("53.0 mS/cm", "salinity")),
    ("02 units", "78 degF", ""): Check(lambda: parsed("78 °F", "temperature")),
    ("02 units", "temperature difference of 1 degF", ""):
    Check(lambda: parsed("1 °F", "temperature_difference")),
    ("02 units", "US liquid gallon", ""): Check(lambda: parsed("1 gal", "volume")),
    ("02 units", "imperial gallon", ""): Check(lambda: parsed("1 imp gal", "volume")),
    ("02 units", "33 ppb P as PO4", ""): Check(lambda: parsed("33 ppb P", "phosphate")),
    ("02 units", "10 mg/L NO3-N as NO3", ""):
    Check(lambda: parsed("10 mg/L NO3-N", "nitrate")),
}  # fmt: skip
"""Rows of the table of reference values, each with its source there."""


@pytest.mark.parametrize(("row", "check"), cases(CHECKS))
def test_reference_values(row: Row, check: Check) -> None:
    assert_agrees(row, check)


SG_OF_35 = {"SG": 1.026372709, "SG 25/25": 1.026372709, "SG 20/20": 1.026604156,
            "SG 25/4": 1.023366921, "SG 25/20": 1.025181098, "SG 20/4": 1.024787462}  # fmt: skip
"""python-seawater 3.3.5, as in the table of reference values."""


@pytest.mark.parametrize(("unit", "reading"), SG_OF_35.items())
def test_each_reference_of_specific_gravity(unit: str, reading: float) -> None:
    assert parsed(f"{reading} {unit}", "salinity") == pytest.approx(35, abs=0.005)


def test_the_error_of_a_bent_scale_follows_its_slope() -> None:
    quantity = parse_quantity("1.0264 ± 0.001 SG", DIMENSIONS["salinity"], "psu")
    slope = (parsed("1.0274 SG", "salinity") - parsed("1.0254 SG", "salinity")) / 2
    assert quantity.error == pytest.approx(slope)
    assert 1.2 < slope < 1.4


@pytest.mark.parametrize(
    ("text", "value", "error", "censored"),
    [
        (8.2, 8.2, None, ""),
        (8, 8, None, ""),
        ("8,2", 8.2, None, ""),
        (".5", 0.5, None, ""),
        (",5", 0.5, None, ""),
        ("8.2dKH", 8.2, None, ""),
        ("  8.2   dkh ", 8.2, None, ""),
        ("8.2 ± 0.1", 8.2, 0.1, ""),
        ("8,2 +/- 0,1 dKH", 8.2, 0.1, ""),
        ("8.2 +- 0.1", 8.2, 0.1, ""),
        ("8 ± 5 %", 8, 0.4, ""),
        ("8 ± 5% dKH", 8, 0.4, ""),
        ("8±0", 8, 0, ""),
        ("<0.25", 0.25, None, "below"),
        ("< 0,25 dKH", 0.25, None, "below"),
        ("≤0.25", 0.25, None, "below"),
        ("below 0.25", 0.25, None, "below"),
        ("Under 0.25 dKH", 0.25, None, "below"),
        (">15", 15, None, "above"),
        ("≥ 15", 15, None, "above"),
        ("above 15", 15, None, "above"),
        ("over 15", 15, None, "above"),
        ("1e1", 10, None, ""),
        ("0,310", 0.31, None, ""),
        ("+8.2", 8.2, None, ""),
    ],
)
def test_ways_of_writing_a_quantity(
    text: object, value: float, error: float | None, censored: str
) -> None:
    quantity = parse_quantity(text, DIMENSIONS["alkalinity"], "dKH")
    assert quantity.value == pytest.approx(value)
    assert quantity.error == (None if error is None else pytest.approx(error))
    assert quantity.censored == censored
    assert quantity.text == str(text).strip()


def test_per_cent_is_a_unit_where_the_value_is_in_per_cent() -> None:
    assert parse_quantity("50 ± 2 %", DIMENSIONS["percent"], "%").error == 2
    carbon_dioxide = parse_quantity("0.08 ± 0.01 %", DIMENSIONS["gas_fraction"], "ppm")
    assert (carbon_dioxide.value, carbon_dioxide.error) == (800, 100)
    assert parse_quantity("800 ± 5 % ppm", DIMENSIONS["gas_fraction"], "ppm").error == 40


USE_DKH = "Use dKH: for example '8.2 dKH'."
EARLIER = "Write the error before the unit, such as '8.2 ± 0.1 dKH'."
READ = "Write the number that was read."
LOOK = "Check the number and its unit."


@pytest.mark.parametrize(
    ("text", "dimension", "code", "what", "hint"),
    [
        (
            "eight",
            "alkalinity",
            "not-a-number",
            "'eight' is not a number.",
            "Write a number, such as '8.2 dKH'.",
        ),
        ("", "ph", "not-a-number", "'' is not a number.", "Write a number, such as '8.15 pH'."),
        (
            "x" * 99,
            "volume",
            "not-a-number",
            f"'{'x' * 39}…' is not a number.",
            "Write a number, such as '12 L'.",
        ),
        (
            "1.310,5 mg/L",
            "concentration",
            "unknown-unit",
            "The unit ',5 mg/L' is not known for concentration.",
            "Did you mean 'mg/L'? Use mg/L: for example '12 mg/L'.",
        ),
        (
            None,
            "alkalinity",
            "not-a-number",
            "A number is wanted here, not nothing.",
            "Write a number with its unit.",
        ),
        (
            True,
            "alkalinity",
            "not-a-number",
            "A number is wanted here, not 'True'.",
            "Write a number with its unit.",
        ),
        (
            [8.2],
            "alkalinity",
            "not-a-number",
            "A number is wanted here, not '[8.2]'.",
            "Write a number with its unit.",
        ),
        (
            math.nan,
            "alkalinity",
            "not-a-number",
            "'nan' is not a number.",
            "Write a number, such as '8.2 dKH'.",
        ),
        (
            math.inf,
            "alkalinity",
            "not-a-number",
            "'inf' is not a number.",
            "Write a number, such as '8.2 dKH'.",
        ),
        ("1e999", "alkalinity", "not-finite", "'1e999' is not a finite number.", READ),
        ("9" * 400, "volume", "not-finite", f"'{'9' * 39}…' is not a finite number.", READ),
        (
            "1,310",
            "concentration",
            "ambiguous-comma",
            "'1,310' can be read in two ways: 1310 or 1.310.",
            "Write 1310 without the comma, or a decimal point.",
        ),
        (
            "420 ± 1,310",
            "concentration",
            "ambiguous-comma",
            "'420 ± 1,310' can be read in two ways: 1310 or 1.310.",
            "Write 1310 without the comma, or a decimal point.",
        ),
        (
            "8.2 dHK",
            "alkalinity",
            "unknown-unit",
            "The unit 'dHK' is not known for alkalinity.",
            f"Did you mean '°dH'? {USE_DKH}",
        ),
        (
            "8.2 furlongs",
            "alkalinity",
            "unknown-unit",
            "The unit 'furlongs' is not known for alkalinity.",
            USE_DKH,
        ),
        (
            "8.2 L",
            "alkalinity",
            "wrong-unit",
            "'8.2 L' is in a unit of volume; alkalinity is wanted here.",
            USE_DKH,
        ),
        (
            "25 dKH",
            "temperature",
            "wrong-unit",
            "'25 dKH' is in a unit of alkalinity; temperature is wanted here.",
            "Use °C: for example '25.4 °C'.",
        ),
        (
            "8.1 °F",
            "ph",
            "wrong-unit",
            "'8.1 °F' is in a unit of temperature; pH is wanted here.",
            "Use pH: for example '8.15 pH'.",
        ),
        (
            "5 K",
            "volume",
            "wrong-unit",
            "'5 K' is in a unit of temperature; volume is wanted here.",
            "Use L: for example '12 L'.",
        ),
        ("8.2 ±", "alkalinity", "bad-error", "The error in '8.2 ±' cannot be read.", EARLIER),
        (
            "8.2 dKH ± 0.1",
            "alkalinity",
            "bad-error",
            "The error in '8.2 dKH ± 0.1' cannot be read.",
            EARLIER,
        ),
        (
            "8.2 ± -0.1",
            "alkalinity",
            "bad-error",
            "The error in '8.2 ± -0.1' is not possible.",
            EARLIER,
        ),
        (
            "8.2 ± 1e999",
            "alkalinity",
            "bad-error",
            "The error in '8.2 ± 1e999' is not possible.",
            EARLIER,
        ),
        (
            "25 ± 2 %",
            "temperature",
            "bad-error",
            "A percentage is no error of a temperature, as in '25 ± 2 %'.",
            "Write it in degrees: '25.4 ± 0.2 °C'.",
        ),
        (
            "35 SG",
            "salinity",
            "impossible-value",
            "'35 SG' cannot be: specific gravity (25/25) 35 is outside 1 to 1.03169.",
            LOOK,
        ),
        (
            "5.3 mS/cm",
            "salinity",
            "impossible-value",
            "'5.3 mS/cm' cannot be: conductivity 5.3 mS/cm is outside 10 to 100 mS/cm.",
            LOOK,
        ),
        (
            "1.03 ± 0.02 SG",
            "salinity",
            "bad-error",
            "The error in '1.03 ± 0.02 SG' reaches beyond "
            "what can be: specific gravity (25/25) 1.05 is outside 1 to 1.03169.",
            "Write a smaller error.",
        ),
    ],
)
def test_what_is_refused_says_what_to_write(
    text: object, dimension: str, code: str, what: str, hint: str
) -> None:
    error = refused(text, dimension, DIMENSIONS[dimension].canonical)
    assert (error.code, error.what, error.hint) == (code, what, hint)


def test_spellings_that_look_alike_are_one() -> None:
    trace = DIMENSIONS["trace"]
    assert trace.find("μg/l") is trace.find("µg/L") is not None  # two characters, one letter
    assert DIMENSIONS["volume"].find("cm³") is DIMENSIONS["volume"].find("cm3") is not None
    assert DIMENSIONS["volume"].find("US  GAL") is DIMENSIONS["volume"].find("us gal") is not None
    assert DIMENSIONS["flow"].find("l / h") is DIMENSIONS["flow"].find("L/h") is not None


@given(
    st.sampled_from([unit for unit in UNITS if unit[0] != "temperature"]),
    st.floats(-1e6, 1e6),
    st.floats(0, 1e3),
)
def test_numbers_with_units_round_trip(unit: tuple[str, str], value: float, error: float) -> None:
    dimension, spelling = unit
    quantity = parse_quantity(f"{value!r} ± {error!r} {spelling}", DIMENSIONS[dimension], "")
    factor = parsed(f"1 {spelling}", dimension)
    assert quantity.value == pytest.approx(value * factor, rel=1e-12)
    assert quantity.error == pytest.approx(error * factor, rel=1e-12)


NEARLY_A_QUANTITY = st.from_regex(r"[<>≤]?[\d.,±%eE -]{1,12}[a-zA-Z°/%]{0,4}", fullmatch=True)


@given(st.sampled_from(sorted(DIMENSIONS)), st.text(max_size=30) | NEARLY_A_QUANTITY)
def test_any_text_is_a_finite_quantity_or_refused(name: str, text: str) -> None:
    try:
        quantity = parse_quantity(text, DIMENSIONS[name], DIMENSIONS[name].canonical)
    except QuantityError as error:
        assert error.what.endswith(".")
        assert error.hint.endswith(".")
        return
    assert math.isfinite(quantity.value)
    assert quantity.error is None or quantity.error >= 0
