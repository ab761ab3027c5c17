"""Which pieces count, and the water that they work in."""

from __future__ import annotations

import pytest

from journal_tools.metrics.gear import PLANNED, combined, in_service, in_use, planned_note
from journal_tools.metrics.gear import usual_water as usual
from journal_tools.science.estimate import Estimate
from journal_tools.system import Equipment
from journal_tools.tables import Tables
from tests.journals import TANK, tables


def told(profile: str, log: dict[str, str] | None = None) -> Tables:
    return tables({"tank.yml": TANK + profile} | (log or {}))


def heaters(*facts: str) -> str:
    pieces = (f"  - {{name: heater {n}, kind: heater, {fact}}}\n" for n, fact in enumerate(facts))
    return "equipment:\n" + "".join(pieces)


def names(pieces: list[Equipment]) -> list[str]:
    return [piece.name for piece in pieces]


def test_what_is_planned_removed_or_failed_is_not_in_service() -> None:
    log = {
        "log/2026-02-01.yml": "equipment: {removed: heater 1}\n",
        "log/2026-02-02.yml": "equipment: {failed: heater 2}\n",
    }
    facts = ("power: 100 W", "power: 100 W", "power: 100 W", "planned: true",
             "installed: 2026-07-01")  # fmt: skip
    found = told(heaters(*facts), log)
    assert names(in_service(found, "heater")) == ["heater 0"]
    assert names(in_use(found, "heater")) == ["heater 0"]
    assert in_service(found, "chiller") == in_use(found, "chiller") == []


def test_planned_pieces_stand_in_and_of_a_choice_only_the_first() -> None:
    facts = ("planned: true, choice: which", "planned: true, choice: which", "planned: true")
    found = told(heaters(*facts))
    assert in_service(found, "heater") == []
    pieces = in_use(found, "heater")
    assert names(pieces) == ["heater 0", "heater 2"]
    assert {planned_note(found, piece) for piece in pieces} == {PLANNED}


def test_a_piece_in_service_has_no_mark() -> None:
    found = told(heaters("installed: 2026-01-02"))
    assert planned_note(found, in_use(found, "heater")[0]) == ""


@pytest.mark.parametrize(
    ("profile", "degrees", "label"),
    [
        # the higher set point holds the water, wherever it stands in the list
        (heaters("set_point: 24.5", "set_point: 25.5"), 25.5, "set point of heater 1"),
        (heaters("set_point: 25.5", "set_point: 24.5"), 25.5, "set point of heater 0"),
        # one that holds less than the band counts: it is what the keeper set
        (heaters("set_point: 20"), 20, "set point of heater 0"),
        # 78 °F = (78 - 32) 5 / 9 = 25.556 °C
        ("units: {system: us}\n" + heaters("set_point: 78"), 25.556, "set point of heater 0"),
        ("targets: {temperature: 24 to 26}\n", 25, "middle of the temperature band"),
        # 24 to 27 °C is common practice
        ("", 25.5, "middle of the temperature band"),
        ("targets: {temperature: below 24.5}\n", 24.5,
         "temperature (assumed: the band is open)"),
        ("targets: {temperature: above 26}\n", 26,
         "temperature (assumed: the band is open)"),
    ],
)  # fmt: skip
def test_the_temperature_that_is_aimed_at(profile: str, degrees: float, label: str) -> None:
    water = usual(told(profile))
    assert water.temperature_c == pytest.approx(degrees, abs=5e-4)
    assert water.inputs[0].label == label


def test_the_band_of_today_counts() -> None:
    bands = "targets: {salinity: 32 to 34}\nlater_targets:\n"
    bands += "  - {start: 2026-03-01, bands: {salinity: 34 to 36}}\n"
    bands += "  - {start: 2026-05-01, bands: {salinity: 30 to 31}}\n"
    assert usual(told(bands)).salinity == 35


def test_a_sum_of_independent_parts() -> None:
    # JCGM 100:2008, 5.1.2: 3 and 4 make 5
    found = combined([Estimate(10, 7, 10), Estimate(20, 16, 21)])
    assert (found.value, found.low, found.high) == (30, 25, 31)
    assert combined([]) == Estimate(0, 0, 0)
