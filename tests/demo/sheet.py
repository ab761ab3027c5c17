"""A sheet of watercolour paper: transparent washes, body colour and ink."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.random import RandomState
from numpy.typing import NDArray
from PIL import Image, ImageChops, ImageDraw, ImageFilter

from .strokes import Points, ribbon

FINE = 2
"""Masks are drawn this many times finer than the picture, then averaged."""

UNITS = (1200.0, 900.0)
Floats = NDArray[np.float32]
Colour = tuple[float, float, float]
Shapes = Sequence[Points]

PIGMENTS = {
    "paper": "#fbf7ec",
    "ink": "#2a251f",
    "sepia": "#6b5138",
    "bone": "#e9e0cb",
    "stone": "#b5aa98",
    "mauve": "#a4708f",
    "rose": "#d9607a",
    "coral": "#e2725b",
    "rust": "#b8532f",
    "orange": "#ee8a2f",
    "gold": "#e3b23c",
    "lemon": "#efd65a",
    "lime": "#a9bf4b",
    "green": "#5b9a56",
    "kelp": "#2f6b4f",
    "teal": "#3f9c97",
    "aqua": "#9fd3d3",
    "sea": "#4e9db5",
    "blue": "#3f6fae",
    "indigo": "#3a4a86",
    "violet": "#7b5ea6",
    "plum": "#6d3b62",
    "brown": "#8a6237",
    "sand": "#e5d3ab",
    "wood": "#c59a6a",
    "grey": "#8d8b86",
    "slate": "#56595f",
    "milk": "#eef0ea",
}


def pigment(name: str) -> Colour:
    """A colour by its name in the paint box, or by #rrggbb; parts 0 to 1."""
    text = PIGMENTS.get(name, name).removeprefix("#")
    red, green, blue = (int(text[i : i + 2], 16) / 255 for i in (0, 2, 4))
    return red, green, blue


def mixed(first: Colour, second: Colour, share: float) -> Colour:
    """The first colour with a share (0 to 1) of the second."""
    red, green, blue = (a + (b - a) * share for a, b in zip(first, second, strict=True))
    return red, green, blue


PAPER, INK = pigment("paper"), pigment("ink")


def clouds(rng: RandomState, size: tuple[int, int], cell: float) -> Floats:
    """Smooth noise without a grid, of about -1 to 1, with lumps of one cell (pixels)."""
    width, height = size
    rows, columns = int(2 * height / cell) + 4, int(2 * width / cell) + 4
    coarse = rng.uniform(-1, 1, (rows, columns))
    for axis in (0, 1, 0, 1):
        coarse = 0.5 * coarse + 0.25 * (np.roll(coarse, 1, axis) + np.roll(coarse, -1, axis))
    image = Image.fromarray((1.8 * coarse).astype(np.float32))
    return np.asarray(image.resize(size, Image.Resampling.BICUBIC), dtype=np.float32)


@dataclass
class Patch:
    """A painted part of the sheet: where, and how much of each pixel is covered (0 to 1)."""

    rows: slice
    columns: slice
    cover: Image.Image

    def floats(self) -> Floats:
        """The cover as an array, 0 to 1."""
        return np.asarray(self.cover, dtype=np.float32) / np.float32(255)

    def blurred(self, radius: float) -> Floats:
        """The cover, blurred by a radius in pixels, 0 to 1."""
        soft = self.cover.filter(ImageFilter.GaussianBlur(radius))
        return np.asarray(soft, dtype=np.float32) / np.float32(255)


