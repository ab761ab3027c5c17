"""Single values as dots on a pencil line, with what they should be as a stroke."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from html import escape

_WIDTH, _HEIGHT, _MARGIN, _LINE_Y, _RADIUS = 320.0, 58.0, 10.0, 30.0, 4.0
_MOST_STACKED = 4


def spots_html(
    values: Sequence[float], meant: float | None, ends: tuple[str, str], dot: str, stroke: str
) -> str:
    """Give values on a line from the smallest to the largest; nothing for no values.

    Equal values stand on each other. The sentence beside it says the same, so screen readers pass
    over the drawing.

    Args:
        values: The values, in any order.
        meant: What they should be, marked by a stroke, or None.
        ends: Words for the smallest and the largest number on the line.
        dot: What a dot is, in words.
        stroke: What the stroke is, in words.
    """
    if not values:
        return ""
    known = [*values, *([] if meant is None else [meant])]
    low, high = min(known), max(known)

    def place(value: float) -> float:
        share = (value - low) / (high - low) if high > low else 0.5
        return round(_MARGIN + share * (_WIDTH - 2 * _MARGIN), 1)

    drawn = [f'<path class="jt-gauge__line" d="M{_MARGIN:g} {_LINE_Y:g}H{_WIDTH - _MARGIN:g}"/>']
    if meant is not None:
        drawn.append(f'<path class="jt-spot__meant" d="M{place(meant):g} {_LINE_Y - 20:g}v28"/>')
    drawn += _stacked([place(value) for value in values])
    drawn.append(_label(_MARGIN if high > low else _WIDTH / 2, ends[0], high > low, "start"))
    if high > low:
        drawn.append(_label(_WIDTH - _MARGIN, ends[1], True, "end"))
    words = f"Dot: {dot}." + (f" Broken stroke: {stroke}." if meant is not None else "")
    return (
        f'<svg class="jt-gauge" viewBox="0 0 {_WIDTH:g} {_HEIGHT:g}" aria-hidden="true" '
        f'focusable="false">{"".join(drawn)}</svg><p class="jt-parts">{escape(words)}</p>'
    )


def _stacked(places: Sequence[float]) -> list[str]:
    """Draw a dot for each place; one on the same place is set on the one before it."""
    seen: Counter[int] = Counter()
    dots = []
    for x in places:
        spot = round(x / _RADIUS)
        y = _LINE_Y - 1.5 * _RADIUS * min(seen[spot], _MOST_STACKED)
        seen[spot] += 1
        dots.append(f'<circle class="jt-spot" cx="{x:g}" cy="{y:g}" r="{_RADIUS:g}"/>')
    return dots


def _label(x: float, text: str, at_end: bool, anchor: str) -> str:
    side = f' style="text-anchor:{anchor}"' if at_end else ""
    return (
        f'<text class="jt-gauge__label" x="{x:g}" y="{_HEIGHT - 6:g}"{side}>{escape(text)}</text>'
    )
