from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from pathlib import Path

import pytest
import yaml

from journal_tools.journal import Journal, load_journal
from journal_tools.metrics.volume import vessel_volume_l
from journal_tools.quantities import Band
from journal_tools.schema import ENTRY_SCHEMA, PROFILE_SCHEMA
from journal_tools.starter import (
    Answers,
    answer_problems,
    local_time_zone,
    start_journal,
    starter_files,
)

ANSWERS = Answers("My reef", "Someone", dt.date(2026, 3, 14), "Europe/Berlin")
TODAY = dt.date(2026, 4, 1)
EXAMPLE = re.compile(r"^# (?=[a-z_]+:( |$)|  )", re.MULTILINE)
"""Begin of a commented example: a key, or what is indented under it."""


def started(folder: Path, answers: Answers) -> Journal:
    start_journal(folder, answers)
    return load_journal(folder / "content", TODAY)


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("folder", ["reef", "mein erstes Riff", "ünï 🐠/deep/er", "a 'b' & c"])
def test_a_new_journal_has_no_problem(tmp_path: Path, folder: str, units: str) -> None:
    journal = started(tmp_path / folder, replace(ANSWERS, units=units))
    assert journal.problems == ()
    assert [(entry.id, entry.title) for entry in journal.entries] == [
        ("2026-03-14-the-first-day", "The first day")
    ]
    assert journal.profile.units.system == units
    assert journal.profile.start == ANSWERS.start


NAMES = [
    'The "big" one', "it's", "a: b # c", "- dash", "🐠 reef", "{curly} [square]", "no", "010", "~",
    "*star", "@home", "%d {{ x }} {% y %}", "back\\slash", "Ж 海", "> fold", "x" * 200,
]  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_names_survive_whatever_they_hold(tmp_path: Path, name: str) -> None:
    journal = started(tmp_path, replace(ANSWERS, name=name, keeper=name))
    assert journal.problems == ()
    assert (journal.profile.name, journal.profile.keeper) == (name, name)
    settings = (tmp_path / "mkdocs.yml").read_text(encoding="utf-8")
    assert yaml.safe_load(settings)["site_name"] == name


def test_a_journal_without_a_keeper(tmp_path: Path) -> None:
    journal = started(tmp_path, replace(ANSWERS, keeper=""))
    assert journal.problems == ()
    assert journal.profile.keeper is None


def test_every_file_is_named(tmp_path: Path) -> None:
    written = start_journal(tmp_path, ANSWERS)
    there = sorted(path for path in tmp_path.rglob("*") if path.is_file())
    assert sorted(written) == there
    assert [path.relative_to(tmp_path).as_posix() for path in there] == [
        ".gitignore", "content/log/2026-03-14-the-first-day.yml", f"content/log/{ENTRY_SCHEMA}",
        "content/photos/README.txt", f"content/{PROFILE_SCHEMA}", "content/tank.yml", "mkdocs.yml",
    ]  # fmt: skip
    for name, schema in (
        ("tank.yml", PROFILE_SCHEMA),
        ("log/2026-03-14-the-first-day.yml", ENTRY_SCHEMA),
    ):
        first = (tmp_path / "content" / name).read_text(encoding="utf-8").splitlines()[0]
        assert first == f"# yaml-language-server: $schema={schema}"
        assert ((tmp_path / "content" / name).parent / schema).is_file()


@pytest.mark.parametrize("name", starter_files(ANSWERS))
def test_nothing_is_ever_overwritten(tmp_path: Path, name: str) -> None:
    mine = tmp_path / name
    mine.parent.mkdir(parents=True, exist_ok=True)
    mine.write_text("mine", encoding="utf-8")
    with pytest.raises(FileExistsError, match=re.escape(str(mine))):
        start_journal(tmp_path, ANSWERS)
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == [mine]
    assert mine.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_commented_examples_of_the_profile_hold(tmp_path: Path, units: str) -> None:
    start_journal(tmp_path, replace(ANSWERS, keeper="", units=units))
    profile = tmp_path / "content" / "tank.yml"
    text, examples = EXAMPLE.subn("", profile.read_text(encoding="utf-8"))
    assert examples >= 15
    profile.write_text(text, encoding="utf-8")
    journal = load_journal(tmp_path / "content", TODAY)
    assert journal.problems == ()
    written = journal.profile.model_fields_set
    assert {"vessels", "fill", "equipment", "supplements", "salt_mix", "tests"} <= written
    assert {"keeper", "targets", "animals", "upkeep"} <= written
    assert journal.profile.targets.alkalinity == Band(7.5, 9)
    length = journal.profile.vessels[0].length
    assert length is not None
    assert length.value == (90 if units == "metric" else pytest.approx(36 * 2.54))
    measured = journal.profile.fill.measured_volume
    assert measured is not None
    by_measures = sum(vessel_volume_l(vessel) for vessel in journal.profile.vessels)
    assert 0.8 < measured.value / by_measures < 1


def test_the_examples_of_the_first_entry_hold(tmp_path: Path) -> None:
    journal = started(tmp_path, ANSWERS)
    notes = journal.entries[0].record.notes
    assert notes is not None
    lines = [line.strip() for line in notes.splitlines() if line.startswith("    ")]
    assert len(lines) >= 4
    second = tmp_path / "content" / "log" / "2026-03-15.yml"
    second.write_text("\n".join(lines), encoding="utf-8")
    (tmp_path / "content" / "photos" / "front.jpg").write_bytes(b"picture")
    journal = load_journal(tmp_path / "content", TODAY)
    assert journal.problems == ()
    assert len(journal.entries) == 2


def test_the_example_beside_the_photos_holds(tmp_path: Path) -> None:
    start_journal(tmp_path, ANSWERS)
    readme = (tmp_path / "content" / "photos" / "README.txt").read_text(encoding="utf-8")
    example = next(line.strip() for line in readme.splitlines() if line.startswith("    "))
    (tmp_path / "content" / "log" / "2026-03-15.yml").write_text(example, encoding="utf-8")
    (tmp_path / "content" / "photos" / "front.jpg").write_bytes(b"picture")
    assert load_journal(tmp_path / "content", TODAY).problems == ()


@pytest.mark.parametrize(
    ("answers", "message"),
    [
        (ANSWERS, None),
        (replace(ANSWERS, name=""), "The text is empty. Write a few words or remove the key."),
        (replace(ANSWERS, currency="EURO"), "'EURO' is no currency code. Write EUR, USD, GBP, …"),
        (replace(ANSWERS, time_zone="Mars/Base"), "'Mars/Base' is no time zone. Write an IANA "
         "name, such as Europe/Berlin or America/Chicago."),
        (replace(ANSWERS, units="imperial"), "'imperial' is not one of the words known here. Use "
         "'metric' or 'us'."),
        (replace(ANSWERS, start=dt.date(1, 1, 1)), "The date 0001-01-01 is not between the years "
         "1950 and 2100. Write year-month-day, such as 2026-03-14."),
    ],
)  # fmt: skip
def test_answers_are_checked_before_anything_is_written(
    answers: Answers, message: str | None
) -> None:
    said = [f"{problem.what} {problem.hint}" for problem in answer_problems(answers)]
    assert said == ([message] if message else [])


def test_the_zone_of_the_computer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", "Pacific/Auckland")
    assert local_time_zone() == "Pacific/Auckland"
    monkeypatch.setenv("TZ", "nonsense")
    assert not answer_problems(replace(ANSWERS, time_zone=local_time_zone()))
