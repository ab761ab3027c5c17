"""YAML text to plain values, each with its line and column.

YAML 1.2 core rules are applied here, on the nodes that libyaml composes: ``no`` is text,
``010`` is ten and ``18:30`` is text. PyYAML's own constructor follows YAML 1.1, where these
are false, eight and 1110, and it keeps the last of two equal keys without a word.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import yaml
from yaml.reader import ReaderError

from journal_tools.problems import Problem, excerpt

Location = tuple[str | int, ...]
"""Where a value stands in a document: keys and list positions from the top."""

NOWHERE = (0, 0)
"""Line and column of what is in no file."""

MAX_BYTES = 1_048_576
MAX_VALUES = 20_000
MAX_DEPTH = 24
_MAX_DIGITS = 18

_NULL = frozenset({"", "~", "null", "Null", "NULL"})
_TRUE = frozenset({"true", "True", "TRUE"})
_FALSE = frozenset({"false", "False", "FALSE"})
_INT = re.compile(r"[-+]?[0-9]+")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_SPECIAL_FLOAT = re.compile(r"[-+]?\.(inf|Inf|INF)|\.(nan|NaN|NAN)")
_CORE_TAGS = frozenset(f"tag:yaml.org,2002:{kind}" for kind in ("str", "map", "seq"))


class _PlainTextLoader(yaml.CSafeLoader):
    """A libyaml loader that resolves every scalar to text, so that our rules decide."""

    yaml_implicit_resolvers: dict[str, Any] = {}  # noqa: RUF012  (PyYAML's own attribute)


@dataclass(frozen=True, slots=True)
class Document:
    """One YAML file as plain values.

    Attributes:
        file: Path relative to the journal folder, forward slashes.
        data: dict, list, str, int, float, bool or None, nested.
        values: 1-based (line, column) of each value.
        keys: 1-based (line, column) of each mapping key.
    """

    file: str
    data: Any
    values: dict[Location, tuple[int, int]] = field(repr=False)
    keys: dict[Location, tuple[int, int]] = field(repr=False)

    def place(self, location: Location, *, of_key: bool = False) -> tuple[int, int]:
        """Give (line, column) of a value, or of the nearest thing around it that exists."""
        at: Location = ()
        for step in location:
            if (*at, step) in self.values:
                at = (*at, step)
            elif step != 0:
                return self.values.get(at, NOWHERE)
            # Else a single item stands where a list of one is meant: its first is itself.
        if of_key and at in self.keys:
            return self.keys[at]
        return self.values.get(at, NOWHERE)

    def problem(
        self, location: Location, code: str, what: str, hint: str = "", *, of_key: bool = False
    ) -> Problem:
        """Give a problem that points at ``location`` in this file."""
        line, column = self.place(location, of_key=of_key)
        return Problem(self.file, line, column, code, what, hint)

    def without(self, dropped: set[Location]) -> Document:
        """Give a copy that lacks the values at ``dropped``; list positions close up."""
        copy = Document(self.file, None, {}, {})
        data = _copy_without(self, self.data, (), (), dropped, copy)
        return Document(self.file, data, copy.values, copy.keys)


def _copy_without(
    source: Document,
    value: Any,
    old: Location,
    new: Location,
    dropped: set[Location],
    into: Document,
) -> Any:
    if old in source.values:
        into.values[new] = source.values[old]
    if old in source.keys:
        into.keys[new] = source.keys[old]
    if isinstance(value, dict):
        return {
            key: _copy_without(source, item, (*old, key), (*new, key), dropped, into)
            for key, item in value.items()
            if (*old, key) not in dropped
        }
    if isinstance(value, list):
        kept = [(i, item) for i, item in enumerate(value) if (*old, i) not in dropped]
        return [
            _copy_without(source, item, (*old, i), (*new, n), dropped, into)
            for n, (i, item) in enumerate(kept)
        ]
    return value


def read_document(file: str, content: bytes) -> tuple[Document | None, list[Problem]]:
    """Give the document in ``content`` and every problem of its form.

    Args:
        file: Name for messages and links, relative to the journal folder.
        content: The bytes of the file. UTF-8, with or without a byte order mark.

    Returns:
        The document (None if nothing of it can be used) and the problems found.
    """
    if len(content) > MAX_BYTES:
        hint = "Put long tables into probes/*.csv and keep entries short."
        return None, [Problem(file, 0, 0, "file-too-large", "The file is over 1 MB.", hint)]
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        hint = "Save the file as UTF-8 in your editor."
        return None, [Problem(file, line, 0, "not-utf8", "The text is not UTF-8.", hint)]
    try:
        node = yaml.compose(text, Loader=_PlainTextLoader)
    except yaml.YAMLError as error:
        return None, [_syntax_problem(file, text, error)]
    if node is None:
        hint = "Write at least one 'key: value' line, or delete the file."
        return None, [Problem(file, 1, 1, "empty", "The file has no content.", hint)]
    builder = _Builder(file)
    data = builder.build(node, ())
    if builder.too_much:
        hint = "Write the values out instead of repeating anchors (&name, *name)."
        what = f"The file unfolds to more than {MAX_VALUES} values or {MAX_DEPTH} levels."
        return None, [Problem(file, 0, 0, "too-many-values", what, hint)]
    return Document(file, data, builder.values, builder.keys), builder.problems


def _syntax_problem(file: str, text: str, error: yaml.YAMLError) -> Problem:
    line, column = _place_of_error(text, error)
    detail = getattr(error, "problem", None) or getattr(error, "reason", None) or "unreadable text"
    if "another document" in detail:
        detail = "a second document begins here"
    return Problem(
        file, line, column, "yaml-syntax", f"This is not valid YAML: {detail}.", _hint(detail)
    )


def _place_of_error(text: str, error: yaml.YAMLError) -> tuple[int, int]:
    """Give line and column; what is missed at the end of the text is missed on its last line."""
    if isinstance(error, ReaderError):
        before = text.encode()[: error.position].decode(errors="ignore").splitlines() or [""]
        return len(before), len(before[-1]) + 1
    mark = getattr(error, "problem_mark", None)
    last = max(1, len(text.splitlines()))
    if mark is None or mark.line >= last:
        return last, 0
    return mark.line + 1, mark.column + 1


_ABOVE_HINT = "If a value lies above a limit, write 'above 50' or put '>50' in quotes."


def _hint(detail: str) -> str:
    if "block scalar" in detail or "line break" in detail or "indicator" in detail:
        return _ABOVE_HINT
    if "tab" in detail or "cannot start any token" in detail:
        return "Indent with spaces, not tabs, and put text that begins with a sign in quotes."
    if "alias" in detail or "alphabetic or numeric" in detail:
        return "Put text that begins with a sign, such as * or &, in quotes."
    if "mapping values are not allowed" in detail:
        return "Put text that holds a colon in quotes, and check the indentation."
    if "second document" in detail:
        return "Keep one entry per file: remove the '---' line and what follows it."
    if "control characters" in detail:
        return "Remove the invisible character, or write the line anew."
    return "Check quotes, brackets and indentation on this line and the one before."


class _Builder:
    """Walks nodes once, collecting values, places and problems."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.values: dict[Location, tuple[int, int]] = {}
        self.keys: dict[Location, tuple[int, int]] = {}
        self.problems: list[Problem] = []
        self.count = 0
        self.too_much = False

    def build(self, node: yaml.Node, location: Location) -> Any:
        self.count += 1
        if self.count > MAX_VALUES or len(location) > MAX_DEPTH:
            self.too_much = True
        if self.too_much:
            return None
        mark = node.start_mark
        self.values[location] = (mark.line + 1, mark.column + 1)
        if isinstance(node, yaml.ScalarNode):
            return self._scalar(node)
        self._check_tag(node)
        if isinstance(node, yaml.MappingNode):
            return dict(self._items(node, location))
        split = self._split_decimals(node, node.value)
        items = [item for item in node.value if id(item) not in split]
        return [self.build(item, (*location, i)) for i, item in enumerate(items)]

    def _split_decimals(self, node: yaml.Node, nodes: list[yaml.Node]) -> set[int]:
        """Report ``8,2`` inside brackets, two values to YAML, and give the ids of such nodes."""
        split: set[int] = set()
        if not isinstance(node, yaml.CollectionNode) or not node.flow_style:
            return split
        runs: list[list[yaml.Node]] = []
        for part, following in itertools.pairwise(nodes):
            if _comma_joins(part, following):
                if runs and runs[-1][-1] is part:
                    runs[-1].append(following)
                else:
                    runs.append([part, following])
        for run in runs:
            split.update(id(part) for part in run)
            self._split_decimal([part.value for part in run], run[0].start_mark)
        return split

    def _split_decimal(self, parts: list[str], mark: yaml.Mark) -> None:
        what = f"Inside [ ] or {{ }} a comma separates: '{','.join(parts)}' is {len(parts)} values."
        meant = [".".join(parts)] if len(parts) == 2 else ["a decimal point"]
        if _THOUSANDS.match(",".join(parts)):
            meant.insert(0, "".join(parts))
        hint = f"Write {' or '.join(meant)}, or a space after each comma that separates."
        self.problems.append(
            Problem(self.file, mark.line + 1, mark.column + 1, "ambiguous-comma", what, hint)
        )

    def _scalar(self, node: yaml.ScalarNode) -> Any:
        self._check_tag(node)
        if node.style == ">" and not node.value:
            self._empty_fold(node.start_mark)
            return None
        return plain_value(node.value) if not node.style else node.value

    def _empty_fold(self, mark: yaml.Mark) -> None:
        what = "To YAML, '>' announces text on the lines below, and there is none."
        self.problems.append(
            Problem(self.file, mark.line + 1, mark.column + 1, "not-text", what, _ABOVE_HINT)
        )

    def _items(self, node: yaml.MappingNode, location: Location) -> Iterator[tuple[str, Any]]:
        seen: dict[str, int] = {}
        # A key without a value has an empty node for it, which stands between it and the next.
        parts = [part for pair in node.value for part in pair if part.value]
        split = self._split_decimals(node, parts)
        for key_node, value_node in node.value:
            if id(key_node) in split or id(value_node) in split:
                continue
            line, column = key_node.start_mark.line + 1, key_node.start_mark.column + 1
            if not isinstance(key_node, yaml.ScalarNode):
                what, hint = "A key must be a single word or text.", "Write 'name: value'."
                self.problems.append(Problem(self.file, line, column, "bad-key", what, hint))
                continue
            key = key_node.value
            if key in seen:
                what = f"'{excerpt(key)}' is written twice here (first on line {seen[key]})."
                hint = "Keep one of the two; until then the first one counts."
                self.problems.append(Problem(self.file, line, column, "duplicate-key", what, hint))
                continue
            seen[key] = line
            self.keys[(*location, key)] = (line, column)
            yield key, self.build(value_node, (*location, key))

    def _check_tag(self, node: yaml.Node) -> None:
        if node.tag not in _CORE_TAGS and node.tag != "!":
            tag = node.tag.replace("tag:yaml.org,2002:", "!!")
            what = f"The tag '{excerpt(tag)}' has no meaning here."
            mark, hint = node.start_mark, "Remove it; write the plain value."
            self.problems.append(
                Problem(self.file, mark.line + 1, mark.column + 1, "yaml-tag", what, hint)
            )


