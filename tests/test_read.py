from __future__ import annotations

import math
from typing import Any

import pytest
import yaml
from hypothesis import example, given
from hypothesis import strategies as st

from journal_tools.entries import Entry
from journal_tools.read import MAX_BYTES, read_document
from journal_tools.validate import validate

CHECK = "Check quotes, brackets and indentation on this line and the one before."
TABS = "Indent with spaces, not tabs, and put text that begins with a sign in quotes."
SPACE = "or a space after each comma that separates."


def data_of(text: str) -> Any:
    document, problems = read_document("day.yml", text.encode())
    assert document is not None
    assert problems == []
    return document.data


# YAML 1.2.2, section 10.3.2 (core schema); octal and hexadecimal forms stay text on purpose.
@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("no", "no"),
        ("yes", "yes"),
        ("on", "on"),
        ("Off", "Off"),
        ("y", "y"),
        ("true", True),
        ("True", True),
        ("FALSE", False),
        ("tRue", "tRue"),
        ("~", None),
        ("null", None),
        ("Null", None),
        ("NULL", None),
        ("", None),
        ("nUll", "nUll"),
        ("010", 10),
        ("-7", -7),
        ("+7", 7),
        ("0o17", "0o17"),
        ("0xFF", "0xFF"),
        ("1_000", "1_000"),
        (".5", 0.5),
        ("5.", 5.0),
        ("1e3", 1000.0),
        ("-1.5E-2", -0.015),
        ("8.20", 8.2),
        (".", "."),
        ("18:30", "18:30"),
        ("1:30:00", "1:30:00"),
        ("2026-03-14", "2026-03-14"),
        ('"8.2"', "8.2"),
        ("'010'", "010"),
        ('"no"', "no"),
        ('""', ""),
        ('"~"', "~"),
        ("8,2", "8,2"),
        ("8.2 dKH", "8.2 dKH"),
        ("<0.25", "<0.25"),
        ("=", "="),
        (".inf", math.inf),
        ("-.INF", -math.inf),
        ("1e999", math.inf),
        ("inf", "inf"),
        ("nan", "nan"),
        ("123456789012345678901234567890", "123456789012345678901234567890"),
        ("|\n  no\n  010\n", "no\n010\n"),
        (">-\n  18:30\n  x", "18:30 x"),
    ],
)
def test_plain_values_follow_yaml_1_2(written: str, value: object) -> None:
    assert data_of(f"key: {written}") == {"key": value}
    assert type(data_of(f"key: {written}")["key"]) is type(value)


def test_not_a_number_is_a_number_to_yaml() -> None:
    assert math.isnan(data_of("key: .nan")["key"])


def test_keys_are_text_whatever_they_look_like() -> None:
    assert data_of("no: 1\n010: 2\n~: 3\n8.2: 4") == {"no": 1, "010": 2, "~": 3, "8.2": 4}


