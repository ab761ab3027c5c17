"""Cells of a file: spreadsheets, and text with separators in whatever encoding it comes."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

Cell = str | float | bool | dt.date | dt.datetime | dt.time | dt.timedelta
"""What a cell holds; an empty one holds an empty text."""

MAX_BYTES = 50_000_000
_SEPARATORS = (";", "\t", ",", "|")
_BOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1")
"""First bytes of zipped spreadsheets (xlsx, ods) and of compound files (xls; MS-CFB, 2.2)."""

_SAMPLE_ROWS = 200


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table of cells; the position in ``rows`` plus one is the row that a program shows."""

    name: str
    rows: list[list[Cell]]


@dataclass(frozen=True, slots=True)
class Unreadable:
    """Why a file gives no cells, and what to do."""

    what: str
    hint: str

    def __str__(self) -> str:
        """Give both as one line."""
        return f"{self.what} {self.hint}"


def read_sheets(path: Path) -> list[Sheet] | Unreadable:
    """Give the sheets of a file that hold anything.

    Args:
        path: A file of comma, semicolon or tab separated text, or xlsx, xls, xlsb or ods.
    """
    try:
        if path.stat().st_size > MAX_BYTES:
            return Unreadable("The file is over 50 MB.", "Import it in parts.")
        content = path.read_bytes()
    except OSError as error:
        what = f"The file cannot be read: {error.strerror}."
        return Unreadable(what, "Check its name and its folder.")
    found = _book(content) if content.startswith(_BOOKS) else _text(content)
    if isinstance(found, Unreadable):
        return found
    filled = [sheet for sheet in found if any(any(c != "" for c in row) for row in sheet.rows)]
    return filled or Unreadable("The file is empty.", "Save the table again, and import that.")


def _book(content: bytes) -> list[Sheet] | Unreadable:
    from python_calamine import CalamineError, load_workbook

    try:
        book = load_workbook(io.BytesIO(content))
        return [
            Sheet(name, [list(row) for row in rows])
            for name in book.sheet_names
            if (rows := book.get_sheet_by_name(name).to_python(skip_empty_area=False)) is not None
        ]
    except (CalamineError, OSError, ValueError):
        what = "The spreadsheet cannot be opened."
        hint = "Remove its password, or save it as .xlsx or .csv, and import that."
        return Unreadable(what, hint)


def _text(content: bytes) -> list[Sheet] | Unreadable:
    if b"\x00" in content and not _is_utf_16(content):
        what = "The file is neither text nor a spreadsheet that is known here."
        return Unreadable(what, "Save it as .csv, .xlsx or .ods, and import that.")
    text = decoded(content)
    first, _, rest = text.partition("\n")
    if named := first.strip().removeprefix("sep=") if first.startswith("sep=") else "":
        # A line that one spreadsheet program puts before the table; its row still counts.
        return _separated("\n" + rest, named[:1])
    return _separated(text, separator_of(text))


def _separated(text: str, separator: str) -> list[Sheet] | Unreadable:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    try:
        rows: list[list[Cell]] = [[cell.strip() for cell in row] for row in reader]
    except csv.Error:
        what = f"The text cannot be read as a table from line {reader.line_num} on."
        return Unreadable(what, "Look for a quotation mark without its second one.")
    return [Sheet("", rows)]


def decoded(content: bytes) -> str:
    """Give text in the encoding that its bytes show: UTF-8, UTF-16, else Windows-1252.

    >>> decoded("Kalzium;Härte".encode("cp1252"))
    'Kalzium;Härte'
    """
    if _is_utf_16(content):
        marked = content.startswith((b"\xff\xfe", b"\xfe\xff"))
        guess = "utf-16-le" if content[1:2] == b"\x00" else "utf-16-be"
        return content.decode("utf-16" if marked else guess, errors="replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        # The five bytes that Windows-1252 leaves out are read as Latin-1 has them.
        return "".join(
            byte.decode("cp1252") if byte[0] not in _UNUSED else chr(byte[0])
            for byte in (content[i : i + 1] for i in range(len(content)))
        )


_UNUSED = frozenset({0x81, 0x8D, 0x8F, 0x90, 0x9D})


def _is_utf_16(content: bytes) -> bool:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return True
    head = content[:200]
    halves = (head[0::2].count(0), head[1::2].count(0))
    return len(head) > 3 and max(halves) > len(head) // 4 and min(halves) == 0


def separator_of(text: str) -> str:
    """Give the sign that parts the columns: the one that makes the most columns that agree.

    >>> separator_of("Datum;KH\\n14.03.2026;8,2\\n")
    ';'
    """
    best, most = ",", 0.0
    for separator in _SEPARATORS:
        lines = text.splitlines()[:_SAMPLE_ROWS]
        try:
            widths = [len(row) for row in csv.reader(lines, delimiter=separator) if row]
        except csv.Error:
            continue
        wide = Counter(width for width in widths if width > 1)
        if not wide:
            continue
        width, number = max(wide.items(), key=lambda item: item[0] * item[1])
        agreement = number / len(widths) * width
        if agreement > most:
            best, most = separator, agreement
    return best
