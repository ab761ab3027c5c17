"""The model of one dated log entry."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from journal_tools.instruments import Calibration
from journal_tools.kinds import Date, LongText, Money, Number, Text, TimeOfDay, Whole, mistake
from journal_tools.parameters import PARAMETERS
from journal_tools.quantities import (
    DoseAmount,
    Length,
    ReadingOf,
    SmallMass,
    Temperature,
    Volume,
)
from journal_tools.records import OneOrMany, Record, ShortForm, keyed_record
from journal_tools.units import Quantity

Timing = Literal["before dose", "after dose", "before change", "after change"]


class Reading(Record):
    """One test result; ``value`` has the parameter's own kind in each subclass."""

    value: Quantity
    error: Number | None = Field(
        None, ge=0, description="One standard deviation, in the journal's unit of this parameter."
    )
    kit: Text | None = Field(None, description="Which test made it, in your own words.")
    when: Timing | None = Field(None, description="Before or after a dose or change of that day.")
    time: TimeOfDay | None = Field(None, description="If other than the entry's time.")
    sample_temperature: Temperature | None = Field(
        None, description="Of what was read, where a hydrometer or refractometer cares."
    )


def _reading_field(name: str) -> Any:
    model = keyed_record(
        f"{name.title().replace('_', '')}Reading",
        {"value": (Annotated[Quantity, ReadingOf(name)], ...)},
        Reading,
    )
    return Annotated[list[Annotated[model, ShortForm("value")]], OneOrMany()]  # type: ignore[valid-type]


Readings: Any = keyed_record(
    "Readings",
    {
        p.name: (
            _reading_field(p.name),
            Field(default_factory=list, description=f"{p.label}, {p.unit}."),
        )
        for p in PARAMETERS.values()
    },
)
"""Test results by parameter, each a list of :class:`Reading`."""


class Dose(Record):
    """Something measured out into the tank once."""

    what: Text = Field(description="Name of the supplement, as in tank.yml.")
    amount: DoseAmount
    time: TimeOfDay | None = None
    note: Text | None = None


class DosingPlan(Record):
    """A daily dose that holds until the next plan of the same supplement."""

    what: Text = Field(description="Name of the supplement, as in tank.yml.")
    per_day: DoseAmount | None = Field(None, description="Amount a day, in all.")
    time: TimeOfDay | None = Field(
        None, description="When it goes in at one go; left out, it is spread over the day."
    )
    start: Date | None = Field(None, description="First day; the entry's date if left out.")
    until: Date | None = Field(None, description="Last day, if it is known.")
    stopped: bool = Field(False, description="true ends the plan with this entry's date.")

    @model_validator(mode="after")
    def _amount_or_stop(self) -> Self:
        if self.stopped == (self.per_day is not None):
            hint = "Write 'per_day: 24 ml', or 'stopped: true'."
            raise mistake("dosing-plan", "A dosing plan needs one of per_day and stopped.", hint)
        return self


class WaterChange(Record):
    """Tank water taken out and replaced by new salt water."""

    volume: Volume
    fresh: Readings | None = Field(None, description="What the new water measured.")
    salinity: Annotated[Quantity, ReadingOf("salinity")] | None = Field(
        None, description="Salinity of the new water."
    )
    time: TimeOfDay | None = None


class TopOff(Record):
    """Evaporated water replaced by fresh water since the last such entry."""

    volume: Volume
    what: Text | None = Field(None, description="'limewater' or another supplement, if not plain.")


class Stock(Record):
    """How much of a supplement is there, counted or filled up that day."""

    what: Text = Field(description="Name of the supplement, as in tank.yml.")
    left: DoseAmount


class LivestockEvent(Record):
    """An animal that came, went, was measured or was lost."""

    added: Text | None = None
    lost: Text | None = None
    removed: Text | None = Field(None, description="Given away or moved, alive.")
    measured: Text | None = None
    count: Whole = Field(1, ge=1, le=10_000)
    length: Length | None = Field(
        None, description="Total length of one animal, or width of a coral."
    )
    why: Text | None = None
    price: Money | None = None
    note: Text | None = None

    @model_validator(mode="after")
    def _one_event(self) -> Self:
        _exactly_one(self, _LIVESTOCK_EVENTS, "{added: clownfish, count: 2}")
        return self

    @property
    def event(self) -> str:
        """Which of the four things happened."""
        return next(key for key in _LIVESTOCK_EVENTS if getattr(self, key) is not None)

    @property
    def name(self) -> str:
        """Name of the animal as written."""
        return str(getattr(self, self.event))


