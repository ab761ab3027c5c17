"""The band ruler: a line with the target band as a block and the reading as a mark on it."""

from __future__ import annotations

from journal_tools.quantities import Band

_WIDTH, _HEIGHT, _MARGIN = 120.0, 18.0, 4.0


def ruler_svg(value: float, error: float, band: Band) -> str:
    """Give a small drawing that shows where a reading lies against its band.

    The ruler spans the band and as much again around it; a reading beyond sits at the end. The
    drawing says nothing that the text beside it does not, so screen readers pass it over.

    Args:
        value: The reading.
        error: One standard deviation, drawn as a whisker.
        band: Target band in the same unit; one open side is allowed.
    """
    low, high = _ends(value, band)
    span = (high - low) or 1.0

    def place(x: float) -> float:
        share = min(1.0, max(0.0, (x - low) / span))
        return round(_MARGIN + share * (_WIDTH - 2 * _MARGIN), 1)

    start = place(low if band.low is None else band.low)
    end = place(high if band.high is None else band.high)
    mark, left, right = place(value), place(value - error), place(value + error)
    middle = _HEIGHT / 2
    state = "in" if value in band else "out"
    return (
        f'<svg class="jt-ruler jt-ruler--{state}" viewBox="0 0 {_WIDTH:g} {_HEIGHT:g}" '
        'aria-hidden="true" focusable="false">'
        f'<path class="jt-ruler__line" d="M{_MARGIN:g} {middle:g}H{_WIDTH - _MARGIN:g}"/>'
        f'<rect class="jt-ruler__band" x="{start:g}" y="{middle - 4:g}" '
        f'width="{end - start:.1f}" height="8" rx="1"/>'
        f'<path class="jt-ruler__error" d="M{left:g} {middle:g}H{right:g}"/>'
        f'<path class="jt-ruler__mark" d="M{mark:g} 1V{_HEIGHT - 1:g}"/></svg>'
    )


def _ends(value: float, band: Band) -> tuple[float, float]:
    if band.low is None:
        assert band.high is not None
        return 0.0, max(2 * band.high, value)
    if band.high is None:
        return min(0.5 * band.low, value), 1.5 * band.low
    width = band.high - band.low
    return band.low - width / 2, band.high + width / 2
