"""Carbon dioxide, saturation, un-ionised ammonia and oxygen from pairs of tests.

PyCO2SYS (Humphreys et al. 2022) is the oracle of the carbonate system: pH on the NBS scale, K1 and
K2 of Lueker et al. 2000, boron of Uppström 1974. Its code and ours share no line.
"""

from __future__ import annotations

import PyCO2SYS
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.metrics import METRICS, Metrics, Result
from journal_tools.science.water.seawater import density_kg_m3
from tests.journals import TANK, metrics
from tests.metrics.conftest import assert_sound

AT_25 = TANK + "targets: {temperature: 24 to 26, salinity: 34 to 36}\n"
FULL = "{ph: 8.2, alkalinity: 8, temperature: 25, salinity: 35, calcium: 422}"
MEQ_PER_DKH = 0.35665  # DIN 38409-7: 1 dKH = 10 mg/L CaO


def of(*days: tuple[str, str], profile: str = AT_25) -> Metrics:
    log = {f"log/{day}.yml": f"readings: {text}\n" for day, text in days}
    return metrics({"tank.yml": profile} | log)


def one(found: Metrics, name: str, subject: str | None = None) -> Result:
    result = found.one(name, subject)
    assert result is not None, (name, found.beyond)
    return result


def oracle(
    ph: float, dkh: float, psu: float = 35.0, celsius: float = 25.0, calcium: float = 422.0
) -> tuple[float, float]:
    """Give pCO2 in µatm and the saturation of aragonite."""
    kg_l = float(density_kg_m3(psu, celsius)) / 1000
    found = PyCO2SYS.sys(
        dkh * MEQ_PER_DKH * 1000 / kg_l, ph, 1, 3, salinity=psu, temperature=celsius,
        total_calcium=calcium / 40.078 * 1000 / kg_l, opt_pH_scale=4,
    )  # fmt: skip
    return float(found["pCO2"]), float(found["saturation_aragonite"])


def test_the_worked_water() -> None:
    """8 dKH at pH 8.2 on the buffer scale, 35 psu, 25 °C: 461 µatm and 4.26, not 310 and 5.38."""
    found = of(("2026-03-20", FULL))
    pco2, omega = one(found, "pco2"), one(found, "aragonite_saturation")
    assert pco2.value == pytest.approx(461, abs=5)
    assert omega.value == pytest.approx(4.26, abs=0.03)
    assert [i.label for i in pco2.inputs] == [
        "pH (buffer scale)", "alkalinity", "temperature", "salinity", "calcium",
    ]  # fmt: skip
    assert {(i.entry, i.line) for i in pco2.inputs} == {("2026-03-20", 1)}
    # 0.1 of pH is a quarter to a third of the carbon dioxide
    assert pco2.low is not None and 0.70 < pco2.low / pco2.value < 0.80


@settings(max_examples=15, deadline=None)
@given(
    ph=st.floats(7.6, 8.6), dkh=st.floats(5, 14), psu=st.floats(30, 38), celsius=st.floats(20, 30),
    calcium=st.floats(300, 600),
)  # fmt: skip
def test_any_reef_water_against_the_oracle(
    ph: float, dkh: float, psu: float, celsius: float, calcium: float
) -> None:
    ph, dkh, psu, celsius, calcium = (round(x, 3) for x in (ph, dkh, psu, celsius, calcium))
    found = of(("2026-03-20", f"{{ph: {ph}, alkalinity: {dkh}, temperature: {celsius}, "
                              f"salinity: {psu}, calcium: {calcium}}}"))  # fmt: skip
    pco2, omega = oracle(ph, dkh, psu, celsius, calcium)
    assert one(found, "pco2").value == pytest.approx(pco2, rel=0.015)
    assert one(found, "aragonite_saturation").value == pytest.approx(omega, rel=0.015)
    assert_sound(found)


