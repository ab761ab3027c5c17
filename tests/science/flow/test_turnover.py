from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.flow.turnover import (
    exchange_time_h,
    hours_per_turnover,
    surface_skims_per_hour,
    turnovers_per_hour,
    weir_flow_l_h,
    weir_head_mm,
)
from journal_tools.science.water.water_change import remaining_after_continuous

flows = st.floats(0.1, 1e5)
volumes = st.floats(1.0, 1e4)


def test_a_published_mesocosm() -> None:
    # BCO-DMO dataset 884411: tanks of 510 L, measured inflow 84.36 mL/s (± 1.20, n = 826),
    # reported as "full turnover every ~2 hours".
    inflow_l_h = 84.36 * 3.6
    assert hours_per_turnover(inflow_l_h, 510) == pytest.approx(1.679, abs=5e-4)
    assert turnovers_per_hour(inflow_l_h, 510) == pytest.approx(0.5955, abs=5e-5)
    assert round(hours_per_turnover(inflow_l_h, 510)) == 2


@given(flows, volumes)
def test_turnovers_and_hours_are_inverse(flow_l_h: float, volume_l: float) -> None:
    product = turnovers_per_hour(flow_l_h, volume_l) * hours_per_turnover(flow_l_h, volume_l)
    assert product == pytest.approx(1)


@given(flows, volumes, st.floats(1.0, 100.0))
def test_a_larger_system_with_more_flow_turns_over_alike(
    flow_l_h: float, volume_l: float, scale: float
) -> None:
    found = turnovers_per_hour(scale * flow_l_h, scale * volume_l)
    assert found == pytest.approx(turnovers_per_hour(flow_l_h, volume_l))


@given(flows, volumes, st.floats(0.0, 0.999))
def test_exchange_is_a_washout(flow_l_h: float, volume_l: float, fraction: float) -> None:
    hours = exchange_time_h(flow_l_h, volume_l, fraction)
    left = remaining_after_continuous(min(hours * flow_l_h / volume_l, 100.0))
    assert left == pytest.approx(1 - fraction)


def test_one_turnover_is_not_a_full_exchange() -> None:
    assert exchange_time_h(400, 400, 1 - np.exp(-1)) == pytest.approx(1)
    assert exchange_time_h(400, 400, 0.95) == pytest.approx(3, abs=0.01)


def test_no_flow_and_no_volume() -> None:
    assert turnovers_per_hour(0.0, 100) == 0
    with pytest.raises(ValueError, match="flow 0 L/h"):
        hours_per_turnover(0.0, 100)
    with pytest.raises(ValueError, match="net volume 0 L"):
        turnovers_per_hour(100.0, 0)
    with pytest.raises(ValueError, match="fraction 1 is outside"):
        exchange_time_h(100.0, 100, 1)
    found = hours_per_turnover(np.array([100.0, 0.0]), 100)
    assert found == pytest.approx([1, np.nan], nan_ok=True)


weirs = st.floats(10.0, 200.0)
contractions = st.integers(0, 2)


def test_the_weir_formula_in_feet() -> None:
    # Francis 1855, as in handbooks: Q = 3.33 L h^1.5 in feet and seconds. 1 ft over 10 ft.
    foot_mm, cubic_foot_l = 304.8, 28.316846592
    found = weir_flow_l_h(foot_mm, 10 * foot_mm / 10) / 3600 / cubic_foot_l
    assert found == pytest.approx(3.33 * 10, rel=1.5e-3)
    notched = weir_flow_l_h(foot_mm, 10 * foot_mm / 10, 2) / 3600 / cubic_foot_l
    assert notched == pytest.approx(3.33 * (10 - 0.2), rel=1.5e-3)


