from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from journal_tools.profile import Profile
from journal_tools.quantities import Band
from journal_tools.units import DIMENSIONS
from tests.conftest import ReadProfile

FULL = """\
keeper: Someone
about: A paragraph.
time_zone: America/Chicago
currency: usd
tariff: 0,31
units: {system: us, salinity: SG}
vessels:
  - {name: display, length: 120 cm, width: 50 cm, water_height: 48 cm, glass_thickness: 12 mm,
     rim: braced, height: 52 cm}
  - {name: barrel, shape: cylinder, diameter: 40 cm, water_height: 60 cm}
  - {name: bow, shape: bow_front, length: 90 cm, width: 40 cm, bow: 10 cm, water_height: 40 cm}
  - {name: hexagon, shape: regular_polygon, sides: 6, side_length: 30 cm, water_height: 40 cm}
  - {name: sump, shape: stated, volume: 60 ± 2 L}
fill: {rock: {mass: 20 kg}, sand: [{bed_volume: 9 L, grain: 1 mm}], measured_volume: 412 ± 8 L}
stand: {rated_load: 400 kg, mass: 45, length: 120 cm, width: 50 cm, feet: 4}
room: {coldest: 60 F, warmest: 86 F, humidity: 50 %, carbon_dioxide: 800 ppm}
altitude: 300 m
foods: [{name: frozen mysis, protein: 9 %}]
budget: {equipment: 2500, salt: 200}
instruments:
  - {name: optical, kind: refractometer, scale: brine, set_with: pure water,
     calibrate_every: 1 month}
  - {name: pen, kind: pH meter}
equipment:
  - name: return pump
    kind: return pump
    installed: 2026-01-05
    price: 95
    power: 25 W
    hours_per_day: "23,5"
    curve: [{flow: 0 L/h, head: 3 m}, {flow: 3000 L/h, head: 0.5 m}]
    plumbing: {static_head: 1.2 m, pipes: [{length: 2 m, bore: 25 mm}]}
    service_every: 3 months
supplements:
  - {name: alk mix, salts: {NaHCO3: 80 g}, made_up_to: 1 L, error: 2 %, bottle: 5 L, price: 9}
  - {name: bought mix, potency: {by: 1 ml, water: 100 L, raises: {alkalinity: 0.1 dKH}}}
salt_mix: {name: bucket, grams_per_litre: 38.2, fresh: {salinity: 35 psu, calcium: 420}, price: 60}
tests: {alkalinity: {kit: drops, resolution: 0.3, repeatability: "0,15", every: 1 week}}
targets: {alkalinity: 7.5 to 9, calcium: "[400, 450]", nitrate: below 10}
later_targets: [{start: 2026-06-01, stage: mixed reef, bands: {alkalinity: 8 to 9}}]
animals: [{name: clownfish, species: A. ocellaris, group: fish, adult_length: 9 cm}]
upkeep: [{task: glass, every: 4 days}]
privacy: {show_costs: false, show_keeper: false}
licence: {text: CC-BY-4.0, photos: all rights reserved}
"""


EQUIPMENT_FACTS = """\
equipment:
  - name: lamp
    kind: light
    light: {on: "10:00", off: "20:00", ramp: 60 min, par: {rock: 210, sand: 90}, height: 30 cm,
            spectrum: {blue: 60, white: 40},
            acclimation: {start: 2026-01-02, days: 28, from_share: 40 %}}
  - {name: skimmer, kind: skimmer, skimming: {rated_volume: 500 L, air: 300 L/h}}
  - {name: carbon, kind: reactor, media: {what: activated carbon, mass: 120 g,
     change_every: 1 month}}
  - {name: chiller, kind: chiller, cooling: 300 W, set_point: 26.5 C, controlled: true}
  - {name: top-off, kind: top-off, reservoir: 15 L}
  - {name: battery, kind: battery backup, stored_energy: 240, bought: second-hand, lasts: 5 years,
     replaces: nothing, choice: battery, planned: true, photo: battery.jpg, place: sump}
vessels:
  - {name: display, length: 90, width: 40, water_height: 40, weir: 20, drains_down: 1.5 cm,
     role: display, material: acrylic}
  - {name: sump, length: 60, width: 30, water_height: 20, height: 40,
     sections: [{name: drain, length: 20}, {name: return, length: 15, water_height: 18}]}
fill: {rock: {mass: 20, start: live}}
"""


