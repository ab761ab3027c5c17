"""Heat lost, heater and cooler, and how fast a power cut cools."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.metrics import METRICS, Metrics, Result
from journal_tools.metrics.gear import usual_water
from journal_tools.metrics.warmth import warm_tank
from tests.journals import TANK, metrics, tables
from tests.metrics.conftest import assert_sound
from tests.science.check_values import read_rows

AT_25 = TANK + "targets: {temperature: 24 to 26, salinity: 34 to 36}\n"
BOX = "length: 120, width: 50, water_height: 55, glass_thickness: 12 mm"
PUMP = "{name: pump, kind: return pump, power: 40 W}"
LAMP = "{name: lamp, kind: light, power: 100 W, hours_per_day: 10}"


def of(
    coldest: float = 20, warmest: float | None = None, *gear: str, humidity: float = 50,
    vessel: str = BOX, more: str = "",
) -> Metrics:  # fmt: skip
    room = f"coldest: {coldest}, warmest: {warmest or coldest}, humidity: {humidity} %"
    text = f"{AT_25}vessels: {{name: display, {vessel}}}\nroom: {{{room}}}\n{more}"
    return metrics({"tank.yml": f"{text}equipment: [{', '.join(gear)}]\n"})


def one(found: Metrics, name: str, subject: str | None = None) -> Result:
    result = found.one(name, subject)
    assert result is not None, (name, found.beyond)
    return result


def value(found: Metrics, name: str, subject: str | None = None) -> float:
    return one(found, name, subject).value


def test_the_worked_loss() -> None:
    """1.2 x 0.5 x 0.55 m, 25 °C in a room of 20 °C and 50 %: 66 + 29 + 56 W."""
    (row,) = [r for r in read_rows() if r.quantity == "glass+free surface+evaporation loss"]
    loss = one(of(), "heat_loss", "coldest room")
    assert loss.value == pytest.approx(row.value, abs=row.tolerance)
    parts = {i.label: i.value for i in loss.inputs}
    assert parts["through the walls"] == "66 W"
    assert parts["from the surface"] in ("28 W", "29 W")
    assert parts["by evaporation"] == "56 W"
    # 15 % of the dry 94 W and 40 % of the wet 56 W, as squares
    assert loss.high is not None
    assert loss.high - loss.value == pytest.approx(math.hypot(0.15 * 94.5, 0.4 * 56), rel=0.02)


@pytest.mark.parametrize(
    ("vessel", "square_metres"),
    [
        (BOX, 2 * (1.2 + 0.5) * 0.55),
        ("shape: cylinder, diameter: 60, water_height: 50", math.pi * 0.6 * 0.5),
        ("shape: regular_polygon, sides: 6, side_length: 30, water_height: 50", 6 * 0.3 * 0.5),
        # the front is a half circle over 90 cm
        ("shape: bow_front, length: 90, width: 35, bow: 45, water_height: 50",
         (0.9 + 2 * 0.35 + math.pi * 0.45) * 0.5),
        ("shape: bow_front, length: 90, width: 35, bow: 0, water_height: 50", 2 * 1.25 * 0.5),
    ],
)  # fmt: skip
def test_the_walls_of_each_shape(vessel: str, square_metres: float) -> None:
    found = tables({"tank.yml": f"{AT_25}vessels: {{name: d, {vessel}}}\n"})
    tank = warm_tank(found, usual_water(found))
    assert tank is not None
    assert sum(pane.area_m2 for pane in tank.panes) == pytest.approx(square_metres)


def test_evaporation_goes_on_in_a_room_as_warm_as_the_water() -> None:
    loss = one(of(25), "heat_loss", "coldest room")
    parts = {i.label: i.value for i in loss.inputs}
    assert (parts["through the walls"], parts["from the surface"]) == ("0 W", "0 W")
    assert loss.value > 10


def test_a_heater_by_hand() -> None:
    """(150.6 W - 40 W of the pump) x 1.375 = 152 W; the lamp is out at night."""
    found = of(20, 20, PUMP, LAMP, "{name: one, kind: heater, power: 200 W}")
    needed = one(found, "heater_needed")
    assert needed.value == pytest.approx((150.6 - 40) * 1.375, abs=3)
    told = {i.label: i.value for i in needed.inputs}
    assert told["heat of pump"] == "40 W" and "heat of lamp" not in told
    assert told["heaters fitted"] == "one 200 W"


def test_a_pump_that_stops_at_night_does_not_count_for_the_heater() -> None:
    without, sometimes = of(), of(20, 20, PUMP.replace("W}", "W, hours_per_day: 12}"))
    assert value(sometimes, "heater_needed") == value(without, "heater_needed")


def test_pumps_that_heat_more_than_is_lost_need_no_heater() -> None:
    found = of(20, 20, PUMP.replace("40", "900"), "{name: a, kind: heater, power: 100 W}",
               "{name: b, kind: heater, power: 100 W}")  # fmt: skip
    assert value(found, "heater_needed") == 0
    assert found.one("heat_without") is None


def test_cooling_by_hand() -> None:
    """In a room of 25 °C and 100 % nothing leaves the water: 40 W and a fifth of 100 W remain."""
    assert value(of(20, 25, PUMP, LAMP, humidity=100), "cooling_needed") == pytest.approx(60)


def test_a_chiller_has_a_set_point_of_its_own() -> None:
    gear = "{name: chiller, kind: chiller, set_point: 27}"
    cooling = one(of(20, 29, PUMP, gear), "cooling_needed")
    assert cooling.inputs[0].label == "set point of chiller"
    assert cooling.value < value(of(20, 29, PUMP), "cooling_needed")


def test_cooling_down_lies_between_the_fastest_and_the_slowest_it_can() -> None:
    """300 L hold 4.092 MJ/m3K (TEOS-10): 1228 kJ/K at 151 W are 2.26 h, at the loss of 24 °C more.

    A degree less takes a fifth of the dry 94 W and, by the vapour pressures of 25 and 24 °C
    (3.169 and 2.985 kPa, handbook), a tenth of the wet 56 W.
    """
    found = of(more="fill: {measured_volume: 300 L}\n")
    hours = one(found, "hours_to_cool", "by 1 °C")
    fastest = 300 * 4.092 / 150.6 / 3.6
    slowest = 300 * 4.092 / (150.6 - 94.4 / 5 - 5.7) / 3.6
    assert fastest < hours.value < slowest
    assert hours.low == pytest.approx(0.7 * hours.value)
    assert hours.high == pytest.approx(1.5 * hours.value)
    assert value(found, "hours_to_cool", "by 3 °C") > 3 * hours.value


def test_a_damp_room_as_warm_as_the_water_never_cools_it() -> None:
    found = of(25, humidity=100)
    assert found.of("hours_to_cool") == [] and value(found, "heat_loss") == 0


def test_when_one_heater_fails() -> None:
    """Without margin 150.6 W are asked for: the other heater of 100 W brings 66 %."""
    gear = ("{name: big, kind: heater, power: 200 W}", "{name: small, kind: heater, power: 100 W}")
    found = of(20, 20, *gear)
    assert value(found, "heat_without", "big") == pytest.approx(100 * 100 / 150.6, abs=1)
    assert value(found, "heat_without", "small") == pytest.approx(100 * 200 / 150.6, abs=2)
    planned = gear[1].replace("W}", "W, planned: true}")
    assert of(20, 20, gear[0], planned).of("heat_without") == []


def test_fahrenheit_gives_the_same() -> None:
    """68 °F = 20 °C, 77 °F = 25 °C; 1 in = 2.54 cm."""
    text = TANK + "units: {system: us}\ntargets: {temperature: 75.2 to 78.8, salinity: 34 to 36}\n"
    text += "vessels: {name: display, length: 47.244, width: 19.685, water_height: 21.654, "
    text += "glass_thickness: 0.47244}\nroom: {coldest: 68, warmest: 68, humidity: 50}\n"
    loss = one(metrics({"tank.yml": text}), "heat_loss", "coldest room")
    assert loss.value == pytest.approx(value(of(), "heat_loss", "coldest room"), rel=1e-3)


def test_vessels_of_which_only_litres_are_told_are_named() -> None:
    text = (
        f"{AT_25}vessels: [{{name: display, {BOX}}}, {{name: sump, shape: stated, volume: 80 L}}]\n"
    )
    found = metrics({"tank.yml": text + "room: {coldest: 20, warmest: 28}\n"})
    assert one(found, "heater_needed").note == "Without sump: no measures are told."
    humidity = next(i for i in one(found, "heat_loss").inputs if i.label.startswith("humidity"))
    assert "assumed" in humidity.value


@pytest.mark.parametrize(
    "text",
    ["room: {coldest: 20}\n", f"vessels: {{name: display, {BOX}}}\n",
     "vessels: {name: display, shape: stated, volume: 90 L}\nroom: {coldest: 20}\n"],
)  # fmt: skip
def test_without_a_room_or_measures_there_is_no_figure(text: str) -> None:
    found = metrics({"tank.yml": AT_25 + text})
    for name in ("heat_loss", "heater_needed", "cooling_needed", "hours_to_cool", "heat_without"):
        assert found.of(name) == []


@pytest.mark.parametrize(
    ("coldest", "warmest", "humidity", "vessel"),
    [
        (-10, 50, 100, BOX),
        (-10, 50, 0, BOX),
        (25, 25, 50, "length: 120, width: 50, water_height: 3"),
        (25, 50, 2, "length: 2000, width: 2000, water_height: 2000"),
        (20, 30, 50, BOX.replace("12 mm", "0")),
        (20, 30, 50, BOX.replace("12 mm", "100 cm")),
        (20, 30, 50, "shape: bow_front, length: 90, width: 1, bow: 45, water_height: 0.1"),
    ],
)
def test_odd_rooms_and_vessels_do_not_stop_a_build(
    coldest: float, warmest: float, humidity: float, vessel: str
) -> None:
    gear = ("{name: a, kind: heater, power: 0, set_point: 60}", PUMP.replace("40", "0"),
            "{name: b, kind: heater, power: 0}")  # fmt: skip
    for pieces in ((), gear, gear[1:]):
        assert_sound(of(coldest, warmest, *pieces, humidity=humidity, vessel=vessel))


def test_mains_carry_a_caution() -> None:
    hazards = {metric.name: metric.hazard for metric in METRICS}
    for name in ("heater_needed", "cooling_needed", "hours_to_cool", "heat_without", "heat_loss"):
        assert hazards[name] == "mains"


@settings(max_examples=12, deadline=None)
@given(coldest=st.floats(5, 24), colder=st.floats(0, 10))
def test_a_colder_room_asks_for_more_heater_and_cools_faster(coldest: float, colder: float) -> None:
    fill = "fill: {measured_volume: 300 L}\n"
    mild, cold = (of(round(c, 3), 30, more=fill) for c in (coldest, coldest - colder))
    assert value(cold, "heater_needed") >= value(mild, "heater_needed")
    assert value(cold, "hours_to_cool", "by 1 °C") <= value(mild, "hours_to_cool", "by 1 °C")
