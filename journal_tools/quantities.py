"""The kinds of value that profile and entries hold: quantities, bands, dates, amounts.

Each kind reads what a person writes (``78 F``, ``8,2``, ``7.5 to 9 dKH``) and describes itself
to an editor by a JSON schema. A bare number takes the journal's own unit, which validation
receives as ``context={"units": BareUnits}``.
"""

from __future__ import annotations

import datetime as dt
import math
import re
from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any

from pydantic import BeforeValidator, GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic_core import PydanticCustomError, core_schema

from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.problems import excerpt
from journal_tools.units import (
    DIMENSIONS,
    Quantity,
    QuantityError,
    decimal_number,
    parse_quantity,
)


@dataclass(frozen=True, slots=True)
class BareUnits:
    """Which unit a number without one has in this journal.

    Attributes:
        us: True where lengths are inches, volumes US gallons and so on.
        chosen: Units that the profile names for single dimensions or parameters.
    """

    us: bool = False
    chosen: Mapping[str, str] = field(default_factory=dict)

    def of_parameter(self, parameter: Parameter) -> str:
        """Give the unit of a bare reading of ``parameter``."""
        fallback = self.of_dimension(parameter.dimension, parameter.unit, parameter.unit)
        return self.chosen.get(parameter.name, fallback)

    def of_dimension(self, dimension: str, metric: str, us: str) -> str:
        """Give the unit of a bare number of ``dimension``."""
        if dimension == "temperature" and self.us:
            us = "°F"
        return self.chosen.get(dimension, us if self.us else metric)


def bare_units(info: ValidationInfo) -> BareUnits:
    """Give the journal's units from the validation context."""
    context = info.context or {}
    units = context.get("units", BareUnits())
    assert isinstance(units, BareUnits)
    return units


def mistake(code: str, what: str, hint: str) -> PydanticCustomError:
    """Give a validation error that carries a problem's code, sentence and hint."""
    return PydanticCustomError("journal", "{what}", {"code": code, "what": what, "hint": hint})


def _parse(written: object, dimension: str, bare_unit: str) -> Quantity:
    try:
        return parse_quantity(written, DIMENSIONS[dimension], bare_unit)
    except QuantityError as error:
        raise mistake(error.code, error.what, error.hint) from error


def _not_a_limit(quantity: Quantity) -> Quantity:
    if quantity.censored:
        what = f"'{excerpt(quantity.text)}' is a limit; a number is wanted here."
        raise mistake("not-a-number", what, "Write the number itself, without the sign.")
    return quantity


def _with_point(written: Any) -> Any:
    """Read ``0,31`` as 0.31; what is no number at all is left for the next check to refuse."""
    if isinstance(written, bool):
        what = f"'{_word(written)}' is not a number."
        raise mistake("not-a-number", what, "Write a number, without its unit.")
    if isinstance(written, str) and re.fullmatch(r"\s*[-+]?\d*,\d+\s*", written):
        try:
            return decimal_number(written.strip(), written)
        except QuantityError as error:
            raise mistake(error.code, error.what, error.hint) from error
    return written


def _word(written: Any) -> str:
    return str(written).lower() if isinstance(written, bool) else str(written)


Number = Annotated[float, BeforeValidator(_with_point)]
"""A number that has no unit of its own, or always the same one."""

Whole = Annotated[int, BeforeValidator(_with_point)]
"""A count."""


