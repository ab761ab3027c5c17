"""The command ``import`` with tables of all kinds, from the file to the log."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
import typer
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from journal_tools.journal import load_journal
from journal_tools.tables import build_tables
from journal_tools.writing import asking
from journal_tools.writing.import_command import Told, import_file
from tests.command import Outcome
from tests.writing.conftest import TODAY

Log = Callable[[], dict[str, str]]
Import = Callable[..., Outcome]

GERMAN = (
    "Wasserwerte;;;;;\n;;;;;\nDatum;Uhrzeit;KH;Ca (mg/l);Nitrat;Stimmung\n"
    "03.01.2026;18:40;8,2;420;<0,25;gut\n05.01.2026;;2,9 meq/L;n/a;5;\n"
)


@pytest.fixture
def run(folder: Path, tmp_path: Path) -> Import:
    """Import a text as a file, without being asked."""

    def run(text: str | bytes, *options: str, name: str = "tests.csv") -> Outcome:
        content = text if isinstance(text, bytes) else text.encode()
        (tmp_path / name).write_bytes(content)
        return Outcome("import", tmp_path / name, "--journal", folder, *options)

    return run


def checked(folder: Path) -> None:
    outcome = Outcome("check", folder)
    assert (outcome.code, outcome.err) == (0, "")


def readings(folder: Path) -> list[tuple[str, str, float, str]]:
    table = build_tables(load_journal(folder, TODAY)).readings
    return [
        (f"{time:%Y-%m-%d %H:%M}", parameter, round(value, 4), censored)
        for time, parameter, value, censored in zip(
            table["time"], table["parameter"], table["value"], table["censored"], strict=True
        )
    ]


def test_a_german_table(folder: Path, run: Import, log: Log) -> None:
    outcome = run(GERMAN.encode("cp1252"), "--yes")
    assert (outcome.code, outcome.err) == (0, "")
    assert outcome.out == (
        "tests.csv, headings in row 3\n"
        "  A  Datum                    → date (day first)                   "
        "03.01.2026, 05.01.2026\n"
        "  B  Uhrzeit                  → time                               18:40\n"
        "  C  KH                       → alkalinity dKH, the journal's unit 8,2, 2,9 meq/L\n"
        "  D  Ca (mg/l)                → calcium mg/l                       420\n"
        "  E  Nitrat                   → nitrate mg/L, the journal's unit   <0,25, 5\n"
        "  F  Stimmung                 → not taken                          gut\n"
        "2 rows, 0 facts that the journal has already.\n"
        "New: 5 readings, in 2 entries. The first ones:\n"
        "  2026-01-03 18:40  alkalinity: 8.2\n"
        "  2026-01-03 18:40  calcium: 420\n"
        "  2026-01-03 18:40  nitrate: <0.25\n"
        "wrote log/2026-01-03.yml\nwrote log/2026-01-05.yml\nwrote imports/tests.yml\n"
    )
    assert log() == {
        "2026-01-03.yml": 'time: "18:40"\nreadings:\n  alkalinity: 8.2\n  calcium: 420\n'
        "  nitrate: <0.25\n",
        "2026-01-05.yml": "readings:\n  alkalinity: 2.9 meq/L\n  nitrate: 5\n",
    }
    checked(folder)


def test_the_second_time_nothing_is_added(folder: Path, run: Import, log: Log) -> None:
    run(GERMAN, "-y")
    before, record = log(), (folder / "imports" / "tests.yml").read_bytes()
    outcome = run(GERMAN, "-y")
    assert (outcome.code, outcome.err) == (0, "")
    assert outcome.out.endswith(
        "2 rows, 5 facts that the journal has already.\nThere is nothing new to write.\n"
    )
    (folder / "imports" / "tests.yml").unlink()
    assert run(GERMAN, "-y").code == 0
    assert log() == before
    assert not (folder / "imports" / "tests.yml").exists()
    assert record.count(b"\n  ") == 7, "five columns and two rows"


def test_a_value_corrected_in_the_log_does_not_come_back(
    folder: Path, run: Import, log: Log
) -> None:
    run(GERMAN, "-y")
    path = folder / "log" / "2026-01-03.yml"
    path.write_text(path.read_text().replace("8.2", "8.4"))
    run(GERMAN, "-y")
    assert len(log()) == 2


def test_new_rows_come_in_alone(folder: Path, run: Import, log: Log) -> None:
    run(GERMAN, "-y")
    outcome = run(GERMAN + "05.01.2026;20:00;8;;;\n", "-y")
    assert "New: 1 reading, in 1 entry." in outcome.out
    assert log()["2026-01-05-2000.yml"] == 'time: "20:00"\nreadings:\n  alkalinity: 8\n'


def test_the_mapping_is_remembered_with_the_keeper_s_own_lines(folder: Path, run: Import) -> None:
    table = "Day,X1\n2026-01-03,2.9\n"
    assert run(table, "-y", "--map", "X1=alkalinity meq/L").code == 0
    path = folder / "imports" / "tests.yml"
    assert "columns:\n  Day: date\n  X1: alkalinity meq/L\n" in path.read_text()
    path.write_text("# mine\n" + path.read_text())
    assert run(table + "2026-01-04,3.0\n", "-y").code == 0
    assert path.read_text().startswith("# mine\n# How 'journal-tools import'")
    assert [r[2] for r in readings(folder)] == [8.1312, 8.4116]


def test_a_slip_in_what_is_remembered_is_told(folder: Path, run: Import, log: Log) -> None:
    run(GERMAN, "-y")
    path = folder / "imports" / "tests.yml"
    path.write_text(path.read_text().replace("date_order: dmy", "date_order: dym"))
    outcome = run(GERMAN, "-y")
    assert outcome.code == 1
    assert outcome.err == "imports/tests.yml:15:13: 'dym' is not known here. Use dmy, mdy or ymd.\n"


def test_rows_that_cannot_be_taken_are_told(folder: Path, run: Import, log: Log) -> None:
    outcome = run(
        "Date,Alk,Ca\n2026-01-03,8.2,420\n2026-02-30,8,420\n,8,420\n2026-01-05,high,420\n"
        "2026-01-06,82,420\n2026-05-01,8,420\nMean,8.2,420\n",
        "-y",
    )
    assert outcome.code == 1
    assert outcome.err.splitlines() == [
        "Row 3, column A (Date): The date '2026-02-30' does not exist. Write it like 2026-03-14.",
        "Row 4: The row has no date. Write the day into every row.",
        "Row 5, column B (Alk): 'high' is not a number. Write the number alone, or leave the cell "
        "empty.",
        "Row 6, column B (Alk): Alkalinity of '82' is outside what can be (0.5 to 25 dKH). Check "
        "the decimal point and the unit.",
        "Row 7, column A (Date): The day 2026-05-01 is still to come. Correct the date.",
        "Row 8, column A (Date): 'Mean' is not a date. Write it like 2026-03-14.",
    ]
    assert list(log()) == ["2026-01-03.yml", "2026-01-05.yml", "2026-01-06.yml"]
    mended = run("Date,Alk,Ca\n2026-01-05,8.3,420\n", "-y")
    assert (mended.code, mended.err) == (0, "")
    assert "1 row, 1 fact that the journal has already.\nNew: 1 reading," in mended.out
    checked(folder)


@pytest.mark.parametrize(
    ("table", "message", "answer"),
    [
        ("Date,Alk\n03/04/2026,8.2\n",
         "Is '03/04/2026' in column 'Date' day or month first? Add: --date-order dmy (or mdy)\n",
         ["--date-order", "mdy"]),
        ("Date,Alkalinity (°fH)\n2026-01-03,14\n",
         "The unit '°fH' of column 'Alkalinity (°fH)' is not known here. Add: --map \"Alkalinity "
         "(°fH)=alkalinity dKH\" (or another unit, or ignore)\n",
         ["--map", "Alkalinity (°fH)=alkalinity dKH"]),
        ("Date,Alk\n2026-01-03,140\n2026-01-04,145\n",
         "'140' in column 'Alk' cannot be Alkalinity in dKH. In which unit is it? Add: --map "
         "\"Alk=alkalinity mg/L CaCO3\"\n",
         ["--map", "Alk=alkalinity mg/L CaCO3"]),
        ("Date,Salinity\n2026-01-03,1.026\n",
         "'1.026' in column 'Salinity' cannot be Salinity in psu. In which unit is it? Add: --map "
         "\"Salinity=salinity SG\"\n",
         ["--map", "Salinity=salinity SG"]),
        ('Date;Iron\n2026-01-03;1,310\n',
         "Is the comma or the point in '1,310' (column 'Iron') a decimal sign? Add: --decimal "
         "\",\" (or \".\")\n",
         ["--decimal", ","]),
    ],
)  # fmt: skip
def test_what_can_be_read_in_two_ways_is_asked(
    run: Import, log: Log, table: str, message: str, answer: list[str]
) -> None:
    outcome = run(table, "-y")
    assert (outcome.code, log()) == (2, {})
    assert outcome.err == f"{message}Nothing was written.\n"
    assert run(table, "-y", *answer).code == 0
    assert log() != {}


def test_at_a_terminal_the_answer_is_taken(
    run: Import, log: Log, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def prompt(question: str, default: str) -> str:
        asked.append(question)
        return "mdy"

    monkeypatch.setattr(asking, "is_terminal", lambda: True)
    monkeypatch.setattr(typer, "prompt", prompt)
    monkeypatch.setattr(typer, "confirm", lambda *_, **__: True)
    assert run("Date,Alk\n03/04/2026,8.2\n").code == 0
    assert asked == ["Is '03/04/2026' in column 'Date' day or month first? (dmy / mdy)"]
    assert list(log()) == ["2026-03-04.yml"]


def test_without_a_terminal_nothing_is_written_unasked(run: Import, log: Log) -> None:
    outcome = run(GERMAN)
    assert (outcome.code, log()) == (2, {})
    assert outcome.err == (
        "Nothing was written: nobody can be asked here. If this is right, add --yes.\n"
    )


@pytest.mark.parametrize(
    ("table", "options", "message"),
    [
        ("a,b\n1,2\n", (), "tests.csv: No row looks like headings with a date and a reading. Name "
                           'the columns: --map "A=date" --map "B=alkalinity dKH".\n'),
        ("Date,Alk\n2026-01-03,8\n", ("--map", "Ca=calcium"),
         "tests.csv: There is no column 'Ca'. There is: Date, Alk.\n"),
        ("Date,Alk\n2026-01-03,8\n", ("--map", "calcium"),
         "tests.csv: 'calcium' names no column. Write --map \"KH=alkalinity dKH\".\n"),
        ("Date,Alk\n2026-01-03,8\n", ("--sheet", "Two"),
         "tests.csv: There is no sheet 'Two'. There is: .\n"),
        ("", (), "tests.csv: The file is empty. Save the table again, and import that.\n"),
    ],
)  # fmt: skip
def test_what_cannot_be_imported(
    run: Import, table: str, options: tuple[str, ...], message: str
) -> None:
    outcome = run(table, "-y", *options)
    assert (outcome.code, outcome.err) == (2, message)


def test_columns_of_every_kind(folder: Path, run: Import, log: Log) -> None:
    outcome = run(
        "Date,Title,Notes,Water change (gal),Top-off,alk mix (ml),Food,KH\n"
        '2026-01-03,A day,"Hot.\nVery.",5,"2,5",30,mysis,"8,2 dKH"\n2026-01-04,,,0,,,,8\n',
        "-y",
    )
    assert (outcome.code, outcome.err) == (0, "")
    assert log() == {
        "2026-01-03.yml": (
            "title: A day\nreadings:\n  alkalinity: 8.2 dKH\ndoses:\n"
            "  - {what: alk mix, amount: 30 ml}\nwater_change:\n  - 5 gal\ntop_off:\n  - 2.5\n"
            "feed:\n  - mysis\nnotes: |\n  Hot.\n  Very.\n"
        ),
        "2026-01-04.yml": "readings:\n  alkalinity: 8\n",
    }
    checked(folder)
    assert "There is nothing new to write." in run((folder / "../tests.csv").read_bytes(), "-y").out
    (folder / "imports" / "tests.yml").unlink()
    assert "There is nothing new to write." in run((folder / "../tests.csv").read_bytes(), "-y").out


def test_one_reading_a_row(folder: Path, run: Import) -> None:
    outcome = run(
        "Datum\tTest\tWert\tEinheit\n14.03.2026 7:30 PM\tNitrat\t<0,5\tmg/l\n"
        "14.03.2026 19:30\tKH\t2,9\tmeq/L\n14.03.2026\tMood\t1\t\n",
        "-y",
    )
    assert outcome.err == (
        "Row 4, column C (Wert): 'Mood' is no name of a reading. Write for example alkalinity, "
        "calcium or nitrate.\n"
    )
    assert readings(folder) == [
        ("2026-03-14 19:30", "alkalinity", 8.1312, ""),
        ("2026-03-14 19:30", "nitrate", 0.5, "below"),
    ]


def test_equal_moments_of_one_day_share_an_entry(run: Import, log: Log) -> None:
    run("Date,Time,Alk\n2026-01-03,09:00,8.2\n2026-01-03,09:00,8.2\n2026-01-03,21:00,8\n", "-y")
    assert log() == {
        "2026-01-03.yml": 'time: "09:00"\nreadings:\n  alkalinity: [8.2, 8.2]\n',
        "2026-01-03-2100.yml": 'time: "21:00"\nreadings:\n  alkalinity: 8\n',
    }


def test_a_spreadsheet_of_several_sheets(folder: Path, tmp_path: Path, log: Log) -> None:
    book = openpyxl.Workbook()
    first = book.active
    assert first is not None
    first.title = "Shopping"
    first.append(["salt", 58])
    for name in ("Hall", "Attic"):
        sheet = book.create_sheet(name)
        sheet.append([f"Tests of {name}"])
        sheet.append([])
        sheet.append(["Date", "Time", "Alk dKH", "Ca"])
        sheet.append([dt.datetime(2026, 1, 3), dt.time(18, 40), 8.2, 420])
        sheet.append([46027, 0.75, "n/a", "421"])
    book.save(tmp_path / "tests.xlsx")
    arguments = ["import", tmp_path / "tests.xlsx", "--journal", folder, "-y"]
    outcome = Outcome(*arguments)
    assert (outcome.code, log()) == (2, {})
    assert outcome.err == (
        "tests.xlsx: Several sheets hold readings: 'Hall', 'Attic'. Name one: --sheet NAME.\n"
    )
    outcome = Outcome(*arguments, "--sheet", "Hall")
    assert (outcome.code, outcome.err) == (0, "")
    assert log() == {
        "2026-01-03.yml": 'time: "18:40"\nreadings:\n  alkalinity: 8.2\n  calcium: 420\n',
        "2026-01-05.yml": 'time: "18:00"\nreadings:\n  calcium: 421\n',
    }
    assert "There is nothing new to write." in Outcome(*arguments).out


def test_the_journal_s_own_units(folder: Path, run: Import, log: Log) -> None:
    with (folder / "tank.yml").open("a") as file:
        file.write("units: {system: us}\n")
    run("Date,Temp,Temperatur (°C),WC\n2026-01-03,78,25.5,5\n", "-y")
    assert log()["2026-01-03.yml"] == (
        "readings:\n  temperature: [78, 25.5 °C]\nwater_change:\n  - 5\n"
    )


def test_a_folder_that_is_no_data_folder(folder: Path, tmp_path: Path) -> None:
    outcome = Outcome("import", tmp_path, "--journal", folder)
    assert (outcome.code, outcome.err) == (
        2,
        f"'{tmp_path}' is a folder without the tables of a site (readings.csv, doses.csv, …).\n",
    )


@pytest.mark.parametrize(
    ("option", "message"),
    [("--date-order", "'x' is no order; write dmy, mdy or ymd"),
     ("--decimal", "'x' is no decimal sign; write '.' or ','")],
)  # fmt: skip
def test_options_that_cannot_be(run: Import, option: str, message: str) -> None:
    outcome = run(GERMAN, option, "x")
    assert outcome.code == 2
    assert message in " ".join(outcome.err.replace("│", "").split())


CELL = st.sampled_from(
    ["2026-01-03", "03.01.2026", "8.2", "8,2", "<0,25", "n/a", "", "x", "18:40", "1,310", "46027",
     "8.2 dKH", "1e999", "🐠", "-", "=1+1", "below 3", '"', "\x00", "9" * 30]
)  # fmt: skip
HEADING = st.sampled_from(
    ["Date", "Zeit", "KH", "Ca (mg/l)", "Notes", "x", "WW", "alk mix", "Temp"]
)


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=60
)
@given(
    headings=st.lists(HEADING, min_size=2, max_size=5),
    body=st.lists(st.lists(CELL, min_size=1, max_size=5), max_size=5),
)
def test_no_table_fails_and_what_is_written_passes_a_check(
    folder: Path, tmp_path: Path, headings: list[str], body: list[list[str]]
) -> None:
    text = "\n".join(";".join(row) for row in [headings, *body])
    (tmp_path / "tests.csv").write_text(text, encoding="utf-8")
    (folder / "imports" / "tests.yml").unlink(missing_ok=True)
    told = Told(order="dmy", decimal=",")
    import_file(folder, tmp_path / "tests.csv", told, yes=True)
    journal = load_journal(folder, TODAY)
    assert [str(problem) for problem in journal.problems] == []
    count = len(journal.entries)
    import_file(folder, tmp_path / "tests.csv", told, yes=True)
    assert len(load_journal(folder, TODAY).entries) == count
