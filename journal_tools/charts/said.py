"""Numbers, ranges and limits in words, for charts of quantities that nobody logs."""

from __future__ import annotations

from numbers import Real

import numpy as np
import pandas as pd

from journal_tools.words import number_text

# An axis of doubles keeps its last decimal up to here; nothing in a tank is larger.
LARGEST = 1e9


def drawable(value: object) -> bool:
    """Say whether a value is a number that an axis can hold.

    Args:
        value: Anything that a table holds.

    Returns:
        False for what is missing, infinite or beyond 1e9.

    >>> drawable(8.2), drawable(None), drawable(float("inf"))
    (True, False, False)
    """
    return isinstance(value, Real) and abs(float(value)) <= LARGEST


def number(value: object) -> float | None:
    """Give a value of a table as a number that can be drawn.

    Args:
        value: Anything that a table holds.

    Returns:
        The number, or None for what cannot be drawn.

    >>> number(3), number(float("nan"))
    (3.0, None)
    """
    return float(value) if drawable(value) else None  # type: ignore[arg-type]


def drawable_rows(table: pd.DataFrame, *columns: str) -> pd.DataFrame:
    """Give the rows of a table whose values an axis can hold.

    Args:
        table: Any table.
        columns: Columns that must hold numbers.

    Returns:
        Those rows.
    """
    kept = np.ones(len(table), dtype=bool)
    for name in columns:
        kept &= np.fromiter(map(drawable, table[name]), dtype=bool, count=len(table))
    return table.loc[kept]


def in_order(low: object, high: object) -> tuple[float, float] | tuple[None, None]:
    """Give both ends of a range in order, or neither where one is unknown.

    Args:
        low: One end, anything that a table holds.
        high: The other end.

    Returns:
        Two numbers or two times None.

    >>> in_order(9, 7), in_order(7, None)
    ((7.0, 9.0), (None, None))
    """
    first, second = number(low), number(high)
    if first is None or second is None:
        return None, None
    return min(first, second), max(first, second)


def figure(value: float, decimals: int, unit: str = "") -> str:
    """Give a value with its unit.

    Args:
        value: In that unit.
        decimals: Decimals in which it is written.
        unit: May be empty.

    Returns:
        Text with a no-break space before the unit.

    >>> figure(1850, 0, "L/h").replace(chr(0x202F), " ").replace(chr(0xA0), " ")
    '1 850 L/h'
    """
    text = number_text(value, decimals)
    return f"{text}\u00a0{unit}" if unit else text


def interval(low: float, high: float, decimals: int, unit: str = "") -> str:
    """Give a range with its unit, with "to" since a dash reads as a minus sign.

    Args:
        low: Lower end.
        high: Upper end.
        decimals: Decimals in which both are written.
        unit: May be empty.

    Returns:
        Such as "7.5 to 8.5 dKH".

    >>> interval(7.5, 8.5, 1)
    '7.5 to 8.5'
    """
    return f"{number_text(low, decimals)} to {figure(high, decimals, unit)}"


def limits(low: float | None, high: float | None, decimals: int, unit: str = "") -> str:
    """Give a band in words with its unit.

    Args:
        low: Least value inside, None if open.
        high: Greatest value inside, None if open.
        decimals: Decimals in which they are written.
        unit: May be empty.

    Returns:
        Such as "at most 10 ppm"; empty if both sides are open.

    >>> limits(None, 10, 0), limits(1, 2, 0), limits(None, None, 0)
    ('at most 10', '1 to 2', '')
    """
    if low is not None and high is not None:
        return interval(low, high, decimals, unit)
    if low is None and high is None:
        return ""
    side, end = ("least", low) if high is None else ("most", high)
    return f"at {side} {figure(float(end or 0.0), decimals, unit)}"


def verdict(value: float, low: float | None, high: float | None) -> str:
    """Give on which side of a band a value lies.

    Args:
        value: In the band's unit.
        low: Least value inside, None if open.
        high: Greatest value inside, None if open.

    Returns:
        "low", "high", or empty inside.

    >>> verdict(7.0, 7.5, None), verdict(8.0, 7.5, None)
    ('low', '')
    """
    if low is not None and value < low:
        return "low"
    return "high" if high is not None and value > high else ""


def some_decimals(largest: float) -> int:
    """Give the decimals that leave about three digits.

    Args:
        largest: Greatest value that is shown, at least 0.

    Returns:
        0 from 100 on, then one more for each power of ten, 3 at most.

    >>> some_decimals(1850), some_decimals(12), some_decimals(2.4)
    (0, 1, 2)
    """
    return next((n for n, limit in enumerate((100, 10, 1)) if largest >= limit), 3)
