"""An import worked out: what a file says, what of it is new, and the entries that come of it."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from journal_tools.journal import Journal
from journal_tools.photos import Fault, find
from journal_tools.profile import Profile
from journal_tools.writing.cells import (
    CellError,
    Decimal,
    Order,
    cell_text,
    date_order,
    decimal_sign,
    plain_numbers,
)
from journal_tools.writing.columns import Column, Layout, Target
from journal_tools.writing.data_folder import DataRow, data_facts, published_tables, read_table
from journal_tools.writing.entry_file import FileChange, new_file_name, schema_line, taken_names
from journal_tools.writing.facts import OWN_TIME, Fact, Key, known_facts
from journal_tools.writing.remembered import Remembered, record_change, with_rows
from journal_tools.writing.rows_taken import Rules, TakenRow, Untaken, reading_in, take_rows
from journal_tools.writing.spreadsheet import Cell
from journal_tools.writing.understood import Fragment, merge
from journal_tools.writing.yaml_text import entry_text


@dataclass(frozen=True)
class Outcome:
    """What an import would do.

    Attributes:
        facts: New facts by time.
        untaken: Cells that could not be taken.
        rows: How many rows say something.
        known: How many facts the journal has already.
        traces: Traces of the rows that were taken whole.
        remarks: What the keeper should know besides.
    """

    facts: tuple[Fact, ...]
    untaken: tuple[Untaken, ...]
    rows: int
    known: int
    traces: tuple[str, ...]
    remarks: tuple[str, ...] = ()


# --- Doubts -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Question:
    """Something that the file does not tell and that must not be guessed.

    Attributes:
        about: ``order``, ``decimal``, or the heading of a column.
        what: The question.
        choices: Answers that make sense; the first one is a proposal.
        option: What to write on the command line to answer it.
    """

    about: str
    what: str
    choices: tuple[str, ...]
    option: str


def questions(layout: Layout, rules: Rules) -> list[Question]:
    """Give what must be asked before rows can be taken, each thing once."""
    once: dict[str, Question] = {}
    for question in _questions(layout, rules):
        once.setdefault(question.about, question)
    return list(once.values())


def _questions(layout: Layout, rules: Rules) -> Iterator[Question]:
    dated = layout.of_kind("date")
    if dated and not rules.order and date_order(layout.cells(dated)) == "":
        example = next((cell_text(c) for c in layout.cells(dated) if date_order([c]) == ""), "")
        what = f"Is '{example or 'a date'}' in column '{dated.called}' day or month first?"
        yield Question("order", what, ("dmy", "mdy"), "--date-order dmy (or mdy)")
    for column in layout.columns:
        if column.target and column.target.doubt:
            yield _unknown_unit(column)
        elif column.target and column.target.parameter:
            yield from _doubtful_numbers(column, layout, rules)


def _unknown_unit(column: Column) -> Question:
    target = column.target
    assert target is not None
    what = f"The unit '{target.doubt}' of column '{column.called}' is not known here."
    bare = replace(target, doubt="")
    known = f"{bare} {target.parameter.unit}" if target.parameter else f"{bare} ml"
    option = f'--map "{column.called}={known}" (or another unit, or ignore)'
    return Question(column.called, what, (known, "ignore"), option)


def _doubtful_numbers(column: Column, layout: Layout, rules: Rules) -> Iterator[Question]:
    """Ask for the decimal sign where it changes a value, and for a unit that hardly can be."""
    target = column.target
    assert target is not None and target.parameter is not None
    parameter, cells = target.parameter, list(layout.cells(column))
    if not rules.decimal and (
        cell := next((c for c in cells if _two_ways(c, target, rules)), None)
    ):
        text = cell_text(cell)
        what = f"Is the comma or the point in '{text}' (column '{column.called}') a decimal sign?"
        yield Question("decimal", what, (",", "."), '--decimal "," (or ".")')
    if target.unit or not cells:
        return
    values = [_value(cell, target, rules) for cell in cells[:500]]
    outside = [cell for cell, value in zip(cells, values, strict=False) if value is None]
    hints = {_other_unit(cell, target, rules) for cell in outside} - {""}
    if len(outside) > len(values) / 2 and len(hints) == 1:
        unit = hints.pop()
        what = (
            f"'{cell_text(outside[0])}' in column '{column.called}' cannot be {parameter.label} "
            f"in {rules.profile.bare_units.of_parameter(parameter)}. In which unit is it?"
        )
        choices = (f"{parameter.name} {unit}", "ignore")
        yield Question(column.called, what, choices, f'--map "{column.called}={choices[0]}"')


def _two_ways(cell: Cell, target: Target, rules: Rules) -> bool:
    try:
        texts = plain_numbers(cell, "")
    except CellError:
        return False
    assert target.parameter is not None
    return len(texts) > 1 and all(
        _value(text, target, replace(rules, decimal=".")) is not None for text in texts
    )


def _value(cell: Cell, target: Target, rules: Rules) -> float | None:
    assert target.parameter is not None
    try:
        return reading_in(target.parameter, target.unit, cell, rules)[1].value
    except CellError:
        return None


_UNITS_LEFT_OUT = ("SG", "mS/cm", "F", "mg/L CaCO3", "meq/L", "ppb")


def _other_unit(cell: Cell, target: Target, rules: Rules) -> str:
    """Give the unit in which a number would be a usual value of its parameter, or nothing."""
    assert target.parameter is not None
    low, high = target.parameter.usual or target.parameter.possible
    for unit in _UNITS_LEFT_OUT:
        value = _value(cell, replace(target, unit=unit), rules)
        if value is not None and (low or 0) * 0.7 <= value <= (high or float("inf")) * 1.4:
            return unit
    return ""


def rules_of(
    layout: Layout, profile: Profile, today: dt.date, order: Order = "", decimal: Decimal = ""
) -> Rules:
    """Give how the cells of a table are to be read, from what is told and from what they show."""
    dated = layout.of_kind("date")
    shown = date_order(layout.cells(dated)) if dated else None
    if not decimal:
        measured = [c for c in layout.columns if c.target and c.target.kind not in _NOT_NUMBERS]
        decimal = decimal_sign(cell for column in measured for cell in layout.cells(column))
    return Rules(profile, today, order or shown or "", decimal)


_NOT_NUMBERS = ("date", "time", "notes", "title", "feed", "parameter", "unit", "ignore")


# --- What is new ------------------------------------------------------------------------------


def table_outcome(layout: Layout, rules: Rules, journal: Journal, taken: Counter[str]) -> Outcome:
    """Give what the rows of a table add to a journal.

    Args:
        layout: The table.
        rules: How its cells are read.
        journal: The journal as it is.
        taken: Traces of rows that were taken before: they are not looked at again, whatever has
            become of their facts since.
    """
    rows = list(take_rows(layout, rules))
    left = Counter(taken)
    fresh: list[TakenRow] = []
    for row in rows:
        if left[row.trace] > 0:
            left[row.trace] -= 1
        else:
            fresh.append(row)
    new, known = _new_facts(((key, fact) for row in fresh for key, fact in row.facts), journal)
    whole = [row.trace for row in rows if not row.untaken]
    untaken = tuple(problem for row in fresh for problem in row.untaken)
    known += sum(len(row.facts) for row in rows) - sum(len(row.facts) for row in fresh)
    return Outcome(tuple(new), untaken, len(rows), known, tuple(whole))


def _new_facts(facts: Iterable[tuple[Key, Fact]], journal: Journal) -> tuple[list[Fact], int]:
    """Give the facts that the journal has not; a fact told twice is needed twice."""
    known = known_facts(journal)
    new, old = [], 0
    for key, fact in facts:
        if known[key] > 0:
            known[key] -= 1
            old += 1
        else:
            new.append(fact)
    return new, old


def data_outcome(path: Path, journal: Journal, taken: Counter[str]) -> Outcome:
    """Give what a site's data folder, or one table of it, adds to a journal."""
    profile, left, known = journal.profile, Counter(taken), known_facts(journal)
    register = known_facts(journal, of_profile=True)
    rows: list[DataRow] = []
    untaken: list[Untaken] = []
    traces: list[str] = []
    count = old = 0
    for table, file in published_tables(path).items():
        for row in read_table(table, file, profile):
            count += 1
            if isinstance(row, Untaken):
                untaken.append(row)
            elif (problem := _cannot_be(row, journal)) is not None:
                untaken.append(problem)
            else:
                traces.append(row.trace)
                if _is_known(row, left, known, register):
                    old += 1
                else:
                    rows.append(row)
    facts = tuple(data_facts(rows, profile))
    return Outcome(facts, tuple(untaken), count, old, tuple(traces), _remarks(path, rows))


