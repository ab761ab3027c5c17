from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.read import read_document
from journal_tools.writing.yaml_text import entry_text, inline, scalar, section_lines

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)
VALUE = st.one_of(
    TEXT,
    st.integers(-(10**9), 10**9),
    st.floats(allow_nan=False, allow_infinity=False, width=32),
    st.booleans(),
)
ITEM = st.dictionaries(st.sampled_from(["what", "why", "count", "note"]), VALUE, min_size=1)


def back(text: str) -> Any:
    document, problems = read_document("day.yml", text.encode())
    assert problems == [] and document is not None
    return document.data


@given(VALUE)
def test_a_value_reads_back_as_it_was(value: Any) -> None:
    assert back(f"- {inline(value)}\n") == [value]


@given(st.lists(st.one_of(VALUE, ITEM), min_size=1, max_size=4))
def test_a_section_reads_back_as_it_was(items: list[Any]) -> None:
    assert back("\n".join(section_lines("livestock", items))) == {"livestock": items}


@given(TEXT.filter(str.strip))
def test_notes_read_back_but_for_the_line_ends_around_them(text: str) -> None:
    read = back(entry_text({"notes": text}))["notes"]
    assert read.strip("\n") == text.strip("\n")


@pytest.mark.parametrize(
    ("value", "written"),
    [
        ("8.2 dKH", "8.2 dKH"), ("<0.25", "<0.25"), (">0.25", '">0.25"'), ("18:40", '"18:40"'),
        ("no", '"no"'), ("1e5", '"1e5"'), ("a: b", '"a: b"'), ("# 1", '"# 1"'), ("", '""'),
        ("Öl, 5 %", '"Öl, 5 %"'), ("snail 🐌", '"snail 🐌"'), ("a\u2028b", '"a\\u2028b"'),
        (20.0, "20"), (8.25, "8.25"), (True, "true"), ("8.2 ± 0.1 dKH", "8.2 ± 0.1 dKH"),
    ],
)  # fmt: skip
def test_quotes_stand_where_they_are_needed(value: Any, written: str) -> None:
    assert scalar(value) == written


def test_an_entry_is_laid_out_in_the_order_of_the_format() -> None:
    data = {
        "notes": "One.\n\nTwo.",
        "livestock": [{"added": "clownfish", "count": 2}],
        "readings": {"alkalinity": 8.2, "calcium": [410, {"value": 420, "time": "20:00"}]},
        "tags": ["water"],
        "time": "18:40",
    }
    assert entry_text(data, "# a schema").splitlines() == [
        "# a schema",
        'time: "18:40"',
        "tags: [water]",
        "readings:",
        "  alkalinity: 8.2",
        '  calcium: [410, {value: 420, time: "20:00"}]',
        "livestock:",
        "  - {added: clownfish, count: 2}",
        "notes: |",
        "  One.",
        "",
        "  Two.",
    ]
