"""Weight, load and glass through a profile: figures to compare with, never a verdict."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.metrics import METRICS, Metrics, Result
from tests.journals import TANK, metrics
from tests.metrics.conftest import assert_sound
from tests.science.check_values import read_rows

# At 25 °C and 35 psu the water weighs 1.02334 kg/L: EOS-80 check value of UNESCO 44 (1023.34306).
AT_25 = TANK + "targets: {temperature: 24 to 26, salinity: 34 to 36}\n"
BOX = "length: 120, width: 50, water_height: 55, height: 60, glass_thickness: 12 mm"
STAND = "stand: {length: 120, width: 50, mass: 40 kg, feet: 4, rated_load: 600 kg}\n"
FILL = "fill: {rock: {mass: 20 kg}, sand: {mass: 16 kg}, measured_volume: 300 ± 6 L}\n"


def of(vessel: str = BOX, fill: str = FILL, stand: str = STAND) -> Metrics:
    return metrics({"tank.yml": f"{AT_25}vessels: {{name: display, {vessel}}}\n{fill}{stand}"})


def one(found: Metrics, name: str, subject: str | None = None) -> Result:
    result = found.one(name, subject)
    assert result is not None, (name, found.beyond)
    return result


def test_the_mass_of_a_system_by_hand() -> None:
    """300 L x 1.02334 = 307.0 kg; five panes of 12 mm, the sides between front and back:
    2 (122.4 + 50) 60 x 1.2 + 122.4 x 52.4 x 1.2 = 32 522 cm3, x 2.5 = 81.3 kg; 20 + 16 + 40.
    """
    weight = one(of(), "system_weight")
    assert weight.value == pytest.approx(307.0 + 81.31 + 20 + 16 + 40, abs=0.02)
    # 2 % of the water, 10 % of the glass, 5 % of what is stated, as squares
    error = (6.14**2 + 8.131**2 + 1**2 + 0.8**2 + 2**2) ** 0.5
    assert weight.high == pytest.approx(weight.value + error, abs=0.01)
    assert weight.low == pytest.approx(weight.value - error, abs=0.01)
    assert [i.label for i in weight.inputs] == [
        "water", "walls of display", "rock", "sand", "stand",
    ]  # fmt: skip
    assert "Without" not in weight.note


def test_pieces_of_one_name_all_count() -> None:
    twice = FILL.replace("{mass: 20 kg}", "[{mass: 12 kg}, {mass: 8 kg}]")
    assert one(of(fill=twice), "system_weight").value == pytest.approx(
        one(of(), "system_weight").value
    )


@pytest.mark.parametrize(
    ("fill", "kg"),
    [
        ("{rock: {displaces: 10 L}, measured_volume: 300 L}", 19.5),
        # 10 L of bed, 45 % of it pores, 2.93 kg/L
        ("{sand: {bed_volume: 10 L}, measured_volume: 300 L}", 16.115),
    ],
)
def test_rock_and_sand_of_known_volume(fill: str, kg: float) -> None:
    more = one(of(fill=f"fill: {fill}\n"), "system_weight").value
    less = one(of(fill="fill: {measured_volume: 300 L}\n"), "system_weight").value
    assert more - less == pytest.approx(kg)


def test_acrylic_is_lighter_and_has_no_figures_of_glass() -> None:
    found = of(BOX + ", material: acrylic")
    glass, acrylic = (
        next(i.value for i in one(f, "system_weight").inputs if i.label.startswith("walls"))
        for f in (of(), found)
    )
    # 32 522 cm3 of 1.19 g
    assert (glass, acrylic) == ("81 kg", "39 kg")
    assert found.one("pane_stress") is None and found.one("pane_deflection") is None


def test_what_is_not_told_is_named() -> None:
    found = of("shape: cylinder, diameter: 60, water_height: 50", stand="")
    assert one(found, "system_weight").note.startswith(
        "Without the walls of display, the stand: not told or no box."
    )
    for name in ("footprint_pressure", "foot_load", "stand_share", "pane_stress"):
        assert found.one(name) is None
    assert metrics({"tank.yml": AT_25 + STAND}).one("system_weight") is None


def test_load_on_floor_stand_and_feet_by_hand() -> None:
    """464.3 kg x 9.80665 m/s2 on 1.2 m by 0.5 m, on four feet, and 424.3 kg of 600."""
    found = of()
    pressure, foot, share = (
        one(found, name) for name in ("footprint_pressure", "foot_load", "stand_share")
    )
    assert pressure.value == pytest.approx(7.589, abs=1e-3)
    assert any("EN 1991-1-1" in i.label and "from memory" in i.value for i in pressure.inputs)
    assert (foot.value, foot.low, foot.high) == pytest.approx((116.08, 0, 232.16), abs=0.01)
    assert share.value == pytest.approx(70.72, abs=0.01)
    assert share.low is not None and share.high is not None and share.low < share.high


def test_three_feet_cannot_rock() -> None:
    foot = one(of(stand=STAND.replace("feet: 4", "feet: 3")), "foot_load")
    assert foot.low == foot.value == foot.high


def test_without_a_stand_the_footprint_is_that_of_the_tank() -> None:
    pressure = one(of(stand=""), "footprint_pressure")
    assert pressure.value == pytest.approx((464.31 - 40) * 9.80665 / 600, abs=1e-3)
    assert pressure.inputs[1].label == "footprint of the tank"


def test_a_us_journal() -> None:
    """The same tank in inches and pounds: 1 in = 2.54 cm, 1 lb = 0.45359237 kg, both exact."""
    vessel = "length: 47.244, width: 19.685, water_height: 21.654, height: 23.622"
    text = f"{AT_25}units: {{system: us, temperature: °C}}\n"
    text += f"vessels: {{name: display, {vessel}, glass_thickness: 0.47244}}\n"
    text += "fill: {rock: {mass: 44.0925}, sand: {mass: 35.274}, measured_volume: 79.2516}\n"
    text += "stand: {length: 47.244, width: 19.685, mass: 88.185, feet: 4, rated_load: 1322.77}\n"
    us, metric = metrics({"tank.yml": text.replace("24 to 26,", "24 to 26 °C,")}), of()
    for name in ("system_weight", "footprint_pressure", "stand_share", "pane_stress"):
        assert one(us, name).value == pytest.approx(one(metric, name).value, rel=1e-4)


def reference(quantity: str) -> float:
    (row,) = [row for row in read_rows() if row.quantity == quantity]
    return row.value


@pytest.mark.parametrize(
    ("rim", "mpa", "mm"),
    [
        (
            "rimless",
            reference("rimless pane stress"),
            reference("rimless pane top-edge deflection"),
        ),
        # Levy series, an independent solution
        ("braced", 3.81, 0.26),
    ],
)
def test_the_worked_pane(rim: str, mpa: float, mm: float) -> None:
    """L 1.2 m, H 0.55 m, 12 mm, E 70 GPa, nu 0.23, full to the edge."""
    found = of(f"{BOX.replace('height: 60', 'height: 55')}, rim: {rim}")
    stress, bend = one(found, "pane_stress", "display"), one(found, "pane_deflection", "display")
    assert stress.value == pytest.approx(mpa, abs=0.01)
    assert bend.value == pytest.approx(mm, abs=0.01)
    assert stress.high is not None and stress.high > reference("rimless pane stress")
    assert [i.value for i in stress.inputs][:5] == ["120 cm", "55 cm", "12 mm", "55 cm", rim]


def test_glass_that_bends_beyond_half_its_thickness_says_so() -> None:
    thin = one(of(BOX.replace("12 mm", "4 mm")), "pane_deflection")
    assert thin.value > 2 and "bends less" in thin.note
    assert one(of(), "pane_deflection").note == ""


def test_an_untold_edge_is_taken_as_free() -> None:
    assert ("upper edge", "rimless (assumed: not told)") in [
        (i.label, i.value) for i in one(of(), "pane_stress").inputs
    ]


@pytest.mark.parametrize(
    "vessel",
    [
        "length: 120, width: 50, water_height: 3, height: 3, glass_thickness: 12 mm",
        "length: 5, width: 5, water_height: 200, height: 210, glass_thickness: 5 mm",
        "length: 120, width: 50, water_height: 55, height: 40, glass_thickness: 12 mm",
        "length: 120, width: 50, water_height: 55, height: 0, glass_thickness: 12 mm",
        "length: 120, width: 50, water_height: 55, glass_thickness: 0",
        "length: 120, width: 50, water_height: 55, glass_thickness: 100 cm",
        "length: 2000, width: 0.1, water_height: 0.1, glass_thickness: 1 mm",
    ],
)
def test_odd_vessels_do_not_stop_a_build(vessel: str) -> None:
    found = of(vessel, stand="stand: {length: 0, width: 0, mass: 0, feet: 1, rated_load: 0}\n")
    assert_sound(found)
    assert found.one("pane_stress") is None
    assert found.one("foot_load") is not None or "system_weight" in found.beyond


def test_an_error_greater_than_the_volume_stops_nothing() -> None:
    found = of(fill="fill: {measured_volume: 100 ± 300 L}\n")
    assert_sound(found)
    low = one(found, "system_weight").low
    assert low is not None and low > 0


def test_figures_that_may_be_taken_for_a_verdict_carry_a_caution() -> None:
    cautions = {metric.name: metric.caution for metric in METRICS}
    for name in ("system_weight", "footprint_pressure", "foot_load", "stand_share"):
        assert "structural engineer" in cautions[name]
    for name in ("pane_stress", "pane_deflection"):
        assert "glazier" in cautions[name]


@settings(max_examples=12, deadline=None)
@given(less=st.floats(10, 300), more=st.floats(0, 300))
def test_more_water_weighs_more(less: float, more: float) -> None:
    first, second = (
        one(of(fill=f"fill: {{measured_volume: {litres:.3f} L}}\n"), "system_weight").value
        for litres in (less, less + more)
    )
    assert second >= first