class EquipmentEvent(Record):
    """A piece of equipment that was installed, changed, serviced, removed or failed."""

    installed: Text | None = None
    changed: Text | None = None
    serviced: Text | None = None
    removed: Text | None = None
    failed: Text | None = None
    to: Text | dict[str, Any] | None = Field(None, description="New setting, of 'changed'.")
    price: Money | None = None
    note: Text | None = None

    @model_validator(mode="after")
    def _one_event(self) -> Self:
        _exactly_one(self, _EQUIPMENT_EVENTS, "{installed: return pump}")
        return self

    @property
    def event(self) -> str:
        """Which of the five things happened."""
        return next(key for key in _EQUIPMENT_EVENTS if getattr(self, key) is not None)

    @property
    def name(self) -> str:
        """Name of the piece as written."""
        return str(getattr(self, self.event))


_LIVESTOCK_EVENTS = ("added", "lost", "removed", "measured")
_EQUIPMENT_EVENTS = ("installed", "changed", "serviced", "removed", "failed")


def _exactly_one(record: Record, keys: tuple[str, ...], example: str) -> None:
    given = [key for key in keys if getattr(record, key) is not None]
    if len(given) != 1:
        what = f"Exactly one of {', '.join(keys)} is needed here, not {len(given)}."
        raise mistake("event-kind", what, f"Write for example '{example}'.")


class UpkeepDone(Record):
    """A task that was done."""

    task: Text
    note: Text | None = None


class Feeding(Record):
    """Food given that day."""

    what: Text
    amount: SmallMass | None = Field(None, description="Mass as given, wet or dry.")


class Cost(Record):
    """Money spent."""

    what: Text
    amount: Money
    category: Text = Field("other", description="Own word: salt, food, equipment, power, …")


class PhotoUse(Record):
    """A picture of the photos folder shown with the entry."""

    file: Text = Field(description="Name in the photos folder, or path inside it.")
    view: Text | None = Field(
        None, description="Same word for the same camera place: front, top, …"
    )
    caption: Text | None = None
    taken: Date | None = Field(None, description="The day it was taken, if not the entry's.")


class Entry(Record):
    """One dated entry: everything optional, at least one thing said."""

    date: Date | None = Field(None, description="Only if the file name does not begin with it.")
    time: TimeOfDay | None = Field(None, description="When it was; noon is assumed if left out.")
    title: Text | None = None
    tags: Annotated[list[Text], OneOrMany()] = Field(default_factory=list)
    milestone: Text | None = Field(None, description="A few words for the timeline.")
    draft: bool = Field(False, description="true keeps the entry off the site.")
    readings: Readings | None = None
    doses: Annotated[list[Dose], OneOrMany()] = Field(default_factory=list)
    dosing_plan: Annotated[list[DosingPlan], OneOrMany()] = Field(default_factory=list)
    stock: Annotated[list[Stock], OneOrMany()] = Field(
        default_factory=list, description="What is left of a supplement, or was filled up."
    )
    calibrations: Annotated[list[Calibration], OneOrMany()] = Field(
        default_factory=list, description="Instruments compared with standards that day."
    )
    water_change: Annotated[list[Annotated[WaterChange, ShortForm("volume")]], OneOrMany()] = Field(
        default_factory=list
    )
    top_off: Annotated[list[Annotated[TopOff, ShortForm("volume")]], OneOrMany()] = Field(
        default_factory=list
    )
    livestock: Annotated[list[LivestockEvent], OneOrMany()] = Field(default_factory=list)
    equipment: Annotated[list[EquipmentEvent], OneOrMany()] = Field(default_factory=list)
    upkeep: Annotated[list[Annotated[UpkeepDone, ShortForm("task")]], OneOrMany()] = Field(
        default_factory=list
    )
    feed: Annotated[list[Annotated[Feeding, ShortForm("what")]], OneOrMany()] = Field(
        default_factory=list
    )
    costs: Annotated[list[Cost], OneOrMany()] = Field(default_factory=list)
    photos: Annotated[list[Annotated[PhotoUse, ShortForm("file")]], OneOrMany()] = Field(
        default_factory=list
    )
    notes: LongText | None = Field(None, description="What happened, in Markdown.")
    questions: Annotated[list[Text], OneOrMany()] = Field(
        default_factory=list, description="What you would ask a more experienced keeper."
    )

    @property
    def says_something(self) -> bool:
        """Whether anything beside date, time and switches is there."""
        bare = {"date", "time", "draft", "tags"}
        return any(getattr(self, key) for key in type(self).model_fields if key not in bare)
