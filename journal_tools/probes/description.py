"""What a keeper writes of a probe's file: what its columns hold, in which unit, by which clock."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self
from zoneinfo import available_timezones

from pydantic import Field, field_validator, model_validator

from journal_tools.kinds import Number, Text, mistake
from journal_tools.parameters import PARAMETERS, Parameter
from journal_tools.problems import Problem
from journal_tools.profile import Profile
from journal_tools.read import Document
from journal_tools.records import OneOrMany, Record, ShortForm, keyed_record
from journal_tools.units import DIMENSIONS, Unit
from journal_tools.validate import validate

LOCAL = "local"


class TimeColumn(Record):
    """The column of moments, and the clock that wrote it."""

    column: Text = Field(description="Heading of the column.")
    format: Text | None = Field(
        None, description="Needed where times are not like 2026-03-14 18:40: '%d.%m.%Y %H:%M'."
    )
    zone: Text = Field(
        LOCAL, description="local (the journal's, with summer time), UTC, or an IANA name."
    )
    unit: Literal["s", "ms"] | None = Field(
        None, description="For numbers: seconds or milliseconds since 1970-01-01 UTC."
    )

    @field_validator("zone")
    @classmethod
    def _known_zone(cls, name: str) -> str:
        if name not in (LOCAL, *available_timezones()):
            hint = "Write local, UTC, or an IANA name such as Europe/Berlin."
            raise mistake("time-zone", f"'{name}' is no time zone.", hint)
        return name

    def zone_name(self, profile: Profile) -> str:
        """Give the time zone of the column."""
        return profile.time_zone if self.zone == LOCAL else self.zone


_Range = tuple[Number, Number]


class Limits(Record):
    """What values of a probe are doubted, in the unit of its column."""

    fail: _Range | None = Field(None, description="Beyond it a value is wrong and left out.")
    suspect: _Range | None = Field(None, description="Beyond it a value is doubted but kept.")
    spike: Number | None = Field(None, gt=0, description="Jump there and back in a single row.")
    rate_per_h: Number | None = Field(None, gt=0, description="Change per hour that water allows.")
    flat: Number | None = Field(None, ge=0, description="Difference that counts as no change.")
    flat_h: Number = Field(12, gt=0, le=240, description="Hours without change that are doubted.")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        for ends in (self.fail, self.suspect):
            if ends is not None and not ends[0] < ends[1]:
                what = f"The limits {ends[0]:g} and {ends[1]:g} are not in order."
                raise mistake("probe-limits", what, "Write the smaller number first: [20, 30].")
        if self.fail and self.suspect:
            (low, high), (lower, upper) = self.fail, self.suspect
            if not low <= lower < upper <= high:
                what = "The suspect limits reach beyond the fail limits."
                raise mistake("probe-limits", what, "Make 'fail' the wider of the two.")
        return self


class ProbeColumn(Record):
    """A column of values."""

    column: Text = Field(description="Heading of the column.")
    unit: Text | None = Field(None, description="Its unit, if not the journal's own.")
    instrument: Text | None = Field(None, description="Name of the instrument in tank.yml.")
    limits: Limits = Limits()


ProbeColumns: Any = keyed_record(
    "ProbeColumns",
    {n: (Annotated[ProbeColumn, ShortForm("column")] | None, None) for n in PARAMETERS},
)
"""One :class:`ProbeColumn` for each parameter in the file."""


class ProbeFile(Record):
    """A file of a probe and how to read it."""

    file: Text | None = Field(None, description="Name in the same folder; default: the same name.")
    time: Annotated[TimeColumn, ShortForm("column")]
    separator: Literal[",", ";", "|", "tab"] | None = Field(
        None, description="Between two cells; guessed if left out."
    )
    decimal: Literal[".", ","] | None = Field(None, description="Guessed if left out.")
    missing: Annotated[list[Text], OneOrMany()] = Field(
        default_factory=list, description="What stands in a cell without a value: [ERR, '---']."
    )
    columns: ProbeColumns

    @property
    def by_parameter(self) -> dict[str, ProbeColumn]:
        """The described columns by parameter, in the order of the parameter table."""
        named = ((name, getattr(self.columns, name)) for name in PARAMETERS)
        return {name: column for name, column in named if column is not None}


def read_description(
    document: Document, profile: Profile
) -> tuple[ProbeFile | None, list[Problem]]:
    """Give the description that a document holds, and what is wrong with it."""
    found, used, problems = validate(ProbeFile, document, {})
    if found is None:
        return None, problems
    problems += [
        used.problem(
            ("columns", name, "unit"),
            "unknown-unit",
            f"'{column.unit}' is no unit of {PARAMETERS[name].label}.",
            f"Use for example '{PARAMETERS[name].unit}'; until then the column is left out.",
        )
        for name, column in found.by_parameter.items()
        if unit_of(column, PARAMETERS[name], profile) is None
    ]
    if not found.by_parameter and not problems:
        hint = "Write for example 'columns: {temperature: T1}'."
        problems.append(used.problem(("columns",), "missing-key", "No column is named.", hint))
    return found, problems


def unit_of(column: ProbeColumn, parameter: Parameter, profile: Profile) -> Unit | None:
    """Give the unit of a column: its own, else the journal's; None if it is not known."""
    if column.unit is None:
        return profile.bare_units.unit_of(parameter)
    return DIMENSIONS[parameter.dimension].find(column.unit)
