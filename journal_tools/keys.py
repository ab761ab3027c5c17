"""Every key of ``tank.yml`` and of an entry in plain words, taken from the models themselves."""

from __future__ import annotations

import re
import types
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from annotated_types import Ge, Gt, Le, Lt
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from journal_tools.entries import Entry
from journal_tools.key_examples import example_of
from journal_tools.key_meanings import meaning_of
from journal_tools.kinds import Date, LongText, Money, Text, TimeOfDay
from journal_tools.parameters import PARAMETERS
from journal_tools.profile import Profile
from journal_tools.quantities import BandOf, DoseAmount, Measured, ReadingOf
from journal_tools.records import OneOrMany, Record, ShortForm
from journal_tools.units import DIMENSIONS

FILES: Mapping[str, type[Record]] = {"tank.yml": Profile, "an entry": Entry}
"""The two files of a journal, as they are called here, with their models."""

BY_PARAMETER = "PARAMETER"
"""Stands in a path for the name of any parameter."""

_FEWEST_PARAMETERS = 6


@dataclass(frozen=True)
class Key:
    """One key.

    Attributes:
        file: In which file it stands: a key of :data:`FILES`.
        path: Where, from the top: ``equipment.plumbing``.
        kind: What is written there, in words.
        meaning: What it is for; may be empty where the name says it all.
        default: What holds if it is left out, or ``""``.
        needed: Whether it must be there.
        words: The words that are known there.
        units: The units that are understood.
        keys: The keys below it.
        example: A piece of the file that holds it.
    """

    file: str
    path: str
    kind: str
    meaning: str = ""
    default: str = ""
    needed: bool = False
    words: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    keys: tuple[str, ...] = ()
    example: str = ""

    @property
    def name(self) -> str:
        """The key itself, without its place."""
        return self.path.rpartition(".")[2]


@lru_cache(maxsize=1)
def all_keys() -> tuple[Key, ...]:
    """Give every key of both files, each after the one that holds it."""
    return tuple(
        replace(key, example=example_of(key.file, key.path))
        for file, model in FILES.items()
        for key in _of_model(file, model, "")
    )


def find_keys(written: str) -> list[Key]:
    """Give the keys that a person means: of that path, else those whose path ends so.

    >>> [key.path for key in find_keys("plumbing.static_head")]
    ['equipment.plumbing.static_head']
    """
    wanted = ".".join(
        BY_PARAMETER if part in PARAMETERS else part
        for part in written.strip().strip(".").replace("-", "_").split(".")
    )
    exact = [key for key in all_keys() if key.path == wanted]
    return exact or [key for key in all_keys() if f".{key.path}".endswith(f".{wanted}")]


def kind_of(model: type[Record], name: str) -> str:
    """Give what is written at a key of a model, in words."""
    field = model.model_fields[name]
    return _shape(field.annotation, field.metadata).words


def models_in(model: type[Record]) -> dict[str, type[Record]]:
    """Give a model and every model inside it, by name."""
    found = {model.__name__: model}
    for field in model.model_fields.values():
        below = _shape(field.annotation, field.metadata).model
        if below is not None and below.__name__ not in found:
            found |= models_in(below)
    return found


def _of_model(file: str, model: type[Record], above: str) -> Iterator[Key]:
    for name, field in model.model_fields.items():
        key, below = _key(file, f"{above}{name}", field)
        key = replace(key, meaning=meaning_of(model, name))
        yield key
        if below is not None:
            yield from _below(file, below, key)


def _below(file: str, model: type[Record], key: Key) -> Iterator[Key]:
    if not _by_parameter(model):
        yield from _of_model(file, model, f"{key.path}.")
        return
    # All parameters have the same keys: those of one of them speak for all.
    field = next(iter(model.model_fields.values()))
    one, below = _key(file, f"{key.path}.{BY_PARAMETER}", field)
    words = tuple(model.model_fields)
    yield replace(_any(one), meaning="One of the parameters below.", words=words)
    if below is not None:
        for more in _of_model(file, below, f"{one.path}."):
            yield _any(more) if more.name == "value" else more


def _any(key: Key) -> Key:
    """Give the key of one parameter as that of any."""
    kind = re.sub("a bare number is .*", "a bare number has the parameter's unit", key.kind)
    return replace(key, kind=kind, units=())


def _by_parameter(model: type[Record]) -> bool:
    names = model.model_fields.keys()
    return len(names) >= _FEWEST_PARAMETERS and names <= PARAMETERS.keys()


def _key(file: str, path: str, field: FieldInfo) -> tuple[Key, type[Record] | None]:
    shape = _shape(field.annotation, field.metadata)
    keys = tuple(shape.model.model_fields) if shape.model else ()
    if shape.model and _by_parameter(shape.model):
        keys = (BY_PARAMETER,)
    return Key(
        file, path, shape.words, "", _default(field), field.is_required(), shape.allowed,
        shape.units, keys,
    ), shape.model  # fmt: skip


