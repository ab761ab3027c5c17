"""The command ``check --fix``: what is offered, how it is shown, and that nothing else changes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import typer

from journal_tools.writing import asking, fixes
from journal_tools.writing.entry_file import FileChange, write_change
from tests.command import Outcome


@pytest.fixture
def fixed(folder: Path) -> Callable[..., Outcome]:
    """Write entries by name and run the command over them."""

    def run(files: dict[str, str], *options: str) -> Outcome:
        for name, text in files.items():
            path = folder / "log" / name
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(text.encode())
        return Outcome("check", folder, "--fix", *options)

    return run


def entry(folder: Path, name: str = "2026-03-14.yml") -> str:
    return (folder / "log" / name).read_bytes().decode()


def test_a_misspelt_key(folder: Path, fixed: Callable[..., Outcome]) -> None:
    text = "# mine\r\ntitel: 'a # b'   # kept\r\nreadings: {alk: 8.2, \"nitrat\": 5}\r\n"
    shown = (
        "--- log/2026-03-14.yml\n+++ log/2026-03-14.yml\n@@ -1,3 +1,3 @@\n # mine\r\n"
        "-titel: 'a # b'   # kept\r\n-readings: {alk: 8.2, \"nitrat\": 5}\r\n"
        "+title: 'a # b'   # kept\r\n+readings: {alkalinity: 8.2, \"nitrate\": 5}\r\n"
    )
    run = fixed({"2026-03-14.yml": text})
    assert (run.code, run.out) == (1, shown.replace("\r", ""))
    assert run.err == (
        "Nothing was written. With this, 3 problems of 3 mended, 0 left. To write it, add "
        "--apply.\n"
    )
    assert entry(folder) == text
    run = fixed({}, "--apply")
    assert (run.code, run.err) == (0, "3 problems of 3 mended, 0 left.\n")
    assert run.out == shown.replace("\r", "") + "wrote log/2026-03-14.yml\n"
    assert entry(folder) == (
        "# mine\r\ntitle: 'a # b'   # kept\r\nreadings: {alkalinity: 8.2, \"nitrate\": 5}\r\n"
    )


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("readings: {alkalinity: 8,2, calcium: 420}\n",
         "readings: {alkalinity: 8.2, calcium: 420}\n"),
        ("doses: [{what: alk mix, amount: 30,5 ml}]", "doses: [{what: alk mix, amount: 30.5 ml}]"),
        ("readings:\n\talkalinity: 8.2\n\tcalcium: 420\n",
         "readings:\n  alkalinity: 8.2\n  calcium: 420\n"),
        ("\ufefftitel: x\n", "\ufefftitle: x\n"),
        ("notes: |\n  one\n\n  titel: x\nttile: 🐠 x\n",
         "notes: |\n  one\n\n  titel: x\ntitle: 🐠 x\n"),
    ],
)  # fmt: skip
def test_what_is_safe(folder: Path, fixed: Callable[..., Outcome], before: str, after: str) -> None:
    run = fixed({"2026-03-14.yml": before}, "--apply")
    assert (run.code, entry(folder)) == (0, after)


@pytest.mark.parametrize(
    "text",
    [
        "title: x\ntitel: y\n",  # the mended key would be there twice
        "alk: 8\n",  # belongs somewhere else
        "readings: {calcium: 1,310}\n",  # 1310 or 1.310
        "readings: {calcium: 80, 2: x}\n",
        "date: 2026-03-15\ntitle: x\n",  # which of the two dates is right?
        "titel: {a: 1}\n",  # the key mended, its value is another problem
        "notes: >50\n",
        "readings: {alkalinity: 99999}\n",
    ],
)
def test_what_is_not_offered(folder: Path, fixed: Callable[..., Outcome], text: str) -> None:
    run = fixed({"2026-03-14.yml": text}, "--apply")
    assert (run.code, run.out, entry(folder)) == (1, "", text)
    assert run.err.startswith("None of ")
    assert run.err.endswith(" can be mended safely by itself.\n")


DOUBTFUL = {
    "2026-03-13.yml": "livestock: {lost: turbo snial}\n",
    "2026-03-14.yml": "readings: {salinity: 1.0260}\nlivestock: [{measured: 'turbo snial'}]\n",
}


def test_what_only_the_keeper_knows_is_not_written_unasked(
    folder: Path, fixed: Callable[..., Outcome]
) -> None:
    run = fixed(DOUBTFUL, "--apply")
    assert run.code == 1
    assert entry(folder) == DOUBTFUL["2026-03-14.yml"]
    assert run.err == (
        "Only you can tell: log/2026-03-13.yml:1:19: 'turbo snial' and 'turbo snail' look like two "
        "spellings of one animal. Write 'turbo snail' if you mean the same.\n"
        "Only you can tell: log/2026-03-14.yml:1:22: Salinity of '1.026' is outside what can be (5 "
        "to 42 psu). If it is in SG, write '1.026 SG'.\n"
        "Nothing was written: what can be mended is yours to judge. Run it at a terminal.\n"
    )
    assert "-livestock: {lost: turbo snial}\n+livestock: {lost: turbo snail}\n" in run.out
    assert "-readings: {salinity: 1.0260}\n+readings: {salinity: 1.0260 SG}\n" in run.out


def test_at_a_terminal_each_doubt_is_asked(
    folder: Path, fixed: Callable[..., Outcome], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def confirm(question: str, default: bool) -> bool:
        asked.append(question)
        return True

    monkeypatch.setattr(asking, "is_terminal", lambda: True)
    monkeypatch.setattr(typer, "confirm", confirm)
    run = fixed(DOUBTFUL)
    assert run.code == 0
    assert asked == [
        "'turbo snial' and 'turbo snail' look like two spellings of one animal. Mend it so?",
        "Salinity of '1.026' is outside what can be (5 to 42 psu). Mend it so?",
        "Write this?",
    ]
    assert entry(folder, "2026-03-13.yml") == "livestock: {lost: turbo snail}\n"
    assert entry(folder) == (
        "readings: {salinity: 1.0260 SG}\nlivestock: [{measured: 'turbo snail'}]\n"
    )


def test_at_a_terminal_no_is_no(
    folder: Path, fixed: Callable[..., Outcome], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(asking, "is_terminal", lambda: True)
    monkeypatch.setattr(typer, "confirm", lambda *_, **__: False)
    run = fixed(DOUBTFUL | {"2026-03-15.yml": "titel: x\n"})
    assert run.code == 1
    assert entry(folder, "2026-03-15.yml") == "titel: x\n"
    assert run.err == (
        "Nothing was written. With this, 1 problem of 3 mended, 2 left. To write it, add --apply.\n"
    )


def test_a_wrong_ending(folder: Path, fixed: Callable[..., Outcome]) -> None:
    run = fixed({"2026-03-14.yml.txt": "title: x\n", "2026-03-15-evening.txt": "titel: y\n"},
                "--apply")  # fmt: skip
    assert run.out == (
        "rename log/2026-03-14.yml.txt to log/2026-03-14.yml\nwrote log/2026-03-14.yml\n"
    )
    assert sorted(path.name for path in (folder / "log").iterdir()) == [
        "2026-03-14.yml", "2026-03-15-evening.txt"
    ]  # fmt: skip
    assert run.err == "1 problem of 2 mended, 1 left.\n", "the other one has a problem inside"


def test_a_name_that_is_taken(folder: Path, fixed: Callable[..., Outcome]) -> None:
    run = fixed({"2026-03-14.yml.txt": "title: x\n", "2026-03-14.yml": "title: y\n"}, "--apply")
    assert (run.code, entry(folder)) == (1, "title: y\n")
    assert entry(folder, "2026-03-14.yml.txt") == "title: x\n"


def test_names_of_photos(folder: Path, fixed: Callable[..., Outcome]) -> None:
    (folder / "photos").mkdir()
    (folder / "photos" / "front.jpg").touch()
    assert fixed({"2026-03-14.yml": "photos: [Front.jpg]\n"}, "--apply").code == 0
    assert entry(folder) == "photos: [front.jpg]\n"
    run = fixed({"2026-03-14.yml": "photos: [frnt.jpg]\n"}, "--apply")
    assert "+photos: [front.jpg]\n" in run.out
    assert entry(folder) == "photos: [frnt.jpg]\n"


def test_the_profile(folder: Path, fixed: Callable[..., Outcome]) -> None:
    profile = folder / "tank.yml"
    text = profile.read_text()
    profile.write_text(text + "titel: x\nsalt_mix: {name: salt, fresh: {ca: 420}}\n")
    run = fixed({}, "--apply")
    assert run.code == 1
    assert profile.read_text() == text + "titel: x\nsalt_mix: {name: salt, fresh: {calcium: 420}}\n"


def test_a_file_changed_meanwhile(
    folder: Path, fixed: Callable[..., Outcome], monkeypatch: pytest.MonkeyPatch
) -> None:
    def late(change: FileChange) -> None:
        change.path.write_text("title: mine\n")
        write_change(change)

    monkeypatch.setattr(fixes, "write_change", late)
    run = fixed({"2026-03-14.yml": "titel: x\n"}, "--apply")
    assert (run.code, entry(folder)) == (1, "title: mine\n")
    assert run.err == (
        "log/2026-03-14.yml was not written: it was changed by another program meanwhile. Run the "
        "command again.\n"
    )


def test_nothing_to_do(folder: Path, fixed: Callable[..., Outcome]) -> None:
    run = fixed({"2026-03-14.yml": "title: x\n"})
    assert (run.code, run.out, run.err) == (0, "", "There is no problem.\n")
    run = Outcome("check", folder, "--apply")
    assert run.code == 2
    assert "--apply goes with --fix" in run.err


def test_the_copy_is_gone_and_the_journal_has_no_new_file(
    folder: Path, fixed: Callable[..., Outcome], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "temporary"
    place.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(place))
    fixed({"2026-03-14.yml": "titel: x\n"}, "--apply")
    assert list(place.iterdir()) == []
    names = sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*"))
    assert names == ["log", "log/2026-03-14.yml", "tank.yml"]


def test_links_inside_the_journal_are_followed_and_others_left(
    folder: Path, fixed: Callable[..., Outcome], tmp_path: Path
) -> None:
    (folder / "photos").mkdir()
    (folder / "photos" / "whole.jpg").touch()
    (folder / "photos" / "front.jpg").symlink_to("whole.jpg")
    (folder / "log").mkdir()
    (tmp_path / "outside.yml").write_text("titel: x\n")
    (folder / "log" / "2026-03-13.yml").symlink_to(tmp_path / "outside.yml")
    run = fixed({"2026-03-14.yml": "photos: [front.jpg]\ntitel: x\n"}, "--apply")
    assert run.out.endswith("wrote log/2026-03-14.yml\n")
    assert entry(folder) == "photos: [front.jpg]\ntitle: x\n"
    assert (tmp_path / "outside.yml").read_text() == "titel: x\n"