def _remarks(path: Path, rows: Sequence[DataRow]) -> tuple[str, ...]:
    remarks = []
    if any(row.values.get("scheduled") for row in rows):
        remarks.append(
            "Dosing plans end on their last day in the data: where one goes on, remove 'until:'."
        )
    corrected = any(row.values.get("correction") for row in rows)
    if corrected and "calibrations" not in published_tables(path):
        remarks.append(
            "Readings that were corrected by what the data does not tell come in as their "
            "instrument showed them."
        )
    return tuple(remarks)


def _is_known(
    row: DataRow, left: Counter[str], known: Counter[Key], register: Counter[Key]
) -> bool:
    """Tell whether a row was taken before or is told in the journal, and count it as found.

    What an entry tells of a piece stands above what tank.yml tells of it.
    """
    found = left[row.trace] > 0
    left[row.trace] -= found
    for counted in (known, *([] if row.entry else [register])):
        if counted[row.key] > 0:
            counted[row.key] -= 1
            return True
    return found


def _cannot_be(row: DataRow, journal: Journal) -> Untaken | None:
    if row.moment.date() > journal.today:
        what = f"The day {row.moment.date()} of {row.table}.csv is still to come."
        return Untaken(row.number, "A (time)", what, "Import it when that day has come.")
    if row.table == "photos":
        found = find(journal.photo_folder, row.values["file"])
        if isinstance(found, Fault):
            what = f"The photo '{row.values['file']}' {found.what}"
            return Untaken(row.number, "B (file)", what, "Copy it there, and import again.")
    return None


