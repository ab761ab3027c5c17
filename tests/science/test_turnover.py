from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.science.turnover import exchange_time_h, hours_per_turnover, turnovers_per_hour
from journal_tools.science.water_change import remaining_after_continuous

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
