"""What runs down when the pumps stop."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.metrics import METRICS, Metrics
from tests.journals import TANK, metrics
from tests.metrics.conftest import assert_sound

DISPLAY = "{name: display, length: 120, width: 50, water_height: 55, drains_down: 3 cm}"
SUMP = "{name: sump, length: 80, width: 40, water_height: 25, height: 40}"
PUMP = (
    "equipment: [{name: pump, kind: return pump, plumbing: "
    "{static_head: 1.2 m, pipes: [{length: 2 m, bore: 25 mm}]}"
)


def of(display: str = DISPLAY, sump: str = SUMP, pump: str = PUMP + "}]\n") -> Metrics:
    return metrics({"tank.yml": f"{TANK}vessels: [{display}, {sump}]\n{pump}"})


def litres(found: Metrics) -> tuple[float, float]:
    arrives, margin = found.one("back_siphon"), found.one("sump_margin")
    assert arrives is not None and margin is not None
    return arrives.value, margin.value


def test_a_power_cut_by_hand() -> None:
    """1.2 m x 0.5 m x 3 cm = 18 L, pi/4 x (25 mm)2 x 2 m = 0.98 L; 0.8 m x 0.4 m x 15 cm = 48 L."""
    assert litres(of()) == pytest.approx((18.98, 29.02), abs=0.005)


def test_the_range_holds_the_errors_of_the_measures() -> None:
    margin = of().one("sump_margin")
    assert margin is not None and margin.low is not None
    # 0.5 cm of the display is 3 L, of the sump 1.6 L, 1 % of both surfaces 0.18 and 0.48 L,
    # a tenth of the pipe 0.1 L; as squares (JCGM 100:2008, 5.1.2)
    error = (3**2 + 1.6**2 + 0.18**2 + 0.48**2 + 0.098**2) ** 0.5
    assert margin.value - margin.low == pytest.approx(error, rel=1e-3)
    assert margin.note == ""


def test_a_sump_that_is_too_full_says_so() -> None:
    found = of(sump=SUMP.replace("height: 40}", "height: 30}"))
    margin = found.one("sump_margin")
    assert margin is not None and margin.value == pytest.approx(16 - 18.98, abs=0.005)
    assert "overflow" in margin.note


@pytest.mark.parametrize(
    ("pump", "arrives"),
    [
        ("", 18.0),
        (PUMP + ", planned: true}]\n", 18.98),
        (PUMP + ", installed: 2026-01-02, removed: 2026-02-01}]\n", 18.0),
    ],
)
def test_pumps_that_are_there_or_planned_count(pump: str, arrives: float) -> None:
    assert litres(of(pump=pump))[0] == pytest.approx(arrives, abs=0.005)


def test_inches_give_the_same() -> None:
    # 1 in = 2.54 cm, 1 ft = 30.48 cm
    text = "units: {system: us}\nvessels:\n"
    text += "  - {name: display, length: 47.244, width: 19.685, water_height: 21.65, "
    text += "drains_down: 1.1811}\n"
    text += (
        "  - {name: sump, length: 31.496, width: 15.748, water_height: 9.8425, height: 15.748}\n"
    )
    pump = PUMP.replace("1.2 m", "4").replace("2 m", "6.5617").replace("25 mm", "0.98425")
    found = metrics({"tank.yml": f"{TANK}{text}{pump}}}]\n"})
    assert litres(found) == pytest.approx((18.98, 29.02), abs=0.01)


@pytest.mark.parametrize(
    ("display", "sump"),
    [
        (DISPLAY.replace(", drains_down: 3 cm", ""), SUMP),
        (DISPLAY, SUMP.replace(", height: 40", "")),
        (DISPLAY, SUMP.replace("height: 40", "height: 20")),
        (DISPLAY, SUMP.replace("sump", "tub")),
        (DISPLAY, "{name: sump, shape: stated, volume: 90 L, water_height: 25, height: 40}"),
        (DISPLAY.replace("3 cm", "30 m"), SUMP),
    ],
)
def test_without_a_fact_there_is_no_figure(display: str, sump: str) -> None:
    found = of(display, sump)
    assert found.one("back_siphon") is None and found.one("sump_margin") is None
    assert_sound(found)


def test_water_on_the_floor_carries_a_caution() -> None:
    cautions = {metric.name: metric.caution for metric in METRICS}
    assert "licensed electrician" in cautions["back_siphon"] == cautions["sump_margin"]


@settings(max_examples=12, deadline=None)
@given(fall=st.floats(0, 20), more=st.floats(0, 20))
def test_the_further_it_drains_the_less_room_is_left(fall: float, more: float) -> None:
    (first, room), (second, left) = (
        litres(of(DISPLAY.replace("3 cm", f"{cm:.3f} cm"))) for cm in (fall, fall + more)
    )
    assert second >= first and left <= room
    assert first + room == pytest.approx(48.0)
