"""From a document to a model: what cannot be used is dropped with a problem, the rest is kept."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches
from functools import lru_cache
from typing import Any, TypeVar, cast

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from journal_tools.parameters import find_alias
from journal_tools.problems import Problem, excerpt
from journal_tools.read import NOWHERE, Document, Location

Model = TypeVar("Model", bound=BaseModel)

_SWITCH = ("bad-value", "'{value}' is neither true nor false.", "Write true or false.")
_WHOLE = ("not-a-number", "'{value}' is not a whole number.", "Write a number such as 2.")
_NUMBER = ("not-a-number", "'{value}' is not a number.", "Write a number, without its unit.")
_TOO_SMALL = ("impossible-value", "'{value}' is too small here.", "Write {ge:g} or more.")
_TOO_LARGE = ("impossible-value", "'{value}' is too large here.", "Write {le:g} or less.")
_LIST = ("bad-value", "A list is wanted here.", "Write one '- item' a line, or [a, b].")
_MAPPING = ("bad-value", "Keys and values are wanted here.", "Write 'key: value' lines.")
_SENTENCES = {
    "missing": ("missing-key", "The key '{key}' is missing here.", "Add '{key}: …'."),
    "bool_parsing": _SWITCH,
    "bool_type": _SWITCH,
    "int_parsing": _WHOLE,
    "int_from_float": _WHOLE,
    "int_parsing_size": _WHOLE,
    "int_type": _WHOLE,
    "float_parsing": _NUMBER,
    "float_type": _NUMBER,
    "finite_number": ("not-finite", "'{value}' is not a finite number.", "Write a usual number."),
    "greater_than_equal": _TOO_SMALL,
    "less_than_equal": _TOO_LARGE,
    "greater_than": ("impossible-value", "'{value}' is too small here.", "Write more than {gt:g}."),
    "less_than": ("impossible-value", "'{value}' is too large here.", "Write less than {lt:g}."),
    "too_short": ("bad-value", "The list is too short.", "Write at least {min_length}."),
    "list_type": _LIST,
    "dict_type": _MAPPING,
    "model_type": _MAPPING,
    "model_attributes_type": _MAPPING,
}
"""Code, sentence and hint for each kind of error that pydantic reports."""


def validate(
    model: type[Model], document: Document, context: dict[str, Any]
) -> tuple[Model | None, Document, list[Problem]]:
    """Give the model of a document, the document as far as it was used, and the problems.

    Every value that fails is dropped and the rest validated again, so that one slip costs one
    value. Where a value is dropped that its surroundings need, these are dropped too, without
    another problem. Nothing is left (None) only if the top itself lacks what it needs.
    """
    problems: list[Problem] = []
    # Places of what has lost a value: these stay when positions in lists close up.
    damaged: set[tuple[int, int]] = set()
    while True:
        try:
            return model.model_validate(document.data, context=context), document, problems
        except ValidationError as failure:
            errors = failure.errors(include_url=False)
        dropped = set()
        for error in errors:
            location = _location(error["loc"], document.data)
            # Of several kinds that a value may have, the first one speaks.
            told = location in dropped and error["type"] != "missing"
            if not told and document.place(location) not in damaged:
                problems.append(_problem(error, location, document, model))
            dropped.add(location)
        damaged.update(document.place(location[:-1]) for location in dropped)
        damaged.discard(NOWHERE)
        if () in dropped:
            return None, document, problems
        document = document.without(dropped)


def _location(loc: tuple[int | str, ...], data: Any) -> Location:
    """Follow pydantic's path as far as the document goes; names of models are passed over."""
    location: Location = ()
    for step in loc:
        if (isinstance(data, dict) and step in data) or (
            isinstance(data, list) and isinstance(step, int) and step < len(data)
        ):
            data = data[cast("Any", step)]
        else:
            continue
        location = (*location, step)
    return location


def _problem(
    error: ErrorDetails, location: Location, document: Document, model: type[BaseModel]
) -> Problem:
    kind, context = error["type"], error.get("ctx", {})
    if kind == "journal":
        return document.problem(location, context["code"], context["what"], context["hint"])
    if kind == "extra_forbidden":
        return _unknown_key(location, document, model)
    if kind == "literal_error":
        what = f"'{excerpt(error['input'])}' is not one of the words known here."
        return document.problem(location, "unknown-word", what, f"Use {context['expected']}.")
    if kind in _SENTENCES:
        code, what, hint = _SENTENCES[kind]
        key = error["loc"][-1] if error["loc"] else ""
        words = {**context, "key": key, "value": excerpt(error["input"])}
        return document.problem(location, code, what.format(**words), hint.format(**words))
    what = f"'{excerpt(error['input'])}' cannot be used here: {error['msg'].lower()}."
    return document.problem(location, "bad-value", what, "Correct it or remove the line.")


def _unknown_key(location: Location, document: Document, model: type[BaseModel]) -> Problem:
    key = str(location[-1])
    known = allowed_keys(model, location[:-1])
    what = f"The key '{excerpt(key)}' is not known here."
    return document.problem(location, "unknown-key", what, _key_hint(key, known), of_key=True)


def _key_hint(key: str, known: tuple[str, ...]) -> str:
    if key[:1].isdigit():
        return 'Inside { } a comma separates keys: write 8.2, or "8,2" in quotes.'
    parameter = find_alias(key)
    if parameter and parameter.name in known:
        return f"Did you mean '{parameter.name}'?"
    if parameter and "readings" in known:
        return f"Put '{parameter.name}' under 'readings:'."
    folded = {name.casefold(): name for name in known}
    wanted = key.strip().casefold().replace("-", "_").replace(" ", "_")
    begun = [name for name in folded if len(wanted) >= 3 and name.startswith(wanted)]
    near = begun if len(begun) == 1 else get_close_matches(wanted, folded, 1, cutoff=0.6)
    if near:
        return f"Did you mean '{folded[near[0]]}'?"
    return f"Known here: {', '.join(known[:24])}." if known else "Remove it."


@lru_cache(maxsize=8)
def _schema(model: type[BaseModel]) -> dict[str, Any]:
    return model.model_json_schema()


def allowed_keys(model: type[BaseModel], location: Location) -> tuple[str, ...]:
    """Give the keys that a model knows at a place of its document."""
    root = _schema(model)
    nodes = [root]
    for step in location:
        nodes = [child for node in nodes for child in _children(node, step, root)]
    return tuple(dict.fromkeys(key for node in nodes for key in _unfold(node, root)))


def _alternatives(node: dict[str, Any], root: dict[str, Any]) -> Iterator[dict[str, Any]]:
    if "$ref" in node:
        name = node["$ref"].rpartition("/")[2]
        yield from _alternatives(root["$defs"][name], root)
    elif "anyOf" in node or "allOf" in node:
        for option in node.get("anyOf", []) + node.get("allOf", []):
            yield from _alternatives(option, root)
    else:
        yield node


def _children(
    node: dict[str, Any], step: str | int, root: dict[str, Any]
) -> Iterator[dict[str, Any]]:
    for option in _alternatives(node, root):
        if isinstance(step, int):
            if "items" in option:
                yield option["items"]
        elif step in option.get("properties", {}):
            yield option["properties"][step]
        elif isinstance(option.get("additionalProperties"), dict):
            yield option["additionalProperties"]


def _unfold(node: dict[str, Any], root: dict[str, Any]) -> Iterator[str]:
    for option in _alternatives(node, root):
        yield from option.get("properties", {})
        if "items" in option:
            yield from _unfold(option["items"], root)
