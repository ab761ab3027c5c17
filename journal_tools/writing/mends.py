"""How a problem of a journal may be mended: one place in one file, written otherwise.

A mend changes the text at the reported line and column and nothing else: the file is never
written anew from its values. Whether it helps is for a trial to say, not for this module.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import yaml

from journal_tools.problems import Problem
from journal_tools.writing.yaml_text import scalar

_BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")


@dataclass(frozen=True, slots=True)
class Mend:
    """One file as it would be.

    Attributes:
        file: The file, relative to the journal's folder.
        text: Its new text.
        doubtful: Whether only the keeper knows that it is right.
        name: Its new name, or ``""``.
    """

    file: str
    text: str
    doubtful: bool = False
    name: str = ""


def mend(problem: Problem, text: str) -> Mend | None:
    """Give how a problem may be mended, or None where nothing is safe to propose.

    Args:
        problem: What a check has reported.
        text: The file that it is about, without a byte order mark.
    """
    if problem.code == "not-an-entry":
        return _renamed(problem, text)
    if problem.code == "yaml-syntax":
        return _without_tabs(problem, text)
    if problem.code == "ambiguous-comma":
        return _with_point(problem, text)
    for rule in _RULES:
        if rule.code == problem.code:
            said, hint = rule.what.match(problem.what), rule.hint.match(problem.hint)
            if said and hint and (changed := _replaced(problem, text, said, hint, rule)):
                return Mend(problem.file, changed, rule.doubtful)
    return None


# --- Words and values -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Rule:
    """Which problems name the text to write.

    Attributes:
        code: Code of the problem.
        what: Its sentence; the group ``old`` is what stands in the file.
        hint: Its hint; the group ``new`` is what to write.
        doubtful: Whether only the keeper knows that it is right.
        part: ``whole`` if the value becomes the new text, ``end`` if the new text takes the place
            of the old one at the end of the value, ``more`` if it is put behind the value.
    """

    code: str
    what: re.Pattern[str]
    hint: re.Pattern[str]
    doubtful: bool = False
    part: str = "whole"


_MEANT = re.compile(r"Did you mean '(?P<new>[^']+)'\?")
_RULES = (
    _Rule("unknown-key", re.compile(r"The key '(?P<old>[^…]+)' is not known here\."), _MEANT),
    _Rule(
        "two-spellings", re.compile(r"'(?P<old>.+)' and '.+' look like two spellings"),
        re.compile(r"Write '(?P<new>.+)' if you mean the same\."), True,
    ),
    _Rule(
        "unknown-unit", re.compile(r"The unit '(?P<old>[^…]+)' is not known"), _MEANT, True, "end",
    ),
    _Rule(
        "impossible-value", re.compile(r".* of '(?P<old>[^…]+)' is outside what can be"),
        re.compile(r"If it is in (?P<new>.+), write '.+'\.$"), True, "more",
    ),
    _Rule(
        "photo-case", re.compile(r'The photo "(?P<old>.+)" is stored as ".+"'),
        re.compile(r"Write (?P<new>.+)\.$"),
    ),
    _Rule(
        "photo-missing", re.compile(r'The photo "(?P<old>.+)" is not in the photos folder'),
        re.compile(r"Did you mean (?P<new>.+)\?"), True,
    ),
)  # fmt: skip


def _replaced(
    problem: Problem, text: str, said: re.Match[str], hint: re.Match[str], rule: _Rule
) -> str | None:
    found = next(_scalars_at(text, problem.line, problem.column), None)
    if found is None:
        return None
    start, end, node = found
    value, new = node.value, hint["new"]
    if rule.part == "more":
        new = f"{value} {new}"
    elif rule.part == "end":
        if not value.endswith(said["old"]):
            return None
        new = value.removesuffix(said["old"]) + new
    elif value.strip() != said["old"]:
        return None
    return text[:start] + _in_style(new, node.style) + text[end:]


def _in_style(value: str, style: str | None) -> str:
    if style in ("'", '"') and not re.search(r"['\"\\\n]", value):
        return f"{style}{value}{style}"
    return scalar(value)


def _scalars_at(text: str, line: int, column: int) -> Iterator[tuple[int, int, yaml.ScalarNode]]:
    """Give where the value or key that begins at a place begins and ends in the text."""
    try:
        root = yaml.compose(text, Loader=yaml.CSafeLoader)
    except yaml.YAMLError:
        return
    starts = [0, *(found.end() for found in _BREAK.finditer(text))]
    for node in _nodes(root, set()):
        begin, end = node.start_mark, node.end_mark
        one_line = begin.line == end.line and node.style in (None, "", "'", '"')
        if one_line and (begin.line + 1, begin.column + 1) == (line, column) and node.value:
            yield starts[begin.line] + begin.column, starts[end.line] + end.column, node


def _nodes(node: yaml.Node | None, seen: set[int]) -> Iterator[yaml.ScalarNode]:
    if node is None or id(node) in seen:
        return
    seen.add(id(node))
    if isinstance(node, yaml.ScalarNode):
        yield node
        return
    for item in node.value:
        for part in item if isinstance(item, tuple) else (item,):
            yield from _nodes(part, seen)


# --- Other mends ------------------------------------------------------------------------------


def _renamed(problem: Problem, text: str) -> Mend | None:
    """Take a wrong ending off a name, such as that of ``2026-03-14.yml.txt``."""
    name = problem.file.rpartition("/")[2]
    found = re.fullmatch(r"(\d{4}-\d{2}-\d{2}[^.]*)(?:\.ya?ml)?\.(?:txt|text|yam|yl|ylm)", name)
    if found is None:
        return None
    return Mend(problem.file, text, name=problem.file.removesuffix(name) + f"{found[1]}.yml")


def _without_tabs(problem: Problem, text: str) -> Mend | None:
    """Put two spaces in the place of every tab by which a line is indented."""

    def spaces(found: re.Match[str]) -> str:
        return found[0].replace("\t", "  ")

    changed = re.sub(r"^[ \t]+", spaces, text, flags=re.MULTILINE)
    return Mend(problem.file, changed) if changed != text else None


def _with_point(problem: Problem, text: str) -> Mend | None:
    """Write a decimal comma between brackets as a point, where it can be nothing else."""
    said = re.search(r"a comma separates: '([^']+)' is 2 values", problem.what)
    hint = re.match(r"Write (?P<new>.+?), or a space after", problem.hint)
    lines = _lines(text)
    several = hint is None or " or " in hint["new"]
    if said is None or several or problem.line > len(lines):
        return None
    line, at = lines[problem.line - 1], problem.column - 1
    if not line.startswith(said[1], at):
        return None
    # The end of the text, such as a unit, stays as it is.
    lines[problem.line - 1] = line[:at] + said[1].replace(",", ".", 1) + line[at + len(said[1]) :]
    return Mend(problem.file, "".join(lines))


def _lines(text: str) -> list[str]:
    starts = [0, *(found.end() for found in _BREAK.finditer(text)), len(text)]
    return [text[a:b] for a, b in pairwise(starts)]
