"""What the phone form hands over: hostile ZIP files and folders."""

from __future__ import annotations

import stat
import zipfile
from collections.abc import Mapping
from pathlib import Path

import pytest

from journal_tools.writing import phone
from journal_tools.writing.phone import Parcel, UnreadableParcelError, is_parcel, read_parcel

MORNING = (
    'date: 2026-03-14\ntime: "07:30"\nreadings:\n  alkalinity: 8.2\n  nitrate: <0.25\n'
    "livestock:\n  - {lost: turbo snail}\n"
)


def zipped(path: Path, files: Mapping[str, str | bytes], method: int = zipfile.ZIP_STORED) -> Path:
    with zipfile.ZipFile(path, "w", method) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return path


def found(path: Path, files: Mapping[str, str | bytes]) -> Parcel:
    return read_parcel(zipped(path / "phone.zip", files))


@pytest.mark.parametrize(
    "name",
    ["../../log/2026-03-14.yml", "/log/2026-03-14.yml", "log/../tank.yml", "log/a/b.yml",
     "C:\\log\\a.yml", "log/.yml/", "tank.yml", "photos/a.svg", "photos/a.jpg.exe",
     "photos/\u202egpj.exe", "log/" + "a" * 200 + ".yml"],
)  # fmt: skip
def test_other_names_are_left_out(tmp_path: Path, name: str) -> None:
    parcel = found(tmp_path, {name: "x"})
    assert (parcel.entries, parcel.photos) == ({}, {})
    if not name.endswith("/"):
        (told,) = parcel.refused
        assert told.isascii()
        assert told.endswith("' is neither an entry nor a photo of the form: left out.")


def test_what_systems_add_is_passed_over(tmp_path: Path) -> None:
    files = {"__MACOSX/log/._a.yml": "x", ".DS_Store": "x", "log/.DS_Store": "x"}
    assert found(tmp_path, files) == Parcel()


def test_a_link_is_not_followed(tmp_path: Path) -> None:
    path = tmp_path / "phone.zip"
    with zipfile.ZipFile(path, "w") as archive:
        link = zipfile.ZipInfo("log/a.yml")
        link.external_attr = (stat.S_IFLNK | 0o777) << 16
        archive.writestr(link, "/etc/passwd")
    assert read_parcel(path).refused == ["'log/a.yml' is a link: left out."]
    folder = tmp_path / "phone"
    (folder / "log").mkdir(parents=True)
    (folder / "log" / "a.yml").symlink_to("/etc/passwd")
    assert read_parcel(folder).refused == ["'log/a.yml' is a link: left out."]


def test_a_name_that_is_there_twice_counts_once(tmp_path: Path) -> None:
    path = tmp_path / "phone.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("log/a.yml", "first")
        with pytest.warns(UserWarning, match="Duplicate"):
            archive.writestr("log/a.yml", "second")
    parcel = read_parcel(path)
    assert (parcel.entries, parcel.refused) == (
        {"a.yml": b"first"}, ["'log/a.yml' is there twice: left out."]
    )  # fmt: skip


def test_a_bomb_is_unpacked_no_further_than_its_limit(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bomb = zipped(tmp_path / "b.zip", {"log/a.yml": b"0" * 30_000_000}, zipfile.ZIP_DEFLATED)
    assert bomb.stat().st_size < 40_000
    assert read_parcel(bomb).refused == ["'log/a.yml' is larger than 1 MB: left out."]
    monkeypatch.setattr(phone, "MAX_PARCEL_BYTES", 1500)
    two = zipped(tmp_path / "c.zip", {"log/a.yml": b"0" * 1000, "log/b.yml": b"0" * 1000})
    with pytest.raises(UnreadableParcelError, match="Hand over less at a time"):
        read_parcel(two)
    monkeypatch.setattr(phone, "MAX_MEMBERS", 1)
    with pytest.raises(UnreadableParcelError, match="It holds more than 1 files"):
        read_parcel(two)


@pytest.mark.parametrize("cut", [0, 3, 40, 130])
def test_a_damaged_file(tmp_path: Path, cut: int) -> None:
    whole = zipped(tmp_path / "a.zip", {"log/a.yml": MORNING}).read_bytes()
    (tmp_path / "b.zip").write_bytes(whole[:cut])
    with pytest.raises(UnreadableParcelError, match="The ZIP file is damaged, or none at all"):
        read_parcel(tmp_path / "b.zip")


def test_what_is_a_parcel(tmp_path: Path) -> None:
    assert is_parcel(Path("a.ZIP")) and is_parcel(Path("a.yml"))
    assert not is_parcel(Path("a.csv")) and not is_parcel(tmp_path)
    (tmp_path / "log").mkdir()
    assert is_parcel(tmp_path)
    (tmp_path / "tank.yml").touch()
    assert not is_parcel(tmp_path), "that is a journal"
