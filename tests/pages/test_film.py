"""Films of a view: which photos, how large, how long."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from journal_tools.pages import film as films
from journal_tools.pages.film import (
    FRAME_MS,
    LAST_FRAME_MS,
    MOST_BYTES,
    MOST_FRAMES,
    WIDTH_PX,
    film,
    film_path,
    thinned,
)
from tests.pages.built import Built


@given(st.integers(0, 300), st.integers(2, 60))
def test_thinning_keeps_both_ends_and_the_order(count: int, most: int) -> None:
    series: list[Any] = list(range(count))
    chosen: list[Any] = thinned(series, most)
    assert len(chosen) == min(count, most)
    assert chosen == sorted(set(chosen))
    assert not series or (chosen[0], chosen[-1]) == (0, count - 1)


def pictures(folder: Path, sizes: list[tuple[int, int]]) -> list[Path]:
    files = []
    for number, size in enumerate(sizes):
        file = folder / f"{number}.webp"
        Image.effect_noise(size, 20 + 40 * number).convert("RGB").save(file, quality=80)
        files.append(file)
    return files


def test_a_film_has_the_shape_of_its_last_picture(tmp_path: Path) -> None:
    data = film(pictures(tmp_path, [(800, 800), (900, 600), (800, 400)]))
    with Image.open(io.BytesIO(data)) as opened:
        assert (opened.n_frames, opened.size) == (3, (WIDTH_PX, WIDTH_PX // 2))
        times = []
        for place in range(3):
            opened.seek(place)
            opened.load()
            times.append(opened.info["duration"])
    assert times == [FRAME_MS, FRAME_MS, LAST_FRAME_MS]


def test_a_film_too_large_is_made_coarser(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = pictures(tmp_path, [(640, 480)] * 3)
    fine = film(files)
    monkeypatch.setattr(films, "MOST_BYTES", len(fine) - 1)
    assert len(film(files)) < len(fine)


def test_the_demo_films_keep_their_budget_and_are_in_the_tree(demo: Built) -> None:
    found = [asset for asset in demo.tree.assets if asset.path.startswith("photos/film-")]
    assert len(found) >= 3
    for asset in found:
        data = asset.read()
        assert len(data) <= MOST_BYTES, asset.path
        with Image.open(io.BytesIO(data)) as opened:
            assert 3 <= opened.n_frames <= MOST_FRAMES
            assert opened.width == WIDTH_PX


def test_a_film_has_a_plain_name_that_changes_with_its_photos(three: Built) -> None:
    series = three.site.shown_photos
    assert film_path("Frönt / 1", series) != film_path("Frönt / 1", series[:2])
    assert film_path("Frönt / 1", series).startswith("photos/film-fr")
    assert film_path("前", series).startswith("photos/film-view-")