@pytest.mark.parametrize(
    ("content", "message"),
    [
        pytest.param(
            b"",
            "day.yml:1:1: The file has no content. Write at least one 'key: value' "
            "line, or delete the file.",
            id="empty",
        ),
        pytest.param(
            b"# only\n# words\n",
            "day.yml:1:1: The file has no content. Write at least "
            "one 'key: value' line, or delete the file.",
            id="comments only",
        ),
        pytest.param(
            "title: a\nnotes: schön".encode("latin-1"),
            "day.yml:2: The text is not UTF-8. Save the file as UTF-8 in your editor.",
            id="Latin-1",
        ),
        pytest.param(
            "title: a".encode("utf-16"),
            "day.yml:1: The text is not UTF-8. Save the file as UTF-8 in your editor.",
            id="UTF-16",
        ),
        pytest.param(
            b"a: 1\nb: x\0y",
            "day.yml:2:5: This is not valid YAML: control characters are "
            "not allowed. Remove the invisible character, or write the line anew.",
            id="NUL",
        ),
        pytest.param(
            b"x" * (MAX_BYTES + 1),
            "day.yml: The file is over 1 MB. Put long tables into "
            "probes/*.csv and keep entries short.",
            id="too large",
        ),
        pytest.param(
            b"readings:\n\talkalinity: 8",
            "day.yml:2:1: This is not valid YAML: found "
            f"character that cannot start any token. {TABS}",
            id="tab",
        ),
        pytest.param(
            b"title: @home",
            "day.yml:1:8: This is not valid YAML: found character that "
            f"cannot start any token. {TABS}",
            id="at sign",
        ),
        pytest.param(
            b"title: *great",
            "day.yml:1:8: This is not valid YAML: found undefined alias."
            " Put text that begins with a sign, such as * or &, in quotes.",
            id="star",
        ),
        pytest.param(
            b"title: a: b",
            "day.yml:1:9: This is not valid YAML: mapping values are not "
            "allowed in this context. Put text that holds a colon in quotes, and check "
            "the indentation.",
            id="colon",
        ),
        pytest.param(
            b"a: 1\n---\nb: 2",
            "day.yml:2:1: This is not valid YAML: a second document "
            "begins here. Keep one entry per file: remove the '---' line and what follows "
            "it.",
            id="two documents",
        ),
        pytest.param(
            b"a: [1, 2",
            f"day.yml:1: This is not valid YAML: did not find expected ',' or ']'. {CHECK}",
            id="open bracket",
        ),
        pytest.param(
            b"a: " + b"[" * 30 + b"]" * 30,
            "day.yml: The file unfolds to more than 20000 "
            "values or 24 levels. Write the values out instead of repeating anchors "
            "(&name, *name).",
            id="deep",
        ),
        pytest.param(
            b"[" * 100_000,
            f"day.yml:1:1001: This is not valid YAML: exceeded maximum nesting depth. {CHECK}",
            id="very deep",
        ),
        pytest.param(
            b"a: &a [*a]",
            "day.yml: The file unfolds to more than 20000 values or 24 "
            "levels. Write the values out instead of repeating anchors (&name, *name).",
            id="holds itself",
        ),
        pytest.param(
            b"a: &a [x, x, x, x, x, x, x, x, x, x]\n"
            + b"".join(
                b"%c: &%c [%s]\n" % (c + 1, c + 1, b", ".join([b"*%c" % c] * 10))
                for c in range(97, 105)
            ),
            "day.yml: The file unfolds to more than 20000 values "
            "or 24 levels. Write the values out instead of repeating anchors (&name, "
            "*name).",
            id="anchor bomb",
        ),
    ],
)
def test_a_file_of_which_nothing_can_be_used(content: bytes, message: str) -> None:
    document, problems = read_document("day.yml", content)
    assert document is None
    assert [str(problem) for problem in problems] == [message]


@pytest.mark.parametrize(
    ("text", "message", "kept"),
    [
        (
            "a: 1\nb: 2\na: 3",
            "day.yml:3:1: 'a' is written twice here (first on line 1). Keep one of "
            "the two; until then the first one counts.",
            {"a": 1, "b": 2},
        ),
        (
            "x: {a: 1, a: 3}",
            "day.yml:1:11: 'a' is written twice here (first on line 1). Keep one of "
            "the two; until then the first one counts.",
            {"x": {"a": 1}},
        ),
        (
            "? [a]\n: 1\nb: 2",
            "day.yml:1:3: A key must be a single word or text. Write 'name: value'.",
            {"b": 2},
        ),
        (
            "a: !!float 3",
            "day.yml:1:4: The tag '!!float' has no meaning here. Remove it; write the plain value.",
            {"a": 3},
        ),
        (
            "a: !thing {b: 3}",
            "day.yml:1:4: The tag '!thing' has no meaning here. Remove it; write the plain value.",
            {"a": {"b": 3}},
        ),
        (
            "a:\n  - !!python/object:os.system x",
            "day.yml:2:5: The tag '!!python/object:os.system' "
            "has no meaning here. Remove it; write the plain value.",
            {"a": ["x"]},
        ),
    ],
)
def test_a_slip_of_form_costs_one_value(text: str, message: str, kept: object) -> None:
    document, problems = read_document("day.yml", text.encode())
    assert [str(problem) for problem in problems] == [message]
    assert document is not None
    assert document.data == kept


