"""Single mends: the text of one place, and nothing where it is not that simple."""

from __future__ import annotations

import pytest

from journal_tools.problems import Problem
from journal_tools.writing.mends import Mend, mend


def of(text: str, line: int, column: int, code: str, what: str, hint: str) -> Mend | None:
    return mend(Problem("log/2026-03-14.yml", line, column, code, what, hint), text)


def key(text: str, column: int, old: str, new: str) -> str | None:
    what, hint = f"The key '{old}' is not known here.", f"Did you mean '{new}'?"
    found = of(text, 1, column, "unknown-key", what, hint)
    return found.text if found else None


def test_a_key_in_its_own_style() -> None:
    assert key("titel: titel", 1, "titel", "title") == "title: titel"
    assert key("{'titel': 1}", 2, "titel", "title") == "{'title': 1}"
    assert key('{🐠: 1, "titel" : 1}', 8, "titel", "title") == '{🐠: 1, "title" : 1}'


def test_what_is_not_where_it_was_said_is_left_alone() -> None:
    assert key("titel: x", 2, "titel", "title") is None
    assert key("titles: x", 1, "titel", "title") is None
    assert key("? |\n  titel\n: x", 3, "titel", "title") is None
    assert key("a: [", 1, "a", "b") is None
    what = "The key 'a very long one that was cut sho…' is not known here."
    assert of("a: 1", 1, 1, "unknown-key", what, "Did you mean 'b'?") is None


def test_without_a_proposal_there_is_no_mend() -> None:
    what = "The key 'x' is not known here."
    assert of("x: 1", 1, 1, "unknown-key", what, "Known here: title.") is None
    assert of("x: 1", 1, 1, "bad-date", "'1' is not a date.", "Write year-month-day.") is None


@pytest.mark.parametrize(
    ("text", "after"),
    [("8.2 dHK", "8.2 dKH"), ("'8.2 dHK'", "'8.2 dKH'"), ("8.2dHK", "8.2dKH")],
)
def test_a_unit_at_the_end_of_a_value(text: str, after: str) -> None:
    what = "The unit 'dHK' is not known for alkalinity."
    hint = "Did you mean 'dKH'? Use dKH: for example '8.2 dKH'."
    found = of(f"alkalinity: {text}", 1, 13, "unknown-unit", what, hint)
    assert found == Mend("log/2026-03-14.yml", f"alkalinity: {after}", True)


def test_a_unit_behind_a_value() -> None:
    what = "Salinity of '1.026' is outside what can be (5 to 42 psu)."
    hint = "If it is in SG, write '1.026 SG'."
    found = of("{salinity: 1.0260}", 1, 12, "impossible-value", what, hint)
    assert found == Mend("log/2026-03-14.yml", "{salinity: 1.0260 SG}", True)


@pytest.mark.parametrize(
    ("what", "hint", "text", "after"),
    [
        ("'8,2' is 2 values.", "Write 8.2, or a space after each", "[8,2, 9]", "[8.2, 9]"),
        ("'1,310' is 2 values.", "Write 1310 or 1.310, or a space after each", "[1,310]", None),
        ("'1,2,3' is 3 values.", "Write a decimal point, or a space after", "[1,2,3]", None),
        ("'9,2' is 2 values.", "Write 9.2, or a space after each", "[8,2, 9]", None),
    ],
)
def test_a_comma_between_brackets(what: str, hint: str, text: str, after: str | None) -> None:
    what = f"Inside [ ] or {{ }} a comma separates: {what}"
    found = of(text, 1, 2, "ambiguous-comma", what, hint)
    assert (found.text if found else None) == after


@pytest.mark.parametrize(
    ("name", "after"),
    [
        ("log/2026-03-14.yml.txt", "log/2026-03-14.yml"),
        ("log/2026/2026-03-14-one.txt", "log/2026/2026-03-14-one.yml"),
        ("log/2026-03-14.yam", "log/2026-03-14.yml"),
        ("log/2026-03-14.pdf", None),
        ("log/2026-03-14 copy.yml.bak", None),
    ],
)
def test_a_wrong_ending(name: str, after: str | None) -> None:
    found = mend(Problem(name, 0, 0, "not-an-entry", "…", "…"), "title: x")
    assert (found.name if found else None) == after


def test_tabs() -> None:
    found = of("a:\n\tb: 'x\ty'\n \t c: 1\n", 2, 1, "yaml-syntax", "not valid YAML", "")
    assert found is not None
    assert found.text == "a:\n  b: 'x\ty'\n    c: 1\n"
    assert of("a: [", 1, 4, "yaml-syntax", "not valid YAML", "") is None
