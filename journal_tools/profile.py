"""The model of the tank profile, ``tank.yml``."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal, Self
from zoneinfo import ZoneInfo, available_timezones

from pydantic import Field, ValidationInfo, field_validator, model_validator

from journal_tools.parameters import PARAMETERS
from journal_tools.quantities import (
    BandOf,
    Date,
    DoseAmount,
    Flow,
    Height,
    Length,
    LongText,
    Mass,
    Measured,
    Money,
    Number,
    Percent,
    Period,
    Power,
    ReadingOf,
    SmallMass,
    Text,
    Thickness,
    Volume,
    Whole,
    mistake,
)
from journal_tools.records import OneOrMany, Record, keyed_record
from journal_tools.science import hydraulics, stoichiometry
from journal_tools.units import DIMENSIONS, Quantity

# What science refuses is refused here, where the line of the profile can be named.
_Bore = Annotated[Quantity, Measured("length", "mm", "in", 0.1, 100)]
_NetVolume = Annotated[Quantity, Measured("volume", "L", "gal", 0.1, 1e6)]
_SolutionVolume = Annotated[Quantity, Measured("volume", "L", "gal", 0.001, 1e6)]
_BedVolume = Annotated[Quantity, Measured("volume", "L", "gal", 0, 1e5)]

_SHAPES: dict[str, tuple[str, ...]] = {
    "rectangle": ("length", "width", "water_height"),
    "cylinder": ("diameter", "water_height"),
    "bow_front": ("length", "width", "bow", "water_height"),
    "regular_polygon": ("sides", "side_length", "water_height"),
    "stated": ("volume",),
}


class Vessel(Record):
    """A container that holds water of the system, by its inside measures."""

    name: Text = Field(description="display, sump, reservoir, … or your own word.")
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
        bowed = self.shape == "bow_front"
        if bowed and self.bow and self.length and self.bow.value > self.length.value / 2:
            what = f"A front of '{self.length.text}' cannot bow out by '{self.bow.text}'."
            hint = "Measure from the straight line between its ends; at most half its length."
            raise mistake("impossible-value", what, hint)
        return self


class Rock(Record):
    """Rock in the system, by dry mass or by the water that it displaces."""

    name: Text = "rock"
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


class Pipe(Record):
    """A straight piece of the return line."""

    length: Height
    bore: _Bore = Field(description="Inner diameter.")


class CurvePoint(Record):
    """A point of a pump curve."""

    flow: Flow
    head: Height


class Plumbing(Record):
    """The return line from pump to tank."""

    static_head: Height = Field(description="Sump water surface to display water surface.")
    pipes: Annotated[list[Pipe], OneOrMany()] = Field(min_length=1)
    fittings: dict[Text, Annotated[Whole, Field(ge=0, le=100)]] = Field(default_factory=dict)

    @field_validator("fittings")
    @classmethod
    def _known_fittings(cls, fittings: dict[str, int]) -> dict[str, int]:
        for name in fittings:
            if name not in hydraulics.FITTINGS:
                hint = f"Known: {', '.join(hydraulics.FITTINGS)}."
                raise mistake("unknown-fitting", f"The fitting '{name}' is not known.", hint)
        return fittings


class Equipment(Record):
    """One piece of equipment."""

    name: Text = Field(description="Your own name for it; entries use the same.")
    kind: Literal[
        "return pump", "circulation pump", "skimmer", "heater", "chiller", "fan", "light",
        "top-off", "doser", "controller", "reactor", "filter", "steriliser", "meter", "vessel",
        "stand", "battery backup", "other",
    ] = "other"  # fmt: skip
    installed: Date | None = None
    removed: Date | None = None
    planned: bool = False
    price: Money | None = None
    power: Power | None = None
    hours_per_day: Number = Field(24, ge=0, le=24)
    rated_flow: Flow | None = Field(None, description="The figure on the box.")
    curve: list[CurvePoint] = Field(default_factory=list, description="Flow at each head.")
    plumbing: Plumbing | None = None
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


_RAISABLE = ("alkalinity", "calcium", "magnesium", "nitrate", "phosphate", "potassium", "strontium")
Raises: Any = keyed_record(
    "Raises",
    {n: (Annotated[Quantity, ReadingOf(n, change=True)] | None, None) for n in _RAISABLE},
)
"""By how much a stated dose lifts each parameter."""


class Potency(Record):
    """What a measured dose does: ``by`` of the product in ``water`` lifts ``raises``."""

    by: DoseAmount
    water: Volume
    raises: Raises


class Supplement(Record):
    """Something that is dosed: weighed salts in water, or a stated potency."""

    name: Text
    salts: dict[Text, SmallMass] = Field(
        default_factory=dict, description="Grams of each salt, by formula: {NaHCO3: 80 g}."
    )
    made_up_to: _SolutionVolume | None = Field(None, description="Volume of the finished solution.")
    potency: Potency | None = None
    error: Percent | None = Field(None, description="How far the strength may be off (1 sd).")
    bottle: Volume | None = None
    price: Money | None = None

    @model_validator(mode="after")
    def _one_recipe(self) -> Self:
        if bool(self.salts) and self.potency is not None:
            what = f"'{self.name}' has both salts and a potency."
            raise mistake("supplement", what, "Keep the one that you trust more.")
        return self

    @field_validator("salts")
    @classmethod
    def _known_salts(cls, salts: dict[str, Quantity]) -> dict[str, Quantity]:
        known = stoichiometry.SALTS
        written = {name: name.replace("*", "·").replace(".", "·") for name in salts}
        for name, formula in written.items():
            if formula not in known:
                what = f"The salt '{name}' is not known by that formula."
                raise mistake("unknown-salt", what, f"Known: {', '.join(known)}.")
        return {written[name]: mass for name, mass in salts.items()}


FreshValues: Any = keyed_record(
    "FreshValues",
    {name: (Annotated[Quantity, ReadingOf(name)] | None, None) for name in PARAMETERS},
)
"""What new salt water measures, by parameter."""


class SaltMix(Record):
    """The salt used for new water."""

    name: Text
    grams_per_litre: Number | None = Field(None, gt=0, lt=100, description="For 35 psu.")
    fresh: FreshValues = Field(description="What a fresh batch measures.")
    price: Money | None = None


class Test(Record):
    """What a test can resolve, and how well it repeats, in the parameter's unit."""

    __test__ = False  # pytest would take the name for a test class
    kit: Text | None = None
    resolution: Number | None = Field(None, ge=0)
    repeatability: Number | None = Field(None, ge=0, description="One standard deviation.")
    every: Period | None = Field(None, description="How often you mean to test.")


