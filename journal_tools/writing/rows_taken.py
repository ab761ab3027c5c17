"""From the rows of a table to facts, with what could not be taken and why."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from journal_tools.kinds import FIRST_YEAR
from journal_tools.names import name_key
from journal_tools.parameters import Parameter
from journal_tools.problems import excerpt
from journal_tools.profile import Profile
from journal_tools.quantities import ReadingOf
from journal_tools.units import DIMENSIONS, Quantity, QuantityError, parse_quantity
from journal_tools.writing.cells import (
    CellError,
    Decimal,
    Order,
    cell_text,
    day_of,
    is_blank,
    plain_numbers,
    time_of,
)
from journal_tools.writing.columns import Column, Layout, Target
from journal_tools.writing.facts import Fact, Key, fact_key, volume_written, written_quantity
from journal_tools.writing.parameter_words import parameter_called
from journal_tools.writing.spreadsheet import Cell


@dataclass(frozen=True, slots=True)
class Untaken:
    """A cell that could not be taken: where, why, and what to write instead."""

    row: int
    column: str
    what: str
    hint: str

    def __str__(self) -> str:
        """Give it as one line for the keeper."""
        where = f"Row {self.row}, column {self.column}" if self.column else f"Row {self.row}"
        return f"{where}: {self.what} {self.hint}".rstrip()


@dataclass(frozen=True)
class Rules:
    """How cells are to be read.

    Attributes:
        profile: The tank, for its units, supplements and time zone.
        today: The last day that can be taken.
        order: Order of day and month.
        decimal: Decimal sign.
    """

    profile: Profile
    today: dt.date
    order: Order = ""
    decimal: Decimal = ""

    @property
    def zone(self) -> ZoneInfo:
        """The keeper's time zone."""
        return self.profile.zone


@dataclass(frozen=True, slots=True)
class TakenRow:
    """What one row gave.

    Attributes:
        number: The row as a spreadsheet program counts it.
        trace: A short hash of the cells that were looked at and of what they mean.
        facts: Facts with what makes each the same one.
        untaken: Cells that could not be taken.
    """

    number: int
    trace: str
    facts: tuple[tuple[Key, Fact], ...]
    untaken: tuple[Untaken, ...]


def take_rows(layout: Layout, rules: Rules) -> Iterator[TakenRow]:
    """Give what each row of a table says; rows without anything in a known column are passed over.

    Args:
        layout: Where the table is and what its columns mean.
        rules: How cells are to be read.
    """
    columns = [c for c in layout.columns if c.target and c.target.kind != "ignore"]
    for number, row in enumerate(layout.sheet.rows[layout.first - 1 :], layout.first):
        cells = [(c, row[c.index]) for c in columns if c.index < len(row)]
        filled = [(c, cell) for c, cell in cells if not is_blank(cell)]
        if any(c.target and c.target.kind not in ("date", "time", "unit") for c, _ in filled):
            yield _Row(number, filled, rules).taken()


def row_trace(cells: list[tuple[str, str]]) -> str:
    """Give a hash of cells with their meanings, short enough to keep thousands.

    Source: SHA-256, FIPS 180-4, cut to 48 bits.
    """
    text = json.dumps(cells, ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:12]