def test_what_was_not_measured_is_assumed_and_says_so() -> None:
    """35 psu and 25 °C from the bands, calcium of natural seawater: the same water."""
    found = of(("2026-03-20", "{ph: 8.2, alkalinity: 8}"))
    omega = one(found, "aragonite_saturation")
    assert omega.value == pytest.approx(oracle(8.2, 8)[1], rel=0.01)
    assumed = [i.label for i in omega.inputs if "assumed: not measured near" in i.value]
    assert assumed == ["temperature", "salinity", "calcium"]
    full = one(of(("2026-03-20", FULL)), "aragonite_saturation")
    assert full.low is not None and omega.low is not None and omega.low < full.low


def test_the_calcium_of_natural_seawater_goes_with_its_salinity() -> None:
    found = of(("2026-03-20", "{ph: 8.2, alkalinity: 8, salinity: 30, temperature: 25}"))
    expected = oracle(8.2, 8, psu=30, calcium=422 * 30 / 35)[1]
    assert one(found, "aragonite_saturation").value == pytest.approx(expected, rel=0.01)


def test_readings_are_paired_by_day() -> None:
    found = of(
        ("2026-03-10", "{alkalinity: 9}"),
        ("2026-03-20", "{alkalinity: 8}"),
        ("2026-03-21", "{ph: 8.2}"),
        ("2026-03-25", "{ph: 8.4}"),
    )
    (pco2,) = found.of("pco2")
    assert pco2.value == pytest.approx(oracle(8.2, 8)[0], rel=0.01)
    assert [i.entry for i in pco2.inputs[:2]] == ["2026-03-21", "2026-03-20"]


@pytest.mark.parametrize(
    "days",
    [
        [("2026-03-20", "{ph: 8.2}")],
        [("2026-03-20", "{alkalinity: 8}")],
        [("2026-03-20", '{ph: 8.2, alkalinity: "< 2"}')],
        [("2026-03-20", '{ph: "> 8.2", alkalinity: 8}')],
        [("2026-03-20", "{ph: 8.2}"), ("2026-03-25", "{alkalinity: 8}")],
        # no published constants for brackish water
        [("2026-03-20", "{ph: 8.2, alkalinity: 8, salinity: 8}")],
    ],
)
def test_without_a_pair_there_is_no_figure(days: list[tuple[str, str]]) -> None:
    found = of(*days)
    assert found.of("pco2") == found.of("aragonite_saturation") == []


def test_us_units_give_the_same() -> None:
    # 77 °F = 25 °C; 8 dKH = 142.78 mg/L CaCO3; SG 1.02637 at 25/25 is 35 psu
    profile = TANK + "units: {system: us, alkalinity: mg/L CaCO3, salinity: SG}\n"
    found = of(("2026-03-20", "{ph: 8.2, alkalinity: 142.78, temperature: 77, salinity: 1.02637, "
                              "calcium: 422}"), profile=profile)  # fmt: skip
    assert one(found, "pco2").value == pytest.approx(oracle(8.2, 8)[0], rel=0.01)


@pytest.mark.parametrize(
    "readings",
    [
        "{ph: 5, alkalinity: 25}", "{ph: 10, alkalinity: 0.5}", "{ph: 10, alkalinity: 25}",
        "{ph: {value: 8.2, error: 5}, alkalinity: {value: 8, error: 25}}",
        "{ph: 8.2, alkalinity: 8, temperature: 0, salinity: 42, calcium: 1000}",
        "{ph: 8.2, alkalinity: 8, temperature: 45, salinity: 5}",
        "{ph: 8.2, alkalinity: 8, calcium: {value: 420, error: 5000}}",
        "{ammonia: 20, ph: 10, temperature: 45}", "{ammonia: 0, ph: 5}",
        "{ammonia: {value: 1, error: 90}, ph: {value: 8, error: 3}}",
        "{oxygen: 0}", "{oxygen: {value: 1, error: 9}}", "{oxygen: 20, temperature: 0}",
        "{alkalinity: 0.5, room_co2: 20000}", "{alkalinity: 25, room_co2: 250, salinity: 5}",
    ],
)  # fmt: skip
def test_extreme_readings_do_not_stop_a_build(readings: str) -> None:
    assert_sound(of(("2026-03-20", readings), ("2026-03-22", FULL)))
    assert_sound(of(("2026-03-20", readings)))


