"""The text of a CSV file: its heading, how cells are parted, and where a cell stands."""

from __future__ import annotations

import csv
import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from journal_tools.probes.faults import Fault

SEPARATORS = (";", "\t", ",", "|")
_SAMPLE_BYTES = 65_536
_SAMPLE_ROWS = 50
_DECIMAL_COMMA = re.compile(r"\s*[-+]?\d+,\d+\s*")
BOM = b"\xef\xbb\xbf"
_ANYTHING = re.compile(rb"\S")
_LINE_END = re.compile(rb"\r\n|\n|\r")


@dataclass(frozen=True)
class CsvText:
    """A file that is going to be parsed.

    Attributes:
        content: Its bytes, without a byte order mark.
        header_line: 1-based line of the headings.
        headings: Headings in order.
        separator: Character between two cells.
        decimal: Decimal sign.
    """

    content: bytes
    header_line: int
    headings: list[str]
    separator: str
    decimal: str

    @property
    def has_rows(self) -> bool:
        """Whether anything stands below the headings."""
        if self._starts.size <= self.header_line:
            return False
        return _ANYTHING.search(self.content, int(self._starts[self.header_line])) is not None

    @cached_property
    def _starts(self) -> NDArray[np.intp]:
        """Where each line begins."""
        data = np.frombuffer(self.content, np.uint8)
        ends = np.flatnonzero(data == 10)
        if not ends.size:
            ends = np.flatnonzero(data == 13)
        starts = np.concatenate([[0], ends + 1])
        return starts[:-1] if starts[-1] >= data.size else starts

    def line_of(self, row: int) -> int:
        """Give the 1-based line of a row; the first row below the headings is 0."""
        return self.header_line + 1 + row

    def place(self, row: int, heading: str) -> tuple[int, int]:
        """Give line and column of a cell."""
        line = self.line_of(row)
        if line > self._starts.size:
            return line, 0
        start = self._starts[line - 1]
        text = self.content[start : start + _SAMPLE_BYTES].decode("utf-8", "replace")
        cells = _LINE_END.split(text.encode(), 1)[0].decode().split(self.separator)
        before = cells[: self.headings.index(heading)]
        return line, sum(len(cell) + 1 for cell in before) + 1

    def rows_with_more_cells(self, rows: int, any_missing: bool) -> NDArray[np.bool_] | None:
        """Tell for each row whether it has more cells than there are headings; None if none has.

        Args:
            rows: How many there are.
            any_missing: Whether a cell is missing somewhere, which could make up for another.
        """
        wanted = len(self.headings) - 1
        mark = self.separator.encode()
        first = int(self._starts[self.header_line])
        held = self.content.count(mark, first)
        if held == rows * wanted and not any_missing:
            return None
        starts = self._starts[self.header_line : self.header_line + rows]
        if held <= rows * wanted and not any_missing:
            return None
        if b'"' in self.content:
            counts = np.fromiter(self._cells(starts), np.intp, starts.size)
        else:
            marks = np.frombuffer(self.content, np.uint8) == mark[0]
            counts = np.add.reduceat(marks, starts, dtype=np.intp)
        extra = np.zeros(rows, dtype=bool)
        extra[: starts.size] = counts > wanted
        return extra & ~self._ends_in_separator(rows, extra, counts)

    def _ends_in_separator(
        self, rows: int, extra: NDArray[np.bool_], counts: NDArray[np.intp]
    ) -> NDArray[np.bool_]:
        """Tell which rows have but an empty cell too many."""
        harmless = np.zeros(rows, dtype=bool)
        data = np.frombuffer(self.content, np.uint8)
        ends = np.append(self._starts[1:], data.size + 1) - 1
        at = np.flatnonzero(extra)
        at = at[counts[at] == len(self.headings)]
        last = ends[at + self.header_line] - 1
        last = last - (data[np.minimum(last, data.size - 1)] == 13)
        harmless[at] = data[np.minimum(last, data.size - 1)] == ord(self.separator)
        return harmless

    def _cells(self, starts: NDArray[np.intp]) -> Iterator[int]:
        """Give the separators of each line that stand outside quotation marks."""
        ends = np.append(starts[1:], len(self.content))
        for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
            outside = self.content[start:end].split(b'"')[::2]
            yield sum(part.count(self.separator.encode()) for part in outside)


def csv_text(
    content: bytes, wanted: Sequence[str], separator: str | None, decimal: str | None
) -> CsvText | Fault:
    """Give a file's text with its heading found and its signs told or guessed.

    Args:
        content: Bytes of the file, UTF-8 with or without a byte order mark.
        wanted: Headings that are looked for; the separator that finds most of them is taken.
        separator: As the keeper says, or None to guess.
        decimal: As the keeper says, or None to guess.
    """
    if content.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in content[:_SAMPLE_BYTES]:
        return Fault("probe-not-text", "The file is not UTF-8 text.",
                     "Save it as CSV in UTF-8, not as a spreadsheet or in UTF-16.")  # fmt: skip
    content = content.removeprefix(BOM)
    blank, begin = _before_the_header(content)
    lines = _LINE_END.split(content[begin : begin + _SAMPLE_BYTES])
    header, *below = (line.decode("utf-8", "replace") for line in lines)
    sign = {"tab": "\t", None: ""}.get(separator, separator) or _separator(header, wanted)
    headings = _split(header, sign)
    sample = itertools.chain.from_iterable(_split(row, sign) for row in below[:_SAMPLE_ROWS])
    comma = any(_DECIMAL_COMMA.fullmatch(cell) for cell in sample)
    return CsvText(content, blank + 1, headings, sign, decimal or ("," if comma else "."))


def _before_the_header(content: bytes) -> tuple[int, int]:
    """Give how many blank lines there are before the first other one, and where that begins."""
    found = _ANYTHING.search(content)
    at = found.start() if found else 0
    end = b"\n" if b"\n" in content else b"\r"
    return content.count(end, 0, at), content.rfind(end, 0, at) + 1


def _separator(header: str, wanted: Sequence[str]) -> str:
    """Give the separator by which most of the wanted headings, then most cells, are found."""

    def found(sign: str) -> tuple[int, int]:
        cells = _split(header, sign)
        return len(set(cells) & set(wanted)), len(cells)

    return max(SEPARATORS, key=found)


def _split(line: str, separator: str) -> list[str]:
    """Give the cells of a line, without the spaces around them."""
    try:
        cells = next(csv.reader([line], delimiter=separator, skipinitialspace=True), [])
    except csv.Error:
        cells = line.split(separator)
    return [cell.strip() for cell in cells]