class _Kind(ABC):
    """Base of annotations that turn written text into a value."""

    def __get_pydantic_core_schema__(
        self, _source: Any, _handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.with_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, _schema: core_schema.CoreSchema, _handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return self.json_schema()

    @abstractmethod
    def read(self, written: Any, info: ValidationInfo) -> Any:
        """Give the value, or raise a mistake that says what to write."""

    @abstractmethod
    def json_schema(self) -> dict[str, Any]:
        """Describe the field to an editor."""


@dataclass(frozen=True, slots=True)
class Measured(_Kind):
    """Annotation of a field that holds a :class:`Quantity` of one dimension.

    Attributes:
        dimension: Key of ``units.DIMENSIONS``; the value is kept in its canonical unit.
        metric: Unit of a bare number in a metric journal.
        us: Unit of a bare number in a US journal (default: as metric).
        low: Smallest value that can be, in the canonical unit.
        high: Largest value that can be, in the canonical unit.
    """

    dimension: str
    metric: str
    us: str = ""
    low: float = 0.0
    high: float = 1e9

    def read(self, written: Any, info: ValidationInfo) -> Quantity:
        """Give the quantity, or raise a mistake that says what to write."""
        units = bare_units(info)
        bare = units.of_dimension(self.dimension, self.metric, self.us or self.metric)
        quantity = _not_a_limit(_parse(written, self.dimension, bare))
        if not self.low <= quantity.value <= self.high:
            limits = f"{self.low:g} to {self.high:g} {DIMENSIONS[self.dimension].canonical}"
            what = f"'{excerpt(quantity.text)}' is out of range ({limits})."
            raise mistake("impossible-value", what, "Check the number and its unit.")
        return quantity

    def json_schema(self) -> dict[str, Any]:
        """Describe the field to an editor."""
        canonical = DIMENSIONS[self.dimension].canonical
        us = f" ({self.us} in a US journal)" if self.us else ""
        return {
            "type": ["number", "string"],
            "description": f"Number with its unit; a bare number is {self.metric}{us}.",
            "examples": [f"12 {self.metric}", f"12 ± 0.5 {canonical}"],
        }


Volume = Annotated[Quantity, Measured("volume", "L", "gal", 0, 1e6)]
Length = Annotated[Quantity, Measured("length", "cm", "in", 0, 1e4)]
Thickness = Annotated[Quantity, Measured("length", "mm", "in", 0, 1e2)]
Height = Annotated[Quantity, Measured("length", "m", "ft", 0, 1e4)]
Mass = Annotated[Quantity, Measured("mass", "kg", "lb", 0, 1e8)]
SmallMass = Annotated[Quantity, Measured("mass", "g", "", 0, 1e7)]
Flow = Annotated[Quantity, Measured("flow", "L/h", "gal/h", 0, 1e6)]
Power = Annotated[Quantity, Measured("power", "W", "", 0, 1e5)]
Period = Annotated[Quantity, Measured("period", "days", "", 0.04, 36525)]
Percent = Annotated[Quantity, Measured("percent", "%", "", 0, 100)]
Temperature = Annotated[Quantity, Measured("temperature", "°C", "°F", -20, 60)]


_OTHER_UNITS = {
    "temperature": ("F",),
    "salinity": ("SG", "mS/cm"),
    "alkalinity": ("mg/L CaCO3", "meq/L"),
    "phosphate": ("ppb",),
    "concentration": ("ppb",),
}
"""Units that people leave out, by dimension, for the hint beside an impossible bare number."""


@dataclass(frozen=True, slots=True)
class ReadingOf(_Kind):
    """Annotation of a field that holds a test result of one parameter.

    Attributes:
        parameter: Name of the parameter.
        change: True for a difference (what a dose lifts), which may be as small as it likes.
    """

    parameter: str
    change: bool = False

    def read(self, written: Any, info: ValidationInfo) -> Quantity:
        """Give the result in the parameter's unit, or raise a mistake."""
        parameter = PARAMETERS[self.parameter]
        quantity = _parse(written, parameter.dimension, bare_units(info).of_parameter(parameter))
        if self.change:
            _not_a_limit(quantity)
        low, high = (0, parameter.possible[1]) if self.change else parameter.possible
        if not low <= quantity.value <= high:
            what = (
                f"{parameter.label} of '{excerpt(quantity.text)}' is outside what can be "
                f"({low:g} to {high:g} {parameter.unit})."
            )
            raise mistake("impossible-value", what, self._hint(quantity.text))
        return quantity

    def _hint(self, text: str) -> str:
        """Name the unit in which a bare number would make sense."""
        parameter = PARAMETERS[self.parameter]
        low, high = parameter.usual or parameter.possible
        for spelling in _OTHER_UNITS.get(parameter.dimension, ()):
            try:
                value = parse_quantity(
                    f"{text} {spelling}", DIMENSIONS[parameter.dimension], ""
                ).value
            except QuantityError:
                continue
            if (low or 0) * 0.7 <= value <= (high or math.inf) * 1.4:
                return f"If it is in {spelling}, write '{text} {spelling}'."
        return "Check the decimal point and the unit."

    def json_schema(self) -> dict[str, Any]:
        """Describe the field to an editor."""
        unit = PARAMETERS[self.parameter].unit
        return {
            "type": ["number", "string"],
            "description": f"Result in {unit} or with its unit; '< 0.25' for below the limit.",
        }


@dataclass(frozen=True, slots=True)
class Amount:
    """A dose as it is measured out: millilitres or grams."""

    value: float
    unit: str
    text: str = ""


@dataclass(frozen=True, slots=True)
class _AmountKind(_Kind):
    def read(self, written: Any, info: ValidationInfo) -> Amount:
        try:
            volume = _not_a_limit(parse_quantity(written, DIMENSIONS["volume"], "ml"))
            result = Amount(volume.value * 1000, "ml", volume.text)
        except QuantityError as error:
            if error.code != "wrong-unit" or "unit of mass" not in error.what:
                hint = "Write millilitres or grams: '30 ml', '5 g'."
                raise mistake(error.code, error.what, hint) from error
            mass = _not_a_limit(_parse(written, "mass", "g"))
            result = Amount(mass.value, "g", mass.text)
        if not 0 < result.value < 1e6:
            what = f"A dose of '{excerpt(result.text)}' cannot be."
            raise mistake("impossible-value", what, "Write millilitres or grams: '30 ml', '5 g'.")
        return result

    def json_schema(self) -> dict[str, Any]:
        return {
            "type": ["number", "string"],
            "description": "Millilitres or grams; a bare number is ml.",
            "examples": ["30 ml", "5 g"],
        }


DoseAmount = Annotated[Amount, _AmountKind()]


@dataclass(frozen=True, slots=True)
class Band:
    """A target range in a parameter's canonical unit; None on an open side."""

    low: float | None
    high: float | None

    def __contains__(self, value: float) -> bool:
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)


