"""An example for every key: the least that a file needs so that the key makes sense.

Everything here is invented. A test reads every example as a keeper's file is read.
"""

from __future__ import annotations

import copy
import re
from types import MappingProxyType
from typing import Any

import yaml

_PROFILE: dict[str, Any] = {
    "name": "The hall tank", "keeper": "Jo", "about": "A first reef tank.", "start": "2026-03-14",
    "time_zone": "Europe/Berlin", "currency": "EUR", "tariff": 0.31, "altitude": "120 m",
    "units": {"system": "metric"},
    "vessels": [{"name": "display", "length": 90, "width": 45, "water_height": 42}],
    "fill": {"rock": {"mass": "12 kg"}},
    "stand": {"rated_load": "400 kg"},
    "room": {"coldest": 17, "warmest": 29},
    "instruments": [{"name": "salinity meter", "kind": "conductivity meter"}],
    "equipment": [{"name": "return pump", "kind": "return pump"}],
    "supplements": [{"name": "alk mix", "salts": {"NaHCO3": "80 g"}, "made_up_to": "1 L"}],
    "salt_mix": {"name": "reef salt", "fresh": {"alkalinity": 8, "calcium": 430}},
    "tests": {"alkalinity": {"every": "4 days"}},
    "targets": {"alkalinity": "7.5 to 9"},
    "later_targets": [{"start": "2026-09-01", "bands": {"nitrate": "2 to 10"}}],
    "animals": [{"name": "clownfish", "group": "fish"}],
    "foods": [{"name": "frozen mysis", "protein": "9 %"}],
    "upkeep": [{"task": "glass", "every": "4 days"}],
    "budget": {"equipment": 1500, "livestock": 400},
    "privacy": {"show_costs": False},
    "licence": {"text": "CC-BY-4.0"},
}  # fmt: skip
_ENTRY: dict[str, Any] = {
    "date": "2026-03-14", "time": "18:40", "title": "First corals", "tags": ["corals"],
    "milestone": "First corals", "draft": True,
    "readings": {"alkalinity": 8.2},
    "doses": [{"what": "alk mix", "amount": "30 ml"}],
    "dosing_plan": [{"what": "alk mix", "per_day": "24 ml"}],
    "stock": [{"what": "alk mix", "left": "750 ml"}],
    "calibrations": [{"instrument": "salinity meter", "salinity": {"standard": 35, "shown": 35.4}}],
    "water_change": [{"volume": "20 L"}],
    "top_off": [{"volume": "4 L"}],
    "livestock": [{"added": "clownfish", "count": 2}],
    "equipment": [{"installed": "return pump"}],
    "upkeep": [{"task": "glass"}],
    "feed": [{"what": "frozen mysis"}],
    "costs": [{"what": "salt", "amount": 54.90}],
    "photos": [{"file": "front.jpg"}],
    "notes": "The first night without a sound.",
    "questions": ["Is this algae or cyano?"],
}  # fmt: skip
_FILES = MappingProxyType({"tank.yml": _PROFILE, "an entry": _ENTRY})

_SWAPPED: MappingProxyType[str, Any] = MappingProxyType({
    "tank.yml vessels.diameter": {"name": "column", "shape": "cylinder", "water_height": 60},
    "tank.yml vessels.shape": {"name": "column", "water_height": 60, "diameter": 50},
    "tank.yml vessels.bow": {
        "name": "display", "shape": "bow_front", "length": 90, "width": 45, "water_height": 42},
    "tank.yml vessels.sides": {
        "name": "display", "shape": "regular_polygon", "side_length": 40, "water_height": 45},
    "tank.yml vessels.side_length": {
        "name": "display", "shape": "regular_polygon", "sides": 6, "water_height": 45},
    "tank.yml vessels.volume": {"name": "reservoir", "shape": "stated"},
    "tank.yml vessels.sections": {
        "name": "sump", "length": 60, "width": 38, "water_height": 24},
    "tank.yml fill.rock.displaces": {},
    "tank.yml fill.sand.bed_volume": {},
    "tank.yml instruments.scale": {"name": "refractometer", "kind": "refractometer"},
    "tank.yml instruments.set_with": {"name": "refractometer", "kind": "refractometer"},
    "tank.yml instruments.reference": {"name": "glass float", "kind": "hydrometer"},
    "tank.yml instruments.corrects_temperature": {
        "name": "refractometer", "kind": "refractometer"},
    "tank.yml instruments.salinity_setting": {"name": "oxygen pen", "kind": "oxygen meter"},
    "tank.yml supplements.potency": {"name": "calcium drops"},
    "tank.yml supplements.effluent": {"name": "calcium reactor"},
    "tank.yml supplements.no_effect": {"name": "trace mix"},
    "an entry dosing_plan.stopped": {"what": "alk mix"},
    "an entry livestock.lost": {}, "an entry livestock.removed": {},
    "an entry livestock.measured": {"length": "6 cm"},
    "an entry livestock.why": {"lost": "turbo snail"},
    "an entry equipment.changed": {"to": "10 hours a day"}, "an entry equipment.serviced": {},
    "an entry equipment.removed": {}, "an entry equipment.failed": {},
    "an entry equipment.to": {"changed": "hall lamp"},
    "an entry calibrations.salinity": {"instrument": "salinity meter"},
    "an entry calibrations.ph": {"instrument": "pH pen"},
    "an entry calibrations.temperature": {"instrument": "thermometer"},
    "an entry calibrations.oxygen": {"instrument": "oxygen pen"},
    **{f"an entry calibrations.{name}.millivolts": {"standard": standard}
       for name, standard in (("salinity", 35), ("ph", 7), ("temperature", 25), ("oxygen", 7))},
})  # fmt: skip
"""What stands around a key where the usual example of its section would not do."""