@pytest.mark.parametrize(
    ("text", "place", "said", "hint", "kept"),
    [
        ("{alk: 8,2}", "1:7", "'8,2' is 2 values", "Write 8.2", {}),
        ("{alk: 8,2, ca: 420}", "1:7", "'8,2' is 2 values", "Write 8.2", {"ca": 420}),
        ("{alk: 8,2 dKH, ca: 420}", "1:7", "'8,2 dKH' is 2 values", "Write 8.2 dKH", {"ca": 420}),
        ("{no3: <0,25}", "1:7", "'<0,25' is 2 values", "Write <0.25", {}),
        (
            "{no3: below 0,25 ppm}",
            "1:7",
            "'below 0,25 ppm' is 2 values",
            "Write below 0.25 ppm",
            {},
        ),
        ("{v: 12 ± 0,5 L}", "1:5", "'12 ± 0,5 L' is 2 values", "Write 12 ± 0.5 L", {}),
        ("{v: -0,5 V}", "1:5", "'-0,5 V' is 2 values", "Write -0.5 V", {}),
        ("{mg: 1,310}", "1:6", "'1,310' is 2 values", "Write 1310 or 1.310", {}),
        ("[8,2, 8.4]", "1:2", "'8,2' is 2 values", "Write 8.2", [8.4]),
        ("[7,5,9]", "1:2", "'7,5,9' is 3 values", "Write a decimal point", []),
        ("{a: 8,2 ± 0,1 dKH}", "1:5", "'8,2 ± 0,1 dKH' is 3 values", "Write a decimal point", {}),
        (
            "x:\n  - {a: 1, b: 2,5 %}",
            "2:15",
            "'2,5 %' is 2 values",
            "Write 2.5 %",
            {"x": [{"a": 1}]},
        ),
    ],
)
def test_a_decimal_comma_inside_brackets_is_found(
    text: str, place: str, said: str, hint: str, kept: object
) -> None:
    document, problems = read_document("day.yml", text.encode())
    what = f"Inside [ ] or {{ }} a comma separates: {said}."
    assert [str(p) for p in problems] == [f"day.yml:{place}: {what} {hint}, {SPACE}"]
    assert document is not None
    assert document.data == kept


@pytest.mark.parametrize(
    ("text", "data"),
    [
        ("[7, 9]", [7, 9]),
        ("[7.5,9]", [7.5, 9]),
        ('["8","2"]', ["8", "2"]),
        ("[a,2 b]", ["a", "2 b"]),
        ("{a: 8, 2: x}", {"a": 8, "2": "x"}),
        ("- 8,2", ["8,2"]),
        ("[day 1,2 fish]", ["day 1", "2 fish"]),
        ("[2026-03-14,15]", ["2026-03-14", 15]),
    ],
)
def test_a_comma_that_separates_is_left_alone(text: str, data: object) -> None:
    assert data_of(text) == data


ABOVE = "If a value lies above a limit, write 'above 50' or put '>50' in quotes."


def test_a_sign_that_yaml_keeps_for_itself() -> None:
    document, problems = read_document("day.yml", b"nitrate: >5\ncalcium: 420")
    what = "To YAML, '>' announces text on the lines below, and there is none."
    assert [str(problem) for problem in problems] == [f"day.yml:1:10: {what} {ABOVE}"]
    assert document is not None
    assert document.data == {"nitrate": None, "calcium": 420}


@pytest.mark.parametrize("written", [">50", "> 50", ">0.5"])
def test_other_numbers_behind_that_sign(written: str) -> None:
    document, problems = read_document("day.yml", f"nitrate: {written}".encode())
    assert document is None
    assert [problem.hint for problem in problems] == [ABOVE]


