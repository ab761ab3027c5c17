from __future__ import annotations

import datetime as dt

import pytest

from journal_tools.entries import Entry
from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.quantities import Amount, Band, BareUnits
from tests.conftest import ReadEntry, ReadProfile


def only_problem(read: ReadEntry | ReadProfile, text: str) -> str:
    _, problems = read(text)
    assert len(problems) == 1, problems
    return problems[0]


def entry_of(read: ReadEntry, text: str, units: BareUnits | None = None) -> Entry:
    record, problems = read(text, units)
    assert problems == []
    assert record is not None
    return record


@pytest.mark.parametrize(
    ("units", "key", "written", "value"),
    [
        (BareUnits(), "volume", 20, 20),
        (BareUnits(us=True), "volume", 20, 75.70823568),
        (BareUnits(us=True), "volume", "20 L", 20),
        (BareUnits(us=True, chosen={"volume": "L"}), "volume", 20, 20),
        (BareUnits(chosen={"volume": "imp gal"}), "volume", 20, 90.9218),
    ],
)
def test_a_bare_number_takes_the_unit_of_the_journal(
    read_entry: ReadEntry, units: BareUnits, key: str, written: object, value: float
) -> None:
    entry = entry_of(read_entry, f"water_change: {{{key}: {written}}}", units)
    assert entry.water_change[0].volume.value == pytest.approx(value)


@pytest.mark.parametrize(
    ("units", "reading", "value"),
    [
        (BareUnits(), "temperature: 25.4", 25.4),
        (BareUnits(us=True), "temperature: 77", 25),
        (BareUnits(us=True), "temperature: 25 C", 25),
        (BareUnits(us=True), "room_temperature: 68", 20),
        (BareUnits(chosen={"temperature": "F"}), "temperature: 77", 25),
        (BareUnits(chosen={"alkalinity": "meq/L"}), "alkalinity: 3", 8.4116073),
        (BareUnits(chosen={"nitrate": "mg/L N"}), "nitrate: 1", 4.4267988),
        (BareUnits(chosen={"salinity": "SG"}), "salinity: 1.026372709", 35),
    ],
)
def test_a_bare_reading_takes_the_unit_of_the_journal(
    read_entry: ReadEntry, units: BareUnits, reading: str, value: float
) -> None:
    readings = entry_of(read_entry, f"readings: {{{reading}}}", units).readings
    results = getattr(readings, reading.partition(":")[0])
    assert results[0].value.value == pytest.approx(value, rel=1e-5)


