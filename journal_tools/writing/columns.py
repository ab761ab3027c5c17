"""What the columns of a table mean: found by their headings, or told by the keeper."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice

from journal_tools.names import name_key
from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.units import DIMENSIONS, Dimension
from journal_tools.writing.cells import CellError, day_of, is_blank
from journal_tools.writing.parameter_words import parameter_called
from journal_tools.writing.spreadsheet import Cell, Sheet

_WORDS = {
    "date": "date, datum, fecha, day, tag, día, datetime, date time, date/time, date and time, "
    "timestamp, zeitpunkt, fecha y hora, messdatum, test date, datum/uhrzeit, datum uhrzeit",
    "time": "time, uhrzeit, zeit, hora, time of day, clock",
    "notes": "note, notes, comment, comments, remark, remarks, bemerkung, bemerkungen, kommentar, "
    "kommentare, notiz, notizen, notas, nota, comentario, comentarios, observaciones",
    "title": "title, titel, título",
    "water change": "water change, water changed, wc, wasserwechsel, ww, cambio de agua",
    "top-off": "top-off, top up, evaporation, nachfüllung, nachgefüllt, verdunstung, relleno, "
    "evaporación",
    "feed": "feed, food, fed, feeding, futter, fütterung, comida, alimento",
    "parameter": "parameter, test, parámetro, messgröße",
    "value": "value, wert, valor, result, ergebnis, resultado, messwert, reading",
    "unit": "unit, einheit, unidad, units",
}
"""Headings beside those of water parameters, in English, German and Spanish."""

_KIND_OF = {name_key(word): kind for kind, words in _WORDS.items() for word in words.split(",")}
_SIMPLE = ("date", "time", "notes", "title", "feed", "parameter", "value", "unit", "ignore")
_MEASURED = {"water change": "volume", "top-off": "volume"}
_HEADER_ROWS = 40
_BRACKETS = re.compile(r"(?P<name>.*?)\s*[(\[{](?P<unit>[^()\[\]{}]*)[)\]}]\s*(?P<more>.*)")
_PER_CENT = re.compile(r"(?P<name>.*?)\s*(?P<unit>[%‰])(?P<more>)")
_AS = re.compile(r"(?i)^(?:in|as|als)\s+|(?<=\S)\s+(?:as|als)\s+|^(?:en)\s+")


@dataclass(frozen=True, slots=True)
class Target:
    """What a column holds.

    Attributes:
        kind: ``reading``, ``dose``, or one of the plain kinds of :data:`KINDS`.
        name: Parameter of a reading, supplement of a dose.
        unit: Unit of numbers without one; empty means the journal's.
        doubt: A unit in the heading that is not known: somebody must say what it is.
    """

    kind: str
    name: str = ""
    unit: str = ""
    doubt: str = ""

    def __str__(self) -> str:
        """Give it as it is written after ``--map "Column=`` and in the remembered mapping."""
        words = {"reading": [self.name], "dose": ["dose", self.name]}.get(self.kind, [self.kind])
        return " ".join([*words, self.unit]).strip()

    @property
    def parameter(self) -> Parameter | None:
        """The water parameter of a reading."""
        return PARAMETERS.get(self.name) if self.kind == "reading" else None


KINDS = (*_SIMPLE, *_MEASURED)
"""Kinds of column that need no further name."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the table: its place from 0, heading and meaning (None: not known)."""

    index: int
    heading: str
    target: Target | None

    @property
    def letter(self) -> str:
        """The letters by which a spreadsheet program calls it.

        >>> Column(27, "", None).letter
        'AB'
        """
        number, letters = self.index + 1, ""
        while number:
            number, rest = divmod(number - 1, 26)
            letters = chr(65 + rest) + letters
        return letters

    @property
    def called(self) -> str:
        """Heading or, where there is none, the letters."""
        return self.heading or self.letter

    def is_called(self, name: str) -> bool:
        """Tell whether a name means this column: its heading, however spaced, or its letters."""
        by_heading = name_key(name) == name_key(self.heading) and bool(name_key(name))
        return by_heading or name in {self.heading, self.letter}