_BEFORE_COMMA = re.compile(
    r"(?:.*(?:±|\+/-|\+-)\s*)?(?:[<>≤≥]|below\s|above\s|under\s|over\s)?\s*[-+]?[0-9]+",
    re.IGNORECASE,
)
_THOUSANDS = re.compile(r"[-+]?[1-9][0-9]{0,2},[0-9]{3}(?![0-9,])")
_AFTER_COMMA = re.compile(r"[0-9]+(?:\s*(?:[^\W\d_]|[%‰°µ±+\"]).*)?")


def _comma_joins(node: yaml.Node, following: yaml.Node) -> bool:
    """Tell whether two plain scalars look like one decimal number, as in ``8,2`` or ``< 0,5 L``."""
    return (
        isinstance(node, yaml.ScalarNode)
        and isinstance(following, yaml.ScalarNode)
        and not node.style
        and not following.style
        and following.start_mark.index == node.end_mark.index + 1
        and _BEFORE_COMMA.fullmatch(node.value) is not None
        and _AFTER_COMMA.fullmatch(following.value) is not None
    )


def plain_value(text: str) -> Any:
    """Give what an unquoted scalar means by the YAML 1.2 core schema.

    Source:
        YAML 1.2.2, section 10.3.2, tag resolution of the core schema. Octal and
        hexadecimal forms (``0o17``, ``0xFF``) stay text: nobody measures in them.

    >>> plain_value("010"), plain_value("18:30"), plain_value("no"), plain_value("8.20")
    (10, '18:30', 'no', 8.2)
    """
    if text in _NULL:
        return None
    if text in _TRUE:
        return True
    if text in _FALSE:
        return False
    if _INT.fullmatch(text):
        return int(text) if len(text) <= _MAX_DIGITS else text
    if _FLOAT.fullmatch(text):
        return float(text)
    if _SPECIAL_FLOAT.fullmatch(text):
        return float(text.replace(".", "").lower())
    return text
