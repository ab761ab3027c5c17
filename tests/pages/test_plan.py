"""The drawn plan: to scale, with every piece, whatever the names and measures are."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from journal_tools.pages.plan import Plan, system_plan
from tests import journals
from tests.pages.built import Built


def plan(tmp_path: Path, tank: str) -> Plan | None:
    return system_plan(journals.site(tmp_path, {"tank.yml": journals.TANK + tank}))


def drawn(found: Plan) -> ElementTree.Element:
    return ElementTree.fromstring(found.svg)


def texts(found: Plan) -> list[str]:
    return ["".join(e.itertext()) for e in drawn(found).iter("text")]


def test_it_shows_litres_flow_heights_and_sections(full: Built) -> None:
    found = system_plan(full.site)
    assert found is not None
    told = texts(found)
    # 100 x 50 x 50 cm and 60 x 40 x 20 cm
    assert "display, 250 L" in told and "sump, 48 L" in told
    assert "drain" in told and "return" in told and "50 cm" in told and "20 cm" in told
    flow = full.site.shown.one("return_flow")
    assert flow is not None
    assert any("L/h" in text and "1.2 m up" in text for text in told)


def test_every_piece_in_use_has_its_number_once(full: Built) -> None:
    found = system_plan(full.site)
    assert found is not None
    numbers = [number for number, _, _ in found.legend]
    assert numbers == [*range(1, len(numbers) + 1)]
    dots = [t for t in texts(found) if t.isdigit()]
    assert sorted(dots, key=int) == [str(number) for number in numbers]
    names = [name for _, name, _ in found.legend]
    assert "old pump" not in names and "return pump" in names and "heater two" in names
    assert "5000" not in found.words and "left pump" in found.words


def test_the_legend_says_what_a_piece_does(full: Built) -> None:
    found = system_plan(full.site)
    assert found is not None
    facts = {name: words for _, name, words in found.legend}
    assert facts["left pump"] == "circulation pump, 6000 L/h" or "6000 L/h" in facts["left pump"]
    assert facts["heater one"] == "150 W" and facts["top-off"] == "12 L"
    assert facts["lamp"] == "light, 100 W, 25 cm above the water"


def test_widths_are_to_one_scale(full: Built) -> None:
    """100 cm and 60 cm: the walls of the sump stand 0.6 times as far apart."""
    found = system_plan(full.site)
    assert found is not None
    walls = [e.get("d", "") for e in drawn(found).iter("path") if e.get("class") == "jt-plan__wall"]
    boxes = [re.fullmatch(r"M([\d.]+) [\d.]+V[\d.]+H([\d.]+)V[\d.]+", d) for d in walls]
    widths = [float(m[2]) - float(m[1]) for m in boxes if m]
    assert widths[1] / widths[0] == pytest.approx(0.6, abs=0.001)


def test_a_stated_place_wins(full: Built) -> None:
    found = system_plan(full.site)
    assert found is not None
    number = next(n for n, name, _ in found.legend if name == "top-off")
    circles = list(drawn(found).iter("circle"))
    spot = next(
        c for c, t in zip(circles, [t for t in texts(found) if t.isdigit()], strict=True)
        if t == str(number)
    )  # fmt: skip
    left_wall = 56 + (400 - 56 - 66) * 0.3
    assert float(spot.get("cx", "0")) > left_wall


@pytest.mark.parametrize(
    "tank",
    ["", "vessels: {name: display, shape: stated, volume: 200 L}\n", "equipment: [{name: a}]\n"],
)
def test_without_measures_there_is_no_plan(tank: str, tmp_path: Path) -> None:
    assert plan(tmp_path, tank) is None


def test_without_a_sump_there_are_no_pipes(tmp_path: Path) -> None:
    found = plan(
        tmp_path,
        "vessels: {name: tank, length: 60, width: 30, water_height: 30}\n"
        "equipment: [{name: a pump, kind: return pump, rated_flow: 500}]\n",
    )
    assert found is not None and "jt-plan__pipe" not in found.svg
    assert found.words.startswith("Plan of the system, to scale: the tank.")


def test_the_description_is_the_label(full: Built) -> None:
    found = system_plan(full.site)
    assert found is not None
    assert drawn(found).get("aria-label") == found.words and drawn(found).get("role") == "img"


def test_names_are_text(any_system: Built) -> None:
    found = system_plan(any_system.site)
    if found is not None:
        tags = {e.tag for e in drawn(found).iter()}
        assert tags <= {"svg", "path", "text", "circle"}


measures = st.floats(1, 2000).map("{:.1f}".format)


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(sizes=st.lists(measures, min_size=8, max_size=8), count=st.integers(0, 30))
def test_any_measures_stay_on_the_paper(
    sizes: list[str], count: int, tmp_path_factory: pytest.TempPathFactory
) -> None:
    a, b, c, d, e, f, g, h = sizes
    pieces = ", ".join(f"{{name: h{n}, kind: heater}}" for n in range(count))
    tank = (
        f"vessels: [{{name: display, length: {a}, width: {b}, water_height: {c}, height: {d}}}, "
        f"{{name: sump, length: {e}, width: {f}, water_height: {g}, height: {h}}}]\n"
        f"equipment: [{pieces}]\n"
    )
    found = plan(tmp_path_factory.mktemp("plan"), tank)
    if found is None:
        return
    _, _, width, height = (float(part) for part in drawn(found).get("viewBox", "").split())
    for circle in drawn(found).iter("circle"):
        assert 0 <= float(circle.get("cx", "-1")) <= width
        assert float(circle.get("cy", "-1")) <= height
