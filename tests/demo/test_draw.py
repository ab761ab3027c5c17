"""The drawn pictures of the demo journal: repeatable, growing, and with a camera's traces."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import get_args

import numpy as np
import pytest
from PIL import Image, ImageOps

from .draw import (
    ALL_GEAR,
    FULL,
    VIEWS,
    Coral,
    Fish,
    Orientation,
    Scene,
    contact_sheet,
    draw,
    save_jpeg,
)
from .scene import CoralKind, FishKind, Gear, Light, Stage, View

SMALL = (320, 240)
TAKEN = datetime(2026, 3, 14, 18, 40, 5, tzinfo=UTC)
REEF = Scene(
    corals=(Coral("leather", 0.36, 0.5, "gold"), Coral("mushroom", 0.12, 0.4, "rose", perch=0.5)),
    fish=(Fish("clown pair", 0.6, 0.3),),
    coralline=0.5,
)


def pixel_hash(image: Image.Image) -> str:
    return hashlib.sha256(image.tobytes()).hexdigest()


def differing(first: Image.Image, second: Image.Image) -> int:
    """How many pixels differ clearly."""
    gap = np.abs(np.asarray(first, dtype=int) - np.asarray(second, dtype=int)).max(axis=2)
    return int((gap > 24).sum())


@cache
def bare(view: View) -> Image.Image:
    """The running tank without any life, or a close-up without its subject."""
    return draw(Scene(), view, SMALL)


def coral_area(kind: CoralKind, size: float, view: View = "front") -> int:
    """Pixels that a coral changes in an otherwise equal scene."""
    scene = Scene(corals=(Coral(kind, 0.36, size, "rose"),))
    return differing(draw(scene, view, SMALL), bare(view))


@pytest.mark.parametrize("view", get_args(View))
def test_the_same_scene_gives_the_same_pixels(view: View) -> None:
    assert pixel_hash(draw(REEF, view, SMALL)) == pixel_hash(draw(REEF, view, SMALL))


def test_pictures_in_between_change_nothing() -> None:
    first = pixel_hash(draw(REEF, "front", SMALL))
    draw(Scene(seed=99, algae=1.0, coralline=1.0), "front", SMALL)
    assert pixel_hash(draw(REEF, "front", SMALL)) == first


def test_another_seed_is_another_sheet_of_paper() -> None:
    assert pixel_hash(draw(Scene(seed=1), "front", SMALL)) != pixel_hash(
        draw(Scene(seed=2), "front", SMALL)
    )


def test_every_view_is_drawn() -> None:
    assert set(VIEWS) == set(get_args(View))


@pytest.mark.parametrize("view", get_args(View))
def test_the_picture_has_the_size_asked_for(view: View) -> None:
    assert draw(REEF, view, (240, 180)).size == (240, 180)


@pytest.mark.parametrize("kind", get_args(CoralKind))
def test_a_coral_covers_more_as_it_grows(kind: CoralKind) -> None:
    areas = [coral_area(kind, size) for size in (0.05, 0.35, 0.65, 1.0)]
    assert areas[0] > 10
    assert all(after > 1.15 * before for before, after in pairwise(areas))


@pytest.mark.parametrize("kind", get_args(CoralKind))
def test_a_close_up_shows_more_of_a_coral_than_the_whole_tank(kind: CoralKind) -> None:
    assert coral_area(kind, 0.4, "macro") > 3 * coral_area(kind, 0.4)


@pytest.mark.parametrize("kind", get_args(CoralKind))
def test_a_bleached_coral_loses_its_colour(kind: CoralKind) -> None:
    def saturation(health: float) -> float:
        picture = draw(Scene(corals=(Coral(kind, 0.36, 0.8, "rose", health),)), "macro", SMALL)
        middle = picture.crop((110, 70, 210, 180)).convert("HSV")
        hue, strength, _ = (np.asarray(band, dtype=float) for band in middle.split())
        return float(strength[(hue > 220) | (hue < 12)].sum())

    assert saturation(0.0) < 0.6 * saturation(1.0)


@pytest.mark.parametrize("kind", get_args(FishKind))
def test_an_animal_is_seen_and_looks_where_it_faces(kind: FishKind) -> None:
    right = draw(Scene(fish=(Fish(kind, 0.5, 0.5, 1.0, 1),)), "front", SMALL)
    left = draw(Scene(fish=(Fish(kind, 0.5, 0.5, 1.0, -1),)), "front", SMALL)
    assert differing(bare("front"), right) > 15
    assert differing(left, right) > 5


def test_water_rises_with_its_level() -> None:
    dry = draw(Scene("dry rock"), "front", SMALL)
    wet = [
        differing(dry, draw(Scene("filled", water_level=level), "front", SMALL))
        for level in (0.25, 0.5, 1.0)
    ]
    assert wet == sorted(wet)
    assert wet[0] < wet[2] / 2


def test_a_dry_stage_shows_no_water() -> None:
    full, none = (Scene("dry rock", water_level=level) for level in (1.0, 0.0))
    assert pixel_hash(draw(full, "front", SMALL)) == pixel_hash(draw(none, "front", SMALL))


@pytest.mark.parametrize(("stage", "following"), list(pairwise(get_args(Stage))))
def test_every_stage_looks_other_than_the_one_before(stage: Stage, following: Stage) -> None:
    before, after = (draw(Scene(step), "front", SMALL) for step in (stage, following))
    assert differing(before, after) > 500


@pytest.mark.parametrize("kind", ["brown", "green"])
def test_algae_darken_the_rock(kind: str) -> None:
    rock = (40, 150, 110, 180)
    clean = np.asarray(draw(Scene(), "front", SMALL).crop(rock), dtype=float).mean()
    green = Scene(algae=0.9, algae_kind="green" if kind == "green" else "brown")
    assert np.asarray(draw(green, "front", SMALL).crop(rock), dtype=float).mean() < clean - 15


def test_evening_is_darker_than_day_and_a_power_cut_has_a_flame() -> None:
    def light(picture: Image.Image) -> float:
        return float(np.asarray(picture.convert("L"), dtype=float).mean())

    hours: tuple[Light, ...] = ("day", "dusk", "night/blue")
    day, dusk, night = (light(draw(Scene(light=hour), "front", SMALL)) for hour in hours)
    assert day > dusk > night
    dark = draw(Scene(power_cut=True), "front", SMALL)
    flame = np.asarray(dark.crop((76, 160, 86, 180)), dtype=float)
    assert light(dark) < day
    assert flame[..., 0].max() > 220


@pytest.mark.parametrize("piece", ALL_GEAR)
def test_each_piece_of_equipment_can_be_left_out(piece: Gear) -> None:
    rest = tuple(other for other in ALL_GEAR if other != piece)
    assert differing(bare("front"), draw(Scene(gear=rest), "front", SMALL)) > 15


def test_a_heat_wave_brings_ice_and_a_fan() -> None:
    usual, hot = (draw(Scene(heat_wave=hot), "front", SMALL) for hot in (False, True))
    assert differing(usual, hot) > 300


def test_the_moment_is_written(tmp_path: Path) -> None:
    save_jpeg(draw(REEF, "front", SMALL), tmp_path / "a.jpg", TAKEN)
    with Image.open(tmp_path / "a.jpg") as photo:
        details = photo.getexif().get_ifd(0x8769)
        assert photo.format == "JPEG"
        assert details[0x9003] == "2026:03:14 18:40:05"
        assert details[0x9011] == "+00:00"
        assert not photo.getexif().get_ifd(0x8825)


@pytest.mark.parametrize("orientation", [6, 8])
def test_a_turned_picture_is_stored_lying_and_shown_upright(
    tmp_path: Path, orientation: Orientation
) -> None:
    upright = draw(REEF, "front", SMALL)
    save_jpeg(upright, tmp_path / "turned.jpg", TAKEN, orientation=orientation, quality=95)
    with Image.open(tmp_path / "turned.jpg") as photo:
        assert photo.size == (SMALL[1], SMALL[0])
        assert photo.getexif()[0x0112] == orientation
        shown = ImageOps.exif_transpose(photo)
    gap = np.abs(np.asarray(shown, dtype=int) - np.asarray(upright, dtype=int))
    assert shown.size == upright.size
    assert gap.mean() < 5


def test_an_invented_place_is_written(tmp_path: Path) -> None:
    path = tmp_path / "sea.jpg"
    save_jpeg(draw(REEF, "front", SMALL), path, TAKEN, position=(-48.876667, -123.393333))
    with Image.open(path) as photo:
        place = photo.getexif().get_ifd(0x8825)
    assert (place[1], place[3]) == ("S", "W")
    assert [float(part) for part in place[2]] == pytest.approx([48, 52, 36.0], abs=0.01)
    assert [float(part) for part in place[4]] == pytest.approx([123, 23, 36.0], abs=0.01)


def test_a_full_picture_is_of_a_modest_size(tmp_path: Path) -> None:
    save_jpeg(draw(REEF, "front", FULL), tmp_path / "full.jpg", TAKEN)
    assert 60_000 < (tmp_path / "full.jpg").stat().st_size < 170_000


def test_a_contact_sheet_holds_every_picture() -> None:
    pictures = [Image.new("RGB", (40, 30), tone) for tone in ("red", "lime", "blue", "black")]
    page = contact_sheet(pictures, columns=3, width=40)
    assert page.size == (120, 60)
    assert [page.getpixel((20 + 40 * k, 15)) for k in range(3)] == [
        (255, 0, 0),
        (0, 255, 0),
        (0, 0, 255),
    ]
    assert page.getpixel((20, 45)) == (0, 0, 0)