Tests: Any = keyed_record("Tests", dict.fromkeys(PARAMETERS, (Test | None, None)))
"""One :class:`Test` for each parameter that is tested."""


Targets: Any = keyed_record(
    "Targets", {name: (Annotated[Any, BandOf(name)] | None, None) for name in PARAMETERS}
)
"""A target band by parameter."""


class DatedTargets(Record):
    """Target bands that hold from a day on, for a later stage of the tank."""

    start: Date
    stage: Text | None = Field(None, description="Own word: maturing, soft corals, mixed reef, …")
    bands: Targets


class Animal(Record):
    """A kind of animal kept, so that entries need only its name."""

    name: Text
    species: Text | None = None
    group: Literal["fish", "coral", "invertebrate", "plant", "other"] = "other"
    adult_length: Length | None = None
    mass_a: Number | None = Field(None, gt=0, lt=1, description="a of W = a L^b, in g and cm.")
    mass_b: Number | None = Field(None, gt=2, lt=4, description="b of W = a L^b.")


class UpkeepTask(Record):
    """A task that comes again."""

    task: Text
    every: Period


class Stand(Record):
    """What carries the tank."""

    rated_load: Mass | None = Field(None, description="As its maker states.")
    length: Length | None = None
    width: Length | None = None
    feet: Whole | None = Field(None, ge=1, le=32)


class Privacy(Record):
    """What stays out of the published site."""

    show_costs: bool = True
    show_keeper: bool = True


class JournalUnits(Record):
    """Units of numbers that stand without one."""

    system: Literal["metric", "us"] = "metric"
    temperature: Text | None = None
    volume: Text | None = None
    length: Text | None = None
    salinity: Text | None = None
    alkalinity: Text | None = None
    nitrate: Text | None = None
    nitrite: Text | None = None
    phosphate: Text | None = None
    ammonia: Text | None = None

    @field_validator(*DIMENSIONS, check_fields=False)
    @classmethod
    def _known(cls, spelling: str | None, info: ValidationInfo) -> str | None:
        dimension = DIMENSIONS[str(info.field_name)]
        if spelling is not None and dimension.find(spelling) is None:
            what = f"'{spelling}' is no unit of {dimension.name}."
            raise mistake("unknown-unit", what, f"Use for example '{dimension.canonical}'.")
        return spelling

    def chosen(self) -> dict[str, str]:
        """Give the units that the profile names, by dimension."""
        names = (n for n in type(self).model_fields if n != "system")
        return {name: unit for name in names if (unit := getattr(self, name))}


class Profile(Record):
    """One tank: what it is made of and how its keeper means to run it."""

    name: Text = Field(description="What you call the tank.")
    keeper: Text | None = Field(None, description="Your name as the site shows it.")
    about: LongText | None = Field(None, description="A paragraph for visitors, in Markdown.")
    start: Date = Field(description="The day that counts as day 1.")
    time_zone: Text = Field("UTC", description="IANA name, such as Europe/Berlin.")
    units: JournalUnits = Field(default_factory=JournalUnits)
    currency: Text = Field("EUR", description="Three letters (ISO 4217).")
    tariff: Number | None = Field(None, ge=0, le=100, description="Price of a kilowatt-hour.")
    vessels: Annotated[list[Vessel], OneOrMany()] = Field(default_factory=list)
    fill: Fill = Fill()
    stand: Stand | None = None
    equipment: list[Equipment] = Field(default_factory=list)
    supplements: list[Supplement] = Field(default_factory=list)
    salt_mix: SaltMix | None = None
    tests: Tests | None = None
    targets: Targets | None = Field(None, description="Bands from the first day on.")
    later_targets: list[DatedTargets] = Field(default_factory=list)
    animals: list[Animal] = Field(default_factory=list)
    upkeep: list[UpkeepTask] = Field(default_factory=list)
    privacy: Privacy = Field(default_factory=Privacy)

    @field_validator("time_zone")
    @classmethod
    def _known_zone(cls, name: str) -> str:
        if name not in available_timezones():
            hint = "Write an IANA name, such as Europe/Berlin or America/Chicago."
            raise mistake("time-zone", f"'{name}' is no time zone.", hint)
        return name

    @field_validator("currency")
    @classmethod
    def _three_letters(cls, code: str) -> str:
        if len(code) != 3 or not code.isalpha():
            raise mistake("currency", f"'{code}' is no currency code.", "Write EUR, USD, GBP, …")
        return code.upper()

    @property
    def zone(self) -> ZoneInfo:
        """The keeper's time zone."""
        return ZoneInfo(self.time_zone)