def _default(field: FieldInfo) -> str:
    value = field.default
    if value is PydanticUndefined or value is None or isinstance(value, Record):
        return ""
    return str(value).lower() if isinstance(value, bool) else str(value)


# --- What is written there --------------------------------------------------------------------


@dataclass(frozen=True)
class _Shape:
    words: str
    units: tuple[str, ...] = ()
    allowed: tuple[str, ...] = ()
    model: type[Record] | None = None


def _shape(annotation: Any, metadata: Sequence[Any] = ()) -> _Shape:
    if get_origin(annotation) is Annotated:
        inner, *more = get_args(annotation)
        return _shape(inner, [*more, *metadata])
    if get_origin(annotation) in (Union, types.UnionType):
        shapes = [_shape(part, metadata) for part in get_args(annotation) if part is not type(None)]
        words = " or ".join(dict.fromkeys(shape.words for shape in shapes))
        return replace(shapes[0], words=words)
    for part in metadata:
        if (known := _of_kind(part)) is not None:
            return known
    if get_origin(annotation) is Literal:
        return _Shape("one of the words below", allowed=tuple(map(str, get_args(annotation))))
    if get_origin(annotation) is list:
        return _list(_shape(get_args(annotation)[0]), metadata)
    if get_origin(annotation) is dict:
        value = _shape(get_args(annotation)[1])
        return replace(value, words=f"your own names, each with {value.words}")
    return _simple(annotation, metadata)


def _list(item: _Shape, metadata: Sequence[Any]) -> _Shape:
    single = any(isinstance(part, OneOrMany) for part in metadata)
    words = f"a list, each item {item.words}" + ("; a single item needs no list" if single else "")
    return replace(item, words=words)


def _simple(annotation: Any, metadata: Sequence[Any]) -> _Shape:
    if isinstance(annotation, type) and issubclass(annotation, Record):
        short = next((part.key for part in metadata if isinstance(part, ShortForm)), None)
        words = "keys and values" + (f", or only its '{short}'" if short else "")
        return _Shape(words, model=annotation)
    if annotation is bool:
        return _Shape("true or false")
    number = {int: "a whole number", float: "a number"}.get(annotation, "anything")
    return _Shape(number + _range(metadata))


def _range(metadata: Sequence[Any]) -> str:
    # A field that may be left out has its limits one level further in.
    limits = [m for part in metadata for m in (getattr(part, "metadata", None) or [part])]
    both = [f"{m.ge:g}" for m in limits if isinstance(m, Ge)] + [
        f"{m.le:g}" for m in limits if isinstance(m, Le)]  # fmt: skip
    if len(both) == 2:
        return f", {both[0]} to {both[1]}"
    low = next((f"{m.ge:g} or more" for m in limits if isinstance(m, Ge)), "") or next(
        (f"more than {m.gt:g}" for m in limits if isinstance(m, Gt)), "")  # fmt: skip
    high = next((f"{m.le:g} or less" for m in limits if isinstance(m, Le)), "") or next(
        (f"less than {m.lt:g}" for m in limits if isinstance(m, Lt)), "")  # fmt: skip
    said = " and ".join(part for part in (low, high) if part)
    return f", {said}" if said else ""


_WORDS = {
    "length": "a length", "volume": "a volume", "mass": "a mass", "flow": "a flow",
    "power": "a power", "period": "a span of time", "percent": "a share in percent",
    "temperature": "a temperature",
}  # fmt: skip
_PLAIN = {
    Date: "a date: year-month-day", TimeOfDay: "a time of day: hours and minutes, in quotes",
    Text: "a few words", LongText: "text, in Markdown, of any length",
    Money: "an amount of money in the journal's currency",
    DoseAmount: "an amount: millilitres or grams; a bare number is ml",
}  # fmt: skip


def _of_kind(part: Any) -> _Shape | None:
    if isinstance(part, Measured):
        us = f", in a US journal {part.us}" if part.us else ""
        words = f"{_WORDS[part.dimension]}; a bare number is {part.metric}{us}"
        return _Shape(words, _units(part.dimension))
    if isinstance(part, ReadingOf):
        row = PARAMETERS[part.parameter]
        what = "a difference" if part.change else "a measured value"
        return _Shape(f"{what}; a bare number is {row.unit}", _units(row.dimension))
    if isinstance(part, BandOf):
        row = PARAMETERS[part.parameter]
        return _Shape("a band: '7.5 to 9', 'below 10' or 'above 5'", _units(row.dimension))
    for kind, words in _PLAIN.items():
        if part == get_args(kind)[1]:
            units = (*_units("volume"), *_units("mass")) if kind is DoseAmount else ()
            return _Shape(words, units)
    return None


def _units(dimension: str) -> tuple[str, ...]:
    """Give the spellings of a dimension, those that differ only in case or a degree sign once."""
    return tuple(DIMENSIONS[dimension].written.values())
