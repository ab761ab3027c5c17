"""Facts on their way into the log, and how one is known again that the log has already."""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from journal_tools.journal import Journal
from journal_tools.names import name_key
from journal_tools.quantities import BareUnits
from journal_tools.rows import journal_rows
from journal_tools.units import DIMENSIONS

Key = tuple[str, ...]
"""What makes a fact the same one: its table, its moment and its values."""

_SAME: dict[str, tuple[str, ...]] = {
    "readings": ("parameter", "shown", "censored"),
    "calibrations": ("instrument", "parameter", "standard", "shown", "millivolts"),
    "doses": ("product", "amount", "unit", "scheduled"),
    "water_changes": ("volume_l",),
    "top_offs": ("volume_l", "product"),
    "livestock": ("event", "name", "count", "length_cm"),
    "equipment": ("event", "name", "detail"),
    "costs": ("what", "category", "amount"),
    "upkeep": ("task",),
    "feedings": ("what", "amount_g"),
    "photos": ("file",),
    "notes": ("text",),
    "title": ("text",),
}
"""Columns by which a fact of each table is known again."""

_NAMES = frozenset({"product", "name", "task", "instrument"})
SECTION_OF_TABLE = {
    "readings": "readings", "calibrations": "calibrations", "doses": "doses",
    "water_changes": "water_change",
    "top_offs": "top_off", "livestock": "livestock", "equipment": "equipment", "costs": "costs",
    "upkeep": "upkeep", "feedings": "feed", "photos": "photos", "notes": "notes",
    "title": "title",
}  # fmt: skip
"""Key of an entry under which the facts of each table stand."""

OWN_TIME = frozenset({"readings", "calibrations", "doses", "water_change"})
"""Sections whose items may carry a time of their own."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing to be written.

    Attributes:
        section: Key of the entry under which it stands.
        moment: When, in the keeper's time zone.
        item: What is written there; of a reading without its parameter.
        name: Parameter of a reading.
        entry: Id of the entry that it came from, or ``""``.
        row: Row of the file, from 1.
    """

    section: str
    moment: dt.datetime
    item: Any
    name: str = ""
    entry: str = ""
    row: int = 0


def fact_key(table: str, moment: dt.datetime, values: Mapping[str, Any]) -> Key:
    """Give what makes a fact the same one wherever it is written.

    Args:
        table: Name of its table.
        moment: When, with its time zone.
        values: The columns of its row, in canonical units.
    """
    utc = moment.astimezone(dt.UTC)
    same = (_settled(column, values.get(column)) for column in _SAME[table])
    return table, f"{utc:%Y-%m-%dT%H:%M}", *same


def _settled(column: str, value: Any) -> str:
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return str(value)
    if isinstance(value, int | float):
        # The published files hold ten digits.
        return "" if math.isnan(value) else f"{float(value):.10g}"
    return name_key(value) if column in _NAMES else str(value).strip()


def known_facts(journal: Journal, *, of_profile: bool = False) -> Counter[Key]:
    """Count every fact that the entries of a journal tell, or that its profile tells."""
    rows = journal_rows(journal)
    known = Counter(
        fact_key(table, row["time"], row)
        for table in _SAME.keys() & rows.keys()
        for row in rows[table]
        if (row["entry"] == "") is of_profile
    )
    if of_profile:
        return known
    for entry in journal.entries:
        for table in ("notes", "title"):
            if text := getattr(entry.record, table):
                # Notes of several rows stand in one entry, one paragraph after another.
                parts = Counter(text.split("\n\n")) | Counter([text])
                for part, times in parts.items():
                    known[fact_key(table, entry.time, {"text": part})] += times
    return known


def written_quantity(number: str, unit: str, dimension: str, bare_unit: str) -> str | float:
    """Give a number as an entry holds it: with its unit, unless the journal counts in that.

    Args:
        number: The number as text, with a sign such as ``<`` if it is a limit.
        unit: Its unit; empty for the journal's.
        dimension: Kind of quantity.
        bare_unit: The journal's unit.

    >>> written_quantity("8.2", "dKH", "alkalinity", "dKH")
    8.2
    >>> written_quantity("<2.9", "meq/L", "alkalinity", "dKH")
    '<2.9 meq/L'
    """
    known = DIMENSIONS[dimension]
    if unit and known.find(unit) is not None:
        unit = known.written_as(unit)
        if unit != known.written_as(bare_unit):
            return f"{number} {unit}"
    elif unit:
        return f"{number} {unit}"
    try:
        value = float(number)
    except ValueError:
        return number
    return int(value) if value.is_integer() and abs(value) < 1e15 else value


def volume_written(number: str, unit: str, units: BareUnits) -> str | float:
    """Give a volume of water as an entry holds it."""
    return written_quantity(number, unit, "volume", units.of_dimension("volume", "L", "gal"))