@pytest.mark.parametrize("head_mm", [30.0, 60.0, 120.0])
def test_the_weir_agrees_with_another_formula(head_mm: float) -> None:
    # Kindsvater & Carter 1957 for a wall-to-wall weir on a high wall (ISO 1438, recalled):
    # Q = 2/3 (0.602 + 0.075 h/P) sqrt(2g) (b - 0.9 mm) (h + 1 mm)^1.5; here P = 1 m.
    head_m = head_mm / 1000
    discharge = 0.602 + 0.075 * head_m
    other = 2 / 3 * discharge * (2 * 9.80665) ** 0.5 * (1.0 - 0.0009) * (head_m + 0.001) ** 1.5
    assert weir_flow_l_h(head_mm, 100.0) == pytest.approx(other * 3.6e6, rel=0.05)


@given(st.floats(0.0, 30.0), weirs, contractions)
def test_weir_flow_and_head_are_inverse(head_mm: float, length_cm: float, ends: int) -> None:
    flow = weir_flow_l_h(head_mm, length_cm, ends)
    assert weir_head_mm(flow, length_cm, ends) == pytest.approx(head_mm, abs=1e-9)


@given(st.floats(100.0, 5000.0), weirs, st.floats(1.01, 4.0), contractions)
def test_a_longer_edge_skims_thinner(
    flow_l_h: float, length_cm: float, factor: float, ends: int
) -> None:
    short = weir_head_mm(flow_l_h, length_cm + 20, ends)
    long = weir_head_mm(flow_l_h, (length_cm + 20) * factor, ends)
    assert long < short
    wall_to_wall = weir_head_mm(flow_l_h, length_cm + 20)
    assert wall_to_wall <= short * (1 + 1e-12)


@given(st.floats(100.0, 3000.0), weirs)
def test_eight_times_the_flow_stands_four_times_as_high(flow_l_h: float, length_cm: float) -> None:
    length = length_cm + 40
    assert weir_head_mm(8 * flow_l_h, length) == pytest.approx(4 * weir_head_mm(flow_l_h, length))


def test_skims_are_turnovers_of_a_thin_layer() -> None:
    # 6000 cm2 and 10 mm are 6 L.
    assert surface_skims_per_hour(3000.0, 6000.0, 10.0) == pytest.approx(500)
    assert surface_skims_per_hour(3000.0, 6000.0, 10.0) == turnovers_per_hour(3000.0, 6.0)


def test_a_weir_too_deep_for_its_length_is_refused() -> None:
    with pytest.raises(ValueError, match=r"head over the weir 30 mm is outside 0 to 16\.6667 mm"):
        weir_flow_l_h(30.0, 5.0)
    with pytest.raises(ValueError, match=r"head over the weir .* mm is outside 0 to"):
        weir_head_mm(5000.0, 5.0)
    with pytest.raises(ValueError, match="end contractions 3 are not"):
        weir_head_mm(1000.0, 50.0, 3)
    with pytest.raises(ValueError, match="layer 0 mm"):
        surface_skims_per_hour(3000.0, 6000.0, 0.0)


@given(st.lists(st.tuples(flows, volumes, st.floats(0.0, 0.99)), min_size=1, max_size=4))
def test_an_array_gives_what_its_numbers_give(several: list[tuple[float, float, float]]) -> None:
    flow, volume, share = np.array(several).T
    assert turnovers_per_hour(flow, volume).tolist() == [
        turnovers_per_hour(f, v) for f, v, _ in several
    ]
    assert hours_per_turnover(flow, volume).tolist() == [
        hours_per_turnover(f, v) for f, v, _ in several
    ]
    assert exchange_time_h(flow, volume, share) == pytest.approx(
        [exchange_time_h(f, v, s) for f, v, s in several]
    )
    gentle = flow / 10
    assert weir_head_mm(gentle, 100.0, 2) == pytest.approx(
        [weir_head_mm(float(f), 100.0, 2) for f in gentle]
    )
    assert type(turnovers_per_hour(100.0, 10.0)) is type(weir_head_mm(100.0, 40.0)) is float
    found = turnovers_per_hour(np.array([100.0, 100.0]), np.array([50.0, 0.0]))
    assert found == pytest.approx([2, np.nan], nan_ok=True)
