from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.writing.cells import (
    CellError,
    Order,
    cell_text,
    date_order,
    day_of,
    decimal_sign,
    is_blank,
    plain_numbers,
    time_of,
)
from journal_tools.writing.spreadsheet import Cell


@pytest.mark.parametrize("text", ["", " ", "-", "n/a", "N/A", "–", "#N/A", "k.A.", "NaN"])
def test_blanks(text: str) -> None:
    assert is_blank(text)
    assert not is_blank("nd")


@pytest.mark.parametrize(
    ("cell", "decimal", "numbers"),
    [
        (8.2, "", ["8.2"]), (420, ",", ["420"]), (8.199999999999999, "", ["8.2"]),
        (1.026, ",", ["1.026"]), ("8,2", "", ["8.2"]), ("8.2", ",", ["8.2"]),
        ("1.310,5", "", ["1310.5"]), ("1,310.5", "", ["1310.5"]),
        ("1 310,5 mg/L", "", ["1310.5 mg/L"]),
        ("1'310", "", ["1310"]), ("1\u202f310", "", ["1310"]), ("12,345,678", "", ["12345678"]),
        ("1,310", ",", ["1.310", "1310"]), ("1,310", ".", ["1310", "1.310"]),
        ("1,310", "", ["1310", "1.310"]), ("1.026", "", ["1.026", "1026"]),
        ("0,125", "", ["0.125"]), ("<0,25", "", ["<0.25"]), ("< 0.25 ppm", "", ["<0.25 ppm"]),
        ("below 0,5", "", ["below 0.5"]), ("2,9 meq/L", "", ["2.9 meq/L"]), (",5", "", [".5"]),
        ("\u221250", "", ["-50"]), ("8.2 ± 0.1 dKH", "", ["8.2 ± 0.1 dKH"]),
    ],
)  # fmt: skip
def test_numbers(cell: Cell, decimal: str, numbers: list[str]) -> None:
    assert plain_numbers(cell, decimal) == numbers  # type: ignore[arg-type]


@pytest.mark.parametrize("cell", ["abc", "gut", True, dt.date(2026, 1, 1), "nd"])
def test_what_is_no_number(cell: Cell) -> None:
    with pytest.raises(CellError) as caught:
        plain_numbers(cell, "")
    assert caught.value.what == f"'{cell_text(cell)}' is not a number."
    assert caught.value.hint == "Write the number alone, or leave the cell empty."


def test_the_decimal_sign_of_a_table() -> None:
    assert decimal_sign(["8,2", "1.310", 5.0]) == ","
    assert decimal_sign(["8.2", "1,310"]) == "."
    assert decimal_sign(["8.2", "8,2"]) == ""
    assert decimal_sign(["1.310,50"]) == ","


@pytest.mark.parametrize(
    ("cell", "order", "day"),
    [
        (dt.date(2026, 3, 14), "", "2026-03-14"), (46095, "", "2026-03-14"),
        ("46095", "", "2026-03-14"), (46095.75, "", "2026-03-14 18:00"),
        ("2026-03-14", "", "2026-03-14"), ("2026/3/14", "", "2026-03-14"),
        ("20260314", "", "2026-03-14"), ("2026-03-14T18:40:00", "", "2026-03-14 18:40"),
        ("14.03.2026", "dmy", "2026-03-14"), ("14.3.26", "dmy", "2026-03-14"),
        ("3/14/2026 7:30 PM", "mdy", "2026-03-14 19:30"), ("14-03-2026", "dmy", "2026-03-14"),
        ("Sa, 14.03.2026", "dmy", "2026-03-14"), ("14. März 2026", "", "2026-03-14"),
        ("14 de marzo de 2026", "", "2026-03-14"), ("Mar 14, 2026", "", "2026-03-14"),
        ("14-Mar-26", "", "2026-03-14"), ("Saturday 14 March 2026", "", "2026-03-14"),
        (dt.datetime(2026, 3, 14, 18, 40), "", "2026-03-14 18:40"),
    ],
)  # fmt: skip
def test_days(cell: Cell, order: Order, day: str) -> None:
    moment, has_time = day_of(cell, order)
    assert f"{moment:%Y-%m-%d %H:%M}"[: 16 if has_time else 10] == day


@pytest.mark.parametrize(
    ("cell", "message"),
    [
        ("31.02.2026", "The date '31.02.2026' does not exist. Write it like 2026-03-14."),
        ("soon", "'soon' is not a date. Write it like 2026-03-14."),
        (12.0, "'12' is not a date. Write it like 2026-03-14."),
        (True, "'True' is not a date. Write it like 2026-03-14."),
    ],
)
def test_what_is_no_day(cell: Cell, message: str) -> None:
    with pytest.raises(CellError) as caught:
        day_of(cell, "dmy")
    assert str(caught.value) == message


def test_an_offset_is_kept() -> None:
    moment, _ = day_of("2026-03-14T18:40:00+02:00", "")
    assert moment.utcoffset() == dt.timedelta(hours=2)


@pytest.mark.parametrize(
    ("cells", "order"),
    [
        (["03/04/2026", "25/04/2026"], "dmy"), (["03/04/2026", "04/25/2026"], "mdy"),
        (["03/04/2026"], ""), (["25/04/2026", "04/25/2026"], ""), (["03.04.2026"], "dmy"),
        (["2026-04-03", dt.date(2026, 1, 1)], None), ([], None),
    ],
)  # fmt: skip
def test_the_order_of_day_and_month(cells: list[Cell], order: Order | None) -> None:
    assert date_order(cells) == order


@given(st.dates(dt.date(1950, 1, 1), dt.date(2100, 12, 31)), st.sampled_from(["dmy", "mdy"]))
def test_a_day_reads_back_in_its_order(day: dt.date, order: Order) -> None:
    text = f"{day:%d/%m/%Y}" if order == "dmy" else f"{day:%m/%d/%Y}"
    assert day_of(text, order) == (dt.datetime(day.year, day.month, day.day), False)
    assert day_of((day - dt.date(1899, 12, 30)).days, "")[0].date() == day


@pytest.mark.parametrize(
    ("cell", "clock"),
    [
        ("18:40", "18:40"), ("18:40:59", "18:40"), ("7:30 PM", "19:30"), ("12:00 am", "00:00"),
        ("7 pm", "19:00"), ("18.40", "18:40"), ("18h40", "18:40"), ("18:40 Uhr", "18:40"),
        ("18 Uhr", "18:00"), (0.75, "18:00"), (dt.time(18, 40, 5), "18:40"),
        (dt.timedelta(hours=18), "18:00"), (dt.datetime(1899, 12, 31, 18, 40), "18:40"),
    ],
)  # fmt: skip
def test_times_of_day(cell: Cell, clock: str) -> None:
    assert f"{time_of(cell):%H:%M}" == clock


@pytest.mark.parametrize("cell", ["evening", "25:00", "18", 18.0])
def test_what_is_no_time_of_day(cell: Cell) -> None:
    with pytest.raises(CellError) as caught:
        time_of(cell)
    assert str(caught.value) == (
        f"'{cell_text(cell)}' is not a time of day. Write hours and minutes, such as 18:40."
    )


@given(st.text(max_size=20))
def test_no_cell_fails(text: str) -> None:
    for read in (lambda: plain_numbers(text, ""), lambda: day_of(text, ""), lambda: time_of(text)):
        try:
            read()
        except CellError as error:
            assert error.hint