_PIPES = {"length": "1.6 m", "bore": "25 mm", "fittings": {"elbow_90": 4}}
_VALUES: MappingProxyType[str, Any] = MappingProxyType({
    "units.temperature": "F", "units.volume": "gal", "units.length": "in", "units.salinity": "SG",
    "units.alkalinity": "meq/L", "units.nitrate": "mg/L N", "units.nitrite": "mg/L N",
    "units.phosphate": "ppb", "units.ammonia": "mg/L NH3",
    "vessels.role": "display", "vessels.shape": "cylinder", "vessels.height": "50 cm",
    "vessels.diameter": "50 cm", "vessels.bow": "8 cm", "vessels.sides": 6,
    "vessels.side_length": "40 cm", "vessels.volume": "60 ± 2 L",
    "vessels.glass_thickness": "10 mm", "vessels.rim": "rimless", "vessels.material": "glass",
    "vessels.drains_down": "2 cm", "vessels.weir": "22 cm",
    "vessels.sections": [{"name": "skimmer", "length": "24 cm"}],
    "vessels.sections.water_height": "22 cm",
    "fill.rock.name": "reef rock", "fill.rock.start": "dry", "fill.rock.displaces": "5 L",
    "fill.sand": {"mass": "15 kg"}, "fill.sand.name": "aragonite sand",
    "fill.sand.bed_volume": "10 L", "fill.sand.grain": "1.5 mm",
    "fill.measured_volume": "412 ± 8 L", "stand.mass": "50 kg", "stand.length": "95 cm",
    "stand.width": "50 cm", "stand.feet": 6, "room.humidity": "55 %",
    "room.carbon_dioxide": "900 ppm",
    "instruments.scale": "seawater", "instruments.set_with": "35 standard",
    "instruments.reference": "25/25", "instruments.corrects_temperature": False,
    "instruments.salinity_setting": "0 psu", "instruments.calibrate_every": "1 month",
    "instruments.note": "Lent by the club.",
    "equipment.installed": "2026-03-14", "equipment.removed": "2026-09-01",
    "equipment.planned": True, "equipment.choice": "a pump for next year",
    "equipment.replaces": "first pump", "equipment.bought": "second-hand",
    "equipment.price": 89.00, "equipment.lasts": "5 years", "equipment.power": "38 W",
    "equipment.hours_per_day": 9, "equipment.rated_flow": "3000 L/h",
    "equipment.curve": [{"flow": 0, "head": "2.8 m"}, {"flow": "3000 L/h", "head": "0.1 m"}],
    "equipment.plumbing": {"static_head": "1.25 m", "pipes": _PIPES},
    "equipment.plumbing.fittings": {"elbow_90": 4, "ball_valve": 1},
    "equipment.light": {"on": "11:00", "off": "20:00"}, "equipment.light.ramp": "60 min",
    "equipment.light.shape": "half sine", "equipment.light.par": {"top of the rock": 260},
    "equipment.light.height": "28 cm", "equipment.light.spectrum": {"blue": 60, "white": 40},
    "equipment.light.acclimation": {"start": "2026-03-14", "days": 21, "from_share": "40 %"},
    "equipment.skimming": {"rated_volume": "500 L"}, "equipment.skimming.air": "350 L/h",
    "equipment.media": {"what": "activated carbon"}, "equipment.media.mass": "120 g",
    "equipment.media.volume": "300 ml", "equipment.media.change_every": "1 month",
    "equipment.media.price": 6.50, "equipment.cooling": "300 W", "equipment.set_point": "25.5 °C",
    "equipment.controlled": True, "equipment.reservoir": "12 L", "equipment.stored_energy": 500,
    "equipment.photo": "pump.jpg", "equipment.place": "return", "equipment.service_every":
    "3 months", "equipment.note": "Hums a little.",
    "supplements.potency": {"by": "1 ml", "water": "100 L", "raises": {"calcium": 1.2}},
    "supplements.effluent": {"alkalinity": 22, "calcium": 480}, "supplements.no_effect": True,
    "supplements.error": "5 %", "supplements.bottle": "2 L", "supplements.price": 1.60,
    "salt_mix.grams_per_litre": 38.5, "salt_mix.price": 58, "salt_mix.mass": "20 kg",
    "tests.PARAMETER.kit": "drop test", "tests.PARAMETER.resolution": 0.1,
    "tests.PARAMETER.repeatability": 0.15, "later_targets.stage": "mixed reef",
    "animals.species": "Amphiprion ocellaris", "animals.adult_length": "8 cm",
    "animals.mass_a": 0.02, "animals.mass_b": 3.0, "licence.photos": "all rights reserved",
    "licence.data": "CC0-1.0",
    "readings.PARAMETER.error": 0.1, "readings.PARAMETER.kit": "drop test",
    "readings.PARAMETER.when": "before dose", "readings.PARAMETER.time": "07:30",
    "readings.PARAMETER.sample_temperature": "21 °C",
    "doses.time": "07:30", "doses.note": "By hand.", "dosing_plan.time": "07:30",
    "dosing_plan.start": "2026-03-15", "dosing_plan.until": "2026-06-01",
    "dosing_plan.stopped": True, "calibrations.adjusted": False, "calibrations.time": "10:00",
    "calibrations.note": "A fresh standard.",
    "calibrations.salinity": {"standard": 35, "shown": 35.4},
    "calibrations.ph": {"standard": 7, "shown": 7.1},
    "calibrations.temperature": {"standard": 25, "shown": 25.2},
    "calibrations.oxygen": {"standard": 7, "shown": 6.8},
    "calibrations.MEASURED.millivolts": -12, "water_change.fresh": {"alkalinity": 8},
    "water_change.salinity": 35, "water_change.time": "19:00", "top_off.what": "limewater",
    "livestock.lost": "turbo snail", "livestock.removed": "clownfish",
    "livestock.measured": "clownfish", "livestock.length": "4 cm", "livestock.why": "unknown",
    "livestock.price": 38, "livestock.note": "A pair.", "equipment.changed": "hall lamp",
    "equipment.serviced": "return pump", "equipment.failed": "return pump",
    "equipment.to": "10 hours a day", "upkeep.note": "With a blade.", "feed.amount": "2 g",
    "costs.category": "salt", "photos.view": "front", "photos.caption": "Day 30",
    "photos.taken": "2026-03-13",
})  # fmt: skip
"""What is written at a key that the example of its section does not hold."""


