from __future__ import annotations

from pathlib import Path

import pytest

from journal_tools.journal import load_journal
from journal_tools.writing.trial import new_problems
from tests.writing.conftest import TODAY


def told(folder: Path, text: str, copied: tuple[str, ...] = ()) -> list[str]:
    journal = load_journal(folder, TODAY)
    files = {folder / "log" / "2026-03-14.yml": text.encode()}
    photos = {folder / "photos" / name for name in copied}
    return [str(problem) for problem in new_problems(journal, files, photos)]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("readings: {alkalinity: 99}",
         "log/2026-03-14.yml:1:24: Alkalinity of '99' is outside what can be (0.5 to 25 dKH). "
         "If it is in mg/L CaCO3, write '99 mg/L CaCO3'."),
        ("livestock: {lost: turbo snial}",
         "log/2026-03-14.yml:1:19: 'turbo snial' and 'turbo snail' look like two spellings of one "
         "animal. Write 'turbo snail' if you mean the same."),
        ("doses: {what: new, amount: 3}",
         "log/2026-03-14.yml:1:15: The supplement 'new' is not described in tank.yml. Add it under "
         "'supplements:' so that its strength can be reckoned with."),
    ],
)  # fmt: skip
def test_what_a_check_would_say(folder: Path, text: str, message: str) -> None:
    assert told(folder, text) == [message]


def test_what_is_wrong_already_is_not_told_again(folder: Path) -> None:
    (folder / "log").mkdir()
    (folder / "log" / "2026-03-13.yml").write_text("livestock: {lost: turbo snial}")
    assert told(folder, "title: x\nlivestock: {lost: turbo snial}") == []


def test_photos_that_are_on_their_way_are_there(folder: Path) -> None:
    assert told(folder, "photos: [a.jpg]", ("a.jpg",)) == []
    assert len(told(folder, "photos: [a.jpg]")) == 1