# --- Entries ----------------------------------------------------------------------------------


def entry_changes(facts: Sequence[Fact], journal: Journal) -> list[FileChange]:
    """Give the new entry files that hold some facts; files that are there are not touched."""
    taken = taken_names(journal)
    changes = []
    for entry, day, clock, group in _grouped(facts):
        data = _entry_data(group, clock)
        stem = entry if entry.startswith(day.isoformat()) else ""
        name = new_file_name(journal, day, str(data.get("time", "")), stem, taken)
        path = journal.folder / name
        taken.add(path.stem.casefold())
        text = entry_text(data, schema_line(journal, path))
        changes.append(FileChange(path, None, text.encode()))
    return changes


def _grouped(
    facts: Sequence[Fact],
) -> Iterator[tuple[str, dt.date, dt.time, list[Fact]]]:
    """Group facts into entries: by the entry that they came from, else by day and time."""
    groups: dict[tuple[str, dt.date], list[Fact]] = {}
    for fact in sorted(facts, key=lambda fact: (fact.moment, fact.row)):
        groups.setdefault((fact.entry, fact.moment.date()), []).append(fact)
    for (entry, day), group in groups.items():
        timeless = [f for f in group if f.section not in (*OWN_TIME, "dosing_plan")]
        bound = dict.fromkeys(fact.moment.time() for fact in timeless)
        if entry and len(bound) < 2:
            told = [fact for fact in group if fact.section != "dosing_plan"] or group
            usual = Counter(fact.moment.time() for fact in told).most_common(1)[0][0]
            yield entry, day, next(iter(bound), usual), group
            continue
        for clock in dict.fromkeys(fact.moment.time() for fact in group):
            yield entry, day, clock, [f for f in group if f.moment.time() == clock]


def _entry_data(facts: Iterable[Fact], clock: dt.time) -> Fragment:
    noon = clock == dt.time(12)
    parts: list[Fragment] = [{}] if noon else [{"time": f"{clock:%H:%M}"}]
    for fact in facts:
        item = fact.item
        if fact.section in OWN_TIME and fact.moment.time() != clock:
            item = _with_time(fact.section, item, fact.moment.time())
        if fact.section == "readings":
            parts.append({"readings": {fact.name: item}})
        elif fact.section in ("notes", "title"):
            parts.append({fact.section: item})
        else:
            parts.append({fact.section: [item]})
    return merge(parts)


def _with_time(section: str, item: Any, clock: dt.time) -> dict[str, Any]:
    key = {"readings": "value", "water_change": "volume"}.get(section, "")
    whole = item if isinstance(item, dict) else {key: item}
    return {**whole, "time": f"{clock:%H:%M}"}


def all_changes(outcome: Outcome, journal: Journal, remembered: Remembered) -> list[FileChange]:
    """Give every file that an import writes: the entries first, then what is remembered."""
    record = replace(remembered, taken=with_rows(remembered.taken, outcome.traces))
    changes = entry_changes(outcome.facts, journal)
    kept = record_change(journal, record)
    return [*changes, kept] if kept.after != kept.before else changes
