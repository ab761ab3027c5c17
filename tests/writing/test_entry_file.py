from __future__ import annotations

import datetime as dt
import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.journal import load_journal
from journal_tools.read import read_document
from journal_tools.writing.entry_file import (
    ChangedMeanwhileError,
    FileChange,
    entry_change,
    with_lines_added,
    write_change,
)
from tests.writing.conftest import TODAY

DAY = dt.date(2026, 3, 14)

STYLES = [
    "title: x\n",
    "title: x",
    "# first\ntitle:   'x'   # why\n\n\n",
    "readings:\n    alkalinity: 8.2   # drop test\n    # calcium tomorrow\ntitle: x\n",
    "upkeep:\n- glass\n-   filter floss # twice\n\n# the end\n",
    "livestock:\n  - added: clownfish\n    count: 2\n\n  - {lost: turbo snail,\n     why: heat}\n",
    "notes: |\n  One.\n\n  Two.\n\n\n",
    "notes: |\n    Indented by four.\ntitle: x\n",
    "\ufefftitle: x\r\nreadings:\r\n  alkalinity: 8.2\r\n",
    "feed:\n  - mysis\nnotes: |+\n  kept\n\n",
    "costs:\n  - what: salt\n    amount: 54.90\n    category: >-\n      salt and\n      more\n",
]
FRAGMENTS: list[dict[str, Any]] = [
    {"readings": {"calcium": 420}},
    {"upkeep": ["skimmer cup"]},
    {"livestock": [{"lost": "turbo snail"}], "notes": "Hot.\n\nVery."},
    {"feed": ["flakes", {"what": "mysis", "amount": "2 g"}], "tags": ["water"]},
    {"costs": [{"what": "flakes", "amount": 3}], "water_change": ["20 L"]},
]


@given(st.sampled_from(STYLES), st.sampled_from(FRAGMENTS))
def test_every_old_line_stays_as_it_was(old: str, fragment: dict[str, Any]) -> None:
    new = with_lines_added(old.encode(), fragment)
    assert new is not None
    rest = iter(new.decode().splitlines(keepends=True))
    for line in old.splitlines(keepends=True):
        ended = line if line.endswith("\n") else line + "\n"
        assert ended in rest, "missing, changed, or not in its place"
    document, problems = read_document("day.yml", new)
    assert document is not None and problems == []
    for key, value in fragment.items():
        written = document.data[key]
        if isinstance(value, list):
            assert written[-len(value) :] == value
        elif isinstance(value, dict):
            assert written.items() >= value.items()
        else:
            assert written.rstrip().endswith(value)


@pytest.mark.parametrize(
    ("old", "fragment"),
    [
        ("upkeep: glass\n", {"upkeep": ["filter floss"]}),
        ("upkeep: [glass]\n", {"upkeep": ["filter floss"]}),
        ("readings: {calcium: 420}\n", {"readings": {"alkalinity": 8}}),
        ("readings:\n  calcium: 420\n", {"readings": {"calcium": 430}}),
        ("title: x\n", {"title": "y"}),
        ("notes: short\n", {"notes": "more"}),
        ("{title: x}\n", {"feed": ["mysis"]}),
        ("title: x\n...\n", {"feed": ["mysis"]}),
        ("upkeep:\n", {"upkeep": ["glass"]}),
        ("title: [\n", {"feed": ["mysis"]}),
        ("- a\n", {"feed": ["mysis"]}),
        ("", {"feed": ["mysis"]}),
    ],
)
def test_what_would_change_a_line_is_not_done(old: str, fragment: dict[str, Any]) -> None:
    assert with_lines_added(old.encode(), fragment) is None


def test_new_lines_stand_with_their_like() -> None:
    old = b"readings:\n  alkalinity: 8.2  # evening\n\nupkeep:\n- glass\n"
    new = with_lines_added(old, {"readings": {"ph": 8.1}, "upkeep": ["floss"], "feed": ["mysis"]})
    assert new == (
        b"readings:\n  alkalinity: 8.2  # evening\n  ph: 8.1\n\n"
        b"upkeep:\n- glass\n- floss\nfeed:\n  - mysis\n"
    )


