"""Writing into the log: new entry files, and lines added to those that are there.

A line that somebody wrote is never changed. New lines are put between the old ones as text, the
result is read back, and where it does not say exactly what was meant, or an old line would have
to change (``upkeep: glass`` cannot take a second task), the new facts get a file of their own.
"""

from __future__ import annotations

import datetime as dt
import os
import re
import secrets
from collections.abc import Collection, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import yaml

from journal_tools.journal import LOG_FOLDER, Journal
from journal_tools.logged import LoggedEntry
from journal_tools.read import read_document
from journal_tools.schema import ENTRY_SCHEMA, modeline
from journal_tools.writing.yaml_text import block_lines, entry_text, inline, section_lines


class ChangedMeanwhileError(OSError):
    """A file is no longer what it was when the change to it was worked out."""


@dataclass(frozen=True, slots=True)
class FileChange:
    """One file to be written.

    Attributes:
        path: The file.
        before: Its content when the change was worked out; None if it was not there.
        after: Its new content.
    """

    path: Path
    before: bytes | None
    after: bytes

    @property
    def is_new(self) -> bool:
        """Whether the file was not there."""
        return self.before is None


def write_change(change: FileChange) -> None:
    """Write a file so that a reader sees all of it or nothing of it, whatever happens between.

    Raises:
        ChangedMeanwhileError: If the file is no longer what it was; then nothing is written.
        OSError: If it cannot be written; then the old file is still whole.
    """
    # Of a link, the file that it leads to is written, not the link.
    change = replace(change, path=Path(os.path.realpath(change.path)))
    path = change.path
    path.parent.mkdir(parents=True, exist_ok=True)
    draft = path.with_name(f".{path.name}.{secrets.token_hex(4)}.tmp")
    try:
        with draft.open("xb") as file:
            file.write(change.after)
            file.flush()
            os.fsync(file.fileno())
        _put_in_place(draft, change)
    finally:
        draft.unlink(missing_ok=True)
    _settle(path.parent)


def _put_in_place(draft: Path, change: FileChange) -> None:
    now = change.path.read_bytes() if change.path.exists() else None
    if now != change.before:
        raise ChangedMeanwhileError(f"{change.path} was changed by another program meanwhile")
    if change.is_new:
        try:
            # Unlike a rename, a link never replaces a file that has come into being since.
            os.link(draft, change.path)
        except FileExistsError as error:
            raise ChangedMeanwhileError(f"{change.path} was made by another program") from error
        except OSError:
            draft.replace(change.path)  # a drive without links, such as FAT
        return
    draft.chmod(change.path.stat().st_mode)
    draft.replace(change.path)


