"""The file of a probe as columns: CSV by pandas, Parquet by an optional package."""

from __future__ import annotations

import gzip
import io
import re
import zlib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pandas as pd

from journal_tools.probes.csv_text import BOM, CsvText, csv_text
from journal_tools.probes.description import ProbeFile
from journal_tools.probes.faults import Fault, counted, first_of

MAX_BYTES = 1_000_000_000
MAX_ROWS = 40_000_000
"""Ten years at a row every eight seconds."""

_TOO_LARGE_HINT = "Split it by year, or save a row a minute instead of every second."
_PARQUET_MAGIC = b"PAR1"
_ANYTHING = re.compile(rb"[^\0\s]")


@dataclass(frozen=True)
class Table:
    """The described columns of a file.

    Attributes:
        columns: By heading, as many rows each; a row that cannot be used has no time.
        text: The lines behind it, or None where a file has none.
        faults: What is wrong with its form.
    """

    columns: dict[str, pd.Series]
    text: CsvText | None
    faults: list[Fault] = field(default_factory=list)

    def place(self, row: int, heading: str) -> tuple[int, int]:
        """Give line and column of a cell; 0 in a file without lines."""
        return self.text.place(row, heading) if self.text else (0, 0)


def read_bytes(path: Path) -> bytes | Fault:
    """Give the content of a file, unpacked, or why it cannot be had."""
    hint = "Export it again from the device, or check the download."
    try:
        if path.stat().st_size > MAX_BYTES:
            return _too_large("1 GB")
        if path.suffix.lower() != ".gz":
            return path.read_bytes()
        with gzip.open(path) as packed:
            content = packed.read(MAX_BYTES + 1)
    except (gzip.BadGzipFile, EOFError, zlib.error):
        return Fault("probe-damaged", "The packed file cannot be unpacked.", hint)
    except OSError as error:
        what = f"The file cannot be read: {error.strerror}."
        return Fault("file-unreadable", what, "Check its permissions.")
    return content if len(content) <= MAX_BYTES else _too_large("1 GB unpacked")


def _too_large(limit: str) -> Fault:
    return Fault("probe-too-large", f"The file is over {limit}.", _TOO_LARGE_HINT)


def read_table(content: bytes, description: ProbeFile, name: str) -> Table | Fault:
    """Give the described columns of a file's content, or why there are none.

    Args:
        content: What :func:`read_bytes` gave.
        description: What the keeper says of it.
        name: Name of the file; its ending tells the kind.
    """
    if not _ANYTHING.search(content.removeprefix(BOM)):
        return Fault("probe-empty", "The file has no content.", "Export it again from the device.")
    if name.lower().endswith(".parquet") or content.startswith(_PARQUET_MAGIC):
        return _parquet(content, description)
    return _csv(content, description)


def _wanted(description: ProbeFile) -> list[str]:
    """Give the headings of the time and of every described column, each once."""
    columns = (column.column for column in description.by_parameter.values())
    return list(dict.fromkeys([description.time.column, *columns]))


def _lacking(
    headings: list[str], description: ProbeFile, line: int
) -> tuple[list[str], list[Fault]]:
    """Give the wanted headings that are there, and a fault for each of the others."""
    wanted = _wanted(description)
    there = ", ".join(f"'{heading}'" for heading in headings[:12])
    faults = [
        Fault("probe-no-column", f"There is no column '{heading}'.",
              f"Name one of those in the file: {there}.", line)
        for heading in wanted
        if heading not in headings
    ]  # fmt: skip
    return [heading for heading in wanted if heading in headings], faults


# --- CSV


def _csv(content: bytes, description: ProbeFile) -> Table | Fault:
    text = csv_text(content, _wanted(description), description.separator, description.decimal)
    if isinstance(text, Fault):
        return text
    wanted, faults = _lacking(text.headings, description, text.header_line)
    if description.time.column not in wanted:
        return faults[0]
    if not text.has_rows:
        return Fault("probe-empty", "The file has a heading but no rows.",
                     "Export it again from the device.", text.header_line)  # fmt: skip
    # Names of our own: headings may be alike, and pandas takes a number for a place.
    names = [f"c{text.headings.index(heading)}" for heading in wanted]
    try:
        frame = _parsed(text, names, description)
    except pd.errors.ParserError:
        hint = "Look for a quotation mark that is opened and never closed."
        return Fault("probe-damaged", "The text cannot be split into rows.", hint)
    if len(frame) > MAX_ROWS:
        return _too_large(f"{MAX_ROWS:,} rows")
    columns = {heading: frame[name] for heading, name in zip(wanted, names, strict=True)}
    extra = text.rows_with_more_cells(len(frame), bool(frame.isna().to_numpy().any()))
    if extra is not None and extra.any():
        number, first = first_of(extra)
        what = f"{counted(number, 'row has', 'rows have')} more cells than the heading."
        hint = "A decimal comma in a file with commas between cells? Such rows are left out."
        faults.append(Fault("probe-cells", what, hint, text.line_of(first)))
        columns = {heading: column.mask(extra) for heading, column in columns.items()}
    return Table(columns, text, faults)


def _parsed(text: CsvText, wanted: list[str], description: ProbeFile) -> pd.DataFrame:
    import warnings

    time = description.time
    dated: dict[str, Any] = {}
    if time.unit is None:
        dated = {
            "parse_dates": [wanted[0]],
            # Without a format pandas would guess one, and take 3.4. for the fourth of March.
            "date_format": time.format or "ISO8601",
        }
    with warnings.catch_warnings():
        # Of a column that is numbers in one part and text in another; it is looked at later.
        warnings.simplefilter("ignore", pd.errors.DtypeWarning)
        frame: pd.DataFrame = pd.read_csv(
            io.BytesIO(text.content),
            sep=text.separator,
            decimal=text.decimal,
            header=None,
            names=[f"c{place}" for place in range(len(text.headings))],
            usecols=wanted,
            index_col=False,
            skiprows=text.header_line,
            skip_blank_lines=False,
            na_values=description.missing,
            skipinitialspace=True,
            encoding="utf-8",
            encoding_errors="replace",
            **dated,
        )
    return frame


# --- Parquet


def _parquet(content: bytes, description: ProbeFile) -> Table | Fault:
    try:
        import pyarrow as pa
        import pyarrow.parquet as pq
    except ImportError:
        hint = "Install it: pip install 'journal-tools[probes]', or save the file as CSV."
        return Fault("probe-needs-reader", "Parquet files need the package pyarrow.", hint)
    try:
        file = pq.ParquetFile(pa.BufferReader(content))
        wanted, faults = _lacking(list(file.schema_arrow.names), description, 0)
        if description.time.column not in wanted:
            return faults[0]
        if file.metadata.num_rows > MAX_ROWS:
            return _too_large(f"{MAX_ROWS:,} rows")
        table = file.read(columns=wanted)
        columns = {heading: table.column(heading).to_pandas() for heading in wanted}
    except (pa.ArrowException, OSError, KeyError, ValueError):
        hint = "Export it again from the device, or check the download."
        return Fault("probe-damaged", "The file is not a whole Parquet file.", hint)
    if not table.num_rows:
        hint = "Export it again from the device."
        return Fault("probe-empty", "The file has columns but no rows.", hint)
    return Table(columns, None, faults)
