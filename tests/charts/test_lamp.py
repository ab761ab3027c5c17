from __future__ import annotations

import json
import math
from itertools import pairwise

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.charts.lamp import lamp_day_chart
from journal_tools.charts.sheet import sheet_width
from journal_tools.charts.theme import NARROW, WIDE

from .seen import HOSTILE, names, rows_of, size, texts

HOURS = [quarter / 4 for quarter in range(97)]


def day(**peaks: float) -> pd.DataFrame:
    rows = [
        (place.replace("_", " "), hour, peak * max(0.0, min(1, (hour - 9) / 2, (21 - hour) / 2)))
        for place, peak in peaks.items()
        for hour in HOURS
    ]
    return pd.DataFrame(rows, columns=["place", "hour", "ppfd"])


CASES = {
    "nothing": day(),
    "one place": day(rock=320),
    "dark": day(cave=0),
    "five places": day(rock=320, shelf=180, left=95, right=88, cave=12),
    "all equal": day(a=100, b=100, c=100, d=100, e=100, f=100),
    "nine places": day(**{f"place_{i}": 10.0 * i for i in range(9)}),
    "one value": pd.DataFrame({"place": ["rock"], "hour": [12], "ppfd": [50]}),
    "not numbers": day(rock=math.nan, shelf=math.inf, cave=3),
    "huge": day(sun=9e8, rock=1),
    "hostile": day(**{HOSTILE: 100.0, HOSTILE * 5: 99.0}),
}


@pytest.mark.parametrize("shape", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("case", CASES)
def test_every_case_is_valid_and_small(case, shape):
    chart = lamp_day_chart(CASES[case], shape=shape)
    spec = chart.to_dict(validate=True)
    assert spec["description"].startswith("Light through the day: ")
    assert spec["width"] == sheet_width(shape)
    assert size(chart) < 20_000


def test_words_counted_by_hand():
    words = (
        lamp_day_chart(day(cave=12, rock=320))
        .to_dict(validate=False)["description"]
        .replace("\u00a0", " ")
    )
    # A trapezoid of 12 h at its foot and 8 h on top: 320 x 10 h x 3600 s = 11.52 mol.
    assert words == (
        "Light through the day: rock up to 320 µmol/m²/s, 11.5 mol/m² a day, lit from 9:00 to "
        "21:00; cave up to 12 µmol/m²/s, 0.4 mol/m² a day, lit from 9:00 to 21:00."
    )


def test_words_without_light_and_without_places():
    assert "dark all day" in lamp_day_chart(CASES["dark"]).to_dict(validate=False)["description"]
    none = lamp_day_chart(CASES["nothing"]).to_dict(validate=False)["description"]
    assert none == "Light through the day: no light known yet."


def test_every_place_has_its_name_and_peak_at_its_line():
    assert {"rock 320", "shelf 180", "cave 12"} <= set(texts(lamp_day_chart(CASES["five places"])))


def test_of_many_places_the_brightest_six_are_drawn_and_the_rest_is_said():
    chart = lamp_day_chart(CASES["nine places"])
    assert sum(name.startswith("course-") for name in names(chart)) == 6
    assert chart.to_dict(validate=False)["description"].endswith("3 dimmer places not drawn.")


def test_the_axis_is_the_whole_day():
    wide, narrow = (texts(lamp_day_chart(CASES["one place"], shape=s)) for s in (WIDE, NARROW))
    assert {"0:00", "3:00", "12:00", "24:00"} <= set(wide)
    assert {"0:00", "6:00", "24:00"} <= set(narrow)
    assert "3:00" not in narrow


def test_lines_can_be_told_apart_without_colour():
    layers = lamp_day_chart(CASES["five places"]).to_dict(validate=False)["layer"]
    dashes = [
        str(layer["mark"].get("strokeDash"))
        for layer in layers
        if layer["data"]["name"].startswith("course-")
    ]
    assert len(set(dashes)) == 5


@settings(max_examples=25, deadline=None)
@given(st.lists(st.floats(0, 2000), min_size=1, max_size=6))
def test_labels_keep_their_distance(peaks):
    chart = lamp_day_chart(day(**{f"place_{i}": peak for i, peak in enumerate(peaks)}))
    places = sorted(row["y"] for row in rows_of(chart, "labels-0"))
    assert len(places) == len(peaks)
    assert all(b - a >= 14.9 for a, b in pairwise(places))


def test_the_same_input_gives_the_same_chart():
    first, second = (
        json.dumps(lamp_day_chart(CASES["hostile"]).to_dict(validate=False)) for _ in range(2)
    )
    assert first == second