class Sheet:
    """Paper of one size with its own grain; colours are laid on it one after another."""

    def __init__(self, size: tuple[int, int], seed: int) -> None:
        self.size = size
        self.scale = np.array([size[0] / UNITS[0], size[1] / UNITS[1]])
        self.unit = float(self.scale.min())
        rng = RandomState(seed)
        self.grain = self._grain(rng)
        cell = 70 * self.unit
        self.bloom = 0.9 * clouds(rng, size, 1.6 * cell) + 0.5 * clouds(rng, size, 0.5 * cell)
        tone = 1 + 0.014 * self.grain + 0.010 * self.bloom
        self.pixels = np.asarray(PAPER, dtype=np.float32) * tone[..., None]

    def _grain(self, rng: RandomState) -> Floats:
        layers = [clouds(rng, self.size, cell * max(self.unit, 0.5)) for cell in (2.6, 5.2)]
        return 0.7 * layers[0] + 0.5 * layers[1]

    def wash(
        self,
        shapes: Shapes,
        colour: Colour,
        strength: float = 0.8,
        *,
        edge: float = 0.6,
        bloom: float = 0.28,
        soft: float = 0.0,
        within: Shapes | None = None,
        grade: tuple[float, float] = (1.0, 1.0),
    ) -> None:
        """Lay a transparent wash that pools at its rim and lets the paper shine through.

        Args:
            shapes: what is painted; where shapes overlap there is one coat.
            colour: the colour on white paper at strength 1.
            strength: 0 and up.
            edge: how much darker the dried rim is.
            bloom: how uneven the wash is.
            soft: width of a wet, running rim in drawing units.
            within: a stencil; nothing is painted outside it.
            grade: factors of strength at the top and at the bottom.
        """
        patch = self._patch(shapes, soft, within)
        if patch is None:
            return
        where = patch.rows, patch.columns
        cover = patch.floats()
        rough = 1 + bloom * self.bloom[where] + 0.13 * self.grain[where]
        density = strength * cover * rough
        if edge > 0:
            pool = np.maximum(cover - patch.blurred(max(3.2 * self.unit, 0.6)), 0)
            density += strength * edge * 1.6 * pool * cover
        ramp = np.linspace(grade[0], grade[1], cover.shape[0], dtype=np.float32)
        density *= ramp[:, None]
        absorb = -np.log(np.maximum(np.asarray(colour, dtype=np.float32), 0.02))
        self.pixels[where] *= np.exp(-density[..., None] * absorb)

    def gouache(
        self,
        shapes: Shapes,
        colour: Colour = PAPER,
        opacity: float = 1.0,
        *,
        soft: float = 0.0,
        within: Shapes | None = None,
    ) -> None:
        """Lay body colour, which hides what lies under it by its opacity (0 to 1)."""
        patch = self._patch(shapes, soft, within)
        if patch is None:
            return
        where = patch.rows, patch.columns
        share = (opacity * patch.floats())[..., None]
        tone = 1 + 0.012 * self.grain[where][..., None]
        under = self.pixels[where]
        self.pixels[where] = under + share * (np.asarray(colour, dtype=np.float32) * tone - under)

    def figure(
        self,
        shapes: Shapes,
        colour: Colour,
        strength: float = 0.85,
        *,
        outline: float = 1.7,
        body: float = 1.0,
        edge: float = 0.6,
        press: float = 0.85,
    ) -> None:
        """Ink one outline round all shapes together, hide what is behind, then tint them."""
        if outline > 0:
            self._stamp(self._patch(shapes, 0.0, None, grow=outline), INK, press)
        self.gouache(shapes, PAPER, body)
        self.wash(shapes, colour, strength, edge=edge)

    def ink(
        self,
        lines: Shapes,
        width: float = 1.8,
        *,
        colour: Colour = INK,
        press: float = 0.85,
        closed: bool = False,
        within: Shapes | None = None,
    ) -> None:
        """Draw lines with a nib: thin where the stroke starts and ends, fuller between."""
        bands = []
        for line in lines:
            path = np.vstack([line, line[:2]]) if closed else line
            thin = 0.75 * width if closed else 0.35 * width
            bands.append(ribbon(path, thin, thin, swell=width - 0.5 * thin))
        self._stamp(self._patch(bands, 0.0, within), colour, press)

    def ticks(
        self,
        lines: Shapes,
        width: float = 1.2,
        *,
        colour: Colour = INK,
        press: float = 0.7,
        within: Shapes | None = None,
    ) -> None:
        """Draw many short strokes of one width."""
        patch = self._patch(lines, 0.0, within, grow=width / 2, fill=False)
        self._stamp(patch, colour, press)

    def tint(self, colour: Colour, density: NDArray[np.floating]) -> None:
        """Glaze the whole sheet with a colour, by a density for each pixel."""
        absorb = -np.log(np.maximum(np.asarray(colour, dtype=np.float32), 0.02))
        self.pixels *= np.exp(-density.astype(np.float32)[..., None] * absorb)

    def cover(self, shapes: Shapes, soft: float = 0.0) -> Floats:
        """How much of each pixel of the sheet the shapes cover, 0 to 1."""
        whole = np.zeros(self.size[::-1], dtype=np.float32)
        patch = self._patch(shapes, soft, None)
        if patch is not None:
            whole[patch.rows, patch.columns] = patch.floats()
        return whole

    def glow(self, x: float, y: float, radius: float) -> Floats:
        """A round light that fades with distance from (x, y): 1 in its middle."""
        across = np.arange(self.size[0], dtype=np.float32)[None, :] / self.scale[0] - x
        down = np.arange(self.size[1], dtype=np.float32)[:, None] / self.scale[1] - y
        faded: Floats = np.exp(-(across**2 + down**2) / (2 * radius**2)).astype(np.float32)
        return faded

    def image(self) -> Image.Image:
        """The finished picture."""
        levels = np.clip(self.pixels * 255 + 0.5, 0, 255).astype(np.uint8)
        return Image.fromarray(levels)

    def _stamp(self, patch: Patch | None, colour: Colour, press: float) -> None:
        if patch is None:
            return
        where = patch.rows, patch.columns
        rough = press * (1 + 0.10 * self.bloom[where] - 0.10 * self.grain[where])
        share = np.clip(rough * patch.floats(), 0, 1)[..., None]
        under = self.pixels[where]
        self.pixels[where] = under + share * (np.asarray(colour, dtype=np.float32) - under)

    def _patch(
        self,
        shapes: Shapes,
        soft: float,
        within: Shapes | None,
        *,
        grow: float = 0.0,
        fill: bool = True,
    ) -> Patch | None:
        if not len(shapes):
            return None
        pad = 3 + (grow + 2.5 * soft) * self.unit
        low = np.min([s.min(axis=0) for s in shapes], axis=0) * self.scale - pad
        high = np.max([s.max(axis=0) for s in shapes], axis=0) * self.scale + pad
        left, top = (int(v) for v in np.clip(low, 0, self.size))
        right, bottom = (int(np.ceil(v)) for v in np.clip(high, 0, self.size))
        if right - left < 1 or bottom - top < 1:
            return None
        corner, extent = np.array([left, top]), (right - left, bottom - top)
        cover = self._mask(shapes, corner, extent, grow=grow, fill=fill)
        if soft > 0:
            cover = cover.filter(ImageFilter.GaussianBlur(soft * self.unit))
        if within is not None:
            cover = ImageChops.multiply(cover, self._mask(within, corner, extent))
        return Patch(slice(top, bottom), slice(left, right), cover)

    def _mask(
        self,
        shapes: Shapes,
        corner: NDArray[np.int_],
        extent: tuple[int, int],
        *,
        grow: float = 0.0,
        fill: bool = True,
    ) -> Image.Image:
        mask = Image.new("L", (extent[0] * FINE, extent[1] * FINE))
        pen = ImageDraw.Draw(mask)
        width = max(1, round(2 * grow * self.unit * FINE))
        for shape in shapes:
            path = ((shape * self.scale - corner) * FINE).ravel().tolist()
            if fill:
                pen.polygon(path, fill=255)
            if grow > 0:
                ends = path[:2] if fill else []
                pen.line(path + ends, fill=255, width=width, joint="curve" if fill else None)
        return mask.reduce(FINE)
