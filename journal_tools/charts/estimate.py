"""The chart of an estimated quantity over time: its interval, its line, a reference band."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import altair as alt
import pandas as pd

from journal_tools.charts.event_layers import event_layers
from journal_tools.charts.frame import Frame, at_x, at_y, encoded, finished, layer, unchecked
from journal_tools.charts.guesses import Guess, guesses, rows_of, thinned
from journal_tools.charts.header import header_layers
from journal_tools.charts.placing import Area, Ground
from journal_tools.charts.reading_layers import band_layers, base_layer, line
from journal_tools.charts.said import (
    figure,
    interval,
    limits,
    number,
    verdict,
)
from journal_tools.charts.scale import ValueScale, time_span, value_scale, wall_text
from journal_tools.charts.scale import wall_time as wall
from journal_tools.charts.series import Row
from journal_tools.charts.sheet import Spot, fitted, word_px
from journal_tools.charts.strip import place_events
from journal_tools.charts.target import Band, always, periods
from journal_tools.charts.theme import FONT_PX, RIGHT, SMALL_PX, TITLE_PX, WIDE, Shape, colour
from journal_tools.words import counted, day_text

_DOT_EVERY_PX = 26
_WIDEST_LABEL_PX = 46
_PADDING = {"left": 8, "right": RIGHT, "top": 4, "bottom": 4}


def estimate_chart(  # noqa: PLR0913
    points: pd.DataFrame,
    *,
    title: str,
    unit: str,
    decimals: int,
    today: date,
    events: pd.DataFrame | None = None,
    band: Band | None = None,
    marks: pd.DataFrame | None = None,
    shape: Shape = WIDE,
) -> alt.LayerChart:
    """Give the course of an estimated quantity with its interval as one soft area.

    Args:
        points: Columns time, value, low, high; low and high may be missing.
        title: What is estimated.
        unit: Unit of all values, may be empty.
        decimals: Decimals in which values are written.
        today: The day of the build, the right end of the axis.
        events: Columns time, kind, label, entry, marked under the plot.
        band: Low and high end of a reference band, None where open.
        marks: Columns time, value, label: single values to compare with, such as a measured one.
        shape: Proportions.

    Returns:
        The chart; its description is the text alternative.
    """
    found, checks = guesses(points), guesses(marks)
    happened = _no_events() if events is None else events
    moments = [guess.time for guess in (*found, *checks)]
    span = time_span(moments or map(wall, happened["time"].dropna()), today)
    targets = periods(always(_usable(band)), span)
    strip = place_events(happened, span, shape)
    scale = _scale([*found, *checks], _usable(band), decimals)
    frame = Frame(span, scale, shape, strip.height_px, interactive=False)
    shown = thinned(found, span, shape.plot_width)
    rows = rows_of(shown, decimals)
    head = title if not unit else f"{title}, {unit}"
    with unchecked():
        layers = [
            *band_layers(frame, targets),
            _base(frame),
            *event_layers(frame, strip),
            *_estimate_layers(frame, found, rows),
            *_check_layers(frame, marks, shown),
            *_header(frame, head, _band_label(_usable(band), decimals, unit)),
        ]
        return finished(
            layers,
            rows,
            head,
            name=f"estimate-{shape.name}",
            description=_words(title, found, len(points), _usable(band), decimals, unit),
            width=shape.plot_width,
            height=frame.height_px,
            padding=_PADDING,
        )


def _no_events() -> pd.DataFrame:
    """Give an empty table of events."""
    return pd.DataFrame({name: pd.Series(dtype=object) for name in ("time", "kind", "label")})


def _usable(band: Band | None) -> Band | None:
    """Give a band with a limit that can be drawn, or None."""
    low, high = (number(end) for end in band or (None, None))
    return None if low is None and high is None else (low, high)


def _scale(found: Sequence[Guess], band: Band | None, decimals: int) -> ValueScale:
    """Give a value axis that holds every estimate and all but the widest intervals.

    Intervals beyond five times the spread of the estimates would flatten them; they are drawn to
    the edge of the plot (common practice, no source).
    """
    values = [guess.value for guess in found]
    reach = 5 * (max(values, default=0.0) - min(values, default=0.0))
    ends = [
        end
        for g in found
        for end in (g.low, g.high)
        if end is not None and (not reach or abs(end - g.value) <= reach)
    ]
    edges = [end for end in band or () if end is not None]
    # As bounds, since an axis drops lone readings but no estimate.
    return value_scale([], [*values, *ends, *edges], decimals)


def _base(frame: Frame) -> alt.Chart:
    """Give foot and axes, the value axis in powers of ten where its labels were too wide."""
    base = base_layer(frame)
    widest = max((word_px(figure(t, frame.scale.decimals)) for t in frame.scale.ticks), default=0)
    if widest > _WIDEST_LABEL_PX:
        base.encoding.y["axis"]["format"] = ".3~g"
    return base


def _header(frame: Frame, title: str, label: str) -> list[alt.Chart]:
    """Give title and band label, cut to the width of the plot."""
    room = frame.shape.plot_width
    head = fitted(title, room, TITLE_PX, bold=True)
    return header_layers(frame, head, fitted(label, room - 30, FONT_PX))


def _band_label(band: Band | None, decimals: int, unit: str) -> str:
    """Give the reference band in words."""
    return "" if band is None else f"reference {limits(*band, decimals, unit)}"


def _estimate_layers(frame: Frame, found: Sequence[Guess], rows: Sequence[Row]) -> list[alt.Chart]:
    """Give interval, line and a few dots, or a note."""
    if not found:
        note = layer("note", [{}]).mark_text(
            text="nothing to estimate from yet", color=colour("muted"), fontSize=FONT_PX
        )
        middle = (at_x(frame.shape.plot_width / 2), at_y(frame.shape.plot_height / 2))
        return [encoded(note, *middle)]
    area = alt.Chart().mark_area(
        color=colour("kelp"), opacity=0.22, line=False, invalid="break-paths-show-domains"
    )
    layers = [encoded(area, frame.x(), frame.y("lo"), alt.Y2("hi"))]
    width_px = 1.4 if len(rows) < frame.shape.plot_width / 4 else 1.1
    dots = layer("dots", _sparse(frame, found)).mark_line(
        color=colour("kelp"),
        strokeCap="round",
        strokeWidth=4.8,
        invalid="break-paths-show-domains",
    )
    return [*layers, line(frame, width_px), encoded(dots, frame.x(), frame.y())]


def _sparse(frame: Frame, found: Sequence[Guess]) -> list[Row]:
    """Give the dots: extremes and the latest, then others that keep their distance."""
    lowest = min(found, key=lambda guess: guess.value)
    highest = max(found, key=lambda guess: guess.value)
    telling = dict.fromkeys((found[-1], lowest, highest))
    kept = [(_px(frame, guess), guess) for guess in telling]
    for guess in found:
        x = _px(frame, guess)
        if all(abs(x - other) >= _DOT_EVERY_PX for other, _ in kept):
            kept.append((x, guess))
    rows: list[Row] = []
    for _, guess in sorted(kept, key=lambda pair: pair[0]):
        text = wall_text(guess.time)
        rows += [{"t": text, "v": guess.value}, {"t": text, "v": None}]
    return rows


def _px(frame: Frame, guess: Guess) -> float:
    """Give how far from the left an estimate lies in px."""
    return frame.span.position(guess.time, frame.shape.plot_width)


def _check_layers(
    frame: Frame, marks: pd.DataFrame | None, shown: Sequence[Guess]
) -> list[alt.Chart]:
    """Give the values to compare with as open signs with their labels."""
    found = guesses(marks)
    if marks is None or not found:
        return []
    labels = dict(zip(map(wall, marks["time"]), marks.get("label", ""), strict=False))
    rows = [{"t": wall_text(guess.time), "v": guess.value} for guess in found]
    ring = layer("checks", rows).mark_point(
        filled=True, fill=colour("paper"), stroke=colour("ink"), strokeWidth=1.4, size=44, opacity=1
    )
    ground = _ground(frame, shown, found)
    words: list[Row] = []
    for guess in found:
        label = labels.get(guess.time)
        says = fitted(label, 140, SMALL_PX) if isinstance(label, str) else ""
        if says:
            place = ground.place([_spot(frame, guess)], word_px(says, SMALL_PX), 12)
            words.append({"says": says, "x": round(place.left, 1), "y": round(place.top + 6, 1)})
    layers = [encoded(ring, frame.x(), frame.y())]
    if words:
        text = layer("check-words", words).mark_text(
            align="left", baseline="middle", color=colour("ink"), fontSize=SMALL_PX
        )
        places = (alt.X("x:Q", scale=None), alt.Y("y:Q", scale=None))
        layers.append(encoded(text, *places, alt.Text("says:N")))
    return layers


def _ground(frame: Frame, shown: Sequence[Guess], checks: Sequence[Guess]) -> Ground:
    """Give the plot with the line and the signs that no label may cover."""
    ground = Ground(Area(0, 0, frame.shape.plot_width, frame.shape.plot_height))
    ground.draw([_spot(frame, guess) for guess in shown])
    for x, y in (_spot(frame, guess) for guess in checks):
        ground.dots += [(x + dx, y + dy) for dx in (-3, 3) for dy in (-3, 3)]
    return ground


def _spot(frame: Frame, guess: Guess) -> Spot:
    """Give the place of an estimate in px of the plot."""
    low, high = frame.scale.domain
    return _px(frame, guess), frame.shape.plot_height * (high - guess.value) / (high - low)


def _words(
    title: str,
    found: Sequence[Guess],
    rows: int,
    band: Band | None,
    decimals: int,
    unit: str,
) -> str:
    """Give the text alternative."""
    left_out = rows - len(found)
    rest = f" {counted(left_out, 'row')} without a usable number left out." if left_out else ""
    if not found:
        return f"{title}: nothing to estimate from yet.{rest}"
    last = found[-1]
    likely = "" if last.low is None else f", likely {_ends(last, decimals, unit)}"
    latest = f"{figure(last.value, decimals, unit)} on {day_text(last.time)}{likely}"
    if len(found) == 1:
        text = f"{title}: one estimate, {latest}."
    else:
        values = [guess.value for guess in found]
        course = interval(min(values), max(values), decimals, unit)
        period = f"from {day_text(found[0].time)} to {day_text(last.time)}"
        text = f"{title}: {len(found)} estimates {period}, {course}; the latest is {latest}."
    return text + _band_words(found, band, decimals, unit) + rest


def _ends(guess: Guess, decimals: int, unit: str) -> str:
    """Give the interval of an estimate in words."""
    return interval(guess.low or 0.0, guess.high or 0.0, decimals, unit)


def _band_words(found: Sequence[Guess], band: Band | None, decimals: int, unit: str) -> str:
    """Give how many estimates lie in the reference band."""
    if band is None:
        return ""
    inside = sum(not verdict(guess.value, *band) for guess in found)
    words = f"the reference band ({limits(*band, decimals, unit)})"
    if len(found) == 1:
        return f" It {'lies' if inside else 'does not lie'} in {words}."
    return f" {inside} of {len(found)} lie in {words}."
