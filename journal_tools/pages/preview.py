"""Pictures that stand for an entry where its link is pasted: a card of 1200 by 630 pixels.

The words are drawn in Liberation Sans, which the chart renderer carries inside it, so that a card
looks the same on every computer. Letters that this font lacks come from the computer's own fonts.
"""

from __future__ import annotations

import io
import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import cache as memoize
from importlib.metadata import version
from pathlib import Path
from xml.sax.saxutils import escape

import PIL
from PIL import Image, ImageOps

from journal_tools import cache as store
from journal_tools.charts.theme import PALETTE, Role
from journal_tools.pages.diary import EntryView, Views
from journal_tools.pages.site import Shown, Site, latest
from journal_tools.pages.tree import Asset
from journal_tools.words import day_text

WIDTH, HEIGHT = 1200, 630
GENERAL_CARD = "e/card.jpg"
NEWEST_WITH_WORDS = 365
_PHOTO_WIDTH, _MARGIN, _RULE, _SMALL = 640, 56, 50, 28
_FONT = "Liberation Sans"
_JPEG_QUALITY, _COLOURS = 82, 24
_MOST_READINGS = 3


@dataclass(frozen=True)
class Card:
    """What a card says and shows.

    Attributes:
        kicker: Small line above: the day.
        title: Large words.
        lines: Readings, a line each.
        said: A sentence that follows them, if there is room.
        foot: Name of the tank.
        picture: File of the photo, or None for a card of words alone.
        digest: SHA-256 of the photo's original, or ``""``.
        suffix: Kind of file: few colours are smaller as PNG, photos as JPEG.
    """

    kicker: str
    title: str
    lines: tuple[str, ...]
    said: str
    foot: str
    picture: Path | None = None
    digest: str = ""
    suffix: str = ".png"


def card_paths(views: Views) -> dict[str, str]:
    """Give the place of each entry's card by its id: its own, or the general one.

    An entry with a photo has one of its own. Cards of words alone are drawn for milestones and for
    the newest entries with a title: on a machine without a cache each costs a fiftieth of a second.
    """
    titled = [view for view in views.values() if view.entry.title and not view.photos]
    words = {view.entry.id for view in titled[-NEWEST_WITH_WORDS:]}
    words |= {view.entry.id for view in titled if view.entry.record.milestone}

    def path(view: EntryView) -> str:
        if view.photos:
            return f"e/{view.entry.id}/card.jpg"
        return f"e/{view.entry.id}/card.png" if view.entry.id in words else GENERAL_CARD

    return {entry: path(view) for entry, view in views.items()}


def card_assets(site: Site, views: Views) -> list[Asset]:
    """Give the cards of all entries that have one, and the general card."""
    wanted = {
        path: _card(site, views[entry])
        for entry, path in card_paths(views).items()
        if path != GENERAL_CARD
    }
    wanted[GENERAL_CARD] = _general_card(site)
    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        files = list(pool.map(lambda card: _drawn(site, card), wanted.values()))
    return [Asset(path, file) for path, file in zip(wanted, files, strict=True)]


def _card(site: Site, view: EntryView) -> Card:
    lines = tuple(f"{one.label} {one.text}" for one in view.readings[:_MOST_READINGS])
    name = site.journal.profile.name
    said = view.summary if view.notes else ""
    words = Card(day_text(view.entry.day), view.heading, lines, said, name)
    return _with_photo(words, view.photos[0]) if view.photos else words


def _general_card(site: Site) -> Card:
    profile, photo = site.journal.profile, latest(site.shown_photos, "front")
    words = Card(f"since {day_text(profile.start)}", profile.name, (), "", "A tank journal")
    return _with_photo(words, photo) if photo else replace(words, suffix=".jpg")


def _with_photo(card: Card, shown: Shown) -> Card:
    file, digest = shown.rendition(1280).path, shown.photo.digest
    return replace(card, picture=file, digest=digest, suffix=".jpg")


def _drawn(site: Site, card: Card) -> Path:
    """Give the file of a card, drawn now or kept from an earlier build."""
    words = repr((card.kicker, card.title, card.lines, card.said, card.foot))
    key = store.key("card", _recipe(), words, card.digest, card.suffix)
    found = site.cache.get("cards", key, card.suffix)
    if found is not None:
        return found
    return site.cache.put_bytes("cards", key, card.suffix, _encoded(draw(card), card.suffix))


@memoize
def _recipe() -> str:
    """Give what a drawing rests on beside its words: this code and the drawing programs."""
    code = store.key(Path(__file__).read_bytes())
    return f"{code} {PIL.__version__} {version('vl-convert-python')} {PALETTE}"