class _Row:
    """One row on its way to facts."""

    def __init__(self, number: int, cells: list[tuple[Column, Cell]], rules: Rules) -> None:
        self.number, self.cells, self.rules = number, cells, rules
        self.untaken: list[Untaken] = []

    def taken(self) -> TakenRow:
        facts: list[tuple[Key, Fact]] = []
        moment = self._moment()
        for column, cell in self.cells if moment else ():
            assert moment is not None and column.target is not None
            try:
                facts += self._facts(column.target, cell, moment)
            except CellError as error:
                self._refuse(column, error)
        trace = row_trace([(str(c.target), cell_text(cell)) for c, cell in self.cells])
        return TakenRow(self.number, trace, tuple(facts), tuple(self.untaken))

    def _refuse(self, column: Column | None, error: CellError) -> None:
        called = f"{column.letter} ({column.heading})" if column and column.heading else (
            column.letter if column else ""
        )  # fmt: skip
        self.untaken.append(Untaken(self.number, called, error.what, error.hint))

    def _cell(self, kind: str) -> tuple[Column, Cell] | None:
        found = ((c, cell) for c, cell in self.cells if c.target and c.target.kind == kind)
        return next(found, None)

    # --- When ---------------------------------------------------------------------------------

    def _moment(self) -> dt.datetime | None:
        dated, timed = self._cell("date"), self._cell("time")
        if dated is None:
            hint = "Write the day into every row."
            self._refuse(None, CellError("The row has no date.", hint))
            return None
        try:
            moment, has_time = day_of(dated[1], self.rules.order)
        except CellError as error:
            self._refuse(dated[0], error)
            return None
        if timed and not (has_time and not _says_midday(timed[1])):
            try:
                moment = dt.datetime.combine(moment.date(), time_of(timed[1]))
                has_time = True
            except CellError as error:
                self._refuse(timed[0], error)
                return None
        return self._possible(moment, dated[0], has_time=has_time)

    def _possible(
        self, moment: dt.datetime, column: Column, *, has_time: bool
    ) -> dt.datetime | None:
        if not has_time:
            moment = moment.replace(hour=12, minute=0)
        moment = moment.replace(second=0, microsecond=0)
        zone = self.rules.zone
        local = moment.astimezone(zone) if moment.tzinfo else moment.replace(tzinfo=zone)
        if local.date() > self.rules.today:
            what, hint = f"The day {local.date()} is still to come.", "Correct the date."
        elif local.year < FIRST_YEAR:
            what, hint = f"The day {local.date()} is too long ago.", "Correct the date."
        else:
            return local
        self._refuse(column, CellError(what, hint))
        return None

    # --- What ---------------------------------------------------------------------------------

    def _facts(self, target: Target, cell: Cell, moment: dt.datetime) -> Iterator[tuple[Key, Fact]]:
        kind = target.kind
        if target.parameter:
            yield self._reading(target.parameter, target.unit, cell, moment)
        elif kind == "value":
            yield self._reading(*self._named_parameter(), cell, moment)
        elif kind in ("water change", "top-off"):
            yield from self._water(kind, target.unit, cell, moment)
        elif kind == "dose":
            yield from self._dose(target, cell, moment)
        elif kind == "feed":
            text = _text(cell)
            key = fact_key("feedings", moment, {"what": text})
            yield key, Fact("feed", moment, text, row=self.number)
        elif kind in ("notes", "title"):
            text = str(cell).strip() if kind == "notes" else _text(cell)
            yield (
                fact_key(kind, moment, {"text": text}),
                Fact(kind, moment, text, row=self.number),
            )

    def _named_parameter(self) -> tuple[Parameter, str]:
        """Give the parameter and the unit that stand in columns of their own."""
        named, unit = self._cell("parameter"), self._cell("unit")
        found = parameter_called(cell_text(named[1])) if named else None
        if found is None:
            called = excerpt(cell_text(named[1])) if named else ""
            what = f"'{called}' is no name of a reading." if named else "The reading has no name."
            raise CellError(what, "Write for example alkalinity, calcium or nitrate.")
        return found[0], cell_text(unit[1]) if unit else found[1]

    def _reading(
        self, parameter: Parameter, unit: str, cell: Cell, moment: dt.datetime
    ) -> tuple[Key, Fact]:
        number, quantity = reading_in(parameter, unit, cell, self.rules)
        bare = self.rules.profile.bare_units.of_parameter(parameter)
        written = written_quantity(number, unit if quantity.bare_unit else "",
                                   parameter.dimension, bare)  # fmt: skip
        values = {"parameter": parameter.name, "shown": quantity.value,
                  "censored": quantity.censored}  # fmt: skip
        fact = Fact("readings", moment, written, parameter.name, row=self.number)
        return fact_key("readings", moment, values), fact

    def _water(
        self, kind: str, unit: str, cell: Cell, moment: dt.datetime
    ) -> Iterator[tuple[Key, Fact]]:
        units = self.rules.profile.bare_units
        bare = unit or units.of_dimension("volume", "L", "gal")
        number, volume = _measured(cell, "volume", bare, self.rules.decimal, 1e6)
        if volume.value == 0:
            return
        table, section = (
            ("water_changes", "water_change") if kind == "water change" else ("top_offs", "top_off")
        )
        written = volume_written(number, unit if volume.bare_unit else "", units)
        key = fact_key(table, moment, {"volume_l": volume.value})
        yield key, Fact(section, moment, written, row=self.number)

    def _dose(self, target: Target, cell: Cell, moment: dt.datetime) -> Iterator[tuple[Key, Fact]]:
        unit = target.unit or "ml"
        in_grams = DIMENSIONS["mass"].find(unit) is not None
        dimension, most = ("mass", 1e6) if in_grams else ("volume", 1e3)
        number, amount = _measured(cell, dimension, unit, self.rules.decimal, most)
        if amount.value == 0:
            return
        size = amount.value if in_grams else amount.value * 1000
        values = {"product": target.name, "amount": size, "unit": "g" if in_grams else "ml",
                  "scheduled": False}  # fmt: skip
        written = f"{number} {unit}" if amount.bare_unit else number
        item = {"what": target.name, "amount": written}
        yield fact_key("doses", moment, values), Fact("doses", moment, item, row=self.number)