def test_the_facts_of_each_kind_of_equipment(read_profile: ReadProfile) -> None:
    profile, problems = read_profile(EQUIPMENT_FACTS)
    assert problems == []
    assert profile is not None
    lamp, skimmer, carbon, chiller, top_off, battery = profile.equipment
    assert lamp.light is not None
    assert lamp.light.ramp is not None
    assert lamp.light.ramp.value == pytest.approx(1 / 24)
    assert lamp.light.par == {"rock": 210, "sand": 90}
    assert skimmer.skimming is not None
    assert skimmer.skimming.air is not None
    assert carbon.media is not None
    assert carbon.media.mass is not None
    assert carbon.media.mass.value == 120
    assert chiller.cooling is not None
    assert (chiller.cooling.value, chiller.controlled) == (300, True)
    assert top_off.reservoir is not None
    assert battery.choice == "battery"
    assert [section.name for section in profile.vessels[1].sections] == ["drain", "return"]


def test_everything_that_a_profile_can_say(read_profile: ReadProfile) -> None:
    profile, problems = read_profile(FULL.replace('"[400, 450]"', "[400, 450]"))
    assert problems == []
    assert profile is not None
    assert Profile.model_fields.keys() - profile.model_fields_set == set()
    assert (profile.start, profile.zone) == (dt.date(2026, 1, 1), ZoneInfo("America/Chicago"))
    assert (profile.currency, profile.tariff) == ("USD", 0.31)
    assert profile.vessels[0].glass_thickness is not None
    assert profile.vessels[0].glass_thickness.value == pytest.approx(1.2)
    measured = profile.fill.measured_volume
    assert measured is not None
    assert (measured.value, measured.error) == (412, 8)
    assert profile.equipment[0].hours_per_day == 23.5
    assert [point.head.value for point in profile.equipment[0].curve] == pytest.approx([300, 50])
    assert profile.tests.alkalinity.repeatability == 0.15
    assert profile.tests.alkalinity.every.value == 7
    assert profile.targets.nitrate == Band(None, 10)
    assert profile.later_targets[0].bands.alkalinity == Band(8, 9)
    assert profile.supplements[0].salts["NaHCO3"].value == 80


