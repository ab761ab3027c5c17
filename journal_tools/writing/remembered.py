"""What is remembered of an imported file, in ``imports/NAME.yml`` of the journal."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from journal_tools.journal import Journal
from journal_tools.names import name_key
from journal_tools.problems import Problem
from journal_tools.read import read_document
from journal_tools.writing.entry_file import FileChange
from journal_tools.writing.yaml_text import scalar

IMPORT_FOLDER = "imports"
_HEAD = """\
# How 'journal-tools import' reads this file; correct it here and import again.
#   file        name of the file
#   sheet       the sheet that was taken, of a spreadsheet
#   columns     what each column holds; 'ignore' leaves one out
#   date_order  dmy, mdy or ymd, where days are written as numbers
#   decimal     "." or ","
#   taken       a short trace of every row that is in the log, so that none comes in twice
"""
_KEYS = ("file", "sheet", "columns", "date_order", "decimal", "taken")


@dataclass(frozen=True)
class Remembered:
    """What is known of a file.

    Attributes:
        file: Its name.
        sheet: Name of the sheet, or ``""``.
        columns: What columns hold, by heading or letters.
        date_order: ``dmy``, ``mdy``, ``ymd`` or ``""``.
        decimal: ``.``, ``,`` or ``""``.
        taken: Traces of the rows that are in the log.
    """

    file: str
    sheet: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)
    date_order: str = ""
    decimal: str = ""
    taken: Counter[str] = field(default_factory=Counter)


def record_path(journal: Journal, file: str) -> Path:
    """Give the file in which an imported file is remembered."""
    name = re.sub(r"[^\w.-]+", "-", Path(file).stem.casefold()).strip("-.") or "table"
    return journal.folder / IMPORT_FOLDER / f"{name}.yml"


def recall(journal: Journal, file: str) -> tuple[Remembered, tuple[Problem, ...]]:
    """Give what is remembered of a file, and what is wrong with the record."""
    path = record_path(journal, file)
    if not path.is_file():
        return Remembered(file), ()
    name = path.relative_to(journal.folder).as_posix()
    document, problems = read_document(name, path.read_bytes())
    if document is None or not isinstance(document.data, dict):
        what, hint = "This is no record of an import.", "Delete it, and import again."
        return Remembered(file), (*problems, Problem(name, 0, 0, "bad-value", what, hint))
    data: dict[str, Any] = document.data
    for key in data.keys() - set(_KEYS):
        what, hint = f"The key '{key}' is not known here.", f"Known here: {', '.join(_KEYS)}."
        problems.append(document.problem((key,), "unknown-key", what, hint, of_key=True))
    columns = data.get("columns")
    if columns is not None and not isinstance(columns, dict):
        hint = "Write a line 'Heading: alkalinity dKH' for each column."
        problems.append(document.problem(("columns",), "bad-value", "Columns are wanted.", hint))
        columns = None
    problems += [
        document.problem((key,), "unknown-word", f"'{data[key]}' is not known here.", f"Use {use}.")
        for key, words, use in (
            ("date_order", ("dmy", "mdy", "ymd"), "dmy, mdy or ymd"),
            ("decimal", (".", ","), '"." or ","'),
        )
        if data.get(key) and data[key] not in words
    ]
    said = {key: str(data.get(key) or "") for key in ("sheet", "date_order", "decimal", "taken")}
    told = {str(heading): str(target) for heading, target in (columns or {}).items()}
    return (
        Remembered(file, said["sheet"], told, said["date_order"], said["decimal"],
                   Counter(said["taken"].split())),
        tuple(problems),
    )  # fmt: skip


def record_change(journal: Journal, new: Remembered) -> FileChange:
    """Give the change that writes a record; lines of the keeper's own stay if the rest is same."""
    path = record_path(journal, new.file)
    before = path.read_bytes() if path.is_file() else None
    lines = [f"file: {scalar(new.file)}"]
    lines += [f"sheet: {scalar(new.sheet)}"] if new.sheet else []
    if new.columns:
        lines += ["columns:"]
        lines += [f"  {_key(h)}: {scalar(target)}" for h, target in new.columns.items()]
    lines += [f"date_order: {new.date_order}"] if new.date_order else []
    lines += [f'decimal: "{new.decimal}"'] if new.decimal else []
    head = _HEAD + "\n".join(lines) + "\n"
    old, problems = recall(journal, new.file)
    if before is not None and not problems and _same_settings(old, new):
        head = (
            before.decode("utf-8-sig").replace("\r\n", "\n").partition("\ntaken:")[0].rstrip("\n")
            + "\n"
        )
    traces = "".join(f"  {trace}\n" for trace in new.taken.elements())
    return FileChange(path, before, (head + (f"taken: |\n{traces}" if traces else "")).encode())


def _key(heading: str) -> str:
    return scalar(" ".join(heading.split()))


def _same_settings(old: Remembered, new: Remembered) -> bool:
    def settings(record: Remembered) -> tuple[Any, ...]:
        columns = {name_key(heading): target for heading, target in record.columns.items()}
        return record.sheet, columns, record.date_order, record.decimal

    return settings(old) == settings(new)


def with_rows(old: Counter[str], traces: Iterable[str]) -> Counter[str]:
    """Give the traces that a record holds after some rows were taken: as many of each as needed."""
    return old | Counter(traces)
