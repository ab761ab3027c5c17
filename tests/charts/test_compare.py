from __future__ import annotations

import json
import math

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.charts.compare import bars_with_range
from journal_tools.charts.sheet import sheet_width, word_px
from journal_tools.charts.theme import NARROW, WIDE

from .seen import HOSTILE, names, rows_of, size, texts, written

SAID = {"title": "Daily light", "unit": "mol/m²", "decimals": 1}


def rows(*found: tuple) -> pd.DataFrame:
    columns = ["label", "value", "low", "high", "note"]
    return pd.DataFrame([(*row, *[None] * (5 - len(row))) for row in found], columns=columns)


CASES = {
    "nothing": rows(),
    "one": rows(("rock", 14.2, 11.8, 16.9, "stony corals")),
    "label and value only": rows(("rock", 14.2), ("cave", 1))[["label", "value"]],
    "all equal": rows(*[("same", 5, 4, 6)] * 4),
    "all zero": rows(("a", 0, 0, 0), ("b", 0, 0, 0)),
    "not numbers": rows(
        ("a", math.nan, 1, 2), ("b", math.inf, -math.inf, 3), ("c", None), ("d", 4)
    ),
    "negative": rows(("up", 3, 2, 5), ("down", -4.5, -4, -5)),
    "extreme": rows(("a", 9e8, 1, 9.9e8), ("b", 1e-9), ("c", -9e8)),
    "hostile": rows((HOSTILE, 3, 2, 4, HOSTILE), (HOSTILE * 9, 5, 4, 6, HOSTILE * 9)),
    "twenty": rows(*((f"place {i}", i, i - 1, i + 1, "note") for i in range(20))),
}


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("band", [None, (3, 12), (None, 12), (math.nan, None)])
@pytest.mark.parametrize("case", CASES)
def test_every_case_is_valid_and_small(case, band, shape):
    chart = bars_with_range(CASES[case], band=band, shape=shape, **SAID)
    spec = chart.to_dict(validate=True)
    assert spec["description"].startswith("Daily light: ")
    assert spec["width"] == sheet_width(shape)
    assert size(chart) < 20_000


def test_words_counted_by_hand():
    table = rows(("rock", 14.2, 11.8, 16.9, "stony corals"), ("cave", None, None, None, "dark"))
    words = bars_with_range(table, band=(3, 12), **SAID).to_dict(validate=False)["description"]
    assert words.replace("\u00a0", " ") == (
        "Daily light: rock 14.2 mol/m² (high), likely 11.8 to 16.9 mol/m², stony corals; "
        "cave no figure, dark. The target is 3.0 to 12.0 mol/m²."
    )
    none = bars_with_range(CASES["nothing"], **SAID)
    assert none.to_dict(validate=False)["description"] == "Daily light: nothing to compare yet."
    assert "nothing to compare yet" in texts(none)


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
def test_every_bar_says_its_value_range_and_note(shape):
    found = texts(bars_with_range(CASES["one"], shape=shape, **SAID))
    assert {"rock", "14.2", "11.8 to 16.9", "stony corals", "Daily light, mol/m²"} <= set(found)


def test_bars_begin_at_zero_and_are_as_long_as_their_values():
    chart = bars_with_range(rows(("a", 2), ("b", 8)), **SAID)
    x = [row["x"] for row in rows_of(chart, "bars") if row["x"] is not None]
    zero = min(x)
    lengths = sorted({round(place - zero, 1) for place in x if place > zero})
    assert lengths[1] == pytest.approx(4 * lengths[0], abs=0.5)
    assert [word["x"] for word in written(chart) if word["says"] == "0"] == [zero]


def test_a_bar_below_zero_goes_to_the_left():
    chart = bars_with_range(CASES["negative"], **SAID)
    zero = next(row["x"] for row in rows_of(chart, "zero"))
    x = [row["x"] for row in rows_of(chart, "bars") if row["x"] is not None]
    assert min(x) < zero < max(x)
    assert "−5.0 to −4.0" in texts(chart)


def test_a_value_outside_the_band_is_coral_and_said():
    chart = bars_with_range(CASES["one"], band=(3, 12), **SAID)
    assert [w["says"] for w in written(chart) if "coral" in w["color"]] == ["14.2, high"]
    assert "jt-coral" not in json.dumps(
        bars_with_range(CASES["one"], band=(3, 15), **SAID).to_dict(validate=False)
    )


def test_an_open_side_of_a_band_has_no_line():
    chart = bars_with_range(CASES["one"], band=(None, 12), **SAID)
    assert len({row["x"] for row in rows_of(chart, "limits")} - {None}) == 1
    assert "band" not in names(bars_with_range(CASES["one"], band=(None, None), **SAID))


def test_more_than_twelve_rows_are_counted_in_the_words():
    chart = bars_with_range(CASES["twenty"], **SAID)
    assert chart.to_dict(validate=False)["description"].endswith("8 more rows not drawn.")
    assert "place 12" not in texts(chart)


@settings(max_examples=20, deadline=None)
@given(
    st.lists(
        st.tuples(st.text(max_size=60), st.floats(-1e6, 1e6), st.floats(), st.floats(), st.text()),
        min_size=1,
        max_size=5,
    ),
    st.sampled_from([WIDE, NARROW]),
)
def test_nothing_leaves_the_sheet(found, shape):
    chart = bars_with_range(rows(*found), band=(-5, 5), shape=shape, **SAID)
    width = sheet_width(shape)
    for word in written(chart):
        length = word_px(word["says"], word["fontSize"], bold=word["fontWeight"] == "bold")
        share = {"left": 0.0, "center": 0.5, "right": 1.0}[word["align"]]
        assert word["x"] - share * length >= -1
        assert word["x"] + (1 - share) * length <= width + 1
    for layer in chart.to_dict(validate=False)["layer"]:
        places = [row["x"] for row in layer["data"]["values"] if row["x"] is not None]
        assert min(places) >= 0
        assert max(places) <= width


def test_the_same_input_gives_the_same_chart():
    first, second = (
        json.dumps(bars_with_range(CASES["hostile"], **SAID).to_dict(validate=False)) for _ in "ab"
    )
    assert first == second
