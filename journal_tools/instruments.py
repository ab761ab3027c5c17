"""The instruments of a profile, and what a calibration of one showed."""

from __future__ import annotations

from types import MappingProxyType
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from journal_tools.kinds import Number, Text, TimeOfDay, mistake
from journal_tools.parameters import PARAMETERS
from journal_tools.quantities import Period, ReadingOf
from journal_tools.records import OneOrMany, Record, keyed_record
from journal_tools.units import Quantity

InstrumentKind = Literal[
    "refractometer", "hydrometer", "conductivity meter", "pH meter", "thermometer",
    "oxygen meter", "other",
]  # fmt: skip

MEASURES: MappingProxyType[str, str] = MappingProxyType({
    "refractometer": "salinity",
    "hydrometer": "salinity",
    "conductivity meter": "salinity",
    "pH meter": "ph",
    "thermometer": "temperature",
    "oxygen meter": "oxygen",
})  # fmt: skip
"""The parameter that each kind of instrument measures."""


class Instrument(Record):
    """Something that measures, with what must be known to read it rightly."""

    name: Text = Field(description="Your own name for it; readings say it as their 'kit'.")
    kind: InstrumentKind
    scale: Literal["seawater", "brine"] | None = Field(
        None, description="Of a refractometer: what its scale was made for. Brine is table salt."
    )
    set_with: Literal["pure water", "35 standard"] | None = Field(
        None, description="What a refractometer was set with."
    )
    reference: Literal["25/25", "20/20", "60/60F", "25/20", "20/4", "25/4"] | None = Field(
        None, description="Temperatures that a specific gravity scale is made for."
    )
    corrects_temperature: bool = Field(
        True, description="Of a refractometer: whether it allows for its temperature by itself."
    )
    salinity_setting: Annotated[Quantity, ReadingOf("salinity", change=True)] | None = Field(
        None, description="Of an oxygen meter: the salinity that it was told."
    )
    calibrate_every: Period | None = None
    note: Text | None = None

    @model_validator(mode="after")
    def _facts_of_kind(self) -> Self:
        for key, kinds in _ONLY_OF.items():
            if getattr(self, key) is not None and self.kind not in kinds:
                what = f"'{key}' says nothing about a {self.kind}."
                raise mistake("instrument", what, f"It belongs to a {' or '.join(kinds)}.")
        return self


_ONLY_OF = {
    "scale": ("refractometer",),
    "set_with": ("refractometer",),
    "reference": ("refractometer", "hydrometer"),
    "salinity_setting": ("oxygen meter",),
}


class Checkpoint(Record):
    """One comparison of an instrument with something known."""

    standard: Quantity
    shown: Quantity | None = Field(None, description="What the instrument showed for it.")
    millivolts: Number | None = Field(
        None, ge=-600, le=600, description="What an electrode gave, instead of 'shown'."
    )

    @model_validator(mode="after")
    def _showed_something(self) -> Self:
        if (self.shown is None) == (self.millivolts is None):
            what = "A checkpoint needs one of 'shown' and 'millivolts'."
            raise mistake("checkpoint", what, "Write for example '{standard: 35, shown: 36.2}'.")
        return self


def _checkpoints(name: str) -> Any:
    kind = Annotated[Quantity, ReadingOf(name, standard=True)]
    model = keyed_record(
        f"{name.title().replace('_', '')}Checkpoint",
        {"standard": (kind, ...), "shown": (kind | None, None)},
        Checkpoint,
    )
    return Annotated[list[model], OneOrMany()]  # type: ignore[valid-type]


class _Calibration(Record):
    instrument: Text = Field(description="Its name in tank.yml.")
    adjusted: bool = Field(True, description="false if it was only compared, not set right.")
    time: TimeOfDay | None = None
    note: Text | None = None

    @model_validator(mode="after")
    def _some_points(self) -> Self:
        if not any(getattr(self, name) for name in set(MEASURES.values())):
            what = f"The calibration of '{self.instrument}' says nothing of what was compared."
            hint = "Write for example 'salinity: {standard: 35, shown: 36.2}'."
            raise mistake("calibration", what, hint)
        return self


Calibration: Any = keyed_record(
    "Calibration",
    {
        name: (
            _checkpoints(name),
            Field(default_factory=list, description=f"{PARAMETERS[name].label} compared."),
        )
        for name in dict.fromkeys(MEASURES.values())
    },
    _Calibration,
)
"""An instrument compared with standards, and set right unless it says otherwise."""


class Room(Record):
    """The room around the tank, at its extremes over the year."""

    coldest: Annotated[Quantity, ReadingOf("room_temperature")] | None = None
    warmest: Annotated[Quantity, ReadingOf("room_temperature")] | None = None
    humidity: Annotated[Quantity, ReadingOf("humidity")] | None = None
    carbon_dioxide: Annotated[Quantity, ReadingOf("room_co2")] | None = None

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.coldest and self.warmest and self.coldest.value > self.warmest.value:
            what = f"The room is coldest at '{self.coldest.said}' and warmest below that."
            raise mistake("room", what, "Swap 'coldest' and 'warmest'.")
        return self
