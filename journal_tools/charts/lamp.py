"""The day of a lamp: how bright it is at each place from midnight to midnight."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import altair as alt
import pandas as pd

from journal_tools.charts.frame import unchecked
from journal_tools.charts.monthly import spread
from journal_tools.charts.placing import Area
from journal_tools.charts.said import drawable_rows, figure
from journal_tools.charts.scale import ValueScale, value_scale
from journal_tools.charts.sheet import (
    Path,
    Spot,
    Word,
    fitted,
    sheet,
    sheet_width,
    stroked,
    word_px,
    written,
)
from journal_tools.charts.theme import FONT_PX, SMALL_PX, TITLE_PX, WIDE, Shape
from journal_tools.words import counted, number_text

_TITLE = "Light through the day"
_UNIT = "µmol/m²/s"
_MOST_PLACES = 6
_TOP_PX = 30
_LEFT_PX = 44
_AXIS_PX = 24
_LABEL_PX = 15
# Dashes and not colours part the lines, so that they can be told apart in print.
_DASHES: tuple[tuple[int, ...], ...] = ((), (7, 3), (2, 2), (9, 3, 2, 3), (4, 4), (1, 4))


@dataclass(frozen=True, slots=True)
class Course:
    """The light at one place.

    Attributes:
        place: Its name.
        spots: Hour and PPFD in µmol/m²/s, by hour.
    """

    place: str
    spots: list[Spot]

    @property
    def peak(self) -> float:
        """Give the brightest value in µmol/m²/s."""
        return max(ppfd for _, ppfd in self.spots)

    @property
    def daily(self) -> float:
        """Give the light of the day in mol/m², by the trapezoid rule."""
        steps = pairwise(self.spots)
        return sum((h2 - h1) * (p1 + p2) / 2 for (h1, p1), (h2, p2) in steps) * 3600 / 1e6


def lamp_day_chart(courses: pd.DataFrame, *, shape: Shape = WIDE) -> alt.LayerChart:
    """Give the light at each place over the hours of a day.

    Args:
        courses: Columns place, hour (0 to 24), ppfd (µmol/m²/s).
        shape: Proportions.

    Returns:
        The chart, with the six brightest places; its description is the text alternative.
    """
    every = _courses(courses)
    drawn = every[:_MOST_PLACES]
    peaks = [ppfd for course in drawn for _, ppfd in course.spots]
    # Only rounded values are written, so that whole numbers are enough for the axis.
    scale = value_scale([], [0.0, *(peaks if any(peaks) else [1.0, *peaks])], _decimals(peaks))
    labels = [f"{course.place} {number_text(course.peak, _decimals(peaks))}" for course in drawn]
    room, size_px = (190, FONT_PX) if shape.width >= WIDE.width else (122, SMALL_PX)
    labels = [_label(c.place, text, room, size_px) for c, text in zip(drawn, labels, strict=True)]
    gutter = max((word_px(label, size_px) for label in labels), default=0.0) + 14
    right = sheet_width(shape) - gutter
    area = Area(_LEFT_PX, _TOP_PX, right, _TOP_PX + shape.plot_height)
    with unchecked():
        layers = [
            *_axis_layers(area, scale, shape),
            *_course_layers(area, scale, drawn, labels, size_px),
        ]
        return sheet(
            layers,
            shape,
            area.bottom + _AXIS_PX,
            name="lamp-day",
            title=f"{_TITLE}, {_UNIT}",
            description=_described(drawn, len(every)),
        )


def _courses(table: pd.DataFrame) -> list[Course]:
    """Give the places with light values, the brightest first."""
    told = drawable_rows(table, "hour", "ppfd")
    told = told[told["hour"].between(0, 24)]
    found = []
    for place, rows in told.groupby("place", sort=False):
        spots = sorted(
            (float(h), float(p)) for h, p in zip(rows["hour"], rows["ppfd"], strict=True)
        )
        found.append(Course(str(place), spots))
    return sorted(found, key=lambda course: -course.peak)


def _decimals(peaks: Sequence[float]) -> int:
    """Give the decimals of light values: whole numbers from 10 on."""
    return 0 if max(peaks, default=10.0) >= 10 else 1


def _label(place: str, label: str, room_px: float, size_px: int) -> str:
    """Give place and peak, the place cut where both are too wide together."""
    value = label[len(place) :]
    return fitted(place, room_px - word_px(value, size_px), size_px) + value


def _spot(area: Area, scale: ValueScale, hour: float, ppfd: float) -> Spot:
    """Give the px of a light value."""
    share = (ppfd - scale.low) / (scale.high - scale.low)
    return (
        area.left + hour / 24 * (area.right - area.left),
        area.bottom - share * (area.bottom - area.top),
    )


def _axis_layers(area: Area, scale: ValueScale, shape: Shape) -> list[alt.Chart]:
    """Give title, grid and labels."""
    title = fitted(f"{_TITLE}, {_UNIT}", sheet_width(shape), TITLE_PX, bold=True)
    words = [Word(0, 9, title, size_px=TITLE_PX, bold=True)]
    grid: list[Path] = []
    for tick in scale.ticks:
        y = _spot(area, scale, 0, tick)[1]
        grid.append([(area.left, y), (area.right, y)])
        says = fitted(number_text(tick, scale.decimals), _LEFT_PX - 6)
        words.append(Word(area.left - 6, y, says, "muted", align="right"))
    foot: list[Path] = [[(area.left, area.bottom), (area.right, area.bottom)]]
    for hour in range(0, 25, 3 if shape.width >= WIDE.width else 6):
        x = _spot(area, scale, hour, 0)[0]
        foot.append([(x, area.bottom), (x, area.bottom + 4)])
        words.append(Word(x, area.bottom + 14, f"{hour}:00", "muted", SMALL_PX, "center"))
    return [
        *stroked("grid", grid, "hairline"),
        *stroked("foot", foot, "muted", 0.8),
        *written("axes", words),
    ]


def _course_layers(
    area: Area, scale: ValueScale, drawn: Sequence[Course], labels: Sequence[str], size_px: int
) -> list[alt.Chart]:
    """Give the lines with their labels at the height of their peaks."""
    if not drawn:
        middle = ((area.left + area.right) / 2, (area.top + area.bottom) / 2)
        return written("note", [Word(*middle, "no light known yet", "muted", align="center")])
    layers: list[alt.Chart] = []
    ends = []
    for number, course in enumerate(drawn):
        path = [_spot(area, scale, *spot) for spot in course.spots]
        width = 1.8 if number == 0 else 1.4
        layers += stroked(f"course-{number}", [_calm(path)], "kelp", width, dash=_DASHES[number])
        last_bright = max(h for h, ppfd in course.spots if ppfd >= 0.995 * course.peak)
        ends.append(_spot(area, scale, last_bright, course.peak))
    places = spread([y for _, y in ends], _LABEL_PX, area.bottom - 4)
    leaders = [
        [end, (area.right, end[1]), (area.right + 6, place)]
        for end, place in zip(ends, places, strict=True)
    ]
    words = [
        Word(area.right + 10, place, label, size_px=size_px)
        for place, label in zip(places, labels, strict=True)
    ]
    return [
        *stroked("leaders", leaders, "muted", 0.8, dash=[1, 3]),
        *layers,
        *written("labels", words),
    ]


def _calm(path: Sequence[Spot]) -> list[Spot]:
    """Give a path without the places in the middle of a level stretch."""
    kept = list(path[:1])
    for before, here, after in zip(path, path[1:], path[2:], strict=False):
        if not before[1] == here[1] == after[1]:
            kept.append(here)
    return [*kept, *path[-1:]]


def _described(drawn: Sequence[Course], count: int) -> str:
    """Give the text alternative."""
    if not drawn:
        return f"{_TITLE}: no light known yet."
    decimals = _decimals([course.peak for course in drawn])
    parts = []
    for course in drawn:
        lit = _lit(course)
        hours = f", lit from {_clock(lit[0])} to {_clock(lit[1])}" if lit else ", dark all day"
        peak = figure(course.peak, decimals, _UNIT)
        parts.append(f"{course.place} up to {peak}, {course.daily:.1f}\u00a0mol/m² a day{hours}")
    left_out = count - len(drawn)
    more = f" {counted(left_out, 'dimmer place')} not drawn." if left_out else ""
    return f"{_TITLE}: {'; '.join(parts)}.{more}"


def _lit(course: Course) -> tuple[float, float] | None:
    """Give the last dark hour before the first light and the first dark hour after the last."""
    lit = [number for number, (_, ppfd) in enumerate(course.spots) if ppfd > 0]
    if not lit:
        return None
    first, last = max(lit[0] - 1, 0), min(lit[-1] + 1, len(course.spots) - 1)
    return course.spots[first][0], course.spots[last][0]


def _clock(hour: float) -> str:
    """Give an hour as a clock shows it.

    >>> _clock(9.5)
    '9:30'
    """
    minutes = round(hour * 60)
    return f"{minutes // 60}:{minutes % 60:02d}"