VESSEL = "Measure inside the glass, up to the water line."


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("time_zone: Mars/Base", "1:12: 'Mars/Base' is no time zone. Write an IANA name, such as "
         "Europe/Berlin or America/Chicago."),
        ("time_zone: CEST", "1:12: 'CEST' is no time zone. Write an IANA name, such as "
         "Europe/Berlin or America/Chicago."),
        ("currency: EURO", "1:11: 'EURO' is no currency code. Write EUR, USD, GBP, …"),
        ("units: {system: imperial}", "1:17: 'imperial' is not one of the words known here. Use "
         "'metric' or 'us'."),
        ("units: {system: us, salinity: spoons}", "1:31: 'spoons' is no unit of salinity. Use for "
         "example 'psu'."),
        ("tariff: cheap", "1:9: 'cheap' is not a number. Write a number, without its unit."),
        ("tariff: 0.31 EUR", "1:9: '0.31 EUR' is not a number. Write a number, without its unit."),
        ("vessels: {name: d, length: 90, width: 40}", "1:10: A vessel of shape 'rectangle' also "
         "needs "
         f"water_height. {VESSEL}"),
        ("vessels: {name: d, shape: cylinder}", "1:10: A vessel of shape 'cylinder' also needs "
         f"diameter, water_height. {VESSEL}"),
        ("vessels: {name: d, shape: round}", "1:27: 'round' is not one of the words known here. "
         "Use 'rectangle', 'cylinder', 'bow_front', 'regular_polygon' or 'stated'."),
        ("fill: {rock: {mass: 3 kg, displaces: 1 L}}", "1:14: Rock needs one of mass and "
         "displaces. Write 'mass: 20 kg'."),
        ("fill: {rock: {name: dry}}", "1:14: Rock needs one of mass and displaces. Write 'mass: 20 "
         "kg'."),
        ("fill: {sand: {grain: 1}}", "1:14: Sand needs one of mass and bed_volume. Write 'mass: 16 "
         "kg'."),
        ("fill: {rock: {mass: 3 L}}", "1:21: '3 L' is in a unit of volume; mass is wanted here. "
         "Use g: for example '12 g'."),
        ("equipment: [{name: p, hours_per_day: 25}]", "1:38: '25' is too large here. Write 24 or "
         "less."),
        ("equipment: [{name: p, kind: wavemaker}]", "1:29: 'wavemaker' is not one of the words "
         "known here. Use 'return pump', 'circulation pump', 'skimmer', 'heater', 'chiller', "
         "'fan', 'light', 'top-off', 'doser', 'controller', 'reactor', 'filter', 'steriliser', "
         "'meter', 'vessel', 'stand', 'battery backup' or 'other'."),
        ("equipment: [{name: l, light: {on: '10:00', off: '12:00', ramp: 2 h}}]", "1:30: Two ramps "
         "of '2 h' do not fit between 10:00 and 12:00. Write a shorter ramp, or the true times."),
        ("equipment: [{name: l, light: {on: '9:00', off: '19:00', spectrum: {blue: 80, red: 30}}}]",
         "1:30: The shares of the spectrum add up to more than 100 percent. Write each colour's "
         "share of the whole."),
        ("instruments: [{name: pen, kind: pH meter, scale: brine}]", "1:15: 'scale' says nothing "
         "about a pH meter. It belongs to a refractometer."),
        ("room: {coldest: 25, warmest: 19}", "1:7: The room is coldest at '25 °C' and warmest "
         "below that. Swap 'coldest' and 'warmest'."),
        ("equipment: {name: p}", "1:12: A list is wanted here. Write one '- item' a line, or [a, "
                                 "b]."),
        ("equipment: [{name: p, installed: 2026-02-30}]", "1:34: The date 2026-02-30 does not "
         "exist. Write year-month-day, such as 2026-03-14."),
        ("supplements: [{name: s, salts: {NaHCO4: 3 g}}]", "1:32: The salt 'NaHCO4' is not known "
         "by that formula. Known: "),
        ("supplements: [{name: s, salts: {NaHCO3: 3 g}, potency: {by: 1 ml, water: 9 L, raises: "
         "{calcium: 1}}}]", "1:15: 's' has more than one of salts, potency and "
         "effluent. Keep the one that you trust more."),
        ("supplements: [{name: s, potency: {by: 1 ml, water: 9 L, raises: {calcium: <1}}}]",
         "1:75: '<1' is a limit; a number is wanted here. Write the number itself, without the "
         "sign."),
        ("salt_mix: {fresh: {}}", "1:11: The key 'name' is missing here. Add 'name: …'."),
        ("salt_mix: {name: s, grams_per_litre: 0, fresh: {}}", "1:38: '0' is too small here. Write "
         "more than 0."),
        ("salt_mix: {name: s, grams_per_litre: 380, fresh: {}}", "1:38: '380' is too large here. "
         "Write less than 100."),
        ("upkeep: [{task: glass, every: sometimes}]", "1:31: 'sometimes' is not a number. Write a "
         "number, such as '12 days'."),
    ],
)  # fmt: skip
def test_what_cannot_be_read_in_a_profile(
    read_profile: ReadProfile, text: str, message: str
) -> None:
    profile, problems = read_profile(text)
    assert profile is not None
    assert profile.name == "T"
    assert len(problems) == 1
    assert problems[0].startswith(f"tank.yml:{message}")
    assert problems[0] == f"tank.yml:{message}" or message.endswith("Known: ")


@pytest.mark.parametrize("formula", ["CaCl2·2H2O", "CaCl2*2H2O", "CaCl2.2H2O"])
def test_ways_of_writing_crystal_water(read_profile: ReadProfile, formula: str) -> None:
    profile, problems = read_profile(f"supplements: [{{name: s, salts: {{{formula}: 3 g}}}}]")
    assert problems == []
    assert profile is not None
    assert list(profile.supplements[0].salts) == ["CaCl2·2H2O"]


def test_a_bad_unit_costs_only_that_unit(read_profile: ReadProfile) -> None:
    profile, problems = read_profile("units: {system: us, salinity: spoons, alkalinity: meq/L}")
    assert profile is not None
    assert len(problems) == 1
    assert profile.units.system == "us"
    assert profile.units.chosen() == {"alkalinity": "meq/L"}


def test_every_unit_of_the_profile_is_a_dimension() -> None:
    fields = type(Profile.model_fields["units"].get_default(call_default_factory=True)).model_fields
    assert fields.keys() - {"system"} <= DIMENSIONS.keys()


def test_defaults_are_metric_and_public(read_profile: ReadProfile) -> None:
    profile, _ = read_profile("")
    assert profile is not None
    assert (profile.units.system, profile.units.chosen()) == ("metric", {})
    assert (profile.time_zone, profile.currency) == ("UTC", "EUR")
    assert profile.privacy.show_costs
    assert profile.privacy.show_keeper
