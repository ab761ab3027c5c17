"""The band ruler: where the mark stands against its band."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal_tools.pages.ruler import ruler_svg
from journal_tools.quantities import Band

LEFT, RIGHT = 4.0, 116.0


def parts(value: float, error: float, band: Band) -> tuple[float, float, float, float, float, str]:
    """Give band start, band end, whisker start, whisker end, mark, and in or out."""
    svg = ElementTree.fromstring(ruler_svg(value, error, band))
    _, rect, whisker, mark = svg
    ends = re.findall(r"[\d.]+", whisker.get("d", ""))
    start = float(rect.get("x", ""))
    state = svg.get("class", "").rpartition("--")[2]
    return (
        start, start + float(rect.get("width", "")), float(ends[0]), float(ends[2]),
        float(re.findall(r"[\d.]+", mark.get("d", ""))[0]), state,
    )  # fmt: skip


def test_the_band_is_the_middle_half() -> None:
    # 7 to 9 is drawn on 6 to 10, 112 wide from 4: 8 stands in the middle
    start, end, left, right, mark, state = parts(8, 0.5, Band(7, 9))
    assert (start, end, mark, state) == (32, 88, 60, "in")
    assert (left, right) == (46, 74)


@pytest.mark.parametrize(("value", "place"), [(0, LEFT), (6, LEFT), (10, RIGHT), (99, RIGHT)])
def test_a_reading_beyond_sits_at_the_end(value: float, place: float) -> None:
    *_, mark, state = parts(value, 0, Band(7, 9))
    assert (mark, state) == (place, "out")


def test_an_open_side_reaches_the_end() -> None:
    assert parts(0.05, 0, Band(None, 0.1))[:2] == (LEFT, 60)
    start, end, *_ = parts(6, 0, Band(5.5, None))
    assert start == pytest.approx(LEFT + 0.5 * (RIGHT - LEFT)) and end == RIGHT


ends = st.floats(-1e3, 1e3, allow_subnormal=False)


@given(value=st.floats(-1e4, 1e4), error=st.floats(0, 1e3), low=ends, width=st.floats(1e-3, 1e3))
def test_everything_lies_on_the_ruler(value: float, error: float, low: float, width: float) -> None:
    band = Band(low, low + width)
    start, end, left, right, mark, state = parts(value, error, band)
    assert LEFT <= start < end <= RIGHT + 0.11
    assert LEFT <= left <= mark <= right <= RIGHT
    assert state == ("in" if value in band else "out")
    if value in band:
        assert start - 0.11 <= mark <= end + 0.11


@given(value=st.floats(0, 1e3), limit=st.floats(1e-3, 1e3), above=st.booleans())
def test_open_bands_too(value: float, limit: float, above: bool) -> None:
    band = Band(limit, None) if above else Band(None, limit)
    start, end, *_, mark, state = parts(value, 0, band)
    assert LEFT <= start <= end <= RIGHT + 0.11 and LEFT <= mark <= RIGHT
    assert state == ("in" if value in band else "out")


def test_screen_readers_pass_it_over() -> None:
    assert 'aria-hidden="true" focusable="false"' in ruler_svg(8, 0.1, Band(7, 9))
