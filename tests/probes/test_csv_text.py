"""How a file parts its cells, and where a cell stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal_tools.probes.csv_text import CsvText, csv_text
from journal_tools.probes.faults import Fault
from tests.probes.made_up import codes, load


def text_of(content: bytes, separator: str | None = None, decimal: str | None = None) -> CsvText:
    found = csv_text(content, ["time", "T1"], separator, decimal)
    assert isinstance(found, CsvText)
    return found


@pytest.mark.parametrize(
    ("content", "separator", "decimal"),
    [
        (b"time,T1\n2026-03-01,25.1\n", ",", "."),
        (b"time;T1\n2026-03-01;25,1\n", ";", ","),
        (b"time;T1, sump\n2026-03-01;25\n", ";", "."),
        (b"time\tT1\n2026-03-01\t25,1\n", "\t", ","),
        (b'time,T1\n2026-03-01,"25,1"\n', ",", ","),
        (b"time|T1|x,y,z\n1|2|3,4\n", "|", ","),
    ],
)
def test_signs_are_guessed(content: bytes, separator: str, decimal: str) -> None:
    found = text_of(content)
    assert (found.separator, found.decimal) == (separator, decimal)


def test_what_the_keeper_says_of_the_signs_counts() -> None:
    found = text_of(b"time;T1\n2026-03-01;25,1\n", "tab", ".")
    assert (found.separator, found.decimal) == ("\t", ".")


def test_blank_lines_and_a_byte_order_mark_stand_before_the_heading() -> None:
    found = text_of(b'\xef\xbb\xbf\r\n\r\n time , "T1" \r\n2026-03-01,25\r\n')
    assert found.headings == ["time", "T1"] and found.header_line == 3
    assert found.place(0, "T1") == (4, 12)


@pytest.mark.parametrize("content", [b"\xff\xfet\0", b"PK\3\4\0\0", b"time,T1\n\0\0"])
def test_what_is_no_text_is_said(content: bytes) -> None:
    found = csv_text(content, ["time"], None, None)
    assert isinstance(found, Fault) and found.code == "probe-not-text"


def parsed(folder: Path, text: str) -> tuple[list[str], list[int], list[float]]:
    told = "time: time\ncolumns: {temperature: T1}\nseparator: ','\ndecimal: '.'\n"
    found = load(folder, {"tank.csv": text, "tank.yml": told})
    values = found.series[0].data.recent.tolist() if found.series else []
    return codes(found), [problem.line for problem in found.problems], values


@pytest.mark.parametrize(
    ("row", "is_more"),
    [
        ("2026-03-01 10:00,25,3", True),
        ('2026-03-01 10:00,"25",', False),
        ("2026-03-01 10:00,25,", False),
        ("2026-03-01 10:00,25,,", True),
        ("2026-03-01 10:00", False),
    ],
)
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("last", [True, False])
def test_rows_with_more_cells_than_headings_are_left_out(
    tmp_path: Path, row: str, is_more: bool, end: str, last: bool
) -> None:
    lines = ["time,T1", "2026-03-01 09:00,24", row, *([] if last else ["2026-03-01 11:00,26"])]
    found, at, values = parsed(tmp_path, end.join(lines) + ("" if last else end))
    assert found == (["probe-cells"] if is_more else [])
    assert at == ([3] if is_more else [])
    assert (25 in values) == (not is_more and "25" in row)
    assert {24, *([] if last else [26])} <= set(values)


def test_a_short_row_does_not_make_up_for_a_long_one(tmp_path: Path) -> None:
    text = "time,T1\n2026-03-01 09:00\n2026-03-01 10:00,25,3\n2026-03-01 11:00,26\n"
    assert parsed(tmp_path, text) == (["probe-cells"], [3], [26])


def test_separators_in_quotation_marks_are_none(tmp_path: Path) -> None:
    text = 'time,T1,note\n2026-03-01 09:00,24,"a, b, c"\n2026-03-01 10:00,25,"d",e\n'
    assert parsed(tmp_path, text) == (["probe-cells"], [3], [24])


def test_columns_may_stand_in_any_order_and_share_a_heading(tmp_path: Path) -> None:
    text = "x,T1,T1,note,time\n1,25,99,a,2026-03-01 09:00\n2,26,99,b,2026-03-01 10:00\n"
    assert parsed(tmp_path, text) == ([], [], [25, 26])


def test_a_blank_line_between_rows_keeps_the_count_of_lines(tmp_path: Path) -> None:
    text = "time,T1\n2026-03-01 09:00,24\n\n\nnoon,25\n"
    assert parsed(tmp_path, text) == (["probe-time"], [5], [24])


def test_an_open_quotation_mark_is_said(tmp_path: Path) -> None:
    assert parsed(tmp_path, 'time,T1\n2026-03-01 09:00,"24\n')[0] == ["probe-damaged"]
