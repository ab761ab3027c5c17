"""One line of plain words as an entry.

Clauses stand between commas, semicolons or line ends; the order does not matter.

    alk 8.2, ca 420, nitrate <0.25, temp 78 F     readings, with or without a unit
    alk 9.2 before change                         before/after dose, before/after change
    changed 20 l water at 35 psu                  a water change
    topped off 4 l                                evaporated water replaced
    30 ml alk mix                                 one dose of a supplement of tank.yml
    dose 24 ml alk mix daily, stopped alk mix     a dosing plan begins, or ends
    fed 2 g frozen mysis and flakes               food
    added 2 clownfish 4 cm for 45                 animals: added, lost, removed, measured
    turbo snail died because of heat
    installed skimmer, first heater failed        equipment: installed, changed … to …,
    changed hall lamp to 8 hours                  serviced, removed, failed
    cleaned glass and skimmer cup                 upkeep of tank.yml
    spent 54.90 on salt (salt)                    money, with its category
    title: …, milestone: …, tag: …, question: …
    "anything in quotes", note: to the end        notes in your own words
    yesterday, 14 March, 2026-03-14, at 7:30 pm   when it was; today if nothing is said

A number without a unit takes the journal's unit, and the preview says which. Names are those of
tank.yml and of earlier entries; one that is nearly right is asked about, never guessed.
"""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from dataclasses import dataclass
from typing import Any

from journal_tools.writing import clauses, happenings
from journal_tools.writing.moments_said import Said, take_moment
from journal_tools.writing.understood import Fragment, Unclear, merge, read_fragment
from journal_tools.writing.vocabulary import Vocabulary

GRAMMAR = (__doc__ or "").partition("\n\n")[2].strip("\n")
"""The grammar for a reader."""

_KINDS = (
    clauses.labelled,
    clauses.reading,
    clauses.cost,
    clauses.water_change,
    clauses.top_off,
    clauses.feeding,
    clauses.dose,
    happenings.happening,
)
_QUOTED = re.compile('"([^"]*)"|“([^”]*)”|„([^“”]*)[“”]|«([^»]*)»')
_NOTE = re.compile(r"(?is)(?:^|[,;\n])\s*notes?\s*:\s*(.+)$")
# A comma between digits without a space is a decimal comma.
_BETWEEN = re.compile(r"\s*(?:[;\n]|,(?!\d)|(?<!\d),)\s*")
_OWN_TIME = {"readings": "value", "doses": "what", "water_change": "volume"}


@dataclass(frozen=True, slots=True)
class Understood:
    """What a line says.

    Attributes:
        day: The keeper's day, or None if the line names none.
        data: The entry as plain values.
        unclear: What was not understood; nothing may be written while there is any.
    """

    day: dt.date | None
    data: Fragment
    unclear: tuple[Unclear, ...]


@dataclass(frozen=True, slots=True)
class _Part:
    words: str
    said: Said
    fragment: Fragment


def understand(line: str, vocabulary: Vocabulary, today: dt.date) -> Understood:
    """Give what a line of plain words says.

    Args:
        line: The words.
        vocabulary: The names and units of the journal.
        today: The keeper's day.
    """
    text, notes = _notes_apart(unicodedata.normalize("NFC", line))
    parts: list[_Part] = []
    unclear: list[Unclear] = []
    for words in _clauses(text, vocabulary):
        said = take_moment(words, today)
        meaning = _meaning(said.rest, vocabulary) if said.rest else {}
        if said.wrong:
            unclear += [_no_such_moment(words, wrong) for wrong in said.wrong]
            continue
        if isinstance(meaning, Unclear):
            unclear.append(meaning)
            continue
        unclear += _faults(words, meaning, vocabulary)
        parts.append(_Part(words, said, meaning))
    day, clock, more = _moment(parts, today)
    unclear += [*more, *_said_twice(parts)]
    data = merge([{"time": f"{clock:%H:%M}"} if clock else {}, *(p.fragment for p in parts)])
    if notes:
        data = merge([data, {"notes": notes}])
    return Understood(day, data, tuple(unclear))


def _notes_apart(line: str) -> tuple[str, str]:
    """Give the line without its notes, and the notes. A quoted title is no note."""
    titles: list[str] = []

    def keep(match: re.Match[str]) -> str:
        titles.append(next(filter(None, match.groups()), ""))
        return f"{match[0][: match[0].index(':') + 1]} \x00{len(titles) - 1}\x00"

    line = re.sub(r"(?i)\b(?:title|milestone|question)\s*:\s*\"([^\"]*)\"", keep, line)
    notes = []
    quoted = [next(filter(None, match.groups()), "").strip() for match in _QUOTED.finditer(line)]
    rest = _QUOTED.sub(" , ", line)
    if match := _NOTE.search(rest) if not quoted else _NOTE.search(line):
        source = rest if not quoted else line
        rest = _QUOTED.sub(" , ", source[: match.start()])
        quoted = [
            next(filter(None, found.groups()), "").strip()
            for found in _QUOTED.finditer(source[: match.start()])
        ]
        notes = [match[1].strip()]
    rest = re.sub("\x00(\\d+)\x00", lambda found: titles[int(found[1])].replace(",", "\x01"), rest)
    return rest, "\n\n".join([*filter(None, quoted), *notes])


