"""What the text of a cell means: blanks, numbers of either decimal sign, days, times of day."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from typing import Literal

from journal_tools.names import name_key
from journal_tools.problems import excerpt
from journal_tools.writing.spreadsheet import Cell

Order = Literal["dmy", "mdy", "ymd", ""]
"""Order of day, month and year; empty where nothing tells."""

Decimal = Literal[".", ",", ""]
"""Sign before the decimals; empty where nothing tells."""

_BLANK = frozenset({
    "", "-", "--", "–", "—", "n/a", "na", "n.a.", "#n/a", "#nv", "none", "null", "nan", "?", "k.a.",
    "s/d", "n.t.", "nt", "not tested",
})  # fmt: skip

_NUMBER = re.compile(
    r"\s*(?P<sign>(?:<|>|≤|≥|below\b|above\b|under\b|over\b)?)\s*"
    r"(?P<number>[-+\u2212]?(?:\d[\d.,'’\s\u00a0\u202f]*\d|\d|[.,]\d+))(?P<rest>(?:[^\d].*)?)",
    re.IGNORECASE | re.DOTALL,
)
_GROUPS = re.compile(r"[-+]?[1-9]\d{0,2}([.,])\d{3}")


class CellError(ValueError):
    """A cell that cannot be understood: ``what`` and ``hint`` for a person."""

    def __init__(self, what: str, hint: str) -> None:
        super().__init__(f"{what} {hint}")
        self.what, self.hint = what, hint


def is_blank(cell: Cell) -> bool:
    """Tell whether a cell says nothing, or only that nothing was tested.

    >>> is_blank("n/a"), is_blank("0")
    (True, False)
    """
    return isinstance(cell, str) and cell.strip().casefold() in _BLANK


def cell_text(cell: Cell) -> str:
    """Give a cell as a person would have typed it."""
    if isinstance(cell, float):
        return f"{cell:.12g}"
    if isinstance(cell, dt.datetime):
        return cell.strftime("%Y-%m-%d %H:%M").removesuffix(" 00:00")
    return cell.isoformat() if isinstance(cell, dt.date | dt.time) else str(cell).strip()


# --- Numbers ----------------------------------------------------------------------------------


def decimal_sign(cells: Iterable[Cell]) -> Decimal:
    """Give the decimal sign that cells agree on; empty where none shows, or both do.

    >>> decimal_sign(["8,2", "1.310"]), decimal_sign(["1.310"])
    (',', '')
    """
    signs = {sign for cell in cells if isinstance(cell, str) and (sign := _shown_sign(cell))}
    if signs == {","}:
        return ","
    return "." if signs == {"."} else ""


def _shown_sign(text: str) -> str:
    match = _NUMBER.fullmatch(text)
    if not match:
        return ""
    number = match["number"]
    if "." in number and "," in number:
        return max(".,", key=number.rfind)
    if _GROUPS.fullmatch(number) or number.count(".") + number.count(",") != 1:
        return ""
    return "," if "," in number else "."


def plain_numbers(cell: Cell, decimal: Decimal) -> list[str]:
    """Give what a number may be with a point and without thousands separators, likeliest first.

    There are two where ``1,310`` can be read in two ways; a sign before the number and a unit
    after it stay.

    Args:
        cell: The cell.
        decimal: The decimal sign of the table, if it is known.

    Raises:
        CellError: If there is no number in it.

    >>> plain_numbers("1.310,5 mg/L", ""), plain_numbers("1,310", ""), plain_numbers("8,2", ".")
    (['1310.5 mg/L'], ['1310', '1.310'], ['8.2'])
    """
    text = cell_text(cell)
    match = _NUMBER.fullmatch(text)
    if not match or isinstance(cell, bool | dt.date | dt.time | dt.timedelta):
        what = f"'{excerpt(text)}' is not a number."
        raise CellError(what, "Write the number alone, or leave the cell empty.")
    sign, rest = match["sign"], match["rest"].strip()
    number = re.sub(r"['’\s\u00a0\u202f]", "", match["number"].replace("\u2212", "-"))
    values = [number] if isinstance(cell, int | float) else _unpointed(number, decimal)
    spaced = f"{sign} " if sign.isalpha() else sign
    return [f"{spaced}{value}{' ' if rest else ''}{rest}" for value in values]


def _unpointed(number: str, decimal: Decimal) -> list[str]:
    if "." in number and "," in number:
        sign = max(".,", key=number.rfind)
        return [number.replace("," if sign == "." else ".", "").replace(",", ".")]
    if group := _GROUPS.fullmatch(number):
        whole, part = re.sub("[.,]", "", number), number.replace(",", ".")
        # Where the table has shown no decimal sign, both readings are handed on.
        as_decimal = decimal == group[1] or (not decimal and group[1] == ".")
        return [part, whole] if as_decimal else [whole, part]
    if number.count(",") + number.count(".") > 1:
        return [re.sub("[.,]", "", number)]
    return [number.replace(",", ".")]


# --- Days -------------------------------------------------------------------------------------

_MONTHS = (
    "january januar jänner enero jan ene", "february februar febrero feb",
    "march märz marzo mar mär", "april abril apr abr", "may mai mayo", "june juni junio jun",
    "july juli julio jul", "august agosto aug ago", "september septiembre setiembre sept sep",
    "october oktober octubre oct okt",
    "november noviembre nov", "december dezember diciembre dec dez dic",
)  # fmt: skip
_MONTH_OF = {name_key(word): i for i, words in enumerate(_MONTHS, 1) for word in words.split()}
_WEEKDAY = re.compile(r"([^\W\d]{2,10})\.?,?\s+(?=\d)")
_ISO = re.compile(
    r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})"
    r"(?:[T ]\s*(?P<clock>\d{1,2}:\d{2}.*?))?(?P<zone>Z|[+-]\d{2}:?\d{2})?"
)
_PACKED = re.compile(r"((?:19|20)\d{2})(\d{2})(\d{2})")
_PARTS = re.compile(
    r"(\d{1,2})\s*([./-])\s*(\d{1,2})\s*[./-]\s*(\d{4}|\d{2})\b(?:,?\s+(?P<clock>.+))?"
)
_NAMED = (
    re.compile(r"(?P<d>\d{1,2})(?:st|nd|rd|th|\.|º)?[\s-]*(?:de |of )?(?P<m>[^\W\d]+)\.?,?[\s-]*"
               r"(?:de |del )?(?P<y>\d{4}|\d{2})\b(?:,?\s+(?P<clock>.+))?"),
    re.compile(r"(?P<m>[^\W\d]+)\.? (?P<d>\d{1,2})(?:st|nd|rd|th)?,? (?P<y>\d{4})\b"
               r"(?:,?\s+(?P<clock>.+))?"),
)  # fmt: skip
_SERIAL_ZERO = dt.datetime(1899, 12, 30)
_SERIALS = (18_264, 73_416)
"""Serial numbers of spreadsheet days from 1950 to 2100 (ECMA-376-1, 18.17.4, 1900 system)."""

_DATE_HINT = "Write it like 2026-03-14."


def _without_weekday(text: str) -> str:
    """Give the text without a word before its number, unless that is a month."""
    text = text.strip()
    match = _WEEKDAY.match(text)
    return text[match.end() :] if match and name_key(match[1]) not in _MONTH_OF else text


def date_order(cells: Iterable[Cell]) -> Order | None:
    """Give the order of day and month; None where no cell needs one, empty where nothing tells.

    >>> date_order(["03/04/2026", "25/04/2026"]), date_order(["03/04/2026"])
    ('dmy', '')
    """
    needed, orders = False, set[Order]()
    for cell in cells:
        match = _PARTS.fullmatch(_without_weekday(str(cell)))
        if match is None or not isinstance(cell, str):
            continue
        needed = True
        first, second = int(match[1]), int(match[3])
        # With points between them, days come first wherever dates are written so (common
        # practice; DIN 5008 for German).
        if first > 12 or match[2] == ".":
            orders.add("dmy")
        elif second > 12:
            orders.add("mdy")
    if not needed:
        return None
    return orders.pop() if len(orders) == 1 else ""


def day_of(cell: Cell, order: Order) -> tuple[dt.datetime, bool]:
    """Give the day, and the time of day with True if the cell has one.

    A time with an offset keeps it.

    Args:
        cell: A date, a spreadsheet's serial number, or text.
        order: Order of day and month, where they are numbers.

    Raises:
        CellError: If it is no date, or one that does not exist.
    """
    if isinstance(cell, dt.datetime):
        return cell, cell.time() != dt.time()
    if isinstance(cell, dt.date):
        return dt.datetime(cell.year, cell.month, cell.day), False
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        return _serial(float(cell))
    if not isinstance(cell, str):
        raise CellError(f"'{cell_text(cell)}' is not a date.", _DATE_HINT)
    text = _without_weekday(cell)
    if match := _ISO.fullmatch(text):
        return _dated(cell, (match[1], match[2], match[3]), match["clock"], match["zone"])
    if match := _PACKED.fullmatch(text):
        return _dated(cell, (match[1], match[2], match[3]), None)
    if match := _PARTS.fullmatch(text):
        first, second = (match[3], match[1]) if order != "mdy" else (match[1], match[3])
        return _dated(cell, (match[4], first, second), match["clock"])
    for pattern in _NAMED:
        if (match := pattern.fullmatch(text)) and (month := _MONTH_OF.get(name_key(match["m"]))):
            return _dated(cell, (match["y"], str(month), match["d"]), match["clock"])
    if re.fullmatch(r"\d{5}(?:[.,]\d+)?", text):
        return _serial(float(text.replace(",", ".")))
    raise CellError(f"'{excerpt(cell)}' is not a date.", _DATE_HINT)


def _serial(number: float) -> tuple[dt.datetime, bool]:
    if not _SERIALS[0] <= number < _SERIALS[1]:
        raise CellError(f"'{number:g}' is not a date.", _DATE_HINT)
    minutes = round(number * 24 * 60)
    return _SERIAL_ZERO + dt.timedelta(minutes=minutes), minutes % (24 * 60) != 0


def _dated(
    cell: str, ymd: tuple[str, str, str], clock: str | None, zone: str | None = None
) -> tuple[dt.datetime, bool]:
    year, month, day = (int(part) for part in ymd)
    if year < 100:
        year += 2000 if year < 70 else 1900
    try:
        date = dt.datetime(year, month, day)
    except ValueError as error:
        raise CellError(f"The date '{excerpt(cell)}' does not exist.", _DATE_HINT) from error
    if not clock:
        return date, False
    moment = dt.datetime.combine(date, time_of(clock.strip()))
    return (moment.replace(tzinfo=_offset(zone)) if zone else moment), True


def _offset(zone: str) -> dt.tzinfo:
    if zone == "Z":
        return dt.UTC
    hours, minutes = int(zone[1:3]), int(zone[-2:])
    size = dt.timedelta(hours=hours, minutes=minutes)
    return dt.timezone(-size if zone.startswith("-") else size)


# --- Times of day -----------------------------------------------------------------------------

_CLOCK = re.compile(
    r"(?P<h>\d{1,2})(?:[:.h](?P<m>\d{2}))?(?::\d{2}(?:[.,]\d+)?)?\s*(?P<half>[ap]\.?\s?m\.?)?"
    r"\s*(?:uhr|h)?", re.IGNORECASE,
)  # fmt: skip


def time_of(cell: Cell) -> dt.time:
    """Give a time of day to the minute.

    Args:
        cell: A time, a part of a day from 0 to 1, or text such as ``18:40`` or ``7:30 PM``.

    Raises:
        CellError: If it is no time of day.

    >>> time_of("7:30 p.m."), time_of(0.75)
    (datetime.time(19, 30), datetime.time(18, 0))
    """
    if isinstance(cell, dt.datetime):
        return cell.time().replace(second=0, microsecond=0)
    if isinstance(cell, dt.time):
        return cell.replace(second=0, microsecond=0)
    if isinstance(cell, dt.timedelta):
        cell = cell.total_seconds() / 86_400
    if isinstance(cell, float | int) and 0 <= cell < 1:
        minutes = min(round(cell * 24 * 60), 24 * 60 - 1)
        return dt.time(minutes // 60, minutes % 60)
    match = _CLOCK.fullmatch(str(cell).strip())
    whole = match and (match["m"] or match["half"] or re.search("(?i)uhr|h", str(cell)))
    if match and whole:
        hour, minute = int(match["h"]), int(match["m"] or 0)
        if match["half"] and 1 <= hour <= 12:
            hour = hour % 12 + (12 if match["half"][:1].lower() == "p" else 0)
        if hour < 24 and minute < 60:
            return dt.time(hour, minute)
    what = f"'{excerpt(cell_text(cell))}' is not a time of day."
    raise CellError(what, "Write hours and minutes, such as 18:40.")
