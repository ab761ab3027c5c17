"""The command ``add`` from the keyboard to the file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import typer

from journal_tools.writing import asking
from journal_tools.writing.sentence import GRAMMAR
from tests.command import Outcome

Log = Callable[[], dict[str, str]]
LINE = "alk 8.2, ca 420 mg/L, changed 20 l water, fed mysis, lost a turbo snail"


def checked(folder: Path) -> None:
    run = Outcome("check", folder)
    assert (run.code, run.err) == (0, "")


def test_a_line_is_shown_and_written(folder: Path, log: Log) -> None:
    run = Outcome("add", LINE, "--journal", folder, "--yes")
    assert (run.code, run.err) == (0, "")
    assert run.out == (
        "Tuesday 2026-03-31 (today)\n"
        "  reading       Alkalinity 8.2 dKH (no unit written: the journal counts in dKH)\n"
        "  reading       Calcium 420 mg/L\n"
        "  water change  20 L\n"
        "  livestock     lost 1 × turbo snail\n"
        "  feeding       mysis\n"
        "into the new file log/2026-03-31.yml\n"
        "wrote log/2026-03-31.yml\n"
    )
    assert log() == {
        "2026-03-31.yml": (
            "readings:\n  alkalinity: 8.2\n  calcium: 420 mg/L\nwater_change:\n  - 20 L\n"
            "livestock:\n  - {lost: turbo snail}\nfeed:\n  - mysis\n"
        )
    }
    checked(folder)


def test_words_need_no_quotes(folder: Path, log: Log) -> None:
    assert Outcome("add", "-y", "--journal", folder, "alk", "8.2,", "fed", "mysis").code == 0
    assert log()["2026-03-31.yml"] == "readings:\n  alkalinity: 8.2\nfeed:\n  - mysis\n"


def test_without_a_terminal_nothing_is_written_unasked(folder: Path, log: Log) -> None:
    run = Outcome("add", LINE, "--journal", folder)
    assert (run.code, log()) == (2, {})
    assert run.out.endswith("into the new file log/2026-03-31.yml\n")
    assert run.err == (
        "Nothing was written: nobody can be asked here. If this is right, add --yes.\n"
    )


@pytest.mark.parametrize(("answer", "code", "files"), [(True, 0, 1), (False, 0, 0)])
def test_at_a_terminal_it_asks(
    folder: Path, log: Log, monkeypatch: pytest.MonkeyPatch, answer: bool, code: int, files: int
) -> None:
    asked: list[str] = []

    def confirm(question: str, default: bool) -> bool:
        asked.append(question)
        return answer

    monkeypatch.setattr(asking, "is_terminal", lambda: True)
    monkeypatch.setattr(typer, "confirm", confirm)
    run = Outcome("add", "alk 8.2", "--journal", folder)
    assert (run.code, len(log()), asked) == (code, files, ["Write this?"])
    assert run.err == ("" if answer else "Nothing was written.\n")


def test_a_name_that_is_nearly_right_is_asked_about(
    folder: Path, log: Log, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def confirm(question: str, default: bool) -> bool:
        asked.append(question)
        return True

    monkeypatch.setattr(asking, "is_terminal", lambda: True)
    monkeypatch.setattr(typer, "confirm", confirm)
    assert Outcome("add", "lost a goby", "--journal", folder).code == 0
    assert asked == ["'goby': did you mean 'yellow goby'?", "Write this?"]
    assert log()["2026-03-31.yml"] == "livestock:\n  - {lost: yellow goby}\n"


def test_nothing_is_written_while_something_is_unclear(folder: Path, log: Log) -> None:
    run = Outcome("add", "alk 8.2, lost a goby", "--journal", folder, "--yes")
    assert (run.code, log()) == (2, {})
    assert run.err == (
        "'lost a goby': 'goby' is no name that this journal knows. Did you mean 'yellow goby'? If "
        "it is new, write it into tank.yml under 'animals:' or, for an animal, 'lost animal: "
        "goby'.\nNothing was written.\n"
    )


def test_a_second_line_of_a_day_joins_the_first(folder: Path, log: Log) -> None:
    (folder / "log").mkdir()
    old = "# mine\ntitle:  'A day'   # quite\nreadings:\n    alkalinity: 8.2  # drops\n\n# end\n"
    (folder / "log" / "2026-03-31.yml").write_text(old, encoding="utf-8")
    run = Outcome("add", 'ca 420, cleaned glass, "Größer 🐠"', "--journal", folder, "-y")
    assert (run.code, run.err) == (0, "")
    assert run.out.endswith("added to log/2026-03-31.yml\nwrote log/2026-03-31.yml\n")
    assert log() == {
        "2026-03-31.yml": (
            "# mine\ntitle:  'A day'   # quite\nreadings:\n    alkalinity: 8.2  # drops\n"
            "    calcium: 420\n\n# end\nupkeep:\n  - glass\nnotes: |\n  Größer 🐠\n"
        )
    }
    checked(folder)


def test_another_time_of_a_day_is_another_entry(folder: Path, log: Log) -> None:
    for line, where in (
        ("alk 8.2", "into the new file log/2026-03-31.yml"),
        ("alk 8.1 at 7:30 pm",
         "into the new file log/2026-03-31-1930.yml, because it has a time of its own"),
        ("fed mysis at 19:30", "added to log/2026-03-31-1930.yml"),
    ):  # fmt: skip
        run = Outcome("add", line, "--journal", folder, "-y")
        assert (run.code, run.out.splitlines()[-2]) == (0, where)
    assert log() == {
        "2026-03-31.yml": "readings:\n  alkalinity: 8.2\n",
        "2026-03-31-1930.yml": 'time: "19:30"\nreadings:\n  alkalinity: 8.1\nfeed:\n  - mysis\n',
    }


def test_what_would_change_a_line_is_an_entry_of_its_own(folder: Path, log: Log) -> None:
    for line in ("alk 8.2", "alk 8.1"):
        run = Outcome("add", line, "--journal", folder, "-y")
    assert run.out.splitlines()[-2] == (
        "into the new file log/2026-03-31-2.yml, because lines of log/2026-03-31.yml would have "
        "to change"
    )
    assert log()["2026-03-31-2.yml"] == "readings:\n  alkalinity: 8.1\n"


def test_the_day_is_the_keeper_s(folder: Path, log: Log, monkeypatch: pytest.MonkeyPatch) -> None:
    # 23:30 UTC on 30 March is 01:30 of the 31st in Berlin.
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1774913400")
    assert Outcome("add", "alk 8", "--journal", folder, "-y").code == 0
    assert list(log()) == ["2026-03-31.yml"]


def test_what_a_check_would_refuse_is_not_written(folder: Path, log: Log) -> None:
    run = Outcome("add", "added animal: turbo snial", "--journal", folder, "-y")
    assert (run.code, log()) == (2, {})
    assert run.err == (
        "log/2026-03-31.yml:2:13: 'turbo snial' and 'turbo snail' look like two spellings of one "
        "animal. Write 'turbo snail' if you mean the same.\nNothing was written.\n"
    )


def test_a_slip_in_the_units_stops_everything(folder: Path, log: Log) -> None:
    with (folder / "tank.yml").open("a") as file:
        file.write("units: {alkalinity: dKG}\n")
    run = Outcome("add", "alk 8", "--journal", folder, "-y")
    assert (run.code, log()) == (1, {})
    assert "'dKG' is no unit of alkalinity." in run.err
    assert run.err.endswith(
        "Nothing was written: first mend units, time zone and currency in tank.yml.\n"
    )


def test_bare_numbers_take_the_journal_s_units(folder: Path, log: Log) -> None:
    with (folder / "tank.yml").open("a") as file:
        file.write("units: {system: us, alkalinity: meq/L}\n")
    run = Outcome("add", "alk 2.9, temp 78, changed 5 water", "--journal", folder, "-y")
    assert "Alkalinity 2.9 meq/L (no unit written: the journal counts in meq/L)" in run.out
    assert "Temperature 78 °F (no unit written: the journal counts in °F)" in run.out
    assert "5 gal (no unit written: the journal counts in gal)" in run.out


def test_a_file_that_changed_meanwhile_is_noticed(
    folder: Path, log: Log, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert Outcome("add", "alk 8", "--journal", folder, "-y").code == 0

    def confirm(question: str, default: bool) -> bool:
        (folder / "log" / "2026-03-31.yml").write_text("title: by hand\n")
        return True

    monkeypatch.setattr(asking, "is_terminal", lambda: True)
    monkeypatch.setattr(typer, "confirm", confirm)
    run = Outcome("add", "ca 420", "--journal", folder)
    assert (run.code, log()) == (1, {"2026-03-31.yml": "title: by hand\n"})
    assert run.err == (
        "log/2026-03-31.yml was not written: it was changed by another program meanwhile. Run "
        "the command again.\n"
    )


def test_nothing_said_shows_how_to_say_it(folder: Path) -> None:
    run = Outcome("add", "--journal", folder)
    assert (run.code, run.out) == (2, "")
    assert run.err.endswith(f"\n{GRAMMAR}\n")
    assert "changed 20 l water at 35 psu                  a water change" in GRAMMAR


def test_every_example_of_the_grammar_is_understood(folder: Path) -> None:
    lines = [line[4:50].strip() for line in GRAMMAR.splitlines() if line.startswith("    ")]
    examples = [line.rstrip(",") for line in lines if "…" not in line and "anything" not in line]
    assert len(examples) > 12
    for line in examples:
        run = Outcome("add", line, "--journal", folder)
        wanted = "Nothing was written: nobody can be asked here. If this is right, add --yes.\n"
        moment = "Two days are named" in run.err
        assert moment or run.err == wanted, line


def test_no_journal_there(tmp_path: Path) -> None:
    run = Outcome("add", "alk 8", "--journal", tmp_path)
    assert run.code == 2
    assert run.err.startswith(f"There is no journal in '{tmp_path}'")