_BAND = re.compile(
    r"\s*(?P<low>[-+]?[\d.,]+)\s*(?:to|–|—|-|\.\.)\s*(?P<high>[-+]?[\d.,]+)\s*(?P<unit>.*)"
)


@dataclass(frozen=True, slots=True)
class BandOf(_Kind):
    """Annotation of a field that holds the target :class:`Band` of one parameter."""

    parameter: str

    def read(self, written: Any, info: ValidationInfo) -> Band:
        """Give the band of ``7.5 to 9 dKH``, ``[7.5, 9]``, ``below 10`` or ``above 5``."""
        parameter = PARAMETERS[self.parameter]
        unit = bare_units(info).of_parameter(parameter)
        low, high = (_end(end, parameter, unit) for end in self._ends(written))
        if low is not None and high is not None and low >= high:
            what = f"The band '{excerpt(written)}' ends below its beginning."
            raise mistake("bad-band", what, "Write the smaller number first: '7.5 to 9'.")
        return Band(low, high)

    def _ends(self, written: Any) -> tuple[Any, Any]:
        if isinstance(written, list) and len(written) == 2:
            return written[0], written[1]
        if isinstance(written, str) and (match := _BAND.fullmatch(written)):
            return f"{match['low']} {match['unit']}", f"{match['high']} {match['unit']}"
        if isinstance(written, str):
            if match := re.fullmatch(r"\s*(?:below\b|under\b|[<≤])(.+)", written, re.IGNORECASE):
                return None, match[1]
            if match := re.fullmatch(r"\s*(?:above\b|over\b|[>≥])(.+)", written, re.IGNORECASE):
                return match[1], None
        hint = "Write '7.5 to 9 dKH', 'below 10' or 'above 5'."
        raise mistake("bad-band", f"'{excerpt(written)}' is not a band.", hint)

    def json_schema(self) -> dict[str, Any]:
        """Describe the field to an editor."""
        unit = PARAMETERS[self.parameter].unit
        return {
            "anyOf": [
                {"type": "string"},
                {
                    "type": "array",
                    "items": {"type": ["number", "string"]},
                    "minItems": 2,
                    "maxItems": 2,
                },
            ],
            "description": f"Target band in {unit}: 'LOW to HIGH', 'below X' or 'above X'.",
        }


def _end(written: Any, parameter: Parameter, unit: str) -> float | None:
    if written is None:
        return None
    quantity = _not_a_limit(_parse(written, parameter.dimension, unit))
    low, high = min(0.0, parameter.possible[0]), parameter.possible[1]
    if not low <= quantity.value <= high:
        limits = f"{low:g} to {high:g} {parameter.unit}"
        what = f"A band to '{excerpt(quantity.text)}' is outside what can be ({limits})."
        raise mistake("impossible-value", what, "Check the decimal point and the unit.")
    return quantity.value


