from __future__ import annotations

from collections import Counter

import pytest

from journal_tools.journal import Journal
from journal_tools.writing.entry_file import write_change
from journal_tools.writing.remembered import (
    Remembered,
    recall,
    record_change,
    record_path,
    with_rows,
)

FULL = Remembered(
    "Wasser: Werte.csv", "Blatt 1", {"KH [°dH]": "alkalinity °dH", "No": "ignore", "": "date"},
    "dmy", ",", Counter({"aaaaaaaaaaaa": 2, "bbbbbbbbbbbb": 1}),
)  # fmt: skip


def test_what_is_remembered_comes_back(journal: Journal) -> None:
    write_change(record_change(journal, FULL))
    assert recall(journal, FULL.file) == (FULL, ())
    assert record_change(journal, FULL).after == record_path(journal, FULL.file).read_bytes()


def test_nothing_is_remembered_of_a_new_file(journal: Journal) -> None:
    assert recall(journal, "new.csv") == (Remembered("new.csv"), ())


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("- a\n", "imports/a.yml: This is no record of an import. Delete it, and import again."),
        ("colums: {}\n", "imports/a.yml:1:1: The key 'colums' is not known here. Known here: file, "
                         "sheet, columns, date_order, decimal, taken."),
        ("columns: [KH]\n", "imports/a.yml:1:10: Columns are wanted. Write a line 'Heading: "
                            "alkalinity dKH' for each column."),
        ("decimal: ;\n", "imports/a.yml:1:10: ';' is not known here. Use \".\" or \",\"."),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_record_is_told(journal: Journal, text: str, message: str) -> None:
    path = record_path(journal, "a.csv")
    path.parent.mkdir()
    path.write_text(text)
    assert [str(problem) for problem in recall(journal, "a.csv")[1]] == [message]


def test_rows_are_added_once() -> None:
    assert with_rows(Counter({"a": 2}), ["a", "b", "b"]) == {"a": 2, "b": 2}