def reading_in(parameter: Parameter, unit: str, cell: Cell, rules: Rules) -> tuple[str, Quantity]:
    """Give the number (and unit, if the cell has one) and the quantity of a reading.

    Args:
        parameter: What was tested.
        unit: Unit of a number without one; empty for the journal's.
        cell: What the test gave.
        rules: Decimal sign and the journal's units.

    Raises:
        CellError: If it is no number, or cannot be.
    """
    bare = unit or rules.profile.bare_units.of_parameter(parameter)
    low, high = parameter.possible
    refused = None
    for text in plain_numbers(cell, rules.decimal):
        try:
            quantity = parse_quantity(text, DIMENSIONS[parameter.dimension], bare)
        except QuantityError as error:
            raise CellError(error.what, error.hint) from error
        if low <= quantity.value <= high:
            return text, quantity
        refused = refused or CellError(
            f"{parameter.label} of '{excerpt(cell_text(cell))}' is outside what can be "
            f"({low:.10g} to {high:.10g} {parameter.unit}).",
            "Check the unit of the column and the decimal point."
            if unit else ReadingOf(parameter.name).unit_hint(text),
        )  # fmt: skip
    assert refused is not None, "there is one number at least"
    raise refused


def _measured(
    cell: Cell, dimension: str, bare: str, decimal: Decimal, most: float
) -> tuple[str, Quantity]:
    # Of two ways to read a number the first one counts: amounts have no limits that tell.
    text = plain_numbers(cell, decimal)[0]
    try:
        quantity = parse_quantity(text, DIMENSIONS[dimension], bare)
    except QuantityError as error:
        raise CellError(error.what, error.hint) from error
    if quantity.censored or not 0 <= quantity.value < most:
        what = f"'{excerpt(cell_text(cell))}' is no amount that can be."
        raise CellError(what, "Write the amount as a number, with its unit if need be.")
    return text, quantity


def _text(cell: Cell) -> str:
    text = " ".join(cell_text(cell).split())
    if len(text) > 200:
        raise CellError("The text is longer than 200 characters.", "Put it into a notes column.")
    return text


def _says_midday(cell: Cell) -> bool:
    """Tell whether a time column adds something to a date that has a time of its own."""
    return not (isinstance(cell, str) and name_key(cell) == "")