@pytest.mark.parametrize("text", ["\ufefftitle: a\nb: c", "title: a\r\nb: c\r\n", "title: a\rb: c"])
def test_marks_and_line_ends_of_other_systems(text: str) -> None:
    document, problems = read_document("day.yml", text.encode())
    assert problems == []
    assert document is not None
    assert document.data == {"title": "a", "b": "c"}
    assert document.values["b",] == (2, 4)


@pytest.mark.parametrize("text", ["- a\n- b", "hello", "12"])
def test_something_else_than_keys_at_the_top(text: str) -> None:
    document, problems = read_document("day.yml", text.encode())
    assert problems == []
    assert document is not None
    record, _, found = validate(Entry, document, {})
    assert record is None
    message = "day.yml:1:1: Keys and values are wanted here. Write 'key: value' lines."
    assert [str(problem) for problem in found] == [message]


def test_every_value_knows_its_place() -> None:
    document, _ = read_document("day.yml", b"a: 1\nlist:\n  - {x: 2}\n  - 3\n")
    assert document is not None
    assert document.values == {
        (): (1, 1), ("a",): (1, 4), ("list",): (3, 3), ("list", 0): (3, 5),
        ("list", 0, "x"): (3, 9), ("list", 1): (4, 5),
    }  # fmt: skip
    assert document.keys == {("a",): (1, 1), ("list",): (2, 1), ("list", 0, "x"): (3, 6)}
    assert document.place(("list", 0, "nothing", "there")) == (3, 5)
    assert document.place(("list", 0, "x", 0)) == (3, 9)  # a single item in place of a list
    assert document.place(("list",), of_key=True) == (2, 1)


def test_what_is_dropped_leaves_the_places_of_the_rest() -> None:
    document, _ = read_document("day.yml", b"list: [a, b, c]\nx: 1")
    assert document is not None
    rest = document.without({("list", 1), ("x",)})
    assert rest.data == {"list": ["a", "c"]}
    assert rest.values["list", 1] == document.values["list", 2] == (1, 14)
    assert document.data == {"list": ["a", "b", "c"], "x": 1}


YAML_BITS = st.text(
    st.sampled_from(list("ab12 :,.-[]{}&*!|>'\"#%@`?~<±\n\r\t\u00e9\u2028\u0085\ufeff\0😀")),
    max_size=60,
)


@given(st.binary(max_size=200) | st.text(max_size=100).map(str.encode) | YAML_BITS.map(str.encode))
@example(b"[[[[")
@example(b"a: 'x\n\n")
@example(b"a: \x0085[")
def test_no_content_makes_the_reader_fail(content: bytes) -> None:
    document, problems = read_document("day.yml", content)
    assert document is not None or problems
    lines = len(content.decode("utf-8", "replace").splitlines()) or 1
    for problem in problems:
        assert 0 <= problem.line <= lines
        assert problem.what.endswith(".")
        assert problem.hint.endswith(".")


PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4)
    ),
    max_leaves=15,
)


@given(PLAIN)
def test_every_problem_points_into_the_file(value: object) -> None:
    text = yaml.safe_dump(value, allow_unicode=True)
    document, problems = read_document("day.yml", text.encode())
    assert document is not None
    _, _, found = validate(Entry, document, {})
    for problem in [*problems, *found]:
        assert 1 <= problem.line <= len(text.splitlines())
        assert problem.column >= 1


WORD = st.text(st.characters(codec="ascii", categories=("L",)), min_size=1, max_size=8)
SIMPLE = st.recursive(
    st.booleans() | st.integers(-(10**16), 10**16) | WORD,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(WORD, inner, max_size=4),
    max_leaves=12,
)


@given(SIMPLE)
def test_plain_values_survive(value: object) -> None:
    assert data_of(yaml.safe_dump({"top": value})) == {"top": value}
