"""Several processes: faster, and no crash ends the build."""

from __future__ import annotations

import functools
import multiprocessing
import os
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import pytest
from PIL import Image

from journal_tools.cache import Cache
from journal_tools.photos import Fault, Photo, preparation, prepare, workers
from journal_tools.photos.workers import work_through, worker_count

from .made_up import HEIC, cached_files, forbid, plain, save_many, scene, wanted


def test_a_heic_that_crashes_its_reader_does_not_end_the_build(folder: Path, cache: Cache) -> None:
    # This byte, the second of the first metadata item's type, ends the process of pi-heif 1.4.0.
    spoilt = bytearray(HEIC)
    at = HEIC.index(b"Exif") + 1
    spoilt[at] ^= 0xFF
    (folder / "spoilt.heic").write_bytes(spoilt)
    plain().save(folder / "a.png")
    found, problems = prepare(wanted("spoilt.heic", "a.png"), folder, cache)
    assert "a.png" in found
    assert ("spoilt.heic" in found) == (problems == [])
    assert {p.code for p in problems} <= {"photo-failed", "photo-truncated"}


def test_many_photos_come_from_worker_processes(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    names = save_many(folder, 10)
    (folder / names[3]).write_bytes(b"no picture")
    # What is patched here is not patched in a new process: nothing may be decoded in this one.
    forbid(monkeypatch, preparation, "decoded")
    found, problems = prepare(wanted(*names), folder, cache, workers=2)
    assert [p.code for p in problems] == ["photo-not-image"]
    assert list(found) == [name for name in names if name != names[3]]
    assert [p.colour[:3] for p in found.values()] == [f"#{n:02x}" for n in range(10) if n != 3]


def test_few_photos_start_no_process(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    forbid(monkeypatch, workers, "ProcessPoolExecutor")
    names = save_many(folder, 9)
    assert len(prepare(wanted(*names[:8]), folder, cache)[0]) == 8
    assert len(prepare(wanted(*names), folder, cache, workers=1)[0]) == 9


def test_a_system_without_processes_still_builds(
    folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*args: object, **options: object) -> None:
        raise NotImplementedError("this system has no semaphores")

    monkeypatch.setattr(workers, "ProcessPoolExecutor", refuse)
    names = save_many(folder, 10)
    assert len(prepare(wanted(*names), folder, cache, workers=2)[0]) == 10


def die_on_the_fourth(path: Path) -> str | Fault:
    if path.name == "shot-04.png":
        os._exit(11)
    return path.name


def die_once(path: Path, marker: Path) -> str | Fault:
    if path.name == "shot-04.png" and not marker.exists():
        marker.touch()
        os._exit(11)
    return path.name


def test_a_worker_that_dies_costs_only_the_photo_that_kills_it(folder: Path) -> None:
    paths = [folder / f"shot-{number:02}.png" for number in range(12)]
    outcomes = work_through(paths, die_on_the_fourth, 2)
    assert set(outcomes) == set(paths)
    failed = outcomes.pop(paths[4])
    assert isinstance(failed, Fault)
    assert failed.code == "photo-failed"
    assert outcomes == {path: path.name for path in paths if path != paths[4]}


def test_a_worker_that_dies_by_accident_costs_nothing(folder: Path, tmp_path: Path) -> None:
    paths = [folder / f"shot-{number:02}.png" for number in range(12)]
    job = functools.partial(die_once, marker=tmp_path / "died")
    outcomes = work_through(paths, job, 2)
    assert (tmp_path / "died").exists()
    assert outcomes == {path: path.name for path in paths}


def prepare_as_another_process(folders: tuple[Path, Path]) -> dict[str, Photo]:
    names: Iterable[str] = sorted(path.name for path in folders[0].iterdir())
    found, problems = prepare(wanted(*names), folders[0], Cache(folders[1]))
    assert problems == []
    return found


def test_two_builds_at_once_share_a_cache(folder: Path, cache: Cache) -> None:
    for number in range(6):
        scene(900 + number, 600).save(folder / f"{number}.jpg")
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        one, other = pool.map(prepare_as_another_process, [(folder, cache.root)] * 2)
    assert one == other
    for result in one.values():
        for rendition in result.renditions:
            assert Image.open(rendition.path).convert("RGB").width == rendition.width
    assert len(cached_files(cache, "photos")) == 6 * 3


@pytest.mark.parametrize(
    ("asked", "cores", "expected"),
    [(None, 4, 4), (3, 4, 3), (100, 4, 8), (0, 4, 4), (-2, 4, 1), (None, None, 1), (99, 64, 32)],
)
def test_no_more_workers_than_memory_allows(
    monkeypatch: pytest.MonkeyPatch, asked: int | None, cores: int | None, expected: int
) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: cores)
    assert worker_count(asked) == expected
