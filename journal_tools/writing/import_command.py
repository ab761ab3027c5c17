"""What ``journal-tools import`` does: a file read, shown, asked about and written as entries."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import cast

import typer

from journal_tools.journal import Journal
from journal_tools.words import counted
from journal_tools.writing import asking
from journal_tools.writing.asking import say, shown, usable_journal, write_all
from journal_tools.writing.cells import CellError, Decimal, Order, cell_text
from journal_tools.writing.columns import Column, Layout, Target, find_layout, told_target
from journal_tools.writing.data_folder import published_tables
from journal_tools.writing.facts import Fact
from journal_tools.writing.importing import (
    Outcome,
    Question,
    all_changes,
    data_outcome,
    questions,
    rules_of,
    table_outcome,
)
from journal_tools.writing.phone import is_parcel
from journal_tools.writing.phone_command import import_parcel
from journal_tools.writing.remembered import Remembered, recall
from journal_tools.writing.rows_taken import Rules
from journal_tools.writing.spreadsheet import Sheet, Unreadable, read_sheets
from journal_tools.writing.trial import new_problems

_ORDERS = {"dmy": "day first", "mdy": "month first", "ymd": "year first"}


@dataclass(frozen=True)
class Told:
    """What the command line says of a file.

    Attributes:
        columns: Columns, each as ``Heading=target``.
        order: Order of day and month.
        decimal: Decimal sign.
        sheet: Name of the sheet.
    """

    columns: tuple[str, ...] = ()
    order: str = ""
    decimal: str = ""
    sheet: str = ""


def import_file(folder: Path, file: Path, told: Told, *, yes: bool) -> int:
    """Import a table, a site's data folder or what the phone form gave; give the exit code.

    Args:
        folder: Folder of the journal, with ``tank.yml``.
        file: The file, or the ``data`` folder of a site.
        told: What the command line says of it.
        yes: Do not ask.
    """
    if is_parcel(file):
        return import_parcel(folder, file, yes=yes)
    journal = usable_journal(folder)
    if journal is None:
        return 1
    remembered, problems = recall(journal, file.name)
    if problems:
        say(problems)
        return 1
    if published_tables(file):
        outcome = data_outcome(file, journal, remembered.taken)
        typer.echo(f"{file.name}: the data of a site, {counted(outcome.rows, 'row')}")
        return _finish(journal, outcome, remembered, yes=yes)
    if file.is_dir():
        say([f"'{file}' is a folder without the tables of a site (readings.csv, doses.csv, …)."])
        return 2
    return _import_table(journal, file, told, remembered, yes=yes)


def _import_table(
    journal: Journal, file: Path, told: Told, remembered: Remembered, *, yes: bool
) -> int:
    sheets = read_sheets(file)
    if isinstance(sheets, Unreadable):
        say([f"{file.name}: {sheets}"])
        return 2
    supplements = [supplement.name for supplement in journal.profile.supplements]
    try:
        columns = _told_columns(remembered, told, supplements)
        layout = _layout(sheets, told.sheet or remembered.sheet, columns, supplements)
        _all_there(layout, told.columns)
    except CellError as error:
        say([f"{file.name}: {error}"])
        return 2
    order, decimal = told.order or remembered.date_order, told.decimal or remembered.decimal
    rules = rules_of(layout, journal.profile, journal.today,
                     cast("Order", order), cast("Decimal", decimal))  # fmt: skip
    layout, rules, open_questions = _answered(layout, rules, supplements)
    _show_mapping(file, layout, rules)
    if open_questions:
        say([f"{question.what} Add: {question.option}" for question in open_questions])
        say(["Nothing was written."])
        return 2
    outcome = table_outcome(layout, rules, journal, remembered.taken)
    return _finish(journal, outcome, _new_record(remembered, layout, rules), yes=yes)


def _told_columns(
    remembered: Remembered, told: Told, supplements: Sequence[str]
) -> dict[str, Target]:
    """Give what is known of columns; the command line outdoes what is remembered."""
    columns = {name: told_target(words, supplements) for name, words in remembered.columns.items()}
    for option in told.columns:
        name, words = _column_name(option), option.rpartition("=")[2]
        if not name:
            raise CellError(f"'{option}' names no column.", 'Write --map "KH=alkalinity dKH".')
        # First in the mapping: of two names of one column, the first one counts.
        columns = {name: told_target(words, supplements)} | {
            known: target for known, target in columns.items() if known != name
        }
    return columns


def _layout(
    sheets: Sequence[Sheet], wanted: str, columns: dict[str, Target], supplements: Sequence[str]
) -> Layout:
    if wanted:
        named = [sheet for sheet in sheets if sheet.name == wanted]
        if not named:
            names = ", ".join(sheet.name for sheet in sheets)
            raise CellError(f"There is no sheet '{wanted}'.", f"There is: {names}.")
        sheets = named
    found = [lay for s in sheets if (lay := find_layout(s, supplements, columns)) is not None]
    if not found:
        what = "No row looks like headings with a date and a reading."
        hint = 'Name the columns: --map "A=date" --map "B=alkalinity dKH".'
        raise CellError(what, hint)
    if len(found) > 1:
        names = ", ".join(f"'{layout.sheet.name}'" for layout in found)
        raise CellError(f"Several sheets hold readings: {names}.", "Name one: --sheet NAME.")
    return found[0]


def _column_name(option: str) -> str:
    return option.rpartition("=")[0].strip()


def _all_there(layout: Layout, options: Iterable[str]) -> None:
    for name in map(_column_name, options):
        if not any(column.is_called(name) for column in layout.columns):
            names = ", ".join(column.called for column in layout.columns if column.heading)
            raise CellError(f"There is no column '{name}'.", f"There is: {names}.")


# --- Questions --------------------------------------------------------------------------------


def _answered(
    layout: Layout, rules: Rules, supplements: Sequence[str]
) -> tuple[Layout, Rules, list[Question]]:
    """Ask what must not be guessed, if somebody is there; give what is left to be asked."""
    asked: set[str] = set()
    while True:
        left = questions(layout, rules)
        waiting = [question for question in left if question.about not in asked]
        if not waiting or not asking.is_terminal():
            return layout, rules, left
        question = waiting[0]
        asked.add(question.about)
        answer = typer.prompt(
            f"{question.what} ({' / '.join(question.choices)})", default=question.choices[0]
        )
        layout, rules = _with_answer(layout, rules, question, answer.strip(), supplements)


def _with_answer(
    layout: Layout, rules: Rules, question: Question, answer: str, supplements: Sequence[str]
) -> tuple[Layout, Rules]:
    if question.about in ("order", "decimal"):
        if answer not in question.choices:
            return layout, rules
        if question.about == "order":
            return layout, replace(rules, order=cast("Order", answer))
        return layout, replace(rules, decimal=cast("Decimal", answer))
    try:
        target = told_target(answer, supplements)
    except CellError as error:
        say([error])
        return layout, rules
    columns = tuple(
        replace(column, target=target) if column.called == question.about else column
        for column in layout.columns
    )
    return replace(layout, columns=columns), rules


# --- What is shown ----------------------------------------------------------------------------


def _show_mapping(file: Path, layout: Layout, rules: Rules) -> None:
    sheet = f", sheet '{layout.sheet.name}'" if layout.sheet.name else ""
    typer.echo(f"{file.name}{sheet}, headings in row {layout.header}")
    for column in layout.columns:
        examples = [" ".join(cell_text(cell).split())[:24]
                    for cell, _ in zip(layout.cells(column), range(3), strict=False)]  # fmt: skip
        if column.heading or column.target:
            meaning = _meaning(column, rules)
            typer.echo(
                f"  {column.letter:<2} {column.heading[:24]:<24} → {meaning:<34} "
                f"{', '.join(examples)}".rstrip()
            )


def _meaning(column: Column, rules: Rules) -> str:
    target = column.target
    if target is None or target.kind == "ignore":
        return "not taken"
    if target.kind == "date" and rules.order:
        return f"date ({_ORDERS[rules.order]})"
    if target.parameter and not target.unit:
        unit = rules.profile.bare_units.of_parameter(target.parameter)
        no_unit = "" if unit == "pH" else f" {unit}, the journal's unit"
        return f"{target.name}{no_unit}"
    if target.kind in ("water change", "top-off") and not target.unit:
        unit = rules.profile.bare_units.of_dimension("volume", "L", "gal")
        return f"{target} {unit}, the journal's unit"
    return f"{target} ml" if target.kind == "dose" and not target.unit else str(target)


def _new_record(remembered: Remembered, layout: Layout, rules: Rules) -> Remembered:
    columns = {
        column.called: str(column.target)
        for column in layout.columns
        if column.target is not None and not column.target.doubt
    }
    return replace(
        remembered, sheet=layout.sheet.name, columns=columns, date_order=rules.order,
        decimal=rules.decimal,
    )  # fmt: skip


def _finish(journal: Journal, outcome: Outcome, record: Remembered, *, yes: bool) -> int:
    """Show what would be written, ask, write, and tell what could not be taken."""
    say(_some(outcome.untaken))
    changes = all_changes(outcome, journal, record)
    entries = {c.path: c.after for c in changes if c.path.is_relative_to(journal.folder / "log")}
    say(shown(new_problems(journal, entries)))
    for line in _summary(outcome, len(entries)):
        typer.echo(line)
    if not outcome.facts:
        typer.echo("There is nothing new to write.")
        return 1 if outcome.untaken else 0
    refused = asking.may_write(yes=yes)
    if refused is not None:
        return refused
    return write_all(journal, changes, quiet=len(changes) > 12) or (1 if outcome.untaken else 0)


def _some(untaken: Iterable[object], longest: int = 50) -> list[object]:
    lines = list(untaken)
    more = len(lines) - longest
    return [*lines[:longest], f"… and {more} more rows like these."] if more > 0 else lines


def _summary(outcome: Outcome, entries: int) -> list[str]:
    counts = Counter(fact.section for fact in outcome.facts)
    told = ", ".join(counted(count, _NOUNS[section]) for section, count in counts.items())
    known = counted(outcome.known, "fact")
    lines = [f"{counted(outcome.rows, 'row')}, {known} that the journal has already."]
    if outcome.facts:
        lines += [f"New: {told}, in {counted(entries, 'entry', 'entries')}. The first ones:"]
        lines += [f"  {_fact_words(fact)}" for fact in outcome.facts[:3]]
    return [*lines, *outcome.remarks]


_NOUNS = {
    "readings": "reading",
    "calibrations": "calibration", "doses": "dose", "dosing_plan": "dosing plan",
    "water_change": "water change", "top_off": "top-off", "livestock": "livestock event",
    "equipment": "equipment event", "upkeep": "upkeep task", "feed": "feeding",
    "costs": "cost", "photos": "photo", "notes": "note", "title": "title",
}  # fmt: skip


def _fact_words(fact: Fact) -> str:
    item = fact.item
    said = ", ".join(f"{k} {v}" for k, v in item.items()) if isinstance(item, dict) else str(item)
    what = fact.name or fact.section.replace("_", " ")
    return f"{fact.moment:%Y-%m-%d %H:%M}  {what}: {said[:60]}"