@dataclass(frozen=True)
class Layout:
    """Where the table stands in a sheet and what its columns mean.

    Attributes:
        sheet: The sheet.
        header: Row of the headings, from 1.
        first: First row of values, from 1.
        columns: Every column with a heading or with values.
    """

    sheet: Sheet
    header: int
    first: int
    columns: tuple[Column, ...] = field(default=())

    def of_kind(self, kind: str) -> Column | None:
        """Give the first column of a kind, or None."""
        return next((c for c in self.columns if c.target and c.target.kind == kind), None)

    def cells(self, column: Column) -> Iterator[Cell]:
        """Give what stands below a heading, without blanks."""
        for row in self.sheet.rows[self.first - 1 :]:
            if column.index < len(row) and not is_blank(row[column.index]):
                yield row[column.index]

    def is_usable(self) -> bool:
        """Whether there is a day and something that happened on it."""
        kinds = {column.target.kind for column in self.columns if column.target}
        return "date" in kinds and bool(kinds - {"date", "time", "unit", "ignore"})


# --- Headings ---------------------------------------------------------------------------------


def target_of(heading: str, supplements: Sequence[str] = ()) -> Target | None:
    """Give what a heading means, or None if no word of it is known.

    >>> str(target_of("Karbonathärte [meq/l]")), str(target_of("Datum")), target_of("Mood")
    ('alkalinity meq/l', 'date', None)
    """
    text = re.sub(r"\s+", " ", heading.replace("\n", " ")).strip(" :*")
    # Signs do not count in names: a bracket, or a percent sign, must be looked at before the whole.
    if match := _BRACKETS.fullmatch(text) or _PER_CENT.fullmatch(text):
        name = f"{match['name']} {match['more']}".strip()
        found = _named(name, _AS.sub(" ", match["unit"]).strip(), supplements)
        if found is not None:
            return found
    whole = _named(text, "", supplements)
    if whole is not None:
        return whole
    for cut in reversed(list(re.finditer(r"[\s_,/-]+", text))):
        unit = _AS.sub(" ", text[cut.end() :]).strip()
        found = _named(text[: cut.start()], unit, supplements)
        if found is not None and not found.doubt:
            return found
    return None


def _named(name: str, unit: str, supplements: Sequence[str]) -> Target | None:
    name = re.sub(r"(?i)\s+in$", "", name)
    key = name_key(name)
    if not key:
        return None
    if found := parameter_called(name):
        parameter, said = found
        return _with_unit(Target("reading", parameter.name, said), unit)
    if kind := _KIND_OF.get(key):
        return _with_unit(Target(kind), unit)
    own = next((supplement for supplement in supplements if name_key(supplement) == key), None)
    return _with_unit(Target("dose", own), unit) if own else None


def _with_unit(target: Target, unit: str) -> Target:
    if not unit or target.kind in _SIMPLE:
        return target
    dimensions = _dimensions(target)
    if any(dimension.find(unit) for dimension in dimensions):
        return replace(target, unit=unit)
    other = parameter_called(unit)
    if other and other[0].name == target.name:
        # "Nitrate (NO3-N)": the bracket says the same again, and perhaps on which basis.
        return replace(target, unit=other[1] or target.unit)
    return replace(target, doubt=unit)


def _dimensions(target: Target) -> list[Dimension]:
    if target.parameter:
        return [DIMENSIONS[target.parameter.dimension]]
    return [DIMENSIONS["volume"], *([DIMENSIONS["mass"]] if target.kind == "dose" else [])]


def told_target(words: str, supplements: Sequence[str]) -> Target:
    """Give the target that a keeper names: ``alkalinity dKH``, ``dose alk mix ml``, ``ignore``.

    Raises:
        CellError: If it is none.
    """
    text = words.strip()
    if text in KINDS:
        return Target(text)
    named = re.fullmatch(r"(?i)dose\s+(.+)", text)
    target = target_of(named[1] if named else text, supplements)
    if target is None or target.doubt or (named and target.kind != "dose"):
        known = ", ".join([*KINDS, "a water parameter with its unit", "'dose NAME ml'"])
        raise CellError(f"'{text}' is nothing that a column can hold.", f"Use {known}.")
    return target


# --- The table in the sheet -------------------------------------------------------------------