FIRST_YEAR, LAST_YEAR = 1950, 2100
"""Dates outside are slips of the finger; year 1 would not even survive a change of time zone."""


@dataclass(frozen=True, slots=True)
class _DateKind(_Kind):
    def read(self, written: Any, info: ValidationInfo) -> dt.date:
        hint = "Write year-month-day, such as 2026-03-14."
        if not isinstance(written, str) or not re.fullmatch(r"\d{4}-\d{2}-\d{2}", written.strip()):
            raise mistake("bad-date", f"'{excerpt(written)}' is not a date.", hint)
        try:
            date = dt.date.fromisoformat(written.strip())
        except ValueError as error:
            what = f"The date {excerpt(written)} does not exist."
            raise mistake("bad-date", what, hint) from error
        if not FIRST_YEAR <= date.year <= LAST_YEAR:
            what = f"The date {date} is not between the years {FIRST_YEAR} and {LAST_YEAR}."
            raise mistake("bad-date", what, hint)
        return date

    def json_schema(self) -> dict[str, Any]:
        return {"type": "string", "format": "date", "description": "Year-month-day."}


Date = Annotated[dt.date, _DateKind()]


@dataclass(frozen=True, slots=True)
class _TimeKind(_Kind):
    def read(self, written: Any, info: ValidationInfo) -> dt.time:
        # Unquoted, 18.40 is a number to YAML, and has lost its last digit.
        text = f"{written:.2f}" if isinstance(written, float) else str(written).strip()
        match = re.fullmatch(r"(\d{1,2})[:.h](\d{2})(?::\d{2})?", text)
        if match and int(match[1]) < 24 and int(match[2]) < 60:
            return dt.time(int(match[1]), int(match[2]))
        what = f"'{excerpt(written)}' is not a time of day."
        raise mistake("bad-time", what, "Write hours and minutes, such as 18:40.")

    def json_schema(self) -> dict[str, Any]:
        return {
            "type": "string",
            "pattern": r"^\d{1,2}[:.h]\d{2}(:\d{2})?$",
            "description": "Hours and minutes of the keeper's day, 00:00 to 23:59.",
        }


TimeOfDay = Annotated[dt.time, _TimeKind()]


@dataclass(frozen=True, slots=True)
class _TextKind(_Kind):
    """Text; a number or yes/no word that YAML read as such is taken as it was meant."""

    longest: int = 200

    def read(self, written: Any, info: ValidationInfo) -> str:
        if written is None or isinstance(written, dict | list):
            raise mistake(
                "not-text", "Text is wanted here.", "Write a few words, in quotes if need be."
            )
        text = _word(written).strip()
        if not text:
            raise mistake("not-text", "The text is empty.", "Write a few words or remove the key.")
        if len(text) > self.longest:
            what = f"The text is longer than {self.longest} characters."
            raise mistake("text-too-long", what, "Put long text under 'notes'.")
        return text

    def json_schema(self) -> dict[str, Any]:
        return {"type": ["string", "number"], "maxLength": self.longest}


Text = Annotated[str, _TextKind()]
LongText = Annotated[str, _TextKind(100_000)]


@dataclass(frozen=True, slots=True)
class _MoneyKind(_Kind):
    def read(self, written: Any, info: ValidationInfo) -> float:
        match = re.fullmatch(r"\s*(\d{1,12}(?:[.,]\d{1,2})?)\s*([A-Za-z]{3})?\s*", str(written))
        if isinstance(written, bool) or not match:
            what = f"'{excerpt(written)}' is not an amount of money."
            raise mistake(
                "bad-money", what, "Write a number such as 54.90, in the journal's currency."
            )
        wanted = (info.context or {}).get("currency", "")
        if match[2] and wanted and match[2].upper() != wanted:
            what = f"'{excerpt(written)}' is not in {wanted}, the journal's currency."
            raise mistake("wrong-currency", what, f"Convert it and write the amount in {wanted}.")
        return float(match[1].replace(",", "."))

    def json_schema(self) -> dict[str, Any]:
        return {"type": ["number", "string"], "description": "Amount in the journal's currency."}


Money = Annotated[float, _MoneyKind()]
