"""Small pictures: square, one of each photo, none with anything but pixels in it."""

from __future__ import annotations

import io

from PIL import Image

from journal_tools.pages.thumbs import THUMB_PX, thumb_assets, thumb_path
from tests.pages.built import Built


def test_every_photo_has_its_small_picture(three: Built) -> None:
    assets = {asset.path: asset for asset in thumb_assets(three.site)}
    assert assets.keys() == {thumb_path(shown) for shown in three.site.shown_photos}
    assert len(assets) == 3
    for asset in assets.values():
        with Image.open(io.BytesIO(asset.read())) as opened:
            assert (opened.format, opened.size) == ("WEBP", (THUMB_PX, THUMB_PX))
            assert not opened.getexif()


def test_a_small_picture_shows_the_photo(three: Built) -> None:
    colours = set()
    for asset in thumb_assets(three.site):
        with Image.open(io.BytesIO(asset.read())) as opened:
            colours.add(max(range(3), key=opened.convert("RGB").getpixel((50, 50)).__getitem__))
    # Teal, coral and olive: green or blue leads in two, red in one.
    assert 0 in colours and len(colours) >= 2
