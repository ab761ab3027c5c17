"""The store for results that are slow to make."""

from __future__ import annotations

import hashlib
import multiprocessing
import os
import stat
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import platformdirs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools import cache as cache_store
from journal_tools.cache import FOLDER_VARIABLE, Cache, key

DAY_S = 86_400


@pytest.fixture
def cache(tmp_path: Path) -> Cache:
    return Cache(tmp_path / "cache")


def files_below(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def age(path: Path, days: float) -> None:
    then = time.time() - days * DAY_S
    os.utime(path, (then, then))


# --- Keys


def test_key_is_the_sha256_of_length_prefixed_parts() -> None:
    by_hand = hashlib.sha256(b"\0\0\0\0\0\0\0\2ab" + b"\0\0\0\0\0\0\0\1c").hexdigest()
    assert key("ab", b"c") == by_hand


def test_key_of_nothing_is_the_published_hash_of_the_empty_message() -> None:
    # The digest of a zero-length message, NIST CAVP SHA test vectors, SHA256ShortMsg, Len = 0.
    assert key() == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"


@given(st.lists(st.binary(max_size=9), max_size=5), st.lists(st.binary(max_size=9), max_size=5))
def test_keys_are_equal_only_for_equal_parts(one: list[bytes], other: list[bytes]) -> None:
    assert (key(*one) == key(*other)) == (one == other)


def test_key_takes_names_that_are_not_text() -> None:
    assert key(b"\xff".decode("utf-8", "surrogateescape")) != key("ÿ")


# --- Where the cache is


def test_default_is_the_folder_that_the_variable_names(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv(FOLDER_VARIABLE, str(tmp_path / "mine"))
    assert Cache.default().root == tmp_path / "mine"
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(FOLDER_VARIABLE, "near")
    assert Cache.default().root == tmp_path / "near"


@pytest.mark.parametrize("unset", [None, ""])
def test_default_is_the_place_of_the_operating_system(
    monkeypatch: pytest.MonkeyPatch, unset: str | None
) -> None:
    if unset is None:
        monkeypatch.delenv(FOLDER_VARIABLE, raising=False)
    else:
        monkeypatch.setenv(FOLDER_VARIABLE, unset)
    expected = platformdirs.user_cache_path("journal-tools", appauthor=False)
    assert Cache.default().root == expected


# --- Putting and getting


def test_a_value_comes_back_from_its_sub_folder(cache: Cache) -> None:
    name = key("front", "recipe 1")
    path = cache.put_bytes("photos", name, ".webp", b"pixels")
    assert path == cache.root / "photos" / name[:2] / f"{name}.webp"
    assert cache.get("photos", name, ".webp") == path
    assert path.read_bytes() == b"pixels"


def test_what_was_not_stored_is_none(cache: Cache) -> None:
    name = key("a")
    assert cache.get("photos", name, ".webp") is None
    cache.put_bytes("photos", name, ".webp", b"")
    assert cache.get("photos", name, ".jpg") is None
    assert cache.get("charts", name, ".webp") is None
    assert cache.get("photos", key("b"), ".webp") is None


def test_text_keeps_its_line_ends_and_letters(cache: Cache) -> None:
    cache.put_text("charts", key("t"), ".svg", "é\r\nµ\n")
    assert cache.get_text("charts", key("t"), ".svg") == "é\r\nµ\n"
    assert cache.get_text("charts", key("u"), ".svg") is None


def test_text_that_was_spoilt_counts_as_absent(cache: Cache) -> None:
    cache.put_bytes("charts", key("t"), ".svg", b"\xff\xfe\xff")
    assert cache.get_text("charts", key("t"), ".svg") is None


def test_putting_again_mends_a_spoilt_value(cache: Cache) -> None:
    path = cache.put_bytes("photos", key("a"), ".webp", b"whole")
    path.write_bytes(b"who")
    assert cache.put_bytes("photos", key("a"), ".webp", b"whole").read_bytes() == b"whole"


@pytest.mark.parametrize(
    ("kind", "name", "suffix"),
    [
        ("..", key("a"), ".webp"),
        ("a/b", key("a"), ".webp"),
        ("", key("a"), ".webp"),
        ("photos", "../../" + key("a")[6:], ".webp"),
        ("photos", key("a")[:-1], ".webp"),
        ("photos", key("a") + "\n", ".webp"),
        ("photos", key("a"), "webp"),
        ("photos", key("a"), "./../x"),
    ],
)
def test_names_that_could_lead_elsewhere_are_refused(
    cache: Cache, kind: str, name: str, suffix: str
) -> None:
    with pytest.raises(ValueError, match="not a name for a cached value"):
        cache.put_bytes(kind, name, suffix, b"x")
    with pytest.raises(ValueError, match="not a name for a cached value"):
        cache.get(kind, name, suffix)
    assert not cache.root.exists()


def test_nothing_is_written_outside_the_folder(cache: Cache, tmp_path: Path) -> None:
    name = key("a")
    cache.put_bytes("photos", name, ".webp", b"x")
    assert files_below(tmp_path) == {f"cache/photos/{name[:2]}/{name}.webp"}


def test_values_may_be_read_by_others_as_any_new_file(cache: Cache, tmp_path: Path) -> None:
    plain = tmp_path / "plain"
    plain.write_bytes(b"")
    value = cache.put_bytes("photos", key("a"), ".webp", b"x")
    assert stat.S_IMODE(value.stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)


# --- Accidents


def test_a_write_that_fails_leaves_neither_value_nor_litter(
    cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        cache.put_bytes("photos", key("a"), ".webp", b"x")
    assert files_below(cache.root) == set()
    assert cache.get("photos", key("a"), ".webp") is None


def test_a_value_has_its_name_only_once_it_is_whole(
    cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[tuple[Path | None, int]] = []
    real = os.fsync

    def look(descriptor: int) -> None:
        seen.append((cache.get("photos", key("a"), ".webp"), os.fstat(descriptor).st_size))
        real(descriptor)

    monkeypatch.setattr(os, "fsync", look)
    cache.put_bytes("photos", key("a"), ".webp", b"123")
    assert seen == [(None, 3)]


def test_a_cache_deleted_in_the_middle_of_a_write_is_made_anew(
    cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = Path.replace
    deleted: list[Path] = []

    def delete_first(self: Path, target: Path) -> Path:
        if not deleted:
            deleted.append(self)
            self.unlink()
            self.parent.rmdir()
        return real(self, target)

    monkeypatch.setattr(Path, "replace", delete_first)
    path = cache.put_bytes("photos", key("a"), ".webp", b"x")
    assert deleted
    assert path.read_bytes() == b"x"


def test_a_folder_that_vanishes_every_time_is_an_error(
    cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    def vanished(self: Path, target: Path) -> Path:
        raise FileNotFoundError(2, "gone", str(self))

    monkeypatch.setattr(Path, "replace", vanished)
    with pytest.raises(FileNotFoundError):
        cache.put_bytes("photos", key("a"), ".webp", b"x")


def test_a_value_that_another_process_is_reading_stays(
    cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(self: Path, target: Path) -> Path:
        raise PermissionError(13, "in use", str(target))

    cache.put_bytes("photos", key("a"), ".webp", b"x")
    monkeypatch.setattr(Path, "replace", refuse)
    assert cache.put_bytes("photos", key("a"), ".webp", b"x").read_bytes() == b"x"
    with pytest.raises(PermissionError):
        cache.put_bytes("photos", key("b"), ".webp", b"x")
    assert len(files_below(cache.root)) == 1


def test_a_cache_that_may_only_be_read_still_serves(
    cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = cache.put_bytes("photos", key("a"), ".webp", b"x")

    def refuse(path: Path) -> None:
        raise PermissionError(13, "read-only", str(path))

    monkeypatch.setattr(os, "utime", refuse)
    assert cache.get("photos", key("a"), ".webp") == path


def put_many(root: Path) -> int:
    """Write twenty values forty times, as another process would; give the number of spoilt ones."""
    cache = Cache(root)
    spoilt = 0
    for turn in range(800):
        data = bytes([turn % 20]) * 50_000
        path = cache.put_bytes("photos", key(str(turn % 20)), ".webp", data)
        spoilt += path.read_bytes() != data
    return spoilt


def test_two_processes_at_once_never_spoil_a_value(cache: Cache) -> None:
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        assert list(pool.map(put_many, [cache.root] * 2)) == [0, 0]
    assert len(files_below(cache.root)) == 20


# --- Pruning


def test_prune_deletes_what_was_not_used_lately(cache: Cache) -> None:
    old = cache.put_bytes("photos", key("old"), ".webp", b"x")
    used = cache.put_bytes("photos", key("used"), ".webp", b"x")
    fresh = cache.put_bytes("charts", key("fresh"), ".svg", b"x")
    age(old, 31)
    age(used, 31)
    age(fresh, 29)
    cache.get("photos", key("used"), ".webp")
    assert cache.prune(older_than_days=30) == 1
    assert not old.exists()
    assert used.exists()
    assert fresh.exists()


def test_prune_of_no_cache_does_nothing(cache: Cache) -> None:
    assert cache.prune(0) == 0
    assert not cache.root.exists()


def test_prune_spares_files_that_are_not_values(cache: Cache) -> None:
    name = key("a")
    strangers = [
        cache.root / "letter.txt",
        cache.root / "photos" / "family.jpg",
        cache.root / "photos" / name[:2] / "family.jpg",
        cache.root / "photos" / "holiday" / f"{name}.webp",
        cache.root / "Photos" / name[:2] / f"{name}.webp",
    ]
    for path in strangers:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"dear")
        age(path, 1000)
    assert cache.prune(1) == 0
    assert all(path.read_bytes() == b"dear" for path in strangers)


def test_prune_does_not_follow_links(cache: Cache, tmp_path: Path) -> None:
    name = key("a")
    outside = tmp_path / "elsewhere" / name[:2] / f"{name}.webp"
    outside.parent.mkdir(parents=True)
    outside.write_bytes(b"x")
    age(outside, 1000)
    cache.root.mkdir()
    (cache.root / "photos").symlink_to(outside.parent.parent, target_is_directory=True)
    assert cache.prune(1) == 0
    assert outside.exists()


def test_prune_clears_what_a_crash_left_but_no_write_under_way(cache: Cache) -> None:
    value = cache.put_bytes("photos", key("a"), ".webp", b"x")
    left, under_way = (value.with_name(f".{key('a')}-{digit * 16}.tmp") for digit in ("1", "2"))
    left.write_bytes(b"half")
    under_way.write_bytes(b"half")
    age(left, 1)
    assert cache.prune(0) == 1
    assert not value.exists()
    assert not left.exists()
    assert under_way.exists()


def test_names_of_unfinished_files_are_those_that_prune_knows(
    cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    names: list[str] = []
    real = Path.replace

    def note(self: Path, target: Path) -> Path:
        names.append(self.name)
        return real(self, target)

    monkeypatch.setattr(Path, "replace", note)
    cache.put_bytes("photos", key("a"), ".webp", b"x")
    assert [bool(cache_store._UNFINISHED_NAME.fullmatch(name)) for name in names] == [True]


def test_a_value_that_is_gone_or_in_use_is_not_counted(
    cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(self: Path, missing_ok: bool = False) -> None:
        raise PermissionError(13, "in use", str(self))

    age(cache.put_bytes("photos", key("a"), ".webp", b"x"), 2)
    monkeypatch.setattr(Path, "unlink", refuse)
    assert cache.prune(1) == 0


@pytest.mark.parametrize("days", [-1, float("nan")])
def test_prune_refuses_a_senseless_age(cache: Cache, days: float) -> None:
    with pytest.raises(ValueError, match="0 or more"):
        cache.prune(days)