def _clauses(text: str, vocabulary: Vocabulary) -> list[str]:
    found = []
    for part in _BETWEEN.split(text):
        words = re.sub(r"\s+", " ", part).strip(" .!\t").replace("\x01", ",")
        if words:
            found += _parted_at_and(words, vocabulary)
    return found


def _parted_at_and(words: str, vocabulary: Vocabulary) -> list[str]:
    """Give ``fed mysis`` and ``cleaned glass`` of both joined by "and"; a list stays together."""
    if re.match(r"\w+:", words):
        return [words]
    ends = [(m.start(), m.end()) for m in re.finditer(r"\s+(?:and|&|\+)\s+", words)]
    for start, end in ends:
        if _is_clear(words[:start], vocabulary) and _stands_alone(words[end:], vocabulary):
            return [words[:start], *_parted_at_and(words[end:], vocabulary)]
    if _is_clear(words, vocabulary):
        return [words]
    for start, end in ends:
        if _is_clear(words[:start], vocabulary):
            return [words[:start], *_parted_at_and(words[end:], vocabulary)]
    return [words]


def _stands_alone(words: str, vocabulary: Vocabulary) -> bool:
    """Tell whether words are a clause of their own: ``cleaned glass``, not ``skimmer cup``."""
    first = _parted_at_and(words, vocabulary)[0]
    return _is_clear(first, vocabulary) and happenings.without_verb(first, vocabulary) is None


def _is_clear(words: str, vocabulary: Vocabulary) -> bool:
    rest = take_moment(words, dt.date(2000, 1, 1)).rest
    meaning = _meaning(rest, vocabulary) if rest else {}
    return not isinstance(meaning, Unclear) and not _faults(words, meaning, vocabulary)


def _meaning(words: str, vocabulary: Vocabulary) -> Fragment | Unclear:
    for understand_kind in _KINDS:
        meaning = understand_kind(words, vocabulary)
        if meaning is not None:
            return meaning
    hint = "Put it in quotes to keep it as a note, or see: journal-tools add"
    return Unclear(words, "This is not understood.", hint)


def _faults(words: str, fragment: Fragment, vocabulary: Vocabulary) -> list[Unclear]:
    """Give what a check of the journal would say of a clause."""
    if not fragment:
        return []
    _, problems = read_fragment(fragment, vocabulary.profile)
    # What is missing is missing because something else could not be used.
    told = [problem for problem in problems if problem.code != "missing-key"] or problems
    return [Unclear(words, problem.what, problem.hint) for problem in told]


# --- When -------------------------------------------------------------------------------------


def _no_such_moment(words: str, wrong: str) -> Unclear:
    what = f"There is no such day or time as '{wrong}'."
    return Unclear(words, what, "Write a day like 2026-03-14 and a time like 18:40.")


def _moment(
    parts: list[_Part], today: dt.date
) -> tuple[dt.date | None, dt.time | None, list[Unclear]]:
    """Give the day and the time of the entry; with several times, facts carry their own."""
    unclear = []
    days = list(dict.fromkeys(day for part in parts for day in part.said.days))
    if len(days) > 1:
        what = f"Two days are named: {days[0]} and {days[1]}."
        unclear.append(Unclear(str(days[1]), what, "Write one line for each day."))
    for day in days:
        if day > today:
            what = f"The day {day} is still to come."
            unclear.append(Unclear(str(day), what, "Write the day on which it happened."))
    clocks = list(dict.fromkeys(clock for part in parts for clock in part.said.clocks))
    if len(clocks) < 2:
        return next(iter(days), None), next(iter(clocks), None), unclear
    whole = next((part.said.clocks[0] for part in parts if part.said.clocks and not part.fragment),
                 None)  # fmt: skip
    for part in parts:
        if part.said.clocks and part.fragment:
            unclear += _give_own_time(part)
    return next(iter(days), None), whole, unclear


def _give_own_time(part: _Part) -> list[Unclear]:
    clock = f"{part.said.clocks[0]:%H:%M}"
    for section, content in part.fragment.items():
        if section not in _OWN_TIME or len(part.said.clocks) > 1:
            what = "An entry has one time of day, and several are named."
            return [Unclear(part.words, what, "Write one line for each time.")]
        key = _OWN_TIME[section]
        if isinstance(content, dict):
            part.fragment[section] = {n: _timed(v, key, clock) for n, v in content.items()}
        else:
            part.fragment[section] = [_timed(item, key, clock) for item in content]
    return []


def _timed(item: Any, key: str, clock: str) -> dict[str, Any]:
    return {**(item if isinstance(item, dict) else {key: item}), "time": clock}


def _said_twice(parts: list[_Part]) -> list[Unclear]:
    seen: set[str] = set()
    found = []
    for part in parts:
        for key in ("title", "milestone"):
            if key in part.fragment and key in seen:
                what = f"An entry has one {key}."
                found.append(Unclear(part.words, what, "Keep one of the two."))
            seen |= {key} & part.fragment.keys()
    return found
