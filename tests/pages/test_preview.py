"""Cards for link previews: for whom, how large, and that nothing is cut by the edge."""

from __future__ import annotations

import io
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from journal_tools.pages import preview
from journal_tools.pages.diary import entry_views
from journal_tools.pages.preview import (
    GENERAL_CARD,
    HEIGHT,
    WIDTH,
    Card,
    card_assets,
    card_paths,
    card_svg,
    draw,
    shortened,
    width_px,
    wrapped,
)
from tests import journals
from tests.pages.built import Built

WORDS = Card("3 March 2026", "First corals", ("Alkalinity 8.2 dKH",), "They opened.", "Test reef")
TEXT = st.text(st.characters(exclude_categories=("Cs",)), max_size=200)


def test_who_has_a_card_of_its_own(tmp_path: Path) -> None:
    journals.photo(tmp_path / "journal/photos/a.jpg")
    log = {
        "log/2026-03-01.yml": "title: Words\n",
        "log/2026-03-02.yml": "photos: a.jpg\n",
        "log/2026-03-03.yml": "notes: neither\n",
    }
    site = journals.site(tmp_path, log)
    views = entry_views(site)
    paths = card_paths(views)
    assert paths == {
        "2026-03-01": "e/2026-03-01/card.png",
        "2026-03-02": "e/2026-03-02/card.jpg",
        "2026-03-03": GENERAL_CARD,
    }
    assets = {asset.path: asset for asset in card_assets(site, views)}
    assert assets.keys() == set(paths.values())
    for path, asset in assets.items():
        with Image.open(io.BytesIO(asset.read())) as opened:
            assert opened.size == (WIDTH, HEIGHT)
            assert opened.format == ("PNG" if path.endswith("png") else "JPEG")


def test_only_the_newest_words_and_milestones_are_drawn(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = {f"log/2026-03-0{day}.yml": f"title: Day {day}\n" for day in range(1, 6)}
    log["log/2026-03-02.yml"] = "milestone: Fish\n"
    monkeypatch.setattr(preview, "NEWEST_WITH_WORDS", 2)
    paths = card_paths(entry_views(journals.site(tmp_path, log)))
    own = [entry for entry, path in paths.items() if path != GENERAL_CARD]
    assert own == ["2026-03-02", "2026-03-04", "2026-03-05"]


def test_the_same_card_is_the_same_picture() -> None:
    one, other = draw(WORDS), draw(WORDS)
    assert one.size == (WIDTH, HEIGHT)
    assert one.tobytes() == other.tobytes()


def ink(image: Image.Image) -> tuple[int, int, int, int]:
    """Give the box around everything that is darker than paper and lines."""
    box = image.convert("L").point(lambda value: 255 if value < 150 else 0).getbbox()
    assert box is not None
    return box


@pytest.mark.parametrize("title", ["First corals", "W" * 200, "Wide MWMW words " * 30, "Ä"])
def test_words_stay_on_the_card(title: str) -> None:
    card = Card("3 March 2026", title, ("Alkalinity 8.2 dKH" * 9,) * 3, "Said. " * 90, title)
    left, top, right, bottom = ink(draw(card))
    assert left > 20 and top > 20 and right < WIDTH - 20 and bottom < HEIGHT - 20


def test_letters_of_many_languages_are_drawn() -> None:
    empty = Card("", "", (), "", "")
    for letters in ("éàöß", "łğžő", "Ωµα", "Жщя"):
        assert ink(draw(Card("", letters, (), "", "")))[2] > 200
    with pytest.raises(AssertionError):
        ink(draw(empty))


@given(TEXT, TEXT)
def test_whatever_is_written_is_well_formed(title: str, line: str) -> None:
    svg = card_svg(Card("a", title, (line,), line, title), 0)
    assert ET.fromstring(svg).tag.endswith("svg")


@given(TEXT, st.floats(60, 1200), st.integers(1, 5))
def test_lines_fit_and_are_not_too_many(words: str, room: float, most: int) -> None:
    lines = wrapped(words, room, 30, most)
    assert 1 <= len(lines) <= most
    assert all(width_px(line, 30) <= room or line == " …" for line in lines)
    assert width_px(shortened(words, room, 30), 30) <= room or shortened(words, room, 30) == " …"


def test_a_photo_fills_its_side(three: Built) -> None:
    shown = three.site.shown_photos[0]
    card = Card("a", "b", (), "", "c", shown.rendition(1280).path, "x", ".jpg")
    image = draw(card)
    teal, paper = image.getpixel((5, 5)), image.getpixel((WIDTH - 5, 5))
    assert isinstance(teal, tuple) and teal[0] < 40 < teal[1]
    assert paper == (0xFB, 0xF8, 0xF1)
