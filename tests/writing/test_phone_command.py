"""Entries of the phone form on their way into the log."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from PIL import Image

from tests.command import Outcome

Log = Callable[[], dict[str, str]]

MORNING = (
    'date: 2026-03-14\ntime: "07:30"\nreadings:\n  alkalinity: 8.2\n  nitrate: <0.25\n'
    "livestock:\n  - {lost: turbo snail}\n"
)
EVENING = 'date: 2026-03-14\ntime: "21:05"\nnotes: |\n  # Loud\n  - and: "wet"\n'


def picture(colour: str = "teal") -> bytes:
    content = io.BytesIO()
    Image.new("RGB", (64, 48), colour).save(content, "JPEG")
    return content.getvalue()


def zipped(path: Path, files: Mapping[str, str | bytes], method: int = zipfile.ZIP_STORED) -> Path:
    with zipfile.ZipFile(path, "w", method) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return path


@pytest.fixture
def hand_in(folder: Path, tmp_path: Path) -> Callable[..., Outcome]:
    def hand_in(files: Mapping[str, str | bytes], *options: str) -> Outcome:
        path = zipped(tmp_path / "phone-2026-03-14-2110.zip", files)
        return Outcome("import", path, "--journal", folder, *options)

    return hand_in


TWO = {"log/2026-03-14-0730.yml": MORNING, "log/2026-03-14-2105.yml": EVENING}


def test_two_entries_of_one_day(folder: Path, hand_in: Callable[..., Outcome], log: Log) -> None:
    outcome = hand_in(TWO, "--yes")
    assert (outcome.code, outcome.err) == (0, "")
    assert outcome.out == (
        "Saturday 2026-03-14 at 07:30 → log/2026-03-14.yml\n"
        "  reading       Alkalinity 8.2 dKH (no unit written: the journal counts in dKH)\n"
        "  reading       Nitrate <0.25 mg/L (no unit written: the journal counts in mg/L)\n"
        "  livestock     lost 1 × turbo snail\n"
        "Saturday 2026-03-14 at 21:05 → log/2026-03-14-2105.yml\n"
        '  note          # Loud\n                - and: "wet"\n'
        "2 entries. New: 2 entries, 0 photos.\n"
        "wrote log/2026-03-14.yml\nwrote log/2026-03-14-2105.yml\nwrote imports/phone-form.yml\n"
    )
    assert log() == {
        "2026-03-14.yml": MORNING.removeprefix("date: 2026-03-14\n"),
        "2026-03-14-2105.yml": EVENING.removeprefix("date: 2026-03-14\n"),
    }
    checked = Outcome("check", folder)
    assert (checked.code, checked.err) == (0, "")


def test_the_second_time_adds_nothing(
    folder: Path, hand_in: Callable[..., Outcome], log: Log
) -> None:
    files = TWO | {"photos/a.jpg": picture(), "log/2026-03-15.yml": "photos: [a.jpg]\n"}
    assert hand_in(files, "--yes").code == 0
    before = log()
    again = hand_in(files, "--yes")
    assert (again.code, again.err) == (0, "")
    assert again.out == (
        "3 entries, 3 of them in the journal already. There is nothing new to write.\n"
    )
    (folder / "imports" / "phone-form.yml").unlink()
    assert "There is nothing new to write." in hand_in(files, "--yes").out, "the log tells it, too"
    assert log() == before


def test_what_was_corrected_in_the_log_does_not_come_back(
    folder: Path, hand_in: Callable[..., Outcome], log: Log
) -> None:
    hand_in(TWO, "--yes")
    (folder / "log" / "2026-03-14.yml").write_text('time: "07:30"\nreadings: {alkalinity: 8.4}\n')
    assert "There is nothing new to write." in hand_in(TWO, "--yes").out
    assert len(log()) == 2


def test_a_photo_is_never_written_over(
    folder: Path, hand_in: Callable[..., Outcome], log: Log
) -> None:
    (folder / "photos").mkdir()
    (folder / "photos" / "a.jpg").write_bytes(picture("red"))
    files = {
        "log/2026-03-14.yml": "photos:\n  - {file: a.jpg, view: front, taken: 2026-03-13}\n",
        "log/2026-03-15.yml": "photos:\n  - a-2.jpg\n",
        "photos/a.jpg": picture("blue"), "photos/a-2.jpg": picture("green"),
    }  # fmt: skip
    outcome = hand_in(files, "--yes")
    assert (outcome.code, outcome.err) == (0, "")
    assert log() == {
        "2026-03-14.yml": "photos:\n  - {file: a-2.jpg, view: front, taken: 2026-03-13}\n",
        "2026-03-15.yml": "photos:\n  - a-2-2.jpg\n",
    }
    kept = {path.name: path.read_bytes() for path in (folder / "photos").iterdir()}
    assert kept == {
        "a.jpg": picture("red"), "a-2.jpg": picture("blue"), "a-2-2.jpg": picture("green")
    }  # fmt: skip
    assert Outcome("check", folder).code == 0


def test_what_cannot_be_filed_is_told(hand_in: Callable[..., Outcome], log: Log) -> None:
    outcome = hand_in(
        {
            "log/2026-03-10.yml": "readings: {alkalinity: 99}\n",
            "log/2026-03-11.yml": "titel: x\n",
            "log/2026-03-12.yml": "a: [",
            "log/2026-04-02.yml": "title: later\n",
            "log/someday.yml": "title: undated\n",
            "log/2026-03-13.yml": "tags: x\n",
            "log/2026-03-14.yml": "photos: [no.jpg, gone.jpg]\ntitle: x\n",
            "log/2026-03-16.yml": 'equipment: [{changed: skimmer, to: {"a: b": 1}}]\n',
            "photos/no.jpg": b"no picture",
        },
        "--yes",
    )
    left = "The entry is left out. Mend it in the form, or in a file of the log."
    assert outcome.err.splitlines() == [
        "The photo 'no.jpg' is not a picture, whatever its name says. It is left out.",
        "2026-03-10.yml:1:24: Alkalinity of '99' is outside what can be (0.5 to 25 dKH). If it is "
        "in mg/L CaCO3, write '99 mg/L CaCO3'.",
        f"2026-03-10.yml: {left}",
        "2026-03-11.yml:1:1: The key 'titel' is not known here. Did you mean 'title'?",
        f"2026-03-11.yml: {left}",
        "2026-03-12.yml:1:0: This is not valid YAML: did not find expected node content. Check "
        "quotes, brackets and indentation on this line and the one before.".replace(":1:0:", ":1:"),
        f"2026-03-12.yml: {left}",
        "2026-03-13.yml: It says nothing. The entry is left out.",
        "2026-03-16.yml: It holds keys that cannot be written back. The entry is left out.",
        "2026-04-02.yml: Its date 2026-04-02 is in the future. The entry is left out.",
        "someday.yml: It has no date; write 'date: 2026-03-14' into it. The entry is left out.",
        "2026-03-14.yml: The photo 'gone.jpg' is not in it. It is left out.",
    ]
    assert (outcome.code, log()) == (1, {"2026-03-14.yml": "title: x\n"})


def test_what_only_the_whole_journal_tells_is_shown(hand_in: Callable[..., Outcome]) -> None:
    outcome = hand_in({"log/2026-03-14.yml": "livestock:\n  - {lost: turbo snial}\n"}, "-y")
    assert outcome.code == 0
    assert outcome.err == (
        "log/2026-03-14.yml:2:12: 'turbo snial' and 'turbo snail' look like two spellings of one "
        "animal. Write 'turbo snail' if you mean the same.\n"
    )


def test_nothing_is_written_unasked(hand_in: Callable[..., Outcome], log: Log) -> None:
    outcome = hand_in(TWO)
    assert (outcome.code, log()) == (2, {})
    assert outcome.err == (
        "Nothing was written: nobody can be asked here. If this is right, add --yes.\n"
    )


def test_a_note_cannot_command_the_terminal(hand_in: Callable[..., Outcome]) -> None:
    outcome = hand_in({"log/2026-03-14.yml": 'notes: "a\\e[2J\\u009bb 🐠"\n'})
    assert "note          a\ufffd[2J\ufffdb 🐠\n" in outcome.out


def test_no_zip_file(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "phone.zip").write_text("<html>")
    outcome = Outcome("import", tmp_path / "phone.zip", "--journal", folder)
    assert (outcome.code, outcome.out, outcome.err) == (
        2, "", "phone.zip: The ZIP file is damaged, or none at all. Download it from the form "
        "again.\n",
    )  # fmt: skip
    outcome = Outcome("import", tmp_path / "none.zip", "--journal", folder)
    assert (outcome.code, outcome.err) == (2, "none.zip: No such file or directory\n")


def test_one_entry_as_a_file_and_an_unpacked_folder(folder: Path, tmp_path: Path, log: Log) -> None:
    (tmp_path / "from the phone.yml").write_text(MORNING)
    assert Outcome("import", tmp_path / "from the phone.yml", "--journal", folder, "-y").code == 0
    place = tmp_path / "phone"
    for name, text in TWO.items():
        (place / name).parent.mkdir(parents=True, exist_ok=True)
        (place / name).write_text(text)
    outcome = Outcome("import", place, "--journal", folder, "-y")
    assert "2 entries, 1 of them in the journal already. New: 1 entry, 0 photos." in outcome.out
    assert list(log()) == ["2026-03-14-2105.yml", "2026-03-14.yml"]
