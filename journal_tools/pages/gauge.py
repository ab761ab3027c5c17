"""The gauge of a figure: a pencil line with what is usual as a block, and the figure as a mark."""

from __future__ import annotations

from html import escape

from journal_tools.metrics import Result
from journal_tools.quantities import Band
from journal_tools.words import number_text

_WIDTH, _HEIGHT, _MARGIN, _LINE_Y = 320.0, 46.0, 10.0, 16.0


def gauge_svg(result: Result, usual: Band) -> str:
    """Give a drawing of a figure and its interval against a usual range.

    Its ends are labelled, so that it can be read by itself; the sentence beside it says the same,
    so screen readers pass it over.

    Args:
        result: The figure, in the unit that is shown.
        usual: The usual range in the same unit; one side may be open.
    """
    low, high = _span(result, usual)

    def place(value: float) -> float:
        share = min(1.0, max(0.0, (value - low) / (high - low)))
        return round(_MARGIN + share * (_WIDTH - 2 * _MARGIN), 1)

    start = place(low if usual.low is None else usual.low)
    end = place(high if usual.high is None else usual.high)
    mark = place(result.value)
    least = result.value if result.low is None else result.low
    most = result.value if result.high is None else result.high
    state = "in" if result.value in usual else "out"
    ends = [end for end in (usual.low, usual.high) if end is not None]
    unit = "" if result.unit == "1/h" else f" {result.unit}"
    labels = "".join(
        _label(place(end), number_text(end, _decimals(end)) + (unit if end == ends[-1] else ""))
        for end in ends
    )
    return (
        f'<svg class="jt-gauge jt-gauge--{state}" viewBox="0 0 {_WIDTH:g} {_HEIGHT:g}" '
        'aria-hidden="true" focusable="false">'
        f'<path class="jt-gauge__line" d="M{_MARGIN:g} {_LINE_Y:g}H{_WIDTH - _MARGIN:g}"/>'
        f'<path class="jt-gauge__block" d="M{start:g} {_LINE_Y - 7:g}H{end:g}V{_LINE_Y + 7:g}'
        f'H{start:g}Z"/>'
        f'<path class="jt-gauge__range" d="M{place(least):g} {_LINE_Y:g}H{place(most):g}"/>'
        f'<path class="jt-gauge__mark" d="M{mark:g} {_LINE_Y - 12:g}V{_LINE_Y + 12:g}"/>'
        f"{labels}</svg>"
    )


def _decimals(end: float) -> int:
    return 0 if float(end).is_integer() else 1


def _label(x: float, text: str) -> str:
    return f'<text class="jt-gauge__label" x="{x:g}" y="{_HEIGHT - 3:g}">{escape(text)}</text>'


def _span(result: Result, usual: Band) -> tuple[float, float]:
    """Give the ends of the line: round the usual range, the figure always on it."""
    ends = [end for end in (usual.low, usual.high) if end is not None]
    values = [v for v in (result.value, result.low, result.high) if v is not None]
    if len(ends) == 2:
        reach = (ends[1] - ends[0]) / 2
    else:
        reach = abs(ends[0] if ends else result.value) or 1.0
    low, high = min(ends + values) - 0.15 * reach, max(ends + values) + 0.15 * reach
    if ends:
        low, high = min(low, min(ends) - reach), max(high, max(ends) + reach)
    if min(ends + values) >= 0:
        low = max(low, 0.0)
    return (low, high) if high > low else (low, low + 1.0)