def _settle(folder: Path) -> None:
    """Have the folder's listing written to the disk as well, where the system can do that."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


# --- Where an entry goes ----------------------------------------------------------------------


def entry_change(
    journal: Journal, day: dt.date, data: Mapping[str, Any], *, may_append: bool = True
) -> FileChange:
    """Give the change that puts facts into the log: lines added to the day's file, or a new one.

    An entry has one time of day. Facts with a time go into a file of that very time, facts
    without one into any file of the day.

    Args:
        journal: The journal as it is now.
        day: The keeper's day.
        data: Entry data as plain values, ``time`` included where it is known.
        may_append: False asks for a new file in any case.
    """
    for entry in _of_the_day(journal, day, data) if may_append else ():
        path = journal.folder / entry.file
        before = path.read_bytes()
        added = {key: value for key, value in data.items() if key != "time"}
        after = with_lines_added(before, added)
        if after is not None:
            return FileChange(path, before, after)
    path = journal.folder / new_file_name(journal, day, str(data.get("time", "")))
    return FileChange(path, None, entry_text(data, schema_line(journal, path)).encode())


def _of_the_day(journal: Journal, day: dt.date, data: Mapping[str, Any]) -> Iterator[LoggedEntry]:
    same_day = [entry for entry in journal.entries if entry.day == day]
    # The file that is named by its day alone first, then the latest.
    same_day.sort(key=lambda e: (Path(e.file).stem != day.isoformat(), -e.time.timestamp(), e.id))
    for entry in same_day:
        clock = entry.record.time
        if "time" not in data or (clock and f"{clock:%H:%M}" == data["time"]):
            yield entry


def new_file_name(
    journal: Journal, day: dt.date, clock: str, stem: str = "", taken: Collection[str] | None = None
) -> str:
    """Give the path of a new entry, laid out as the journal's other entries are.

    Args:
        journal: The journal as it is now.
        day: The keeper's day.
        clock: Time of day, for the name of a second entry; may be empty.
        stem: A name to keep if it is free.
        taken: Names that are not free, without ending and case; the log is looked at if left out.
    """
    if taken is None:
        taken = taken_names(journal)
    by_time = [f"{day}-{clock.replace(':', '')}"] if clock else []
    numbered = (f"{day}-{number}" for number in range(2, len(taken) + 3))
    wanted = [stem] if stem else []
    names = [*wanted, day.isoformat(), *by_time, *numbered]
    free = next(name for name in names if name.casefold() not in taken)
    in_years = any(re.fullmatch(r"log/\d{4}/[^/]+", entry.file) for entry in journal.entries[-1:])
    return f"{LOG_FOLDER}/{day.year}/{free}.yml" if in_years else f"{LOG_FOLDER}/{free}.yml"


def taken_names(journal: Journal) -> set[str]:
    """Give the names of all entry files, without ending and case."""
    return {path.stem.casefold() for path in (journal.folder / LOG_FOLDER).rglob("*.y*ml")}


def schema_line(journal: Journal, path: Path) -> str:
    """Give the comment that lets an editor complete the file, in a journal that has the schema."""
    schema = journal.folder / LOG_FOLDER / ENTRY_SCHEMA
    if not schema.is_file():
        return ""
    up = "../" * len(path.parent.relative_to(schema.parent).parts)
    return modeline(f"{up}{ENTRY_SCHEMA}")


# --- Lines between the lines ------------------------------------------------------------------


def with_lines_added(content: bytes, added: Mapping[str, Any]) -> bytes | None:
    """Give an entry file with facts added and every old line as it was, or None if that fails.

    Args:
        content: The file.
        added: Entry data as plain values.
    """
    old, problems = read_document("entry.yml", content)
    if old is None or not isinstance(old.data, dict):
        return None
    text = content.decode("utf-8")
    root = yaml.compose(text.removeprefix("\ufeff"), Loader=yaml.CSafeLoader)
    if not isinstance(root, yaml.MappingNode) or root.flow_style:
        return None
    lines = text.splitlines(keepends=True)
    if len(lines) != len(re.split("\r\n|\n|\r", text.rstrip("\r\n"))) + _blank_end(text):
        return None  # an odd line break inside: lines cannot be counted as YAML counts them
    insertions = _insertions(root, old.data, added, lines)
    if insertions is None:
        return None
    result = _inserted(lines, insertions, "\r\n" if "\r\n" in text else "\n").encode()
    new, found = read_document("entry.yml", result)
    meant = _merged(old.data, added)
    if new is None or len(found) != len(problems) or _settled(new.data) != _settled(meant):
        return None
    return result


def _blank_end(text: str) -> int:
    body = text.rstrip("\r\n")
    return max(0, len(text[len(body) :].splitlines()) - 1)


Insertion = tuple[int, list[str]]
"""After how many of the old lines, which new ones."""


def _insertions(
    root: yaml.MappingNode, data: dict[str, Any], added: Mapping[str, Any], lines: list[str]
) -> list[Insertion] | None:
    nodes = {key.value: value for key, value in root.value}
    found: list[Insertion] = []
    at_end: list[str] = []
    for key, value in added.items():
        if key not in nodes:
            at_end += section_lines(key, value)
        elif data[key] != value:
            insertion = _grown(nodes[key], key, value, lines)
            if insertion is None:
                return None
            found.append(insertion)
    if at_end:
        found.append((len(lines), at_end))
    return sorted(found, key=lambda insertion: insertion[0])


def _grown(node: yaml.Node, key: str, value: Any, lines: list[str]) -> Insertion | None:
    """Give the lines by which a section grows, or None where an old line would have to change."""
    end, indent = _last_line(node, lines), " " * node.start_mark.column
    if key == "notes" and isinstance(node, yaml.ScalarNode) and node.style == "|":
        first = next((n for n in range(node.start_mark.line + 1, end) if lines[n].strip()), None)
        if first is None:
            return None
        depth = len(lines[first]) - len(lines[first].lstrip(" "))
        return end, ["", *block_lines(str(value), depth)]
    if not isinstance(node, yaml.CollectionNode) or node.flow_style:
        return None
    if isinstance(node, yaml.SequenceNode) and isinstance(value, list):
        return end, [f"{indent}- {inline(item)}" for item in value]
    there = {name.value for name, _ in node.value} if isinstance(node, yaml.MappingNode) else set()
    if key == "readings" and there and not there & value.keys():
        return end, [f"{indent}{name}: {inline(item)}" for name, item in value.items()]
    return None


def _last_line(node: yaml.Node, lines: list[str]) -> int:
    """Give how many lines there are up to the end of a node."""
    last = node
    while isinstance(last, yaml.CollectionNode) and not last.flow_style and last.value:
        item = last.value[-1]
        last = item[1] if isinstance(item, tuple) else item
    end: int = last.end_mark.line + (last.end_mark.column > 0)
    while end > 1 and not lines[min(end, len(lines)) - 1].strip():
        end -= 1
    return end


def _inserted(lines: list[str], insertions: list[Insertion], newline: str) -> str:
    parts: list[str] = []
    start = 0
    for end, new in insertions:
        parts += lines[start:end]
        if parts and not parts[-1].endswith(("\n", "\r")):
            parts.append(newline)
        parts += [line + newline for line in new]
        start = end
    return "".join([*parts, *lines[start:]])


def _merged(data: Mapping[str, Any], added: Mapping[str, Any]) -> dict[str, Any]:
    merged = dict(data)
    for key, value in added.items():
        old = data.get(key)
        if key not in data or old == value:
            merged[key] = value
        elif key == "notes":
            merged[key] = f"{str(old).rstrip()}\n\n{value}"
        elif isinstance(old, dict) and isinstance(value, Mapping):
            merged[key] = {**old, **value}
        else:
            merged[key] = [*(old if isinstance(old, list) else [old]), *value]
    return merged


def _settled(data: dict[str, Any]) -> dict[str, Any]:
    """Give data without the line ends around notes, which say nothing."""
    return {k: str(v).strip("\n ") if k == "notes" else v for k, v in data.items()}