def equilibrium(dkh: float, ppm: float, hpa: float = 1013.25) -> float:
    """Give the oracle's pH on the NBS scale; dry air loses the share of vapour, 0.03066 atm."""
    kg_l = float(density_kg_m3(35.0, 25.0)) / 1000
    pco2 = ppm * (hpa / 1013.25 - 0.03066)
    found = PyCO2SYS.sys(
        dkh * MEQ_PER_DKH * 1000 / kg_l, pco2, 1, 4, salinity=35, temperature=25, opt_pH_scale=4
    )
    return float(found["pH"])


@pytest.mark.parametrize("dkh", [7, 8, 11])
def test_the_ph_of_balance(dkh: float) -> None:
    profile = AT_25 + "room: {carbon_dioxide: 1000 ppm}\n"
    found = of(("2026-03-20", f"{{alkalinity: {dkh}, temperature: 25, salinity: 35}}"),
               profile=profile)  # fmt: skip
    outside, room = (
        one(found, "equilibrium_ph", air).value for air in ("outside air", "this room")
    )
    assert outside == pytest.approx(equilibrium(dkh, 425), abs=0.006)
    assert room == pytest.approx(equilibrium(dkh, 1000), abs=0.006)
    # 425 to 1000 ppm is about 0.31, whatever the alkalinity
    assert outside - room == pytest.approx(0.31, abs=0.01)


def test_the_newest_alkalinity_and_the_measured_room_count() -> None:
    profile = AT_25 + "room: {carbon_dioxide: 1000 ppm}\n"
    found = of(("2026-03-10", "{alkalinity: 11}"), ("2026-03-20", "{alkalinity: 8, room_co2: 700}"),
               profile=profile)  # fmt: skip
    room = one(found, "equilibrium_ph", "this room")
    assert room.value == pytest.approx(equilibrium(8, 700), abs=0.006)
    assert ("2026-03-20", 1) in [(i.entry, i.line) for i in room.inputs[3:]]
    alone = of(("2026-03-20", "{alkalinity: 8}"))
    assert [r.subject for r in alone.of("equilibrium_ph")] == ["outside air"]


def test_thin_air_holds_less_carbon_dioxide() -> None:
    # ISO 2533: 898.75 hPa at 1000 m
    found = of(("2026-03-20", "{alkalinity: 8}"), profile=AT_25 + "altitude: 1000 m\n")
    high = one(found, "equilibrium_ph", "outside air").value
    assert high == pytest.approx(equilibrium(8, 425, 898.75), abs=0.006)


@pytest.mark.parametrize(
    ("ph", "celsius", "percent"),
    [(8.0, 25, 4.28), (8.2, 25, 6.61), (8.4, 25, 10.10), (7.5, 25, 1.39), (8.0, 20, 2.98)],
)
def test_the_published_table_of_un_ionised_ammonia(
    ph: float, celsius: float, percent: float
) -> None:
    """Bower & Bidwell 1978, 34 psu, quoted second-hand and good to 0.06 of a percent.

    1 mg/L N of NH3 is 1.21588 mg/L NH3.
    """
    found = of(("2026-03-20", f"{{ammonia: 1, ph: {ph}, temperature: {celsius}, salinity: 34}}"))
    toxic = one(found, "unionised_ammonia")
    assert toxic.value == pytest.approx(percent / 100 * 1.21588, abs=0.06 / 100 * 1.21588)
    assert toxic.unit == "mg/L NH3" and toxic.note == ""


