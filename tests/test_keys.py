"""The reference of keys: complete, in words, and with examples that a journal would take."""

from __future__ import annotations

import re

import pytest

from journal_tools.entries import Entry
from journal_tools.key_meanings import MEANINGS
from journal_tools.keys import FILES, Key, all_keys, find_keys, kind_of, models_in
from journal_tools.parameters import PARAMETERS
from journal_tools.profile import Profile
from journal_tools.read import read_document
from journal_tools.validate import allowed_keys, validate

NEEDED = {"name": "Test reef", "start": "2026-01-01"}


def by_path(path: str) -> Key:
    (found,) = find_keys(path)
    return found


@pytest.mark.parametrize("key", all_keys(), ids=lambda key: f"{key.file} {key.path}")
def test_every_example_is_a_piece_of_a_file(key: Key) -> None:
    more = [f"{k}: {v}\n" for k, v in NEEDED.items() if not key.example.startswith(f"{k}:")]
    text = ("".join(more) if key.file == "tank.yml" else "") + key.example
    document, problems = read_document("example.yml", text.encode())
    assert document is not None
    record, _, found = validate(FILES[key.file], document, {})
    assert record is not None
    assert [str(problem) for problem in [*problems, *found]] == []
    steps = [".*" if step == "PARAMETER" else re.escape(step) for step in key.path.split(".")]
    assert re.search(r"\b.*".join(steps), key.example, re.DOTALL)


def test_no_key_is_missing() -> None:
    for file, model in FILES.items():
        told = {key.path for key in all_keys() if key.file == file}
        assert {path for path in told if "." not in path} == set(model.model_fields)
        for key in all_keys():
            if key.file == file and key.keys and key.keys != ("PARAMETER",):
                assert {f"{key.path}.{name}" for name in key.keys} <= told


@pytest.mark.parametrize("file", FILES)
def test_the_paths_are_those_of_the_check(file: str) -> None:
    """What the reference names, a check knows at that very place."""
    keys = {key.path: key for key in all_keys() if key.file == file}
    for path in keys:
        steps, location = path.split("."), list[str | int]()
        for end, step in enumerate(steps, 1):
            name = "alkalinity" if step == "PARAMETER" else step
            assert name in allowed_keys(FILES[file], tuple(location)), path
            location.append(name)
            if keys[".".join(steps[:end])].kind.startswith("a list"):
                location.append(0)


def test_every_key_is_told_in_words() -> None:
    for key in all_keys():
        assert len(key.meaning) > 4, key.path
        assert "anything" not in key.kind or key.path == "equipment.to", key.path
        assert not re.search(r"Quantity|None|dict|Annotated", key.kind), key.path


def test_no_meaning_is_left_over() -> None:
    fields = {f"{kind.__name__}.{field}"
              for root in FILES.values() for model in models_in(root).values()
              for field in model.model_fields for kind in model.__mro__}  # fmt: skip
    assert set(MEANINGS) <= fields


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("vessels.length", "a length; a bare number is cm, in a US journal in"),
        ("vessels.sides", "a whole number, 3 to 24"),
        ("equipment.planned", "true or false"),
        ("equipment.media.price", "a number, 0 or more"),
        ("salt_mix.grams_per_litre", "a number, more than 0 and less than 100"),
        ("supplements.salts", "your own names, each with a mass; a bare number is g"),
        ("targets.alkalinity", "a band: '7.5 to 9', 'below 10' or 'above 5'"),
        ("readings.alkalinity", "a list, each item keys and values, or only its 'value'; a single "
         "item needs no list"),
        ("readings.ph.value", "a measured value; a bare number has the parameter's unit"),
        ("equipment.to", "a few words or your own names, each with anything"),
        ("doses.amount", "an amount: millilitres or grams; a bare number is ml"),
        ("notes", "text, in Markdown, of any length"),
    ],
)  # fmt: skip
def test_what_is_written_there(path: str, kind: str) -> None:
    assert by_path(path).kind == kind


def test_words_units_and_defaults() -> None:
    assert by_path("units.system").words == ("metric", "us")
    assert by_path("units.system").default == "metric"
    assert by_path("equipment.controlled").default == "false"
    assert by_path("vessels.name").needed
    assert by_path("feed.amount").units == ("g", "kg", "mg", "lb", "lbs", "oz")
    assert by_path("readings.alkalinity").words == tuple(PARAMETERS)
    assert kind_of(Profile, "start") == kind_of(Entry, "date") == "a date: year-month-day"


def test_a_key_is_found_by_its_end() -> None:
    assert [key.path for key in find_keys("static_head")] == ["equipment.plumbing.static_head"]
    assert {(key.file, key.path) for key in find_keys("equipment")} == {
        ("tank.yml", "equipment"), ("an entry", "equipment")}  # fmt: skip
    assert {key.path for key in find_keys("water-change")} == {"water_change"}
    assert find_keys("sparkle") == []
