"""Return pump, plumbing, circulation."""

from __future__ import annotations

from pathlib import Path

from tests.pages.built import Built
from tests.pages.checks.finding import check, of


def test_the_real_flow_with_its_curve(full: Built) -> None:
    found = check(full.site, "return-returnpump")
    flow = full.site.shown.one("return_flow")
    assert flow is not None and found.figure is not None
    assert found.figure.metric == "turnover"
    assert "its box promises 11.5 times an hour" in found.sentence  # 3000 L/h / 260 L
    assert found.pictures and found.gauge
    assert "About 10 times an hour" in found.practice and "3 to 5" in found.practice
    assert "The part that costs most" in found.changes and "wider bore" in found.changes


def test_a_box_alone_is_no_real_flow(tmp_path: Path) -> None:
    tank = "vessels: {name: d, shape: stated, volume: 100 L}\n"
    tank += "equipment: [{name: p, kind: return pump, rated_flow: 1000 L/h}]\n"
    found = check(of(tmp_path, tank), "return-p")
    assert found.sentence.endswith("over 10.0 times an hour; the real flow is less.")
    assert any("curve" in hint for hint in found.missing)


def test_no_pump_is_asked_for(empty: Built) -> None:
    assert "rated_flow" in check(empty.site, "return-pump").missing[0]
    assert "rated_flow" in check(empty.site, "circulation").missing[0]


def test_circulation_against_the_water(full: Built) -> None:
    found = check(full.site, "circulation")
    assert "23 times an hour" in found.sentence  # 6000 L/h / 260 L
    assert "soft corals" in found.practice