def _encoded(image: Image.Image, suffix: str) -> bytes:
    stream = io.BytesIO()
    if suffix == ".jpg":
        image.save(stream, "JPEG", quality=_JPEG_QUALITY, optimize=True)
    else:
        few = image.quantize(_COLOURS, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
        few.save(stream, "PNG", compress_level=6)
    return stream.getvalue()


def draw(card: Card) -> Image.Image:
    """Give a card as a picture of 1200 by 630 pixels."""
    import vl_convert

    left = _PHOTO_WIDTH if card.picture else 0
    png = vl_convert.svg_to_png(card_svg(card, left))
    with Image.open(io.BytesIO(png)) as opened:
        image = opened.convert("RGB")
    if card.picture:
        with Image.open(card.picture) as photo:
            fitted = ImageOps.fit(photo.convert("RGB"), (_PHOTO_WIDTH, HEIGHT))
        image.paste(fitted, (0, 0))
    return image


def card_svg(card: Card, left: int) -> str:
    """Give the words of a card on ruled paper.

    Args:
        card: What to say.
        left: Pixels at the left that a photo will cover.
    """
    start = left + _MARGIN + (0 if left else 52)
    room = WIDTH - start - _MARGIN
    size = 50 if left else 72
    marks = [f'<rect width="{WIDTH}" height="{HEIGHT}" fill="{_ink("paper")}"/>']
    marks += [] if left else [_line(84, 0, 84, HEIGHT, "band-edge")]
    marks.append(_text(start, 88, _SMALL, "muted", card.kicker))
    bottom = 112
    for line in wrapped(card.title, room, size, most=5 if left else 4):
        bottom += round(size * 1.16)
        marks.append(_text(start, bottom, size, "ink", line, bold=True))
    # As in a notebook, the lines begin below the heading, and what is written stands on them.
    rules = range(bottom + 44 + _RULE, HEIGHT - 96, _RULE)
    spare = len(rules) - len(card.lines)
    words = [*card.lines, *(wrapped(card.said, room, 30, most=spare) if spare > 0 else [])]
    for number, y in enumerate(rules):
        marks.append(_line(left, y, WIDTH, y, "hairline"))
        written = shortened(words[number], room, 30) if number < len(words) else ""
        marks.append(_text(start, y - 12, 30, "ink", written))
    marks.append(_text(start, HEIGHT - 48, _SMALL, "kelp", shortened(card.foot, room, _SMALL)))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{HEIGHT}" '
        f'font-family="{_FONT}">{"".join(marks)}</svg>'
    )


def _ink(role: Role) -> str:
    return PALETTE[role].light


def _line(x1: int, y1: int, x2: int, y2: int, role: Role) -> str:
    return f'<line x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}" stroke="{_ink(role)}" stroke-width="2"/>'


def _text(x: int, y: int, size_px: int, role: Role, words: str, *, bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    said = escape("".join(c for c in words if c.isprintable()))
    return f'<text x="{x}" y="{y}" font-size="{size_px}" fill="{_ink(role)}"{weight}>{said}</text>'


def wrapped(words: str, room_px: float, size_px: float, most: int) -> list[str]:
    """Give a text in lines that fit, the last one shortened where there are too many.

    >>> wrapped("a quiet fortnight", 120, 20, most=2)
    ['a quiet', 'fortnight']
    """
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and width_px(longer, size_px) > room_px:
            lines.append(word)
        else:
            lines[-1] = longer
    kept = lines[:most]
    if len(lines) > most:
        kept[-1] += " …"
    return [shortened(line, room_px, size_px) for line in kept]


def shortened(words: str, room_px: float, size_px: float) -> str:
    """Give a text cut so that it fits into one line."""
    if width_px(words, size_px) <= room_px:
        return words
    cut = words.removesuffix(" …")
    while cut and width_px(f"{cut} …", size_px) > room_px:
        cut = cut[:-1]
    return f"{cut.rstrip()} …"


def width_px(words: str, size_px: float) -> float:
    """Give about how wide a text is in bold Liberation Sans, rather too wide than too narrow.

    Source: advance widths of Helvetica Bold (Adobe Core 14 AFM), to which the font is metrically
    compatible, in four groups rounded up.
    """
    return size_px * sum(_em(letter) for letter in words)


def _em(letter: str) -> float:
    if letter in "ijlI.,:;'|! ":
        return 0.29
    if letter in "frt()[]-/":
        return 0.4
    if letter in "mwMW@%…—":
        return 1.0
    return 0.79 if letter.isupper() or ord(letter) > 0x2000 else 0.62
