"""The gauge: the figure is always on the line, and is marked where it is not what is usual."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.metrics import Result
from journal_tools.pages.gauge import gauge_svg
from journal_tools.quantities import Band

numbers = st.floats(0, 1e6)


def labels(svg: str) -> list[str]:
    return ["".join(e.itertext()) for e in ElementTree.fromstring(svg).iter("text")]


def place(svg: str, kind: str) -> float:
    found = re.search(rf'jt-gauge__{kind}" d="M([\d.]+)', svg)
    assert found is not None
    return float(found[1])


@pytest.mark.parametrize(("value", "state"), [(2, "out"), (3, "in"), (10, "in"), (10.1, "out")])
def test_it_says_whether_the_figure_is_usual(value: float, state: str) -> None:
    assert f"jt-gauge--{state}" in gauge_svg(Result("x", value, "1/h"), Band(3, 10))


def test_ends_are_labelled_with_the_unit_once() -> None:
    assert labels(gauge_svg(Result("x", 7, "mm"), Band(5, 20))) == ["5", "20 mm"]
    assert labels(gauge_svg(Result("x", 7, "1/h"), Band(3, 10))) == ["3", "10"]
    assert labels(gauge_svg(Result("x", 7, "<b>"), Band(None, 10.5))) == ["10.5 <b>"]


def test_the_mark_stands_in_proportion() -> None:
    svg = gauge_svg(Result("x", 7.5, "L"), Band(5, 10))
    start = place(svg, "block")
    end = float(re.search(r'block" d="M[\d.]+ [\d.]+H([\d.]+)', svg)[1])  # type: ignore[index]
    assert place(svg, "mark") == pytest.approx((start + end) / 2, abs=0.1)


@given(numbers, numbers, numbers, st.booleans(), st.booleans())
def test_every_figure_is_on_the_line(
    value: float, one: float, two: float, open_low: bool, open_high: bool
) -> None:
    band = Band(None if open_low else min(one, two), None if open_high else max(one, two))
    svg = gauge_svg(Result("x", value, "L", 1, "", value * 0.9, value * 1.1), band)
    ElementTree.fromstring(svg)
    assert 10 <= place(svg, "mark") <= 310
    assert place(svg, "range") <= place(svg, "mark") + 0.11
