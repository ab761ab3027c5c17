from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.charts.sheet import (
    Word,
    box,
    dotted,
    filled,
    fitted,
    ringed,
    sheet,
    sheet_width,
    stamped,
    stroked,
    word_px,
    written,
)
from journal_tools.charts.theme import NARROW, WIDE

from .seen import HOSTILE, drawing, texts

SVG = "{http://www.w3.org/2000/svg}"


def sheet_of(*layers):
    return sheet(list(layers), WIDE, 100, name="x", title="Title", description="Words")


def paths(chart) -> list[str]:
    return [element.attrib["d"] for element in drawing(chart).iter(f"{SVG}path")]


def test_lines_keep_their_order_and_their_gaps():
    # Sorted by x or joined they would be another drawing.
    lines = [[(10, 10), (50, 50), (5, 70)], [], [(3, 3), (1, 5)]]
    assert paths(sheet_of(*stroked("lines", lines, "ink"))) == ["M10,10L50,50L5,70M3,3L1,5"]


def test_dots_and_areas_are_one_path_each():
    dots = dotted("dots", [(1, 2), (7, 3)], "kelp", 4)
    areas = filled("areas", [box(0, 0, 4, 5), box(9, 9, 12, 12)], "band")
    found = paths(sheet_of(*areas, *dots))
    assert found == ["M0,0H4V5H0M9,9H12V12H9", "M1,2h0M7,3h0"]


def test_nothing_to_draw_is_no_layer():
    assert stroked("a", [], "ink") + dotted("b", [], "ink", 3) + filled("c", [[]], "band") == []
    assert ringed("d", [], "ink") + stamped("e", [], "ink") + written("f", [Word(1, 2, "")]) == []


def test_the_sheet_is_as_wide_as_its_shape_however_long_its_text_is():
    for shape in (WIDE, NARROW):
        words = written("w", [Word(0, 10, "wide " * 99)])
        chart = sheet(words, shape, 50, name="x", title="t", description="d")
        assert drawing(chart).attrib["viewBox"] == f"0 0 {shape.width} 58"
        assert chart.width == sheet_width(shape) == shape.width - 22


def test_texts_of_one_look_share_a_layer():
    words = [Word(0, 1, "a"), Word(5, 1, "b"), Word(9, 1, "c", "muted"), Word(9, 9, "d", bold=True)]
    assert len(written("w", words)) == 3
    assert sorted(texts(sheet_of(*written("w", words)))) == ["a", "b", "c", "d"]


def test_a_hostile_text_is_drawn_as_text():
    found = texts(sheet_of(*written("w", [Word(0, 1, HOSTILE)])))
    assert found == [HOSTILE]


def test_every_kind_of_layer_is_valid():
    layers = [
        *stroked("a", [[(1, 1), (2, 2)]], "ink", dash=[1, 3], opacity=0.5),
        *ringed("b", [(3, 3)], "kelp", symbol="triangle-up"),
        *stamped("c", [(3, 3)], "coral", symbol="M-1,-1L1,1"),
        *written("d", [Word(1, 1, "x", align="right", bold=True)]),
    ]
    assert sheet_of(*layers).to_dict(validate=True)["description"] == "Words"


@pytest.mark.parametrize("text", ["8.2\u00a0dKH", "1\u202f850\u00a0L/h"])
def test_no_break_spaces_stay(text):
    assert fitted(text, 500) == text


def test_line_breaks_and_turned_text_do_not_stay():
    assert fitted(" two\r\n\tlines \u202eturned\u2066 ", 500) == "two lines turned"


@given(st.text(max_size=80), st.floats(20, 300), st.booleans())
def test_a_fitted_text_fits(text, room_px, bold):
    found = fitted(text, room_px, bold=bold)
    assert word_px(found, bold=bold) <= room_px or found == "…"
    assert fitted(found, room_px, bold=bold) == found or found.endswith("…")