def find_layout(
    sheet: Sheet, supplements: Sequence[str], told: Mapping[str, Target] | None = None
) -> Layout | None:
    """Give where the table of a sheet stands, or None if no row looks like headings.

    Args:
        sheet: The sheet; there may be titles above the headings and units below them.
        supplements: Names of the supplements, which may be headings.
        told: What the keeper says of columns, by heading or letter.
    """
    told = told or {}
    rated = []
    for place in range(min(len(sheet.rows), _HEADER_ROWS)):
        layout = _layout_at(sheet, place, supplements, told)
        known = {c.target for c in layout.columns if c.target and c.heading}
        rated.append((layout.is_usable(), len(known), -place, layout))
    usable = [rating for rating in rated if rating[0]]
    return max(usable, key=lambda rating: rating[:3])[3] if usable else None


def _layout_at(
    sheet: Sheet, place: int, supplements: Sequence[str], told: Mapping[str, Target]
) -> Layout:
    headings = _headings(sheet, place, supplements)
    first = place + 1
    targets = [target_of(heading, supplements) for heading in headings]
    if first < len(sheet.rows) and (units := _units_below(sheet.rows[first], targets)):
        targets = [
            _with_unit(target, unit) if target else None
            for target, unit in zip(targets, units, strict=True)
        ]
        first += 1
    columns = [
        _told(Column(i, heading, target), told)
        for i, (heading, target) in enumerate(zip(headings, targets, strict=True))
    ]
    layout = Layout(sheet, place + 1, first + 1, tuple(columns))
    return replace(layout, columns=tuple(_with_date(layout)))


def _told(column: Column, told: Mapping[str, Target]) -> Column:
    named = (target for name, target in told.items() if column.is_called(name))
    return replace(column, target=next(named, column.target))


def _headings(sheet: Sheet, place: int, supplements: Sequence[str]) -> list[str]:
    """Give the headings of a row; where a merged one above is needed to understand, with it."""
    row = sheet.rows[place]
    width = max((len(r) for r in sheet.rows[place : place + 20]), default=0)
    own = [
        str(row[i]).strip() if i < len(row) and isinstance(row[i], str) else ""
        for i in range(width)
    ]
    if place == 0:
        return own
    above, spread = sheet.rows[place - 1], ""
    for i, heading in enumerate(own):
        upper = str(above[i]).strip() if i < len(above) and isinstance(above[i], str) else ""
        spread = upper or spread
        if not heading and upper and target_of(upper, supplements):
            own[i] = upper
        elif heading and spread and target_of(heading, supplements) is None:
            for both in (f"{spread} ({heading})", f"{spread} {heading}"):
                if (target := target_of(both, supplements)) and not target.doubt:
                    own[i] = both
                    break
    return own


def _units_below(row: Sequence[Cell], targets: Sequence[Target | None]) -> list[str]:
    """Give the units of a row that holds nothing else, or nothing."""
    units = []
    for i, target in enumerate(targets):
        cell = row[i] if i < len(row) else ""
        text = cell.strip(" ()[]") if isinstance(cell, str) else None
        if text is None:
            return []
        fits = target is not None and target.kind not in _SIMPLE and text
        if text and not (fits and not _with_unit(target, text).doubt):  # type: ignore[arg-type]
            return []
        units.append(text)
    return units if any(units) else []


def _with_date(layout: Layout) -> Iterator[Column]:
    """Take a column of days for the date where no heading says which one it is."""
    dated = layout.of_kind("date") is not None
    for column in layout.columns:
        may_be = column.target is None or column.target.kind == "time"
        if not dated and may_be and _holds_days(layout, column):
            dated = True
            yield replace(column, target=Target("date"))
        else:
            yield column


def _holds_days(layout: Layout, column: Column) -> bool:
    cells = list(islice(layout.cells(column), 50))
    return sum(map(_is_day, cells)) > len(cells) / 2


def _is_day(cell: Cell) -> bool:
    if isinstance(cell, int | float):
        return False  # any number of some size could be a serial number
    try:
        day_of(cell, "dmy")
    except CellError:
        try:
            day_of(cell, "mdy")
        except CellError:
            return False
    return True
