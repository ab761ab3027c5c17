"""Bars in pencil: a whole divided into its parts, and amounts beside each other at one scale."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape

_WIDTH, _HEIGHT = 320.0, 14.0
_MOST_PARTS = 6

Part = tuple[str, float]
"""Name and size of a part."""


def shares_html(parts: Sequence[Part], said: Callable[[float], str]) -> str:
    """Give a bar of a whole with a list of its parts, the largest first; nothing for no parts.

    The list says what the bar shows, so screen readers pass over the bar.

    Args:
        parts: The parts; those that are not above zero are left out.
        said: Gives a size in words, with its unit.
    """
    ordered = sorted((part for part in parts if part[1] > 0), key=lambda part: -part[1])
    if not ordered:
        return ""
    shown, rest = ordered[:_MOST_PARTS], ordered[_MOST_PARTS:]
    if rest:
        shown.append((f"{len(rest)} more", sum(size for _, size in rest)))
    whole, x, boxes, items = sum(size for _, size in shown), 0.0, [], []
    for place, (name, size) in enumerate(shown):
        width = _WIDTH * size / whole
        boxes.append(
            f'<path class="jt-share jt-share--{place}" d="M{x:.1f} 0h{width:.1f}v{_HEIGHT:g}'
            f'H{x:.1f}Z"/>'
        )
        items.append(f"{_key(place)}{escape(name)} {escape(said(size))}")
        x += width
    return f"{_svg(boxes, _HEIGHT)}{_list(items)}"


def lengths_html(parts: Sequence[Part], said: Callable[[float], str]) -> str:
    """Give amounts as bars below each other at one scale, with the list that names them.

    Args:
        parts: The amounts; one below zero has no bar.
        said: Gives an amount in words, with its unit.
    """
    most = max((size for _, size in parts), default=0.0)
    if most <= 0:
        return ""
    rows = []
    for place, (_, size) in enumerate(parts):
        width, y = _WIDTH * max(0.0, size) / most, place * _HEIGHT
        rows.append(
            f'<path class="jt-share jt-share--{2 * place}" d="M0 {y + 2:g}h{width:.1f}'
            f'v{_HEIGHT - 4:g}H0Z"/>'
        )
    items = [
        f"{_key(2 * place)}{escape(name)} {escape(said(size))}"
        for place, (name, size) in enumerate(parts)
    ]
    return f"{_svg(rows, _HEIGHT * len(parts))}{_list(items)}"


def _svg(paths: Sequence[str], height: float) -> str:
    return (
        f'<svg class="jt-shares" viewBox="0 0 {_WIDTH:g} {height:g}" aria-hidden="true" '
        f'focusable="false">{"".join(paths)}</svg>'
    )


def _key(place: int) -> str:
    return f'<i class="jt-share__key jt-share__key--{place}" aria-hidden="true"></i>'


def _list(items: Sequence[str]) -> str:
    return f'<ul class="jt-parts">{"".join(f"<li>{item}</li>" for item in items)}</ul>'
