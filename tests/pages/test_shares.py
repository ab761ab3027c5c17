"""Bars of parts and of amounts: in proportion, in words, and names stay text."""

from __future__ import annotations

import re
from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st

from journal_tools.pages.shares import lengths_html, shares_html

sizes = st.lists(st.tuples(st.text(max_size=8), st.floats(-10, 1e5)), max_size=12)


def said(value: float) -> str:
    return f"{value:.0f} kg"


def widths(html: str) -> list[float]:
    return [float(w) for w in re.findall(r"h([\d.]+)v", html)]


def items(html: str) -> list[str]:
    return re.findall(r"</i>([^<]*)</li>", html)


def test_parts_come_by_size() -> None:
    html = shares_html([("stand", 10), ("water", 30)], said)
    assert items(html) == ["water 30 kg", "stand 10 kg"] and widths(html) == [240, 80]


def test_small_parts_are_summed_up() -> None:
    html = shares_html([(str(n), 10 - n) for n in range(8)], said)
    assert items(html)[-1] == "2 more 7 kg" and len(items(html)) == 7


def test_amounts_share_a_scale() -> None:
    html = lengths_html([("runs down", 10), ("room", 40), ("short", -5)], said)
    assert widths(html) == [80, 320, 0]
    assert items(html) == ["runs down 10 kg", "room 40 kg", "short -5 kg"]


def test_nothing_makes_nothing() -> None:
    assert shares_html([], said) == shares_html([("a", 0)], said) == ""
    assert lengths_html([], said) == lengths_html([("a", 0.0)], said) == ""


def test_names_are_text() -> None:
    for html in (shares_html([("<b>&", 1)], said), lengths_html([("<b>&", 1)], said)):
        assert "&lt;b&gt;&amp;" in html and "<b>" not in html


@given(sizes)
def test_a_bar_is_as_long_as_its_parts(parts: list[tuple[str, float]]) -> None:
    html = shares_html(parts, said)
    if html:
        assert sum(widths(html)) < 320.5
        ElementTree.fromstring(html.partition("<ul")[0])
