"""The tests of some entries as a table that survives as plain text."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from journal_tools.pages.site import Site
from journal_tools.parameters import Parameter
from journal_tools.sharing.blocks import aligned
from journal_tools.sharing.selection import Selection
from journal_tools.words import number_text, reading_text

COLUMNS = 60
"""Most letters of a line: what a forum's code box shows on a phone held sideways."""

_HEADINGS = ["", "Last", "Range", "n", "Target"]


def chosen_readings(site: Site, selection: Selection, parameter: Parameter) -> pd.DataFrame:
    """Give the readings of a parameter that the chosen entries hold, in the units shown."""
    readings = site.shown_tables.readings_of(parameter.name)
    return readings[readings["entry"].isin([entry.id for entry in selection.entries])]


def summary_lines(site: Site, selection: Selection) -> list[str]:
    """Give the table: last reading, range, number of tests and target of each parameter.

    Args:
        site: The journal.
        selection: The entries.

    Returns:
        Lines of at most :data:`COLUMNS` letters, the first two of them its head; none without
        tests.
    """
    rows = list(_rows(site, selection))
    if not rows:
        return []
    with_targets = [_HEADINGS, *rows]
    if not any(row[4] for row in rows) or _width(with_targets) > COLUMNS:
        with_targets = [row[:4] for row in with_targets]
    return aligned(with_targets, COLUMNS)


def _rows(site: Site, selection: Selection) -> Iterator[list[str]]:
    for parameter in site.tested:
        readings = chosen_readings(site, selection, parameter)
        if readings.empty:
            continue
        last = readings.iloc[-1]
        shown = reading_text(float(last["value"]), parameter, str(last["censored"]))
        number = shown.removesuffix(f" {parameter.unit}")
        band = site.shown_tables.band(parameter.name, selection.last)
        ends = (band.low, band.high) if band else (None, None)
        unit = "" if parameter.unit in ("pH", *parameter.label.split()) else f", {parameter.unit}"
        cells = [f"{parameter.label}{unit}", number, _range(readings, parameter),
                 str(len(readings)), _band(ends, parameter)]  # fmt: skip
        yield [_typewriter(cell) for cell in cells]


def _range(readings: pd.DataFrame, parameter: Parameter) -> str:
    """Give the lowest and highest reading; nothing where a test could not say one of them."""
    if len(readings) < 2 or (readings["censored"] != "").any():
        return ""
    low, high = float(readings["value"].min()), float(readings["value"].max())
    return f"{number_text(low, parameter.decimals)}-{number_text(high, parameter.decimals)}"


def _band(ends: tuple[float | None, float | None], parameter: Parameter) -> str:
    low, high = ("" if end is None else number_text(end, parameter.decimals) for end in ends)
    if low and high:
        return f"{low}-{high}"
    return f">{low}" if low else f"<{high}" if high else ""


def _typewriter(text: str) -> str:
    """Give a text in signs that are one column wide in every font of one width."""
    return text.replace("\u202f", "").replace("\u2212", "-").replace("< ", "<").replace("> ", ">")


def _width(rows: list[list[str]]) -> int:
    """Give the width of a table whose first column is cut to a readable length."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return min(widths[0], 24) + sum(widths[1:]) + 2 * (len(widths) - 1)