def entries(folder: Path, files: dict[str, str]) -> None:
    for name, text in files.items():
        path = folder / "log" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


def place(folder: Path, data: dict[str, Any]) -> str:
    change = entry_change(load_journal(folder, TODAY), DAY, data)
    return change.path.relative_to(folder / "log").as_posix() + (" new" if change.is_new else "")


FOOD = {"feed": ["mysis"]}


@pytest.mark.parametrize(
    ("there", "data", "goes_to"),
    [
        ({}, FOOD, "2026-03-14.yml new"),
        ({"2026-03-14.yml": "title: x"}, FOOD, "2026-03-14.yml"),
        ({"2026-03-14-noon.yml": "title: x"}, FOOD, "2026-03-14-noon.yml"),
        ({"a.yml": "date: 2026-03-14\ntitle: x"}, FOOD, "a.yml"),
        ({"2026-03-14.yml": "title: x", "2026-03-14-b.yml": "title: y"}, FOOD, "2026-03-14.yml"),
        ({"2026-03-14.yml": "draft: true\ntitle: x"}, FOOD, "2026-03-14-2.yml new"),
        ({"2026-03-14.yml": "title: x"}, {"time": "18:40", **FOOD}, "2026-03-14-1840.yml new"),
        ({"2026-03-14.yml": "time: '18:40'\ntitle: x"}, {"time": "18:40", **FOOD},
         "2026-03-14.yml"),
        ({"2026-03-14.yml": "feed: mysis"}, FOOD | {"feed": ["flakes"]}, "2026-03-14-2.yml new"),
        ({"2026-03-14.YAML.yml": "x", "2026/2026-03-13.yml": "title: x"}, FOOD,
         "2026/2026-03-14.yml new"),
    ],
)  # fmt: skip
def test_where_an_entry_goes(
    folder: Path, there: dict[str, str], data: dict[str, Any], goes_to: str
) -> None:
    entries(folder, there)
    assert place(folder, data) == goes_to


def test_a_new_file_names_the_schema_that_lies_in_the_log(folder: Path) -> None:
    entries(folder, {"entry.schema.json": "{}", "2026/2026-03-13.yml": "title: x"})
    change = entry_change(load_journal(folder, TODAY), DAY, FOOD)
    assert change.after == (
        b"# yaml-language-server: $schema=../entry.schema.json\nfeed:\n  - mysis\n"
    )


# --- Writing ----------------------------------------------------------------------------------


def test_a_file_is_written_whole_and_nothing_lies_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "log" / "a.yml"
    write_change(FileChange(path, None, b"one"))
    write_change(FileChange(path, b"one", b"two"))
    assert path.read_bytes() == b"two"
    assert [p.name for p in path.parent.iterdir()] == ["a.yml"]


def test_a_file_that_was_changed_meanwhile_stays(tmp_path: Path) -> None:
    path = tmp_path / "a.yml"
    path.write_bytes(b"by hand")
    for before in (None, b"other"):
        with pytest.raises(ChangedMeanwhileError, match="changed by another program"):
            write_change(FileChange(path, before, b"new"))
    with pytest.raises(ChangedMeanwhileError):
        write_change(FileChange(tmp_path / "gone.yml", b"was there", b"new"))
    assert [p.name for p in tmp_path.iterdir()] == ["a.yml"]
    assert path.read_bytes() == b"by hand"


def test_a_write_that_fails_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.yml"
    path.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write_change(FileChange(path, b"old", b"new"))
    assert [(p.name, p.read_bytes()) for p in tmp_path.iterdir()] == [("a.yml", b"old")]


def test_a_drive_without_links_is_written_as_well(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    write_change(FileChange(tmp_path / "a.yml", None, b"one"))
    assert (tmp_path / "a.yml").read_bytes() == b"one"
