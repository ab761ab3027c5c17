"""Dots on a line: each value once, equal ones on each other, the ends in words."""

from __future__ import annotations

import re
from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st

from journal_tools.pages.spots import spots_html


def dots(html: str) -> list[tuple[float, float]]:
    found = re.findall(r'<circle class="jt-spot" cx="([\d.]+)" cy="([\d.]+)"', html)
    return [(float(x), float(y)) for x, y in found]


def test_values_and_what_they_should_be() -> None:
    html = spots_html([34.0, 36.0], 35.0, ("34", "36"), "a batch", "35, as stated")
    assert [x for x, _ in dots(html)] == [10, 310]
    assert 'class="jt-spot__meant" d="M160 ' in html
    assert ">34</text>" in html and ">36</text>" in html
    assert "Dot: a batch. Broken stroke: 35, as stated." in html


def test_equal_values_stand_on_each_other() -> None:
    places = dots(spots_html([5.0, 5.0, 5.0], None, ("5", "5"), "a", ""))
    assert {x for x, _ in places} == {160} and len({y for _, y in places}) == 3


def test_no_values_no_drawing() -> None:
    assert spots_html([], 5.0, ("", ""), "a", "b") == ""


def test_words_are_text() -> None:
    html = spots_html([1.0], None, ("<b>", "<i>"), "<u>", "")
    assert "<b>" not in html and "<u>" not in html and "&lt;b&gt;" in html


@given(st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=30), st.none() | st.floats(-1e3, 1e3))
def test_all_dots_lie_on_the_paper(values: list[float], meant: float | None) -> None:
    html = spots_html(values, meant, ("low", "high"), "a", "b")
    ElementTree.fromstring(html.partition("</svg>")[0] + "</svg>")
    assert len(dots(html)) == len(values)
    assert all(0 <= x <= 320 and 0 <= y <= 58 for x, y in dots(html))
