"""Nitrate from feeding, and the oxygen that the fish use."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.metrics import Metrics, Result
from tests.journals import TANK, metrics
from tests.metrics.conftest import assert_sound
from tests.science.check_values import read_rows

FOODS = "foods: [{name: flakes, protein: 45 %}, {name: frozen, protein: 10 %}, {name: algae}]\n"
TANK_300 = TANK + "fill: {measured_volume: 300 ± 6 L}\n" + FOODS


def fed(*meals: tuple[str, str], profile: str = TANK_300) -> Metrics:
    log = {f"log/{day}.yml": f"feed: {text}\n" for day, text in meals}
    # a second spelling or an unknown food is worth a hint, and no reason to stop
    return metrics({"tank.yml": profile} | log, but=("two-spellings", "unknown-name"))


def one(found: Metrics, name: str) -> Result:
    result = found.one(name)
    assert result is not None, (name, found.beyond)
    return result


MONTH = (("2026-03-02", "{what: flakes, amount: 30 g}"),
         ("2026-03-31", "{what: Flakes, amount: 30 g}"))  # fmt: skip


def reference(quantity: str) -> float:
    (row,) = [row for row in read_rows() if row.quantity == quantity]
    return row.value


def test_the_worked_rise_of_nitrate() -> None:
    """2 g a day of 45 % protein in 300 L: 1.22 mg/L a day; all nitrogen 2.12."""
    rise = one(fed(*MONTH), "nitrate_from_feed")
    most = reference("NO3 rise upper bound, all feed N")
    assert rise.value == pytest.approx(reference("NO3 rise from feed, TAN route"), rel=1e-3)
    assert rise.high == pytest.approx(most * 1.02, rel=1e-3)
    assert rise.low == pytest.approx(rise.value * 0.98 * 0.7, rel=1e-3)
    food = rise.inputs[0]
    assert (food.label, food.value) == ("flakes", "60.0 g in 30 days, 45 % protein")
    assert (food.entry, food.line) == ("2026-03-31", 1)


def test_a_log_that_has_just_begun_is_not_spread_over_a_month() -> None:
    rise = one(fed(("2026-03-30", "{what: flakes, amount: 2 g}"),
                   ("2026-03-31", "{what: flakes, amount: 2 g}")), "nitrate_from_feed")  # fmt: skip
    assert rise.value == pytest.approx(reference("NO3 rise from feed, TAN route"), rel=1e-3)


def test_what_was_fed_more_than_30_days_ago_does_not_count() -> None:
    rise = one(fed(("2026-02-01", "{what: flakes, amount: 500 g}"), *MONTH), "nitrate_from_feed")
    assert rise.value == pytest.approx(reference("NO3 rise from feed, TAN route"), rel=1e-3)
    assert fed(("2026-02-01", "{what: flakes, amount: 500 g}")).of("nitrate_from_feed") == []


def test_wet_food_counts_by_its_own_protein() -> None:
    """30 days of 2 g at 10 %: 10 / 45 of the worked rise."""
    wet = [(day, "{what: frozen, amount: 30 g}") for day, _ in MONTH]
    assert one(fed(*wet), "nitrate_from_feed").value == pytest.approx(
        reference("NO3 rise from feed, TAN route") * 10 / 45, rel=1e-3
    )


def test_food_of_unknown_mass_or_protein_is_named() -> None:
    found = fed(*MONTH, ("2026-03-20", "[algae, {what: nori, amount: 3 g}, frozen]"))
    note = one(found, "nitrate_from_feed").note
    assert note.endswith("Without algae, nori, frozen: no mass or no protein is told.")
    assert fed(("2026-03-20", "algae")).of("nitrate_from_feed") == []
    assert fed(*MONTH, profile=TANK + FOODS).of("nitrate_from_feed") == []


@pytest.mark.parametrize("protein", ["0 %", "95 %", "100 %"])
def test_odd_protein_does_not_stop_a_build(protein: str) -> None:
    profile = TANK_300.replace("45 %", protein).replace("± 6", "± 900")
    assert_sound(fed(*MONTH, profile=profile))


FISH = "animals: [{name: goby, group: fish}, {name: tang, group: fish, mass_a: 0.02, mass_b: 3}]\n"


def with_fish(*events: str, more: str = "") -> Metrics:
    log = {"log/2026-02-01.yml": f"livestock: [{', '.join(events)}]\n"}
    profile = TANK + "targets: {temperature: 24 to 26}\n" + FISH + more
    return metrics({"tank.yml": profile} | log)


def test_the_oxygen_of_a_fish_by_hand() -> None:
    """0.02 x 13.572^3 = 50 g; ln R = 0.80 ln 50 - 5.43 mmol/h is 64.1 mg/kg/h, 3.21 mg/h at 15 °C.

    Ten degrees more: x 1.8 at rest, x 2.4 x 3 swimming. Clarke & Johnston 1999, from memory.
    """
    use = one(with_fish("{added: tang, length: 13.572 cm}"), "fish_oxygen_use")
    resting = reference("resting O2 use") * 0.05
    assert use.low == pytest.approx(resting * 1.8, rel=1e-3)
    assert use.high == pytest.approx(resting * 2.4 * 3, rel=1e-3)
    assert (use.inputs[0].entry, use.inputs[0].line) == ("2026-02-01", 1)


def test_fish_that_cannot_be_weighed_are_named() -> None:
    found = with_fish("{added: tang, length: 10 cm}", "{added: goby}",
                      "{added: Goby fry, count: 30, length: 1 cm}")  # fmt: skip
    assert one(found, "fish_oxygen_use").note == "Without goby: no usable length is known."
    fry = with_fish("{added: tang, length: 10 cm}", "{added: goby, count: 9, length: 1.5 cm}")
    # 0.02 x 1.5^3 = 0.07 g
    assert one(fry, "fish_oxygen_use").note == "Without 9 fish below 0.1 g or above 10 kg."
    assert with_fish("{added: goby, length: 1.5 cm}").of("fish_oxygen_use") == []
    assert with_fish("{added: goby}").of("fish_oxygen_use") == []


def test_a_set_point_beyond_the_method_is_no_crash() -> None:
    heater = "equipment: [{name: h, kind: heater, set_point: 45}]\n"
    found = with_fish("{added: tang, length: 10 cm}", more=heater)
    assert found.of("fish_oxygen_use") == []
    assert "45" in found.beyond["fish_oxygen_use"]


@settings(max_examples=12, deadline=None)
@given(grams=st.floats(0.1, 500), more=st.floats(0, 500))
def test_more_food_makes_more_nitrate(grams: float, more: float) -> None:
    rises = [
        one(fed(("2026-03-20", f"{{what: flakes, amount: {g:.3f} g}}")), "nitrate_from_feed")
        for g in (grams, grams + more)
    ]
    assert rises[0].value <= rises[1].value and math.isfinite(rises[1].value)