def example_data(file: str, path: str) -> dict[str, Any]:
    """Give the section of a file that holds a key, as plain values.

    Args:
        file: ``tank.yml`` or ``an entry``.
        path: The key, with ``PARAMETER`` for the name of any parameter.

    Raises:
        KeyError: If there is no example for it.
    """
    top, *rest = path.split(".")
    whole = {top: copy.deepcopy(_FILES[file][top])}
    where: Any = whole
    for depth, step in enumerate(steps := [top, *rest], 1):
        so_far = ".".join(steps[:depth])
        name = next(iter(where)) if step == "PARAMETER" else step
        _put(where, name, file, so_far)
        if depth < len(steps):
            where = _below(where, name)
    return whole


def _put(where: dict[str, Any], name: str, file: str, path: str) -> None:
    """Make sure that a key is there, among others that go with it."""
    around = _SWAPPED.get(f"{file} {path}")
    if around is not None:
        old = where.get(name)
        where.clear()
        where.update(copy.deepcopy(around))
        where[name] = copy.deepcopy(_value(file, path, old))
    elif name not in where:
        where[name] = copy.deepcopy(_value(file, path, None))


def _below(where: dict[str, Any], name: str) -> Any:
    """Give what holds the keys below one; of a short form, the long one."""
    value = where[name]
    if isinstance(value, list):
        return value[0]
    if not isinstance(value, dict):
        where[name] = {"value": value}
    return where[name]


def _value(file: str, path: str, fallback: Any) -> Any:
    for key in (path, path.replace("water_change.fresh.", "readings."), _measured(path)):
        if file == "an entry" and key == "equipment.removed":
            return "return pump"
        if key in _VALUES:
            return _VALUES[key]
    if path.startswith("privacy."):
        return False
    if fallback is None:
        raise KeyError(path)
    return fallback


def _measured(path: str) -> str:
    steps = path.split(".")
    return ".".join(["calibrations", "MEASURED", *steps[2:]]) if len(steps) > 2 else path


class _Plain(yaml.SafeDumper):
    """Writes dates without quotes, as keepers do: to this program they are text anyway."""


_Plain.yaml_implicit_resolvers = {
    sign: [rule for rule in rules if rule[0] != "tag:yaml.org,2002:timestamp"]
    for sign, rules in yaml.SafeDumper.yaml_implicit_resolvers.items()
}


def example_of(file: str, path: str) -> str:
    """Give the section of a file that holds a key, as YAML text.

    >>> print(example_of("an entry", "feed.amount"), end="")
    feed:
    - {what: frozen mysis, amount: 2 g}
    """
    data = example_data(file, path)
    inline = None if any(isinstance(value, dict | list) for value in data.values()) else False
    text = yaml.dump(data, Dumper=_Plain, sort_keys=False, allow_unicode=True,
                     default_flow_style=inline, width=90)  # fmt: skip
    # Words like these need no quotes by the rules of YAML 1.2.
    return re.sub(r"'(on|off)':", r"\1:", text).replace("'", '"')
