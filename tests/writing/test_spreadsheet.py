from __future__ import annotations

import datetime as dt
import re
import zipfile
from pathlib import Path

import openpyxl
import pytest
import xlwt

from journal_tools.writing.spreadsheet import Unreadable, decoded, read_sheets, separator_of

TABLE = "Datum;Kalzium;Härte\n14.03.2026;420;8,2\n"


def rows(path: Path) -> list[list[object]]:
    sheets = read_sheets(path)
    assert not isinstance(sheets, Unreadable)
    assert len(sheets) == 1
    return [list(row) for row in sheets[0].rows]


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le", "utf-16-be"]
)
def test_every_encoding_gives_the_same_cells(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(TABLE.encode(encoding))
    assert rows(path) == [["Datum", "Kalzium", "Härte"], ["14.03.2026", "420", "8,2"]]


def test_bytes_that_windows_leaves_out_are_no_end(tmp_path: Path) -> None:
    assert decoded(b"\x81H\xe4rte") == "\x81Härte"


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
def test_every_separator_is_found(separator: str) -> None:
    text = "\n".join(
        separator.join(row) for row in [["Date", "KH", "Ca"], ["2026-03-14", "8", "4"]]
    )
    assert separator_of(f"A title\n\n{text}") == separator


def test_decimal_commas_do_not_part_columns(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("sep=;\r\nDate;KH\r\n1.1.2026;8,2\r\n2.1.2026;8,3\r\n", encoding="utf-8")
    assert rows(path) == [[], ["Date", "KH"], ["1.1.2026", "8,2"], ["2.1.2026", "8,3"]]


def test_quoted_cells_keep_separators_and_lines(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text('Date,Note\n2026-03-14,"a, b\nc"\n', encoding="utf-8")
    assert rows(path)[1] == ["2026-03-14", "a, b\nc"]


def test_an_xlsx_keeps_its_rows_and_kinds(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet["B3"], sheet["C3"] = "Date", "KH"
    sheet["B4"], sheet["C4"] = dt.datetime(2026, 3, 14, 18, 40), 8.2
    book.create_sheet("empty")
    book.save(tmp_path / "a.xlsx")
    found = rows(tmp_path / "a.xlsx")
    assert found[2][1:] == ["Date", "KH"]
    assert found[3][1:] == [dt.datetime(2026, 3, 14, 18, 40), 8.2]


def test_an_xls_is_read(tmp_path: Path) -> None:
    book = xlwt.Workbook()
    sheet = book.add_sheet("Tests")
    date = xlwt.easyxf(num_format_str="YYYY-MM-DD")
    for i, cell in enumerate(["Date", "KH"]):
        sheet.write(0, i, cell)
    sheet.write(1, 0, dt.date(2026, 3, 14), date)
    sheet.write(1, 1, 8.2)
    book.save(str(tmp_path / "a.xls"))
    assert rows(tmp_path / "a.xls") == [["Date", "KH"], [dt.date(2026, 3, 14), 8.2]]


ODS = """<?xml version="1.0" encoding="UTF-8"?>
<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
 xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"
 xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.3">
<office:body><office:spreadsheet><table:table table:name="Tests">
<table:table-row>
 <table:table-cell office:value-type="string"><text:p>Date</text:p></table:table-cell>
 <table:table-cell office:value-type="string"><text:p>KH</text:p></table:table-cell>
</table:table-row><table:table-row>
 <table:table-cell office:value-type="date" office:date-value="2026-03-14"/>
 <table:table-cell office:value-type="float" office:value="8.2"/>
</table:table-row></table:table></office:spreadsheet></office:body></office:document-content>"""


def test_an_ods_is_read(tmp_path: Path) -> None:
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    entry = f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{kind}"/>'
    space = "urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"
    with zipfile.ZipFile(tmp_path / "a.ods", "w") as archive:
        archive.writestr("mimetype", kind)
        archive.writestr("content.xml", re.sub(r">\s+<", "><", ODS))
        archive.writestr(
            "META-INF/manifest.xml",
            f'<manifest:manifest xmlns:manifest="{space}">{entry}</manifest:manifest>',
        )
    assert rows(tmp_path / "a.ods") == [["Date", "KH"], [dt.date(2026, 3, 14), 8.2]]


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "The file is empty. Save the table again, and import that."),
        (b" ; ;\n", "The file is empty. Save the table again, and import that."),
        (b"PK\x03\x04no", "The spreadsheet cannot be opened. Remove its password, or save it as "
                          ".xlsx or .csv, and import that."),
        (b"\x00\x01\x00\x02\xff\x00\x00\x00", "The file is neither text nor a spreadsheet that is "
         "known here. Save it as .csv, .xlsx or .ods, and import that."),
    ],
)  # fmt: skip
def test_what_gives_no_cells(tmp_path: Path, content: bytes, message: str) -> None:
    (tmp_path / "a.csv").write_bytes(content)
    assert str(read_sheets(tmp_path / "a.csv")) == message


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    assert str(read_sheets(tmp_path / "a.csv")) == (
        "The file cannot be read: No such file or directory. Check its name and its folder."
    )
