"""The kinds of field without a unit: dates, times, texts, plain numbers and money.

Each kind reads what a person writes, gives a mistake that says what to write instead, and
describes itself to an editor by a JSON schema.
"""

from __future__ import annotations

import datetime as dt
import re
from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator, GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic_core import PydanticCustomError, core_schema

from journal_tools.problems import excerpt
from journal_tools.units import (
    QuantityError,
    decimal_number,
)


def mistake(code: str, what: str, hint: str) -> PydanticCustomError:
    """Give a validation error that carries a problem's code, sentence and hint."""
    return PydanticCustomError("journal", "{what}", {"code": code, "what": what, "hint": hint})


def with_point(written: Any) -> Any:
    """Read ``0,31`` as 0.31; what is no number at all is left for the next check to refuse."""
    if isinstance(written, bool):
        what = f"'{as_word(written)}' is not a number."
        raise mistake("not-a-number", what, "Write a number, without its unit.")
    if isinstance(written, str) and re.fullmatch(r"\s*[-+]?\d*,\d+\s*", written):
        try:
            return decimal_number(written.strip(), written)
        except QuantityError as error:
            raise mistake(error.code, error.what, error.hint) from error
    return written


def as_word(written: Any) -> str:
    """Give a value as it was written: YAML has made true of the word."""
    return str(written).lower() if isinstance(written, bool) else str(written)


Number = Annotated[float, BeforeValidator(with_point)]
"""A number that has no unit of its own, or always the same one."""


Whole = Annotated[int, BeforeValidator(with_point)]
"""A count."""


class Kind(ABC):
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


FIRST_YEAR, LAST_YEAR = 1950, 2100
"""Dates outside are slips of the finger; year 1 would not even survive a change of time zone."""


@dataclass(frozen=True, slots=True)
class _DateKind(Kind):
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
class _TimeKind(Kind):
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
class _TextKind(Kind):
    """Text; a number or yes/no word that YAML read as such is taken as it was meant."""

    longest: int = 200

    def read(self, written: Any, info: ValidationInfo) -> str:
        if written is None or isinstance(written, dict | list):
            raise mistake(
                "not-text", "Text is wanted here.", "Write a few words, in quotes if need be."
            )
        text = as_word(written).strip()
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
class _MoneyKind(Kind):
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
