"""The parts of the system in a profile: vessels, what fills them, plumbing and equipment."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from typing import Annotated, Literal, Self, get_args

from pydantic import AfterValidator, Field, field_validator, model_validator

from journal_tools.gear import Lighting, Media, Skimming
from journal_tools.kinds import Date, Money, Number, Text, Whole, mistake
from journal_tools.quantities import (
    Flow,
    Height,
    Length,
    Mass,
    Measured,
    Period,
    Power,
    Temperature,
    Thickness,
    Volume,
)
from journal_tools.records import OneOrMany, Record
from journal_tools.science.flow import hydraulics
from journal_tools.units import Quantity

# What science refuses is refused here, where the line of the profile can be named.
_Bore = Annotated[Quantity, Measured("length", "mm", "in", 0.1, 100)]


_NetVolume = Annotated[Quantity, Measured("volume", "L", "gal", 0.1, 1e6)]


_BedVolume = Annotated[Quantity, Measured("volume", "L", "gal", 0, 1e5)]


_SHAPES: dict[str, tuple[str, ...]] = {
    "rectangle": ("length", "width", "water_height"),
    "cylinder": ("diameter", "water_height"),
    "bow_front": ("length", "width", "bow", "water_height"),
    "regular_polygon": ("sides", "side_length", "water_height"),
    "stated": ("volume",),
}


class Section(Record):
    """A part of a sump, between two of its walls."""

    name: Text
    length: Length = Field(description="Inside, left to right.")
    water_height: Length | None = Field(None, description="If other than the sump's.")


class Vessel(Record):
    """A container that holds water of the system, by its inside measures."""

    name: Text = Field(description="display, sump, reservoir, … or your own word.")
    role: Literal["display", "sump", "other"] | None = Field(
        None, description="Where the name does not say it; the first vessel is the display."
    )
    shape: Literal["rectangle", "cylinder", "bow_front", "regular_polygon", "stated"] = "rectangle"
    length: Length | None = Field(None, description="Inside, left to right (the chord of a bow).")
    width: Length | None = Field(None, description="Inside, front to back (at the side of a bow).")
    water_height: Length | None = Field(None, description="Inside bottom to the water line.")
    height: Length | None = Field(None, description="Inside bottom to the upper edge.")
    diameter: Length | None = None
    bow: Length | None = Field(None, description="How far the front bows out beyond the sides.")
    sides: Whole | None = Field(None, ge=3, le=24)
    side_length: Length | None = None
    volume: Volume | None = Field(None, description="Water in it, where you measured that.")
    glass_thickness: Thickness | None = None
    rim: Literal["rimless", "rim", "braced"] | None = None
    material: Literal["glass", "acrylic"] = "glass"
    drains_down: Length | None = Field(
        None, description="Of a display: how far its water falls when the return pump stops."
    )
    weir: Length | None = Field(None, description="Length of the overflow's edge.")
    sections: list[Section] = Field(default_factory=list, description="Of a sump, left to right.")

    @model_validator(mode="after")
    def _measures_of_shape(self) -> Self:
        missing = [key for key in _SHAPES[self.shape] if getattr(self, key) is None]
        if missing:
            what = f"A vessel of shape '{self.shape}' also needs {', '.join(missing)}."
            raise mistake(
                "vessel-measures", what, "Measure inside the glass, up to the water line."
            )
        return self

    @model_validator(mode="after")
    def _possible_measures(self) -> Self:
        for key in _SHAPES[self.shape]:
            measure, most = getattr(self, key), 1e6 if key == "volume" else 2000
            if isinstance(measure, Quantity) and key != "bow" and not 0.1 <= measure.value <= most:
                what = f"A vessel with {key.replace('_', ' ')} '{measure.text}' cannot be."
                raise mistake("impossible-value", what, "Check the number and its unit.")
        if self.shape == "regular_polygon" and self.sides and self.side_length:
            across_cm = self.side_length.value / math.sin(math.pi / self.sides)
            if across_cm > 2000:
                what = f"{self.sides} sides of '{self.side_length.text}' cannot be."
                raise mistake("impossible-value", what, "Check the number and its unit.")
        bowed = self.shape == "bow_front"
        if bowed and self.bow and self.length and self.bow.value > self.length.value / 2:
            what = f"A front of '{self.length.text}' cannot bow out by '{self.bow.text}'."
            hint = "Measure from the straight line between its ends; at most half its length."
            raise mistake("impossible-value", what, hint)
        return self


def vessel_in_role(vessels: Sequence[Vessel], role: Literal["display", "sump"]) -> Vessel | None:
    """Give the display or the sump: the vessel that says so, else the one of that name.

    A system whose vessels say nothing has its first one as the display.
    """
    told = [vessel for vessel in vessels if vessel.role == role]
    named = [v for v in vessels if v.role is None and role in v.name.casefold()]
    first = [v for v in vessels[:1] if role == "display" and v.role is None]
    return next(iter([*told, *named, *first]), None)


class Rock(Record):
    """Rock in the system, by dry mass or by the water that it displaces."""

    name: Text = "rock"
    start: Literal["dry", "live"] | None = Field(None, description="How it came.")
    mass: Mass | None = None
    displaces: Volume | None = Field(None, description="If you measured it.")

    @model_validator(mode="after")
    def _mass_or_volume(self) -> Self:
        if (self.mass is None) == (self.displaces is None):
            raise mistake("rock", "Rock needs one of mass and displaces.", "Write 'mass: 20 kg'.")
        return self


class Sand(Record):
    """A bed of sand or gravel, by dry mass or by bed volume."""

    name: Text = "sand"
    mass: Mass | None = None
    bed_volume: _BedVolume | None = None
    grain: Thickness | None = Field(None, description="Usual grain diameter.")

    @model_validator(mode="after")
    def _mass_or_volume(self) -> Self:
        if (self.mass is None) == (self.bed_volume is None):
            raise mistake("sand", "Sand needs one of mass and bed_volume.", "Write 'mass: 16 kg'.")
        return self


class Fill(Record):
    """What takes the place of water, and a measured net volume where there is one."""

    rock: Annotated[list[Rock], OneOrMany()] = Field(default_factory=list)
    sand: Annotated[list[Sand], OneOrMany()] = Field(default_factory=list)
    measured_volume: _NetVolume | None = Field(
        None, description="Net water measured at filling, with its error: '412 ± 8 L'."
    )


def _known_fittings(fittings: dict[str, int]) -> dict[str, int]:
    for name in fittings:
        if name not in hydraulics.FITTINGS:
            hint = f"Known: {', '.join(hydraulics.FITTINGS)}."
            raise mistake("unknown-fitting", f"The fitting '{name}' is not known.", hint)
    return fittings


Fittings = Annotated[
    dict[Text, Annotated[Whole, Field(ge=0, le=100)]], AfterValidator(_known_fittings)
]
"""How many of each fitting, by the names that hydraulics knows."""


class Pipe(Record):
    """A straight piece of the return line."""

    length: Height
    bore: _Bore = Field(description="Inner diameter.")
    fittings: Fittings = Field(default_factory=dict, description="In this piece, of its bore.")


class CurvePoint(Record):
    """A point of a pump curve."""

    flow: Flow
    head: Height


class Plumbing(Record):
    """The return line from pump to tank."""

    static_head: Height = Field(description="Sump water surface to display water surface.")
    pipes: Annotated[list[Pipe], OneOrMany()] = Field(min_length=1)
    fittings: Fittings = Field(
        default_factory=dict, description="Where all pipes have one bore; else write them there."
    )

    @model_validator(mode="after")
    def _one_bore_for_shared_fittings(self) -> Self:
        if self.fittings and len({pipe.bore.value for pipe in self.pipes}) > 1:
            what = "The pipes differ in bore, so it matters which one the fittings sit in."
            hint = "Write them at their pipe: {length: 2 m, bore: 25 mm, fittings: {elbow_90: 4}}."
            raise mistake("fittings-of-which-pipe", what, hint)
        return self


Kind = Literal[
    "return pump", "circulation pump", "skimmer", "heater", "chiller", "fan", "light", "top-off",
    "doser", "controller", "reactor", "filter", "steriliser", "meter", "vessel", "stand",
    "battery backup", "other",
]  # fmt: skip

KINDS: tuple[Kind, ...] = get_args(Kind)
"""Every kind of equipment."""


class Equipment(Record):
    """One piece of equipment."""

    name: Text = Field(description="Your own name for it; entries use the same.")
    kind: Kind = "other"
    installed: Date | None = None
    removed: Date | None = None
    planned: bool = False
    choice: Text | None = Field(
        None, description="Planned pieces with the same word here are compared with each other."
    )
    replaces: Text | None = Field(None, description="The piece whose place it took.")
    bought: Literal["new", "second-hand"] | None = None
    price: Money | None = None
    lasts: Period | None = Field(None, description="How long you expect to use it.")
    power: Power | None = None
    hours_per_day: Number = Field(24, ge=0, le=24)
    rated_flow: Flow | None = Field(None, description="The figure on the box.")
    curve: list[CurvePoint] = Field(default_factory=list, description="Flow at each head.")
    plumbing: Plumbing | None = None
    light: Lighting | None = None
    skimming: Skimming | None = None
    media: Media | None = None
    cooling: Power | None = Field(None, description="Heat that a chiller takes out.")
    set_point: Temperature | None = Field(None, description="Of a heater, chiller or fan.")
    controlled: bool = Field(False, description="true: a second device can switch it off.")
    reservoir: Volume | None = Field(None, description="Of a top-off: what its tank holds.")
    stored_energy: Number | None = Field(
        None, gt=0, le=1e5, description="Of a battery, in watt-hours."
    )
    photo: Text | None = Field(None, description="Name in the photos folder.")
    place: Text | None = Field(
        None, description="Where it sits: a vessel or a section of the sump, by its name."
    )
    service_every: Period | None = None
    note: Text | None = None

    def planned_on(self, day: dt.date) -> bool:
        """Tell whether it is still to come on a day."""
        return self.planned or (self.installed is not None and self.installed > day)

    @field_validator("curve")
    @classmethod
    def _falling(cls, points: list[CurvePoint]) -> list[CurvePoint]:
        if len(points) < 2:
            return points
        by_flow = sorted((point.flow.value, point.head.value / 100) for point in points)
        try:
            hydraulics.PumpCurve(tuple(by_flow))
        except ValueError as error:
            hint = "Write the flow at each height; the higher the water goes, the less it is."
            raise mistake("pump-curve", f"No pump works like that: {error}.", hint) from error
        return points


class Stand(Record):
    """What carries the tank."""

    rated_load: Mass | None = Field(None, description="As its maker states.")
    mass: Mass | None = Field(None, description="Of the stand itself.")
    length: Length | None = None
    width: Length | None = None
    feet: Whole | None = Field(None, ge=1, le=32)
