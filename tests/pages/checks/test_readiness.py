"""The list from bare tank to first animals: evidence and gaps, never a verdict."""

from __future__ import annotations

from pathlib import Path

from journal_tools.pages.checks.readiness import Step, readiness
from journal_tools.pages.site import Site
from tests.pages.built import Built, text_of
from tests.pages.checks.finding import of

BANDS = "targets: {alkalinity: 7 to 9 dKH, temperature: 24 to 27 °C, salinity: 34 to 36 psu}\n"


def steps(site: Site) -> dict[str, Step]:
    return {step.what: step for step in readiness(site)}


def test_an_empty_journal_misses_everything(empty: Built) -> None:
    assert {step.state for step in readiness(empty.site)} == {"missing", "not yet"}


def test_it_never_says_safe(any_system: Built) -> None:
    for step in readiness(any_system.site):
        assert "safe" not in f"{step.what} {step.evidence}".casefold()
    page = any_system.html["build"]
    section = next(s for s in page.all("section") if s.get("aria-labelledby") == "readiness")
    assert "It never says that animals may go in" in text_of(section)


def test_three_tests_running(tmp_path: Path) -> None:
    values = {1: 8.0, 2: 8.1, 3: 9.5, 4: 8.2}

    def log(count: int) -> dict[str, str]:
        return {f"log/2026-03-0{n}.yml": f"readings: {{alkalinity: {value}}}\n"
                for n, value in list(values.items())[:count]}  # fmt: skip

    what = "Alkalinity in its band, three tests running."
    two = steps(of(tmp_path / "a", BANDS, log(2)))[what]
    assert (two.state, two.evidence) == ("missing", "2 of 3 tests so far.")
    three = steps(of(tmp_path / "b", BANDS, log(3)))[what]
    assert three.state == "outside" and "9.5 dKH" in three.evidence
    good = {k: v.replace("9.5", "8.5") for k, v in log(4).items()}
    four = steps(of(tmp_path / "c", BANDS, good))[what]
    assert four.state == "measured" and four.entry == "2026-03-04"


def test_challenge_doses_are_asked_for(tmp_path: Path) -> None:
    what = "Ammonia and nitrite used up within a day of a dose, twice."
    log = {"log/2026-03-01.yml": "readings: {ammonia: 1, nitrite: 0.5}\n"}
    step = steps(of(tmp_path, "", log))[what]
    assert step.state == "missing" and "of 5" in step.evidence


def test_a_logged_test_of_the_residual_current_device(tmp_path: Path) -> None:
    tank = "upkeep: [{task: residual-current device, every: 1 month}]\n"
    log = {"log/2026-03-29.yml": "upkeep: [Residual current device]\n"}
    step = steps(of(tmp_path, tank, log))["Residual-current device tested."]
    assert (step.state, step.evidence, step.entry) == ("logged", "Last 2 days ago.", "2026-03-29")


def test_heating_that_is_guarded(tmp_path: Path) -> None:
    what = "Heating that a second device can switch off, or a second heater."
    one = "equipment: [{name: h, kind: heater}]\n"
    assert steps(of(tmp_path / "a", one))[what].state == "missing"
    guarded = one.replace("heater}", "heater, controlled: true}")
    assert steps(of(tmp_path / "b", guarded))[what].state == "logged"
    two = "equipment: [{name: h, kind: heater}, {name: g, kind: heater}]\n"
    assert steps(of(tmp_path / "c", two))[what].evidence == "In service: h, g."


def test_first_animals_and_sump(full: Built) -> None:
    found = steps(full.site)
    assert found["First animals."].state == "logged"
    assert found["First animals."].evidence == "clownfish, 20 March 2026, day 79."
    assert found["Room in the sump for a power cut."].state == "measured"
    assert found["Net volume."].evidence == "260 L, measured."
