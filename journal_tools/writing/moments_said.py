"""Days and times of day as people say them: ``yesterday``, ``14 March``, ``at 7:30 pm``."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

from journal_tools.words import MONTHS

_MONTH = "|".join(f"{name[:3]}(?:{name[3:]})?" for name in MONTHS)
_DAYS = (
    re.compile(r"(?:on )?(?P<iso>\d{4}-\d{1,2}-\d{1,2})", re.I),
    re.compile(
        rf"(?:on )?(?:the )?(?P<d>\d{{1,2}})(?:st|nd|rd|th|\.)? (?:of )?(?P<m>{_MONTH})\.?"
        r"(?:,? (?P<y>\d{4}))?", re.I),
    re.compile(
        rf"(?:on )?(?P<m>{_MONTH})\.? (?P<d>\d{{1,2}})(?:st|nd|rd|th)?"
        r"(?:,? (?P<y>\d{4}))?", re.I),
    re.compile(r"(?:on )?(?P<d>\d{1,2})\.(?P<n>\d{1,2})\.(?P<y>\d{4})", re.I),
    re.compile(r"(?P<near>today|yesterday)", re.I),
    re.compile(r"(?P<ago>\d{1,3}) days? ago", re.I),
)  # fmt: skip
_CLOCK = re.compile(
    r"(?:at )?(?P<h>\d{1,2})(?:[:.h](?P<min>\d{2})) ?(?P<half>[ap]\.?m\.?)?"
    r"|(?:at )?(?P<h12>\d{1,2}) ?(?P<half12>[ap]\.?m\.?)"
    r"|(?:at )?(?P<word>noon|midnight)",
    re.I,
)
_POINTED_CLOCK = re.compile(r"at \d", re.I)


@dataclass(frozen=True, slots=True)
class Said:
    """What a clause says of the moment, and what is left of it.

    Attributes:
        rest: The clause without the words for day and time.
        days: Days that were named.
        clocks: Times of day that were named.
        wrong: Words that look like a day or a time of day that does not exist.
    """

    rest: str
    days: tuple[dt.date, ...] = ()
    clocks: tuple[dt.time, ...] = ()
    wrong: tuple[str, ...] = ()


def take_moment(clause: str, today: dt.date) -> Said:
    """Take the day and the time of day from the beginning or the end of a clause.

    Args:
        clause: A part of a sentence, with single spaces.
        today: The day that "yesterday" is reckoned from.

    >>> take_moment("changed 20 l water yesterday at 7:30 pm", dt.date(2026, 3, 14))
    Said(rest='changed 20 l water', days=(datetime.date(2026, 3, 13),), \
clocks=(datetime.time(19, 30),), wrong=())
    """
    said = Said(clause.strip())
    while (shorter := _taken_once(said, today)) is not None:
        said = shorter
    return said


def _taken_once(said: Said, today: dt.date) -> Said | None:
    for pattern in (*_DAYS, _CLOCK):
        for match in pattern.finditer(said.rest):
            rest = _rest_around(said.rest, match)
            if rest is None or (pattern is _CLOCK and _is_a_number(match)):
                continue
            value = clock_of(match) if pattern is _CLOCK else _day(match, today)
            if isinstance(value, dt.time):
                return Said(rest, said.days, (*said.clocks, value), said.wrong)
            if isinstance(value, dt.date):
                return Said(rest, (*said.days, value), said.clocks, said.wrong)
            return Said(rest, said.days, said.clocks, (*said.wrong, match[0]))
    return None


def _rest_around(text: str, match: re.Match[str]) -> str | None:
    """Give what stands beside a match at an end of the text; None if it is elsewhere."""
    before, after = text[: match.start()], text[match.end() :]
    whole = (not before or before[-1] == " ") and (not after or after[0] == " ")
    if not whole or (before.strip() and after.strip()):
        return None
    return (before + after).strip()


def _is_a_number(match: re.Match[str]) -> bool:
    """Tell ``8.20`` from ``at 18.40``: with a point, only "at" makes a time of day of it."""
    return (
        "." in match[0].rstrip(".mM") and not match["half"] and not _POINTED_CLOCK.match(match[0])
    )


def clock_of(match: re.Match[str]) -> dt.time | None:
    """Give the time of day of a match of the clock pattern, or None if there is none like it."""
    if match["word"]:
        return dt.time(12 if match["word"].lower() == "noon" else 0)
    hour, minute = int(match["h"] or match["h12"]), int(match["min"] or 0)
    half = (match["half"] or match["half12"] or "")[:1].lower()
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half == "p" else 0)
    return dt.time(hour, minute) if hour < 24 and minute < 60 else None


def _day(match: re.Match[str], today: dt.date) -> dt.date | None:
    parts = match.groupdict()
    if near := parts.get("near"):
        return today - dt.timedelta(days=near.lower() == "yesterday")
    if ago := parts.get("ago"):
        return today - dt.timedelta(days=int(ago))
    if iso := parts.get("iso"):
        year, month, day = (int(part) for part in iso.split("-"))
        return _existing(year, month, day)
    month = int(parts["n"]) if parts.get("n") else _month(parts["m"])
    if parts.get("y"):
        return _existing(int(parts["y"]), month, int(parts["d"]))
    # Without a year it is the last such day that has come.
    years = range(today.year, today.year - 5, -1)
    candidates = (_existing(year, month, int(parts["d"])) for year in years)
    return next((day for day in candidates if day is not None and day <= today), None)


def _month(name: str) -> int:
    return 1 + [month[:3].lower() for month in MONTHS].index(name[:3].lower())


def _existing(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None
