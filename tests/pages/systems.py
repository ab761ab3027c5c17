"""Systems to check, all invented: planned in US units, hostile names, a full one, nothing told."""

from __future__ import annotations

from tests.journals import TANK

VESSELS = """\
vessels:
  - {name: display, length: 100, width: 50, water_height: 50, height: 55, glass_thickness: 12 mm,
     drains_down: 2 cm, weir: 20 cm}
  - {name: sump, length: 60, width: 40, water_height: 20, height: 40, glass_thickness: 8 mm,
     rim: rim, sections: [{name: drain, length: 30}, {name: return, length: 29}]}
"""
PUMP = """\
  - name: return pump
    kind: return pump
    installed: 2026-01-02
    power: 40 W
    price: 120
    bought: second-hand
    service_every: 2 months
    replaces: old pump
    rated_flow: 3000 L/h
    curve: [{flow: 0, head: 3 m}, {flow: 1500, head: 2.2 m}, {flow: 3000, head: 0.1 m}]
    plumbing:
      static_head: 1.2 m
      pipes: [{length: 2 m, bore: 25 mm, fittings: {elbow_90: 3, entrance: 1, exit: 1}}]
"""
FULL = (
    TANK
    + VESSELS
    + """\
currency: EUR
tariff: 0.30
fill:
  rock: [{name: dry rock, mass: 20 kg, start: dry}]
  sand: {mass: 20 kg, grain: 1.5 mm}
  measured_volume: 260 ± 5 L
stand: {rated_load: 600 kg, mass: 50 kg, length: 110, width: 55, feet: 4}
room: {coldest: 17, warmest: 29, humidity: 50 %}
instruments:
  - {name: refractometer, kind: refractometer, scale: brine, calibrate_every: 1 month}
  - {name: pen, kind: pH meter}
equipment:
"""
    + PUMP
    + """\
  - {name: old pump, kind: return pump, installed: 2026-01-01, removed: 2026-01-02}
  - {name: left pump, kind: circulation pump, rated_flow: 6000 L/h, power: 10 W}
  - {name: skimmer, kind: skimmer, skimming: {rated_volume: 400 L, air: 300 L/h}, power: 20 W}
  - {name: heater one, kind: heater, power: 150 W, set_point: 25.5, controlled: true}
  - {name: heater two, kind: heater, power: 150 W, set_point: 25.5}
  - name: lamp
    kind: light
    power: 100 W
    light: {on: "10:00", off: "20:00", ramp: 60 min, par: {rock: 250, sand: 100}, height: 25,
            spectrum: {blue: 60, white: 40},
            acclimation: {start: 2026-03-20, days: 30, from_share: 40 %}}
  - {name: top-off, kind: top-off, reservoir: 12 L, place: return}
  - {name: reactor, kind: reactor, rated_flow: 300 L/h,
     media: {what: activated carbon, mass: 130 g, volume: 0.5 L, change_every: 4 weeks, price: 8}}
supplements:
  - {name: alk mix, salts: {NaHCO3: 80 g}, made_up_to: 1 L, bottle: 2 L, price: 10}
salt_mix: {name: salt, grams_per_litre: 38, fresh: {alkalinity: 8}, price: 60, mass: 20 kg}
upkeep: [{task: glass, every: 4 days}, {task: filter floss, every: 5 days}]
tests: {alkalinity: {every: 1 week}}
budget: {equipment: 1000, livestock: 200}
animals: [{name: clownfish, group: fish}, {name: zoanthid, group: coral}]
"""
)
LOG = {
    "log/2026-01-02.yml": "equipment: [{installed: return pump}, {removed: old pump}]\n",
    "log/2026-02-01.yml": (
        "water_change: {volume: 26 L, fresh: {alkalinity: 7.6}}\n"
        "calibrations: {instrument: refractometer, salinity: {standard: 35, shown: 35.6}}\n"
    ),
    "log/2026-02-15.yml": "water_change: {volume: 26 L, fresh: {alkalinity: 8.4}}\n",
    "log/2026-03-01.yml": (
        "water_change: {volume: 26 L, fresh: {alkalinity: 8.1}}\n"
        "dosing_plan: {what: alk mix, per_day: 20 ml}\n"
        "calibrations: {instrument: refractometer, salinity: {standard: 35, shown: 34.7}}\n"
        "costs: [{what: fish food, amount: 12.5, category: food}]\n"
    ),
    "log/2026-03-20.yml": (
        "upkeep: [glass, filter floss]\ntop_off: 3 L\nfeed: {what: mysis, amount: 3 g}\n"
        "livestock: [{added: clownfish, count: 2, length: 5 cm}, {added: zoanthid}]\n"
    ),
    "log/2026-03-28.yml": "upkeep: [glass]\ntop_off: 20 L\nequipment: [{changed: reactor}]\n",
}
US_PLANNED = """\
name: Planned reef
start: 2026-03-31
time_zone: America/Chicago
units: {system: us, salinity: SG}
currency: USD
tariff: 0.16
vessels:
  - {name: display, length: 47, width: 23, water_height: 20, height: 22, glass_thickness: 0.5,
     drains_down: 0.8, weir: 12}
  - {name: sump, length: 30, width: 15, water_height: 9, height: 16}
fill:
  rock: [{name: dry rock, mass: 60, start: dry}, {name: live rock, mass: 10 lb, start: live}]
  sand: {mass: 60, grain: 1.5 mm}
stand: {rated_load: 1500, mass: 120, length: 48, width: 24, feet: 4}
room: {coldest: 62, warmest: 86, humidity: 40 %}
instruments: [{name: arm, kind: hydrometer}]
equipment:
  - &pump
    name: big pump
    kind: return pump
    planned: true
    choice: a pump
    price: 189
    power: 40 W
    lasts: 5 years
    rated_flow: 1500
    curve: [{flow: 0, head: 14}, {flow: 700, head: 10}, {flow: 1500, head: 0.5}]
    plumbing: &pipes {static_head: 4.5, pipes: [{length: 6, bore: 1}]}
  - name: small pump
    kind: return pump
    planned: true
    choice: a pump
    price: 99
    power: 55 W
    lasts: 2 years
    rated_flow: 1000
    curve: [{flow: 0, head: 11}, {flow: 500, head: 8}, {flow: 1000, head: 0.5}]
    plumbing: *pipes
  - {name: flow pump, kind: circulation pump, planned: true, rated_flow: 2000, power: 20 W}
  - {name: skimmer, kind: skimmer, planned: true, skimming: {rated_volume: 200}, power: 25 W}
  - {name: heater, kind: heater, planned: true, power: 300 W, set_point: 78}
  - {name: chiller, kind: chiller, planned: true, power: 200 W, cooling: 300 W}
  - {name: lamp, kind: light, planned: true, power: 150 W,
     light: {on: "10:00", off: "19:00", par: {top: 300}}}
  - {name: top-off, kind: top-off, planned: true, reservoir: 5}
  - {name: reactor, kind: reactor, planned: true,
     media: {what: activated carbon, mass: 200 g, change_every: 4 weeks}}
  - {name: sock holder, kind: filter, planned: true,
     media: {what: filter sock, change_every: 4 days}}
"""
BAD = "<i>\"&'|x</i>"
HOSTILE = (
    FULL.replace("name: Test reef", f"name: {BAD!r}".replace("\\'", "''"))
    .replace("name: display", 'name: "display <i>&|"')
    .replace("name: drain,", 'name: "<b>drain & a very long section name</b>",')
    .replace("name: dry rock", 'name: "<u>rock</u>"')
    .replace("name: left pump", 'name: "<i>left & \\" | pump</i>"')
    .replace("name: skimmer,", 'name: "<script>skim</script>",')
    .replace("name: heater two", 'name: "heater </svg>"')
    .replace("name: reactor", 'name: "<img src=x onerror=y>"')
    .replace("name: lamp\n", 'name: "<lamp>"\n')
    .replace("{rock: 250", '{"<rock> & roll": 250')
    .replace("blue: 60", '"<blue>": 60')
    .replace("task: filter floss", 'task: "filter floss <b>"')
    .replace("name: alk mix", 'name: "alk <b>mix"')
    .replace("name: salt,", 'name: "<b>salt",')
    .replace("budget: {equipment", 'budget: {"<s>budget": 5, equipment')
)
HOSTILE_LOG = {
    name: text.replace("alk mix", '"alk <b>mix"')
    .replace("filter floss", '"filter floss <b>"')
    .replace("food}", '"<u>food</u>"}')
    for name, text in LOG.items()
}
