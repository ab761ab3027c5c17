"""Charts and photos as files for a forum: numbered, and under the limits that it sets."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass

import pandas as pd
from PIL import Image

from journal_tools.pages.figures import bands_of
from journal_tools.pages.site import Shown, Site
from journal_tools.parameters import Parameter
from journal_tools.sharing.reading_summary import chosen_readings
from journal_tools.sharing.selection import Selection

_QUALITIES = (86, 78, 68, 56, 44)
_SMALLER = 0.8
_LEAST_WIDTH = 160
# Twice the size of the page's own chart is sharp on any screen.
_MOST_SCALE = 2.0


@dataclass(frozen=True, slots=True)
class Limits:
    """What a forum allows.

    Attributes:
        width_px: Most pixels across.
        size_bytes: Most bytes of one file.
        count: Most pictures of a post.
    """

    width_px: int = 1200
    size_bytes: int = 500_000
    count: int = 10


@dataclass(frozen=True, slots=True)
class PictureFile:
    """A picture ready to be uploaded.

    Attributes:
        name: Its file name, with its number in the post.
        words: What it shows.
        data: Its bytes.
        width: Pixels across.
        entry: Id of the entry that shows it, or ``""`` for a chart.
    """

    name: str
    words: str
    data: bytes
    width: int
    entry: str = ""


def post_pictures(
    site: Site, selection: Selection, limits: Limits
) -> tuple[list[PictureFile], int]:
    """Give the pictures of a post in order, charts first, and how many had to stay out.

    Charts take half of the places at most, so that there is room for photos; places that one kind
    leaves are the other's.

    Args:
        site: The journal.
        selection: Its entries that are handed on.
        limits: What the forum allows.
    """
    charted = [p for p in site.tested if len(chosen_readings(site, selection, p)) > 1]
    photos = [shown for entry in selection.entries for shown in site.photos_of(entry)]
    for_charts = min(len(charted), max(limits.count // 2, limits.count - len(photos)))
    for_photos = min(len(photos), limits.count - for_charts)
    files = [_chart(site, selection, p, limits) for p in charted[:for_charts]]
    files += [_photo(shown, limits) for shown in photos[:for_photos]]
    left_out = len(charted) + len(photos) - for_charts - for_photos
    return [_numbered(file, i) for i, file in enumerate(files, 1)], left_out


def _numbered(file: PictureFile, number: int) -> PictureFile:
    name = f"picture-{number:02d}-{file.name}"
    return PictureFile(name, file.words, file.data, file.width, file.entry)


def _chart(site: Site, selection: Selection, parameter: Parameter, limits: Limits) -> PictureFile:
    from journal_tools.charts.parameter import parameter_chart, title_words

    readings = chosen_readings(site, selection, parameter)
    times = site.events["time"]
    end = pd.Timestamp(selection.last, tz=site.journal.profile.zone) + pd.DateOffset(days=1)
    events = site.events[(times >= readings["time"].iloc[0]) & (times < end)]
    chart = parameter_chart(parameter, readings, events, bands_of(site, parameter), selection.last)
    spec = chart.to_dict(validate=False)
    drawn = fitting_chart(spec, limits)
    with Image.open(io.BytesIO(drawn)) as picture:
        width = picture.width
    words = f"{title_words(parameter)}: {selection.first} to {selection.last}"
    return PictureFile(f"{parameter.name.replace('_', '-')}.png", words, drawn, width)


def fitting_chart(spec: dict[str, object], limits: Limits) -> bytes:
    """Give a chart as PNG in the colours of the light page, as sharp as the limits allow.

    Args:
        spec: Vega-Lite, with the colours of the page as CSS variables.
        limits: What the forum allows.
    """
    import vl_convert

    from journal_tools.charts.render import VEGA_LITE, printable
    from journal_tools.charts.theme import PALETTE, fixed_colours

    plain = json.loads(fixed_colours(json.dumps(printable(spec)), "light"))
    plain["background"] = PALETTE["paper"].light
    once = vl_convert.vegalite_to_png(plain, vl_version=VEGA_LITE, scale=1)
    with Image.open(io.BytesIO(once)) as picture:
        own_width = picture.width
    # Letters of less than two thirds of their size cannot be read: then the picture is cut down
    # in colours only.
    scale = min(_MOST_SCALE, limits.width_px / own_width)
    while True:
        data = vl_convert.vegalite_to_png(plain, vl_version=VEGA_LITE, scale=scale)
        data = _few_colours(data)
        if len(data) <= limits.size_bytes or own_width * scale * _SMALLER < _LEAST_WIDTH:
            return data
        scale *= _SMALLER


def _few_colours(data: bytes) -> bytes:
    """Give a drawing as PNG with a palette, which such flat pictures lose nothing by."""
    stream = io.BytesIO()
    with Image.open(io.BytesIO(data)) as picture:
        picture.convert("RGB").quantize(64, dither=Image.Dither.NONE).save(
            stream, "PNG", optimize=True
        )
    return stream.getvalue()


def _photo(shown: Shown, limits: Limits) -> PictureFile:
    rendition = shown.rendition(limits.width_px)
    with Image.open(rendition.path) as picture:
        data, width = fitting_photo(picture, limits)
    view = re.sub("[^a-z0-9]+", "-", shown.view.casefold()).strip("-") or "photo"
    return PictureFile(f"{view}.jpg", shown.alt, data, width, shown.entry.id)


def fitting_photo(picture: Image.Image, limits: Limits) -> tuple[bytes, int]:
    """Give a picture as JPEG under the limits, and its width; quality goes first, then size.

    Args:
        picture: The picture; its metadata is not taken along.
        limits: What the forum allows.
    """
    pixels = picture.convert("RGB")
    smallest = (b"", 0)
    for width in _widths(min(pixels.width, limits.width_px)):
        size = (width, max(1, round(pixels.height * width / pixels.width)))
        small = pixels if size == pixels.size else pixels.resize(size, Image.Resampling.LANCZOS)
        for quality in _QUALITIES:
            stream = io.BytesIO()
            small.save(stream, "JPEG", quality=quality, optimize=True, progressive=True)
            smallest = (stream.getvalue(), width)
            if len(smallest[0]) <= limits.size_bytes:
                return smallest
    return smallest


def _widths(widest: int) -> Iterator[int]:
    width = float(widest)
    yield widest
    while width * _SMALLER >= _LEAST_WIDTH:
        width *= _SMALLER
        yield round(width)
