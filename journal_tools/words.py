"""How dates, ages and numbers are said: the one place for rounding and formats."""

from __future__ import annotations

import datetime as dt
import math
from typing import Protocol

from journal_tools.parameters import Parameter

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
_NARROW_SPACE, _MINUS = "\u202f", "\u2212"


def day_text(day: dt.date) -> str:
    """Give a day for a reader.

    >>> day_text(dt.date(2026, 3, 4))
    '4 March 2026'
    """
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def short_day(day: dt.date) -> str:
    """Give a day for a narrow column.

    >>> short_day(dt.date(2026, 3, 4))
    '4 Mar 2026'
    """
    return f"{day.day} {MONTHS[day.month - 1][:3]} {day.year}"


def month_text(day: dt.date) -> str:
    """Give a month and year.

    >>> month_text(dt.date(2026, 3, 4))
    'March 2026'
    """
    return f"{MONTHS[day.month - 1]} {day.year}"


def ago(day: dt.date, today: dt.date) -> str:
    """Give how long ago a day was, in the words a person would use.

    >>> ago(dt.date(2026, 3, 1), dt.date(2026, 3, 20))
    '19 days ago'
    """
    days = (today - day).days
    if days < 0:
        return f"in {span_text(-days)}"
    if days < 2:
        return ("today", "yesterday")[days]
    return f"{span_text(days)} ago"


def span_text(days: int) -> str:
    """Give a number of days in days, weeks, months or years.

    >>> span_text(1), span_text(45), span_text(500)
    ('1 day', '6 weeks', '16 months')
    """
    if days < 21:
        return counted(days, "day")
    if days < 75:
        return counted(round(days / 7), "week")
    if days < 730:
        return counted(round(days / 30.4375), "month")
    years, months = divmod(round(days / 30.4375), 12)
    return counted(years, "year") + (f" {counted(months, 'month')}" if months else "")


def counted(number: int, noun: str, plural: str = "") -> str:
    """Give a number with its noun.

    >>> counted(1, "entry", "entries"), counted(2, "entry", "entries"), counted(0, "photo")
    ('1 entry', '2 entries', '0 photos')
    """
    return f"{number} {noun if number == 1 else plural or noun + 's'}"


def as_heading(text: str) -> str:
    """Give a text with a capital letter first, the rest as it was written.

    >>> as_heading("pH of 5 March")
    'PH of 5 March'
    """
    return text[:1].upper() + text[1:]


def number_text(value: float, decimals: int) -> str:
    """Give a number rounded to its real precision; negative decimals round to tens.

    >>> number_text(12345.6, -1), number_text(-0.04, 1)
    ('12\\u202f350', '0.0')
    """
    if not math.isfinite(value):
        return "–"
    rounded = round(value, decimals)
    text = f"{abs(rounded):,.{max(decimals, 0)}f}".replace(",", _NARROW_SPACE)
    return (_MINUS if rounded < 0 else "") + text


def reading_text(value: float, parameter: Parameter, censored: str = "") -> str:
    """Give a test result with its unit.

    >>> from journal_tools.parameters import PARAMETERS
    >>> reading_text(0.25, PARAMETERS["nitrate"], "below")
    '< 0.25 mg/L'
    """
    exact = _written_decimals(value) if censored else 0
    decimals = max(parameter.decimals, exact)
    sign = {"below": "< ", "above": "> "}.get(censored, "")
    return f"{sign}{number_text(value, decimals)}{_after_number(parameter)}"


def _written_decimals(value: float) -> int:
    """Give the decimals of a limit as a test states it, three at most."""
    return len(f"{value:.3f}".rstrip("0").partition(".")[2])


class Range(Protocol):
    """Something with a low and a high end, None where it is open."""

    @property
    def low(self) -> float | None:
        """Low end."""

    @property
    def high(self) -> float | None:
        """High end."""


def band_text(band: Range, parameter: Parameter) -> str:
    """Give a target band with its unit.

    >>> from journal_tools.parameters import PARAMETERS
    >>> from journal_tools.quantities import Band
    >>> band_text(Band(None, 15), PARAMETERS["nitrate"])
    'below 15.0 mg/L'
    """
    ends = (
        None if end is None else number_text(end, parameter.decimals)
        for end in (band.low, band.high)
    )
    low, high = ends
    unit = _after_number(parameter)
    if low is None:
        return f"below {high}{unit}"
    if high is None:
        return f"above {low}{unit}"
    return f"{low} to {high}{unit}"


def _after_number(parameter: Parameter) -> str:
    return "" if parameter.unit == "pH" else f" {parameter.unit}"
