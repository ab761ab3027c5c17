"""The command ``due``."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from journal_tools.writing.due_command import due_now
from tests.command import Outcome

PROFILE = """\
name: Test reef
start: 2026-01-01
time_zone: Europe/Berlin
upkeep: [{task: glass, every: 4 days}, {task: skimmer cup, every: 3 days}]
tests: {alkalinity: {every: 1 week}}
supplements: [{name: mix, no_effect: true, bottle: 1 L}]
"""
LOG = {
    "2026-03-24.yml": "readings: {alkalinity: 8, magnesium: 1300}\n",
    "2026-03-26.yml": "upkeep: [glass]\n",
    "2026-03-30.yml": "upkeep: [skimmer cup]\n",
}


@pytest.fixture
def reef(folder: Path) -> Path:
    (folder / "tank.yml").write_text(PROFILE)
    (folder / "log").mkdir()
    for name, text in LOG.items():
        (folder / "log" / name).write_text(text)
    return folder


def test_what_is_due(reef: Path) -> None:
    outcome = Outcome("due", reef)
    assert (outcome.code, outcome.err) == (1, "")
    assert outcome.out == (
        "Test reef, 2026-03-31\n"
        "  1 day late  glass (every 4 days; last done 2026-03-26)\n"
        "  today       test alkalinity (every 7 days; last done 2026-03-24)\n"
    )


def test_looking_ahead(reef: Path) -> None:
    plan = "dosing_plan: {what: mix, per_day: 30 ml}\n"
    (reef / "log" / "2026-03-10.yml").write_text(plan)
    outcome = Outcome("due", reef, "--days", "30")
    assert outcome.out.splitlines()[3:] == [
        "  in 1 day    order mix (lasts 11 days, at least 8)",
        "  in 2 days   skimmer cup (every 3 days; last done 2026-03-30)",
        "  in 3 weeks  test magnesium (usually every 4 weeks; last done 2026-03-24)",
    ]


ALL_DONE = "upkeep: [glass]\nreadings: {alkalinity: 8}\n"


def test_nothing_is_due(
    reef: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (reef / "log" / "2026-03-31.yml").write_text(ALL_DONE)
    outcome = Outcome("due", reef)
    assert (outcome.code, outcome.out, outcome.err) == (0, "", ""), "no mail is sent"
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    assert due_now(reef, None, 0, as_json=False) == 0
    assert capsys.readouterr().out == "Nothing is due.\n"


def test_for_a_program(reef: Path) -> None:
    outcome = Outcome("due", reef, "--json")
    assert outcome.code == 1
    found = json.loads(outcome.out)
    assert (found["tank"], found["today"]) == ("Test reef", "2026-03-31")
    assert found["due"][0] == {
        "kind": "upkeep", "what": "glass", "day": "2026-03-30", "days_late": 1,
        "why": "every 4 days; last done 2026-03-26", "entry": "2026-03-26",
    }  # fmt: skip
    (reef / "log" / "2026-03-31.yml").write_text(ALL_DONE)
    nothing = Outcome("due", reef, "--json")
    assert (nothing.code, json.loads(nothing.out)["due"]) == (0, [])


def test_no_journal(tmp_path: Path) -> None:
    outcome = Outcome("due", tmp_path)
    assert outcome.code == 2
    assert outcome.err.startswith("There is no journal in ")


def test_nothing_heavy_is_loaded(reef: Path) -> None:
    """It runs every morning, perhaps on a small machine: tables would double its time."""
    code = (
        "import sys; from journal_tools.writing.due_command import due_now; "
        "from pathlib import Path; due_now(Path(sys.argv[1]), None, 0, as_json=False); "
        "print([m for m in ('pandas', 'scipy', 'altair', 'jinja2', 'icalendar', 'mkdocs') "
        "if m in sys.modules])"
    )
    run = subprocess.run(
        [sys.executable, "-c", code, str(reef)], capture_output=True, text=True, check=True,
        cwd=Path(__file__).parents[2],
    )  # fmt: skip
    assert run.stdout.splitlines()[-1] == "[]"