@pytest.mark.parametrize("row", PARAMETERS.values(), ids=lambda p: p.name)
@pytest.mark.parametrize("side", [0, 1])
def test_readings_reach_to_the_ends_of_what_can_be(
    read_entry: ReadEntry, row: Parameter, side: int
) -> None:
    end, step = row.possible[side], (-1, 1)[side] * max(1, abs(row.possible[side])) * 0.01
    entry = entry_of(read_entry, f"readings: {{{row.name}: {end} {row.unit}}}")
    assert getattr(entry.readings, row.name)[0].value.value == pytest.approx(end)
    problem = only_problem(read_entry, f"readings:\n  {row.name}: {end + step} {row.unit}")
    low, high = row.possible
    place = f"day.yml:2:{len(row.name) + 5}"
    what = f"{row.label} of '{end + step} {row.unit}' is outside what can be"
    assert problem.startswith(f"{place}: {what} ({low:g} to {high:g} {row.unit}). ")
    assert problem.endswith((".", "'."))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("readings: {calcium: 4200}", "day.yml:1:21: Calcium of '4200' is outside what can be "
         "(50 to 1000 mg/L). Check the decimal point and the unit."),
        ("readings: {temperature: 78}", "day.yml:1:25: Temperature of '78' is outside what can "
         "be (0 to 45 °C). If it is in F, write '78 F'."),
        ("readings: {salinity: 1.026}", "day.yml:1:22: Salinity of '1.026' is outside what can "
         "be (5 to 42 psu). If it is in SG, write '1.026 SG'."),
        ("water_change: 2000000", "day.yml:1:15: '2000000' is out of range (0 to 1000000 L). Check "
         "the number and its unit."),
        ("water_change: -3 L", "day.yml:1:15: '-3 L' is out of range (0 to 1000000 L). Check the "
         "number and its unit."),
        ("water_change: < 20 L", "day.yml:1:15: '< 20 L' is a limit; a number is wanted here. "
         "Write the number itself, without the sign."),
        ("doses: {what: alk, amount: 2 drops}", "day.yml:1:28: The unit 'drops' is not known for "
         "volume. Write millilitres or grams: '30 ml', '5 g'."),
        ("doses: {what: alk, amount: 5 dKH}", "day.yml:1:28: '5 dKH' is in a unit of alkalinity; "
         "volume is wanted here. Write millilitres or grams: '30 ml', '5 g'."),
        ("doses: {what: alk, amount: 0}", "day.yml:1:28: A dose of '0' cannot be. Write "
         "millilitres or grams: '30 ml', '5 g'."),
        ("doses: {what: alk, amount: < 5 g}", "day.yml:1:28: '< 5 g' is a limit; a number is "
         "wanted here. Write the number itself, without the sign."),
        ("date: 14.3.2026", "day.yml:1:7: '14.3.2026' is not a date. Write year-month-day, such as "
         "2026-03-14."),
        ("date: 2026-02-30", "day.yml:1:7: The date 2026-02-30 does not exist. Write "
         "year-month-day, such as 2026-03-14."),
        ("date: 0001-01-01", "day.yml:1:7: The date 0001-01-01 is not between the years 1950 and "
         "2100. Write year-month-day, such as 2026-03-14."),
        ("time: 24:00", "day.yml:1:7: '24:00' is not a time of day. Write hours and minutes, "
         "such as 18:40."),
        ("time: noon", "day.yml:1:7: 'noon' is not a time of day. Write hours and minutes, such as "
         "18:40."),
        ("time: 1840", "day.yml:1:7: '1840' is not a time of day. Write hours and minutes, such as "
         "18:40."),
        ("title: [a]", "day.yml:1:8: Text is wanted here. Write a few words, in quotes if need "
                       "be."),
        ('title: " "', "day.yml:1:8: The text is empty. Write a few words or remove the key."),
        (f"title: {'x' * 201}", "day.yml:1:8: The text is longer than 200 characters. Put long "
         "text under 'notes'."),
        ("costs: {what: salt, amount: €54}", "day.yml:1:29: '€54' is not an amount of money. "
         "Write a number such as 54.90, in the journal's currency."),
        ("costs: {what: salt, amount: -3}", "day.yml:1:29: '-3' is not an amount of money. Write a "
         "number such as 54.90, in the journal's currency."),
        ("costs: {what: salt, amount: 54 USD}", "day.yml:1:29: '54 USD' is not in EUR, the "
         "journal's currency. Convert it and write the amount in EUR."),
        (f"costs: {{what: salt, amount: {'9' * 400}}}", f"day.yml:1:29: '{'9' * 39}…' is not an "
         f"amount "
         "of money. Write a number such as 54.90, in the journal's currency."),
    ],
)  # fmt: skip
def test_what_cannot_be_read_in_an_entry(read_entry: ReadEntry, text: str, message: str) -> None:
    assert only_problem(read_entry, text) == message


@pytest.mark.parametrize(
    ("written", "time"),
    [
        ("18:40", "18:40"), ('"18:40"', "18:40"), ("9:05", "09:05"), ("18.45", "18:45"),
        ("18.40", "18:40"), ("18h40", "18:40"), ("18:40:59", "18:40"), ("0:00", "00:00"),
    ],
)  # fmt: skip
def test_times_of_day(read_entry: ReadEntry, written: str, time: str) -> None:
    entry = entry_of(read_entry, f"time: {written}\ntitle: x")
    assert entry.time == dt.time.fromisoformat(time)


