"""Entry data as YAML text, laid out as a person would write it."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from journal_tools.entries import Entry
from journal_tools.read import plain_value

_PLAIN = re.compile(r"[\w<](?:[\w .()/°µ%±'+-]*[\w.)%°'])?")
# Text to this reader; other YAML readers take these words for true and false.
_SWITCHES = frozenset({"y", "n", "yes", "no", "on", "off"})
# Line breaks and invisible signs that YAML knows beside those of JSON.
_ESCAPED = re.compile("[\x7f-\x9f\u2028\u2029\ufeff]")
_ORDER = {key: place for place, key in enumerate(Entry.model_fields)}


def scalar(value: str | float | bool) -> str:
    """Give one value as YAML, in quotes only where it needs them.

    >>> scalar("8.2 dKH"), scalar("18:40"), scalar(20.0), scalar("no")
    ('8.2 dKH', '"18:40"', '20', '"no"')
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return str(int(value)) if value == int(value) and abs(value) < 1e15 else repr(value)
    text = value
    plain = _PLAIN.fullmatch(text) and plain_value(text) == text
    if plain and text.casefold() not in _SWITCHES and "\n" not in text:
        return text
    quoted = json.dumps(text, ensure_ascii=False)
    return _ESCAPED.sub(lambda sign: f"\\u{ord(sign[0]):04x}", quoted)


def inline(value: Any) -> str:
    """Give a value on one line: ``{added: clownfish, count: 2}``.

    >>> inline({"what": "alk mix", "amount": "30 ml"})
    '{what: alk mix, amount: 30 ml}'
    """
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key}: {inline(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(inline(item) for item in value) + "]"
    return scalar(value)


def section_lines(key: str, value: Any) -> list[str]:
    """Give one key of an entry as lines without line ends.

    Args:
        key: Key of an entry.
        value: What stands under it, as plain values.
    """
    if key == "notes":
        return (
            [f"{key}: |", *block_lines(str(value), 2)] if _fits_block(value) else _one(key, value)
        )
    if isinstance(value, Mapping):
        return [f"{key}:", *(f"  {name}: {inline(item)}" for name, item in value.items())]
    if isinstance(value, list) and key != "tags":
        return [f"{key}:", *(f"  - {inline(item)}" for item in value)]
    return _one(key, value)


def entry_text(data: Mapping[str, Any], first_line: str = "") -> str:
    """Give the text of a new entry file.

    Args:
        data: Entry data as plain values; the keys come out in the order of the format.
        first_line: A comment to begin with.
    """
    keys = sorted(data, key=lambda key: _ORDER[key])
    lines = [line for key in keys for line in section_lines(key, data[key])]
    return "\n".join([*([first_line] if first_line else []), *lines, ""])


def block_lines(text: str, indent: int) -> list[str]:
    """Give text as the indented lines of a YAML block; empty lines stay empty."""
    return [" " * indent + line if line else "" for line in text.strip("\n").split("\n")]


def _fits_block(text: str) -> bool:
    """Tell whether a literal block gives this text back: no sign in it needs escaping."""
    body = text.strip("\n")
    signs_fit = all(sign.isprintable() or sign in "\n" for sign in body)
    return bool(body) and not body.startswith((" ", "\t")) and signs_fit


def _one(key: str, value: Any) -> list[str]:
    return [f"{key}: {inline(value)}"]
