"""Strangers' files: nothing leaves its folder, nothing is larger than it may be."""

from __future__ import annotations

import random
import stat
import tempfile
import zipfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.sharing.club.admission import Admitted, Bounds, admit, name_fault
from tests.sharing.club.handed_in import TANK, archive

BOUNDS = Bounds(files=10, file_bytes=300_000, text_bytes=20_000, total_bytes=400_000, ratio=100)


def admitted(source: Path, target: Path, bounds: Bounds = BOUNDS) -> tuple[Admitted, list[str]]:
    target.mkdir()
    found = admit(source, target, bounds)
    return found, sorted(p.relative_to(target).as_posix() for p in target.rglob("*") if p.is_file())


@pytest.mark.parametrize("top", ["", "my-reef/", "my-reef/content/"])
def test_a_journal_is_let_in_without_what_is_code(top: str, tmp_path: Path) -> None:
    files = {
        f"{top}tank.yml": TANK, f"{top}log/2026-01-02.yml": "notes: x",
        f"{top}photos/front.JPG": b"x", f"{top}about.md": "<script>", f"{top}photos/x.svg": "<svg>",
        f"{top}site_templates/pages/today.html": "{{ 1 }}", f"{top}.git/config": "x",
        f"{top}log/.hidden.yml": "x", "mkdocs.yml": "hooks: [evil.py]", "evil.py": "1",
    }  # fmt: skip
    found, names = admitted(archive(tmp_path / "a.zip", files), tmp_path / "out")
    assert found.usable and found.faults == []
    assert names == ["log/2026-01-02.yml", "photos/front.JPG", "tank.yml"]


ESCAPES = (
    "../evil.yml", "log/../../evil.yml", "/etc/evil.yml", "C:/evil.yml", "C:evil.yml",
    "log\\..\\..\\evil.yml", "log/evil\x00.yml", "log//evil.yml", "log/./evil.yml", "log/CON.yml",
    "log/evil.yml ", "log /evil.yml", "log/a:stream.yml", "log/" + "a/" * 9 + "e.yml",
    "log/" + "é" * 120 + ".yml", "log/evil\n.yml",
)  # fmt: skip


@pytest.mark.parametrize("name", ESCAPES)
def test_a_name_that_leads_elsewhere_is_left_out(name: str, tmp_path: Path) -> None:
    assert name_fault(name) is not None
    source = archive(tmp_path / "in" / "a.zip", {"tank.yml": TANK})
    with zipfile.ZipFile(source, "a") as made:
        entry = zipfile.ZipInfo("placeholder")
        entry.filename = name
        made.writestr(entry, "x")
    found, names = admitted(source, tmp_path / "out")
    assert names == ["tank.yml"]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["in", "out"]
    assert found.usable


@given(st.text(max_size=60))
@settings(max_examples=300)
def test_whatever_is_let_in_stays_inside(name: str) -> None:
    if name_fault(name) is None:
        root = Path(tempfile.gettempdir()).resolve() / "root"
        assert (root / name).resolve().is_relative_to(root)
        assert (root / name).resolve() != root


def test_a_bomb_is_not_unpacked(tmp_path: Path) -> None:
    bomb = {"tank.yml": TANK, "photos/a.jpg": bytes(250_000)}
    found, names = admitted(archive(tmp_path / "a.zip", bomb), tmp_path / "out")
    assert not found.usable and "'photos/a.jpg' is larger than it may be" in found.faults[-1]
    assert sum((tmp_path / "out" / name).stat().st_size for name in names) < 200_000


def test_a_lying_directory_is_not_believed(tmp_path: Path) -> None:
    """The size that the archive states is set to 10 bytes; what comes out is counted."""
    source = archive(tmp_path / "a.zip", {"tank.yml": TANK, "photos/a.jpg": bytes(100_000)})
    data = bytearray(source.read_bytes())
    size = (100_000).to_bytes(4, "little")
    while (at := data.find(size)) >= 0:
        data[at : at + 4] = (10).to_bytes(4, "little")
    source.write_bytes(data)
    found, names = admitted(source, tmp_path / "out")
    sizes = [(tmp_path / "out" / name).stat().st_size for name in names]
    assert max(sizes) <= 100_000 and found.faults


@pytest.mark.parametrize(
    ("files", "words"),
    [
        ({f"log/2026-01-{i:02d}.yml": "x" for i in range(1, 12)}, "more than 10 files"),
        (
            {f"photos/{i}.jpg": random.Random(i).randbytes(230_000) for i in range(2)},
            "larger in all",
        ),
        ({"log/2026-01-01.yml": bytes(range(256)) * 100}, "is larger than it may be"),
    ],
)  # fmt: skip
def test_there_is_a_limit(files: dict[str, bytes], words: str, tmp_path: Path) -> None:
    source = archive(tmp_path / "a.zip", {"tank.yml": TANK} | files)
    found, _ = admitted(source, tmp_path / "out")
    assert not found.usable and words in found.faults[-1]


def test_links_are_not_followed(tmp_path: Path) -> None:
    (tmp_path / "secret.yml").write_text("secret")
    folder = tmp_path / "in"
    (folder / "log").mkdir(parents=True)
    (folder / "tank.yml").write_text(TANK)
    (folder / "log/2026-01-01.yml").symlink_to(tmp_path / "secret.yml")
    (folder / "photos").symlink_to(tmp_path)
    found, names = admitted(folder, tmp_path / "out")
    assert names == ["tank.yml"] and len(found.faults) == 2
    (tmp_path / "link").symlink_to(folder)
    assert not admitted(tmp_path / "link", tmp_path / "out2")[0].usable


def test_a_link_in_an_archive_is_left_out(tmp_path: Path) -> None:
    files = {"tank.yml": TANK, "log/2026-01-01.yml": "/etc/passwd"}
    modes = {"log/2026-01-01.yml": stat.S_IFLNK | 0o777}
    found, names = admitted(archive(tmp_path / "a.zip", files, modes=modes), tmp_path / "out")
    assert names == ["tank.yml"] and "is no plain file" in found.faults[0]


def test_a_name_counts_once_however_it_is_written(tmp_path: Path) -> None:
    files = {"tank.yml": TANK, "log/2026-01-01-a.yml": "1", "log/2026-01-01-A.yml": "2"}
    found, names = admitted(archive(tmp_path / "a.zip", files), tmp_path / "out")
    assert names == ["log/2026-01-01-a.yml", "tank.yml"] and "is there twice" in found.faults[0]


@pytest.mark.parametrize("data", [b"", b"no archive", b"PK\x03\x04" + bytes(60)])
def test_what_is_no_archive_is_told(data: bytes, tmp_path: Path) -> None:
    (tmp_path / "a.zip").write_bytes(data)
    found, names = admitted(tmp_path / "a.zip", tmp_path / "out")
    assert not found.usable and "cannot be read" in found.faults[0] and names == []


def test_the_digest_is_that_of_the_content(tmp_path: Path) -> None:
    files = {"tank.yml": TANK, "log/2026-01-01.yml": "notes: x"}
    one, _ = admitted(archive(tmp_path / "a.zip", files), tmp_path / "1")
    two, _ = admitted(archive(tmp_path / "b.zip", dict(reversed(files.items()))), tmp_path / "2")
    other, _ = admitted(archive(tmp_path / "c.zip", files | {"log/2026-01-01.yml": "notes: y"}),
                        tmp_path / "3")  # fmt: skip
    assert one.digest == two.digest != other.digest