@pytest.mark.parametrize(
    ("written", "amount"),
    [
        ("30 ml", Amount(30, "ml", "30 ml")), ("30", Amount(30, "ml", "30")),
        ("0.5 L", Amount(500, "ml", "0.5 L")), ("5 g", Amount(5, "g", "5 g")),
        ("0,25 kg", Amount(250, "g", "0,25 kg")),
    ],
)  # fmt: skip
def test_doses_are_measured_out_or_weighed(
    read_entry: ReadEntry, written: str, amount: Amount
) -> None:
    assert entry_of(read_entry, f"doses:\n  what: a\n  amount: {written}").doses[0].amount == amount


@pytest.mark.parametrize(
    ("written", "price"),
    [("54.90", 54.9), ("54,90", 54.9), ("54,90 EUR", 54.9), ("54.9 eur", 54.9), ("0", 0)],
)
def test_amounts_of_money(read_entry: ReadEntry, written: str, price: float) -> None:
    entry = entry_of(read_entry, f"costs:\n  what: salt\n  amount: {written}")
    assert entry.costs[0].amount == price


@pytest.mark.parametrize(
    ("written", "text"),
    [
        ("no", "no"),
        ("true", "true"),
        ("12", "12"),
        ("010", "10"),
        ('"010"', "010"),
        ("18:40", "18:40"),
    ],
)
def test_words_that_yaml_takes_for_something_else_stay_text(
    read_entry: ReadEntry, written: str, text: str
) -> None:
    assert entry_of(read_entry, f"title: {written}").title == text


@pytest.mark.parametrize(
    ("written", "band"),
    [
        ("7.5 to 9", Band(7.5, 9)), ("7,5 to 9 dKH", Band(7.5, 9)), ("7.5-9", Band(7.5, 9)),
        ("7.5 – 9", Band(7.5, 9)), ("7.5..9", Band(7.5, 9)), ("[7.5, 9]", Band(7.5, 9)),
        ("[7.5 dKH, 9]", Band(7.5, 9)), ("below 9", Band(None, 9)), ("<9", Band(None, 9)),
        ("< 9 dKH", Band(None, 9)), ("above 7", Band(7, None)), ('">7"', Band(7, None)),
        ("over 7,5", Band(7.5, None)), ("under 9", Band(None, 9)),
    ],
)  # fmt: skip
def test_ways_of_writing_a_band(read_profile: ReadProfile, written: str, band: Band) -> None:
    profile, problems = read_profile(f"targets:\n  alkalinity: {written}")
    assert problems == []
    assert profile is not None
    assert profile.targets.alkalinity == band


@pytest.mark.parametrize(
    ("value", "inside"), [(7.4, False), (7.5, True), (8, True), (9, True), (9.1, False)]
)
def test_a_band_holds_its_ends(value: float, inside: bool) -> None:
    assert (value in Band(7.5, 9)) is inside
    assert value in Band(None, None)


BAND_HINT = "Write '7.5 to 9 dKH', 'below 10' or 'above 5'."


@pytest.mark.parametrize(
    ("written", "message"),
    [
        ("8", f"'8' is not a band. {BAND_HINT}"),
        ("about 8", f"'about 8' is not a band. {BAND_HINT}"),
        ("[8]", f"'[8]' is not a band. {BAND_HINT}"),
        ("9 to 7.5", "The band '9 to 7.5' ends below its beginning. Write the smaller number "
         "first: '7.5 to 9'."),
        ("75 to 90", "A band to '75' is outside what can be (0.5 to 25 dKH). Check the "
         "decimal point and the unit."),
        ("7 to 9 mg", "'7 mg' is in a unit of mass; alkalinity is wanted here. Use dKH: for "
         "example '8.2 dKH'."),
        ("[<7, 9]", "'<7' is a limit; a number is wanted here. Write the number itself, without "
         "the sign."),
        ("below much", "'much' is not a number. Write a number, such as '8.2 dKH'."),
    ],
)  # fmt: skip
def test_what_is_no_band(read_profile: ReadProfile, written: str, message: str) -> None:
    problem = only_problem(read_profile, f"targets:\n  alkalinity: {written}")
    assert problem == f"tank.yml:2:15: {message}"
