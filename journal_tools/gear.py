"""Facts of single kinds of equipment: light, skimming, media."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from journal_tools.kinds import Date, Number, Text, TimeOfDay, mistake
from journal_tools.quantities import Flow, Length, Measured, Percent, Period, SmallMass, Volume
from journal_tools.records import Record
from journal_tools.units import Quantity

_Ramp = Annotated[Quantity, Measured("period", "min", "", 0, 0.5)]

LIGHT_LEVEL = Field(ge=0, le=3000)


class Acclimation(Record):
    """A slow start of a light, in shares of its plateau."""

    start: Date
    days: Number = Field(gt=0, le=365)
    from_share: Percent = Field(description="Where it begins, in percent of the plateau.")


class Lighting(Record):
    """A light's day, and what was measured below it."""

    on: TimeOfDay
    off: TimeOfDay
    ramp: _Ramp | None = Field(None, description="How long it rises and falls, inside on to off.")
    shape: Literal["linear", "half sine"] = Field(
        "linear", description="How it rises and falls; without 'ramp' a half sine has no plateau."
    )
    par: dict[Text, Annotated[Number, LIGHT_LEVEL]] = Field(
        default_factory=dict,
        description="µmol/m²/s by place, measured with this light at its brightest.",
    )
    height: Length | None = Field(None, description="Lamp above the water.")
    spectrum: dict[Text, Annotated[Number, Field(ge=0, le=100)]] = Field(
        default_factory=dict, description="Share of the light by colour, in percent, if known."
    )
    acclimation: Acclimation | None = None

    @model_validator(mode="after")
    def _possible_day(self) -> Self:
        on, off = (t.hour * 60 + t.minute for t in (self.on, self.off))
        minutes = (off - on) % 1440 or 1440
        if self.ramp is not None and 2 * self.ramp.value * 1440 > minutes + 1e-6:
            what = f"Two ramps of '{self.ramp.said}' do not fit between {self.on:%H:%M} and "
            what += f"{self.off:%H:%M}."
            raise mistake("light-day", what, "Write a shorter ramp, or the true times.")
        if sum(self.spectrum.values()) > 100.5:
            what = "The shares of the spectrum add up to more than 100 percent."
            raise mistake("spectrum", what, "Write each colour's share of the whole.")
        return self


class Skimming(Record):
    """What a skimmer is rated for."""

    rated_volume: Volume | None = Field(None, description="The largest tank its box names.")
    air: Flow | None = Field(None, description="Air that it draws.")


class Media(Record):
    """Something in a filter that is used up."""

    what: Text = Field(description="activated carbon, phosphate remover, floss, …")
    mass: SmallMass | None = None
    volume: Volume | None = None
    change_every: Period | None = None
    price: Number | None = Field(None, ge=0, description="Of one filling.")
