"""The model of the tank profile, ``tank.yml``."""

from __future__ import annotations

from functools import cached_property
from typing import Annotated, Any, Literal, Self
from zoneinfo import ZoneInfo, available_timezones

from pydantic import Field, ValidationInfo, field_validator, model_validator

from journal_tools.instruments import Instrument, Room
from journal_tools.kinds import Date, LongText, Money, Number, Text, mistake
from journal_tools.parameters import PARAMETERS
from journal_tools.quantities import (
    BandOf,
    BareUnits,
    DoseAmount,
    Length,
    Mass,
    Measured,
    Percent,
    Period,
    ReadingOf,
    SmallMass,
    Volume,
)
from journal_tools.records import OneOrMany, Record, keyed_record
from journal_tools.science.additives import stoichiometry
from journal_tools.system import Equipment, Fill, Stand, Vessel
from journal_tools.units import DIMENSIONS, Quantity

_SolutionVolume = Annotated[Quantity, Measured("volume", "L", "gal", 0.001, 1e6)]


_Altitude = Annotated[Quantity, Measured("length", "m", "ft", 0, 5e5)]


_RAISABLE = (
    "alkalinity", "calcium", "magnesium", "nitrate", "phosphate", "ammonia", "potassium",
    "strontium",
)  # fmt: skip


Raises: Any = keyed_record(
    "Raises",
    {n: (Annotated[Quantity, ReadingOf(n, change=True)] | None, None) for n in _RAISABLE},
)
"""By how much a stated dose lifts each parameter."""


Outflow: Any = keyed_record(
    "Outflow",
    {
        n: (Annotated[Quantity, ReadingOf(n, change=True, standard=True)] | None, None)
        for n in _RAISABLE
    },
)
"""What a reactor's outflow measures: stronger than any tank water may be."""


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
    effluent: Outflow | None = Field(
        None, description="Of a reactor: what its outflow measures; doses are litres of outflow."
    )
    no_effect: bool = Field(False, description="true: it lifts nothing that is tested.")
    error: Percent | None = Field(None, description="How far the strength may be off (1 sd).")
    bottle: Volume | None = None
    price: Money | None = None

    @model_validator(mode="after")
    def _one_recipe(self) -> Self:
        told = [bool(self.salts), self.potency is not None, self.effluent is not None]
        if sum(told) > 1:
            what = f"'{self.name}' has more than one of salts, potency and effluent."
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
    mass: Mass | None = Field(None, description="What that price buys: '20 kg'.")


class Test(Record):
    """What a test can resolve, and how well it repeats, in the journal's unit of the parameter."""

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


class Food(Record):
    """Something that is fed."""

    name: Text
    protein: Percent | None = Field(
        None, description="Share of the food as given, wet or dry, by its label."
    )


class UpkeepTask(Record):
    """A task that comes again."""

    task: Text
    every: Period


class Privacy(Record):
    """What stays out of the published site; a draft entry is never on it."""

    show_costs: bool = Field(True, description="false: no prices, costs, tariff or budget.")
    show_keeper: bool = Field(True, description="false: your name under 'keeper' is not shown.")
    show_place: bool = Field(
        True, description="false: no time zone; the altitude is rounded, photos are renamed."
    )
    exact_times: bool = Field(
        True, description="false: only days are published, no times; photos are renamed."
    )
    full_photos: bool = Field(True, description="false: photos are published small.")
    in_comparisons: bool = Field(
        True, description="false: a club counts this tank in none of its comparisons."
    )
    write_page: bool = Field(
        True, description="false: the site has no form for writing entries on a phone."
    )

    @classmethod
    def nothing_shown(cls) -> Privacy:
        """Give the settings that hide all that can be hidden."""
        return cls.model_validate(dict.fromkeys(cls.model_fields, False))


class LicenceTerms(Record):
    """Under which terms others may use the parts of the site: an SPDX id, or your own words."""

    text: Text | None = None
    photos: Text | None = None
    data: Text | None = None


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
    room: Room = Field(Room(), description="The room at its coldest and warmest.")
    altitude: _Altitude | None = Field(None, description="Above the sea; it thins the air.")
    instruments: list[Instrument] = Field(
        default_factory=list, description="What measures, so that its errors can be allowed for."
    )
    equipment: list[Equipment] = Field(default_factory=list)
    supplements: list[Supplement] = Field(default_factory=list)
    salt_mix: SaltMix | None = None
    tests: Tests | None = None
    targets: Targets | None = Field(None, description="Bands from the first day on.")
    later_targets: list[DatedTargets] = Field(default_factory=list)
    animals: list[Animal] = Field(default_factory=list)
    foods: list[Food] = Field(
        default_factory=list, description="What is fed, with its protein, for the nutrient load."
    )
    upkeep: list[UpkeepTask] = Field(default_factory=list)
    budget: dict[Text, Money] = Field(
        default_factory=dict, description="What you mean to spend in all, by category."
    )
    privacy: Privacy = Field(default_factory=Privacy)
    licence: LicenceTerms = Field(
        default_factory=LicenceTerms,
        description="{text: CC-BY-4.0, photos: all rights reserved, data: CC0-1.0}",
    )

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

    @cached_property
    def bare_units(self) -> BareUnits:
        """The units of numbers that stand without one."""
        return BareUnits(self.units.system == "us", self.units.chosen())

    @property
    def zone(self) -> ZoneInfo:
        """The keeper's time zone."""
        return ZoneInfo(self.time_zone)