def test_only_figures_for_the_same_form_stand_beside_it() -> None:
    toxic = one(of(("2026-03-20", "{ammonia: 1, ph: 8.2}")), "unionised_ammonia")
    beside = [i for i in toxic.inputs if i.label.startswith("for comparison")]
    assert len(beside) == 3 and all("NH3" in i.value for i in beside)
    assert all("from memory" in i.value or "no source" in i.value for i in beside)


def test_ammonia_below_and_above_the_limits_of_the_test() -> None:
    """20 mg/L is the most that a reading can be here; "> 8" is a full colour card."""
    found = of(("2026-03-20", '{ammonia: "< 0.1", ph: 8.2}'))
    below = one(found, "unionised_ammonia")
    assert below.low == 0 and below.note.startswith("At most")
    assert below.inputs[0].value == "< 0.10 mg/L N"
    above = one(of(("2026-03-20", '{ammonia: "> 8", ph: 8.2}')), "unionised_ammonia")
    assert above.low is None and above.high is None and above.note.startswith("At least")
    assert above.inputs[0].value == "> 8.00 mg/L N"


def test_without_a_ph_it_is_assumed_with_a_wide_interval() -> None:
    assumed = one(of(("2026-03-20", "{ammonia: 1, temperature: 25}")), "unionised_ammonia")
    tested = one(of(("2026-03-20", "{ammonia: 1, ph: {value: 8.2, error: 0.02}, temperature: 25}")),
                 "unionised_ammonia")  # fmt: skip
    assert assumed.value == pytest.approx(tested.value)
    assert assumed.inputs[1].value == "8.20 (assumed: not measured near this day)"
    assert assumed.high is not None and tested.high is not None and assumed.high > tested.high


def test_the_worked_oxygen_saturation() -> None:
    """6.2 mg/L at 26 °C and 35 psu: 93.1 %, Garcia & Gordon 1992."""
    found = of(("2026-03-20", "{oxygen: {value: 6.2, error: 0.3}, temperature: 26, salinity: 35}"))
    percent = one(found, "oxygen_saturation")
    assert percent.value == pytest.approx(93.1, abs=0.1)
    assert percent.high == pytest.approx(percent.value * 6.5 / 6.2)


def test_oxygen_in_thin_air() -> None:
    """At 1000 m 898.75 hPa (ISO 2533), vapour 0.0326 atm: (0.8870 - 0.0326) / 0.9674 = 0.8832."""
    readings = ("2026-03-20", "{oxygen: 6.2, temperature: 26, salinity: 35}")
    high = one(of(readings, profile=AT_25 + "altitude: 1000 m\n"), "oxygen_saturation")
    assert high.value == pytest.approx(93.1 / 0.8832, abs=0.15)
    feet = one(of(readings, profile=AT_25 + "altitude: 3280.84 ft\n"), "oxygen_saturation")
    assert feet.value == pytest.approx(high.value, rel=1e-4)


def test_an_oxygen_reading_beyond_the_probe_is_left_out() -> None:
    assert of(("2026-03-20", '{oxygen: "> 15"}')).of("oxygen_saturation") == []


def test_hazards() -> None:
    hazards = {metric.name: metric.hazard for metric in METRICS}
    assert hazards["equilibrium_ph"] == "gas" and hazards["unionised_ammonia"] == "chemical"


@settings(max_examples=12, deadline=None)
@given(ph=st.floats(7.5, 8.5), more=st.floats(0, 0.5))
def test_a_higher_ph_has_less_carbon_dioxide_and_more_toxic_ammonia(ph: float, more: float) -> None:
    low, high = (
        of(("2026-03-20", f"{{ph: {p:.3f}, alkalinity: 8, ammonia: 1}}")) for p in (ph, ph + more)
    )
    assert one(high, "pco2").value <= one(low, "pco2").value
    assert one(high, "aragonite_saturation").value >= one(low, "aragonite_saturation").value
    assert one(high, "unionised_ammonia").value >= one(low, "unionised_ammonia").value
